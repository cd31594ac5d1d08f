"""Cases one by one, from a CSV file whose header names keys and units: ``swing.tempo.backswing (s), club.shaft``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.files.csv_table import CsvCells, read_csv_cells
from swingbeam.files.lookup import search_roots
from swingbeam.files.study_file import MOST_CASES
from swingbeam.units import parse_number, parse_quantity, quote

from .address import Address
from .variation import Variation

Array = NDArray[np.float64]


class Columns(Protocol):
    """What the columns mean and which values they have."""

    @property
    def addresses(self) -> tuple[Address, ...]: ...

    @property
    def variations(self) -> tuple[Variation, ...]: ...


@dataclass(frozen=True, eq=False)
class CaseList:
    """A list of cases as its file has it."""

    path: Path
    cells: CsvCells

    @property
    def source(self) -> str:
        """As messages call the file."""
        return self.cells.source

    def as_vary(self) -> dict[str, Any]:
        """Each column as [vary] would write it: the values it has, each once."""
        found: dict[str, Any] = {}
        for place, (key, unit) in enumerate(zip(self.cells.names, self.cells.units, strict=True)):
            texts = list(dict.fromkeys(row[place] for _, row in self.cells.rows))
            values: dict[object, Any] = {}
            for text in texts:
                try:
                    number = parse_number(text)
                except InputError:
                    values[text] = text  # a name, or wrong: said where it is known what the column is
                else:
                    values.setdefault(number, number if unit in (None, "", "1", "-") else f"{text} {unit}")
            found[key] = list(values.values())
        return found

    def table(self, columns: Columns) -> Array:
        """(cases, columns) SI values; names as their places.

        Raises
        ------
        InputError
            A cell that is empty or no value of its column; line and column are named.
        """
        values = np.empty((len(self.cells.rows), len(columns.addresses)))
        for place, (address, variation) in enumerate(zip(columns.addresses, columns.variations, strict=True)):
            unit = self.cells.units[place]
            known = {name: float(i) for i, name in enumerate(variation.names)}
            for i, (line, row) in enumerate(self.cells.rows):
                try:
                    values[i, place] = known[row[place]] if address.is_choice else _number(address, row[place], unit)
                except (InputError, KeyError) as error:
                    raise InputError(f"{self.source}: line {line}, column {quote(address.key)}: {error}") from None
        return values


def _number(address: Address, text: str, unit: str | None) -> float:
    return parse_quantity(f"{text} {unit}", address.kind) if address.kind else parse_number(text)


def read_case_list(study: Path, name: str) -> CaseList:
    """Read the list of cases that a study names: a path from the study's folder or the workspace.

    Raises
    ------
    InputError
        No such file, one that cannot be read, an empty cell, too many rows.
    """
    folders = [study.resolve().parent, *search_roots(study)]
    path = next((folder / name for folder in folders if (folder / name).is_file()), folders[0] / name)
    cells = read_csv_cells(path)
    if len(cells.rows) > MOST_CASES:
        raise InputError(f"{cells.source}: found {len(cells.rows):,} rows; allowed: up to {MOST_CASES:,}")
    for line, row in cells.rows:
        for key, text in zip(cells.names, row, strict=True):
            if text in ("", "nan", "NaN", "NAN"):
                raise InputError(f"{cells.source}: line {line}, column {quote(key)}: found nothing; allowed: a value")
    return CaseList(path, cells)
