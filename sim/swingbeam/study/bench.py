"""Shafts on the bench: every test of every shaft, raw or as a scenario builds it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.bench.bench_test import Reading
from swingbeam.bench.benches import Bench, load_bench, usual_bench
from swingbeam.bench.registry import READINGS, TESTS
from swingbeam.bench.specimen import Specimen, specimen
from swingbeam.files.lookup import find, list_library
from swingbeam.files.spreadsheet import Decimal, read_sheet
from swingbeam.shaft.load import load_shaft
from swingbeam.units import nearest, quote, to_unit
from swingbeam.units.kinds import KINDS

from .scenario import load_scenario


@dataclass(frozen=True, eq=False)
class BenchRow:
    """One shaft on the bench.

    Attributes
    ----------
    name : file name of the shaft, or the club's label
    subject : what was read
    readings : key → printed value, None where this shaft has none
    scans : test → key → printed values, station by station
    reasons : test → why it could not be read
    """

    name: str
    subject: Specimen
    readings: Mapping[str, float | None]
    scans: Mapping[str, Mapping[str, list[float]]] = field(default_factory=dict)
    reasons: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class BenchResult:
    """Shafts on one bench.

    Attributes
    ----------
    bench : with the set-up of every test
    tests : names of those that were read, in the order of the registry
    rows : one a shaft
    """

    bench: Bench
    tests: tuple[str, ...]
    rows: tuple[BenchRow, ...]

    @property
    def is_part(self) -> bool:
        """Whether only some of the tests were asked for."""
        return any(name not in self.tests for name, test in TESTS.items() if not test.on_request)

    @property
    def columns(self) -> tuple[Reading, ...]:
        """Single readings that at least one shaft has; details only where a few tests were asked for."""
        details = self.is_part
        wanted = [reading for test in self.tests for reading in TESTS[test].readings if details or not reading.detail]
        return tuple(r for r in wanted if not r.scan and any(row.readings.get(r.key) is not None for row in self.rows))


def read_shafts(
    shafts: Sequence[str] = (),
    *,
    setup: str | None = None,
    tests: Sequence[str] | None = None,
    scenario: str | None = None,
) -> BenchResult:
    """Read shafts on a bench.

    Parameters
    ----------
    shafts : names or paths; none, and no scenario: the whole library
    setup : name or path of a bench; None: the usual one
    tests : names; None: all but those that are read on request
    scenario : name or path; its clubs are read as they are built, behind the shafts

    Raises
    ------
    InputError
        A name that is not found, a file that cannot be read, a test that can be read on none of the shafts.
    """
    bench = usual_bench() if setup is None else load_bench(setup)
    wanted = _wanted(tests)
    rows = tuple(read_on_bench(name, subject, bench, wanted) for name, subject in _subjects(shafts, scenario))
    for test in wanted:
        reasons = [row.reasons.get(test) for row in rows]
        first = reasons[0]
        if tests is not None and first is not None and all(reasons):
            raise InputError(f"{rows[0].name}: {first}")
    return BenchResult(bench, wanted, rows)


def _wanted(tests: Sequence[str] | None) -> tuple[str, ...]:
    if tests is None:
        return tuple(name for name, test in TESTS.items() if not test.on_request)
    for name in tests:
        if name not in TESTS:
            guess = nearest(name, list(TESTS))
            hint = f'; did you mean "{guess}"?' if guess else ""
            raise InputError(f"test: found {quote(name)}; allowed: {', '.join(TESTS)}{hint}")
    return tuple(name for name in TESTS if name in tests)


def _subjects(shafts: Sequence[str], scenario: str | None) -> list[tuple[str, Specimen]]:
    names = list(shafts)
    if not names and scenario is None:
        names = list(list_library("shaft"))
    found = [(Path(name).stem, specimen(load_shaft(find("shaft", name)))) for name in names]
    if scenario is not None:
        clubs = load_scenario(find("scenario", scenario)).clubs
        found += [(club.label, specimen(club)) for club in clubs]
    return found


def read_on_bench(name: str, subject: Specimen, bench: Bench, tests: Sequence[str]) -> BenchRow:
    """One shaft under several tests; a test that it cannot be put to is a reason, not a failure."""
    readings: dict[str, float | None] = {}
    scans: dict[str, dict[str, list[float]]] = {}
    reasons: dict[str, str] = {}
    for test in tests:
        try:
            printed = TESTS[test].printed(subject, bench.setups[test])
        except (InputError, SimulationError) as error:
            reasons[test] = str(error)
            readings.update({reading.key: None for reading in TESTS[test].readings if not reading.scan})
            continue
        for key, value in printed.items():
            if isinstance(value, list):
                scans.setdefault(test, {})[key] = value
            else:
                readings[key] = value
    return BenchRow(name, subject, readings, scans, reasons)


@dataclass(frozen=True, eq=False)
class Comparison:
    """Readings somebody took beside those computed.

    Attributes
    ----------
    columns : the readings that the file states
    measured, computed : (shafts, columns) as printed, nan where there is none
    """

    result: BenchResult
    columns: tuple[Reading, ...]
    measured: np.ndarray
    computed: np.ndarray


def compare_readings(path: str, *, setup: str | None = None, decimal: Decimal = ".") -> Comparison:
    """Put readings out of a spreadsheet beside the bench's own.

    The CSV file has a column "shaft" (names or paths) and columns named as those that are written: a reading's name
    and its unit, "frequency (cpm)"; any unit of that kind will do.

    Raises
    ------
    InputError
        A file that cannot be read, a column that is no reading, a shaft that is not found; by row and column.
    """
    table = read_sheet(path, decimal=decimal)
    names = table.text("shaft")
    by_name = {head_of(reading): reading for reading in single_readings()}
    columns, measured = [], []
    for i, (name, unit) in enumerate(zip(table.names, table.units, strict=True)):
        if i == table.index("shaft"):
            continue
        reading = _reading_of(name, unit, by_name, table.source)
        numbers = table.numbers(i)
        if reading.factor is None:
            numbers = to_unit(1.0, reading.unit) * table.quantities(i, _kind_of_unit(reading.unit))
        columns.append(reading)
        measured.append(numbers)
    if not columns or not names:
        raise InputError(f'{table.source}: found no readings; allowed: a column "shaft" and one or more readings')
    tests = tuple(dict.fromkeys(READINGS[reading.key][0].name for reading in columns))
    result = read_shafts(names, setup=setup, tests=tests)
    computed = [[_number(row.readings.get(reading.key)) for reading in columns] for row in result.rows]
    return Comparison(result, tuple(columns), np.array(measured).T, np.array(computed))


def _number(value: float | None) -> float:
    return math.nan if value is None else value


def single_readings() -> tuple[Reading, ...]:
    """Every reading that is one number a shaft, in the order they are printed."""
    return tuple(reading for test in TESTS.values() for reading in test.readings if not reading.scan)


_UNIT_WORDS = ("cpm", "hz", "mm", "pct", "deg", "g", "kgm2", "n")


def head_of(reading: Reading) -> str:
    """A reading's column in a spreadsheet: its key without the unit, and the unit: "frequency (cpm)"."""
    name = reading.key.removesuffix("_in_oz").removesuffix("_in")
    words = [word for word in name.split("_") if word not in _UNIT_WORDS]
    return f"{'_'.join(words)} ({reading.unit})"


def _reading_of(name: str, unit: str, by_head: Mapping[str, Reading], source: str) -> Reading:
    exact = by_head.get(f"{name} ({unit})")
    if exact is not None:
        return exact
    same = [reading for head, reading in by_head.items() if head.rsplit(" (", 1)[0] == name]
    for reading in same:
        if reading.factor is None and unit in KINDS[_kind_of_unit(reading.unit)].units:
            return reading
    if same:
        listed = " or ".join(reading.unit for reading in same)
        raise InputError(f"{source}: column {quote(name)}: found the unit {quote(unit)}; allowed: {listed}")
    guess = nearest(name, [head.rsplit(" (", 1)[0] for head in by_head])
    hint = f'; did you mean "{guess}"?' if guess else ""
    raise InputError(f"{source}: column {quote(name)} is no reading; allowed: those that --csv writes{hint}")


def _kind_of_unit(unit: str) -> str:
    return next(name for name, kind in KINDS.items() if unit in kind.units)
