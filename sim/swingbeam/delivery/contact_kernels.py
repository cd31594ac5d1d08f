"""First contact of face and ball, compiled: `contact.find_contact` on rows of numbers."""

from __future__ import annotations

import math

from swingbeam.beam.compiled import piece

from .batch_layout import (
    BULGE,
    CENTRE,
    EDGE_FIRST,
    ENDS_BEFORE_DOWNSWING,
    ENDS_EARLY,
    HALF_HEIGHT,
    HALF_WIDTH,
    NO_REASON,
    NORMAL,
    PASSED_BY,
    ROLL,
    TOE,
    UP,
)
from .row_kernels import POSITION, ROTATION, open_place, open_turn, place_at, tip_turn

TIME_TOLERANCE = 1e-12
"""s"""
ROUNDING = 4.0 * 2.220446049250313e-16


@piece
def _from_arc(n, across, curvature):
    """`contact._from_arc`."""
    root = math.hypot(1.0 + curvature * n, curvature * across)
    return (2.0 * n + curvature * (n * n + across * across)) / (root + 1.0)


@piece
def strike_at(face, radius, n, t, u):
    """`contact.nearest_on_face` of a ball at (n, t, u): toe, up, gap, tilt toe-ward, tilt upward."""
    bulge = face[BULGE]
    roll = face[ROLL]
    beyond = _from_arc(n, t, bulge)
    distance = _from_arc(beyond, u, roll)
    tilt_toe = math.atan2(bulge * t, 1.0 + bulge * n)
    tilt_up = math.atan2(roll * u, 1.0 + roll * beyond)
    toe = t - distance * math.cos(tilt_up) * math.sin(tilt_toe)
    return toe, u - distance * math.sin(tilt_up), distance - radius, tilt_toe, tilt_up


@piece
def ball_before(face, ball, p0, p1, p2, turn):
    """The ball from the face centre along the face's normal, toe-ward and up: tip at (p0, p1, p2), turned (3, 3)."""
    a0 = ball[0] - p0
    a1 = ball[1] - p1
    a2 = ball[2] - p2
    l0 = turn[0, 0] * a0 + turn[1, 0] * a1 + turn[2, 0] * a2 - face[CENTRE]
    l1 = turn[0, 1] * a0 + turn[1, 1] * a1 + turn[2, 1] * a2 - face[CENTRE + 1]
    l2 = turn[0, 2] * a0 + turn[1, 2] * a1 + turn[2, 2] * a2 - face[CENTRE + 2]
    n = l0 * face[NORMAL] + l1 * face[NORMAL + 1] + l2 * face[NORMAL + 2]
    t = l0 * face[TOE] + l1 * face[TOE + 1] + l2 * face[TOE + 2]
    u = l0 * face[UP] + l1 * face[UP + 1] + l2 * face[UP + 2]
    return n, t, u


@piece
def _overlap(swing, face, ball, p0, p1, p2, turn):
    """`contact.penetration` of one pose later than the start of the downswing."""
    n, t, u = ball_before(face, ball, p0, p1, p2, turn)
    # The axes are square and of unit length: this is the distance of the ball from the face centre.
    if n * n + t * t + u * u >= swing.reach * swing.reach:
        return -1.0
    return swing.ball_radius - _from_arc(_from_arc(n, t, face[BULGE]), u, face[ROLL])


@piece
def _row_turn(row, turn):
    for i in range(3):
        for j in range(3):
            turn[i, j] = row[ROTATION + 3 * i + j]


@piece
def _overlap_within(t, row, swing, face, ball, instant, room):
    """`penetration` at an instant of the opened step that begins at a row."""
    if instant < swing.top:
        return -1.0
    x = (instant - t[row]) / (t[row + 1] - t[row])
    pose_within(x, room)
    return _overlap(swing, face, ball, room.here[0], room.here[1], room.here[2], room.turns[4])


@piece
def open_step(t, run, row, room):
    """Ready for instants between a row and the next one."""
    h = t[row + 1] - t[row]
    open_place(h, run[row], run[row + 1], room.place)
    open_turn(h, run[row], run[row + 1], room.twirl, room.turns, room.vectors)


@piece
def pose_within(x, room):
    """The tip at x within the opened step: position in room.here, rotation in room.turns[4], φ in room.vectors[4]."""
    place_at(room.place, x, room.here)
    tip_turn(room.twirl, x, room.turns[0], room.vectors[4], room.turns[3], room.turns[4])


@piece
def _root(t, row, swing, face, ball, room):
    """The instant of contact within an opened step: Brent's method (Brent 1973, Algorithms for Minimization without
    Derivatives, ch. 4), which also finds where `penetration` jumps."""
    a = t[row]
    b = t[row + 1]
    fa = _overlap_within(t, row, swing, face, ball, a, room)
    fb = _overlap_within(t, row, swing, face, ball, b, room)
    if fa > 0.0:
        return a
    if fb <= 0.0:
        return b
    if fa == 0.0:
        return a
    c = a
    fc = fa
    step = b - a
    earlier = step
    for _ in range(200):
        if (fb > 0.0) == (fc > 0.0):
            c = a
            fc = fa
            step = b - a
            earlier = step
        if abs(fc) < abs(fb):
            a = b
            b = c
            c = a
            fa = fb
            fb = fc
            fc = fa
        tolerance = 0.5 * (TIME_TOLERANCE + ROUNDING * abs(b))
        half = 0.5 * (c - b)
        if abs(half) <= tolerance or fb == 0.0:
            return b
        if abs(earlier) >= tolerance and abs(fa) > abs(fb):
            s = fb / fa
            if a == c:
                p = 2.0 * half * s
                q = 1.0 - s
            else:
                q = fa / fc
                r = fb / fc
                p = s * (2.0 * half * q * (q - r) - (b - a) * (r - 1.0))
                q = (q - 1.0) * (r - 1.0) * (s - 1.0)
            if p > 0.0:
                q = -q
            else:
                p = -p
            if 2.0 * p < min(3.0 * half * q - abs(tolerance * q), abs(earlier * q)):
                earlier = step
                step = p / q
            else:
                step = half
                earlier = half
        else:
            step = half
            earlier = half
        a = b
        fa = fb
        if abs(step) > tolerance:
            b += step
        else:
            b += tolerance if half > 0.0 else -tolerance
        fb = _overlap_within(t, row, swing, face, ball, b, room)
    return b


@piece
def _left(t, run, first, rows, swing, face, ball, turn):
    """How near the face came to the ball after an instant, m; negative when the run ends before it."""
    least = -1.0
    for i in range(first, rows):
        if t[i] >= swing.top:
            _row_turn(run[i], turn)
            p = run[i, POSITION : POSITION + 3]
            n, u, v = ball_before(face, ball, p[0], p[1], p[2], turn)
            gap = abs(_from_arc(_from_arc(n, u, face[BULGE]), v, face[ROLL]) - swing.ball_radius)
            if least < 0.0 or gap < least:
                least = gap
    return least


@piece
def find_contact(t, run, first, rows, swing, face, ball, room):
    """First contact: instant, the row before it, reason, and (toe, up) of the face where a ball is missed or the gap.

    The step that holds the instant is left open in the room.
    """
    row = -1
    before = math.nan
    for i in range(first, rows):
        value = -1.0
        if t[i] >= swing.top:
            p0 = run[i, POSITION]
            p1 = run[i, POSITION + 1]
            p2 = run[i, POSITION + 2]
            far = abs(ball[0] - p0) + abs(ball[1] - p1) + abs(ball[2] - p2)
            reach = abs(face[CENTRE]) + abs(face[CENTRE + 1]) + abs(face[CENTRE + 2]) + swing.reach
            if far < 2.0 * reach:
                _row_turn(run[i], room.turns[4])
                value = _overlap(swing, face, ball, p0, p1, p2, room.turns[4])
        if before <= 0.0 and value > 0.0:
            row = i - 1
            break
        before = value
    if row >= 0:
        open_step(t, run, row, room)
        time = _root(t, row, swing, face, ball, room)
    elif abs(before) < swing.touch:
        row = rows - 2
        open_step(t, run, row, room)
        time = t[rows - 1]
    else:
        left = _left(t, run, first, rows, swing, face, ball, room.turns[4])
        return math.nan, -1, ENDS_BEFORE_DOWNSWING if left < 0.0 else ENDS_EARLY, left, math.nan
    x = (time - t[row]) / (t[row + 1] - t[row])
    pose_within(x, room)
    n, u, v = ball_before(face, ball, room.here[0], room.here[1], room.here[2], room.turns[4])
    toe, up, gap, _, _ = strike_at(face, swing.ball_radius, n, u, v)
    if not abs(gap) <= swing.touch:
        return math.nan, -1, EDGE_FIRST, math.nan, math.nan
    if math.hypot(toe / face[HALF_WIDTH], up / face[HALF_HEIGHT]) > 1.0:
        return math.nan, -1, PASSED_BY, toe, up
    return time, row, NO_REASON, math.nan, math.nan
