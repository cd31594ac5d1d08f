"""The file of a swing that was recorded: smooth poses of the grip, and where they came from; read and written."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Literal

import numpy as np
import tomlkit
from numpy.typing import NDArray
from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record, display_path, parse_toml
from swingbeam.files.club_file import ClubParts
from swingbeam.files.safe_write import refuse_existing, write_new
from swingbeam.files.swing_file import HandsTable, TeeHeight, check_reference_club
from swingbeam.units import show

Array = NDArray[np.float64]

COLUMNS = ("time (s)", "x (m)", "y (m)", "z (m)", "q0", "qx", "qy", "qz")
"""Of the rows: time from impact, hold point in the world, quaternion grip → world, scalar first."""
_EXPLANATION = (
    "Made by `swingbeam record`. The poses are smooth already: time from impact, the hold point in the world (x to\n"
    "the target, z up), and the quaternion that turns the grip frame into it, scalar first. A left-hander's are\n"
    "reflected. To change the cut-off, run `swingbeam record` on the recording again."
)


class SourceTable(Record):
    """Where the poses come from."""

    data: str = Field(description="the file that was measured")
    sha256: str = Field(description="of that file")
    made_by: str = Field(description="the program's version")
    cutoff: str = Field(description="of the smoothing, in words")
    statements: tuple[str, ...] = ()
    delivered: tuple[str, ...] = ()


class PosesTable(Record):
    """The poses, one row each."""

    columns: tuple[str, ...] = Field(description=f"columns = {list(COLUMNS)}")
    rows: tuple[tuple[float, float, float, float, float, float, float, float], ...] = Field(
        description="a list of rows of eight numbers"
    )

    @model_validator(mode="after")
    def _check(self) -> PosesTable:
        if self.columns != COLUMNS:
            raise InputError(f"columns: found {', '.join(self.columns)}; allowed: {', '.join(COLUMNS)}")
        if len(self.rows) < 50:
            raise InputError(f"rows: found {len(self.rows)}; allowed: at least 50")
        rows = np.array(self.rows)
        if np.any(np.diff(rows[:, 0]) <= 0.0):
            raise InputError("rows: found times that do not increase; allowed: rows as `swingbeam record` writes them")
        if rows[0, 0] > -0.15 or rows[-1, 0] < 0.02 - 1e-6:
            raise InputError(
                f"rows: found times from {rows[0, 0]:g} to {rows[-1, 0]:g} s; allowed: from the top of the swing or "
                "before to 0.02 s after impact or later"
            )
        if np.any(np.abs(np.linalg.norm(rows[:, 4:], axis=1) - 1.0) > 1e-3):
            raise InputError("rows: found a quaternion that is not of length 1")
        if np.abs(rows[:, 1:4]).max() > 100.0:
            raise InputError("rows: found a position more than 100 m away; allowed: metres")
        return self


class RecordedSwingFile(Record):
    """One recorded swing as its file states it; SI once read."""

    name: str = Field(min_length=1, description="what the swing is called")
    note: str = Field(description="what kind of golfer it is, and where it comes from")
    driven_by: Literal["recording"] = Field(description='driven_by = "recording"')
    handed: Literal["right", "left"] = Field(description='the golfer: "right" or "left"')
    tee_height: TeeHeight = 0.0
    hands: HandsTable = HandsTable()
    reference_club: ClubParts = Field(description="a table with shaft, head and finished_length")
    source: SourceTable = Field(description="a table that says where the poses come from")
    poses: PosesTable = Field(description="a table with columns and rows")

    @model_validator(mode="after")
    def _check(self) -> RecordedSwingFile:
        check_reference_club(self.reference_club)
        return self


def write_recorded_swing(
    path: str | os.PathLike[str],
    *,
    name: str,
    note: str,
    handed: str,
    tee_height: float,
    grip_firmness: float,
    reference_club: ClubParts,
    source: SourceTable,
    rows: Array,
) -> Path:
    """Write a recorded swing to a new file, (m, 8) rows of `COLUMNS`.

    Raises
    ------
    InputError
        The file exists already, its folder cannot be written, or what it would hold does not read back; then nothing
        is written.
    """
    refuse_existing(path)
    if Path(path).suffix != ".toml":
        raise InputError(f"{display_path(path)}: a swing is written as TOML; allowed: a name that ends in .toml")
    document = tomlkit.document()
    for line in _EXPLANATION.splitlines():
        document.add(tomlkit.comment(line))
    document.add(tomlkit.nl())
    plain = {"name": name, "note": note, "driven_by": "recording", "handed": handed}
    for key, value in plain.items():
        document.add(key, value)
    document.add("tee_height", show(tee_height, "mm"))
    if grip_firmness != HandsTable().grip_firmness:
        document.add("hands", _table({"grip_firmness": show(grip_firmness, "%")}))
    document.add("reference_club", _table(club_keys(reference_club)))
    document.add("source", _table(source.model_dump()))
    text = tomlkit.dumps(document) + _poses_text(rows)
    parse_toml(text, RecordedSwingFile, source=display_path(path))
    return write_new(path, text)


def club_keys(parts: ClubParts) -> dict[str, str]:
    """A club's keys as a file states them, to ten digits."""
    units = {
        "finished_length": "in",
        "butt_trim": "in",
        "tip_trim": "in",
        "insertion": "mm",
        "grip_mass": "g",
        "grip_length": "in",
        "hold_point": "in",
    }
    keys = {}
    for key, value in parts:
        if value is not None:
            # Written to the nanometre and microgram, so that the club is the same one.
            keys[key] = f"{_in_unit(value, units[key]):.10g} {units[key]}" if key in units else str(value)
    return keys


def _in_unit(value: float, unit: str) -> float:
    from swingbeam.units import to_unit

    return to_unit(value, unit)


def _table(values: Mapping[str, object]) -> tomlkit.items.Table:
    table = tomlkit.table()
    for key, value in values.items():
        if isinstance(value, Sequence) and not isinstance(value, str):
            array = tomlkit.array()
            array.extend(list(value))
            table.add(key, array.multiline(True))
        else:
            table.add(key, value)
    return table


def _poses_text(rows: Array) -> str:
    """Written by hand: a thousand rows are slow to build as items one by one."""
    columns = ", ".join(f'"{c}"' for c in COLUMNS)
    lines = ["", "[poses]", f"columns = [{columns}]", "rows = ["]
    lines += ["  [" + ", ".join(_number(v) for v in row) + "]," for row in rows]
    return "\n".join([*lines, "]", ""])


def _number(value: float) -> str:
    text = f"{value:.13g}"
    return text if any(c in text for c in ".en") else f"{text}.0"
