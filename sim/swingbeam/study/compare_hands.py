"""The same clubs under every kind of hands, and which conclusions hold under all of them."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from swingbeam.beam.errors import SimulationError

from .golfer import load_golfer
from .measure import Measured
from .quantities import IMPACT, UNLOAD, Quantity
from .rank import Case, Ranking, reference_name
from .result import HANDS
from .scenario import load_scenario

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


@dataclass(frozen=True)
class HandsComparison:
    """Clubs under every kind of hands; values in the figures' shown units.

    Attributes
    ----------
    scenario, golfer, reference, ball, solver : names
    shafts : (n,) names, in the order of the scenario
    changes : key → hands → (n,) change against the reference club, None where there is none
    own : key → hands → (n,) the clubs' own figures
    conclusions : one a figure
    failures : (shaft, hands, reason) of runs that did not reach the ball
    """

    scenario: str
    golfer: str
    reference: str
    ball: str
    solver: str
    shafts: tuple[str, ...]
    changes: Mapping[str, Mapping[str, tuple[float | None, ...]]]
    own: Mapping[str, Mapping[str, tuple[float | None, ...]]]
    conclusions: tuple[Conclusion, ...]
    failures: tuple[tuple[str, str, str], ...]


def compare_hands(
    name: str | os.PathLike[str], *, solver: str | None = None, ball: str | None = None
) -> HandsComparison:
    """Swing every club of a scenario under `vice`, `hold` and `effort`.

    Parameters
    ----------
    name : name or path of a scenario
    solver, ball : instead of the scenario's own

    Raises
    ------
    InputError
        As of `rank_scenario`.
    SimulationError
        The reference club itself could not be swung to the ball.
    """
    scenario = load_scenario(name)
    record = scenario.record
    golfer = load_golfer(scenario.swing, record.reference_club)
    golfer = golfer.called(reference_name(golfer.club, scenario.clubs))
    how, rule = solver or record.solver, ball or record.ball
    ranking = Ranking(scenario.clubs, golfer, HANDS[0], rule, how)
    runs = dict(zip(HANDS, ranking.measured([Case(mode, how) for mode in HANDS]), strict=True))
    for mode, measured in runs.items():
        if measured[-1].status != "ok":
            why = measured[-1].reasons.get("status", "not known")
            raise SimulationError(f"the reference club itself does not strike the ball under {mode}: {why}")
    shafts = tuple(club.label for club in scenario.clubs)
    own = {q.key: {mode: tuple(_value(q, m) for m in runs[mode][:-1]) for mode in HANDS} for q in FIGURES}
    changes = {
        q.key: {mode: tuple(_less(v, _value(q, runs[mode][-1])) for v in own[q.key][mode]) for mode in HANDS}
        for q in FIGURES
    }
    return HandsComparison(
        scenario=scenario.name,
        golfer=golfer.reference.name,
        reference=golfer.name,
        ball=rule,
        solver=how,
        shafts=shafts,
        changes=changes,
        own=own,
        conclusions=tuple(conclude(q.key, shafts, changes[q.key], FLOORS[q.key]) for q in FIGURES),
        failures=tuple(
            (shaft, mode, measured.reasons.get("status", "not known"))
            for mode in HANDS
            for shaft, measured in zip(shafts, runs[mode], strict=False)
            if measured.status != "ok"
        ),
    )


def _value(q: Quantity, measured: Measured) -> float | None:
    part: Any = measured.unload if q in UNLOAD else measured.impact
    return q.of(part)


def _less(value: float | None, reference: float | None) -> float | None:
    return None if value is None or reference is None else value - reference


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
