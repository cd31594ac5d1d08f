"""A bench's file: the set-up of each of its tests, as far as it differs from the usual one.

The tests are described by frozen dataclasses elsewhere; their fields carry the types of `swingbeam.units`, from which
the records of this file are made::

    [frequency]
    clamp = "5 in"
    tip_mass = "205 g"

    [torque]
    tip_clamp = "2 in"
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

from pydantic import Field, create_model

from swingbeam.files.base import Record, read_toml


@dataclass(frozen=True)
class ByName:
    """Marks a field that a file states by the name or path of a thing of this kind ("head")."""

    kind: str


def named_kinds(setup_type: type[Any]) -> dict[str, str]:
    """Field → kind of what a file states by name."""
    return {
        name: mark.kind
        for name, hint in get_type_hints(setup_type, include_extras=True).items()
        for mark in (get_args(hint)[1:] if get_origin(hint) is Annotated else ())
        if isinstance(mark, ByName)
    }


_RECORDS: dict[type[Any], type[Record]] = {}


def setup_record(setup_type: type[Any]) -> type[Record]:
    """The record a set-up is read into: its fields, none of them required, unknown keys refused; made once."""
    if setup_type not in _RECORDS:
        _RECORDS[setup_type] = _made_record(setup_type)
    return _RECORDS[setup_type]


def _made_record(setup_type: type[Any]) -> type[Record]:
    hints = get_type_hints(setup_type, include_extras=True)
    named = named_kinds(setup_type)
    columns: dict[str, Any] = {}
    for field in fields(setup_type):
        if field.default is MISSING:
            raise TypeError(f"{setup_type.__name__}.{field.name} has no default")
        hint = str if field.name in named else _without_none(hints[field.name])
        columns[field.name] = (hint | None if isinstance(hint, type) else Union[hint, None], None)  # noqa: UP007
    return create_model(setup_type.__name__, __base__=Record, **columns)


def _without_none(hint: Any) -> Any:
    if get_origin(hint) in (Union, UnionType):
        left = [part for part in get_args(hint) if part is not type(None)]
        return left[0] if len(left) == 1 else hint
    return hint


def bench_record(setups: Mapping[str, type[Any]]) -> type[Record]:
    """The record of a whole bench: a name, a note, and a table for each test."""
    tables: dict[str, Any] = {name: (setup_record(setup_type) | None, None) for name, setup_type in setups.items()}
    name_field = (str, Field(min_length=1, description="what the bench is called"))
    return create_model("BenchFile", __base__=Record, name=name_field, note=(str, ""), **tables)


def read_bench_file(
    path: str | os.PathLike[str], setups: Mapping[str, type[Any]]
) -> tuple[str, dict[str, dict[str, Any]]]:
    """A bench's name, and test → the keys its table states (SI, names as they are written).

    Raises
    ------
    InputError
        The file cannot be read, or states what no bench can be.
    """
    record = read_toml(path, bench_record(setups))
    stated: dict[str, dict[str, Any]] = {}
    for test in setups:
        table = getattr(record, test)
        if table is not None:
            stated[test] = {key: value for key, value in table if value is not None}
    return str(record.name), stated  # type: ignore[attr-defined]
