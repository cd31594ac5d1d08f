"""Heads made up for tests of the bench."""

from __future__ import annotations

import math

import numpy as np

from swingbeam.club.head import Head


def point_head(mass: float = 0.2) -> Head:
    """A point mass at the hosel mouth, on the shaft's axis."""
    tiny = np.diag([1e-12, 1e-12, 1e-12])
    none = np.zeros(3)
    return Head("Point", "driver", mass, none, tiny, 0.2, 1.0, 0.0, 0.05, 0.03, none, math.inf, math.inf, 0.1, 0.05)
