"""The root: how it moves as the hands yield, and its balance of moments. Lanes of `curvature_root_kernels`."""

from __future__ import annotations

from .lane_numbers import Shared, Slots
from .layout import (
    ACCELERATION,
    CARRY,
    HANDS_DAMPING,
    HANDS_STIFFNESS,
    IN_ACCELERATION,
    IN_AXES,
    IN_AXES_RATE,
    IN_COUPLE,
    IN_OMEGA,
    IN_OMEGA_DOT,
    IN_VELOCITY,
    RATE,
    REACH,
    ROOT,
    ROOT_ALPHA,
    ROOT_COUPLE,
    ROOT_FORCE,
    ROOT_INERTIA,
    ROOT_OMEGA,
    ROOT_THETA,
    ROOT_TURN,
    SPINE,
    YIELDS,
    X,
)
from .pieces import lane_piece
from .vectors import LARGEST_YIELD, Matrix, Vector, cross, dot, exponential, exponential_series, matrix, put, vector

_TERMS = 8


def into_planes(group: Slots, a: Vector) -> Vector:
    """A vector in section axes, in those of the principal planes."""
    cosine, sine = group[SPINE], group[SPINE + 1]
    return Vector(a.x, cosine * a.y + sine * a.z, cosine * a.z - sine * a.y)


def out_of_planes(group: Slots, a: Vector) -> Vector:
    """A vector in the axes of the principal planes, in section axes."""
    cosine, sine = group[SPINE], group[SPINE + 1]
    return Vector(a.x, cosine * a.y - sine * a.z, sine * a.y + cosine * a.z)


@lane_piece
def place_root(shared: Shared, group: Slots, unknowns: Slots) -> None:
    """Kinematics of the root R_0 = R_m exp(θ) from the golfer's motion and the yield θ: see `root_kinematics`.

    All in the yielded root's axes; what the rod begins with besides in those of its principal planes.
    """
    theta = vector(unknowns, X)
    rate = vector(unknowns, RATE)
    acceleration = vector(unknowns, ACCELERATION)
    t = dot(theta, theta)
    b, c, db, dc, _, _ = exponential_series(t, _TERMS)
    turn = exponential(theta, t, b, c)
    # u = J_r θ̇ and its rate
    s = cross(theta, rate)
    q = cross(theta, s)
    e = cross(theta, acceleration)
    dt = 2.0 * dot(theta, rate)
    u = rate - b * s + c * q
    u_rate = acceleration - b * e + c * (cross(theta, e) + cross(rate, s)) + (dt * dc) * q - (dt * db) * s
    back = turn.turned
    w = back @ vector(shared, IN_OMEGA)
    omega = w + u
    alpha = back @ vector(shared, IN_OMEGA_DOT) - cross(u, w) + u_rate
    lift = back @ vector(shared, IN_ACCELERATION)
    root = group.at(ROOT)
    put(root, ROOT_OMEGA, [*omega, *alpha, *lift, *(back @ vector(shared, IN_VELOCITY)), *turn])
    put(root, ROOT_THETA, [*theta, *rate, *acceleration])
    put(group, CARRY, [*into_planes(group, omega), *into_planes(group, alpha), *into_planes(group, lift)])
    group[REACH] = t * (1.0 / LARGEST_YIELD)


def hands_give(shared: Shared, group: Slots, theta: Vector, rate: Vector) -> Vector:
    """Couple of the hands in the motion's axes: c − K δ − D δ̇ in their own axes, δ = Bᵀ θ, B their axes."""
    axes: Matrix = matrix(shared, IN_AXES)
    back, back_rate = axes.turned, matrix(shared, IN_AXES_RATE).turned
    given = [
        group[HANDS_STIFFNESS + i] * angle + group[HANDS_DAMPING + i] * slope
        for i, (angle, slope) in enumerate(zip(back @ theta, back @ rate + back_rate @ theta, strict=True))
    ]
    return vector(shared, IN_COUPLE) - axes @ Vector(*given)


@lane_piece
def root_balance(shared: Shared, group: Slots, out: Slots) -> None:
    """Couple on the root into ROOT; out[:3] = J_rᵀ (couple − what the hands give): see `root_balance`.

    Force and moment of the rod come in its principal planes and leave in the yielded root's axes.
    """
    root = group.at(ROOT)
    force = out_of_planes(group, vector(group, CARRY))
    moment = out_of_planes(group, vector(group, CARRY + 3))
    omega, alpha = vector(root, ROOT_OMEGA), vector(root, ROOT_ALPHA)
    inertia = matrix(group, ROOT_INERTIA)
    couple = moment + cross(omega, inertia @ omega) + inertia @ alpha
    put(root, ROOT_FORCE, [*force, *moment, *couple])
    theta, rate = vector(root, ROOT_THETA), vector(root, ROOT_THETA + 3)
    e = couple - matrix(root, ROOT_TURN).turned @ hands_give(shared, group, theta, rate)
    b, c, *_ = exponential_series(dot(theta, theta), _TERMS)
    n = cross(theta, e)
    lacking = e + b * n + c * cross(theta, n)
    put(out, 0, [group[YIELDS] * value for value in lacking])


@lane_piece
def motion_couple(group: Slots, out: Slots) -> None:
    """The root couple from the yielded root's axes into the motion's."""
    root = group.at(ROOT)
    put(out, 0, matrix(root, ROOT_TURN) @ vector(root, ROOT_COUPLE))
