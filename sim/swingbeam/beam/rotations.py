"""Rotations in space: exponential, logarithm and the tangent operators of SO(3), compiled and for arrays.

A rotation is a 3×3 matrix body → world; a rotation vector θ (rad) stands for exp(θ^), with θ^ a = θ × a.
The compiled functions write into the arrays they are given and allocate nothing; the others (``rotation_*``)
work on stacks of shape (..., 3) and (..., 3, 3).

Sources: Rodrigues' formula and the right Jacobian as in Sonneville, Cardona & Brüls 2014 (Comput. Methods Appl.
Mech. Engrg. 268, appendix A) and Chirikjian 2011, Stochastic Models, Information Theory, and Lie Groups 2, ch. 10.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .compiled import piece

Array = NDArray[np.float64]


@piece
def exponential_series(t):
    """b = (1 − cos φ)/φ², c = (φ − sin φ)/φ³ and their first two derivatives with respect to t = φ².

    Taylor series to rounding below φ = 0.5, where the closed forms lose digits.
    """
    if t < 0.02:
        b = 1 / 2 + t * (-1 / 24 + t * (1 / 720 + t * (-1 / 40320 + t * (1 / 3628800))))
        c = 1 / 6 + t * (-1 / 120 + t * (1 / 5040 + t * (-1 / 362880 + t * (1 / 39916800))))
        db = -1 / 24 + t * (2 / 720 + t * (-3 / 40320 + t * (4 / 3628800 + t * (-5 / 479001600))))
        dc = -1 / 120 + t * (2 / 5040 + t * (-3 / 362880 + t * (4 / 39916800)))
        ddb = 2 / 720 + t * (-6 / 40320 + t * (12 / 3628800 + t * (-20 / 479001600)))
        ddc = 2 / 5040 + t * (-6 / 362880 + t * (12 / 39916800))
    elif t < 0.25:
        f14 = 1 / 87178291200.0
        f15 = 1 / 1307674368000.0
        f12 = 1 / 479001600.0
        f13 = 1 / 6227020800.0
        f16 = 1 / 20922789888000.0
        f17 = 1 / 355687428096000.0
        b = 1 / 2 + t * (
            -1 / 24 + t * (1 / 720 + t * (-1 / 40320 + t * (1 / 3628800 + t * (-f12 + t * (f14 - t * f16)))))
        )
        c = 1 / 6 + t * (
            -1 / 120 + t * (1 / 5040 + t * (-1 / 362880 + t * (1 / 39916800 + t * (-f13 + t * (f15 - t * f17)))))
        )
        db = -1 / 24 + t * (
            2 / 720 + t * (-3 / 40320 + t * (4 / 3628800 + t * (-5 * f12 + t * (6 * f14 - t * 7 * f16))))
        )
        dc = -1 / 120 + t * (
            2 / 5040 + t * (-3 / 362880 + t * (4 / 39916800 + t * (-5 * f13 + t * (6 * f15 - t * 7 * f17))))
        )
        ddb = 2 / 720 + t * (-6 / 40320 + t * (12 / 3628800 + t * (-20 * f12 + t * (30 * f14 - t * 42 * f16))))
        ddc = 2 / 5040 + t * (-6 / 362880 + t * (12 / 39916800 + t * (-20 * f13 + t * (30 * f15 - t * 42 * f17))))
    else:
        angle = math.sqrt(t)
        a = math.sin(angle) / angle
        b = (1.0 - math.cos(angle)) / t
        c = (1.0 - a) / t
        half = 0.5 / t
        db = half * (a - 2.0 * b)
        dc = half * (b - 3.0 * c)
        ddb = half * (0.5 * (c - b) - 4.0 * db)
        ddc = half * (db - 5.0 * dc)
    return b, c, db, dc, ddb, ddc


@piece
def series(t):
    """Coefficients of the exponential for t = |θ|²: a = sin θ/θ, b = (1 − cos θ)/θ², c = (θ − sin θ)/θ³."""
    b, c, _, _, _, _ = exponential_series(t)
    return 1.0 - t * c, b, c


@piece
def series_slopes(t):
    """db/dt and dc/dt of `series` with t = |θ|²."""
    _, _, db, dc, _, _ = exponential_series(t)
    return db, dc


@piece
def series_curves(t):
    """d²b/dt² and d²c/dt² of `series`."""
    _, _, _, _, ddb, ddc = exponential_series(t)
    return ddb, ddc


@piece
def exp_so3(theta, out):
    """out (3,3) = exp(θ^) by Rodrigues' formula."""
    x = theta[0]
    y = theta[1]
    z = theta[2]
    a, b, _ = series(x * x + y * y + z * z)
    out[0, 0] = 1.0 - b * (y * y + z * z)
    out[1, 1] = 1.0 - b * (x * x + z * z)
    out[2, 2] = 1.0 - b * (x * x + y * y)
    out[0, 1] = b * x * y - a * z
    out[1, 0] = b * x * y + a * z
    out[0, 2] = b * x * z + a * y
    out[2, 0] = b * x * z - a * y
    out[1, 2] = b * y * z - a * x
    out[2, 1] = b * y * z + a * x


@piece
def quaternion_parts(rotation):
    """A quaternion of a rotation matrix, scalar first, not normalised: from its largest pivot, so no digits are lost
    at any angle (Shepperd 1978, J. Guidance and Control 1:223)."""
    m00 = rotation[0, 0]
    m11 = rotation[1, 1]
    m22 = rotation[2, 2]
    trace = m00 + m11 + m22
    if trace >= m00 and trace >= m11 and trace >= m22:
        q0 = 1.0 + trace
        q1 = rotation[2, 1] - rotation[1, 2]
        q2 = rotation[0, 2] - rotation[2, 0]
        q3 = rotation[1, 0] - rotation[0, 1]
    elif m00 >= m11 and m00 >= m22:
        q0 = rotation[2, 1] - rotation[1, 2]
        q1 = 1.0 + m00 - m11 - m22
        q2 = rotation[1, 0] + rotation[0, 1]
        q3 = rotation[2, 0] + rotation[0, 2]
    elif m11 >= m22:
        q0 = rotation[0, 2] - rotation[2, 0]
        q1 = rotation[1, 0] + rotation[0, 1]
        q2 = 1.0 + m11 - m00 - m22
        q3 = rotation[2, 1] + rotation[1, 2]
    else:
        q0 = rotation[1, 0] - rotation[0, 1]
        q1 = rotation[2, 0] + rotation[0, 2]
        q2 = rotation[2, 1] + rotation[1, 2]
        q3 = 1.0 + m22 - m00 - m11
    return q0, q1, q2, q3


@piece
def log_so3(rotation, out):
    """out (3,) = the rotation vector of a rotation matrix, |out| ≤ π; accurate near 0 and near π."""
    q0, q1, q2, q3 = quaternion_parts(rotation)
    if q0 < 0.0:
        q0 = -q0
        q1 = -q1
        q2 = -q2
        q3 = -q3
    s = math.sqrt(q1 * q1 + q2 * q2 + q3 * q3)
    if s < 1e-8 * q0:
        k = 2.0 / q0
    else:
        k = 2.0 * math.atan2(s, q0) / s
    out[0] = k * q1
    out[1] = k * q2
    out[2] = k * q3


@piece
def right_jacobian(theta, out):
    """out (3,3) = J_r(θ) = I − b θ^ + c θ^², so that the body rate is J_r θ̇."""
    x = theta[0]
    y = theta[1]
    z = theta[2]
    _, b, c = series(x * x + y * y + z * z)
    out[0, 0] = 1.0 - c * (y * y + z * z)
    out[1, 1] = 1.0 - c * (x * x + z * z)
    out[2, 2] = 1.0 - c * (x * x + y * y)
    out[0, 1] = c * x * y + b * z
    out[1, 0] = c * x * y - b * z
    out[0, 2] = c * x * z - b * y
    out[2, 0] = c * x * z + b * y
    out[1, 2] = c * y * z + b * x
    out[2, 1] = c * y * z - b * x


@piece
def body_rates(theta, rate, acceleration, omega, omega_dot):
    """Body angular velocity J_r θ̇ and its rate J_r θ̈ + J̇_r θ̇ of exp(θ(t)) into omega (3,), omega_dot (3,)."""
    x = theta[0]
    y = theta[1]
    z = theta[2]
    t = x * x + y * y + z * z
    _, b, c = series(t)
    db, dc = series_slopes(t)
    p0 = rate[0]
    p1 = rate[1]
    p2 = rate[2]
    s0 = y * p2 - z * p1
    s1 = z * p0 - x * p2
    s2 = x * p1 - y * p0
    q0 = y * s2 - z * s1
    q1 = z * s0 - x * s2
    q2 = x * s1 - y * s0
    omega[0] = p0 - b * s0 + c * q0
    omega[1] = p1 - b * s1 + c * q1
    omega[2] = p2 - b * s2 + c * q2
    e0 = y * acceleration[2] - z * acceleration[1]
    e1 = z * acceleration[0] - x * acceleration[2]
    e2 = x * acceleration[1] - y * acceleration[0]
    f0 = y * e2 - z * e1
    f1 = z * e0 - x * e2
    f2 = x * e1 - y * e0
    g0 = p1 * s2 - p2 * s1
    g1 = p2 * s0 - p0 * s2
    g2 = p0 * s1 - p1 * s0
    dt = 2.0 * (x * p0 + y * p1 + z * p2)
    omega_dot[0] = acceleration[0] - b * e0 + c * (f0 + g0) + dt * (dc * q0 - db * s0)
    omega_dot[1] = acceleration[1] - b * e1 + c * (f1 + g1) + dt * (dc * q1 - db * s1)
    omega_dot[2] = acceleration[2] - b * e2 + c * (f2 + g2) + dt * (dc * q2 - db * s2)


@piece
def root_kinematics(
    omega_m, omega_dot_m, velocity_m, acceleration_m, theta, rate, accel, turn, omega, omega_dot, velocity, acceleration
):
    """Kinematics of the root R_0 = R_m exp(θ), all in the yielded root's body axes.

    In: the motion's body rate Ω_m, its derivative, R_mᵀ ṗ and R_mᵀ (p̈ − g); θ and its two derivatives.
    Out: turn (3,3) = exp(θ); omega, omega_dot, velocity, acceleration (3,):
    Ω = Eᵀ Ω_m + u,  Ω̇ = Eᵀ Ω̇_m − u × Eᵀ Ω_m + u̇  with  u = J_r θ̇,  and Eᵀ of the translational terms.
    """
    exp_so3(theta, turn)
    body_rates(theta, rate, accel, omega, omega_dot)
    u0 = omega[0]
    u1 = omega[1]
    u2 = omega[2]
    w0 = turn[0, 0] * omega_m[0] + turn[1, 0] * omega_m[1] + turn[2, 0] * omega_m[2]
    w1 = turn[0, 1] * omega_m[0] + turn[1, 1] * omega_m[1] + turn[2, 1] * omega_m[2]
    w2 = turn[0, 2] * omega_m[0] + turn[1, 2] * omega_m[1] + turn[2, 2] * omega_m[2]
    cross0 = u1 * w2 - u2 * w1
    cross1 = u2 * w0 - u0 * w2
    cross2 = u0 * w1 - u1 * w0
    omega[0] = w0 + u0
    omega[1] = w1 + u1
    omega[2] = w2 + u2
    omega_dot[0] -= cross0
    omega_dot[1] -= cross1
    omega_dot[2] -= cross2
    for i in range(3):
        omega_dot[i] += turn[0, i] * omega_dot_m[0] + turn[1, i] * omega_dot_m[1] + turn[2, i] * omega_dot_m[2]
        velocity[i] = turn[0, i] * velocity_m[0] + turn[1, i] * velocity_m[1] + turn[2, i] * velocity_m[2]
        acceleration[i] = (
            turn[0, i] * acceleration_m[0] + turn[1, i] * acceleration_m[1] + turn[2, i] * acceleration_m[2]
        )


def skew(vector: ArrayLike) -> Array:
    """Cross-product matrices (..., 3, 3) of vectors (..., 3): skew(a) @ b = a × b."""
    v = np.asarray(vector, dtype=float)
    out = np.zeros((*v.shape, 3))
    out[..., 0, 1], out[..., 0, 2] = -v[..., 2], v[..., 1]
    out[..., 1, 0], out[..., 1, 2] = v[..., 2], -v[..., 0]
    out[..., 2, 0], out[..., 2, 1] = -v[..., 1], v[..., 0]
    return out


def rotation_from_vector(vector: ArrayLike) -> Array:
    """Rotation matrices (..., 3, 3) of rotation vectors (..., 3), rad."""
    v = np.asarray(vector, dtype=float)
    t = np.sum(v * v, axis=-1)
    angle = np.sqrt(t)
    half = np.sinc(angle / (2.0 * np.pi))
    a = np.sinc(angle / np.pi)
    hat = skew(v)
    eye = np.eye(3)
    return eye + a[..., None, None] * hat + (0.5 * half * half)[..., None, None] * (hat @ hat)


def vector_from_rotation(rotation: ArrayLike) -> Array:
    """Rotation vectors (..., 3), rad, |θ| ≤ π, of rotation matrices (..., 3, 3)."""
    matrices = np.asarray(rotation, dtype=float)
    quaternion = quaternion_from_rotation(matrices)
    sign = np.where(quaternion[..., :1] < 0.0, -1.0, 1.0)
    q = quaternion * sign
    s = np.linalg.norm(q[..., 1:], axis=-1)
    with np.errstate(invalid="ignore", divide="ignore"):
        k = np.where(s < 1e-8, 2.0 / q[..., 0], 2.0 * np.arctan2(s, q[..., 0]) / np.where(s == 0.0, 1.0, s))
    return k[..., None] * q[..., 1:]


def quaternion_from_rotation(rotation: ArrayLike) -> Array:
    """Unit quaternions (..., 4), scalar first, of rotation matrices (..., 3, 3); the sign is arbitrary.

    Shepperd 1978, J. Guidance and Control 1:223: the largest of the four pivots is used.
    """
    m = np.asarray(rotation, dtype=float)
    m00, m11, m22 = m[..., 0, 0], m[..., 1, 1], m[..., 2, 2]
    d21, d02, d10 = m[..., 2, 1] - m[..., 1, 2], m[..., 0, 2] - m[..., 2, 0], m[..., 1, 0] - m[..., 0, 1]
    s10, s20, s21 = m[..., 1, 0] + m[..., 0, 1], m[..., 2, 0] + m[..., 0, 2], m[..., 2, 1] + m[..., 1, 2]
    candidates = np.stack(
        [
            np.stack([1 + m00 + m11 + m22, d21, d02, d10], axis=-1),
            np.stack([d21, 1 + m00 - m11 - m22, s10, s20], axis=-1),
            np.stack([d02, s10, 1 + m11 - m00 - m22, s21], axis=-1),
            np.stack([d10, s20, s21, 1 + m22 - m00 - m11], axis=-1),
        ],
        axis=-2,
    )
    pivot = np.argmax(np.stack([m00 + m11 + m22, m00, m11, m22], axis=-1), axis=-1)
    q = np.take_along_axis(candidates, pivot[..., None, None], axis=-2)[..., 0, :]
    return q / np.linalg.norm(q, axis=-1, keepdims=True)


def rotation_from_quaternion(quaternion: ArrayLike) -> Array:
    """Rotation matrices (..., 3, 3) of quaternions (..., 4), scalar first, of any length but zero."""
    q = np.asarray(quaternion, dtype=float)
    q = q / np.linalg.norm(q, axis=-1, keepdims=True)
    w, v = q[..., 0], q[..., 1:]
    outer = v[..., :, None] * v[..., None, :]
    square = (w * w - np.sum(v * v, axis=-1))[..., None, None] * np.eye(3)
    return square + 2.0 * outer + 2.0 * w[..., None, None] * skew(v)


def swing_twist(rotation: ArrayLike) -> tuple[Array, Array]:
    """Split rotations (..., 3, 3) into bend · twist with the twist about x.

    Returns the bend (..., 3, 3) and the twist angle (...,) = 2 atan2(q_x, q_0), rad.
    """
    matrices = np.asarray(rotation, dtype=float)
    q = quaternion_from_rotation(matrices)
    q = q * np.where(q[..., :1] < 0.0, -1.0, 1.0)
    angle = 2.0 * np.arctan2(q[..., 1], q[..., 0])
    axis = np.zeros((*angle.shape, 3))
    axis[..., 0] = -angle
    return matrices @ rotation_from_vector(axis), angle
