"""Many runs of one golfer side by side: clubs differ, hands differ, the motion is shared."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..curvature_layout import CurvatureModel
from ..history import ROW_LENGTH
from ..root import RootPath
from . import layout
from .kernel import march_groups
from .layout import BENDS, FREE, GROUP, INPUTS, INTERVAL, N, OWN, TABLES, TWISTS
from .pieces import memory
from .predict import plans

Array = NDArray[np.float64]


def pack_clubs(models: Any, stiffness: Array, damping: Array) -> tuple[Array, Array]:
    """own, along"""
    m = models
    C, J = m.length.shape
    cos, sin = m.spine[:, 0], m.spine[:, 1]
    turn = np.zeros((C, 3, 3))
    turn[:, 0, 0] = 1.0
    turn[:, 1, 1] = turn[:, 2, 2] = cos
    turn[:, 1, 2], turn[:, 2, 1] = -sin, sin
    own = np.zeros((C, OWN))
    own[:, layout.TIP] = m.tip[:, 0]
    own[:, layout.TIP + 1 : layout.TIP + 4] = np.einsum("cji,cj->ci", turn, m.tip[:, 1:4])
    own[:, layout.TIP + 4 : layout.TIP + 13] = np.einsum("cji,cjk,ckl->cil", turn, m.tip[:, 4:].reshape(C, 3, 3), turn).reshape(C, 9)
    own[:, layout.ROOT_INERTIA : layout.ROOT_INERTIA + 9] = m.root_inertia.reshape(C, 9)
    own[:, layout.SPINE : layout.SPINE + 2] = m.spine
    own[:, layout.VISCOSITY : layout.VISCOSITY + 2] = m.viscosity
    b = TWISTS + BENDS
    own[:, layout.STIFFNESS_TWIST : layout.STIFFNESS_Y] = m.stiffness[:, :TWISTS, :TWISTS].reshape(C, -1)
    own[:, layout.STIFFNESS_Y : layout.STIFFNESS_Z] = m.stiffness[:, TWISTS:b, TWISTS:b].reshape(C, -1)
    own[:, layout.STIFFNESS_Z : layout.YIELDS] = m.stiffness[:, b:, b:].reshape(C, -1)
    held = np.isinf(stiffness).all(axis=1)
    own[:, layout.YIELDS] = ~held
    own[:, layout.HANDS_STIFFNESS : layout.HANDS_STIFFNESS + 3] = np.where(held[:, None], 0.0, stiffness)
    own[:, layout.HANDS_DAMPING : layout.HANDS_DAMPING + 3] = np.where(held[:, None], 0.0, damping)
    along = np.zeros((C, J, TABLES))
    for at, table in ((layout.TWIST, m.twist), (layout.BEND_Y, m.bend_y), (layout.BEND_Z, m.bend_z), (layout.REST, np.einsum("cji,ckj->cki", turn, m.rest))):
        k = table.shape[2]
        along[:, :, at : at + k] = table[:, :J]
        along[:, :, at + k : at + 2 * k] = table[:, J:]
    along[:, :, layout.LENGTH], along[:, :, layout.WEIGHT], along[:, :, layout.ROTARY] = m.length, m.mass, m.rotary
    return own, along


def pack_inputs(path: RootPath, times: Array) -> Array:
    """rows of INPUTS"""
    s = path.inputs(times)
    axes, axes_rate, _ = path.relative_axes(times)
    n = times.size
    parts = (s.rotation, s.position, s.velocity, s.acceleration, s.omega, s.omega_dot, axes, axes_rate, s.couple, np.tile(path.gravity, (n, 1)))
    return np.concatenate([p.reshape(n, -1) for p in parts], axis=1)


def stack(models: list[CurvatureModel]) -> CurvatureModel:
    return CurvatureModel(*(np.stack(a) for a in zip(*models)))


def march_lanes(models, stiffness, damping, starts, inputs, h, *, tolerance=1e-9, width=8, couples=False):
    own, along = pack_clubs(models, stiffness, damping)
    C = own.shape[0]
    steps = (inputs.shape[0] - 1) // 3
    rows = np.empty((C, steps + 1, ROW_LENGTH))
    made = np.empty(C, dtype=np.int64)
    G = -(-C // width)
    cases = np.arange(G * width).clip(max=C - 1).reshape(G, width)
    slots, plain = memory(GROUP + along.shape[1] * INTERVAL, width)
    cp = np.zeros((C, 3 * steps, 3)) if couples else np.zeros((0, 0, 3))
    march_groups(slots, plain, width, cases, own, along, starts, inputs.ravel(), plans(h, tolerance), rows, cp, made)
    return rows, made, cp
