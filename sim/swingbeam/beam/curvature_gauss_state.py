"""Two-stage Gauss for the `curvature` solver: its coefficients and the memory of a march."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from .curvature_layout import new_workspace

C1 = 0.5 - math.sqrt(3.0) / 6.0
C2 = 0.5 + math.sqrt(3.0) / 6.0
A11 = 0.25
A12 = 0.25 - math.sqrt(3.0) / 6.0
A21 = 0.25 + math.sqrt(3.0) / 6.0
A22 = 0.25
AA11 = A11 * A11 + A12 * A21
AA12 = A11 * A12 + A12 * A22
AA21 = A21 * A11 + A22 * A21
AA22 = A21 * A12 + A22 * A22
EIGENVALUE = 0.25 + 1j * math.sqrt(3.0) / 12.0
MIX = 2.0 + math.sqrt(3.0)  # T = [[1, 1], [−i·MIX, i·MIX]]

# Entries of GaussState.memory.
AGE = 0  # steps since the true tangent was built; -1: none
KNOWN = 1  # earlier steps whose stages are known, 0 … 2
EXACT = 2  # steps for which the true tangent is still to be used, since the simplified one failed
PASSES = 3  # Newton passes of the last step
UNWEIGHED = 4  # 1: the mass matrix at the node is not known


class GaussState(NamedTuple):
    """The march's memory: unknowns x = (y, q) at the last node, matrices, and room to work in."""

    x: Any
    """(n,)"""
    rate: Any
    acceleration: Any
    stages: Any
    """(3, 4, n): unknowns, rates and accelerations of the last four stages, oldest first"""
    trial: Any
    """(8, n): room"""
    forces: Any
    """(2n,): residuals of both stages"""
    change: Any
    """(2n,)"""
    node_mass: Any
    """(n, n): mass matrix at the last node"""
    mass_before: Any
    """(n, n): the same at the node before"""
    node_factors: Any
    simplified: Any
    """(n, n) complex: factors of the simplified Newton matrix"""
    mixed: Any
    """(n,) complex"""
    mass: Any
    """(2, n, n): true tangents of either stage"""
    damping: Any
    stiffness: Any
    newton: Any
    """(2n, 2n), destroyed by its inversion"""
    inverse: Any
    rates: Any
    """room for `mass_matrix`"""
    own: Any
    jacobian: Any
    memory: Any
    """(5,) int: see above"""
    step: Any
    """(2,) s: the step of the true tangent, the step of the known stages"""
    work: Any


def new_state(unknowns: int, intervals: int) -> GaussState:
    """An empty state: everything at rest."""
    n = unknowns
    return GaussState(
        x=np.zeros(n),
        rate=np.zeros(n),
        acceleration=np.zeros(n),
        stages=np.zeros((3, 4, n)),
        trial=np.zeros((8, n)),
        forces=np.zeros(2 * n),
        change=np.zeros(2 * n),
        node_mass=np.zeros((n, n)),
        mass_before=np.zeros((n, n)),
        node_factors=np.zeros((n, n)),
        simplified=np.zeros((n, n), dtype=np.complex128),
        mixed=np.zeros(n, dtype=np.complex128),
        mass=np.zeros((2, n, n)),
        damping=np.zeros((2, n, n)),
        stiffness=np.zeros((2, n, n)),
        newton=np.zeros((2 * n, 2 * n)),
        inverse=np.zeros((2 * n, 2 * n)),
        rates=np.zeros((6, 6)),
        own=np.zeros((n, 6)),
        jacobian=np.zeros((n, 6)),
        memory=np.array([-1, 0, 0, 0, 1]),
        step=np.zeros(2),
        work=new_workspace(intervals),
    )
