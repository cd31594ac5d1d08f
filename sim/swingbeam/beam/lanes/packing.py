"""Clubs, hands and the golfer's motion as the lanes' kernel reads them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..curvature_layout import CurvatureModel
from ..root import RootPath
from .layout import (
    BEND_Y,
    BEND_Z,
    BENDS,
    HANDS_DAMPING,
    HANDS_STIFFNESS,
    LENGTH,
    OWN,
    REST,
    ROOT_INERTIA,
    ROTARY,
    SPINE,
    STIFFNESS_TWIST,
    STIFFNESS_Y,
    STIFFNESS_Z,
    TABLES,
    TIP,
    TWIST,
    TWISTS,
    VISCOSITY,
    WEIGHT,
    YIELDS,
)

Array = NDArray[np.float64]


def pack_clubs(models: CurvatureModel, stiffness: Array, damping: Array) -> tuple[Array, Array]:
    """(R, OWN) of every run, and (R, J, TABLES) of its intervals; the fields of `models` have a leading axis of runs.

    What stands in section axes is turned into those of the principal planes. stiffness, damping (R, 3) of the hands.
    """
    runs, intervals = models.length.shape
    planes = np.zeros((runs, 3, 3))
    planes[:, 0, 0] = 1.0
    planes[:, 1, 1] = planes[:, 2, 2] = models.spine[:, 0]
    planes[:, 2, 1] = models.spine[:, 1]
    planes[:, 1, 2] = -models.spine[:, 1]
    held = np.asarray(np.isinf(stiffness).all(axis=1))[:, None]
    tip = models.tip
    inertia = np.swapaxes(planes, 1, 2) @ tip[:, 4:].reshape(runs, 3, 3) @ planes
    y, z = slice(TWISTS, TWISTS + BENDS), slice(TWISTS + BENDS, TWISTS + 2 * BENDS)
    own = np.empty((runs, OWN))
    for at, values in (
        (TIP, tip[:, :1]),
        (TIP + 1, np.einsum("rji,rj->ri", planes, tip[:, 1:4])),
        (TIP + 4, inertia),
        (ROOT_INERTIA, models.root_inertia),
        (SPINE, models.spine),
        (VISCOSITY, models.viscosity),
        (STIFFNESS_TWIST, models.stiffness[:, :TWISTS, :TWISTS]),
        (STIFFNESS_Y, models.stiffness[:, y, y]),
        (STIFFNESS_Z, models.stiffness[:, z, z]),
        (YIELDS, ~held),
        (HANDS_STIFFNESS, np.where(held, 0.0, stiffness)),
        (HANDS_DAMPING, np.where(held, 0.0, damping)),
    ):
        flat = np.asarray(values, dtype=float).reshape(runs, -1)
        own[:, at : at + flat.shape[1]] = flat
    along = np.empty((runs, intervals, TABLES))
    rest = np.einsum("rji,rkj->rki", planes, models.rest)
    for at, table in ((TWIST, models.twist), (BEND_Y, models.bend_y), (BEND_Z, models.bend_z), (REST, rest)):
        width = table.shape[2]
        along[:, :, at : at + width] = table[:, :intervals]
        along[:, :, at + width : at + 2 * width] = table[:, intervals:]
    along[:, :, LENGTH], along[:, :, WEIGHT], along[:, :, ROTARY] = models.length, models.mass, models.rotary
    return own, along


def pack_path(path: RootPath, t: Array) -> Array:
    """(n, INPUTS): the golfer at instants t (n,), s, in the order of the layout."""
    inputs = path.inputs(t)
    axes, axes_rate, _ = path.relative_axes(t)
    parts = (
        inputs.rotation,
        inputs.position,
        inputs.velocity,
        inputs.acceleration,
        inputs.omega,
        inputs.omega_dot,
        axes,
        axes_rate,
        inputs.couple,
        np.tile(path.gravity, (t.size, 1)),
    )
    return np.concatenate([part.reshape(t.size, -1) for part in parts], axis=1)
