"""What the kernels of the `curvature` solver read and write: columns of their arrays, model, workspace."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .chain_kernels import MOST_JOINTS, ROOM_WIDTH

# Columns of a row of `chain`, one per interval and the node at its end.
E = 0  # rotation (9)
D = 9  # offset (3), and its rate (3)
D_RATE = 12
THETA = 15
I0 = 18  # ∫κ
I1 = 21  # first moment of κ
COEFFICIENTS = 24  # b, c and their slopes
P = 28  # θ×η
S = 31  # θ×(θ×η)
OMEGA = 34
ALPHA = 37
ACCELERATION = 40
FORCE = 43
MOMENT = 46
CHAIN_WIDTH = 49

# Entries of `root`.
ROOT_OMEGA = 0
ROOT_ALPHA = 3
ROOT_ACCELERATION = 6
ROOT_VELOCITY = 9
ROOT_TURN = 12  # exp θ (9)
ROOT_THETA = 21
ROOT_THETA_RATE = 24
ROOT_THETA_ACCELERATION = 27
ROOT_FORCE = 30  # of the rod on its root, turned round: what the root gives the rod
ROOT_MOMENT = 33
ROOT_COUPLE = 36
ROOT_PLACE = 39  # of the root from the base of the chain that carries it, motion axes
ROOT_WIDTH = 42

# Columns of a row of packed stage inputs.
IN_ROTATION = 0
IN_POSITION = 9
IN_VELOCITY = 12
IN_ACCELERATION = 15
IN_OMEGA = 18
IN_OMEGA_DOT = 21
IN_STIFFNESS = 24
IN_DAMPING = 33
IN_COUPLE = 42
IN_FREE = 45


class CurvatureModel(NamedTuple):
    """A rod in strain coordinates; J intervals, n strain functions (twist, then κ_y, then κ_z)."""

    twist: Any
    """(2J, twist functions): integral of each function over the intervals, then the first moments"""
    bend_y: Any
    """(2J, bending functions): the same for κ_y and κ_z of the principal planes"""
    bend_z: Any
    rest: Any
    """(2J, 3): the same of the reference curvature, section axes"""
    length: Any
    """(J,) m, of the intervals"""
    mass: Any
    """(J,) kg, at the interval's end"""
    rotary: Any
    """(J,) kg·m², polar, at the interval's end"""
    spine: Any
    """(2,) cosine and sine of the angle of the principal planes"""
    stiffness: Any
    """(n, n) N·m"""
    viscosity: Any
    """(2,) s, of bending and twist: damping = viscosity × stiffness"""
    tip: Any
    """(13,): mass, offset of the CG, inertia about it"""
    root_inertia: Any
    """(3, 3) kg·m²"""
    gravity: Any
    """(3,) m/s², world"""
    links: Any
    """(joints + 1, LINK_WIDTH): the chain that carries the root, see `chain_kernels`; (0, ...): none"""


class Workspace(NamedTuple):
    """What one evaluation of the equations of motion leaves behind."""

    root: Any
    """(ROOT_WIDTH,)"""
    strain: Any
    """(2J, 9): κ, κ̇, κ̈ integrated over the intervals, then their first moments"""
    chain: Any
    """(J, CHAIN_WIDTH)"""
    general: Any
    """(2J, 3): generalised forces on the integrated strains"""
    turn: Any
    """(3, 3) room for poses and velocities along the chain"""
    next_turn: Any
    place: Any
    velocity: Any
    links: Any
    """(MOST_JOINTS, ROOM_WIDTH): the links' rotations, forces and moments"""


def new_workspace(intervals: int) -> Workspace:
    """An empty workspace for a chain of so many intervals."""
    return Workspace(
        np.zeros(ROOT_WIDTH),
        np.zeros((2 * intervals, 9)),
        np.zeros((intervals, CHAIN_WIDTH)),
        np.zeros((2 * intervals, 3)),
        np.zeros((3, 3)),
        np.zeros((3, 3)),
        np.zeros(3),
        np.zeros(3),
        np.zeros((MOST_JOINTS, ROOM_WIDTH)),
    )
