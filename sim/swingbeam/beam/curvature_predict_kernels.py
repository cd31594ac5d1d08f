"""Stages and nodes of the `curvature` solver's march: from accelerations to unknowns, and the guesses ahead of them."""

from __future__ import annotations

import numpy as np

from .compiled import piece
from .curvature_gauss_state import C1, C2, KNOWN
from .curvature_mass_kernels import solve_symmetric
from .curvature_newton_kernels import simplified_change, stage_unknowns


def _extrapolation(places: list[float], at: list[float]) -> np.ndarray:
    """Lagrange weights (len(at), len(places)) of the polynomial through `places`, evaluated at `at`."""
    out = np.ones((len(at), len(places)))
    for r, t in enumerate(at):
        for j, a in enumerate(places):
            for k, b in enumerate(places):
                if k != j:
                    out[r, j] *= (t - b) / (a - b)
    return out


# The accelerations of the next two stages, and of the step's end, from the last four stages.
_NEXT = _extrapolation([C1 - 2.0, C2 - 2.0, C1 - 1.0, C2 - 1.0], [C1, C2])
_END = _extrapolation([C1 - 1.0, C2 - 1.0, C1, C2], [1.0])
_NEXT_SHORT = _extrapolation([C1 - 1.0, C2 - 1.0], [C1, C2])
_END_SHORT = _extrapolation([C1, C2], [1.0])


@piece
def blend(weights, values, out):
    """out (n,) = weights (k,) · the last k rows of `values`."""
    count = weights.shape[0]
    first = values.shape[0] - count
    for i in range(out.shape[0]):
        value = 0.0
        for j in range(count):
            value += weights[j] * values[first + j, i]
        out[i] = value


@piece
def elastic_forces(model, free, x, rate, out):
    """out (n,) = K x + C ẋ of the strains, nothing on the root's unknowns."""
    twists = model.twist.shape[1]
    for i in range(free):
        out[i] = 0.0
    for i in range(x.shape[0] - free):
        viscosity = model.viscosity[1 if i < twists else 0]
        stiffness = model.stiffness[i]
        value = 0.0
        for j in range(x.shape[0] - free):
            value += stiffness[j] * (x[free + j] + viscosity * rate[free + j])
        out[free + i] = value


@piece
def predict(state, h):
    """Accelerations of the two stages ahead into trial 4 and 5, from the stages that are known."""
    trial = state.trial
    known = state.memory[KNOWN] if state.step[1] == h else 0
    for r in range(2):
        if known >= 2:
            blend(_NEXT[r], state.stages[2], trial[4 + r])
        elif known == 1:
            blend(_NEXT_SHORT[r], state.stages[2], trial[4 + r])
        else:
            for i in range(state.x.shape[0]):
                trial[4 + r, i] = state.acceleration[i]


@piece
def predict_elastic(model, state, free, h):
    """Corrects the prediction in trial 4 and 5 for the strains' own elasticity, which the simplified matrix knows.

    Stiff strains swing faster than stages follow each other: their accelerations cannot be extrapolated, but what
    drives them, M ẍ + C ẋ + K x, can. That is so where M (ẍ − ẍ*) + C (ẋ − ẋ*) + K (x − x*) = 0, the values
    with a star being extrapolated one by one.
    """
    known = state.memory[KNOWN] if state.step[1] == h else 0
    if known == 0:
        return
    n = state.x.shape[0]
    trial = state.trial
    stage_unknowns(state, h)
    for r in range(2):
        weights = _NEXT[r] if known >= 2 else _NEXT_SHORT[r]
        for part in range(2):
            blend(weights, state.stages[part], trial[6 + part])
            for i in range(n):
                trial[6 + part, i] = trial[2 * r + part, i] - trial[6 + part, i]
        elastic_forces(model, free, trial[6], trial[7], state.forces[r * n : (r + 1) * n])
    simplified_change(state)
    for i in range(n):
        trial[4, i] -= state.change[i]
        trial[5, i] -= state.change[n + i]


@piece
def predict_node(model, state, free, h, known):
    """The node at the step's end: unknowns and rates into trial 0 and 1, a guess of the accelerations into trial 2.

    known: earlier steps of this size whose stages are known. The guess is extrapolated from the last stages and
    corrected for the strains' own elasticity as in `predict_elastic`, with the mass matrix of the node before.
    Returns False: not finite.
    """
    n = state.x.shape[0]
    trial = state.trial
    for i in range(n):
        k1 = trial[4, i]
        k2 = trial[5, i]
        trial[0, i] = state.x[i] + h * state.rate[i] + 0.5 * h * h * ((1.0 - C1) * k1 + (1.0 - C2) * k2)
        trial[1, i] = state.rate[i] + 0.5 * h * (k1 + k2)
        if not (abs(trial[0, i]) < 1e6):
            return False
    # The stages just found are the last two rows already.
    if known == 0:
        blend(_END_SHORT[0], state.stages[2], trial[2])
        return True
    for part in range(3):
        blend(_END[0], state.stages[part], trial[3 + part] if part < 2 else trial[2])
    for i in range(n):
        trial[3, i] = trial[0, i] - trial[3, i]
        trial[4, i] = trial[1, i] - trial[4, i]
    elastic_forces(model, free, trial[3], trial[4], trial[5])
    solve_symmetric(state.node_factors, trial[5])
    for i in range(n):
        trial[2, i] -= trial[5, i]
    return True


@piece
def remember_stages(state, h):
    """The stages in trial 4 and 5 become the last two of `stages`."""
    trial = state.trial
    stages = state.stages
    stage_unknowns(state, h)
    for i in range(state.x.shape[0]):
        for part in range(3):
            stages[part, 0, i] = stages[part, 2, i]
            stages[part, 1, i] = stages[part, 3, i]
        for part in range(2):
            stages[part, 2, i] = trial[part, i]
            stages[part, 3, i] = trial[2 + part, i]
        stages[2, 2, i] = trial[4, i]
        stages[2, 3, i] = trial[5, i]
