"""A readings file: what is known of one shaft, and what somebody read of it, test by test.

[shaft]
name = "..."                    # and kind, raw_length, diameters, parallel_tip

[[reading]]
test = "frequency"
clamp = "5 in"                  # keys of the test's set-up; the usual ones if not stated
value = "258 cpm"
error = "0.5 cpm"               # standard deviation; the usual one if not stated

[[reading]]
test = "frequency"
clamp = ["5 in", "8 in", "11 in"]
value = ["258 cpm", "281 cpm", "308 cpm"]

[[reading]]
test = "three_point"
csv = "scan.csv"                # columns "stations (in)", "deflection (mm)"
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal, get_origin, get_type_hints

import numpy as np
from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record, naming, parse_table, read_toml
from swingbeam.files.bench_file import setup_record
from swingbeam.files.csv_table import CsvTable, read_csv_table
from swingbeam.files.shaft_file import DampingTable, End
from swingbeam.units import NonNegativeLength, PlainNumber, Quantity, nearest, quote, show

MOST_READINGS = 400
"""One inversion's time and memory; a scan of every half inch is some 90."""
RESERVED = ("test", "quantity", "value", "error", "csv")
"""Keys of a [[reading]] table that are none of the set-up's."""
Diameter = Annotated[float, Quantity("length", at_least=0.004, at_most=0.04)]


class KnownShaft(Record):
    """What is known of the shaft that was read."""

    name: str = Field(min_length=1, description="what the shaft is called")
    maker: str = ""
    kind: Literal["driver", "iron"] = Field(description='"driver" or "iron"')
    material: str = ""
    letter: str = ""
    raw_length: Annotated[float, Quantity("length", at_least=0.2, at_most=2.0)] = Field(
        description='the uncut length, such as "46 in"'
    )
    butt_diameter: Diameter = Field(description='the outer diameter of the butt, such as "15.2 mm"')
    tip_diameter: Diameter = Field(description='the outer diameter of the tip, such as "8.5 mm"')
    parallel_tip: NonNegativeLength = Field(
        description='the length of parallel tip, such as "3 in" ("0 in": a taper tip)'
    )
    measured_from: End = "tip"
    """Where `steps` count from."""
    steps: tuple[NonNegativeLength, ...] = ()
    """Where EI, GJ and mass may jump."""
    between_steps: Literal["taper", "constant"] = "taper"
    poisson: Annotated[float, PlainNumber(above=-1.0, below=0.5)] | None = None
    """Poisson's ratio of a tube of one metal: GJ = EI/(1 + ν) then, instead of being looked for."""
    damping: DampingTable = DampingTable()

    @model_validator(mode="after")
    def _check(self) -> KnownShaft:
        if self.tip_diameter > self.butt_diameter:
            raise InputError(
                f"tip_diameter: found {show(self.tip_diameter, 'mm')}; allowed: at most the butt diameter, "
                f"{show(self.butt_diameter, 'mm')}"
            )
        if self.parallel_tip >= self.raw_length:
            raise InputError("parallel_tip: found the whole shaft or more; allowed: less than raw_length")
        for number, step in enumerate(self.steps, 1):
            if not 0.0 < step < self.raw_length:
                raise InputError(
                    f"steps #{number}: found {show(step, 'in')}; allowed: inside the shaft, between 0 in and "
                    f"raw_length {show(self.raw_length, 'in')}"
                )
        if len(set(self.steps)) < len(self.steps):
            raise InputError("steps: found one twice; allowed: each once")
        if self.between_steps == "constant" and not self.steps:
            raise InputError('between_steps: found "constant" without steps; allowed: steps = [ ... ], or "taper"')
        return self

    def steps_from_butt(self) -> tuple[float, ...]:
        """m from the butt, rising."""
        if self.measured_from == "butt":
            return tuple(sorted(self.steps))
        return tuple(sorted(self.raw_length - step for step in self.steps))


class ReadingsFile(Record):
    """Readings of one shaft as their file states them; `reading` tables are read by `stated_readings`."""

    shaft: KnownShaft = Field(description="a table [shaft]: name, kind, raw_length, diameters, parallel_tip")
    note: str = ""
    bench: str = ""
    """Path of a bench's file whose set-ups are the usual ones here."""
    reading: tuple[dict[str, Any], ...] = Field(description="tables [[reading]], each with test and value")

    @model_validator(mode="after")
    def _check(self) -> ReadingsFile:
        if not self.reading:
            raise InputError("reading: found none; allowed: one or more [[reading]] tables")
        return self


@dataclass(frozen=True)
class Stated:
    """One reading as a file states it.

    Attributes
    ----------
    label : "reading #3", or "reading #3, value 2" of a list
    test : its name
    quantity : which of the test's figures, as written; "" for its first
    setup : keys of the set-up that are stated, SI
    value, error : text with units; error None: the usual one
    index : which value of a scan; None where the test reads one value
    """

    label: str
    test: str
    quantity: str
    setup: dict[str, Any]
    value: str
    error: str | None
    index: int | None


def read_readings(path: str | os.PathLike[str], setups: Mapping[str, type[Any]]) -> tuple[ReadingsFile, list[Stated]]:
    """A readings file: what is known of the shaft, and its readings one by one.

    Parameters
    ----------
    setups : name of a test → its set-up's dataclass

    Raises
    ------
    InputError
        File and key, what was found, what is allowed, the nearest fix.
    """
    record = read_toml(path, ReadingsFile)
    stated: list[Stated] = []
    with naming(path):
        for number, table in enumerate(record.reading, 1):
            stated += _stated(table, f"reading #{number}", setups, Path(path))
        if len(stated) > MOST_READINGS:
            raise InputError(f"reading: found {len(stated)} values; allowed: up to {MOST_READINGS}")
    return record, stated


def _stated(table: dict[str, Any], label: str, setups: Mapping[str, type[Any]], beside: Path) -> list[Stated]:
    test = table.get("test")
    if not isinstance(test, str) or test not in setups:
        raise InputError(_unknown_test(table, label, setups))
    setup_type = setups[test]
    keys = list(setup_record(setup_type).model_fields)
    for key in table:
        if key not in RESERVED and key not in keys:
            guess = nearest(key, [*RESERVED, *keys])
            hint = f'; did you mean "{guess}"?' if guess else ""
            raise InputError(f"{label}.{_word(key)}: unknown key; allowed: {', '.join([*RESERVED, *keys])}{hint}")
    for key in ("quantity", "csv"):
        if key in table and not isinstance(table[key], str):
            raise InputError(f"{label}.{key}: found {quote(table[key])}; allowed: text in quotation marks")
    body = dict(table)
    if "csv" in table:
        body = _with_csv(table, label, keys, beside)
    if "value" not in body:
        raise InputError(f'{label}.value: missing key; needed: what was read, such as value = "258 cpm", or csv')
    return _one_by_one(body, label, setup_type)


def _unknown_test(table: dict[str, Any], label: str, setups: Mapping[str, type[Any]]) -> str:
    listed = ", ".join(f'"{name}"' for name in setups)
    if "test" not in table:
        return f"{label}.test: missing key; needed: the name of a test: {listed}"
    found = table["test"]
    guess = nearest(found, list(setups)) if isinstance(found, str) else None
    hint = f'; did you mean "{guess}"?' if guess else ""
    return f"{label}.test: found {quote(found)}; allowed: {listed}{hint}"


def _word(key: str) -> str:
    return key if key.isprintable() and len(key) < 60 else quote(key)


def _with_csv(table: dict[str, Any], label: str, keys: list[str], beside: Path) -> dict[str, Any]:
    """The table with columns of its CSV file as lists of quantities."""
    if "value" in table:
        raise InputError(f"{label}: found both value and csv; allowed: one of the two")
    path = Path(table["csv"])
    found = read_csv_table(path if path.is_absolute() else beside.parent / path)
    value = next((name for name in found.names if name not in (*keys, "error")), None)
    if value is None:
        raise InputError(f"{found.source}: found no column of readings; allowed: one beside {', '.join(found.names)}")
    others = [name for name in found.names if name not in (*keys, "error", value)]
    if others:
        guesses = (nearest(name, [key for key in keys if key not in found.names]) for name in (value, *others))
        guess = next((guess for guess in guesses if guess), None)
        hint = f'; did you mean "{guess}"?' if guess else ""
        raise InputError(
            f"{found.source}: found columns {quote(value)} and {quote(others[0])}; allowed: one column of readings, "
            f"and of the set-up {', '.join(keys)}{hint}"
        )
    read = ~np.isnan(found.values[:, found.place(value)])
    body: dict[str, Any] = {key: kept for key, kept in table.items() if key != "csv"}
    for name in found.names:
        column = _quantities(found, name, read)
        key = "value" if name == value else name
        if key in body:
            raise InputError(f"{label}.{key}: found here and as a column of {found.source}; allowed: one of the two")
        body[key] = column
    if value != "value":
        body.setdefault("quantity", value)
    if not body["value"]:
        raise InputError(f"{found.source}: column {quote(value)}: found no reading")
    return body


def _quantities(table: CsvTable, name: str, rows: np.ndarray) -> tuple[str, ...]:
    place = table.place(name)
    unit = table.units[place]
    if unit is None:
        raise InputError(
            f'{table.source}: column {quote(name)} has no unit; write it in the header, such as "{name} (mm)"'
        )
    column = table.values[rows, place]
    for line, number in zip(table.lines[rows], column, strict=True):
        if np.isnan(number):
            raise InputError(f"{table.source}: line {line}, column {quote(name)}: found nothing; allowed: a number")
    return tuple(f"{number:.12g} {unit}" for number in column)


def _one_by_one(body: dict[str, Any], label: str, setup_type: type[Any]) -> list[Stated]:
    """A table's values one by one; lists of set-up keys go with the list of values."""
    hints = get_type_hints(setup_type)
    setup = {key: value for key, value in body.items() if key not in RESERVED}
    lists = {k: v for k, v in setup.items() if isinstance(v, tuple | list) and not _takes_list(hints[k])}
    values = body["value"]
    many = isinstance(values, tuple | list)
    if lists and not many:
        raise InputError(f"{label}.{next(iter(lists))}: found a list with one value; allowed: as many values")
    if not many:
        values = (values,)
    if not values:
        raise InputError(f"{label}.value: found an empty list; allowed: one or more values")
    errors = body.get("error")
    if isinstance(errors, tuple | list):
        lists["error"] = errors
    for key, column in lists.items():
        if len(column) != len(values):
            raise InputError(
                f"{label}.{key}: found {len(column)} beside {len(values)} values; allowed: one for each value"
            )
    out = []
    scan = many and not any(key in lists for key in setup)
    for i, value in enumerate(values):
        where = f"{label}, value {i + 1}" if many else label
        here = {key: lists[key][i] if key in lists else stated for key, stated in setup.items()}
        keys = parse_table(here, setup_record(setup_type), source=where)
        error = lists["error"][i] if "error" in lists else errors
        stated = {key: found for key, found in keys if found is not None}
        out.append(Stated(where, body["test"], body.get("quantity", ""), stated, value, error, i if scan else None))
    return out


def _takes_list(hint: Any) -> bool:
    return get_origin(hint) is tuple or any(get_origin(part) is tuple for part in getattr(hint, "__args__", ()))
