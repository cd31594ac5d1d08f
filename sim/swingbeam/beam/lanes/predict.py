"""Guesses ahead of the stages and of the node at a step's end. Lanes of `curvature_predict_kernels`.

Stages are extrapolated by a cubic through the last four, as there; what that missed in the last steps is smooth from
step to step and is extrapolated too, by a cubic through the last four misses. Together these are weights of the
accelerations of the last twelve stages. The guess is better than the cubic's by one or two digits, which saves a pass
or two a step; one polynomial through as many stages would be worse, its weights being far larger. The strains' own
elasticity is not told apart as it is there: where a run rings the guess costs passes and nothing else.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ..curvature_gauss_state import C1, C2
from ..curvature_predict_kernels import _extrapolation
from .lane_numbers import Shared, Slots
from .layout import ACCELERATION, ENDED, FIRST, NODE, RATE, SECOND, STAGES, STEPS_BEHIND, N, X
from .newton import END, NEXT, ONWARD, PLAN, TOLERANCE, H
from .pieces import lane_piece

ORDER = 2 * STEPS_BEHIND
LEAD = STEPS_BEHIND + 1
"""Steps until every guess has all that it is made of."""


def _ahead(steps: int) -> np.ndarray:
    """Weights (2, 2 · steps) of the stages of so many steps behind, oldest first, for the two stages ahead."""
    cubic = min(steps, 2)
    near = _extrapolation([c - k for k in range(cubic, 0, -1) for c in (C1, C2)], [C1, C2])
    out = np.zeros((2, 2 * steps))
    out[:, 2 * (steps - cubic) :] = near
    misses = min(steps - cubic, STEPS_BEHIND - 2) if cubic == 2 else 0
    for k in range(1, misses + 1):
        # Polynomial extrapolation from the misses 1 … misses steps behind.
        weight = -((-1.0) ** k) * math.comb(misses, k)
        at = 2 * (steps - k)
        out[:, at : at + 2] += weight * np.eye(2)
        out[:, at - 4 : at] -= weight * near
    return out


def plans(h: float, tolerance: float) -> np.ndarray:
    """What the first steps of a march are told, (LEAD, PLAN); the last row holds for all further ones."""
    out = np.zeros((LEAD, PLAN))
    for step, row in enumerate(out):
        row[H], row[TOLERANCE] = h, tolerance
        row[ONWARD] = 0.5 if step else 0.0
        ahead, end = np.zeros((2, ORDER)), np.zeros(ORDER)
        if step == 0:
            ahead[:, -1] = 1.0  # the start's own
        else:
            ahead[:, ORDER - 2 * step :] = _ahead(step)
        # The node's guess comes when the step's own stages are known.
        known = [C1 - 1.0, C2 - 1.0, C1, C2] if step else [C1, C2]
        end[ORDER - len(known) :] = _extrapolation(known, [1.0])[0]
        row[NEXT : NEXT + 2 * ORDER] = ahead.ravel()
        row[END : END + ORDER] = end
    return out


_END_STAGES = 4
"""The node's accelerations are solved for, whatever the guess."""


def _blend(shared: Shared, first: int, group: Slots, i: int) -> Any:
    total: Any = 0.0
    for r in range(ORDER):
        total = shared[first + r] * group[STAGES + r * N + i] + total
    return total


@lane_piece
def predict(shared: Shared, group: Slots) -> None:
    """Accelerations of the two stages ahead, from the stages that are known."""
    for i in range(N):
        for r, stage in enumerate((FIRST, SECOND)):
            group[stage + ACCELERATION + i] = _blend(shared, NEXT + ORDER * r, group, i)


@lane_piece
def remember(group: Slots) -> None:
    """The accelerations of the stages just found become the last two of STAGES."""
    for i in range(N):
        for r in range(ORDER - 2):
            group[STAGES + r * N + i] = group[STAGES + (r + 2) * N + i]
        for r, stage in ((ORDER - 2, FIRST), (ORDER - 1, SECOND)):
            group[STAGES + r * N + i] = group[stage + ACCELERATION + i]


@lane_piece
def predict_node(shared: Shared, group: Slots) -> None:
    """ENDED: unknowns and rates of the node at the step's end, and its accelerations, extrapolated."""
    h = shared[H]
    hh = h * h
    for i in range(N):
        k1, k2 = group[FIRST + ACCELERATION + i], group[SECOND + ACCELERATION + i]
        x, v = group[NODE + X + i], group[NODE + RATE + i]
        group[ENDED + X + i] = x + h * v + hh * ((0.5 * (1.0 - C1)) * k1 + (0.5 * (1.0 - C2)) * k2)
        group[ENDED + RATE + i] = v + (0.5 * h) * (k1 + k2)
        total: Any = 0.0
        for r in range(ORDER - _END_STAGES, ORDER):
            total = shared[END + r] * group[STAGES + r * N + i] + total
        group[ENDED + ACCELERATION + i] = total
