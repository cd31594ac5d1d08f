"""A run between its rows, compiled: the quintic Hermite interpolants of `beam.history.History.at`."""

from __future__ import annotations

import math

from swingbeam.beam import history
from swingbeam.beam.compiled import piece
from swingbeam.beam.rotations import exp_so3, log_so3, right_jacobian, series, series_slopes

from .batch_layout import POSE_WIDTH
from .spline_kernels import horner

POSITION = history.TIP_POSITION.start
ROTATION = history.TIP_ROTATION.start
VELOCITY = history.TIP_VELOCITY.start
OMEGA = history.TIP_OMEGA.start
ACCELERATION = history.TIP_ACCELERATION.start
OMEGA_DOT = history.TIP_OMEGA_DOT.start
THETA = history.THETA.start
THETA_DOT = history.THETA_DOT.start
THETA_DDOT = history.THETA_DDOT.start


@piece
def _quintic(h, p0, v0, a0, p1, v1, a1, power):
    """Powers of x = 0 … 1 along an interval h of the quintic through place, rate and acceleration at both ends."""
    d = p1 - p0 - h * v0 - 0.5 * h * h * a0
    e = h * (v1 - v0 - h * a0)
    f = h * h * (a1 - a0)
    power[0] = p0
    power[1] = h * v0
    power[2] = 0.5 * h * h * a0
    power[3] = 10.0 * d - 4.0 * e + 0.5 * f
    power[4] = -15.0 * d + 7.0 * e - f
    power[5] = 6.0 * d - 3.0 * e + 0.5 * f


@piece
def quintic_rate(power, x):
    """Derivative of a quintic with respect to x."""
    return power[1] + x * (2.0 * power[2] + x * (3.0 * power[3] + x * (4.0 * power[4] + x * 5.0 * power[5])))


@piece
def open_place(h, a, b, place):
    """Tip position and θ between the rows a and b, h (s) apart, as powers of x into place (ORDER, POSE_WIDTH)."""
    for k in range(3):
        _quintic(
            h,
            a[POSITION + k],
            a[VELOCITY + k],
            a[ACCELERATION + k],
            b[POSITION + k],
            b[VELOCITY + k],
            b[ACCELERATION + k],
            place[:, k],
        )
        _quintic(
            h,
            a[THETA + k],
            a[THETA_DOT + k],
            a[THETA_DDOT + k],
            b[THETA + k],
            b[THETA_DOT + k],
            b[THETA_DDOT + k],
            place[:, 3 + k],
        )


@piece
def place_at(place, x, here):
    """Tip position and θ at x within an opened step into here (POSE_WIDTH,)."""
    for k in range(POSE_WIDTH):
        here[k] = place[0, k] + x * (
            place[1, k] + x * (place[2, k] + x * (place[3, k] + x * (place[4, k] + x * place[5, k])))
        )


@piece
def _solve(matrix, right, out):
    """out = matrix⁻¹ right, 3 × 3, by Cramer's rule: J_r is far from singular within a step."""
    c00 = matrix[1, 1] * matrix[2, 2] - matrix[1, 2] * matrix[2, 1]
    c01 = matrix[1, 2] * matrix[2, 0] - matrix[1, 0] * matrix[2, 2]
    c02 = matrix[1, 0] * matrix[2, 1] - matrix[1, 1] * matrix[2, 0]
    one_over = 1.0 / (matrix[0, 0] * c00 + matrix[0, 1] * c01 + matrix[0, 2] * c02)
    c10 = matrix[0, 2] * matrix[2, 1] - matrix[0, 1] * matrix[2, 2]
    c11 = matrix[0, 0] * matrix[2, 2] - matrix[0, 2] * matrix[2, 0]
    c12 = matrix[0, 1] * matrix[2, 0] - matrix[0, 0] * matrix[2, 1]
    c20 = matrix[0, 1] * matrix[1, 2] - matrix[0, 2] * matrix[1, 1]
    c21 = matrix[0, 2] * matrix[1, 0] - matrix[0, 0] * matrix[1, 2]
    c22 = matrix[0, 0] * matrix[1, 1] - matrix[0, 1] * matrix[1, 0]
    r0 = right[0]
    r1 = right[1]
    r2 = right[2]
    out[0] = one_over * (c00 * r0 + c10 * r1 + c20 * r2)
    out[1] = one_over * (c01 * r0 + c11 * r1 + c21 * r2)
    out[2] = one_over * (c02 * r0 + c12 * r1 + c22 * r2)


@piece
def _rate_term(theta, rate, out):
    """out = J̇_r θ̇."""
    x = theta[0]
    y = theta[1]
    z = theta[2]
    _, _, c = series(x * x + y * y + z * z)
    db, dc = series_slopes(x * x + y * y + z * z)
    p0 = rate[0]
    p1 = rate[1]
    p2 = rate[2]
    s0 = y * p2 - z * p1
    s1 = z * p0 - x * p2
    s2 = x * p1 - y * p0
    q0 = y * s2 - z * s1
    q1 = z * s0 - x * s2
    q2 = x * s1 - y * s0
    dt = 2.0 * (x * p0 + y * p1 + z * p2)
    # −b θ̇×θ̇ vanishes; c (θ̇×(θ×θ̇) + θ×(θ̇×θ̇)) keeps its first part.
    out[0] = c * (p1 * s2 - p2 * s1) + dt * (dc * q0 - db * s0)
    out[1] = c * (p2 * s0 - p0 * s2) + dt * (dc * q1 - db * s1)
    out[2] = c * (p0 * s1 - p1 * s0) + dt * (dc * q2 - db * s2)


@piece
def open_turn(h, a, b, twirl, turns, vectors):
    """The tip's rotation between the rows a and b: rotation vector from a's, as powers of x into twirl (3, ORDER).

    turns[0] holds a's rotation afterwards; turns[1:3] and vectors[0:4] are room.
    """
    first = turns[0]
    for i in range(3):
        for j in range(3):
            first[i, j] = a[ROTATION + 3 * i + j]
    for i in range(3):
        for j in range(3):
            total = 0.0
            for k in range(3):
                total += first[k, i] * b[ROTATION + 3 * k + j]
            turns[1, i, j] = total
    turn = vectors[0]
    log_so3(turns[1], turn)
    right_jacobian(turn, turns[2])
    _solve(turns[2], b[OMEGA : OMEGA + 3], vectors[1])
    _rate_term(turn, vectors[1], vectors[2])
    for k in range(3):
        vectors[2, k] = b[OMEGA_DOT + k] - vectors[2, k]
    _solve(turns[2], vectors[2], vectors[3])
    for k in range(3):
        _quintic(h, 0.0, a[OMEGA + k], a[OMEGA_DOT + k], turn[k], vectors[1, k], vectors[3, k], twirl[k])


@piece
def tip_turn(twirl, x, first, vector, turn, out):
    """Rotation of the tip (3, 3) at x within an opened step; vector (3,) keeps φ, turn (3, 3) is room."""
    for k in range(3):
        vector[k] = horner(twirl[k], x)
    exp_so3(vector, turn)
    for i in range(3):
        for j in range(3):
            out[i, j] = first[i, 0] * turn[0, j] + first[i, 1] * turn[1, j] + first[i, 2] * turn[2, j]


@piece
def tip_omega(twirl, x, h, vector, jacobian, out):
    """Angular velocity (3,) rad/s, tip axes, at x within an opened step of h s; vector holds φ there."""
    right_jacobian(vector, jacobian)
    r0 = quintic_rate(twirl[0], x) / h
    r1 = quintic_rate(twirl[1], x) / h
    r2 = quintic_rate(twirl[2], x) / h
    for i in range(3):
        out[i] = jacobian[i, 0] * r0 + jacobian[i, 1] * r1 + jacobian[i, 2] * r2


@piece
def motion_turn(pose, out):
    """Rotation (3, 3) of a motion's pose: position, quaternion of any length, scalar first."""
    w = pose[3]
    x = pose[4]
    y = pose[5]
    z = pose[6]
    k = 2.0 / (w * w + x * x + y * y + z * z)
    out[0, 0] = 1.0 - k * (y * y + z * z)
    out[1, 1] = 1.0 - k * (x * x + z * z)
    out[2, 2] = 1.0 - k * (x * x + y * y)
    out[0, 1] = k * (x * y - w * z)
    out[1, 0] = k * (x * y + w * z)
    out[0, 2] = k * (x * z + w * y)
    out[2, 0] = k * (x * z - w * y)
    out[1, 2] = k * (y * z - w * x)
    out[2, 1] = k * (y * z + w * x)


@piece
def bend_along(normal, turn, direction):
    """e: plane normal × shaft axis of the reference pose (3, 3), made a unit vector."""
    x = turn[0, 0]
    y = turn[1, 0]
    z = turn[2, 0]
    e0 = normal[1] * z - normal[2] * y
    e1 = normal[2] * x - normal[0] * z
    e2 = normal[0] * y - normal[1] * x
    k = 1.0 / math.sqrt(e0 * e0 + e1 * e1 + e2 * e2)
    direction[0] = k * e0
    direction[1] = k * e1
    direction[2] = k * e2


@piece
def row_before(t, rows, instant, hint):
    """The row at or before an instant (the last but one at the end), looked for from `hint` on."""
    i = min(max(hint, 0), rows - 2)
    while i > 0 and instant < t[i]:
        i -= 1
    while i < rows - 2 and instant >= t[i + 1]:
        i += 1
    return i
