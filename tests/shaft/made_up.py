"""Shafts made up for tests, with closed forms."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from swingbeam.shaft.shaft import Shaft


def shaft(
    s: ArrayLike = (0.0, 1.2),
    ei: ArrayLike = 40.0,
    gj: ArrayLike = 15.0,
    mass: ArrayLike = 0.05,
    **other: Any,
) -> Shaft:
    """A shaft with these stations (m from the butt); scalars are uniform."""
    stations = np.asarray(s, dtype=float)

    def column(value: ArrayLike) -> np.ndarray:
        return np.broadcast_to(np.asarray(value, dtype=float), stations.shape)

    density = column(mass)
    given: dict[str, Any] = {
        "name": "Made up",
        "maker": "Nobody",
        "letter": "R",
        "material": "graphite",
        "kind": "driver",
        "raw_length": float(stations[-1]),
        "butt_diameter": 0.015,
        "tip_diameter": 0.0085,
        "parallel_tip": 0.08,
        "mass": float(np.trapezoid(density, stations)),
        "diameter": np.full(stations.shape, 0.012),
        "bend_damping": 0.01,
        "twist_damping": 0.02,
    }
    return Shaft(s=stations, ei=column(ei), gj=column(gj), mass_per_length=density, **{**given, **other})
