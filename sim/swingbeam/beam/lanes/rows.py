"""Rows of the history. Lanes of `curvature_row_kernels`."""

from __future__ import annotations

import math
from typing import Any

from .chain import elasticity
from .lane_numbers import Shared, Slots, choose
from .layout import (
    ACCELERATION,
    ALPHA,
    BENDS,
    CARRY,
    D_RATE,
    ENDED,
    FREE,
    IN_GRAVITY,
    IN_POSITION,
    IN_ROTATION,
    MASS,
    NODE,
    NODE_ACCELERATION,
    OMEGA,
    PAIRS,
    PASSES,
    RATE,
    RATIO,
    ROOT,
    ROOT_FORCE,
    ROOT_OMEGA,
    ROOT_THETA,
    ROOT_TURN,
    ROOT_VELOCITY,
    ROTARY,
    ROW,
    ROW_LENGTH,
    RUNS,
    SPINE,
    STAGES,
    STEPS_BEHIND,
    TIP,
    TWISTS,
    VISCOSITY,
    WEIGHT,
    D,
    E,
    N,
    X,
)
from .newton import FIRST_RATIO
from .pieces import lane_piece
from .root import into_planes, out_of_planes
from .vectors import Matrix, Vector, cross, dot, matrix, put, vector

# Along the rod, in CARRY: place, turn, velocity, angular velocity, kinetic energy.
_PLACE, _TURN, _VELOCITY, _OMEGA, _KINETIC = 0, 3, 12, 15, 18


@lane_piece
def begin_march(group: Slots) -> None:
    """Every lane runs; nothing is known yet."""
    group[RUNS] = 1.0
    group[RATIO] = FIRST_RATIO
    group[PASSES] = 0.0
    put(group, ENDED + ACCELERATION, [0.0] * N)
    put(group, STAGES, [0.0] * (2 * STEPS_BEHIND * N))
    put(group, MASS, [0.0] * PAIRS)


@lane_piece
def start_stages(group: Slots) -> None:
    """The accelerations at the start are all that is known of the stages before it."""
    for i in range(N):
        group[STAGES + (2 * STEPS_BEHIND - 1) * N + i] = group[NODE + ACCELERATION + i]


@lane_piece
def begin_row(shared: Shared, group: Slots) -> None:
    """The root's pose and velocity into CARRY."""
    root = group.at(ROOT)
    turn, own = matrix(shared, IN_ROTATION), matrix(root, ROOT_TURN)
    whole = _times(turn, own)
    cosine, sine = group[SPINE], group[SPINE + 1]
    # Columns of the principal planes' axes.
    planes = Matrix([Vector(r.x, cosine * r.y + sine * r.z, cosine * r.z - sine * r.y) for r in whole.rows])
    put(group, CARRY + _PLACE, vector(shared, IN_POSITION))
    put(group, CARRY + _TURN, planes)
    put(group, CARRY + _VELOCITY, into_planes(group, vector(root, ROOT_VELOCITY)))
    put(group, CARRY + _OMEGA, into_planes(group, vector(root, ROOT_OMEGA)))
    group[CARRY + _KINETIC] = 0.0


def _times(a: Matrix, b: Matrix) -> Matrix:
    columns = b.turned.rows
    return Matrix([Vector(*(dot(row, column) for column in columns)) for row in a.rows])


@lane_piece
def extend_row(group: Slots, interval: Slots) -> None:
    """Pose, velocity and kinetic energy, from one node to the next."""
    turn = matrix(group, CARRY + _TURN)
    own = matrix(interval, E)
    d = vector(interval, D)
    omega = vector(group, CARRY + _OMEGA)
    u = vector(group, CARRY + _VELOCITY) + cross(omega, d) + vector(interval, D_RATE)
    v = own.turned @ u
    w = vector(interval, OMEGA)
    put(group, CARRY + _PLACE, vector(group, CARRY + _PLACE) + turn @ d)
    put(group, CARRY + _TURN, _times(turn, own))
    put(group, CARRY + _VELOCITY, v)
    put(group, CARRY + _OMEGA, w)
    energy = 0.5 * interval[WEIGHT] * dot(v, v)
    spin = w.x * w.x + 0.5 * (w.y * w.y + w.z * w.z)
    group[CARRY + _KINETIC] = group[CARRY + _KINETIC] + energy + 0.5 * interval[ROTARY] * spin


@lane_piece
def end_row(shared: Shared, group: Slots, last: Slots) -> None:
    """ROW of the history, see `history`, from an evaluation of the equations of motion at the node."""
    row: list[Any] = []
    turn = matrix(group, CARRY + _TURN)
    v, w = vector(group, CARRY + _VELOCITY), vector(group, CARRY + _OMEGA)
    offset, inertia = vector(group, TIP + 1), matrix(group, TIP + 4)
    u = v + cross(w, offset)
    kinetic = group[CARRY + _KINETIC] + 0.5 * group[TIP] * dot(u, u) + 0.5 * dot(w, inertia @ w)
    cosine, sine = group[SPINE], group[SPINE + 1]
    section = Matrix([Vector(r.x, cosine * r.y - sine * r.z, sine * r.y + cosine * r.z) for r in turn.rows])
    row += vector(group, CARRY + _PLACE)
    row += section
    row += turn @ v
    row += out_of_planes(group, vector(last, OMEGA))
    row += turn @ vector(last, NODE_ACCELERATION) + vector(shared, IN_GRAVITY)
    row += out_of_planes(group, vector(last, ALPHA))
    row += [group[ROOT + ROOT_THETA + i] for i in range(9)]
    row += [group[ROOT + ROOT_FORCE + i] for i in range(9)]
    q = [group[NODE + X + FREE + a] for a in range(N - FREE)]
    rate = [group[NODE + RATE + FREE + a] for a in range(N - FREE)]
    stiff = elasticity(group, q)
    loss = elasticity(group, rate)
    twist: Any = 0.0
    bend: Any = 0.0
    power: Any = 0.0
    for a in range(TWISTS + 2 * BENDS):
        if a < TWISTS:
            twist = q[a] * stiff[a] + twist
        else:
            bend = q[a] * stiff[a] + bend
        power = rate[a] * (group[VISCOSITY + (1 if a < TWISTS else 0)] * loss[a]) + power
    row += [0.5 * bend, 0.5 * twist, kinetic, power, 0.0, group[PASSES]]
    row += [0.0] * (ROW_LENGTH - len(row))
    # What has failed is not a number from then on.
    running = group[RUNS] > 0.5
    for i, value in enumerate(row):
        group[ROW + i] = choose(running, value, math.nan)
