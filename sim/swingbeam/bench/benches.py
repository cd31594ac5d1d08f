"""A bench: the set-up of every test, the usual one or one of somebody's."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import described
from swingbeam.bench.registry import TESTS
from swingbeam.club.head import load_head
from swingbeam.files.base import naming
from swingbeam.files.bench_file import named_kinds, read_bench_file
from swingbeam.files.lookup import find


@dataclass(frozen=True, eq=False)
class Bench:
    """A bench.

    Attributes
    ----------
    name : str
    setups : name of a test → its set-up, for every test of the registry
    """

    name: str
    setups: Mapping[str, Any]

    def described(self) -> dict[str, dict[str, Any]]:
        """Test → key → the set-up as a file would state it."""
        return {name: described(setup) for name, setup in self.setups.items()}


def usual_bench() -> Bench:
    """Every test as it usually is set up (common practice, no source)."""
    return Bench("usual", {name: test.setup_type() for name, test in TESTS.items()})


def load_bench(name: str | os.PathLike[str]) -> Bench:
    """A bench from its file, by name or path; what the file leaves out is as on the usual bench.

    Raises
    ------
    InputError
        No such file, or what it states cannot be.
    """
    path = find("bench", name)
    called, stated = read_bench_file(path, {key: test.setup_type for key, test in TESTS.items()})
    setups = dict(usual_bench().setups)
    for test, keys in stated.items():
        kinds = named_kinds(TESTS[test].setup_type)
        found = {}
        for key, value in keys.items():
            if key in kinds:
                with naming(path):
                    found[key] = _named(kinds[key], value, f"{test}.{key}", path)
            else:
                found[key] = value
        setups[test] = replace(setups[test], **found)
    return Bench(called, setups)


def _named(kind: str, name: str, key: str, beside: os.PathLike[str]) -> Any:
    try:
        return load_head(find(kind, name, beside=beside))
    except InputError as error:
        raise InputError(f"{key}: {error}") from None
