"""Left-handed golfers: reflected in y at the door, simulated right-handed, reflected back in world drawings
only."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_WORLD = np.array([1.0, -1.0, 1.0])
_GRIP = np.array([1.0, 1.0, -1.0])


def mirror_vectors(vectors: ArrayLike) -> Array:
    """Positions, velocities or forces (..., 3), world, reflected in the plane y = 0."""
    return np.asarray(vectors, dtype=float) * _WORLD


def mirror_rotations(rotations: ArrayLike) -> Array:
    """Grip poses (..., 3, 3) reflected in the plane y = 0.

    The shaft (x) and the face side (y) are reflected; the third axis z = x × y of a reflected frame is the
    reflected one turned round, since a reflection turns a right-handed frame into a left-handed one: R → S R
    diag(1, 1, −1). Doing it twice gives back the pose.
    """
    return _WORLD[:, None] * np.asarray(rotations, dtype=float) * _GRIP
