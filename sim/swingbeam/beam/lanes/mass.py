"""Mass matrix from velocities for unit rates, and small symmetric systems. Lanes of `curvature_mass_kernels`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from .lane_numbers import Slots
from .layout import (
    BEND_Y,
    BEND_Z,
    BENDS,
    COEFFICIENTS,
    FREE,
    I0,
    I1,
    JACOBIAN,
    LENGTH,
    MASS,
    MASS_BEFORE,
    NODE_FACTORS,
    PAIRS,
    ROOT,
    ROOT_INERTIA,
    ROOT_THETA,
    ROTARY,
    STIFFNESS_TWIST,
    STIFFNESS_Y,
    STIFFNESS_Z,
    THETA,
    TIP,
    TWIST,
    TWISTS,
    WEIGHT,
    YIELDS,
    D,
    E,
    N,
    P,
    S,
    pair,
)
from .pieces import lane_piece
from .root import into_planes
from .vectors import Matrix, Vector, cross, dot, exponential_series, matrix, put, vector

SOFTENING = 4.0e-12
"""s²: as in `curvature_gauss_kernels`."""
_TERMS = 8
_BLOCK = 4


def _spin(group: Slots, a: int) -> Vector:
    return vector(group, JACOBIAN + 6 * a)


def _speed(group: Slots, a: int) -> Vector:
    return vector(group, JACOBIAN + 6 * a + 3)


@lane_piece
def root_rates(group: Slots) -> None:
    """Angular velocities of the root for unit rates of its yield, and its own inertia: begins MASS and JACOBIAN.

    A root that is held has a unit mass of its own and moves nothing.
    """
    root = group.at(ROOT)
    theta = vector(root, ROOT_THETA)
    b, c, *_ = exponential_series(dot(theta, theta), _TERMS)
    inertia = matrix(group, ROOT_INERTIA)
    yields = group[YIELDS]
    for e in range(PAIRS):
        group[MASS_BEFORE + e] = group[MASS + e]
        group[MASS + e] = 0.0
    for a in range(N):
        put(group, JACOBIAN + 6 * a, [0.0] * 6)
    spins: list[Vector] = []
    for a in range(FREE):
        unit = Vector(*(1.0 if i == a else 0.0 for i in range(3)))
        g = cross(theta, unit)
        spin = unit - b * g + c * cross(theta, g)
        spin = yields * spin
        spins.append(spin)
        h = inertia @ spin
        for e in range(a + 1):
            value = dot(h, spins[e])
            group[MASS + pair(e, a)] = value + (1.0 - yields) if e == a else value
        put(group, JACOBIAN + 6 * a, into_planes(group, spin))


def rate_matrices(interval: Slots) -> tuple[Matrix, Matrix]:
    """What unit rates of θ do across an interval: relative angular velocity in the far node's axes (J_r), and rate
    of the offset d = η + b p + c s in the near node's. Unit rates of η change the offset by J_rᵀ.
    """
    theta, m, p, s = (vector(interval, at) for at in (THETA, I1, P, S))
    b, c, db, dc = (interval[COEFFICIENTS + part] for part in range(4))
    h = interval[LENGTH]
    eta = Vector(h, -(h * m.z), h * m.y)
    t = dot(theta, theta)
    x, y, z = theta
    cx, cy, cz = c * x, c * y, c * z
    bx, by, bz = b * x, b * y, b * z
    even = 1.0 - c * t
    jacobian = Matrix(
        [
            Vector(even + cx * x, cx * y + bz, cx * z - by),
            Vector(cx * y - bz, even + cy * y, cy * z + bx),
            Vector(cx * z + by, cy * z - bx, even + cz * z),
        ]
    )
    # ∂d/∂θ = −(b η + c p)^ + c (θ·η) + (2 (db p + dc s) − c η) θᵀ
    w = b * eta + c * p
    along = c * dot(theta, eta)
    slope = 2.0 * (db * p + dc * s) - c * eta
    offset = Matrix(
        [
            Vector(slope.x * x + along, slope.x * y + w.z, slope.x * z - w.y),
            Vector(slope.y * x - w.z, slope.y * y + along, slope.y * z + w.x),
            Vector(slope.z * x + w.y, slope.z * y - w.x, slope.z * z + along),
        ]
    )
    return jacobian, offset


def _own_rates(interval: Slots) -> list[tuple[Vector, Vector]]:
    """Relative angular velocity and offset rate across an interval for unit rates of the amplitudes."""
    jacobian, offset = rate_matrices(interval)
    back = jacobian.turned
    i, m = vector(interval, I0), vector(interval, I1)
    h = interval[LENGTH]
    rates = []
    # t: rate of θ = i + i×m, n: rate of η, for unit rates of ∫κ and of the first moment
    for t, n in (
        (Vector(1.0, -m.z, m.y), None),
        (Vector(m.z, 1.0, -m.x), None),
        (Vector(-m.y, m.x, 1.0), None),
        (Vector(0.0, i.z, -i.y), None),
        (Vector(-i.z, 0.0, i.x), Vector(0.0, 0.0, h)),
        (Vector(i.y, -i.x, 0.0), Vector(0.0, -h, 0.0)),
    ):
        speed = offset @ t
        rates.append((jacobian @ t, speed if n is None else speed + back @ n))
    own = []
    for count, at, axis in ((TWISTS, TWIST, 0), (BENDS, BEND_Y, 1), (BENDS, BEND_Z, 2)):
        for a in range(count):
            whole, first = interval[at + a], interval[at + count + a]
            spin = whole * rates[axis][0] + first * rates[axis + 3][0]
            speed = whole * rates[axis][1] + first * rates[axis + 3][1]
            own.append((spin, speed))
    return own


@lane_piece
def carry_rates(group: Slots, interval: Slots) -> None:
    """JACOBIAN, (N, 6): angular velocity and velocity for unit rates, from one node to the next."""
    own: list[Any] = [None] * FREE + _own_rates(interval)
    back: Matrix = matrix(interval, E).turned
    d = vector(interval, D)
    for a in range(N):
        spin, speed = _spin(group, a), _speed(group, a)
        moved = speed + cross(spin, d)
        turned = back @ spin
        if own[a] is not None:
            moved = moved + own[a][1]
            turned = turned + own[a][0]
        put(group, JACOBIAN + 6 * a, [*turned, *(back @ moved)])


@lane_piece
def add_mass(group: Slots, interval: Slots) -> None:
    """Adds the mass at an interval's end to MASS."""
    weight, polar = interval[WEIGHT], interval[ROTARY]
    half = 0.5 * polar
    _add_products(
        group,
        lambda a: (
            weight * _speed(group, a),
            Vector(polar * _spin(group, a).x, half * _spin(group, a).y, half * _spin(group, a).z),
        ),
        lambda e: (_speed(group, e), _spin(group, e)),
    )


def _add_products(group: Slots, weighted: Any, plain: Any) -> None:
    """Adds momenta times velocities to MASS, in blocks for which the registers do."""
    for first in range(0, N, _BLOCK):
        for other in range(0, first + 1, _BLOCK):
            for a in range(first, first + _BLOCK):
                momentum, moment = weighted(a)
                for e in range(other, min(other + _BLOCK, a + 1)):
                    speed, spin = plain(e)
                    at = MASS + pair(e, a)
                    group[at] = group[at] + dot(momentum, speed) + dot(moment, spin)


@lane_piece
def add_tip(group: Slots) -> None:
    """Adds the body at the tip to MASS."""
    offset, inertia = vector(group, TIP + 1), matrix(group, TIP + 4)
    spins = [_spin(group, a) for a in range(N)]
    speeds = [_speed(group, a) + cross(spins[a], offset) for a in range(N)]
    for a in range(N):
        v = group[TIP] * speeds[a]
        w = inertia @ spins[a]
        for e in range(a + 1):
            at = MASS + pair(e, a)
            group[at] = group[at] + dot(v, speeds[e]) + dot(w, spins[e])


def stiffness_pairs() -> list[tuple[int, int, int]]:
    """(i, j, slot) of the stiffness's entries on and above the diagonal, counted among the unknowns."""
    out = []
    for count, at, first in (
        (TWISTS, STIFFNESS_TWIST, FREE),
        (BENDS, STIFFNESS_Y, FREE + TWISTS),
        (BENDS, STIFFNESS_Z, FREE + TWISTS + BENDS),
    ):
        out += [(first + a, first + e, at + a * count + e) for a in range(count) for e in range(a, count)]
    return out


@lane_piece
def factor_node(group: Slots) -> None:
    """NODE_FACTORS from the softened mass matrix."""
    softening = {(i, j): SOFTENING * group[at] for i, j, at in stiffness_pairs()}
    factor(group, lambda i, j: group[MASS + pair(i, j)] + softening.get((i, j), 0.0))


def factor(group: Slots, entry: Callable[[int, int], Any]) -> None:
    """L D Lᵀ of a symmetric matrix into NODE_FACTORS, Lᵀ and 1/D; see `factor_symmetric`."""
    done: dict[tuple[int, int], Any] = {}
    for i in range(N):
        for j in range(i, N):
            value = entry(i, j)
            for k in range(i):
                value = value - done[i, k] * done[k, j]
            if j == i:
                inverse = 1.0 / value
                done[i, i] = inverse
            else:
                done[j, i] = value  # not divided by the pivot
                done[i, j] = value * inverse
            group[NODE_FACTORS + pair(i, j)] = done[i, j]


def solved(group: Slots, values: list[Any]) -> list[Any]:
    """The solution of the system that NODE_FACTORS hold."""
    x: list[Any] = list(values)
    for k in range(N):
        for i in range(k + 1, N):
            x[i] = x[i] - group[NODE_FACTORS + pair(k, i)] * x[k]
    for k in range(N - 1, -1, -1):
        x[k] = x[k] * group[NODE_FACTORS + pair(k, k)]
        for i in range(k + 1, N):
            x[k] = x[k] - group[NODE_FACTORS + pair(k, i)] * x[i]
    return x
