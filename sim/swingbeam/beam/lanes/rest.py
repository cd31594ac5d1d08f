"""Equilibrium at the start, at rest relative to the root. Lanes of `curvature_rest_kernels.settle`.

Newton's method with a tangent by central differences that is kept for some passes and taken symmetric: what is lost
on both counts is small, since at the start little moves.
"""

from __future__ import annotations

from typing import Any

from .lane_numbers import Slots, choose, larger
from .layout import ACTIVE, ENDED, FORCES, FREE, MASS, PASSES, REACH, RUNS, YIELDS, N, X, pair
from .mass import factor, solved
from .pieces import lane_piece

DIFFERENCE = 1.0e-6
"""rad"""
KEPT = 5
"""Passes that share a tangent."""
MOST_TANGENTS = 4
_SETTLED = 1.0e-12
"""Largest last change of an unknown, rad."""
_LARGEST_STEP = 0.5


@lane_piece
def factor_tangent(group: Slots) -> None:
    """NODE_FACTORS from the symmetric tangent in MASS; a held root is left out of it."""
    yields = group[YIELDS]

    def entry(i: int, j: int) -> Any:
        value = group[MASS + pair(i, j)]
        if i < FREE:
            value = yields * value
        return value + (1.0 - yields) if i == j and i < FREE else value

    factor(group, entry)


@lane_piece
def take_rest_change(group: Slots) -> bool:  # type: ignore[return]
    """Takes what FORCES call for from the unknowns in ENDED of the lanes that have not settled; whether any has not.

    A step of more than a radian would leave the branch that loads grown from nothing lead to.
    """
    changes = solved(group, [group[FORCES + i] for i in range(N)])
    size: Any = abs(changes[0])
    total: Any = abs(changes[0])
    for value in changes[1:]:
        size = larger(abs(value), size)
        total = total + abs(value)
    sound = (total < 1e6) & (group[REACH] < 1.0)
    active = group[ACTIVE] > 0.5
    taken = active & sound
    damp = choose(size <= _LARGEST_STEP, 1.0, _LARGEST_STEP / size)
    for i, value in enumerate(changes):
        at = ENDED + X + i
        group[at] = choose(taken, group[at] - damp * value, group[at])
    going = taken & ~(size <= _SETTLED)
    group[ACTIVE] = choose(going, 1.0, 0.0)
    group[RUNS] = choose(active & ~sound, 0.0, group[RUNS])
    group[PASSES] = group[PASSES] + 1.0
    return going
