"""The same beam and tip body made rigid: mass properties and what its root needs to follow a motion."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial.legendre import leggauss
from numpy.typing import ArrayLike, NDArray

from .model import Profile, TipBody
from .motion import Motion

Array = NDArray[np.float64]


@dataclass(frozen=True)
class RigidBody:
    """Mass properties about the root, in the root frame."""

    mass: float
    """kg"""
    first_moment: Array
    """(3,) kg·m: mass times the centre of gravity from the root"""
    inertia: Array
    """(3, 3) kg·m² about the root"""


def rigid_body(profile: Profile, tip: TipBody | None) -> RigidBody:
    """Mass, first moment and inertia about the root of a straight beam with its tip body.

    Each piece between stations is integrated exactly (linear mass per length, Gauss rule of order 5).
    """
    nodes, weights = leggauss(3)
    mass = 0.0
    first = np.zeros(3)
    inertia = np.zeros((3, 3))
    for a, b, i in profile.pieces():
        x = 0.5 * (a + b) + 0.5 * (b - a) * nodes
        w = 0.5 * (b - a) * weights
        fraction = (x - a) / (b - a)
        m = profile.mass[i] + fraction * (profile.mass[i + 1] - profile.mass[i])
        j = profile.rotary[i] + fraction * (profile.rotary[i + 1] - profile.rotary[i])
        mass += float(w @ m)
        first[0] += float(w @ (m * x))
        transverse = float(w @ (m * x * x + 0.5 * j))
        inertia += np.diag([float(w @ j), transverse, transverse])
    if tip is not None:
        arm = np.array([profile.length, 0.0, 0.0]) + tip.offset
        mass += tip.mass
        first += tip.mass * arm
        inertia += tip.inertia + tip.mass * (float(arm @ arm) * np.eye(3) - np.outer(arm, arm))
    return RigidBody(mass, first, inertia)


def rigid_couple(
    profile: Profile,
    tip: TipBody | None,
    motion: Motion,
    t: ArrayLike,
    gravity: ArrayLike = (0.0, 0.0, -9.80665),
    root_inertia: ArrayLike | None = None,
) -> tuple[Array, Array]:
    """Force and couple that a rigid beam with its tip body needs at its root to follow a motion.

    Euler's equations about the moving root: F = m a + α × S + Ω × (Ω × S), M = S × a + I α + Ω × I Ω with
    a = Rᵀ(p̈ − g), S the first moment (Goldstein, Classical Mechanics, ch. 5).

    Returns
    -------
    force (n, 3) N and couple (n, 3) N·m, both in the motion's body axes; the couple counts `root_inertia` (3, 3)
    kg·m² too.
    """
    body = rigid_body(profile, tip)
    state = motion.at(t)
    a = np.einsum("nji,nj->ni", state.rotation, state.acceleration - np.asarray(gravity, dtype=float))
    omega, alpha = state.omega, state.omega_dot
    s = body.first_moment
    force = body.mass * a + np.cross(alpha, s) + np.cross(omega, np.cross(omega, s))
    inertia = body.inertia + (0.0 if root_inertia is None else np.asarray(root_inertia, dtype=float))
    couple = np.cross(s, a) + alpha @ inertia.T + np.cross(omega, omega @ inertia.T)
    return force, couple
