"""Equilibrium at the start, at rest relative to the root. Lanes of `curvature_rest_kernels.settle`.

Newton's method with a tangent by central differences, which costs two evaluations for each unknown: every lane keeps
its own while its changes shrink well, whatever its neighbours ask for.
"""

from __future__ import annotations

from typing import Any

from .lane_numbers import Slots, choose, larger
from .layout import ACTIVE, ENDED, FORCES, FREE, LAST, REACH, RUNS, TANGENT, TANGENT_FACTORS, WANTS, YIELDS, N, X
from .pieces import lane_piece

DIFFERENCE = 1.0e-6
"""rad"""
MOST_PASSES = 40
_SHRINKS = 0.1
"""A tangent is kept while the change shrinks to less than this a pass."""
_SETTLED = 1.0e-12
"""Largest last change of an unknown, rad."""
_LARGEST_STEP = 0.5


@lane_piece
def factor_tangent(group: Slots) -> None:
    """TANGENT_FACTORS of the lanes that want them: L U of TANGENT, U with ones on its diagonal, 1/L on L's.

    A held root is left out of it. Not symmetric, where the hands' axes turn. No pivots: its symmetric part is what
    resists.
    """
    yields = group[YIELDS]
    wants = group[WANTS] > 0.5

    def entry(i: int, j: int) -> Any:
        value = group[TANGENT + i * N + j]
        if i < FREE or j < FREE:
            value = yields * value
        return value + (1.0 - yields) if i == j and i < FREE else value

    done: dict[tuple[int, int], Any] = {}
    for i in range(N):
        for j in range(N):
            value = entry(i, j)
            for k in range(min(i, j)):
                value = value - done[i, k] * done[k, j]
            if j > i:
                value = value * done[i, i]
            elif j == i:
                value = 1.0 / value
            done[i, j] = value
            at = TANGENT_FACTORS + i * N + j
            group[at] = choose(wants, value, group[at])


def _solved(group: Slots, values: list[Any]) -> list[Any]:
    x: list[Any] = list(values)
    for k in range(N):
        for j in range(k):
            x[k] = x[k] - group[TANGENT_FACTORS + k * N + j] * x[j]
        x[k] = x[k] * group[TANGENT_FACTORS + k * N + k]
    for k in range(N - 1, -1, -1):
        for j in range(k + 1, N):
            x[k] = x[k] - group[TANGENT_FACTORS + k * N + j] * x[j]
    return x


@lane_piece
def take_rest_change(group: Slots) -> bool:  # type: ignore[return]
    """Takes what FORCES call for from the unknowns in ENDED of the lanes that have not settled; whether any has not.

    A step of more than a radian would leave the branch that loads grown from nothing lead to.
    """
    changes = _solved(group, [group[FORCES + i] for i in range(N)])
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
    group[WANTS] = choose(going & ~(size < _SHRINKS * group[LAST]), 1.0, 0.0)
    group[LAST] = size
    return going


@lane_piece
def begin_rest(group: Slots) -> None:
    """Every lane looks for its equilibrium and wants a tangent."""
    for at in (ACTIVE, RUNS, WANTS):
        group[at] = 1.0
    group[LAST] = 1e300


@lane_piece
def any_wants(group: Slots) -> bool:
    """Whether any lane wants a tangent."""
    return group[WANTS] > 0.5
