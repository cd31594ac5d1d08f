"""The same clubs under every kind of hands, and which conclusions hold under all of them."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass

from swingbeam.beam.errors import SimulationError

from .conclusions import FIGURES, FLOORS, Conclusion, conclude, figure_of
from .golfer import load_golfer
from .rank import Case, Ranking, reference_name
from .result import HANDS
from .scenario import load_scenario

__all__ = ["FIGURES", "FLOORS", "Conclusion", "HandsComparison", "compare_hands", "conclude"]


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
    notes : things the reader should know, one sentence each
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
    notes: tuple[str, ...] = ()


def compare_hands(
    name: str | os.PathLike[str],
    *,
    solver: str | None = None,
    ball: str | None = None,
    firmness: float | None = None,
) -> HandsComparison:
    """Swing every club of a scenario under `vice`, `hold` and `effort`.

    Parameters
    ----------
    name : name or path of a scenario
    solver, ball : instead of the scenario's own
    firmness : of the grip, 0 … 1, instead of the scenario's own, or the swing's

    Raises
    ------
    InputError
        As of `rank_scenario`.
    SimulationError
        The reference club itself could not be swung to the ball.
    """
    scenario = load_scenario(name)
    record = scenario.record
    grip = record.grip_firmness if firmness is None else firmness
    golfer = load_golfer(scenario.swing, record.reference_club, firmness=grip)
    golfer = golfer.called(reference_name(golfer.club, scenario.clubs))
    how, rule = solver or record.solver, ball or record.ball
    ranking = Ranking(scenario.clubs, golfer, HANDS[0], rule, how)
    runs = dict(zip(HANDS, ranking.measured([Case(mode, how) for mode in HANDS]), strict=True))
    for mode, measured in runs.items():
        if measured[-1].status != "ok":
            why = measured[-1].reasons.get("status", "not known")
            raise SimulationError(f"the reference club itself does not strike the ball under {mode}: {why}")
    shafts = tuple(club.label for club in scenario.clubs)
    own = {q.key: {mode: tuple(figure_of(q, m) for m in runs[mode][:-1]) for mode in HANDS} for q in FIGURES}
    changes = {
        q.key: {mode: tuple(_less(v, figure_of(q, runs[mode][-1])) for v in own[q.key][mode]) for mode in HANDS}
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
        notes=golfer.notes,
    )


def _less(value: float | None, reference: float | None) -> float | None:
    return None if value is None or reference is None else value - reference
