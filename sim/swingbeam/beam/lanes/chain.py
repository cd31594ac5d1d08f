"""The rod as a chain of intervals: recursive Newton–Euler on the strains. Lanes of `curvature_chain_kernels`.

One piece takes one interval; what is handed on from node to node goes through CARRY. Axes throughout are those of the
principal planes, which go along with the section: strains need not be turned into section axes and back.
"""

from __future__ import annotations

from typing import Any

from .lane_numbers import Slots, larger
from .layout import (
    ACCELERATION,
    ALPHA,
    BEND_Y,
    BEND_Z,
    BENDS,
    CARRY,
    COEFFICIENTS,
    FORCE,
    FREE,
    I0,
    I1,
    LENGTH,
    MOMENT,
    NODE_ACCELERATION,
    OMEGA,
    RATE,
    REACH,
    REST,
    ROTARY,
    STIFFNESS_TWIST,
    STIFFNESS_Y,
    STIFFNESS_Z,
    STRAINS,
    THETA,
    TIP,
    TWIST,
    TWISTS,
    VISCOSITY,
    WEIGHT,
    D,
    E,
    P,
    S,
    X,
)
from .pieces import lane_piece
from .vectors import LARGEST, Vector, cross, dot, exponential, exponential_series, matrix, put, vector

_TERMS = 6


def strain(interval: Slots, q: Slots, half: int) -> Vector:
    """Strains from amplitudes, integrated over the interval (half 0) or their first moments (1)."""
    x: Any = 0.0
    y: Any = 0.0
    z: Any = 0.0
    for a in range(TWISTS):
        x = interval[TWIST + half * TWISTS + a] * q[a] + x
    for a in range(BENDS):
        y = interval[BEND_Y + half * BENDS + a] * q[TWISTS + a] + y
        z = interval[BEND_Z + half * BENDS + a] * q[TWISTS + BENDS + a] + z
    return Vector(x, y, z)


@lane_piece
def forward(group: Slots, unknowns: Slots, interval: Slots) -> None:
    """Geometry of an interval; ω, α, a, inertial force and moment of the node at its end, in its own axes."""
    q, q_rate, q_acceleration = (unknowns.at(part + FREE) for part in (X, RATE, ACCELERATION))
    i = strain(interval, q, 0) + vector(interval, REST)
    m = strain(interval, q, 1) + vector(interval, REST + 3)
    i_rate, m_rate = strain(interval, q_rate, 0), strain(interval, q_rate, 1)
    i_acc, m_acc = strain(interval, q_acceleration, 0), strain(interval, q_acceleration, 1)
    h = interval[LENGTH]
    # θ = i + i × m, η = h (e₁ + e₁ × m), and their derivatives
    theta = i + cross(i, m)
    theta_rate = i_rate + cross(i_rate, m) + cross(i, m_rate)
    theta_acc = i_acc + cross(i_acc, m) + cross(i_rate, 2.0 * m_rate) + cross(i, m_acc)
    eta = Vector(h, -(h * m.z), h * m.y)
    eta_rate = Vector(0.0, -(h * m_rate.z), h * m_rate.y)
    eta_acc = Vector(0.0, -(h * m_acc.z), h * m_acc.y)
    t = dot(theta, theta)
    b, c, db, dc, ddb, ddc = exponential_series(t, _TERMS)
    turn = exponential(theta, t, b, c)
    # p = θ×η, s = θ×p, d = η + b p + c s, and their derivatives
    p = cross(theta, eta)
    s = cross(theta, p)
    p_rate = cross(theta_rate, eta) + cross(theta, eta_rate)
    s_rate = cross(theta_rate, p) + cross(theta, p_rate)
    twice = 2.0 * theta_rate
    p_acc = cross(theta_acc, eta) + cross(twice, eta_rate) + cross(theta, eta_acc)
    s_acc = cross(theta_acc, p) + cross(twice, p_rate) + cross(theta, p_acc)
    t_rate = 2.0 * dot(theta, theta_rate)
    t_acc = 2.0 * (dot(theta, theta_acc) + dot(theta_rate, theta_rate))
    b_rate, c_rate = db * t_rate, dc * t_rate
    squared = t_rate * t_rate
    b_acc, c_acc = db * t_acc + ddb * squared, dc * t_acc + ddc * squared
    d = eta + b * p + c * s
    d_rate = eta_rate + b * p_rate + b_rate * p + c * s_rate + c_rate * s
    d_acc = eta_acc + b * p_acc + (2.0 * b_rate) * p_rate + b_acc * p
    d_acc = d_acc + c * s_acc + (2.0 * c_rate) * s_rate + c_acc * s
    # u = J_r θ̇ and its rate
    g = cross(theta, theta_rate)
    k = cross(theta, g)
    n = cross(theta, theta_acc)
    u = theta_rate - b * g + c * k
    u_rate = theta_acc - b * n - b_rate * g + c_rate * k + c * (cross(theta_rate, g) + cross(theta, n))
    # at the far node, a still in the near node's axes: a + α×d + ω×(ω×d + 2ḋ) + d̈
    omega, alpha, a = (vector(group, CARRY + 3 * part) for part in range(3))
    a = a + cross(alpha, d) + cross(omega, cross(omega, d) + 2.0 * d_rate) + d_acc
    back = turn.turned
    a = back @ a
    w = back @ omega
    alpha = back @ alpha + cross(w, u) + u_rate
    omega = w + u
    put(group, CARRY, [*omega, *alpha, *a])
    put(interval, E, [*turn, *d, *d_rate, *theta, *i, *m, b, c, db, dc, *p, *s])
    put(interval, OMEGA, [*omega, *alpha, *a])
    put(interval, FORCE, interval[WEIGHT] * a)
    polar = interval[ROTARY]
    half = 0.5 * polar
    across = Vector(polar * alpha.x, half * (alpha.y + omega.x * omega.z), half * (alpha.z - omega.x * omega.y))
    put(interval, MOMENT, across)
    group[REACH] = larger(t * (1.0 / LARGEST), group[REACH])


@lane_piece
def tip_body(group: Slots, last: Slots) -> None:
    """The body at the tip: f = m a_CG, moment about the tip = I α + ω × I ω + offset × f, into CARRY."""
    omega, alpha, a = (vector(last, at) for at in (OMEGA, ALPHA, NODE_ACCELERATION))
    offset = vector(group, TIP + 1)
    inertia = matrix(group, TIP + 4)
    f = group[TIP] * (a + cross(alpha, offset) + cross(omega, cross(omega, offset)))
    put(group, CARRY, [*f, *(inertia @ alpha + cross(omega, inertia @ omega) + cross(offset, f))])


@lane_piece
def backward(group: Slots, interval: Slots, out: Slots) -> None:
    """Forces added up from the tip: generalised forces on the strains added to out, force and moment handed on.

    The adjoint of the velocity map of `forward`.
    """
    f = vector(group, CARRY) + vector(interval, FORCE)
    m = vector(group, CARRY + 3) + vector(interval, MOMENT)
    h = interval[LENGTH]
    turn = matrix(interval, E)
    d, theta, i, first, p, s = (vector(interval, at) for at in (D, THETA, I0, I1, P, S))
    b, c, db, dc = (interval[COEFFICIENTS + part] for part in range(4))
    g = turn @ f
    # on θ: J_rᵀ m + (∂d/∂θ)ᵀ g, with n = θ×m, k = θ×g
    n = cross(theta, m)
    k = cross(theta, g)
    eta = Vector(h, -(h * first.z), h * first.y)
    v = b * g - c * k
    both = 2.0 * (db * dot(p, g) + dc * dot(s, g))
    r = m + b * n + cross(eta, v) + c * (cross(theta, n) + cross(p, g)) + both * theta
    # on η: g − b k + c θ×k; only its y and z parts do work
    on = g - b * k + c * cross(theta, k)
    whole = r + cross(first, r)
    moments = cross(r, i) + Vector(0.0, h * on.z, -(h * on.y))
    for a in range(TWISTS):
        out[FREE + a] = out[FREE + a] + interval[TWIST + a] * whole.x + interval[TWIST + TWISTS + a] * moments.x
    for a in range(BENDS):
        for plane, at, force, moment in (
            (0, BEND_Y, whole.y, moments.y),
            (1, BEND_Z, whole.z, moments.z),
        ):
            place = FREE + TWISTS + plane * BENDS + a
            out[place] = out[place] + interval[at + a] * force + interval[at + BENDS + a] * moment
    m = turn @ m + cross(d, g)
    put(group, CARRY, [*g, *m])


def elasticity(group: Slots, values: Any) -> list[Any]:
    """K times amplitudes (STRAINS of them)."""
    out = []
    for count, at, first in (
        (TWISTS, STIFFNESS_TWIST, 0),
        (BENDS, STIFFNESS_Y, TWISTS),
        (BENDS, STIFFNESS_Z, TWISTS + BENDS),
    ):
        for a in range(count):
            total: Any = 0.0
            for e in range(count):
                total = group[at + a * count + e] * values[first + e] + total
            out.append(total)
    return out


def viscous(group: Slots, x: Slots, rate: Slots) -> list[Any]:
    """Amplitudes plus viscosity times their rates."""
    return [x[a] + group[VISCOSITY + (1 if a < TWISTS else 0)] * rate[a] for a in range(STRAINS)]


@lane_piece
def elastic(group: Slots, unknowns: Slots, out: Slots) -> None:
    """out = K (q + viscosity q̇) on the strains."""
    values = viscous(group, unknowns.at(X + FREE), unknowns.at(RATE + FREE))
    put(out, FREE, elasticity(group, values))
