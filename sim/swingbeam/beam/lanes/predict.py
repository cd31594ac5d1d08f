"""Guesses ahead of the stages and of the node at a step's end. Lanes of `curvature_predict_kernels`.

Stages are extrapolated from the last four as there; what that misses is itself smooth from step to step and is
extrapolated too, from the misses of the last three steps. The two together have a tenth to a hundredth of the error.
"""

from __future__ import annotations

import numpy as np

from ..curvature_gauss_state import C1, C2
from ..curvature_predict_kernels import _END, _END_SHORT, _NEXT, _NEXT_SHORT
from .chain import elasticity, viscous
from .layout import (
    ACCELERATION,
    CHANGE,
    ENDED,
    FIRST,
    FORCES,
    FREE,
    MISSED,
    N,
    NODE,
    ORDER,
    PREDICTED,
    RATE,
    SECOND,
    STAGES,
    X,
)
from .layout import MISSES as MOST_MISSES
from .mass import solved
from .newton import END, H, MISSES, NEXT, ONWARD, PLAN, TOLERANCE, change
from .numbers import Shared, Slots
from .pieces import lane_piece

LEAD = 6
"""Steps until every guess has all that it is made of."""


def plans(h: float, tolerance: float) -> np.ndarray:
    """What the first steps of a march are told, (LEAD, PLAN); the last row holds for all further ones."""
    out = np.zeros((LEAD, PLAN))
    misses = ((), (1.0,), (2.0, -1.0), (3.0, -3.0, 1.0))
    for step in range(LEAD):
        row = out[step]
        row[H], row[TOLERANCE] = h, tolerance
        row[ONWARD] = 0.5 if step else 0.0
        ahead, end = np.zeros((2, ORDER)), np.zeros(ORDER)
        if step == 0:
            ahead[:, -1] = 1.0
            end[2:] = _END_SHORT[0]
        else:
            known = _NEXT if step >= 2 else _NEXT_SHORT
            ahead[:, ORDER - known.shape[1] :] = known
            end[:] = _END[0]
        row[NEXT : NEXT + 2 * ORDER] = ahead.ravel()
        row[END : END + ORDER] = end
        missed = misses[min(max(step - 2, 0), MOST_MISSES)]
        row[MISSES : MISSES + len(missed)] = missed
    return out


def _stages(group: Slots, part: int, i: int) -> list:
    return [group[STAGES + (part * ORDER + r) * N + i] for r in range(ORDER)]


def _blend(shared: Shared, first: int, values: list) -> object:
    total = 0.0
    for k, value in enumerate(values):
        total = shared[first + k] * value + total
    return total


@lane_piece
def predict(shared: Shared, group: Slots) -> None:
    """Accelerations of the two stages ahead, from the stages that are known."""
    for i in range(N):
        known = _stages(group, 2, i)
        for r, stage in enumerate((FIRST, SECOND)):
            group[stage + ACCELERATION + i] = _blend(shared, NEXT + ORDER * r, known)


@lane_piece
def elastic_lack(shared: Shared, group: Slots) -> None:
    """CHANGE that corrects the prediction for the strains' own elasticity: see `predict_elastic`."""
    for r, stage in enumerate((FIRST, SECOND)):
        lack = []
        for part in (X, RATE):
            at = part // N
            lack.append(
                [
                    group[stage + part + FREE + a] - _blend(shared, NEXT + ORDER * r, _stages(group, at, FREE + a))
                    for a in range(N - FREE)
                ]
            )
        forces = elasticity(group, viscous(group, *lack))
        for i in range(FREE):
            group[FORCES + r * N + i] = 0.0
        for a, force in enumerate(forces):
            group[FORCES + r * N + FREE + a] = force
    change(group)


@lane_piece
def correct(shared: Shared, group: Slots) -> None:
    """Takes CHANGE from the prediction and adds what it is likely to miss."""
    for r, stage in enumerate((FIRST, SECOND)):
        for i in range(N):
            at = stage + ACCELERATION + i
            guess = group[at] - group[CHANGE + r * N + i]
            group[PREDICTED + r * N + i] = guess
            missed = [group[MISSED + (2 * m + r) * N + i] for m in range(MOST_MISSES)]
            group[at] = guess + _blend(shared, MISSES, missed)


@lane_piece
def remember(group: Slots) -> None:
    """The stages just found become the last two of STAGES, what was missed the newest of MISSED."""
    for i in range(N):
        for part in range(3):
            older = _stages(group, part, i)
            newer = [group[FIRST + part * N + i], group[SECOND + part * N + i]]
            for r, value in enumerate([*older[2:], *newer]):
                group[STAGES + (part * ORDER + r) * N + i] = value
        for r, stage in enumerate((FIRST, SECOND)):
            for m in range(MOST_MISSES - 1, 0, -1):
                group[MISSED + (2 * m + r) * N + i] = group[MISSED + (2 * (m - 1) + r) * N + i]
            group[MISSED + r * N + i] = group[stage + ACCELERATION + i] - group[PREDICTED + r * N + i]


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
        group[ENDED + ACCELERATION + i] = _blend(shared, END, _stages(group, 2, i))
