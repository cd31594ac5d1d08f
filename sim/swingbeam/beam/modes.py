"""Natural frequencies of a beam clamped at its root, at rest or in steady spin."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import eigh, eigvals

from .errors import InputError, SimulationError
from .march import check_mesh, solver_module
from .model import Profile, TipBody
from .statics import _prepare, _vector

Array = NDArray[np.float64]


def natural_frequencies(
    profile: Profile,
    tip: TipBody | None = None,
    *,
    count: int = 6,
    spin: ArrayLike | None = None,
    hub: ArrayLike | None = None,
    solver: str = "elements",
    elements: int = 32,
    functions: tuple[int, int] = (8, 4),
) -> Array:
    """The lowest natural frequencies of small vibration about the steady equilibrium, Hz, rising.

    Parameters
    ----------
    count : how many; fewer come back where the discretisation has fewer
    spin, hub : (3,) rad/s and (3,) m in the root frame: steady spin about an axis through the point −hub from the
        root; frequencies are those seen in the spinning frame. Gyroscopic coupling is kept: the roots of
        det(λ² M + λ G + K) (Meirovitch, Computational Methods in Structural Dynamics, ch. 3)

    Raises
    ------
    InputError
        A wrong argument.
    SimulationError
        The equilibrium is unstable (buckled by its own loads), so that it has no natural frequencies.
    """
    if int(count) != count or count < 1:
        raise InputError(f"natural_frequencies: count is {count}; a whole number from 1 on is needed")
    module = solver_module(solver)
    check_mesh("natural_frequencies", elements, functions)
    body = TipBody.none() if tip is None else tip
    model = _prepare(module, solver, profile, body, elements, functions)
    mass, gyroscopic, stiffness = module.linearise(model, _vector("spin", spin), _vector("hub", hub))
    # The problem is turned round and solved for 1/ω: the lowest frequencies are then the largest eigenvalues,
    # which round-off spares, however stiff to stretch or light in rotary inertia the sections are.
    try:
        if np.abs(gyroscopic).max() <= 1e-12 * np.abs(stiffness).max():
            squares = eigh(0.5 * (mass + mass.T), 0.5 * (stiffness + stiffness.T), eigvals_only=True)
            periods = np.sqrt(np.maximum(squares[::-1], 0.0))
        else:
            periods = _gyroscopic_periods(mass, gyroscopic, stiffness)
    except np.linalg.LinAlgError as error:
        raise SimulationError("natural_frequencies: the equilibrium is unstable") from error
    found = periods[periods > 1e-12 * periods[0]][: int(count)]
    return np.asarray(1.0 / (2.0 * np.pi * found))


def _gyroscopic_periods(mass: Array, gyroscopic: Array, stiffness: Array) -> Array:
    """1/ω, falling: the roots μ = 1/λ of det(M + μ G + μ² K)."""
    n = mass.shape[0]
    companion = np.zeros((2 * n, 2 * n))
    companion[:n] = -np.linalg.solve(stiffness, np.hstack([gyroscopic, mass]))
    companion[n:, :n] = np.eye(n)
    roots = eigvals(companion)
    if np.abs(roots.real).max() > 1e-5 * np.abs(roots).max():
        raise SimulationError("natural_frequencies: the equilibrium is unstable")
    return np.asarray(np.sort(roots.imag[roots.imag > 0.0])[::-1])
