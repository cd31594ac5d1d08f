"""Adjust a line until the flexible reference club delivers what is stated.

Five unknowns (yaw and pitch of the whole swing, lean, forearm roll at impact, downswing time; four when the
downswing time is stated) against path, attack, dynamic loft, face angle and head speed: Newton with a
difference Jacobian at a coarse step, then Broyden's rank-one updates at the full one (Broyden 1965, Math.
Comp. 19:577). Parameters start the solve; the delivered values win.
"""

from __future__ import annotations

import math
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..beam import History, Motion, RigidBody
from ..beam.errors import InputError, SimulationError
from ..club.build import Club
from .ball import BALL_RADIUS, Delivered, ball_of_rigid_club, ball_on_face, delivered
from .hands import MEDIUM
from .line import LINE_STEP, Line, draw_line, speed_at_impact
from .plan import DEGREE, FIRST_DOWNSWING, FIRST_LEAN, Adjustment, SwingPlan
from .reference import Reference, drive_reference, hand_axes, rigid_with_hands, root_inertia

Array = NDArray[np.float64]

COARSE_LINE_STEP = 2.0e-3
COARSE_RUN_STEP = 4.0e-3
"""s, for the Jacobian and the first passes."""
DIFFERENCES = np.array([0.5 * DEGREE, 0.5 * DEGREE, 0.5 * DEGREE, 0.5 * DEGREE, 2.0e-3])
LARGEST_MOVE = np.array([6.0 * DEGREE, 6.0 * DEGREE, 6.0 * DEGREE, 10.0 * DEGREE, 0.03])
SCALES = np.array([DEGREE, DEGREE, DEGREE, DEGREE, 0.5])
"""Of the misses: face angle, dynamic loft, attack, path (rad) and head speed (m/s)."""
COARSE_TOLERANCE, TOLERANCE = 3e-3, 1e-7
"""Largest miss over its scale: at the end 1e-7 degrees and 5e-8 m/s."""
MOST_PASSES = 25
MOST_LEAN = 15.0 * DEGREE
"""The shaft leans no further than this, either way, in a swing worth simulating. A head moves nearly square
to its shaft, so leaning it changes loft and attack together: their difference hardly depends on the lean, and
asking for much more or less of it would need an absurd one."""
MOST_BEND = 0.5
"""Of its length beyond the hands: a shaft whose tip leaves its straight line by more is a rope, and how the
delivery moves with the lean says nothing about a club."""


@dataclass(frozen=True, eq=False)
class Shot:
    """One line and the reference club's run along it."""

    line: Line
    run: History
    at_impact: Delivered
    slopes: Array | None = None
    """Of the misses over the unknowns, where it was aimed."""


class _Aimer:
    """Lines, runs and misses as a function of the unknowns."""

    def __init__(self, plan: SwingPlan, club: Club, body: RigidBody) -> None:
        self.plan, self.club, self.body = plan, club, body
        self.count = 5 if plan.target.head_speed is not None else 4
        self.near: float | None = None

    def adjustment(self, x: Array) -> Adjustment:
        downswing = float(x[4]) if self.count == 5 else float(self.plan.tempo.downswing or 0.0)
        yaw, pitch, lean, roll = (float(v) for v in x[:4])
        return Adjustment(yaw, pitch, lean, roll, downswing)

    def shot(self, x: Array, fine: bool) -> Shot:
        line = draw_line(
            self.plan,
            self.body,
            self.adjustment(x),
            step=LINE_STEP if fine else COARSE_LINE_STEP,
            near=self.near,
        )
        self.near = line.release
        run = drive_reference(line, self.club, step=None if fine else COARSE_RUN_STEP)
        return Shot(line, run, delivered(run, self.club.face))

    def miss(self, shot: Shot) -> Array:
        target, got = self.plan.target, shot.at_impact
        values = [
            got.face_angle - target.face_angle,
            got.dynamic_loft - target.dynamic_loft,
            got.attack - target.attack,
            got.path - target.path,
        ]
        if target.head_speed is not None:
            values.append(got.head_speed - target.head_speed)
        return np.array(values) / SCALES[: self.count]


def first_guess(plan: SwingPlan, body: RigidBody, club: Club) -> Array:
    """(4 or 5,) unknowns to start from: the rigid club's head speed sets the downswing time.

    Raises
    ------
    InputError
        No downswing time between 0.2 and 0.45 s is feasible; the message of the one nearest the usual is
        passed on.
    """
    start = np.array([0.0, 0.0, FIRST_LEAN, 0.0, FIRST_DOWNSWING])
    if plan.target.head_speed is None:
        return start[:4]
    head = np.array([club.length_beyond_hold, 0.0, 0.0]) + club.tip.offset
    speeds: list[tuple[float, float]] = []
    reason: InputError | None = None
    for downswing in sorted(np.arange(0.20, 0.451, 0.025), key=lambda x: abs(x - FIRST_DOWNSWING)):
        try:
            line = draw_line(plan, body, Adjustment(0.0, 0.0, FIRST_LEAN, 0.0, float(downswing)), step=COARSE_LINE_STEP)
        except InputError as error:
            reason = reason or error
            continue
        speeds.append((float(downswing), speed_at_impact(line, head) - plan.target.head_speed))
    if not speeds:
        raise reason or InputError("no downswing time is feasible")
    speeds.sort()
    times, misses = (np.array(v) for v in zip(*speeds, strict=True))
    crossing = np.nonzero(misses[:-1] * misses[1:] <= 0.0)[0]
    if crossing.size:
        # The usual swing is the one in which more time means less speed: the last such crossing.
        i = int(crossing[-1])
        start[4] = times[i] - misses[i] * (times[i + 1] - times[i]) / (misses[i + 1] - misses[i])
    else:
        start[4] = times[int(np.argmin(np.abs(misses)))]
    return start


def _jacobian(aimer: _Aimer, x: Array, miss: Array) -> Array:
    columns = []
    for k in range(aimer.count):
        for sign in (1.0, -1.0):
            moved = x.copy()
            moved[k] += sign * DIFFERENCES[k]
            try:
                columns.append((aimer.miss(aimer.shot(moved, False)) - miss) / (sign * DIFFERENCES[k]))
                break
            except InputError:
                if sign < 0.0:
                    raise
    return np.column_stack(columns)


def _move(aimer: _Aimer, x: Array, step: Array, fine: bool) -> tuple[Array, Shot]:
    """Take a step, shorter where the line is not feasible."""
    step = step / max(1.0, float(np.max(np.abs(step) / LARGEST_MOVE[: aimer.count])))
    for _ in range(4):
        try:
            return x + step, aimer.shot(x + step, fine)
        except InputError as error:
            step, reason = 0.4 * step, error
    raise reason


def _start(aimer: _Aimer, near: Shot | None) -> tuple[Array, Shot, Array]:
    """Where the search starts: unknowns, their shot and its slopes; at a like swing that is aimed, or afresh."""
    if near is not None and near.slopes is not None and near.slopes.shape[0] == aimer.count:
        a = near.line.adjustment
        x = np.array([a.yaw, a.pitch, a.lean, a.roll, a.downswing])[: aimer.count]
        aimer.near = near.line.release
        try:
            return x, aimer.shot(x, False), near.slopes
        except InputError:
            aimer.near = None
    own = aimer.plan.start
    if own is not None:
        x = np.array([own.yaw, own.pitch, own.lean, own.roll, own.downswing])[: aimer.count]
    else:
        x = first_guess(aimer.plan, aimer.body, aimer.club)
    shot = aimer.shot(x, False)
    return x, shot, _jacobian(aimer, x, aimer.miss(shot))


def _solve(aimer: _Aimer, near: Shot | None = None, tolerance: float = TOLERANCE) -> Shot:
    x, shot, jacobian = _start(aimer, near)
    # Slopes of another swing are good to step by, not to doubt by.
    doubt = _doubt_of_lean(aimer, x, shot, jacobian) if near is None and aimer.plan.start is None else None
    if doubt is None:
        return _search(aimer, x, shot, jacobian, tolerance)
    if _rope(aimer, shot) is not None:
        raise InputError(doubt)
    # One straight step from a first guess can be wrong: only a search that fails, or ends there, is the proof.
    try:
        found = _search(aimer, x, shot, jacobian, tolerance, lost=2.0 * MOST_LEAN)
    except (InputError, SimulationError):
        raise InputError(doubt) from None
    if abs(found.line.adjustment.lean) > MOST_LEAN:
        raise InputError(doubt)
    return found


def _search(aimer: _Aimer, x: Array, shot: Shot, jacobian: Array, tolerance: float, *, lost: float = math.inf) -> Shot:
    """From unknowns, their coarse shot and its slopes to the shot that meets the target.

    Parameters
    ----------
    lost : rad of lean at which the search is given up

    Raises
    ------
    InputError
        It is not met.
    """
    miss = aimer.miss(shot)
    fine = False
    for _ in range(MOST_PASSES):
        worst = float(np.max(np.abs(miss)))
        if abs(x[2]) > lost:
            break
        if fine and worst < tolerance:
            return replace(shot, slopes=jacobian)
        if not fine and worst < max(COARSE_TOLERANCE, 0.3 * tolerance):
            fine = True
            shot = aimer.shot(x, True)
            miss = aimer.miss(shot)
            continue
        try:
            step = np.asarray(-np.linalg.solve(jacobian, miss), dtype=np.float64)
        except np.linalg.LinAlgError:
            break
        moved, shot = _move(aimer, x, step, fine)
        change, taken = aimer.miss(shot) - miss, moved - x
        if worst > 4.0 and float(np.max(np.abs(miss + change))) > 0.5 * worst:
            x, miss = moved, miss + change
            jacobian = _jacobian(aimer, x, miss)
            continue
        jacobian = jacobian + np.outer(change - jacobian @ taken, taken) / float(taken @ taken)
        x, miss = moved, miss + change
    raise InputError(_unmet(aimer, shot))


def _doubt_of_lean(aimer: _Aimer, x: Array, shot: Shot, jacobian: Array) -> str | None:
    """Why this club, so swung, seems not to have this dynamic loft at this attack angle; None: it seems to."""
    try:
        inverse = np.linalg.inv(jacobian)
    except np.linalg.LinAlgError:
        return _unmet(aimer, shot)
    lean = float((x - inverse @ aimer.miss(shot))[2])
    if abs(lean) <= MOST_LEAN:
        return None
    if (rope := _rope(aimer, shot)) is not None:
        return rope
    slope = float(inverse[2, 1] / SCALES[1])  # of the lean over the loft asked for
    target = aimer.plan.target
    lofts = sorted((target.dynamic_loft + (side * MOST_LEAN - lean) / slope) / DEGREE for side in (-1.0, 1.0))
    return (
        f"found {target.dynamic_loft / DEGREE:.1f} deg of dynamic loft with {target.attack / DEGREE:.1f} deg "
        f"of attack; allowed with this head and these wrists: about {lofts[0]:.1f} to {lofts[1]:.1f} deg, as "
        "loft and attack go together: change one of them, the couple at impact, or the head"
    )


def _rope(aimer: _Aimer, shot: Shot) -> str | None:
    """That the shaft bends too far to be aimed, or None."""
    length = aimer.club.length_beyond_hold
    bend = float(np.linalg.norm(shot.run.tip_position - [length, 0.0, 0.0], axis=1).max())
    if bend <= MOST_BEND * length:
        return None
    return (
        f"found a reference club so soft that its tip comes {100 * bend:.0f} cm out of line ({100 * length:.0f} cm of "
        f"it lie beyond the hands); allowed: up to about {100 * MOST_BEND * length:.0f} cm: give it a stiffer shaft"
    )


def _unmet(aimer: _Aimer, shot: Shot) -> str:
    if (rope := _rope(aimer, shot)) is not None:
        return rope
    got, target = shot.at_impact, aimer.plan.target
    words = [
        f"face angle {got.face_angle / DEGREE:.1f} instead of {target.face_angle / DEGREE:.1f} deg",
        f"dynamic loft {got.dynamic_loft / DEGREE:.1f} instead of {target.dynamic_loft / DEGREE:.1f} deg",
        f"attack {got.attack / DEGREE:.1f} instead of {target.attack / DEGREE:.1f} deg",
        f"path {got.path / DEGREE:.1f} instead of {target.path / DEGREE:.1f} deg",
    ]
    if target.head_speed is not None:
        words.append(f"head speed {got.head_speed:.1f} instead of {target.head_speed:.1f} m/s")
    return (
        f"this swing cannot be made to deliver what is stated; the nearest found has {', '.join(words)}: "
        "change the farthest of them, or the arm rate at impact, the turn or the hinge"
    )


def aim(
    plan: SwingPlan, club: Club, *, near: Shot | None = None, afresh: bool = True, tolerance: float = TOLERANCE
) -> Shot:
    """The line, and the reference club's run along it, that deliver the plan's target at the planned instant.

    Parameters
    ----------
    near : of a like swing with a like club, already aimed: the search starts there and takes fewer runs
    afresh : where that fails, start again as without `near`
    tolerance : largest miss, degrees (of head speed: half m/s)

    Raises
    ------
    InputError
        The plan or its target is not feasible; the message says what to relax.
    SimulationError
        The solver could not finish.
    """
    aimer = _Aimer(plan, club, rigid_with_hands(club))
    if near is not None and afresh:
        with suppress(InputError):
            return _solve(aimer, near, tolerance)
        near = aimer.near = None
    try:
        return _solve(aimer, near, tolerance)
    except InputError as error:
        raise InputError(f'swing "{plan.name}": {error}') from None


def make_reference(plan: SwingPlan, club: Club, *, tee_height: float = 0.0) -> Reference:
    """Aim, drive the reference club and put the ball where it strikes (its face centre unless the target says).

    Parameters
    ----------
    club : the reference club
    tee_height : m, of the ball's underside above the ground

    Raises
    ------
    InputError, SimulationError
        As `aim`.
    """
    return reference_along(aim(plan, club), plan, club, tee_height=tee_height)


def reference_along(
    shot: Shot, plan: SwingPlan, club: Club, *, tee_height: float = 0.0, firmness: float = MEDIUM
) -> Reference:
    """The reference of a swing that is aimed: the ball where the reference club strikes it.

    Parameters
    ----------
    tee_height : m, of the ball's underside above the ground
    firmness : of the golfer's grip, 0 … 1
    """
    ball = np.array([0.0, 0.0, tee_height + BALL_RADIUS])
    strike = plan.target.strike_toe, plan.target.strike_up
    move = ball - ball_on_face(shot.run, club.face, *strike)
    line = shot.line.moved(move)
    rotation = shot.run.root_rotation
    return Reference(
        name=plan.name,
        club=club,
        line=line,
        motion=Motion.from_samples(shot.run.t, shot.run.root_position + move, rotation),
        axes=hand_axes(rotation, line.normal),
        normal=line.normal,
        top=line.top,
        inertia=root_inertia(club),
        ball=ball,
        raw_ball=ball_of_rigid_club(line.position[line.impact], line.rotation[line.impact], club, *strike),
        strike=strike,
        firmness=firmness,
    )
