"""Figures at impact, compiled: `presentation.present`, `decompose.decompose` and `meeting.meeting_of`."""

from __future__ import annotations

import math

from swingbeam.beam.compiled import piece
from swingbeam.beam.rotations import exp_so3, quaternion_parts

from .batch_layout import (
    CENTRE,
    FACE,
    FACE_TOE,
    FACE_UP,
    HEAD_ARM,
    HEAD_INERTIA,
    HEAD_MASS,
    HEAD_NORMAL,
    HEAD_OMEGA,
    HEAD_VELOCITY,
    HEIGHT,
    HOSEL,
    IMPACT,
    IMPACT_WIDTH,
    LOFT,
    NORMAL,
    TIME,
    TIP_INERTIA,
    TIP_MASS,
    TIP_OFFSET,
    TOE,
    UP,
)
from .contact_kernels import ball_before, open_step, pose_within, strike_at
from .row_kernels import bend_along, motion_turn, quintic_rate, tip_omega
from .spline_kernels import pose_at


@piece
def _product(a, b, out):
    """out = a b, 3 × 3."""
    for i in range(3):
        for j in range(3):
            out[i, j] = a[i, 0] * b[0, j] + a[i, 1] * b[1, j] + a[i, 2] * b[2, j]


@piece
def _apply(a, b, first, out):
    """out = a b[first : first + 3]."""
    for i in range(3):
        out[i] = a[i, 0] * b[first] + a[i, 1] * b[first + 1] + a[i, 2] * b[first + 2]


@piece
def _point_velocity(velocity, turn, omega, point, first, out):
    """out = velocity + turn (omega × point[first : first + 3])."""
    x = point[first]
    y = point[first + 1]
    z = point[first + 2]
    c0 = omega[1] * z - omega[2] * y
    c1 = omega[2] * x - omega[0] * z
    c2 = omega[0] * y - omega[1] * x
    for i in range(3):
        out[i] = velocity[i] + turn[i, 0] * c0 + turn[i, 1] * c1 + turn[i, 2] * c2


@piece
def _face_angle(normal):
    """`decompose.face_angle`."""
    return math.atan2(-normal[1], normal[0])


@piece
def _loft(normal):
    """`decompose.loft`."""
    return math.atan2(normal[2], math.hypot(normal[0], normal[1]))


@piece
def twist_of(turn):
    """Twist about x of a rotation, rad: 2 atan2(q_x, q_0) with q_0 not negative."""
    q0, q1, _, _ = quaternion_parts(turn)
    if q0 < 0.0:
        q0 = -q0
        q1 = -q1
    return 2.0 * math.atan2(q1, q0)


@piece
def _cause(turn, face, place, normal, figures):
    """Face angle and loft of one pose of the grip as the next of the causes (`place` of six)."""
    _apply(turn, face, NORMAL, normal)
    figures[FACE + place] = _face_angle(normal)
    figures[LOFT + place] = _loft(normal)


@piece
def _as_changes(figures, first):
    """Six angles turned into the first one and the changes from one to the next."""
    for k in range(5, 0, -1):
        change = figures[first + k] - figures[first + k - 1]
        # Neighbouring poses differ by far less than half a turn: a whole turn is the branch of atan2.
        figures[first + k] = change - 2.0 * math.pi * round(change / (2.0 * math.pi))


@piece
def present(t, run, row, swing, face, tip, ball, room, figures, meeting):
    """All figures at the instant figures[TIME], which lies in the step after a row. Returns whether all are finite."""
    turns = room.turns
    vectors = room.vectors
    place = room.place
    impact = figures[TIME]
    open_step(t, run, row, room)
    h = t[row + 1] - t[row]
    x = (impact - t[row]) / h
    turn = turns[4]
    pose_within(x, room)
    omega = vectors[5]
    tip_omega(room.twirl, x, h, vectors[4], turns[1], omega)
    velocity = vectors[6]
    for i in range(3):
        velocity[i] = quintic_rate(place[:, i], x) / h
    p0 = room.here[0]
    p1 = room.here[1]
    p2 = room.here[2]

    # The grip: reference pose, pose as it yields, the tip in it.
    for i in range(3):
        vectors[0, i] = room.here[3 + i]
    pose_at(swing.breaks, swing.motion, impact, swing.motion.shape[0] - 1, room.pose)
    reference = turns[0]
    root = turns[2]
    inner = turns[5]
    motion_turn(room.pose, reference)
    exp_so3(vectors[0], turns[1])
    _product(reference, turns[1], root)
    for i in range(3):
        for j in range(3):
            inner[i, j] = root[0, i] * turn[0, j] + root[1, i] * turn[1, j] + root[2, i] * turn[2, j]
    w0 = p0 - room.pose[0]
    w1 = p1 - room.pose[1]
    w2 = p2 - room.pose[2]
    lead = root[0, 1] * w0 + root[1, 1] * w1 + root[2, 1] * w2
    up = root[0, 2] * w0 + root[1, 2] * w1 + root[2, 2] * w2
    bend_along(swing.normal, reference, vectors[1])
    e = vectors[1]
    in_plane = 0.0
    for i in range(3):
        in_plane += (root[i, 1] * lead + root[i, 2] * up) * e[i]
    twist = twist_of(inner)

    # The causes, in their order; turns[1] and turns[3] are free.
    normal = vectors[2]
    pose_at(swing.line_breaks, swing.line, swing.planned, swing.line.shape[0] - 1, room.pose)
    motion_turn(room.pose, turns[1])
    _cause(turns[1], face, 0, normal, figures)
    pose_at(swing.line_breaks, swing.line, impact, swing.line.shape[0] - 1, room.pose)
    motion_turn(room.pose, turns[1])
    _cause(turns[1], face, 1, normal, figures)
    _cause(reference, face, 2, normal, figures)
    _cause(root, face, 3, normal, figures)
    vectors[3, 0] = -twist
    vectors[3, 1] = 0.0
    vectors[3, 2] = 0.0
    exp_so3(vectors[3], turns[1])
    _product(inner, turns[1], turns[3])
    _product(root, turns[3], turns[1])
    _cause(turns[1], face, 4, normal, figures)
    _product(root, inner, turns[1])
    _cause(turns[1], face, 5, normal, figures)
    _as_changes(figures, FACE)
    _as_changes(figures, LOFT)

    # The face against the ball.
    n, across, above = ball_before(face, ball, p0, p1, p2, turn)
    toe, strike_up, gap, tilt_toe, tilt_up = strike_at(face, swing.ball_radius, n, across, above)
    struck = vectors[3]
    axis = vectors[7]
    local = vectors[8]
    c = math.cos(tilt_toe)
    s = math.sin(tilt_toe)
    cu = math.cos(tilt_up)
    su = math.sin(tilt_up)
    for i in range(3):
        local[i] = cu * (c * face[NORMAL + i] + s * face[TOE + i]) + su * face[UP + i]
        axis[i] = c * face[TOE + i] - s * face[NORMAL + i]
    _apply(turn, face, NORMAL, normal)
    _apply(turn, local, 0, struck)
    head = vectors[9]
    centre = vectors[10]
    _point_velocity(velocity, turn, omega, tip, TIP_OFFSET, head)
    _point_velocity(velocity, turn, omega, face, CENTRE, centre)
    spin = vectors[11]
    _apply(turn, omega, 0, spin)
    rate0 = spin[1] * normal[2] - spin[2] * normal[1]
    rate1 = spin[2] * normal[0] - spin[0] * normal[2]
    toe_up = turn[2, 0] * face[TOE] + turn[2, 1] * face[TOE + 1] + turn[2, 2] * face[TOE + 2]
    level = normal[0] * normal[0] + normal[1] * normal[1]
    figures[IMPACT] = _face_angle(normal)
    figures[IMPACT + 1] = _loft(normal)
    figures[IMPACT + 2] = _face_angle(struck)
    figures[IMPACT + 3] = _loft(struck)
    figures[IMPACT + 4] = math.asin(min(max(toe_up, -1.0), 1.0))
    figures[IMPACT + 5] = -up
    figures[IMPACT + 6] = lead
    figures[IMPACT + 7] = in_plane
    figures[IMPACT + 8] = twist
    figures[IMPACT + 9] = math.atan2(head[2], math.hypot(head[0], head[1]))
    figures[IMPACT + 10] = math.atan2(-head[1], head[0])
    figures[IMPACT + 11] = math.sqrt(head[0] * head[0] + head[1] * head[1] + head[2] * head[2])
    figures[IMPACT + 12] = math.sqrt(centre[0] * centre[0] + centre[1] * centre[1] + centre[2] * centre[2])
    figures[IMPACT + 13] = (normal[0] * rate1 - normal[1] * rate0) / level
    figures[IMPACT + 14] = toe
    figures[IMPACT + 15] = strike_up
    figures[IMPACT + 16] = impact - swing.planned

    # What blow and flight need.
    reach = gap + swing.ball_radius
    for i in range(3):
        at = n * face[NORMAL + i] + across * face[TOE + i] + above * face[UP + i]
        vectors[0, i] = face[CENTRE + i] + at - reach * local[i] - tip[TIP_OFFSET + i]
        vectors[1, i] = -tip[TIP_OFFSET + i]
        meeting[HEAD_VELOCITY + i] = head[i]
        meeting[HEAD_OMEGA + i] = spin[i]
        meeting[HEAD_NORMAL + i] = struck[i]
    _apply(turn, vectors[0], 0, vectors[2])
    _apply(turn, axis, 0, vectors[4])
    _apply(turn, vectors[1], 0, vectors[5])
    for i in range(3):
        meeting[HEAD_ARM + i] = vectors[2, i]
        meeting[FACE_TOE + i] = vectors[4, i]
        meeting[HOSEL + i] = vectors[5, i]
        j = (i + 1) % 3
        k = (i + 2) % 3
        meeting[FACE_UP + i] = vectors[4, j] * struck[k] - vectors[4, k] * struck[j]
    for i in range(3):
        for j in range(3):
            turns[0, i, j] = 0.0
            for k in range(3):
                turns[0, i, j] += turn[i, k] * tip[TIP_INERTIA + 3 * k + j]
    for i in range(3):
        for j in range(3):
            total = 0.0
            for k in range(3):
                total += turns[0, i, k] * turn[j, k]
            meeting[HEAD_INERTIA + 3 * i + j] = total
    meeting[HEAD_MASS] = tip[TIP_MASS]
    meeting[HEIGHT] = max(ball[2] - swing.ball_radius, 0.0)
    size = 0.0
    for k in range(IMPACT, IMPACT + IMPACT_WIDTH):
        size += abs(figures[k])
    return size < math.inf
