"""What the compiled figures read and write: columns of their arrays, codes of what is missing, room to work in."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

# Columns of a row of `figures`, SI; each has the meaning of the attribute of the same name.
TIME = 0  # of contact, s
# delivery.unload.Unload
HALF = 1
STRAIGHT = 2
CROSSINGS = 3
LAG_PEAK = 4
LAG_PEAK_AT = 5
KICK_PEAK = 6
KICK_PEAK_AT = 7
KICK_AT_IMPACT = 8
LEFT_IN_SHAFT = 9
BEND_AT_IMPACT = 10  # in-plane bend that `Unload.state` speaks of, m
# delivery.presentation.Impact, in its order
IMPACT = 11
IMPACT_WIDTH = 17
# delivery.decompose.Causes of the face angle, then of the loft
FACE = 28
LOFT = 34
CAUSES_WIDTH = 6
# Of a ball that is missed: where the surface passes it, or how much was left, m
MISS_TOE = 40
MISS_UP = 41
MISS_GAP = 42
SOUND_ROWS = 43  # rows of the run that are finite numbers
FIGURES_WIDTH = 44

# Columns of a row of `codes`.
STATUS = 0  # index into problem statuses: ok, missed, failed
WHY = 1  # one of the codes below
HALF_CODE = 2  # 1: there is no half-unload
STRAIGHT_CODE = 3  # one of the codes below
LAG_CODE = 4  # 1: the shaft never lags
LEFT_CODE = 5  # 1: there is no strain energy
CODES_WIDTH = 6

OK, MISSED, FAILED = 0, 1, 2
NO_REASON = 0
EDGE_FIRST = 1
PASSED_BY = 2
ENDS_EARLY = 3
ENDS_BEFORE_DOWNSWING = 4
NOT_FINITE = 5  # a figure at impact
RUN_NOT_FINITE = 6  # the run, before the ball was reached

IS_STRAIGHT = 0
IN_LAG = 1  # at impact, and straight at no instant before it
IN_LAG_AGAIN = 2  # at impact, straight in between
IN_LEAD = 3  # through the whole downswing

# Columns of a row of `meeting`: delivery.meeting.Meeting.
HEAD_VELOCITY = 0
HEAD_OMEGA = 3
HEAD_ARM = 6
HEAD_NORMAL = 9
FACE_TOE = 12
FACE_UP = 15
HOSEL = 18
HEAD_INERTIA = 21
HEAD_MASS = 30
HEIGHT = 31
MEETING_WIDTH = 32

# Rows of a case's `curves`: study.result.Curves.
IN_PLANE, LEAD, DROOP, TWIST, HAND_FORCE, HAND_COUPLE = range(6)
CURVES_WIDTH = 6

# Columns of a row of `faces`.
CENTRE = 0
NORMAL = 3
TOE = 6
UP = 9
BULGE = 12
ROLL = 13
HALF_WIDTH = 14
HALF_HEIGHT = 15
FACE_WIDTH = 16

# Columns of a row of `tips`, as in beam.curvature_layout.CurvatureModel.tip.
TIP_MASS = 0
TIP_OFFSET = 1
TIP_INERTIA = 4
TIP_WIDTH = 13

# Entries of a row of `laws`: blow.ContactLaw.
RESTITUTION, FALL, FRICTION, TANGENTIAL, APPROACH_AT = range(5)
LAW_WIDTH = 5

# Entries of `air`: what balls and their flight have in common; SI.
BALL_MASS, RADIUS, BALL_INERTIA = range(3)
DENSITY, VISCOSITY = 3, 4
AIR_SPEED = 5  # (3) of the wind, world
DRAG, DRAG_SPIN, DRAG_WAVE, LIFT, DECAY = range(8, 13)
GRAVITY, TOLERANCE = 13, 14
AIR_WIDTH = 15
LONGEST = 60.0
"""s; `flight.LONGEST`"""

SHOT_OK, SHOT_FACE_LEAVES, SHOT_NO_END, SHOT_INTO_GROUND, SHOT_NO_LANDING, SHOT_NO_MEETING = range(6)
SHOT_WIDTH = 12

POSE_WIDTH = 8
"""Position and quaternion of a motion, and a nought: as many as fill the registers of a processor."""
ORDER = 6
"""Coefficients of a quintic."""
LEAST_ROWS = 8
"""Rows that a run must have; fewer do not carry a quintic spline with its ends apart."""


class SwingTable(NamedTuple):
    """What a golfer's figures are read against, for kernels."""

    breaks: Any
    """(m + 1,) s, ends of the pieces of the reference motion"""
    motion: Any
    """(m, ORDER, POSE_WIDTH) coefficients of powers of the time from a piece's start"""
    line_breaks: Any
    line: Any
    """The same of the line"""
    normal: Any
    """(3,) unit normal of the swing plane, world"""
    top: float
    """s, start of the downswing"""
    planned: float
    """s, planned impact"""
    downswing: float
    """s, length of the reference's downswing"""
    ball_radius: float
    reach: float
    touch: float
    """m, of `swing.ball` and `contact`: BALL_RADIUS, REACH and CONTACT_TOLERANCE"""


class Room(NamedTuple):
    """Room of one thread; `new_room` makes it for runs of up to so many rows and samples."""

    grid: Any
    """(5,): how many rows from which, first two instants and last one that `basis`, `lower` and `upper` belong to"""
    basis: Any
    """(rows, ORDER, ORDER): powers of the B-splines of the quintic spline from a row on"""
    lower: Any
    """(rows, ORDER): its collocation matrix factored, by diagonals"""
    upper: Any
    spline: Any
    """(rows,) coefficients of one spline"""
    power: Any
    """(ORDER,) the same as powers from a row on"""
    place: Any
    """(ORDER, POSE_WIDTH) tip position, θ and two noughts within a step, as powers of x = 0 … 1"""
    twirl: Any
    """(3, ORDER) the tip's rotation vector from the step's first row, the same"""
    here: Any
    """(POSE_WIDTH,) tip position and θ at one instant"""
    pose: Any
    """(POSE_WIDTH,)"""
    turns: Any
    """(8, 3, 3)"""
    vectors: Any
    """(12, 3)"""
    bend: Any
    """(samples,) and, below, the slopes of the spline through it; the same of the strain energy"""
    bend_slope: Any
    energy: Any
    energy_slope: Any
    gain: Any
    """(samples,) gains of the elimination of the cubic splines"""


def new_room(rows: int, samples: int) -> Room:
    """Room for runs of up to `rows` rows and `samples` samples of the downswing."""
    return Room(  # type: ignore[call-arg]
        np.full(5, np.nan),
        np.zeros((rows, ORDER, ORDER)),
        np.zeros((rows, ORDER)),
        np.zeros((rows, ORDER)),
        np.zeros(rows),
        np.zeros(ORDER),
        np.zeros((ORDER, POSE_WIDTH)),
        np.zeros((3, ORDER)),
        np.zeros(POSE_WIDTH),
        np.zeros(POSE_WIDTH),
        np.zeros((8, 3, 3)),
        np.zeros((12, 3)),
        *(np.zeros(samples) for _ in range(4)),
        elimination(samples),
    )


def elimination(count: int) -> Any:
    """(count,) inverse pivots of the rows (1, 2), (1, 4, 1), (1, 4, 1) … of a cubic spline's slopes, "not-a-knot"."""
    gain = np.full(count, 2.0)
    for i in range(1, count):
        gain[i] = 1.0 / (4.0 - gain[i - 1])
    return gain
