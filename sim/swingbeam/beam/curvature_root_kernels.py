"""The root of the `curvature` solver: how it moves, yielding or on a chain of joints, and its balance of moments."""

from __future__ import annotations

from .chain_kernels import place_chain
from .compiled import piece
from .curvature_layout import (
    IN_ACCELERATION,
    IN_COUPLE,
    IN_DAMPING,
    IN_FREE,
    IN_OMEGA,
    IN_OMEGA_DOT,
    IN_STIFFNESS,
    IN_VELOCITY,
    ROOT_ACCELERATION,
    ROOT_ALPHA,
    ROOT_OMEGA,
    ROOT_PLACE,
    ROOT_THETA,
    ROOT_THETA_ACCELERATION,
    ROOT_THETA_RATE,
    ROOT_TURN,
    ROOT_VELOCITY,
    ROOT_WIDTH,
)
from .rotations import root_kinematics, series


@piece
def place_root(inputs, free, y, y_rate, y_acceleration, root):
    """Kinematics of the root from packed inputs and the unknowns y of its free axes, θ = N y."""
    if free == 0:
        for i in range(3):
            root[ROOT_OMEGA + i] = inputs[IN_OMEGA + i]
            root[ROOT_ALPHA + i] = inputs[IN_OMEGA_DOT + i]
            root[ROOT_ACCELERATION + i] = inputs[IN_ACCELERATION + i]
            root[ROOT_VELOCITY + i] = inputs[IN_VELOCITY + i]
            root[ROOT_THETA + i] = 0.0
            root[ROOT_THETA_RATE + i] = 0.0
            root[ROOT_THETA_ACCELERATION + i] = 0.0
            for j in range(3):
                root[ROOT_TURN + 3 * i + j] = 1.0 if i == j else 0.0
        return
    step = 3 * free
    for i in range(3):
        angle = 0.0
        rate = 0.0
        acceleration = 0.0
        for j in range(free):
            n = inputs[IN_FREE + i * free + j]
            n_rate = inputs[IN_FREE + step + i * free + j]
            angle += n * y[j]
            rate += n * y_rate[j] + n_rate * y[j]
            acceleration += (
                n * y_acceleration[j] + 2.0 * n_rate * y_rate[j] + inputs[IN_FREE + 2 * step + i * free + j] * y[j]
            )
        root[ROOT_THETA + i] = angle
        root[ROOT_THETA_RATE + i] = rate
        root[ROOT_THETA_ACCELERATION + i] = acceleration
    root_kinematics(
        inputs[IN_OMEGA : IN_OMEGA + 3],
        inputs[IN_OMEGA_DOT : IN_OMEGA_DOT + 3],
        inputs[IN_VELOCITY : IN_VELOCITY + 3],
        inputs[IN_ACCELERATION : IN_ACCELERATION + 3],
        root[ROOT_THETA : ROOT_THETA + 3],
        root[ROOT_THETA_RATE : ROOT_THETA_RATE + 3],
        root[ROOT_THETA_ACCELERATION : ROOT_THETA_ACCELERATION + 3],
        root[ROOT_TURN : ROOT_TURN + 9].reshape((3, 3)),
        root[ROOT_OMEGA : ROOT_OMEGA + 3],
        root[ROOT_ALPHA : ROOT_ALPHA + 3],
        root[ROOT_VELOCITY : ROOT_VELOCITY + 3],
        root[ROOT_ACCELERATION : ROOT_ACCELERATION + 3],
    )


@piece
def root_balance(model, inputs, free, root, out):
    """Couple on the root into `root`; out[:free] = Nᵀ J_rᵀ (couple − what the hands give).

    couple = M + J Ω̇ + Ω × J Ω, J the root's own inertia; the hands give exp(−θ) (c − K θ − D θ̇), in the
    yielded root's axes.
    """
    w0 = root[0]
    w1 = root[1]
    w2 = root[2]
    inertia = model.root_inertia
    h0 = inertia[0, 0] * w0 + inertia[0, 1] * w1 + inertia[0, 2] * w2
    h1 = inertia[1, 0] * w0 + inertia[1, 1] * w1 + inertia[1, 2] * w2
    h2 = inertia[2, 0] * w0 + inertia[2, 1] * w1 + inertia[2, 2] * w2
    root[36] = root[33] + (w1 * h2 - w2 * h1)
    root[37] = root[34] + (w2 * h0 - w0 * h2)
    root[38] = root[35] + (w0 * h1 - w1 * h0)
    for i in range(3):
        for j in range(3):
            root[36 + i] += inertia[i, j] * root[3 + j]
    if free == 0:
        return
    given0 = inputs[IN_COUPLE]
    given1 = inputs[IN_COUPLE + 1]
    given2 = inputs[IN_COUPLE + 2]
    for j in range(3):
        angle = root[ROOT_THETA + j]
        rate = root[ROOT_THETA_RATE + j]
        given0 -= inputs[IN_STIFFNESS + j] * angle + inputs[IN_DAMPING + j] * rate
        given1 -= inputs[IN_STIFFNESS + 3 + j] * angle + inputs[IN_DAMPING + 3 + j] * rate
        given2 -= inputs[IN_STIFFNESS + 6 + j] * angle + inputs[IN_DAMPING + 6 + j] * rate
    t = ROOT_TURN
    e0 = root[36] - (root[t] * given0 + root[t + 3] * given1 + root[t + 6] * given2)
    e1 = root[37] - (root[t + 1] * given0 + root[t + 4] * given1 + root[t + 7] * given2)
    e2 = root[38] - (root[t + 2] * given0 + root[t + 5] * given1 + root[t + 8] * given2)
    # J_rᵀ e = e + b θ×e + c θ×(θ×e)
    x = root[ROOT_THETA]
    y = root[ROOT_THETA + 1]
    z = root[ROOT_THETA + 2]
    _, b, c = series(x * x + y * y + z * z)
    n0 = y * e2 - z * e1
    n1 = z * e0 - x * e2
    n2 = x * e1 - y * e0
    e0 += b * n0 + c * (y * n2 - z * n1)
    e1 += b * n1 + c * (z * n0 - x * n2)
    e2 += b * n2 + c * (x * n1 - y * n0)
    for j in range(free):
        out[j] = inputs[IN_FREE + j] * e0 + inputs[IN_FREE + free + j] * e1 + inputs[IN_FREE + 2 * free + j] * e2


@piece
def place_on_chain(model, inputs, y, y_rate, y_acceleration, work):
    """Kinematics of a root that a chain of joints carries; its angles take the place of the root's yield."""
    root = work.root
    joints = model.links.shape[0] - 1
    for i in range(3):
        root[ROOT_THETA + i] = y[i] if i < joints else 0.0
        root[ROOT_THETA_RATE + i] = y_rate[i] if i < joints else 0.0
        root[ROOT_THETA_ACCELERATION + i] = y_acceleration[i] if i < joints else 0.0
    place_chain(
        model.links,
        inputs[IN_VELOCITY:IN_STIFFNESS],
        y,
        y_rate,
        y_acceleration,
        work.links,
        root[ROOT_OMEGA:ROOT_TURN],
        root[ROOT_TURN:ROOT_THETA],
        root[ROOT_PLACE:ROOT_WIDTH],
    )
