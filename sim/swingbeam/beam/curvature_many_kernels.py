"""Equilibrium at the start for many models, compiled: `curvature_rest_kernels.settle` with its tangent kept.

The same equations and the same root; Newton's matrix is kept as long as every pass shrinks the change (each pass of
such a chord gains a fixed number of digits). The first one has the shaft's own stiffness, to which loads at rest add
some hundredths, and differences in the root's angles only; where that does not do, all of it is made by differences.
"""

from __future__ import annotations

from .compiled import kernel, piece
from .curvature_layout import CurvatureModel
from .curvature_mass_kernels import invert, multiply
from .curvature_rest_kernels import balance

MOST_PASSES = 60
SHRINKS = 0.25
"""The matrix is made anew when a pass leaves more than this share of the change before."""
LAST_CHANGE = 1e-12
"""rad; as of `settle`"""


@piece
def _chord(model, inputs, free, x, n, forces, moment, work, tangent, inverse, room):
    """Newton from the x given, tangent kept; returns whether it converged. room (5, n)."""
    still = room[4]
    base = room[0]
    up = room[1]
    change = room[2]
    for i in range(n):
        still[i] = 0.0
    before = 1e300
    wanted = True
    columns = free
    for i in range(n):
        for j in range(n):
            tangent[i, j] = 0.0
    for i in range(free, n):
        for j in range(free, n):
            tangent[i, j] = model.stiffness[i - free, j - free]
    for _ in range(MOST_PASSES):
        balance(model, inputs, free, x, still, forces, moment, work, base)
        made = wanted
        if wanted:
            for i in range(columns):
                kept = x[i]
                x[i] = kept + 1e-7
                balance(model, inputs, free, x, still, forces, moment, work, up)
                x[i] = kept
                for j in range(n):
                    tangent[j, i] = (up[j] - base[j]) / 1e-7
            if columns < n:
                # At rest under dead loads the tangent is symmetric, but for what turns with the root.
                for i in range(free):
                    for j in range(free, n):
                        tangent[i, j] = tangent[j, i]
                columns = n
            if not invert(tangent, inverse):
                return False
            wanted = False
        multiply(inverse, base, change)
        size = 0.0
        for i in range(n):
            if not (abs(change[i]) < 1e6):
                return False
            size = max(size, abs(change[i]))
        damp = 1.0 if size <= 0.5 else 0.5 / size
        for i in range(n):
            x[i] -= damp * change[i]
        if size <= LAST_CHANGE:
            return True
        if not made and size > SHRINKS * before:
            # At the rounding of the forces nothing shrinks any more.
            if size <= 1e-10:
                return True
            wanted = True
        before = size
    return False


@kernel
def settle_cases(models, inputs, free, x, found, forces, moment, work, tangent, inverse, room):
    """Equilibria (cases, n) of models stacked along a first axis, n = free + functions.

    inputs (cases, …): packed stage inputs of each; found (cases,): 1 where it converged. tangent, inverse (n, n) and
    room (5, n).
    """
    n = x.shape[1]
    for case in range(x.shape[0]):
        model = CurvatureModel(
            models.twist[case],
            models.bend_y[case],
            models.bend_z[case],
            models.rest[case],
            models.length[case],
            models.mass[case],
            models.rotary[case],
            models.spine[case],
            models.stiffness[case],
            models.viscosity[case],
            models.tip[case],
            models.root_inertia[case],
            models.gravity[case],
            models.links[case],
        )
        mine = x[case]
        for i in range(n):
            mine[i] = 0.0
        done = _chord(model, inputs[case], free, mine, n, forces, moment, work, tangent, inverse, room)
        found[case] = 1 if done else 0
