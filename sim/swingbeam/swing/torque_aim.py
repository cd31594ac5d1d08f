"""Adjust a torque golfer until his reference club delivers what is stated, and make him a reference for hands.

Impact is where the head's path, seen from the side, has the stated attack angle; the whole swing is turned about
the vertical until its path is the stated one, which changes nothing else. Three efforts remain to be found for
head speed, dynamic loft and face angle: the size of the shoulders' torque, when the wrists release, and the size
of the forearms' torque. Where no head speed is stated the shoulders' torque is taken as it is, and two remain.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq, least_squares

from ..beam import ChainHistory, Motion
from ..beam.errors import InputError, SimulationError
from ..club.build import Club
from .ball import BALL_RADIUS, Delivered, ball_at_face_centre, ball_of_rigid_club, delivered
from .plan import DEGREE, Target
from .reference import Reference, hand_axes, root_inertia
from .torque_golfer import TorqueGolfer, swing_by_torque, turned

Array = NDArray[np.float64]

SEARCH = (-0.7, 0.7)
"""rad from straight down the plane within which the club's direction must be when it meets the ball."""
SCALES = np.array([0.5, DEGREE, DEGREE])
"""Of the misses: head speed (m/s), dynamic loft and face angle (rad)."""
TOLERANCE = 1e-5
"""Largest miss over its scale once aimed."""
MOST_RUNS = 40
_AFTER = 0.035
"""s after the planned impact that a reference reaches, for clubs that come late."""


@dataclass(frozen=True, eq=False)
class TorqueShot:
    """One run of a torque golfer, read at its impact (s after the top)."""

    golfer: TorqueGolfer
    run: ChainHistory
    impact: float
    at_impact: Delivered


def instant_of_attack(run: ChainHistory, attack: float) -> float:
    """When the head comes to a stated attack angle (rad) near the bottom of its path, s.

    Raises
    ------
    SimulationError
        It does not, while the club is within `SEARCH` of straight down.
    """
    club = run.angles[:, 0] + run.angles[:, 1]
    near = np.flatnonzero((club > SEARCH[0]) & (club < SEARCH[1]) & (run.t > 0.1))

    def miss(t: float) -> float:
        velocity = run.at(t).head_velocity[0]
        return math.atan2(velocity[2], math.hypot(velocity[0], velocity[1])) - attack

    if near.size < 2:
        raise SimulationError("the club does not come down to the ball")
    first, last = float(run.t[near[0]]), float(run.t[near[-1]])
    if miss(first) >= 0.0 or miss(last) <= 0.0:
        raise SimulationError("the head does not reach the attack angle near the bottom of its path")
    return float(brentq(miss, first, last, xtol=1e-12))


def take_shot(golfer: TorqueGolfer, club: Club, target: Target, *, step: float | None = None) -> TorqueShot:
    """Swing and read at the instant of the stated attack angle, the swing turned to the stated path.

    Raises
    ------
    SimulationError
        The club does not come to the ball.
    """
    run = swing_by_torque(golfer, club, step=step)
    at = delivered(run, club.face, instant_of_attack(run, target.attack))
    straight = turned(golfer, _yaw(at, target))
    run = swing_by_torque(straight, club, step=step)
    impact = instant_of_attack(run, target.attack)
    return TorqueShot(straight, run, impact, delivered(run, club.face, impact))


def _yaw(at: Delivered, target: Target) -> float:
    """By which the swing must be turned about +z to bring its path to the stated one: in-to-out is toward −y."""
    return at.path - target.path


def _with(golfer: TorqueGolfer, x: Array) -> TorqueGolfer:
    size, onset, roll = (float(v) for v in x)
    return replace(
        golfer,
        shoulders=replace(golfer.shoulders, size=size),
        release=replace(golfer.release, onset=onset),
        roll=replace(golfer.roll, size=roll),
    )


def aim_torques(golfer: TorqueGolfer, club: Club, target: Target) -> TorqueShot:
    """The golfer whose reference club delivers the target, and its run.

    Raises
    ------
    InputError
        These efforts cannot deliver what is stated.
    SimulationError
        The solver could not finish.
    """
    speed = target.head_speed
    free = slice(0 if speed is not None else 1, 3)
    """Of the three efforts and of the three misses, those that take part."""
    scale = np.array([golfer.shoulders.size, max(golfer.release.onset, 0.05), golfer.roll.size])

    def efforts(x: Array) -> TorqueGolfer:
        every = np.ones(3)
        every[free] = x
        return _with(golfer, every * scale)

    def miss(x: Array) -> Array:
        try:
            run = swing_by_torque(efforts(x), club)
            at = delivered(run, club.face, instant_of_attack(run, target.attack))
        except SimulationError:
            return np.full(3, 1e3)[free]
        face = at.face_angle - _yaw(at, target)
        fast = 0.0 if speed is None else at.head_speed - speed
        got = [fast, at.dynamic_loft - target.dynamic_loft, face - target.face_angle]
        return (np.array(got) / SCALES)[free]

    bounds = ([0.4, 0.3, 0.1][free], [1.65, 2.0, 5.0][free])
    found = least_squares(
        miss, np.ones(3)[free], bounds=bounds, diff_step=1e-3, x_scale=[0.3, 0.3, 0.3][free], xtol=1e-12, ftol=1e-14,
        gtol=1e-14, max_nfev=MOST_RUNS,
    )  # fmt: skip
    shot = take_shot(efforts(found.x), club, target)
    if np.abs(found.fun).max() > TOLERANCE:
        at = shot.at_impact
        raise InputError(
            f'golfer "{golfer.name}": these efforts cannot deliver what is stated; the nearest found has '
            f"{at.head_speed:.1f} m/s, dynamic loft {at.dynamic_loft / DEGREE:.1f} and "
            f"face {at.face_angle / DEGREE:.1f} deg: change them, when the forearms let go, or how the shoulders fade"
        )
    return shot


def reference_of(shot: TorqueShot, club: Club, *, tee_height: float = 0.0) -> Reference:
    """The golfer's run of his own club as the reference of hands: its grip's pose, the couple it took, the ball.

    The planned impact is at t = 0; the downswing begins where the run does. No rigid club was swung: the raw ball
    is that of the club made rigid on the grip's own pose.

    Raises
    ------
    InputError
        The run ends too soon after impact.
    """
    run = shot.run
    ends = min(float(run.t[-1]), shot.impact + _AFTER)
    count = math.ceil(ends / run.step)
    t = np.linspace(0.0, ends, count + 1)
    rows = run.at(t)
    ball = np.array([0.0, 0.0, tee_height + BALL_RADIUS])
    move = ball - ball_at_face_centre(run, club.face, shot.impact)
    rotation = rows.root_rotation
    motion = Motion.from_samples(t - shot.impact, rows.root_position + move, rotation)
    normal, planned = shot.golfer.normal, motion.at(0.0)
    return Reference(
        name=shot.golfer.name,
        club=club,
        line=None,
        motion=motion,
        axes=hand_axes(rotation, normal),
        normal=normal,
        top=-shot.impact,
        inertia=root_inertia(club),
        ball=ball,
        raw_ball=ball_of_rigid_club(planned.position[0], planned.rotation[0], club),
        hub=(t - shot.impact, shot.golfer.hub(t) + move),
    )
