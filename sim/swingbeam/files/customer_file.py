"""A customer's file: the club he plays, what was measured with it, his build, and the archetype to start from."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record, display_path, naming, read_toml
from swingbeam.files.club_file import ClubParts
from swingbeam.files.csv_table import CsvTable, read_csv_table
from swingbeam.files.swing_file import HandsTable, Stature, TeeHeight, check_reference_club
from swingbeam.units import KINDS, PlainNumber, Quantity, nearest, quote

_DEG = 0.017453292519943295
MOST_SHOTS = 1000

Shots = Annotated[float, PlainNumber(at_least=1.0, at_most=MOST_SHOTS)]
WristToFloor = Annotated[float, Quantity("length", at_least=0.4, at_most=1.2)]

SPEED = Quantity("speed", at_least=10.0, at_most=80.0)
SLOPE = Quantity("angle", at_least=-20.0 * _DEG, at_most=20.0 * _DEG)
LOFT = Quantity("angle", at_least=0.0, at_most=70.0 * _DEG)
CLOSURE = Quantity("angular_rate", at_least=-2000.0 * _DEG, at_most=6000.0 * _DEG)
BACK = Quantity("time", at_least=0.4, at_most=3.0)
DOWN = Quantity("time", at_least=0.15, at_most=0.6)
HAND_SPEED = Quantity("speed", at_least=2.0, at_most=20.0)
LEAN = Quantity("angle", at_least=-30.0 * _DEG, at_most=30.0 * _DEG)
STRIKE = Quantity("length", at_least=-0.06, at_most=0.06)
TEMPO = PlainNumber(at_least=1.0, at_most=8.0)

READERS: dict[str, Quantity | PlainNumber] = {
    "head_speed": SPEED,
    "attack": SLOPE,
    "path": SLOPE,
    "face_angle": SLOPE,
    "dynamic_loft": LOFT,
    "closure": CLOSURE,
    "tempo": TEMPO,
    "backswing": BACK,
    "downswing": DOWN,
    "hand_speed": HAND_SPEED,
    "shaft_lean": LEAN,
    "strike_toe": STRIKE,
    "strike_up": STRIKE,
}
"""Figure → how its value is read, with what is allowed."""
SWING_FIGURES = tuple(key for key in READERS if not key.startswith("strike"))


class MeasuredFigure(Record):
    """The mean of a figure over the shots; `spread` is its standard deviation from shot to shot."""

    value: Any = Field(description='the mean over the shots, such as "44.5 m/s"')
    spread: Any = None
    shots: Shots | None = None


class FiguresTable(Record):
    """Any of the figures, each { value, spread, shots } or the value alone."""

    head_speed: Any = None
    attack: Any = None
    path: Any = None
    face_angle: Any = None
    dynamic_loft: Any = None
    closure: Any = None
    tempo: Any = None
    backswing: Any = None
    downswing: Any = None
    hand_speed: Any = None
    shaft_lean: Any = None
    strike_toe: Any = None
    strike_up: Any = None


class CustomerFile(Record):
    """One customer as his file states him; SI once read, but for `figures`, which `figures_of_file` reads."""

    name: str = Field(min_length=1, description="what the customer is called")
    note: str = Field(default="", description="what else is known of him")
    archetype: str = Field(min_length=1, description='name or path of the swing to start from, such as "even"')
    handed: Literal["right", "left"] = "right"
    stature: Stature | None = None
    wrist_to_floor: WristToFloor | None = None
    tee_height: TeeHeight | None = None
    hands: HandsTable | None = None
    shots: Shots = Field(default=1.0, description="how many shots the figures are means of")
    shots_file: str | None = Field(default=None, description="CSV of single shots instead of [figures]")
    figures: FiguresTable = FiguresTable()
    club: ClubParts = Field(description="a table with shaft, head and finished_length: the club that was measured")

    @model_validator(mode="after")
    def _check(self) -> CustomerFile:
        if self.stature is not None and self.wrist_to_floor is not None:
            raise InputError("found stature and wrist_to_floor; allowed: one of the two")
        try:
            check_reference_club(self.club)
        except InputError as error:
            raise InputError(str(error).replace("reference_club", "club", 1)) from None
        for key, reader in READERS.items():
            found = getattr(self.figures, key)
            if found is not None:
                _stated(key, found, reader)
        return self


class StatedFigure(Record):
    """A figure as read: SI; spread None where none is stated."""

    value: float
    spread: float | None
    shots: int


def _whole(shots: float, where: str) -> int:
    if shots != round(shots):
        raise InputError(f"{where}: found {shots:g}; allowed: a whole number of shots")
    return round(shots)


def _stated(key: str, found: object, reader: Quantity | PlainNumber) -> tuple[float, float | None, float | None]:
    """(value, spread, shots) of one entry of [figures], SI."""
    where = f"figures.{key}"
    table = found if isinstance(found, dict) else {"value": found}
    unknown = next((name for name in table if name not in MeasuredFigure.model_fields), None)
    if unknown is not None:
        guess = nearest(str(unknown), list(MeasuredFigure.model_fields))
        hint = f'; did you mean "{guess}"?' if guess else ""
        raise InputError(f"{where}.{unknown}: unknown key; allowed: value, spread, shots{hint}")
    if "value" not in table:
        raise InputError(f"{where}.value: missing key; needed: the mean over the shots")
    wide = PlainNumber(above=0.0) if isinstance(reader, PlainNumber) else Quantity(reader.kind, above=0.0)
    with naming(f"{where}.value" if isinstance(found, dict) else where):
        value = reader.read(table["value"])
    with naming(f"{where}.spread"):
        spread = wide.read(table["spread"]) if "spread" in table else None
    with naming(f"{where}.shots"):
        shots = PlainNumber(at_least=1.0, at_most=MOST_SHOTS).read(table["shots"]) if "shots" in table else None
    if shots is not None:
        _whole(shots, f"{where}.shots")
    return value, spread, shots


def read_customer(path: Path) -> tuple[CustomerFile, dict[str, StatedFigure]]:
    """A customer's file and his figures, by key, SI.

    Raises
    ------
    InputError
        What is wrong with the file or the shots' file, and how to mend it.
    """
    record = read_toml(path, CustomerFile)
    with naming(path):
        usual = _whole(record.shots, "shots")
        figures = {}
        for key, reader in READERS.items():
            found = getattr(record.figures, key)
            if found is None:
                continue
            value, spread, shots = _stated(key, found, reader)
            figures[key] = StatedFigure(value=value, spread=spread, shots=usual if shots is None else round(shots))
        if record.shots_file is not None:
            for key, figure in _figures_of_shots(record.shots_file, path).items():
                if key in figures:
                    raise InputError(f"figures.{key}: found here and in {record.shots_file}; allowed: one of the two")
                figures[key] = figure
        if not any(key in figures for key in SWING_FIGURES):
            raise InputError(
                f"figures: found none of the swing; allowed: any of {', '.join(SWING_FIGURES)}, "
                "in [figures] or in shots_file"
            )
    return record, figures


def _figures_of_shots(name: str, beside: Path) -> dict[str, StatedFigure]:
    """Mean, standard deviation and count of every column of a CSV of shots, one a row."""
    path = Path(name) if Path(name).is_absolute() else beside.parent / name
    table = read_csv_table(path)
    shown = display_path(path)
    figures = {}
    for column in table.names:
        if column in ("shot", "number"):
            continue
        if column not in READERS:
            guess = nearest(column, list(READERS))
            hint = f'; did you mean "{guess}"?' if guess else ""
            raise InputError(f"{shown}: column {quote(column)} is not known; allowed: shot, {', '.join(READERS)}{hint}")
        figures[column] = _column(table, column, shown)
    return figures


def _column(table: CsvTable, column: str, shown: str) -> StatedFigure:
    reader = READERS[column]
    if isinstance(reader, PlainNumber):
        values = table.plain_column(column)
        allowed = "a plain number"
    else:
        values = table.column(column, reader.kind)
        allowed = KINDS[reader.kind].allowed()
    there = values[np.isfinite(values)]
    if not there.size:
        raise InputError(f"{shown}: column {quote(column)} holds no number; leave it out")
    if there.size > MOST_SHOTS:
        raise InputError(f"{shown}: found {there.size} shots; allowed: up to {MOST_SHOTS}")
    for row, value in zip(table.lines, values, strict=True):
        low, high = reader.at_least, reader.at_most
        if np.isfinite(value) and ((low is not None and value < low) or (high is not None and value > high)):
            raise InputError(
                f"{shown}: line {row}: {column} is out of all proportion for a golfer; allowed: {allowed} as "
                "figures of a customer's file"
            )
    spread = float(np.std(there, ddof=1)) if there.size > 1 else None
    return StatedFigure(value=float(there.mean()), spread=spread or None, shots=int(there.size))
