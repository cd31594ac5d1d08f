"""Is a study's file whole, and what was written? The same of the parts that an interrupted run left."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import h5py
import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path

from .consolidate import BLOCK, REASONS_SHOWN
from .layout import CONTENTS, FORMAT, HASH, SCHEMA_VERSION, contents_hash, text_bytes
from .problem import STATUSES
from .shards import ENDING, Damaged, find_parts, folder_of
from .spots import verdict
from .units import CASE, FAILED, SPOT, Unit, missing_ranges

ATTRIBUTES = ("title", "question", "plan", "held", "seed", "digest", "version", "curves_kept", "complete")
_AXES = {"input": ("case",), "output": ("case",), "curve": ("case", "time")}
_SHOWN = 5


@dataclass(frozen=True)
class Checked:
    """What was found.

    Attributes
    ----------
    path : the file, or the folder of parts
    title : of the study
    count : cases the study has
    statuses : name of a status → cases
    reasons : (why, cases) of the commonest reasons of failed cases
    missing : (start, stop) ranges of cases without a row
    problems : what is wrong with the file, in words
    spots : cases run with the other solver as well
    doubtful : why those cast doubt on the study; empty when they do not
    """

    path: Path
    title: str
    count: int
    statuses: dict[str, int]
    reasons: tuple[tuple[str, int], ...] = ()
    missing: tuple[tuple[int, int], ...] = ()
    problems: tuple[str, ...] = ()
    spots: int = 0
    doubtful: str = ""

    @property
    def missing_count(self) -> int:
        return sum(stop - start for start, stop in self.missing)

    @property
    def is_sound(self) -> bool:
        """Whether it is whole, what was written, and not doubtful. Failed cases are rows like others."""
        return not (self.problems or self.missing or self.doubtful)


def check_study(path: str | os.PathLike[str]) -> Checked:
    """Check a study's file, or the folder of parts beside one that is not there yet.

    Raises
    ------
    InputError
        Neither is there, or it is something else.
    """
    target = Path(path)
    if target.is_dir():
        return _check_parts(target)
    if not target.exists() and folder_of(target).is_dir():
        return _check_parts(folder_of(target))
    if not target.exists():
        raise InputError(f"{display_path(target)}: no such file; allowed: a file that `study run` writes, or its parts")
    try:
        file = h5py.File(target, "r")
    except OSError as error:
        words = " ".join(str(error).split())
        return Checked(target, target.stem, 0, {}, problems=(f"it is no whole HDF5 file: {words}",))
    with file:
        if _text(file.attrs.get("format", "")) != FORMAT or not isinstance(file.get("case"), h5py.Dataset):
            raise InputError(f'{display_path(target)}: no study\'s file; allowed: one of format "{FORMAT}"')
        version = int(file.attrs.get("schema_version", 0))
        if version > SCHEMA_VERSION:
            raise InputError(
                f"{display_path(target)}: found schema_version {version}; this program reads up to {SCHEMA_VERSION}"
            )
        return _check_file(target, file)


def _check_file(path: Path, file: h5py.File) -> Checked:
    count = int(file["case"].shape[0])
    problems = [*_structure(file), *_damage(file)]
    if problems:
        return Checked(path, _text(file.attrs.get("title", path.stem)), count, {}, problems=tuple(problems))
    status, reason = file["status"][()], file["reason"][()]
    known = (status >= 0) & (status < len(STATUSES))
    counts = {name: int((status == k).sum()) for k, name in enumerate(STATUSES)}
    silent = int(((status == FAILED) & (reason < 0)).sum())
    if silent:
        problems.append(f"{silent:,} failed cases without a reason")
    if int(file.attrs["complete"]) != int(known.all()):
        problems.append("it does not say rightly whether it is complete")
    spots, doubtful = _spots(file)
    if doubtful != _text(file.attrs.get("doubtful", "")):
        problems.append("what it says of its spot checks is not what they give")
    return Checked(
        path,
        _text(file.attrs["title"]),
        count,
        counts,
        _commonest(reason[status == FAILED], [_text(text) for text in file["reason_text"][()]]),
        tuple(_runs(~known)),
        tuple(problems),
        spots,
        doubtful,
    )


def _structure(file: h5py.File) -> Iterator[str]:
    """What is missing or of another shape than it must be."""
    lacking = [name for name in ATTRIBUTES if name not in file.attrs]
    if lacking:
        yield f"attributes are missing: {', '.join(lacking)}"
    needed = {"status": ("case",), "reason": ("case",), "reason_text": ("reason_number",), "file_text": ("file",)}
    if _text(file.attrs.get("plan", "")) == "sensitivity":
        needed |= {f"sample_{name}": ("case",) for name in ("row", "matrix", "column")}
    for name, axes in needed.items():
        if name not in file:
            yield f"{name} is missing"
        elif _axes(file[name]) != axes:
            yield f"{name} has other dimensions than {', '.join(axes)}"
    roles = {name: _text(item.attrs["role"]) for name, item in file.items() if "role" in item.attrs}
    if "input" not in roles.values() or "output" not in roles.values():
        yield "it has no inputs or no outputs"
    for name, role in roles.items():
        item = file[name]
        if _axes(item) != _AXES.get(role):
            yield f"{name} has other dimensions than {', '.join(_AXES.get(role, ('a known role',)))}"
        if "units" not in item.attrs and "flag_meanings" not in item.attrs:
            yield f"{name} has no units"


def _damage(file: h5py.File) -> Iterator[str]:
    """Values that are not what was written."""
    for name, item in file.items():
        try:
            found = _hash(item)
        except (OSError, RuntimeError, ValueError) as error:
            yield f"{name} cannot be read: {' '.join(str(error).split())}"
            continue
        if found != _text(item.attrs.get(HASH, "")):
            yield f"{name} is not what was written: its hash differs"
    try:
        if contents_hash(file) != _text(file.attrs.get(CONTENTS, "")):
            yield "names, units or attributes are not what was written: their hash differs"
    except (OSError, RuntimeError, ValueError) as error:
        yield f"attributes cannot be read: {' '.join(str(error).split())}"
    cases = file["case"]
    for start in range(0, cases.shape[0], BLOCK):
        if not np.array_equal(cases[start : start + BLOCK], np.arange(start, min(start + BLOCK, cases.shape[0]))):
            yield "the cases are not numbered from 0"
            return


def _hash(item: h5py.Dataset) -> str:
    """SHA-256 of a variable's values, read a piece at a time."""
    digest = hashlib.sha256()
    step = item.chunks[0] * max(1, BLOCK // max(1, item.chunks[0] * item.shape[-1])) if item.chunks else BLOCK
    for start in range(0, item.shape[0], step):
        piece = item[start : start + step]
        if item.dtype.kind == "O":
            digest.update(text_bytes([_text(text) for text in piece]))
        else:
            digest.update(np.ascontiguousarray(piece).tobytes())
    return digest.hexdigest()


def _spots(file: h5py.File) -> tuple[int, str]:
    """How many spot checks there are, and what they say once more."""
    if "spot_case" not in file:
        return 0, ""
    cases = file["spot_case"][()]
    prefix = "spot_difference_"
    items = {name.removeprefix(prefix): item for name, item in file.items() if name.startswith(prefix)}
    limits = {name: float(item.attrs["limit"]) for name, item in items.items() if "limit" in item.attrs}
    return len(cases), verdict(cases, {name: items[name][()] for name in limits}, limits)


def _check_parts(folder: Path) -> Checked:
    parts = find_parts(folder)
    if parts is None:
        raise InputError(f"{display_path(folder)}: nothing is in it; allowed: a file of results, or a run's {ENDING}")
    mark = parts.mark
    problems: list[str] = []
    counts = np.zeros(len(STATUSES), dtype=np.int64)
    failed: dict[str, int] = {}
    whole: list[Unit] = []
    spots = 0
    for unit in (*parts.done(CASE), *parts.done(SPOT)):
        try:
            rows = parts.read(unit)
        except Damaged as error:
            problems.append(f"damaged, and run again by --resume: {error}")
            continue
        if unit.kind == SPOT:
            spots += unit.size
            continue
        whole.append(unit)
        counts += np.bincount(rows.status, minlength=len(STATUSES))
        for reason, status in zip(rows.reasons, rows.status, strict=True):
            if status == FAILED:
                failed[reason] = failed.get(reason, 0) + 1
    missing = missing_ranges(mark.count, [(unit.start, unit.stop) for unit in whole])
    if not missing and not problems:
        problems.append(
            "all cases are there, but not yet in one file: --resume makes it"
            if spots == mark.spots
            else f"{mark.spots - spots} of {mark.spots} spot checks are missing: --resume runs them"
        )
    statuses = {name: int(n) for name, n in zip(STATUSES, counts, strict=True)}
    commonest = sorted(failed.items(), key=lambda entry: -entry[1])[:REASONS_SHOWN]
    return Checked(folder, mark.name, mark.count, statuses, tuple(commonest), tuple(missing), tuple(problems), spots)


def _commonest(reasons: NDArray[np.int32], texts: list[str]) -> tuple[tuple[str, int], ...]:
    numbers, counts = np.unique(reasons[reasons >= 0], return_counts=True)
    order = np.argsort(-counts, kind="stable")[:REASONS_SHOWN]
    return tuple((texts[numbers[k]], int(counts[k])) for k in order)


def _runs(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """(start, stop) of each run of true flags."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]


def _axes(item: h5py.Dataset) -> tuple[str, ...]:
    return tuple(axis[0].name.lstrip("/") if len(axis) else "" for axis in item.dims)


def _text(value: object) -> str:
    return value.decode("utf-8", "replace") if isinstance(value, bytes) else str(value)


def ranges_words(ranges: tuple[tuple[int, int], ...]) -> str:
    """Ranges of cases as people read them: the first few."""
    words = [str(a) if b == a + 1 else f"{a}-{b - 1}" for a, b in ranges[:_SHOWN]]
    return ", ".join(words) + (", …" if len(ranges) > _SHOWN else "")
