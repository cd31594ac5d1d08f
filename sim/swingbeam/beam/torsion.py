"""The first natural frequency of a clamped beam in torsion, out of the same matrices as all its frequencies."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh

from . import curvature
from .errors import InputError, SimulationError
from .march import check_mesh
from .model import Profile, TipBody

Array = NDArray[np.float64]


def torsional_frequency(
    profile: Profile, tip: TipBody | None = None, *, functions: tuple[int, int] = (8, 6)
) -> tuple[float, float]:
    """The lowest frequency whose mode keeps more of its strain energy in twist than in bending, Hz, and that share.

    The matrices are those of `natural_frequencies` with the solver `curvature`. A tip body with its centre of
    gravity off the axis couples twist and bending: the share says how far the mode is one of twist.

    Raises
    ------
    InputError
        No inertia about the axis, so that nothing can swing in torsion.
    SimulationError
        No mode has more than half of its strain energy in twist.
    """
    check_mesh("torsional_frequency", 1, functions)
    body = TipBody.none() if tip is None else tip
    if not (np.any(profile.rotary > 0.0) or body.inertia_about_tip()[0, 0] > 0.0):
        raise InputError("torsional_frequency: neither beam nor tip body has inertia about the axis")
    model = curvature.prepare(profile, body, (0.0, 0.0), functions=functions)
    mass, _, stiffness = curvature.linearise(model, np.zeros(3), np.zeros(3))
    # Turned round and solved for 1/ω², as in `natural_frequencies`; the unknowns of twist come first.
    squares, shapes = eigh(0.5 * (mass + mass.T), 0.5 * (stiffness + stiffness.T))
    twists = functions[1]
    twisted = np.einsum("ik,ij,jk->k", shapes[:twists], stiffness[:twists, :twists], shapes[:twists])
    share = twisted / np.einsum("ik,ij,jk->k", shapes, stiffness, shapes)
    found = np.flatnonzero((share > 0.5) & (squares > 0.0))
    if found.size == 0:
        raise SimulationError("torsional_frequency: no mode is mostly one of twist")
    lowest = found[-1]
    return float(1.0 / (2.0 * np.pi * np.sqrt(squares[lowest]))), float(share[lowest])
