"""Readings files made ready for an inversion: each reading with its test, its set-up and its error in SI."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.benches import Bench, load_bench, usual_bench
from swingbeam.bench.measured import PLACES, Measured, Wanted, main_reading, usual_error
from swingbeam.bench.registry import TESTS
from swingbeam.bench.unknowns import KnownFacts, unknowns_of
from swingbeam.club.head import load_head
from swingbeam.files.base import display_path, naming
from swingbeam.files.bench_file import named_kinds, read_bench_file
from swingbeam.files.lookup import find
from swingbeam.files.readings_file import KnownShaft, Stated, read_readings
from swingbeam.shaft.shaft import Shaft
from swingbeam.units import KINDS, PlainNumber, nearest, parse_quantity, quote

NOT_LOOKED_FOR = {"spine": "a shaft is looked for that bends the same in every plane"}
"""Tests whose readings no inversion takes, and why."""
NOT_FORETOLD = (*PLACES, "bias", "true_ei")
"""Figures that are the place of a station or a comparison, not a reading of a bench."""
_SETUPS = {name: test.setup_type for name, test in TESTS.items()}


@dataclass(frozen=True)
class ReadShaft:
    """A readings file: what is known of the shaft, and its readings.

    Attributes
    ----------
    facts : what is known
    readings : what was read
    note : of the file
    source : the file, as messages call it
    """

    facts: KnownFacts
    readings: tuple[Measured, ...]
    note: str
    source: str


def load_readings(path: str | os.PathLike[str]) -> ReadShaft:
    """Read a readings file.

    Raises
    ------
    InputError
        File, reading and key, what was found, what is allowed, the nearest fix.
    """
    record, stated = read_readings(path, _SETUPS)
    with naming(path):
        usual = usual_bench() if not record.bench else load_bench(find("bench", record.bench, beside=path))
    facts = facts_of(record.shaft, record.note)
    with naming(path):
        expected = unknowns_of(facts)
        guess = expected.shaft(expected.mean)
        readings = tuple(_measured(one, usual, path) for one in stated)
        _refuse_short_scans(readings, guess)
    return ReadShaft(facts, readings, record.note, display_path(path))


def facts_of(known: KnownShaft, note: str = "") -> KnownFacts:
    """What a file says of a shaft."""
    return KnownFacts(
        name=known.name,
        kind=known.kind,
        raw_length=known.raw_length,
        butt_diameter=known.butt_diameter,
        tip_diameter=known.tip_diameter,
        parallel_tip=known.parallel_tip,
        maker=known.maker,
        letter=known.letter,
        material=known.material,
        note=note,
        steps=known.steps_from_butt(),
        constant=known.between_steps == "constant",
        poisson=known.poisson,
        bend_damping=known.damping.bend,
        twist_damping=known.damping.twist,
    )


def wanted_of_bench(name: str | os.PathLike[str], shaft: Shaft) -> tuple[Bench, tuple[Wanted, ...], tuple[str, ...]]:
    """A bench, every figure of the tests its file states, and why tests of it are left out.

    Parameters
    ----------
    name : name or path of a bench's file
    shaft : any shaft of that length, to see which figures a set-up has

    Raises
    ------
    InputError
        The file cannot be read, states no test, or a set-up the shaft does not allow.
    """
    path = find("bench", name)
    bench = load_bench(path)
    _, tables = read_bench_file(path, _SETUPS)
    left_out = tuple(f"{test}: left out: {NOT_LOOKED_FOR[test]}" for test in tables if test in NOT_LOOKED_FOR)
    tests = [test for test in tables if test not in NOT_LOOKED_FOR]
    if not tests:
        raise InputError(
            f"{display_path(path)}: found no test to foretell; allowed: tables such as [frequency], [torque]"
        )
    with naming(path):
        wanted = [one for test in tests for one in _figures(TESTS[test], bench.setups[test], shaft)]
    return bench, tuple(wanted), left_out


def _figures(test: BenchTest, setup: Any, shaft: Shaft) -> list[Wanted]:
    record = test.read(shaft, setup)
    out = []
    for reading in test.readings:
        values = reading.si(record)
        if reading.attribute in NOT_FORETOLD:
            continue
        if np.ndim(values):
            out += [Wanted(test, setup, reading, i, test.name) for i in range(np.size(values))]
        elif np.isfinite(values):
            out.append(Wanted(test, setup, reading, None, test.name))
    return out


def _measured(stated: Stated, usual: Bench, beside: str | os.PathLike[str]) -> Measured:
    test = TESTS[stated.test]
    if stated.test in NOT_LOOKED_FOR:
        raise InputError(f'{stated.label}.test: found "{stated.test}": {NOT_LOOKED_FOR[stated.test]}')
    reading = _reading(test, stated)
    setup = _setup(usual.setups[stated.test], stated.setup, beside, stated.label)
    value = _value(stated.value, reading, f"{stated.label}.value")
    error = usual_error(reading) if stated.error is None else _error(stated.error, reading, value, stated.label)
    return Measured(Wanted(test, setup, reading, stated.index, stated.label), value, error)


def _reading(test: BenchTest, stated: Stated) -> Reading:
    if not stated.quantity:
        return main_reading(test)
    for reading in test.readings:
        if stated.quantity in (reading.key, reading.attribute):
            return reading
    names = [reading.attribute for reading in test.readings]
    guess = nearest(stated.quantity, [*names, *(reading.key for reading in test.readings)])
    hint = f'; did you mean "{guess}"?' if guess else ""
    raise InputError(
        f"{stated.label}.quantity: found {quote(stated.quantity)}; allowed: "
        f"{', '.join(chr(34) + n + chr(34) for n in names)}{hint}"
    )


def _setup(usual: Any, keys: Mapping[str, Any], beside: str | os.PathLike[str], label: str) -> Any:
    values = dict(keys)
    for field, kind in named_kinds(type(usual)).items():
        if isinstance(values.get(field), str):
            try:
                values[field] = load_head(find(kind, values[field], beside=beside))
            except InputError as error:
                raise InputError(f"{label}.{field}: {error}") from None
    return replace(usual, **values)


def _kind(reading: Reading) -> str | None:
    if reading.factor is not None:
        return None
    return next((name for name, kind in KINDS.items() if reading.unit in kind.units), None)


def _value(text: Any, reading: Reading, where: str) -> float:
    kind = _kind(reading)
    try:
        if kind is None:
            return PlainNumber().read(text) / reading.scale
        return parse_quantity(text, kind)
    except InputError as error:
        raise InputError(f"{where}: {error}") from None


def _error(text: Any, reading: Reading, value: float, label: str) -> float:
    """An error in the reading's own unit, or as a share of the value ("1 %")."""
    kind = _kind(reading)
    if kind != "ratio" and isinstance(text, str) and text.strip().endswith("%"):
        try:
            error = abs(value) * parse_quantity(text, "ratio")
        except InputError as failure:
            raise InputError(f"{label}.error: {failure}") from None
    else:
        error = _value(text, reading, f"{label}.error")
    if not error > 0.0:
        raise InputError(f"{label}.error: found {quote(text)}; allowed: a standard deviation above 0")
    return error


def _refuse_short_scans(readings: tuple[Measured, ...], guess: Shaft) -> None:
    """A list of a scan's values must be one for each station, or nobody knows which is which."""
    counts = Counter(_table_of(one) for one in readings)
    records: dict[Any, Any] = {}
    for one in readings:
        wanted, label = one.wanted, _table_of(one)
        key = (wanted.test.name, wanted.setup)
        try:
            if key not in records:
                records[key] = wanted.test.read(guess, wanted.setup)
        except InputError as error:
            raise InputError(f"{wanted.label}: {error}") from None
        size = np.size(wanted.reading.si(records[key]))
        if wanted.reading.scan and (wanted.index is None or size != counts[label]):
            raise InputError(
                f"{label}.value: found {counts[label] if wanted.index is not None else 'one value'}; allowed: a list "
                f"of {size}, one for each station of the scan ({wanted.setup})"
            )
        if not wanted.reading.scan and wanted.index is not None:
            raise InputError(
                f"{label}.value: found a list; allowed: one value, or as many of one of the set-up's keys, such as "
                'clamp = ["5 in", "8 in"]'
            )
        if not np.all(np.isfinite(wanted.reading.si(records[key]))):
            raise InputError(f"{label}: {wanted.reading.attribute} does not exist for a bare shaft under this set-up")


def _table_of(one: Measured) -> str:
    """The table of the file that a reading comes from: "reading #3" of "reading #3, value 2"."""
    return one.wanted.label.split(",")[0]
