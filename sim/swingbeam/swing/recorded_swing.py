"""A smoothed recording as a swing: its grip's pose is the reference pose of the hands.

Nothing is aimed: the reference club, held in a vice on that pose, delivers what it delivers. The swing plane is
the plane nearest to the path of its head in the last 150 ms, and the downswing begins where the hands' path
about its own centre in that plane turns round.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..beam import ElasticRoot, History, Motion, simulate
from ..beam.errors import InputError
from ..beam.rotations import rotation_from_quaternion
from ..club.build import Club
from ..files.recorded_swing_file import RecordedSwingFile
from .ball import BALL_RADIUS, ball_at_face_centre
from .hands import VICE
from .pose_smoothing import (
    CutOff,
    Grid,
    Poses,
    SmoothPositions,
    SmoothRotations,
    make_grid,
    smooth_positions,
    smooth_rotations,
)
from .reference import Reference, hand_axes, root_inertia

Array = NDArray[np.float64]

RUNS_ON = 0.040
"""s after impact that a recorded swing reaches, for clubs that come late."""
PLANE_SPAN = 0.150
"""s before impact whose head path is the swing plane, and whose hands' path has the centre."""
LATEST_TOP, EARLIEST_TOP = -0.1, -0.8
"""s from impact between which a downswing begins."""
LONGEST_BEFORE = 2.5
"""s before impact that are simulated."""


@dataclass(frozen=True, eq=False)
class RecordedPlan:
    """The grip's poses over time, smooth, impact at t = 0, world axes, origin anywhere; a right-handed golfer."""

    name: str
    t: Array
    """(m,) s"""
    position: Array
    """(m, 3) m"""
    rotation: Array
    """(m, 3, 3) grip → world"""

    def motion(self) -> Motion:
        """The same, to be differentiated: quintic splines through the poses."""
        return Motion.from_samples(self.t, self.position, self.rotation)


def plan_from_file(record: RecordedSwingFile) -> RecordedPlan:
    """The poses of a swing's file."""
    rows = np.array(record.poses.rows)
    return RecordedPlan(record.name, rows[:, 0], rows[:, 1:4], rotation_from_quaternion(rows[:, 4:]))


@dataclass(frozen=True, eq=False)
class SmoothedRecording:
    """A recording smoothed with one cut-off."""

    plan: RecordedPlan
    impact: float
    """s, in the time of the poses"""
    cutoff: CutOff
    grid: Grid
    points: SmoothPositions
    turns: SmoothRotations
    keep: slice
    """Of the grid that the plan holds"""
    continued: float
    """s after impact from which on the path is a continuation; inf when frames reach `RUNS_ON`"""


def smooth_recording(
    name: str, poses: Poses, impact: float, cutoff: CutOff, *, start: Array | None = None
) -> SmoothedRecording:
    """Smooth a recording and run it on to `RUNS_ON` past impact, its accelerations held past the last frame.

    Parameters
    ----------
    impact : s, in the time of the poses
    start : (m, 3, 3) rotations to start from, of another cut-off

    Raises
    ------
    InputError
        Rotations that are not those of one smooth motion.
    """
    grid = make_grid(poses, impact + RUNS_ON)
    points = smooth_positions(grid, poses.position, cutoff.position)
    turns = smooth_rotations(grid, poses, cutoff.rotation, start=start)
    t = grid.t - impact
    first = int(np.searchsorted(t, -LONGEST_BEFORE))
    last = int(np.searchsorted(t, RUNS_ON - 1e-9)) + 1
    keep = slice(first, min(last, t.size))
    plan = RecordedPlan(name, t[keep], points.position[keep], turns.rotation[keep])
    ends = float(poses.t[-1] - impact)
    return SmoothedRecording(plan, impact, cutoff, grid, points, turns, keep, ends if ends < RUNS_ON else math.inf)


def vice_run(motion: Motion, club: Club, normal: Array | None = None) -> History:
    """The club held in a vice on a motion.

    Parameters
    ----------
    normal : (3,) of the swing plane, for the axes the couple is given in; None: what the rigid head moves in

    Raises
    ------
    SimulationError
        The solver could not finish.
    """
    if normal is None:
        normal = _rigid_normal(motion, club)
    axes = hand_axes(motion.at(motion.t).rotation, normal)
    root = ElasticRoot(VICE.stiffness, VICE.damping, root_inertia(club), axes=axes)
    return simulate(club.profile, club.tip, motion, root=root, viscosity=club.viscosity)


def rigid_head(motion: Motion, club: Club, t: float = 0.0) -> tuple[Array, Array]:
    """Place (3,) m and velocity (3,) m/s, world, of the head's centre of gravity of the club made rigid."""
    state = motion.at([t])
    arm = np.array([club.length_beyond_hold, 0.0, 0.0]) + club.tip.offset
    rotation = state.rotation[0]
    return state.position[0] + rotation @ arm, state.velocity[0] + rotation @ np.cross(state.omega[0], arm)


def _rigid_normal(motion: Motion, club: Club) -> Array:
    shaft = motion.at([0.0]).rotation[0, :, 0]
    normal = np.cross(shaft, rigid_head(motion, club)[1])
    return np.asarray(normal / np.linalg.norm(normal))


def head_plane(run: History) -> Array:
    """(3,) normal of the plane nearest to the head's path in the last `PLANE_SPAN` before t = 0; the downswing turns
    right-handed about it."""
    rows = run.at(np.linspace(-min(PLANE_SPAN, -run.t[0]), 0.0, 76))
    path = rows.head_position
    normal = np.linalg.svd(path - path.mean(axis=0))[2][2]
    shaft = rows.root_rotation[-1, :, 0]
    return np.asarray(normal * math.copysign(1.0, float(normal @ np.cross(shaft, rows.head_velocity[-1]))))


def find_top(motion: Motion, normal: Array) -> float:
    """When the downswing begins, s: the hands' last turning round, in the plane, about the centre of the circle
    nearest to their path in the last `PLANE_SPAN` (Kåsa 1976, IEEE Trans. Instrum. Meas. 25:8); the first instant
    when they never turn round.

    Raises
    ------
    InputError
        A downswing that is too short or too long to be one.
    """
    t = np.arange(motion.start, LATEST_TOP, 1e-3)
    late = motion.at(np.linspace(-min(PLANE_SPAN, -motion.start), 0.0, 76)).position
    across = np.cross(normal, [1.0, 0.0, 0.0])
    basis = np.stack([np.cross(across, normal), across], axis=1) / np.linalg.norm(across)
    flat = late @ basis
    equations = np.column_stack([2.0 * flat, np.ones(len(flat))])
    centre = np.linalg.lstsq(equations, np.sum(flat**2, axis=1), rcond=None)[0][:2]
    state = motion.at(t)
    arm, velocity = state.position @ basis - centre, state.velocity @ basis
    turning = arm[:, 0] * velocity[:, 1] - arm[:, 1] * velocity[:, 0]
    turning = turning * math.copysign(1.0, _handed(motion, basis, centre))
    back = np.flatnonzero((turning[:-1] <= 0.0) & (turning[1:] > 0.0))
    if not back.size:
        if motion.start < EARLIEST_TOP or (turning.size and turning[-1] <= 0.0):
            raise InputError("the hands never turn round before impact: found no downswing")
        return motion.start
    i = int(back[-1])
    top = float(t[i] - turning[i] * (t[i + 1] - t[i]) / (turning[i + 1] - turning[i]))
    if not top >= EARLIEST_TOP:
        raise InputError(
            f"the hands turn round {-top:.2f} s before impact; allowed: a downswing of {-LATEST_TOP:g} to "
            f"{-EARLIEST_TOP:g} s (is impact at the right time?)"
        )
    return top


def _handed(motion: Motion, basis: Array, centre: Array) -> float:
    """Sense in which the hands go round the centre at impact."""
    state = motion.at([0.0])
    arm, velocity = state.position[0] @ basis - centre, state.velocity[0] @ basis
    return float(arm[0] * velocity[1] - arm[1] * velocity[0])


def reference_of_recording(plan: RecordedPlan, club: Club, *, tee_height: float = 0.0) -> Reference:
    """The recording as the reference of hands: its poses, the plane, the downswing, the ball.

    Raises
    ------
    InputError
        No downswing, a shaft along the plane's normal, or a recording that does not run on past impact.
    SimulationError
        The solver could not finish.
    """
    motion = plan.motion()
    if motion.end < 0.02 - 1e-6:
        raise InputError(f"the poses end {1e3 * motion.end:.0f} ms after impact; allowed: at least 20 ms")
    run = vice_run(motion, club)
    normal = head_plane(run)
    ball = np.array([0.0, 0.0, tee_height + BALL_RADIUS])
    move = ball - ball_at_face_centre(run, club.face)
    moved = motion.transformed(np.eye(3), move)
    return Reference(
        name=plan.name,
        club=club,
        line=None,
        motion=moved,
        axes=hand_axes(moved.at(moved.t).rotation, normal),
        normal=normal,
        top=find_top(moved, normal),
        inertia=root_inertia(club),
        ball=ball,
        raw_ball=_ball_of_rigid_club(moved, club),
    )


def _ball_of_rigid_club(motion: Motion, club: Club) -> Array:
    state = motion.at([0.0])
    face = club.face
    from_hold = np.array([club.length_beyond_hold, 0.0, 0.0]) + face.centre + BALL_RADIUS * face.normal
    return np.asarray(state.position[0] + state.rotation[0] @ from_hold)
