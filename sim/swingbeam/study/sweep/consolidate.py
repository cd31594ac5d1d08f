"""Make one file of the parts: written aside, block by block, then given its name; the parts stay until it is whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import h5py
import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path

from .aside import Sink, publish
from .layout import StudyFile
from .problem import STATUSES, Array, Problem, Rows
from .shards import LIBVER, RESULT_ASIDE, Damaged, Parts
from .spots import spot_cases, spot_limits, verdict
from .units import CASE, FAILED, SPOT, Unit

BLOCK = 16_384
"""Cases written at a time: what is held in memory does not grow with the study."""
BLOCK_BYTES = 8_000_000
REASONS_SHOWN = 3


@dataclass(frozen=True)
class Tally:
    """What a study's rows come to.

    Attributes
    ----------
    statuses : name of a status → cases
    reasons : (why, cases) of the commonest reasons of failed cases
    doubtful : why the spot checks cast doubt on the study; empty when they do not, or there are none
    """

    statuses: dict[str, int]
    reasons: tuple[tuple[str, int], ...]
    doubtful: str


def consolidate(parts: Parts, problem: Problem, target: Path) -> Tally:
    """Write the result whole and give it its name.

    Raises
    ------
    Unwritable
        The disk is full, or its folder is read-only; the parts are unharmed.
    InputError
        The name is taken, or a part is damaged.
    """
    temporary = parts.folder / RESULT_ASIDE
    sink = Sink(temporary)
    try:
        try:
            with h5py.File(sink, "w", libver=LIBVER, track_order=True) as file:
                tally = _fill(file, parts, problem)
        except Damaged as error:
            raise InputError(
                f"{display_path(parts.folder)}: a part is damaged and must be run again: {error}"
            ) from None
    except BaseException:
        sink.finish(whole=False)
        raise
    sink.finish()
    publish(temporary, target)
    return tally


def _fill(file: h5py.File, parts: Parts, problem: Problem) -> Tally:
    units = parts.done(CASE)
    places = _reasons(parts, units)
    out = StudyFile(file, problem, parts.mark.curves_kept, list(places))
    statuses = np.zeros(len(STATUSES), dtype=np.int64)
    failed = np.zeros(len(places) + 1, dtype=np.int64)
    for start, rows in _blocks(parts, units, _block_size(out, problem)):
        cases = np.arange(start, start + len(rows.status), dtype=np.int64)
        _columns(out, problem, cases, rows)
        reason = np.array([places[text] if text else -1 for text in rows.reasons], dtype=np.int32)
        out.write("reason", start, reason)
        statuses += np.bincount(rows.status, minlength=len(STATUSES))
        failed += np.bincount(reason[rows.status == FAILED] + 1, minlength=len(failed))
    doubtful = _spots(out, parts, problem)
    out.finish()
    texts = ["", *places]
    commonest = sorted((k for k in range(1, len(texts)) if failed[k]), key=lambda k: -failed[k])[:REASONS_SHOWN]
    counts = {name: int(n) for name, n in zip(STATUSES, statuses, strict=True)}
    return Tally(counts, tuple((texts[k], int(failed[k])) for k in commonest), doubtful)


def _columns(out: StudyFile, problem: Problem, cases: NDArray[np.int64], rows: Rows) -> None:
    start = int(cases[0])
    out.write("case", start, cases)
    values = problem.values(cases)
    for k, given in enumerate(problem.inputs):
        shown = values[:, k] if given.choices else given.scale * values[:, k]
        out.write(given.name, start, shown)
    for k, figure in enumerate(problem.outputs):
        out.write(figure.name, start, rows.values[:, k])
    out.write("status", start, rows.status)
    sample = problem.sample(cases)
    if sample is not None:
        out.write("sample_row", start, sample.row)
        out.write("sample_matrix", start, sample.matrix)
        out.write("sample_column", start, sample.column)
    for name, curve in rows.curves.items():
        out.write(name, start, curve)


def _spots(out: StudyFile, parts: Parts, problem: Problem) -> str:
    cases = spot_cases(problem)
    if not len(cases):
        return ""
    differences: list[Array] = [np.full(len(cases), np.nan) for _ in problem.outputs]
    for unit in parts.done(SPOT):
        rows = parts.read(unit)
        for k, column in enumerate(differences):
            column[unit.start : unit.stop] = rows.values[:, k]
    limits = {name: float(limit) for name, limit in spot_limits(problem).items()}
    named = {figure.name: column for figure, column in zip(problem.outputs, differences, strict=True)}
    words = verdict(cases, named, limits)
    out.add_spots(cases, differences, limits, words)
    return words


def _reasons(parts: Parts, units: list[Unit]) -> dict[str, int]:
    """Every reason that is given, in the order of the cases, and its place."""
    places: dict[str, int] = {}
    for unit in units:
        for text in parts.reasons(unit):
            places.setdefault(text, len(places))
    return places


def _block_size(out: StudyFile, problem: Problem) -> int:
    """Cases written at a time: whole chunks of curves, and no more than `BLOCK_BYTES` of them."""
    times = len(out.times)
    if not times:
        return BLOCK
    a_chunk = max(1, 8 * times * len(problem.curves) * out.curve_rows)
    return out.curve_rows * max(1, min(BLOCK // out.curve_rows, BLOCK_BYTES // a_chunk))


def _blocks(parts: Parts, units: list[Unit], size: int) -> Iterator[tuple[int, Rows]]:
    """The rows of all cases in order, `size` at a time: the same blocks however the work was divided."""
    waiting: list[Rows] = []
    start = held = 0
    for unit in units:
        rows = parts.read(unit)
        at = 0
        while at < unit.size:
            piece = _cut(rows, at, min(unit.size, at + size - held))
            waiting.append(piece)
            held += len(piece.status)
            at += len(piece.status)
            if held == size:
                yield start, _joined(waiting)
                start, held, waiting = start + size, 0, []
    if waiting:
        yield start, _joined(waiting)


def _cut(rows: Rows, start: int, stop: int) -> Rows:
    return Rows(
        rows.values[start:stop],
        rows.status[start:stop],
        rows.reasons[start:stop],
        {name: curve[start:stop] for name, curve in rows.curves.items()},
    )


def _joined(pieces: list[Rows]) -> Rows:
    if len(pieces) == 1:
        return pieces[0]
    return Rows(
        np.concatenate([piece.values for piece in pieces]),
        np.concatenate([piece.status for piece in pieces]),
        [reason for piece in pieces for reason in piece.reasons],
        {name: np.concatenate([piece.curves[name] for piece in pieces]) for name in pieces[0].curves},
    )
