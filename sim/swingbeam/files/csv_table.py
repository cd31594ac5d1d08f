"""Read a table of numbers from a CSV file whose header names columns and units: ``time (s), x (mm), y (mm)``.

Commas between cells, points in numbers, one header line; lines that start with "#" are comments. A byte-order
mark, as spreadsheets write it, is skipped. An empty cell or ``nan`` is a value that is not known. Whatever a
spreadsheet in another language makes of it (semicolons, tabs, decimal commas) is refused and named.
"""

from __future__ import annotations

import csv
import io
import math
import os
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path
from swingbeam.units import KINDS, nearest, quote

Array = NDArray[np.float64]

LARGEST_TABLE = 100_000_000
"""bytes"""
_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?")
_UNIT = re.compile(r"^(?P<name>.*?)\s*[(\[]\s*(?P<unit>[^()\[\]]*?)\s*[)\]]$")
_DECIMAL_COMMA = re.compile(r"^\s*[+-]?[0-9]+,[0-9]+\s*$")
_UNKNOWN = ("", "nan", "NaN", "NAN")


@dataclass(frozen=True, eq=False)
class CsvTable:
    """A table as the file has it, in the file's own units."""

    source: str
    """The file, as messages call it"""
    names: tuple[str, ...]
    """(k,) of the columns, without units"""
    units: tuple[str | None, ...]
    """(k,) as the header states them"""
    values: Array
    """(n, k); NaN where a cell is empty"""
    lines: NDArray[np.int64]
    """(n,) line of the file of each row"""

    def place(self, name: str) -> int:
        """Which column has a name.

        Raises
        ------
        InputError
            None has; the nearest is suggested.
        """
        if name in self.names:
            return self.names.index(name)
        guess = nearest(name, self.names)
        hint = f'; did you mean "{guess}"?' if guess else ""
        shown = ", ".join(self.names[:12]) + (", …" if len(self.names) > 12 else "")
        raise InputError(f"{self.source}: no column {quote(name)}; found: {shown}{hint}")

    def column(self, name: str, kind: str, unit: str | None = None) -> Array:
        """(n,) SI values of a column of a kind of `units.KINDS`; NaN where not known.

        Parameters
        ----------
        unit : the column's unit where the header states none

        Raises
        ------
        InputError
            No such column, no unit or two different ones, a unit of another kind.
        """
        place = self.place(name)
        found = self.units[place]
        if found is not None and unit is not None and found != unit:
            raise InputError(f"{self.source}: column {quote(name)}: the header says {found}, and {unit} is declared")
        wanted = found or unit
        rule = KINDS[kind]
        if wanted is None:
            example = next(iter(rule.units))
            raise InputError(
                f'{self.source}: column {quote(name)} has no unit; write it in the header, such as "{name} ({example})"'
            )
        if wanted not in rule.units:
            raise InputError(
                f"{self.source}: column {quote(name)}: found the unit {quote(wanted)}; allowed: {', '.join(rule.units)}"
            )
        return self.values[:, place] * rule.units[wanted]

    def plain_column(self, name: str) -> Array:
        """(n,) of a column of bare numbers (a component of a quaternion, say); InputError when it has a unit."""
        place = self.place(name)
        unit = self.units[place]
        if unit not in (None, "", "1", "-"):
            raise InputError(f"{self.source}: column {quote(name)}: found the unit {quote(unit)}; allowed: no unit")
        return self.values[:, place]


def read_csv_table(path: str | os.PathLike[str]) -> CsvTable:
    """Read a CSV file with one header line.

    Raises
    ------
    InputError
        A file that cannot be read, another separator, decimal commas, a cell that is no number, rows of other
        lengths than the header, two columns of one name; line and column are named.
    """
    source = display_path(path)
    return parse_csv_table(_read(Path(path), source), source)


def _read(path: Path, source: str) -> str:
    try:
        if path.is_dir():
            raise InputError(f"{source}: found a directory; allowed: a CSV file")
        with path.open("rb") as stream:
            data = stream.read(LARGEST_TABLE + 1)
    except FileNotFoundError:
        raise InputError(f"{source}: no such file") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise InputError(f"{source}: cannot be read: {reason}") from None
    if len(data) > LARGEST_TABLE:
        raise InputError(f"{source}: found more than {LARGEST_TABLE:,} bytes; allowed: a smaller table")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in data[:4096]:
        raise InputError(f'{source}: found UTF-16 text or no text at all; save it as "CSV UTF-8"')
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(f'{source}: line {line}: not UTF-8 text; save it as "CSV UTF-8"') from None


@dataclass(frozen=True, eq=False)
class CsvCells:
    """A table as text."""

    source: str
    names: tuple[str, ...]
    """(k,) of the columns, without units"""
    units: tuple[str | None, ...]
    """(k,) as the header states them"""
    rows: list[tuple[int, list[str]]]
    """Line of the file, and its k cells"""


def read_csv_cells(path: str | os.PathLike[str]) -> CsvCells:
    """Read a CSV file with one header line as text; InputError as `read_csv_table`, but for what is in the cells."""
    source = display_path(path)
    cells = _cells(_read(Path(path), source), source)
    for line, row in cells.rows:
        _check_width(row, cells.names, source, line)
    return cells


def parse_csv_table(text: str, source: str = "text") -> CsvTable:
    """A table of the text of a CSV file; InputError as `read_csv_table`."""
    cells = _cells(text, source)
    values = np.empty((len(cells.rows), len(cells.names)))
    for i, (line, row) in enumerate(cells.rows):
        values[i] = _numbers(row, cells.names, source, line)
    return CsvTable(source, cells.names, cells.units, values, np.array([line for line, _ in cells.rows]))


def _cells(text: str, source: str) -> CsvCells:
    rows: list[tuple[int, list[str]]] = []
    try:
        reader = csv.reader(io.StringIO(text, newline=""), skipinitialspace=True, strict=True)
        for row in reader:
            if row and not row[0].lstrip().startswith("#") and any(cell.strip() for cell in row):
                rows.append((reader.line_num, [cell.strip() for cell in row]))
    except csv.Error as error:
        raise InputError(f"{source}: line {reader.line_num}: not readable as CSV: {error}") from None
    if not rows:
        raise InputError(f'{source}: found no line; allowed: a header such as "time (s), x (mm)" and rows of numbers')
    names, units = _header(rows[0][1], source)
    if len(rows) == 1:
        raise InputError(f"{source}: found a header without rows")
    return CsvCells(source, names, units, rows[1:])


def _header(cells: list[str], source: str) -> tuple[tuple[str, ...], tuple[str | None, ...]]:
    for separator, word in ((";", "semicolons"), ("\t", "tabs")):
        if len(cells) == 1 and separator in cells[0]:
            raise InputError(
                f"{source}: cells are separated by {word}; allowed: commas between cells and points in numbers "
                "(save it as CSV with the region set to English)"
            )
    names, units = [], []
    for number, cell in enumerate(cells, 1):
        match = _UNIT.match(cell)
        name, unit = (match["name"], match["unit"] or None) if match else (cell, None)
        if not name:
            raise InputError(f"{source}: column {number} has no name in the header")
        if name in names:
            raise InputError(f"{source}: found two columns called {quote(name)}; allowed: a name of its own for each")
        names.append(name)
        units.append(unit)
    if all(_NUMBER.fullmatch(name) for name in names):
        raise InputError(f'{source}: found no header; allowed: a first line such as "time (s), x (mm), y (mm)"')
    return tuple(names), tuple(units)


def _check_width(cells: list[str], names: tuple[str, ...], source: str, line: int) -> None:
    if len(cells) != len(names):
        hint = ""
        if any(";" in cell for cell in cells):
            hint = "; cells must be separated by commas, not semicolons"
        elif len(cells) == 2 * len(names):
            hint = "; decimal commas are not read: write points"
        raise InputError(f"{source}: line {line}: found {len(cells)} cells; allowed: {len(names)}, as the header{hint}")


def _numbers(cells: list[str], names: tuple[str, ...], source: str, line: int) -> list[float]:
    _check_width(cells, names, source, line)
    values = []
    for name, cell in zip(names, cells, strict=True):
        if cell in _UNKNOWN:
            values.append(math.nan)
            continue
        value = float(cell) if _NUMBER.fullmatch(cell) else math.inf
        if not math.isfinite(value):
            hint = "; a decimal comma is not read: write a point" if _DECIMAL_COMMA.match(cell) else ""
            raise InputError(
                f"{source}: line {line}, column {quote(name)}: found {quote(cell)}; allowed: a number{hint}"
            )
        values.append(value)
    return values
