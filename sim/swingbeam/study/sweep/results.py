"""Reading a study's file: what it holds in a few words, and one column at a time."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import h5py
import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path
from swingbeam.units.text import nearest, quote

from .layout import FORMAT, SCHEMA_VERSION
from .problem import STATUSES, Array, Sample

NOT_RUN = "not run"
"""What a case without a row is called in counts."""


@dataclass(frozen=True)
class Variable:
    """One column of a study: an input or an output of every case.

    Attributes
    ----------
    name : in the file
    key : an input's address, as the study's file writes it; the name of an output
    unit : in CF notation, of the values as they stand
    long_name : in words, with its sign
    frame : the frame an output is read in; empty where it has none
    choices : for a named thing the names, and the value is the place in them; empty for a number
    """

    name: str
    key: str
    unit: str
    long_name: str
    frame: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class StudyResults:
    """An open file of results. Columns are read when they are asked for, one at a time.

    Attributes
    ----------
    path : of the file
    title, question, kind, held, seed, version : of the study, as `Problem` says them
    count : number of cases
    complete : whether every case has been run
    doubtful : why the spot checks cast doubt on the study; empty when they do not, or there are none
    inputs, outputs : the columns
    """

    path: Path
    title: str
    question: str
    kind: str
    held: str
    seed: int
    version: str
    count: int
    complete: bool
    doubtful: str
    inputs: tuple[Variable, ...]
    outputs: tuple[Variable, ...]
    _file: h5py.File

    def read(self, name: str) -> Array:
        """(count,) values of a column in its unit, NaN where there is none."""
        return np.asarray(self._file[name][()], dtype=float)

    def status(self) -> NDArray[np.int8]:
        """(count,) index into `STATUSES`; a value beyond them stands for a case that has not been run."""
        return np.asarray(self._file["status"][()], dtype=np.int8)

    def counts(self) -> dict[str, int]:
        """Status → number of cases, `NOT_RUN` among them where there are such."""
        status = self.status()
        found = {word: int((status == k).sum()) for k, word in enumerate(STATUSES)}
        left = self.count - sum(found.values())
        return found | ({NOT_RUN: left} if left else {})

    def sample(self) -> Sample | None:
        """How the cases of a sensitivity plan belong together, in the order of the cases; None on other plans."""
        if self.kind != "sensitivity":
            return None
        row, matrix, column = (self._file[f"sample_{name}"][()] for name in ("row", "matrix", "column"))
        return Sample(row.astype(np.int64), matrix.astype(np.int8), column.astype(np.int16))

    def spots(self) -> int:
        """Cases that were run with the other solver as well."""
        return int(self._file["spot_case"].shape[0]) if "spot_case" in self._file else 0

    def rows_wanted(self) -> int | None:
        """Rows the sensitivity plan asked for, spares not counted; None where the file does not say."""
        found = self._file.attrs.get("sample_rows")
        return None if found is None else int(found)

    def find(self, wanted: str, among: Sequence[Variable] | None = None, option: str = "") -> Variable:
        """The column of a name or a key.

        Raises
        ------
        InputError
            There is none; the message names the nearest and what there is. `option` is what asked for it.
        """
        columns = (*self.inputs, *self.outputs) if among is None else tuple(among)
        for column in columns:
            if wanted in (column.name, column.key):
                return column
        names = [name for column in columns for name in dict.fromkeys((column.key, column.name))]
        within = [name for name in names if wanted and wanted.lower() in name.lower()]
        guess = within[0] if within else nearest(wanted, names)
        hint = f'; did you mean "{guess}"?' if guess else ""
        allowed = ", ".join(column.key for column in columns)
        where = f"{option}: " if option else ""
        shown = display_path(self.path)
        raise InputError(f"{where}found {quote(wanted)}, no column of {shown}{hint}; allowed: {allowed}")


@contextmanager
def open_results(path: str | os.PathLike[str]) -> Iterator[StudyResults]:
    """Open a study's file for reading.

    Raises
    ------
    InputError
        No such file, no HDF5, not a study's, or of a later version than this program reads.
    """
    target = Path(path)
    shown = display_path(target)
    if not target.is_file():
        raise InputError(f"{shown}: no such file; allowed: the file that `swingbeam study run` writes")
    try:
        file = h5py.File(target, "r")
    except OSError as error:
        words = "another program is writing it" if "lock" in str(error) else "it is no whole HDF5 file"
        raise InputError(f"{shown}: cannot be read: {words}; allowed: the file of a study") from None
    with file:
        yield _describe(file, target, shown)


def _describe(file: h5py.File, path: Path, shown: str) -> StudyResults:
    attributes = {name: _plain(value) for name, value in file.attrs.items()}
    found = str(attributes.get("format", ""))
    if found != FORMAT or "case" not in file:
        raise InputError(f'{shown}: found format "{found}"; allowed: "{FORMAT}", the file of a study')
    version = int(attributes.get("schema_version", 0))
    if version > SCHEMA_VERSION:
        raise InputError(f"{shown}: found schema_version {version}; this program reads up to {SCHEMA_VERSION}")
    variables = [
        (str(_plain(item.attrs["role"])), _variable(name, item))
        for name, item in file.items()
        if "role" in item.attrs and item.ndim == 1
    ]
    return StudyResults(
        path=path,
        title=str(attributes.get("title", path.stem)),
        question=str(attributes.get("question", "")),
        kind=str(attributes.get("plan", "")),
        held=str(attributes.get("held", "")),
        seed=int(attributes.get("seed", 0)),
        version=str(attributes.get("version", "")),
        count=int(file["case"].shape[0]),
        complete=bool(attributes.get("complete", 1)),
        doubtful=str(attributes.get("doubtful", "")),
        inputs=tuple(variable for role, variable in variables if role == "input"),
        outputs=tuple(variable for role, variable in variables if role == "output"),
        _file=file,
    )


def _variable(name: str, item: h5py.Dataset) -> Variable:
    attributes = {key: _plain(value) for key, value in item.attrs.items()}
    choices = str(attributes["flag_meanings"]).split() if "flag_meanings" in attributes else []
    return Variable(
        name=name,
        key=str(attributes.get("key", name)),
        unit=str(attributes.get("units", "1")),
        long_name=str(attributes.get("long_name", name)),
        frame=str(attributes.get("frame", "")),
        choices=tuple(choices),
    )


def _plain(value: Any) -> Any:
    """An attribute as Python's own: text decoded, an array of one its member."""
    if isinstance(value, bytes):
        return value.decode("utf-8")
    if isinstance(value, np.ndarray) and value.size == 1:
        return _plain(value.reshape(-1)[0])
    return value
