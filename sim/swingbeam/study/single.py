"""Swing one club."""

from __future__ import annotations

import os
from pathlib import Path

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.club.build import load_club
from swingbeam.files.base import parse_table
from swingbeam.files.club_file import ClubParts
from swingbeam.files.lookup import find
from swingbeam.swing import load_swing

from .golfer import load_golfer
from .motion import swing_motion
from .rank import make_row, readings_of
from .result import SingleResult
from .shots import Range, fly_measured, with_shot

DEFAULT_HANDS, DEFAULT_BALL, DEFAULT_SOLVER = "hold", "re-aimed", "curvature"


def swing_club(
    swing: str | os.PathLike[str],
    *,
    shaft: str | None = None,
    head: str | None = None,
    length: str | None = None,
    solver: str | None = None,
    hands: str | None = None,
    ball: str | None = None,
    firmness: float | None = None,
    tempo: float | None = None,
    same: str | None = None,
    with_motion: bool = False,
) -> SingleResult:
    """Swing one club, the golfer's reference club unless another shaft, head or length is named.

    Parameters
    ----------
    swing : name or path of a swing
    shaft, head : names or paths
    length : finished length with its unit, such as "45.5 in"
    solver, hands, ball : as of a scenario
    firmness : of the grip, 0 … 1; None: the swing's own
    tempo, same : times the swing's own times, and what stays then (`swing.held.HELD_OF_TEMPO`); neither or both
    with_motion : keep the motion of hands, shaft and head over the downswing too

    Raises
    ------
    InputError
        A file that cannot be found or read, a club that cannot be built, a swing that is not feasible.
    SimulationError
        The reference club could not be swung to the ball.
    """
    path = Path(find("swing", swing))
    wanted = {"shaft": shaft, "head": head, "finished_length": length}
    own = {key: value for key, value in wanted.items() if value is not None}
    named = parse_table(own, ClubParts, source="options")
    if (tempo is None) != (same is None):
        raise InputError(
            f"found {'--same without --tempo' if tempo is None else '--tempo without --same'}; allowed: both, such as "
            '--tempo 1.1 --same "head speed"'
        )
    golfer = load_golfer(path, firmness=firmness, tempo=None if tempo is None or same is None else (tempo, same))
    club = golfer.club
    if own:
        common = golfer.parts.model_copy(update={"label": None})
        club = load_club(named.over(common), beside=path)
    mode, rule, how = hands or DEFAULT_HANDS, ball or DEFAULT_BALL, solver or DEFAULT_SOLVER
    reference = golfer.swing(golfer.club, mode, rule, how)
    if reference.status != "ok":
        why = reference.reasons.get("status", "not known")
        raise SimulationError(f"the reference club itself does not strike the ball: {why}")
    measured = golfer.swing(club, mode, rule, how) if own else reference
    where = Range(left_handed=load_swing(path).handed == "left")
    flown, reference_flown = fly_measured(measured, club, where), fly_measured(reference, golfer.club, where)
    run = make_row(club.label, measured, reference, *readings_of(club))
    reference_run = make_row(golfer.name, reference, reference, *readings_of(golfer.club))
    return SingleResult(
        golfer=golfer.reference.name,
        reference=golfer.name,
        hands=mode,
        ball=rule,
        solver=how,
        run=with_shot(run, flown, reference_flown),
        reference_run=with_shot(reference_run, reference_flown, reference_flown),
        air=where.air.describe(),
        notes=golfer.notes,
        motion=swing_motion(golfer, club, mode, rule, how) if with_motion and measured.status == "ok" else None,
    )
