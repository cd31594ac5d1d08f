# mypy: disable-error-code="no-untyped-def"
"""Relative poses of two sections and the tangent operators of SE(3), compiled.

A pose is a unit quaternion (scalar first) and a position. A screw f = (u, w) has its translation first; a
force screw (F, M) likewise. With t = |w|²,

    exp(f) = (exp w^, (I + b w^ + c w^²) u)                      b, c of `rotations.series`
    T(f)   = [[A, B], [0, A]],  A = I − b w^ + c w^²             H⁻¹ δH = T(f) δf
    T⁻¹(f) = [[A, B], [0, A]],  A = I + w^/2 + k w^²,  k(t) = (1 − (φ/2) cot(φ/2))/φ²,  φ = |w|

and in both B is the derivative of A along u: the operators of SE(3) are those of SO(3) at the dual number
w + ε u. Sonneville, Cardona & Brüls 2014, Comput. Methods Appl. Mech. Engrg. 268:451, appendix A; Selig 2005,
Geometric Fundamentals of Robotics, § 7.5 (dual numbers).
"""

from __future__ import annotations

import math

from .compiled import piece
from .rotations import quaternion_parts, series

# |B_2k|/(2k)!, k = 1 …: the Taylor coefficients of k(t) (Abramowitz & Stegun 1964, 4.3.70).
K1 = 1.0 / 12.0
K2 = 1.0 / 720.0
K3 = 1.0 / 30240.0
K4 = 1.0 / 1209600.0
K5 = 1.0 / 47900160.0
K6 = 691.0 / 1307674368000.0
K7 = 1.0 / 74724249600.0
K8 = 3617.0 / 10670622842880000.0
K9 = 43867.0 / 5109094217170944000.0
K10 = 174611.0 / 802857662698291200000.0
K11 = 77683.0 / 14101100039391805440000.0
K12 = 236364091.0 / 1693824136731743669452800000.0


@piece
def inverse_series(t):
    """k(t) of T⁻¹ and its slope dk/dt, to round-off for every angle below 2π."""
    if t < 0.02:
        k = K1 + t * (K2 + t * (K3 + t * (K4 + t * (K5 + t * K6))))
        k1 = K2 + t * (2.0 * K3 + t * (3.0 * K4 + t * (4.0 * K5 + t * 5.0 * K6)))
    elif t < 1.0:
        k = K7 + t * (K8 + t * (K9 + t * (K10 + t * (K11 + t * K12))))
        k = K1 + t * (K2 + t * (K3 + t * (K4 + t * (K5 + t * (K6 + t * k)))))
        k1 = 7.0 * K8 + t * (8.0 * K9 + t * (9.0 * K10 + t * (10.0 * K11 + t * 11.0 * K12)))
        k1 = K2 + t * (2.0 * K3 + t * (3.0 * K4 + t * (4.0 * K5 + t * (5.0 * K6 + t * (6.0 * K7 + t * k1)))))
    else:
        angle = math.sqrt(t)
        sine = math.sin(0.5 * angle)
        cot = math.cos(0.5 * angle) / sine
        k = 1.0 / t - 0.5 * cot / angle
        k1 = -1.0 / (t * t) + 0.25 * cot / (t * angle) + 0.125 / (t * sine * sine)
    return k, k1


@piece
def inverse_series_curve(t):
    """d²k/dt² of T⁻¹, used by the tangent stiffness only."""
    if t < 1.0:
        k2 = 56.0 * K9 + t * (72.0 * K10 + t * (90.0 * K11 + t * 110.0 * K12))
        k2 = 2.0 * K3 + t * (6.0 * K4 + t * (12.0 * K5 + t * (20.0 * K6 + t * (30.0 * K7 + t * (42.0 * K8 + t * k2)))))
    else:
        angle = math.sqrt(t)
        sine = math.sin(0.5 * angle)
        cot = math.cos(0.5 * angle) / sine
        s = 1.0 / (sine * sine)
        k2 = (4.0 / (t * t * angle) - 0.75 * cot / (t * t) - 0.375 * s / (t * angle) - 0.125 * s * cot / t) / (
            2.0 * angle
        )
    return k2


@piece
def turn_back(q, i, a, b, c):
    """Rᵀ (a, b, c) for the quaternion q[i]."""
    q0 = q[i, 0]
    x = q[i, 1]
    y = q[i, 2]
    z = q[i, 3]
    s = 2.0 * (b * z - c * y)
    p = 2.0 * (c * x - a * z)
    r = 2.0 * (a * y - b * x)
    return a + q0 * s - y * r + z * p, b + q0 * p - z * s + x * r, c + q0 * r - x * p + y * s


@piece
def turn_out(q, i, a, b, c):
    """R (a, b, c) for the quaternion q[i]."""
    q0 = q[i, 0]
    x = q[i, 1]
    y = q[i, 2]
    z = q[i, 3]
    s = 2.0 * (y * c - z * b)
    p = 2.0 * (z * a - x * c)
    r = 2.0 * (x * b - y * a)
    return a + q0 * s + y * r - z * p, b + q0 * p + z * s - x * r, c + q0 * r + x * p - y * s


@piece
def log_pose(p0, p1, p2, p3, d0, d1, d2):
    """The screw f = (u, w) of a relative pose of quaternion p and translation d: u = A(w)ᵀ d; and k,
    k' there."""
    if p0 < 0.0:
        p0 = -p0
        p1 = -p1
        p2 = -p2
        p3 = -p3
    s2 = p1 * p1 + p2 * p2 + p3 * p3
    if s2 < 0.004:
        # 2 arcsin(s)/s; the next term is below 1e-18
        g = 2.0 + s2 * (
            1.0 / 3.0
            + s2 * (3.0 / 20.0 + s2 * (5.0 / 56.0 + s2 * (35.0 / 576.0 + s2 * (63.0 / 1408.0 + s2 * 231.0 / 6656.0))))
        )
    else:
        s = math.sqrt(s2)
        g = 2.0 * math.atan2(s, p0) / s
    w0 = g * p1
    w1 = g * p2
    w2 = g * p3
    k, k1 = inverse_series(w0 * w0 + w1 * w1 + w2 * w2)
    c0 = w1 * d2 - w2 * d1
    c1 = w2 * d0 - w0 * d2
    c2 = w0 * d1 - w1 * d0
    u0 = d0 - 0.5 * c0 + k * (w1 * c2 - w2 * c1)
    u1 = d1 - 0.5 * c1 + k * (w2 * c0 - w0 * c2)
    u2 = d2 - 0.5 * c2 + k * (w0 * c1 - w1 * c0)
    return u0, u1, u2, w0, w1, w2, k, k1


@piece
def relative_screw(q, gap, e):
    """f = log(H_e⁻¹ H_{e+1}) of the nodes e and e + 1, q (nodes, 4), gap (elements, 3); and k, k' at f.

    gap[e] = x_{e+1} − x_e is a variable of its own: round-off in it, times a stiff EA/h, is a force,
    and that of differences of positions in the world would be larger by the distance to the origin over the
    element length.
    """
    a0 = q[e, 0]
    a1 = q[e, 1]
    a2 = q[e, 2]
    a3 = q[e, 3]
    b0 = q[e + 1, 0]
    b1 = q[e + 1, 1]
    b2 = q[e + 1, 2]
    b3 = q[e + 1, 3]
    d0, d1, d2 = turn_back(q, e, gap[e, 0], gap[e, 1], gap[e, 2])
    return log_pose(
        a0 * b0 + a1 * b1 + a2 * b2 + a3 * b3,
        a0 * b1 - a1 * b0 - a2 * b3 + a3 * b2,
        a0 * b2 - a2 * b0 - a3 * b1 + a1 * b3,
        a0 * b3 - a3 * b0 - a1 * b2 + a2 * b1,
        d0,
        d1,
        d2,
    )


@piece
def move_pose(q, i, f0, f1, f2, w0, w1, w2, q_out, shift):
    """Pose i moved by exp(f) from the right: q_out[i], renormalised, and its displacement shift[i], world."""
    t = w0 * w0 + w1 * w1 + w2 * w2
    _, b, c = series(t)
    h, hb, _ = series(0.25 * t)
    c0 = w1 * f2 - w2 * f1
    c1 = w2 * f0 - w0 * f2
    c2 = w0 * f1 - w1 * f0
    d0 = f0 + b * c0 + c * (w1 * c2 - w2 * c1)
    d1 = f1 + b * c1 + c * (w2 * c0 - w0 * c2)
    d2 = f2 + b * c2 + c * (w0 * c1 - w1 * c0)
    shift[i, 0], shift[i, 1], shift[i, 2] = turn_out(q, i, d0, d1, d2)
    # exp of half the rotation vector: cos(φ/2) = 1 − (φ/2)² b(φ²/4), sin(φ/2)/φ = a(φ²/4)/2
    e0 = 1.0 - 0.25 * t * hb
    e1 = 0.5 * h * w0
    e2 = 0.5 * h * w1
    e3 = 0.5 * h * w2
    a0 = q[i, 0]
    a1 = q[i, 1]
    a2 = q[i, 2]
    a3 = q[i, 3]
    r0 = a0 * e0 - a1 * e1 - a2 * e2 - a3 * e3
    r1 = a0 * e1 + a1 * e0 + a2 * e3 - a3 * e2
    r2 = a0 * e2 + a2 * e0 + a3 * e1 - a1 * e3
    r3 = a0 * e3 + a3 * e0 + a1 * e2 - a2 * e1
    # One Newton step towards length one: the drift of a product is round-off.
    g = 1.5 - 0.5 * (r0 * r0 + r1 * r1 + r2 * r2 + r3 * r3)
    q_out[i, 0] = g * r0
    q_out[i, 1] = g * r1
    q_out[i, 2] = g * r2
    q_out[i, 3] = g * r3


@piece
def link(gap, shift, gap_out):
    """gap_out (elements, 3) after the nodes have moved by shift (nodes, 3)."""
    for e in range(gap.shape[0]):
        for j in range(3):
            gap_out[e, j] = gap[e, j] + (shift[e + 1, j] - shift[e, j])


@piece
def positions(gap, x):
    """x[1:] from x[0] and the gaps."""
    for e in range(gap.shape[0]):
        for j in range(3):
            x[e + 1, j] = x[e, j] + gap[e, j]


@piece
def quaternion_of(r, q, i):
    """q[i] = unit quaternion of the rotation matrix r."""
    q0, q1, q2, q3 = quaternion_parts(r)
    s = 1.0 / math.sqrt(q0 * q0 + q1 * q1 + q2 * q2 + q3 * q3)
    q[i, 0] = s * q0
    q[i, 1] = s * q1
    q[i, 2] = s * q2
    q[i, 3] = s * q3


@piece
def matrix_of(q, i, r):
    """r (3,3) = the rotation matrix of the quaternion q[i]."""
    q0 = q[i, 0]
    x = q[i, 1]
    y = q[i, 2]
    z = q[i, 3]
    r[0, 0] = 1.0 - 2.0 * (y * y + z * z)
    r[1, 1] = 1.0 - 2.0 * (x * x + z * z)
    r[2, 2] = 1.0 - 2.0 * (x * x + y * y)
    r[0, 1] = 2.0 * (x * y - q0 * z)
    r[1, 0] = 2.0 * (x * y + q0 * z)
    r[0, 2] = 2.0 * (x * z + q0 * y)
    r[2, 0] = 2.0 * (x * z - q0 * y)
    r[1, 2] = 2.0 * (y * z - q0 * x)
    r[2, 1] = 2.0 * (y * z + q0 * x)


@piece
def screw_operator(u0, u1, u2, w0, w1, w2, odd, even, odd_slope, even_slope, out):
    """out (6,6) = [[A, B], [0, A]] with A = I + odd w^ + even w^² and B its derivative along u.

    `odd` and `even` are functions of t = |w|², handed over with their slopes d/dt: T⁻¹(±f) has
    (±1/2, k, 0, k'), T(f) has (−b, c, −b', c').
    """
    t = w0 * w0 + w1 * w1 + w2 * w2
    wu = w0 * u0 + w1 * u1 + w2 * u2
    p = 2.0 * wu * odd_slope
    r = 2.0 * wu * even_slope
    # w^² = w wᵀ − t I;  w^ u^ + u^ w^ = w uᵀ + u wᵀ − 2 (w·u) I
    diagonal = 1.0 - even * t
    diagonal_b = -2.0 * wu * even - r * t
    out[0, 0] = diagonal + even * w0 * w0
    out[1, 1] = diagonal + even * w1 * w1
    out[2, 2] = diagonal + even * w2 * w2
    out[0, 1] = even * w0 * w1 - odd * w2
    out[1, 0] = even * w0 * w1 + odd * w2
    out[0, 2] = even * w0 * w2 + odd * w1
    out[2, 0] = even * w0 * w2 - odd * w1
    out[1, 2] = even * w1 * w2 - odd * w0
    out[2, 1] = even * w1 * w2 + odd * w0
    out[0, 3] = diagonal_b + 2.0 * even * w0 * u0 + r * w0 * w0
    out[1, 4] = diagonal_b + 2.0 * even * w1 * u1 + r * w1 * w1
    out[2, 5] = diagonal_b + 2.0 * even * w2 * u2 + r * w2 * w2
    s = even * (w0 * u1 + w1 * u0) + r * w0 * w1
    v = odd * u2 + p * w2
    out[0, 4] = s - v
    out[1, 3] = s + v
    s = even * (w0 * u2 + w2 * u0) + r * w0 * w2
    v = odd * u1 + p * w1
    out[0, 5] = s + v
    out[2, 3] = s - v
    s = even * (w1 * u2 + w2 * u1) + r * w1 * w2
    v = odd * u0 + p * w0
    out[1, 5] = s - v
    out[2, 4] = s + v
    for i in range(3):
        for j in range(3):
            out[i + 3, j] = 0.0
            out[i + 3, j + 3] = out[i, j]
