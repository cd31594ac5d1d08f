"""Read a small table of text and numbers that a spreadsheet saved as CSV, units in its head, and write one.

What spreadsheets do to tables is either put right without doubt (a byte-order mark, semicolons or tabs between cells,
a row of units under the names, blank rows and columns at the end, "n/a") or refused by row and column (decimal
commas that were not declared, text among numbers, rows of another length, blank rows in between).
"""

from __future__ import annotations

import csv
import io
import math
import os
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.files.base import decode, display_path, read_bytes
from swingbeam.files.safe_write import write_new
from swingbeam.units import KINDS, nearest, parse_number, parse_quantity, quote
from swingbeam.units.kinds import KIND_OF_UNIT

Array = NDArray[np.float64]
Decimal = Literal[".", ","]

MISSING = ("", "n/a", "na", "n.a.", "nan", "#n/a", "-", "–", "—")
"""What stands for no value, in small letters."""
_BOM = b"\xef\xbb\xbf"
_SEPARATORS = (";", "\t", ",")
_HEAD = re.compile(r"^(?P<name>.*?)\s*(?:\((?P<round>[^()]*)\)|\[(?P<square>[^\[\]]*)\])\s*$")
_DECIMAL_COMMA = re.compile(r"^[+-]?[0-9]+,[0-9]+(?:[eE][+-]?[0-9]+)?$")


@dataclass(frozen=True)
class Sheet:
    """A table as it was written: text, with the names and units of its columns.

    Attributes
    ----------
    source : what messages call it
    names : of the columns, without their units
    units : as written, "" where none is stated
    rows : the cells, stripped; one tuple a row, as long as `names`
    lines : the row's number in the file, counted from 1 with the head, as a spreadsheet shows it
    decimal : the decimal mark that was declared
    """

    source: str
    names: tuple[str, ...]
    units: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    decimal: Decimal = "."

    def index(self, name: str) -> int:
        """The column of a name; InputError, with the nearest name, where there is none."""
        if name in self.names:
            return self.names.index(name)
        guess = nearest(name, list(self.names))
        hint = f"; did you mean {quote(guess)}?" if guess else ""
        raise InputError(
            f"{self.source}: found no column {quote(name)}; found {', '.join(map(quote, self.names))}{hint}"
        )

    def text(self, column: int | str) -> tuple[str, ...]:
        """The cells of a column."""
        i = column if isinstance(column, int) else self.index(column)
        return tuple(row[i] for row in self.rows)

    def numbers(self, column: int | str) -> Array:
        """A column of bare numbers, (n,), nan where no value is given; whatever unit its head states.

        Raises
        ------
        InputError
            A cell that is no number, by row and column.
        """
        i = column if isinstance(column, int) else self.index(column)
        return np.array([self._number(row[i], line, i) for row, line in zip(self.rows, self.lines, strict=True)])

    def quantities(self, column: int | str, kind: str) -> Array:
        """A column of quantities of a kind (`units.KINDS`), (n,) SI, nan where no value is given.

        Raises
        ------
        InputError
            No unit in the head, a unit of another kind, a cell that is no such quantity, by row and column.
        """
        i = column if isinstance(column, int) else self.index(column)
        unit = self.units[i]
        with_unit = f"1 {unit}".strip()
        try:
            parse_quantity(with_unit, kind)
        except InputError as error:
            if not unit:
                raise InputError(
                    f"{self.source}: column {quote(self.names[i])} states no unit; write it in the head, such as "
                    f"{quote(f'{self.names[i]} ({_example_unit(kind)})')}"
                ) from None
            raise InputError(f"{self.source}: column {quote(self.names[i])}: {error}") from None
        out = []
        for row, line in zip(self.rows, self.lines, strict=True):
            number = self._number(row[i], line, i)
            if math.isnan(number):
                out.append(number)
                continue
            try:
                out.append(parse_quantity(f"{number!r} {unit}", kind))
            except InputError as error:
                raise self._wrong(line, i, str(error)) from None
        return np.array(out)

    def _number(self, cell: str, line: int, i: int) -> float:
        if cell.lower() in MISSING:
            return math.nan
        text = cell
        if self.decimal == ",":
            if "." in cell:
                raise self._wrong(line, i, f"found {quote(cell)}; allowed: a number with a decimal comma, as declared")
            text = cell.replace(",", ".")
        elif _DECIMAL_COMMA.match(cell):
            raise self._wrong(
                line, i, f"found {quote(cell)}, a decimal comma; allowed: a decimal point, or decimal commas declared"
            )
        try:
            return parse_number(text)
        except InputError as error:
            raise self._wrong(line, i, str(error)) from None

    def _wrong(self, line: int, i: int, message: str) -> InputError:
        return InputError(f"{self.source}: row {line}, column {quote(self.names[i])}: {message}")


def read_sheet(path: str | os.PathLike[str], *, decimal: Decimal = ".") -> Sheet:
    """Read a CSV file.

    Parameters
    ----------
    decimal : the decimal mark; a comma is read only where it is declared, and then not between cells

    Raises
    ------
    InputError
        The file cannot be read, is empty, or is no table: by row and column.
    """
    shown = display_path(path)
    return parse_sheet(decode(read_bytes(path).removeprefix(_BOM), shown), source=shown, decimal=decimal)


def parse_sheet(text: str, *, source: str = "text", decimal: Decimal = ".") -> Sheet:
    """CSV text to a table; `source` names it in messages. Raises InputError as `read_sheet`."""
    lines, separator = _cells(text.removeprefix("\ufeff"), source, decimal)
    if not lines:
        raise InputError(f"{source}: found no rows; allowed: a row of names, then a row for each thing")
    (head_line, head), body = lines[0], lines[1:]
    width = len(head)
    names, units = zip(*(_name_and_unit(cell) for cell in head), strict=True)
    _check_names(names, head_line, source)
    if body and not any(units) and _is_unit_row(body[0][1]):
        units = tuple((body[0][1] + [""] * width)[:width])
        units = tuple(unit.strip("()[] ") for unit in units)
        body = body[1:]
    rows, numbers = [], []
    for number, cells in body:
        if not any(cells):
            raise InputError(f"{source}: row {number} is blank between others; allowed: blank rows at the end only")
        while len(cells) > width and not cells[-1]:
            cells.pop()
        if len(cells) != width:
            raise InputError(
                f"{source}: row {number}: found {len(cells)} cells between {_called(separator)}; allowed: {width}, one "
                "for each name in the head"
            )
        rows.append(tuple(cells))
        numbers.append(number)
    return Sheet(source, tuple(names), tuple(units), tuple(rows), tuple(numbers), decimal)


def _cells(text: str, source: str, decimal: Decimal) -> tuple[list[tuple[int, list[str]]], str]:
    """(row number, stripped cells) of every row up to the last that holds something, without empty end columns."""
    if "\0" in text:
        raise InputError(f"{source}: found a NUL character; allowed: a text file saved as CSV")
    declared = re.match(r"(?i)^\s*sep=(.)\r?\n", text)
    separator = declared.group(1) if declared else _separator(text)
    if separator == "," and decimal == ",":
        raise InputError(
            f"{source}: found commas between cells where decimal commas were declared; allowed: semicolons or tabs "
            "between cells"
        )
    try:
        read = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True))
    except csv.Error as error:
        raise InputError(f"{source}: not readable as CSV: {quote(str(error), 120)}") from None
    rows = [(i, [_clean(cell) for cell in cells]) for i, cells in enumerate(read, 1)]
    if declared:
        rows = rows[1:]
    while rows and not any(rows[-1][1]):
        rows.pop()
    while rows and not any(rows[0][1]):
        rows.pop(0)
    if rows:
        head = rows[0][1]
        while head and not head[-1]:
            head.pop()
    return rows, separator


def _clean(cell: str) -> str:
    return cell.replace("\u00a0", " ").replace("\u202f", " ").strip()


def _separator(text: str) -> str:
    """What stands between the cells: whichever the first row that is not blank holds, semicolons and tabs first."""
    first = next((line for line in text.splitlines() if line.strip(" ;,\t")), "")
    bare = re.sub(r'"[^"]*"', "", first)
    return next((s for s in _SEPARATORS if s in bare), ",")


def _called(separator: str) -> str:
    return {",": "commas", ";": "semicolons", "\t": "tabs"}.get(separator, quote(separator))


def _name_and_unit(cell: str) -> tuple[str, str]:
    match = _HEAD.match(cell)
    if match is None:
        return cell, ""
    unit = match.group("round") if match.group("round") is not None else match.group("square")
    return match.group("name"), unit.strip()


def _check_names(names: Sequence[str], line: int, source: str) -> None:
    for number, name in enumerate(names, 1):
        if not name:
            raise InputError(
                f"{source}: row {line}, column {number}: found no name in the head; allowed: a name for each"
            )


def _is_unit_row(cells: Sequence[str]) -> bool:
    """A row under the names that holds units only."""
    stated = [cell.strip("()[] ") for cell in cells if cell.strip("()[] ")]
    return bool(stated) and all(unit in KIND_OF_UNIT for unit in stated)


def _example_unit(kind: str) -> str:
    return KINDS[kind].example.rsplit(" ", 1)[1]


def sheet_text(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table as CSV text: commas, decimal points, "\\n" at the end of lines; None and nan are left blank."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(head)
    for row in rows:
        writer.writerow(["" if _is_missing(value) else value for value in row])
    return out.getvalue()


def _is_missing(value: object) -> bool:
    return value is None or (isinstance(value, float) and math.isnan(value))


def write_sheet(path: str | os.PathLike[str], head: Sequence[str], rows: Iterable[Sequence[object]]) -> Path:
    """Write a new CSV file, whole or not at all; InputError as `safe_write.write_new`."""
    return write_new(path, sheet_text(head, rows))
