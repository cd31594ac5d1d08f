"""Equations of motion of a chain of revolute joints between a moving base and the root of a rod.

Recursive Newton–Euler scheme (Featherstone 2008, Rigid Body Dynamics Algorithms, §5.3): outward, each link's
angular velocity ω, its rate α and the acceleration a of its joint from those of the link before; inward, force
and moment on everything beyond, whose part about the axis of a joint is what its torque must give. The rod is
the last body: its root moves with the last link and hands back the force and moment it needs, so joint angles
and strains are unknowns of one system.

Everything here is written into arrays that exist; nothing is allocated.
"""

from __future__ import annotations

import math

from .compiled import kernel, piece

# Columns of a row of `links`, one per joint; of the last row, the root's, only the offset counts.
OFFSET = 0  # from the joint before (the base) to this one, axes of the link before (3)
AXIS = 3  # unit vector (3)
MASS = 6
CENTRE = 7  # centre of gravity from the joint (3)
INERTIA = 10  # about the centre of gravity (9)
LOW = 19  # range of the angle, ends in soft stops
HIGH = 20
STOP_STIFFNESS = 21
STOP_WIDTH = 22
STOP_DAMPING = 23
LIMIT = 24  # largest torque of the drive
ANGLE = 25  # at the start
RATE = 26
LINK_WIDTH = 27

# Columns of a row of `room`: rotation of the link from the one before (9), its inertial force and moment.
ROOM_WIDTH = 15
MOST_JOINTS = 3
"""The history's rows have room for three angles."""


@piece
def joint_torque(link, driven, angle, rate):
    """Torque (N·m) of a joint: what drives it, held to its limit, and the stops at the ends of its range.

    Limit: d (1 + (d/L)⁸)^(−1/8), smooth, within 0.1 % of d up to 0.54 L and never beyond L. Stop: a spring
    that sets in over a width w, k w ln(1 + exp(x/w)) at x past the end, with damping while it presses.
    """
    limit = link[LIMIT]
    torque = driven
    if limit < math.inf:
        part = driven / limit
        squared = part * part
        fourth = squared * squared
        torque = driven / (1.0 + fourth * fourth) ** 0.125
    stiffness = link[STOP_STIFFNESS]
    if stiffness > 0.0:
        width = link[STOP_WIDTH]
        for side in range(2):
            x = (link[LOW] - angle) / width if side == 0 else (angle - link[HIGH]) / width
            if x > -40.0:
                small = math.exp(-abs(x))
                press = max(x, 0.0) + math.log1p(small)
                pressed = 1.0 / (1.0 + small) if x > 0.0 else small / (1.0 + small)
                push = stiffness * width * press
                torque += (push if side == 0 else -push) - link[STOP_DAMPING] * pressed * rate
    return torque


@piece
def driven_torque(drive, j, joints, y, y_rate):
    """couple − stiffness y − damping ẏ of joint j; drive (21,): stiffness, damping (3, 3), couple (3)."""
    value = drive[18 + j]
    for k in range(joints):
        value -= drive[3 * j + k] * y[k] + drive[9 + 3 * j + k] * y_rate[k]
    return value


@piece
def place_chain(links, base, y, y_rate, y_acceleration, room, motion, turn, place):
    """Outward: kinematics of every link and of the root.

    base (12,): velocity, acceleration (gravity taken off), Ω, Ω̇ of the base in its own axes. Written: room,
    motion (12,) = ω, α, a, v of the root in its own axes, turn (9,) root → base axes, place (3,) of the root
    from the base, base axes.
    """
    joints = links.shape[0] - 1
    v0 = base[0]
    v1 = base[1]
    v2 = base[2]
    a0 = base[3]
    a1 = base[4]
    a2 = base[5]
    w0 = base[6]
    w1 = base[7]
    w2 = base[8]
    l0 = base[9]
    l1 = base[10]
    l2 = base[11]
    for i in range(3):
        place[i] = 0.0
        for j in range(3):
            turn[3 * i + j] = 1.0 if i == j else 0.0
    for j in range(joints + 1):
        link = links[j]
        p0 = link[0]
        p1 = link[1]
        p2 = link[2]
        c0 = w1 * p2 - w2 * p1
        c1 = w2 * p0 - w0 * p2
        c2 = w0 * p1 - w1 * p0
        v0 += c0
        v1 += c1
        v2 += c2
        a0 += (l1 * p2 - l2 * p1) + (w1 * c2 - w2 * c1)
        a1 += (l2 * p0 - l0 * p2) + (w2 * c0 - w0 * c2)
        a2 += (l0 * p1 - l1 * p0) + (w0 * c1 - w1 * c0)
        for i in range(3):
            place[i] += turn[3 * i] * p0 + turn[3 * i + 1] * p1 + turn[3 * i + 2] * p2
        if j == joints:
            break
        # rotation of the joint, E = c I + s n^ + (1 − c) n nᵀ
        x = link[AXIS]
        y_ = link[AXIS + 1]
        z = link[AXIS + 2]
        cosine = math.cos(y[j])
        sine = math.sin(y[j])
        rest = 1.0 - cosine
        row = room[j]
        row[0] = cosine + rest * x * x
        row[1] = rest * x * y_ - sine * z
        row[2] = rest * x * z + sine * y_
        row[3] = rest * x * y_ + sine * z
        row[4] = cosine + rest * y_ * y_
        row[5] = rest * y_ * z - sine * x
        row[6] = rest * x * z - sine * y_
        row[7] = rest * y_ * z + sine * x
        row[8] = cosine + rest * z * z
        for i in range(3):
            t0 = turn[3 * i]
            t1 = turn[3 * i + 1]
            t2 = turn[3 * i + 2]
            for k in range(3):
                turn[3 * i + k] = t0 * row[k] + t1 * row[3 + k] + t2 * row[6 + k]
        v0, v1, v2 = _back(row, v0, v1, v2)
        a0, a1, a2 = _back(row, a0, a1, a2)
        w0, w1, w2 = _back(row, w0, w1, w2)
        l0, l1, l2 = _back(row, l0, l1, l2)
        # ω = Eᵀω + n θ̇;  α = Eᵀα − n θ̇ × Eᵀω + n θ̈
        u0 = x * y_rate[j]
        u1 = y_ * y_rate[j]
        u2 = z * y_rate[j]
        l0 += x * y_acceleration[j] - (u1 * w2 - u2 * w1)
        l1 += y_ * y_acceleration[j] - (u2 * w0 - u0 * w2)
        l2 += z * y_acceleration[j] - (u0 * w1 - u1 * w0)
        w0 += u0
        w1 += u1
        w2 += u2
        # f = m a_CG, moment about the joint = I α + ω × I ω + c × f
        c0 = link[CENTRE]
        c1 = link[CENTRE + 1]
        c2 = link[CENTRE + 2]
        u0 = w1 * c2 - w2 * c1
        u1 = w2 * c0 - w0 * c2
        u2 = w0 * c1 - w1 * c0
        f0 = link[MASS] * (a0 + (l1 * c2 - l2 * c1) + (w1 * u2 - w2 * u1))
        f1 = link[MASS] * (a1 + (l2 * c0 - l0 * c2) + (w2 * u0 - w0 * u2))
        f2 = link[MASS] * (a2 + (l0 * c1 - l1 * c0) + (w0 * u1 - w1 * u0))
        h0 = link[10] * w0 + link[11] * w1 + link[12] * w2
        h1 = link[13] * w0 + link[14] * w1 + link[15] * w2
        h2 = link[16] * w0 + link[17] * w1 + link[18] * w2
        row[9] = f0
        row[10] = f1
        row[11] = f2
        row[12] = link[10] * l0 + link[11] * l1 + link[12] * l2 + (w1 * h2 - w2 * h1) + (c1 * f2 - c2 * f1)
        row[13] = link[13] * l0 + link[14] * l1 + link[15] * l2 + (w2 * h0 - w0 * h2) + (c2 * f0 - c0 * f2)
        row[14] = link[16] * l0 + link[17] * l1 + link[18] * l2 + (w0 * h1 - w1 * h0) + (c0 * f1 - c1 * f0)
    motion[0] = w0
    motion[1] = w1
    motion[2] = w2
    motion[3] = l0
    motion[4] = l1
    motion[5] = l2
    motion[6] = a0
    motion[7] = a1
    motion[8] = a2
    motion[9] = v0
    motion[10] = v1
    motion[11] = v2


@piece
def _back(row, x, y, z):
    """Eᵀ (x, y, z), E the first nine numbers of a row."""
    return (
        row[0] * x + row[3] * y + row[6] * z,
        row[1] * x + row[4] * y + row[7] * z,
        row[2] * x + row[5] * y + row[8] * z,
    )


@piece
def chain_balance(links, drive, y, y_rate, room, wrench, out):
    """Inward: out[j] = moment needed about the axis of joint j − its torque.

    wrench (6,): force and moment that the rod needs at its root, root axes.
    """
    joints = links.shape[0] - 1
    f0 = wrench[0]
    f1 = wrench[1]
    f2 = wrench[2]
    m0 = wrench[3]
    m1 = wrench[4]
    m2 = wrench[5]
    for j in range(joints - 1, -1, -1):
        row = room[j]
        link = links[j]
        beyond = links[j + 1]
        m0 += beyond[1] * f2 - beyond[2] * f1 + row[12]
        m1 += beyond[2] * f0 - beyond[0] * f2 + row[13]
        m2 += beyond[0] * f1 - beyond[1] * f0 + row[14]
        f0 += row[9]
        f1 += row[10]
        f2 += row[11]
        needed = link[AXIS] * m0 + link[AXIS + 1] * m1 + link[AXIS + 2] * m2
        out[j] = needed - joint_torque(link, driven_torque(drive, j, joints, y, y_rate), y[j], y_rate[j])
        x = f0
        z = f1
        f0 = row[0] * x + row[1] * z + row[2] * f2
        f1 = row[3] * x + row[4] * z + row[5] * f2
        f2 = row[6] * x + row[7] * z + row[8] * f2
        x = m0
        z = m1
        m0 = row[0] * x + row[1] * z + row[2] * m2
        m1 = row[3] * x + row[4] * z + row[5] * m2
        m2 = row[6] * x + row[7] * z + row[8] * m2


@kernel
def torques(links, drives, angles, rates, out):
    """out (n, joints) N·m: the torques of the joints at given drives (n, 21), angles and rates (n, 3)."""
    joints = links.shape[0] - 1
    for i in range(out.shape[0]):
        for j in range(joints):
            driven = driven_torque(drives[i], j, joints, angles[i], rates[i])
            out[i, j] = joint_torque(links[j], driven, angles[i, j], rates[i, j])
