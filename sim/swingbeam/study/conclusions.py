"""Which conclusions about the clubs hold under every kind of hands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from .measure import Measured
from .quantities import IMPACT, UNLOAD, Quantity
from .result import HANDS, RankResult

_SHOWN = ("half_ms", "lag_peak_mm", "lead_mm", "droop_mm", "dynamic_loft_deg", "face_angle_deg", "head_speed_mps")
FIGURES: tuple[Quantity, ...] = tuple(next(q for q in (*UNLOAD, *IMPACT) if q.key == key) for key in _SHOWN)
"""The figures that are compared."""
FLOORS: Mapping[str, float] = {
    "half_ms": 0.1, "lag_peak_mm": 0.5, "lead_mm": 0.5, "droop_mm": 0.5, "dynamic_loft_deg": 0.05,
    "face_angle_deg": 0.05, "head_speed_mps": 0.02,
}  # fmt: skip
"""Differences smaller than these, in the figure's shown unit, count as none: no fitter could use them."""


@dataclass(frozen=True)
class Conclusion:
    """What of one figure holds under every kind of hands.

    Attributes
    ----------
    key : of the figure
    pairs : how many pairs of clubs differ by more than the floor under at least one kind of hands
    agreed : how many of those are in the same order, and apart by the floor, under all
    swapped : pairs whose order two kinds of hands contradict, each beyond the floor
    signs : shaft → "+", "−" or "0" of its change against the reference club when all agree, "?" when they do not
    """

    key: str
    pairs: int
    agreed: int
    swapped: tuple[tuple[str, str], ...]
    signs: Mapping[str, str]

    @property
    def holds(self) -> bool:
        """Whether no pair of clubs is in opposite order under two kinds of hands."""
        return not self.swapped


def conclude(
    key: str, shafts: Sequence[str], changes: Mapping[str, Sequence[float | None]], floor: float
) -> Conclusion:
    """What of one figure's changes holds under every kind of hands.

    Parameters
    ----------
    changes : hands → one a shaft
    floor : smaller differences count as none

    Clubs that lack the figure under some kind of hands are left out.
    """
    known = [i for i in range(len(shafts)) if all(values[i] is not None for values in changes.values())]
    pairs = agreed = 0
    swapped = []
    for i, j in combinations(known, 2):
        signs = {_sign(values[j] - values[i], floor) for values in changes.values()}  # type: ignore[operator]
        if signs == {0}:
            continue
        pairs += 1
        agreed += len(signs) == 1
        if {-1, 1} <= signs:
            swapped.append((shafts[i], shafts[j]))
    marks = {}
    for i in known:
        found = {_sign(values[i], floor) for values in changes.values()}  # type: ignore[arg-type]
        marks[shafts[i]] = "−0+"[found.pop() + 1] if len(found) == 1 else "?"
    return Conclusion(key, pairs, agreed, tuple(swapped), marks)


def _sign(difference: float, floor: float) -> int:
    return 0 if abs(difference) < floor else (1 if difference > 0.0 else -1)


def figure_of(q: Quantity, measured: Measured) -> float | None:
    """One of `FIGURES` of a run, in its shown unit."""
    part: Any = measured.unload if q in UNLOAD else measured.impact
    return q.of(part)


def figures_under(modes: Mapping[str, Sequence[Measured]]) -> list[dict[str, dict[str, float]]]:
    """For each club, hand mode → figure's key → change against the reference club, which is the last of every mode.

    A figure that either of the two does not have is left out.
    """
    clubs = max(len(runs) for runs in modes.values())
    found: list[dict[str, dict[str, float]]] = [{} for _ in range(clubs)]
    for mode, runs in modes.items():
        for changes, measured in zip(found, runs, strict=True):
            pairs = ((q.key, figure_of(q, measured), figure_of(q, runs[-1])) for q in FIGURES)
            changes[mode] = {key: a - b for key, a, b in pairs if a is not None and b is not None}
    return found


def conclusions_of(result: RankResult) -> tuple[Conclusion, ...]:
    """What holds of a ranking under every kind of hands, one a figure; empty where it was not kept."""
    if not any(run.under for run in result.runs):
        return ()
    shafts = [run.shaft for run in result.runs]
    return tuple(
        conclude(
            q.key,
            shafts,
            {mode: [run.under.get(mode, {}).get(q.key) for run in result.runs] for mode in HANDS},
            FLOORS[q.key],
        )
        for q in FIGURES
    )
