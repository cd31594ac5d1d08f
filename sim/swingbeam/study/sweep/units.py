"""Pieces of work: which cases are run together, and how a piece that went wrong is taken apart."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from .problem import STATUSES, Array, Problem, Rows
from .spots import run_spots

CASE, SPOT = "case", "spot"
FAILED = STATUSES.index("failed")
WANTED_SECONDS = 0.5
"""A piece takes about this long: short enough to lose little, long enough that writing it costs little."""
LARGEST_BYTES = 4_000_000
"""Of one piece's figures and curves: bounds the memory whatever the number of cases."""
PIECES = 8
"""A piece that went wrong is taken apart into so many."""


class Unit(NamedTuple):
    """Cases `start` to `stop` (not included), of the study or, with kind `SPOT`, of the list of its spot checks."""

    kind: str
    start: int
    stop: int
    tries: int = 0

    @property
    def size(self) -> int:
        return self.stop - self.start


@dataclass(frozen=True, eq=False)
class Outcome:
    """What became of a unit.

    Attributes
    ----------
    rows : what it gave; None when something went wrong
    trouble : what went wrong, in words
    died : the process it ran in ended
    seconds : that it took
    """

    unit: Unit
    rows: Rows | None = None
    trouble: str = ""
    died: bool = False
    seconds: float = 0.0


DIED = "ended the process it ran in, and did so again alone: out of memory, or a crash"


def carry_out(problem: Problem, unit: Unit, history: str) -> Outcome:
    """Run a unit. An error that a case should have been a failed row for is an outcome, never raised."""
    begun = time.perf_counter()
    try:
        if unit.kind == SPOT:
            rows, curves, count = run_spots(problem, unit.start, unit.stop), 0, unit.size
        else:
            rows = problem.evaluate(np.arange(unit.start, unit.stop, dtype=np.int64), history)
            curves, count = len(problem.times(history)), unit.size
        rows = _sound(problem, rows, count, curves)
    except Exception as error:
        words = clean(f"{type(error).__name__}: {' '.join(str(error).split())}")
        return Outcome(unit, trouble=words[:500])
    return Outcome(unit, rows, seconds=time.perf_counter() - begun)


def _sound(problem: Problem, rows: Rows, count: int, curves: int) -> Rows:
    """The rows, of the shape that was promised; an infinite figure becomes none, with words that say so."""
    values = np.ascontiguousarray(rows.values, dtype=np.float64)
    status = np.ascontiguousarray(rows.status, dtype=np.int8)
    names = tuple(output.name for output in problem.outputs)
    if values.shape != (count, len(names)) or status.shape != (count,) or len(rows.reasons) != count:
        raise ValueError(f"found figures of shape {values.shape}; needed: {(count, len(names))}")
    if count and not 0 <= status.min() <= status.max() < len(STATUSES):
        raise ValueError("found a status that is none of the study's")
    kept = {curve.name: np.asarray(rows.curves[curve.name], dtype=np.float64) for curve in problem.curves if curves}
    if any(curve.shape != (count, curves) for curve in kept.values()):
        raise ValueError(f"found curves of another shape than {(count, curves)}")
    reasons = [clean(reason) for reason in rows.reasons]
    infinite = np.isinf(values)
    if infinite.any():
        values = np.where(infinite, np.nan, values)
        for case in np.flatnonzero(infinite.any(axis=1)):
            which = ", ".join(names[k] for k in np.flatnonzero(infinite[case]))
            reasons[case] = "; ".join(text for text in (reasons[case], f"infinite: {which}") if text)
    kept = {name: np.where(np.isinf(curve), np.nan, curve) for name, curve in kept.items()}
    return Rows(values, status, reasons, kept)


def clean(text: str) -> str:
    """Text that HDF5 can hold: no zero characters, nothing that is not Unicode."""
    return str(text).replace("\0", "\ufffd").encode("utf-8", "replace").decode("utf-8")


def failed_rows(problem: Problem, unit: Unit, reason: str, times: Array) -> Rows:
    """Rows of cases that could not be run."""
    values = np.full((unit.size, len(problem.outputs)), np.nan)
    status = np.full(unit.size, FAILED, dtype=np.int8)
    kept = problem.curves if len(times) and unit.kind == CASE else ()
    curves = {curve.name: np.full((unit.size, len(times)), np.nan) for curve in kept}
    return Rows(values, status, [reason] * unit.size, curves)


def taken_apart(unit: Unit) -> list[Unit]:
    """Up to `PIECES` units that make up this one; itself, tried once more, when it is a single case."""
    if unit.size == 1:
        return [unit._replace(tries=unit.tries + 1)]
    edges = np.linspace(unit.start, unit.stop, min(PIECES, unit.size) + 1).round().astype(int)
    return [Unit(unit.kind, int(a), int(b)) for a, b in pairwise(edges)]


class Slicer:
    """Cuts what is to be done into units, larger ones as it learns how fast they go.

    Units begin and end at multiples of the problem's own batch. What a case gives does not depend on how it was cut.

    Parameters
    ----------
    missing : (start, stop) ranges that are to be done
    batch : cases best run together
    crew : workers
    bytes_a_case : of figures and curves
    """

    def __init__(
        self, kind: str, missing: Iterable[tuple[int, int]], *, batch: int, crew: int, bytes_a_case: int
    ) -> None:
        self.kind = kind
        self._ranges = deque((a, b) for a, b in missing if b > a)
        self._again: deque[Unit] = deque()
        self._batch = max(1, batch)
        self._crew = max(1, crew)
        self._largest = max(1, LARGEST_BYTES // max(1, bytes_a_case))
        self._rate = 0.0
        self.left = sum(b - a for a, b in self._ranges)

    def next(self) -> Unit | None:
        """The next unit; None when there is none."""
        if self._again:
            return self._again.popleft()
        if not self._ranges:
            return None
        start, end = self._ranges[0]
        # Toward the end units grow small, so that all workers end at about the same time.
        wanted = min(self._rate * WANTED_SECONDS, self._largest, self.left / (2 * self._crew))
        batches = max(1, int(wanted // self._batch))
        stop = min(end, (start // self._batch + batches) * self._batch)
        if stop == end:
            self._ranges.popleft()
        else:
            self._ranges[0] = (stop, end)
        self.left -= stop - start
        return Unit(self.kind, start, stop)

    def put_back(self, units: Iterable[Unit]) -> None:
        self._again.extendleft(reversed(list(units)))

    def learn(self, outcome: Outcome) -> None:
        """How fast a worker is; never more than four times as fast as was thought, for first units are short."""
        seen = outcome.unit.size / max(outcome.seconds, 1e-6)
        self._rate = min(seen, 4.0 * self._rate) if self._rate else min(seen, 4.0 * self._batch / WANTED_SECONDS)


def missing_ranges(count: int, done: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """What of 0 to `count` no range covers; the ranges are sorted and do not overlap."""
    ranges, at = [], 0
    for start, stop in done:
        if start > at:
            ranges.append((at, start))
        at = max(at, stop)
    if at < count:
        ranges.append((at, count))
    return ranges
