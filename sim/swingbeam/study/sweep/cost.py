"""What a study costs on this machine before it is run: a few of its cases swung and timed."""

from __future__ import annotations

import os
import time
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .plans import distinct
from .problem import HISTORIES, Input
from .swing_study import SwingStudy

SAMPLED = 4
"""Cases that are timed."""


@dataclass(frozen=True)
class Span:
    """What an input ranges over.

    Attributes
    ----------
    input : its column
    low, high : smallest and largest value of the timed plan's cases, SI; places for names
    levels : how many different values it has, where they can be counted; else None
    """

    input: Input
    low: float
    high: float
    levels: int | None


@dataclass(frozen=True)
class Cost:
    """What a study costs.

    Attributes
    ----------
    cases, golfers, clubs : how many of them; golfers and clubs that differ
    spans : of the inputs
    per_golfer, per_case : s of one core to make a golfer (aimed, and his reference club swung), and to build and swing
        a club
    cores : of this machine
    seconds : for all cases on all cores
    bytes : history → of the file of results, not compressed
    """

    cases: int
    golfers: int
    clubs: int
    spans: tuple[Span, ...]
    per_golfer: float
    per_case: float
    cores: int
    seconds: float
    bytes: dict[str, int]


def measure_cost(study: SwingStudy) -> Cost:
    """Swing and time a few cases, spread over the plan.

    Raises
    ------
    InputError, SimulationError
        The study's own golfer cannot be aimed.
    """
    study.prepare()
    golfers, clubs = distinct(study.plan, study.recipe)
    ids = np.unique(np.linspace(0, study.count - 1, SAMPLED + 1).round().astype(np.int64))[1:]
    if not ids.size:
        ids = np.zeros(1, dtype=np.int64)
    first, again = [], []
    for case in ids:
        first.append(_seconds(study, case))
        again.append(_seconds(study, case))
    per_case = float(np.median(again))
    per_golfer = max(float(np.median(first)) - per_case, 0.0) if golfers > 1 else 0.0
    cores = os.cpu_count() or 1
    return Cost(
        cases=study.count,
        golfers=golfers,
        clubs=clubs,
        spans=spans_of(study),
        per_golfer=per_golfer,
        per_case=per_case,
        cores=cores,
        seconds=(golfers * per_golfer + study.count * per_case) / cores,
        bytes={history: _bytes(study, history) for history in HISTORIES},
    )


def _seconds(study: SwingStudy, case: np.int64) -> float:
    begun = time.perf_counter()
    study.evaluate(np.array([case]))
    return time.perf_counter() - begun


def _bytes(study: SwingStudy, history: str) -> int:
    """Columns of eight bytes, names of two, status and reason; five columns of a sensitivity plan; curves."""
    row = sum(2 if one.choices else 8 for one in study.inputs) + 8 * len(study.outputs) + 5
    row += 11 if study.kind == "sensitivity" else 0
    row += 8 * len(study.curves) * study.times(history).size
    return row * study.count


def spans_of(study: SwingStudy) -> tuple[Span, ...]:
    """What every input ranges over."""
    low, high = np.full(len(study.inputs), np.inf), np.full(len(study.inputs), -np.inf)
    for start in range(0, study.count, 65536):
        values = study.values(np.arange(start, min(start + 65536, study.count), dtype=np.int64))
        low, high = np.minimum(low, values.min(axis=0)), np.maximum(high, values.max(axis=0))
    counted = study.kind in ("grid", "list")
    found = []
    for place, (one, variation) in enumerate(zip(study.inputs, study.recipe.variations, strict=True)):
        levels: NDArray[np.float64] | None = variation.levels if counted or variation.names else None
        found.append(Span(one, float(low[place]), float(high[place]), None if levels is None else levels.size))
    return tuple(found)
