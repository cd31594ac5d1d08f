"""Equations of motion of the `curvature` solver: one statement, put together from its parts.

Root (`curvature_root_kernels`) → strains (`curvature_strain_kernels`) → forward and backward along the rod
(`curvature_chain_kernels`) → projected on the unknowns → balance of the root. Everything is written into arrays
that exist.
"""

from __future__ import annotations

from .chain_kernels import chain_balance
from .compiled import piece
from .curvature_chain_kernels import backward, forward
from .curvature_layout import IN_FREE, IN_STIFFNESS, ROOT_COUPLE, ROOT_FORCE, ROOT_MOMENT
from .curvature_root_kernels import place_on_chain, place_root, root_balance
from .curvature_strain_kernels import integrate_strains, project


@piece
def residual(model, inputs, free, x, x_rate, x_acceleration, work, out):
    """Left side of the equations of motion r(x, ẋ, ẍ, t) = 0, x = (y, q): out (free + n,).

    One row of packed stage inputs, the unknowns with their two time derivatives; leaves everything in `work`.
    y: the yield of the root's free axes, or the angles of the chain that carries it.
    """
    root = work.root
    chained = model.links.shape[0] > 0
    if chained:
        place_on_chain(model, inputs, x, x_rate, x_acceleration, work)
    else:
        place_root(inputs, free, x, x_rate, x_acceleration, root)
    q = x[free:]
    q_rate = x_rate[free:]
    integrate_strains(model, q, q_rate, x_acceleration[free:], work.strain)
    forward(model, root, work.strain, work.chain)
    backward(model, root, work.chain, work.general)
    project(model, q, q_rate, work.general, out[free:])
    if chained:
        for i in range(3):
            root[ROOT_COUPLE + i] = root[ROOT_MOMENT + i]
        drive = inputs[IN_STIFFNESS:IN_FREE]
        chain_balance(model.links, drive, x, x_rate, work.links, root[ROOT_FORCE:ROOT_COUPLE], out)
    else:
        root_balance(model, inputs, free, root, out)
