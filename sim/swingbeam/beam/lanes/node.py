"""The node at a step's end: accelerations that satisfy the equations of motion. Lanes of `_solve_node`.

The equations are linear in the accelerations. So one evaluation at a guess and the mass matrix there give them, and
what the rest of that evaluation becomes follows by the linear part of the recursions alone, at a fifth of the cost of
another evaluation.
"""

from __future__ import annotations

from .chain import elasticity, strain
from .lane_numbers import Slots
from .layout import (
    ACCELERATION,
    ALPHA,
    CARRY,
    CHANGE,
    ENDED,
    FORCE,
    FORCES,
    FREE,
    I0,
    I1,
    LENGTH,
    MOMENT,
    NODE,
    NODE_ACCELERATION,
    ROOT,
    ROOT_ALPHA,
    ROOT_THETA,
    ROOT_THETA_ACCELERATION,
    ROTARY,
    WEIGHT,
    D,
    E,
    N,
)
from .mass import SOFTENING, rate_matrices, solved
from .pieces import lane_piece
from .root import into_planes
from .vectors import Vector, cross, dot, exponential_series, matrix, put, vector

_SWEEPS = 2
"""Each leaves of what it corrects what the softening of the mass matrix does, some 1e-4."""
_TERMS = 8


@lane_piece
def solve_node(group: Slots) -> None:
    """CHANGE that FORCES call for at the node, taken from the accelerations in ENDED and from the root's."""
    change = solved(group, [group[FORCES + i] for i in range(N)])
    rest = change
    for _ in range(_SWEEPS - 1):
        # Factored is M + σ K; so a solution leaves σ K times itself.
        lack = elasticity(group, rest[FREE:])
        rest = solved(group, [0.0] * FREE + [SOFTENING * value for value in lack])
        change = [a + b for a, b in zip(change, rest, strict=True)]
    for i, value in enumerate(change):
        group[CHANGE + i] = value
        group[ENDED + ACCELERATION + i] = group[ENDED + ACCELERATION + i] - value
    root = group.at(ROOT)
    turned = Vector(*change[:FREE])
    theta = vector(root, ROOT_THETA)
    b, c, *_ = exponential_series(dot(theta, theta), _TERMS)
    g = cross(theta, turned)
    spin = turned - b * g + c * cross(theta, g)
    put(root, ROOT_THETA_ACCELERATION, vector(root, ROOT_THETA_ACCELERATION) - turned)
    put(root, ROOT_ALPHA, vector(root, ROOT_ALPHA) - spin)
    put(group, CARRY, [*into_planes(group, spin), 0.0, 0.0, 0.0])


@lane_piece
def change_forward(group: Slots, interval: Slots) -> None:
    """What CHANGE takes from α and a, force and moment of the node at an interval's end; see `forward`."""
    taken = group.at(CHANGE + FREE)
    i, m = vector(interval, I0), vector(interval, I1)
    i_acc, m_acc = strain(interval, taken, 0), strain(interval, taken, 1)
    h = interval[LENGTH]
    jacobian, offset = rate_matrices(interval)
    t = i_acc + cross(i_acc, m) + cross(i, m_acc)
    n = Vector(0.0, -(h * m_acc.z), h * m_acc.y)
    alpha, a = vector(group, CARRY), vector(group, CARRY + 3)
    back = matrix(interval, E).turned
    a = back @ (a + cross(alpha, vector(interval, D)) + offset @ t + jacobian.turned @ n)
    alpha = back @ alpha + jacobian @ t
    put(group, CARRY, [*alpha, *a])
    put(interval, ALPHA, vector(interval, ALPHA) - alpha)
    put(interval, NODE_ACCELERATION, vector(interval, NODE_ACCELERATION) - a)
    put(interval, FORCE, vector(interval, FORCE) - interval[WEIGHT] * a)
    polar = interval[ROTARY]
    half = 0.5 * polar
    put(interval, MOMENT, vector(interval, MOMENT) - Vector(polar * alpha.x, half * alpha.y, half * alpha.z))


@lane_piece
def change_backward(group: Slots, interval: Slots) -> None:
    """Force and moment handed on toward the root; see `backward`."""
    f = vector(group, CARRY) + vector(interval, FORCE)
    m = vector(group, CARRY + 3) + vector(interval, MOMENT)
    turn = matrix(interval, E)
    g = turn @ f
    put(group, CARRY, [*g, *(turn @ m + cross(vector(interval, D), g))])


@lane_piece
def take_node(group: Slots) -> None:
    """The node in ENDED becomes the node."""
    for i in range(3 * N):
        group[NODE + i] = group[ENDED + i]
