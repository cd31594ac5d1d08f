"""The power that hands give a club."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from ..beam.history import History

Array = NDArray[np.float64]

STEP = 1e-3
"""s between the instants that are read."""


def hand_power(rows: History) -> tuple[Array, Array]:
    """(k,) W given to the club by the force of the hands, F · v, and by their couple, M · ω, of the grip as it yields.

    Goldstein, Classical Mechanics, §1.1 and §4.9.
    """
    to_world = rows.root_rotation
    force = np.einsum("nij,nj->ni", to_world, rows.root_force)
    moment = np.einsum("nij,nj->ni", to_world, rows.root_moment)
    omega = np.einsum("nij,nj->ni", to_world, rows.root_omega)
    return np.einsum("ni,ni->n", force, rows.root_velocity), np.einsum("ni,ni->n", moment, omega)


def downswing_instants(history: History, top: float, impact: float) -> Array:
    """(k,) s of the run, `STEP` apart, that end at impact and begin at the top."""
    count = max(int(np.ceil((impact - top) / STEP - 1e-9)), 2)
    return np.linspace(max(top, float(history.t[0])), impact, count + 1)


def mean_power(history: History, top: float, impact: float) -> float:
    """Work that the hands do on the club in the downswing over its time, W.

    Parameters
    ----------
    top, impact : s of the run
    """
    t = downswing_instants(history, top, impact)
    force, couple = hand_power(history.at(t))
    return float(CubicSpline(t, force + couple).integrate(t[0], t[-1]) / (t[-1] - t[0]))
