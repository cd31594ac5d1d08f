"""What a run has done so far: a folder beside the result, one small HDF5 file a piece of work, whole or not there.

Every file is made in memory, written aside, carried to the disk and renamed; its commit mark, with the hash of its
contents, is the last thing in it. What the run is of stands in `study.json`. A folder can be read while it grows.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import h5py
import numpy as np

from swingbeam import __version__
from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path

from .aside import ASIDE, sync_folder, unwritable, write_whole
from .problem import Problem, Rows
from .spots import spot_cases
from .units import CASE, SPOT, Unit

ENDING = ".parts"
FORMAT = "swingbeam study parts"
SCHEMA_VERSION = 1
MARK = "study.json"
RESULT_ASIDE = f"result{ASIDE}"
LIBVER = ("v108", "v110")
"""Versions of the HDF5 format that are used: what MATLAB, R and netCDF of ten years ago read."""
_NAME = re.compile(rf"({CASE}|{SPOT})-(\d{{12}})-(\d{{12}})\.h5")
_UNREADABLE = (OSError, KeyError, ValueError, IndexError, RuntimeError, TypeError)
_TEXT = h5py.string_dtype("utf-8")


class Damaged(Exception):
    """A part's contents are not what was written."""


@dataclass(frozen=True)
class Mark:
    """What a folder of parts is of.

    Attributes
    ----------
    name, kind, digest, version : of the study
    count : cases
    spots : spot checks
    curves_kept : one of `HISTORIES`
    outputs : names of the figures, in the order of the parts' columns
    curves : names of the curves kept
    files : name → SHA-256 of the text of what went in
    """

    name: str
    kind: str
    digest: str
    version: str
    count: int
    spots: int
    curves_kept: str
    outputs: tuple[str, ...]
    curves: tuple[str, ...]
    files: dict[str, str]

    @staticmethod
    def of(problem: Problem, history: str) -> Mark:
        """The mark of a run of a problem."""
        return Mark(
            name=problem.name,
            kind=problem.kind,
            digest=problem.digest,
            version=__version__,
            count=problem.count,
            spots=len(spot_cases(problem)),
            curves_kept=history,
            outputs=tuple(output.name for output in problem.outputs),
            curves=tuple(curve.name for curve in problem.curves) if len(problem.times(history)) else (),
            files={name: hashlib.sha256(text.encode()).hexdigest() for name, text in problem.files},
        )


@dataclass(frozen=True)
class Parts:
    """A folder of parts."""

    folder: Path
    mark: Mark

    def done(self, kind: str) -> list[Unit]:
        """The units that are there, by number.

        Raises
        ------
        InputError
            Two of them hold the same case, which no run of this program leaves.
        """
        found = sorted(unit for unit in self._units() if unit.kind == kind)
        for before, after in pairwise(found):
            if after.start < before.stop:
                raise InputError(
                    f"{display_path(self.folder)}: found two parts that hold case {after.start}: "
                    f"{path_of(self.folder, before).name} and {path_of(self.folder, after).name}"
                )
        return found

    def _units(self) -> Iterator[Unit]:
        for path in self.folder.iterdir():
            match = _NAME.fullmatch(path.name)
            if match:
                yield Unit(match[1], int(match[2]), int(match[3]))

    def write(self, unit: Unit, rows: Rows) -> None:
        """Keep what a unit gave. Raises Unwritable; then nothing of it is left."""
        write_whole(path_of(self.folder, unit), _encode(unit, rows, self.mark))

    def read(self, unit: Unit) -> Rows:
        """What a unit gave. Raises Damaged when it is not what was written."""
        return _decode(path_of(self.folder, unit), unit, self.mark)

    def reasons(self, unit: Unit) -> list[str]:
        """The reasons a unit's cases give, each once, in order. Raises Damaged."""
        path = path_of(self.folder, unit)
        try:
            with h5py.File(path, "r") as file:
                return [text.decode("utf-8") for text in file["reason_text"][()]]
        except _UNREADABLE as error:
            raise Damaged(f"{path.name}: {error}") from None

    def drop_damaged(self) -> list[str]:
        """Remove parts that are not what was written (a disk's doing; no run leaves such), so that they run again."""
        names = []
        for unit in list(self._units()):
            try:
                self.read(unit)
            except Damaged:
                path = path_of(self.folder, unit)
                names.append(path.name)
                path.unlink()
        return names

    def tidy(self) -> None:
        """Remove what a killed run was writing."""
        for path in list(self.folder.iterdir()):
            if path.name.endswith(ASIDE):
                path.unlink(missing_ok=True)

    def remove(self) -> None:
        """Remove what runs wrote, and the folder if that was all it held."""
        self.tidy()
        for unit in list(self._units()):
            path_of(self.folder, unit).unlink(missing_ok=True)
        (self.folder / MARK).unlink(missing_ok=True)
        with contextlib.suppress(OSError):
            self.folder.rmdir()
        sync_folder(self.folder.parent)


def folder_of(target: Path) -> Path:
    """Where the parts of a result are kept while it is not whole."""
    return target.with_name(target.name + ENDING)


def path_of(folder: Path, unit: Unit) -> Path:
    return folder / f"{unit.kind}-{unit.start:012d}-{unit.stop:012d}.h5"


def begin_parts(folder: Path, mark: Mark) -> Parts:
    """Make the folder. Raises Unwritable; then it is not there."""
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise unwritable(folder, error) from None
    try:
        write_whole(folder / MARK, (json.dumps(asdict(mark), indent=1, ensure_ascii=False) + "\n").encode())
    except BaseException:
        with contextlib.suppress(OSError):
            folder.rmdir()
        raise
    sync_folder(folder.parent)
    return Parts(folder, mark)


def find_parts(folder: Path) -> Parts | None:
    """The parts in a folder; None where there is no folder, or one in which a run was killed before its first word.

    Raises
    ------
    InputError
        It is something else, or of a later version than this program reads.
    """
    if not folder.exists():
        return None
    shown = display_path(folder)
    try:
        if not [path for path in folder.iterdir() if not path.name.endswith(ASIDE)]:
            return None
        table: dict[str, Any] = json.loads((folder / MARK).read_bytes())
        table = {**table, "outputs": tuple(table["outputs"]), "curves": tuple(table["curves"])}
        mark = Mark(**table)
    except NotADirectoryError:
        raise InputError(f"{shown}: found a file; allowed: the folder in which a run keeps its parts") from None
    except FileNotFoundError:
        raise InputError(f"{shown}: found no {MARK} in it; it is no folder of a run's parts") from None
    except OSError as error:
        raise InputError(f"{shown}: cannot be read: {error.strerror}") from None
    except (ValueError, TypeError, KeyError, AttributeError):
        raise InputError(f"{shown}: {MARK} is damaged, or of another version of this program") from None
    return Parts(folder, mark)


def _hash(rows: Rows) -> str:
    digest = hashlib.sha256()
    for array in (rows.values, rows.status, *(rows.curves[name] for name in sorted(rows.curves))):
        digest.update(np.ascontiguousarray(array).tobytes())
    digest.update(json.dumps(list(rows.reasons), ensure_ascii=False).encode("utf-8", "surrogatepass"))
    return digest.hexdigest()


def _encode(unit: Unit, rows: Rows, mark: Mark) -> bytes:
    texts = list(dict.fromkeys(reason for reason in rows.reasons if reason))
    place = {text: k for k, text in enumerate(texts)} | {"": -1}
    memory = io.BytesIO()
    with h5py.File(memory, "w", libver=LIBVER, track_order=True) as file:
        file.attrs["format"], file.attrs["digest"] = FORMAT, mark.digest
        file.attrs["first_case"], file.attrs["last_case"] = unit.start, unit.stop - 1
        values = file.create_dataset("values", data=rows.values)
        values.attrs["columns"] = ", ".join(mark.outputs)
        file.create_dataset("status", data=rows.status)
        file.create_dataset("reason", data=np.array([place[reason] for reason in rows.reasons], dtype=np.int32))
        file.create_dataset("reason_text", data=np.array(texts, dtype=object), dtype=_TEXT)
        for name, curve in rows.curves.items():
            file.create_dataset(f"curves/{name}", data=curve)
        file.attrs["committed"] = _hash(rows)
    return memory.getvalue()


def _decode(path: Path, unit: Unit, mark: Mark) -> Rows:
    try:
        with h5py.File(path, "r") as file:
            committed, digest = file.attrs["committed"], file.attrs["digest"]
            texts = [text.decode("utf-8") for text in file["reason_text"][()]]
            kept = file.get("curves", {})
            rows = Rows(
                values=file["values"][()],
                status=file["status"][()],
                reasons=[texts[k] if k >= 0 else "" for k in file["reason"][()]],
                curves={name: kept[name][()] for name in kept},
            )
    except _UNREADABLE as error:
        raise Damaged(f"{path.name}: {error}") from None
    if digest != mark.digest:
        raise Damaged(f"{path.name}: of another study")
    if committed != _hash(rows) or rows.values.shape != (unit.size, len(mark.outputs)):
        raise Damaged(f"{path.name}: not what was written")
    return rows
