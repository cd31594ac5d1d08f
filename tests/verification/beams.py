"""Beams the checks share, and how a figure is taken from a solver once its mesh no longer matters."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from swingbeam.beam import Profile

SOLVERS = ("elements", "curvature")

ELEMENTS = 64
"""Mesh of the converged figures; twice that is the second mesh of the extrapolation."""
FUNCTIONS = (10, 6)
"""Bending functions a plane and twist functions: the polynomials of degree 9 and 5 resolve every case here."""
SWING_FUNCTIONS = (4, 1)
"""What `curvature` uses for a swing."""


def converged(solver: str, measure: Callable[..., Any], elements: int = ELEMENTS) -> np.ndarray:
    """A figure free of mesh error: `measure(solver=..., elements=... | functions=...)` gives it on one mesh.

    `elements` is of second order (`test_order.py` shows it), so two meshes are extrapolated to none (Richardson);
    `curvature` converges like a power series, so one rich basis will do.
    """
    if solver == "curvature":
        return np.asarray(measure(solver=solver, functions=FUNCTIONS))
    coarse = np.asarray(measure(solver=solver, elements=elements))
    fine = np.asarray(measure(solver=solver, elements=2 * elements))
    return (4.0 * fine - coarse) / 3.0


def uniform(length: float = 1.0, ei: Any = 1.0, gj: float = 1.0, mass: float = 1.0, **more: Any) -> Profile:
    """A uniform straight beam; `ei` may be a pair (column 0: along y, column 1: along z)."""
    bending = np.tile(np.asarray(ei, dtype=float), (2, 1)) if np.ndim(ei) else ei
    return Profile([0.0, length], bending, gj, mass, **more)


def tapered(
    power: float, mass_power: float, tip: float, stations: int = 129, root_ei: float = 1.0, **more: Any
) -> Profile:
    """Length 1 m; depth h falls linearly from 1 at the root to `tip`; EI = root_ei·h^power, mass = h^mass_power.

    Properties are linear between stations, so a power of h is met to (1/stations)²; what that leaves is said where
    the beam is used.
    """
    s = np.linspace(0.0, 1.0, stations)
    h = 1.0 - (1.0 - tip) * s
    return Profile(s, root_ei * h**power, h**power, h**mass_power, **more)


def plane_pairs(frequencies: np.ndarray) -> np.ndarray:
    """One frequency a pair, for beams that bend alike in both planes; the pairs must agree."""
    pairs = np.asarray(frequencies).reshape(-1, 2)
    # Round-off of the eigenvalue problem only: the largest eigenvalue is some 1e10 times the smallest.
    np.testing.assert_allclose(pairs[:, 0], pairs[:, 1], rtol=2e-6, atol=0.0)
    return pairs.mean(axis=1)
