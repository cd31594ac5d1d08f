"""Equilibrium of the `curvature` solver at rest relative to its root, and single evaluations."""

from __future__ import annotations

from .compiled import kernel, piece
from .curvature_chain_kernels import backward, forward
from .curvature_kernels import residual
from .curvature_layout import FORCE, MOMENT, E
from .curvature_mass_kernels import invert, multiply
from .curvature_root_kernels import place_root, root_balance
from .curvature_strain_kernels import integrate_strains, project


@piece
def _dead_loads(work, forces, moment):
    """Adds loads fixed in direction in the root frame: forces (J, 3) at the nodes, a moment at the tip."""
    chain = work.chain
    turn = work.turn
    next_turn = work.next_turn
    for i in range(3):
        for j in range(3):
            turn[i, j] = 1.0 if i == j else 0.0
    intervals = chain.shape[0]
    for k in range(intervals):
        c = chain[k]
        for i in range(3):
            for j in range(3):
                next_turn[i, j] = turn[i, 0] * c[E + j] + turn[i, 1] * c[E + 3 + j] + turn[i, 2] * c[E + 6 + j]
        for i in range(3):
            for j in range(3):
                turn[i, j] = next_turn[i, j]
        for i in range(3):
            for j in range(3):
                c[FORCE + i] -= turn[j, i] * forces[k, j]
                if k == intervals - 1:
                    c[MOMENT + i] -= turn[j, i] * moment[j]


@piece
def balance(model, inputs, free, x, still, forces, moment, work, out):
    """Residual at rest relative to the root, with dead loads."""
    root = work.root
    place_root(inputs, free, x, still, still, root)
    integrate_strains(model, x[free:], still[free:], still[free:], work.strain)
    forward(model, root, work.strain, work.chain)
    _dead_loads(work, forces, moment)
    backward(model, root, work.chain, work.general)
    project(model, x[free:], still[free:], work.general, out[free:])
    root_balance(model, inputs, free, root, out)


@kernel
def settle(model, inputs, free, x, forces, moment, work, tangent, inverse, room):
    """Equilibrium at rest relative to the root: Newton with the tangent by differences, from the x given.

    Returns the passes taken, or 0 when it did not converge; room (5, n).
    """
    n = x.shape[0]
    still = room[4]
    base = room[0]
    up = room[1]
    change = room[2]
    for i in range(n):
        still[i] = 0.0
    for sweep in range(30):
        balance(model, inputs, free, x, still, forces, moment, work, base)
        for i in range(n):
            kept = x[i]
            x[i] = kept + 1e-6
            balance(model, inputs, free, x, still, forces, moment, work, up)
            x[i] = kept - 1e-6
            balance(model, inputs, free, x, still, forces, moment, work, room[3])
            x[i] = kept
            for j in range(n):
                tangent[j, i] = (up[j] - room[3, j]) / 2e-6
        if not invert(tangent, inverse):
            return 0
        multiply(inverse, base, change)
        size = 0.0
        for i in range(n):
            if not (abs(change[i]) < 1e6):
                return 0
            size = max(size, abs(change[i]))
        # A step of more than a radian would leave the branch that loads grown from nothing lead to.
        damp = 1.0 if size <= 0.5 else 0.5 / size
        for i in range(n):
            x[i] -= damp * change[i]
        if size <= 1e-12 or (sweep > 4 and size < 1e-10):
            # Poses are read from the work space: it must hold those of the solution, not of a difference.
            balance(model, inputs, free, x, still, forces, moment, work, base)
            return sweep + 1
    return 0


@kernel
def evaluate(model, inputs, free, x, rate, acceleration, work, out):
    """One evaluation of the equations of motion, for checks and linearisation."""
    residual(model, inputs, free, x, rate, acceleration, work, out)
