"""Rows of the history of the `curvature` solver, from an evaluation of the equations of motion at a node."""

from __future__ import annotations

from .compiled import piece
from .curvature_layout import (
    ACCELERATION,
    ALPHA,
    D_RATE,
    IN_POSITION,
    IN_ROTATION,
    OMEGA,
    ROOT_COUPLE,
    ROOT_FORCE,
    ROOT_OMEGA,
    ROOT_PLACE,
    ROOT_THETA,
    ROOT_TURN,
    ROOT_VELOCITY,
    D,
    E,
)


@piece
def motion_couple(root, out):
    """The root couple from the yielded root's axes into the motion's."""
    for i in range(3):
        out[i] = (
            root[ROOT_TURN + 3 * i] * root[ROOT_COUPLE]
            + root[ROOT_TURN + 3 * i + 1] * root[ROOT_COUPLE + 1]
            + root[ROOT_TURN + 3 * i + 2] * root[ROOT_COUPLE + 2]
        )


@piece
def write_row(model, inputs, free, x, rate, work, row):
    """One row of the history (see `history`) from an evaluation of the equations of motion at a node."""
    root = work.root
    chain = work.chain
    intervals = chain.shape[0]
    turn = work.turn
    next_turn = work.next_turn
    place = work.place
    v = work.velocity
    for i in range(3):
        place[i] = inputs[IN_POSITION + i]
        for j in range(3):
            place[i] += inputs[IN_ROTATION + 3 * i + j] * root[ROOT_PLACE + j]
        v[i] = root[ROOT_VELOCITY + i]
        for j in range(3):
            turn[i, j] = (
                inputs[IN_ROTATION + 3 * i] * root[ROOT_TURN + j]
                + inputs[IN_ROTATION + 3 * i + 1] * root[ROOT_TURN + 3 + j]
                + inputs[IN_ROTATION + 3 * i + 2] * root[ROOT_TURN + 6 + j]
            )
    w0 = root[ROOT_OMEGA]
    w1 = root[ROOT_OMEGA + 1]
    w2 = root[ROOT_OMEGA + 2]
    kinetic = 0.0
    for k in range(intervals):
        c = chain[k]
        d0 = c[D]
        d1 = c[D + 1]
        d2 = c[D + 2]
        u0 = v[0] + (w1 * d2 - w2 * d1) + c[D_RATE]
        u1 = v[1] + (w2 * d0 - w0 * d2) + c[D_RATE + 1]
        u2 = v[2] + (w0 * d1 - w1 * d0) + c[D_RATE + 2]
        for i in range(3):
            v[i] = c[E + i] * u0 + c[E + 3 + i] * u1 + c[E + 6 + i] * u2
            place[i] += turn[i, 0] * d0 + turn[i, 1] * d1 + turn[i, 2] * d2
            for j in range(3):
                next_turn[i, j] = turn[i, 0] * c[E + j] + turn[i, 1] * c[E + 3 + j] + turn[i, 2] * c[E + 6 + j]
        for i in range(3):
            for j in range(3):
                turn[i, j] = next_turn[i, j]
        w0 = c[OMEGA]
        w1 = c[OMEGA + 1]
        w2 = c[OMEGA + 2]
        kinetic += 0.5 * model.mass[k] * (v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
        kinetic += 0.5 * model.rotary[k] * (w0 * w0 + 0.5 * (w1 * w1 + w2 * w2))
    tip = model.tip
    u0 = v[0] + w1 * tip[3] - w2 * tip[2]
    u1 = v[1] + w2 * tip[1] - w0 * tip[3]
    u2 = v[2] + w0 * tip[2] - w1 * tip[1]
    kinetic += 0.5 * tip[0] * (u0 * u0 + u1 * u1 + u2 * u2)
    kinetic += 0.5 * (
        w0 * (tip[4] * w0 + tip[5] * w1 + tip[6] * w2)
        + w1 * (tip[7] * w0 + tip[8] * w1 + tip[9] * w2)
        + w2 * (tip[10] * w0 + tip[11] * w1 + tip[12] * w2)
    )
    c = chain[intervals - 1]
    for i in range(3):
        row[i] = place[i]
        for j in range(3):
            row[3 + 3 * i + j] = turn[i, j]
        row[12 + i] = turn[i, 0] * v[0] + turn[i, 1] * v[1] + turn[i, 2] * v[2]
        row[15 + i] = c[OMEGA + i]
        row[18 + i] = (
            turn[i, 0] * c[ACCELERATION]
            + turn[i, 1] * c[ACCELERATION + 1]
            + turn[i, 2] * c[ACCELERATION + 2]
            + model.gravity[i]
        )
        row[21 + i] = c[ALPHA + i]
    for i in range(9):
        row[24 + i] = root[ROOT_THETA + i]
        row[33 + i] = root[ROOT_FORCE + i]
    twists = model.twist.shape[1]
    twist = 0.0
    bend = 0.0
    power = 0.0
    n = x.shape[0] - free
    for i in range(n):
        stiff = 0.0
        loss = 0.0
        for j in range(n):
            stiff += model.stiffness[i, j] * x[free + j]
            loss += model.viscosity[1 if i < twists else 0] * model.stiffness[i, j] * rate[free + j]
        if i < twists:
            twist += 0.5 * x[free + i] * stiff
        else:
            bend += 0.5 * x[free + i] * stiff
        power += rate[free + i] * loss
    row[42] = bend
    row[43] = twist
    row[44] = kinetic
    row[45] = power
    row[46] = 0.0
