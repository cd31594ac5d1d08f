"""Time integration of the `curvature` solver: two-stage Gauss with a Newton iteration.

Gauss's collocation method with two stages has order four and conserves quadratic invariants (Hairer, Nørsett
& Wanner, Solving Ordinary Differential Equations I, §II.7). On second-order equations the unknowns are the
accelerations k of the two stages,

    x_i = x + c_i h ẋ + h² Σ_j Â_ij k_j,   ẋ_i = ẋ + h Σ_j A_ij k_j,   Â = A².

With mass, damping and stiffness taken as the same at both stages, and A = T diag(λ, λ̄) T⁻¹, the two stages'
Newton systems are one complex system of a single stage's size, M + h λ C + h² λ² K (Hairer & Wanner, Solving
Ordinary Differential Equations II, §IV.8).
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from .compiled import kernel, piece
from .curvature_kernels import IN_DAMPING, IN_FREE, IN_STIFFNESS, new_workspace, residual
from .curvature_mass_kernels import factor_symmetric, invert, mass_matrix, multiply, solve_symmetric
from .curvature_row_kernels import motion_couple, write_row

C1 = 0.5 - math.sqrt(3.0) / 6.0
C2 = 0.5 + math.sqrt(3.0) / 6.0
_A11 = 0.25
_A12 = 0.25 - math.sqrt(3.0) / 6.0
_A21 = 0.25 + math.sqrt(3.0) / 6.0
_A22 = 0.25
_AA11 = _A11 * _A11 + _A12 * _A21
_AA12 = _A11 * _A12 + _A12 * _A22
_AA21 = _A21 * _A11 + _A22 * _A21
_AA22 = _A21 * _A12 + _A22 * _A22
_EIGENVALUE = 0.25 + 1j * math.sqrt(3.0) / 12.0
_MIX = 2.0 + math.sqrt(3.0)  # T = [[1, 1], [−i·_MIX, i·_MIX]]

TOLERANCE = 1.0e-13
"""Largest change still to come of an unknown within a step, rad: far below what any result shows, so that a
run driven by the couple of another run retraces it to 1e-9 rad over hundreds of steps."""
TOLERANCE_FREE = 4.0e-15
"""The same with a free root, rad: its errors are integrated twice over the run, and grow where the tip body
wants to swing out."""
LAST_CHANGE = 1.0e-12
"""Largest last change, rad: the couples recorded are those before it."""
ROUNDING = 1.0e-9
"""An iteration that stalls below this change (rad) has met rounding and is taken as converged."""
_KEEP_EXACT = 3
_STAY_EXACT = 24
# The true tangent costs as much as some sixty passes: a slow iteration is borne for a while.
_SLOW = 0.6
_PATIENCE = 14
_MOST_PASSES = 60
_MOST_REBUILDS = 4
_NODE_TOLERANCE = 1.0e-7
_SOFTENING = 4.0e-12
"""s². The mass matrix is softened by this times the stiffness where it is inverted: unknowns without mass
(twist without rotary inertia) have no acceleration of their own and keep what is extrapolated from the
stages."""

# Entries of GaussState.memory.
AGE = 0  # steps since the true tangent was built; -1: none
KNOWN = 1  # earlier steps whose stages are known, 0 … 2
EXACT = 2  # steps for which the true tangent is still to be used, since the simplified one failed
PASSES = 3  # Newton passes of the last step
UNWEIGHED = 4  # 1: the mass matrix at the node is not known


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


class GaussState(NamedTuple):
    """The march's memory: unknowns x = (y, q) at the last node, matrices, and room to work in."""

    x: Any
    """(n,)"""
    rate: Any
    acceleration: Any
    stages: Any
    """(3, 4, n): unknowns, rates and accelerations of the last four stages, oldest first"""
    trial: Any
    """(8, n): room"""
    forces: Any
    """(2n,): residuals of both stages"""
    change: Any
    """(2n,)"""
    node_mass: Any
    """(n, n): mass matrix at the last node"""
    mass_before: Any
    """(n, n): the same at the node before"""
    node_factors: Any
    simplified: Any
    """(n, n) complex: factors of the simplified Newton matrix"""
    mixed: Any
    """(n,) complex"""
    mass: Any
    """(2, n, n): true tangents of either stage"""
    damping: Any
    stiffness: Any
    newton: Any
    """(2n, 2n), destroyed by its inversion"""
    inverse: Any
    rates: Any
    """room for `mass_matrix`"""
    own: Any
    jacobian: Any
    memory: Any
    """(5,) int: see above"""
    step: Any
    """(2,) s: the step of the true tangent, the step of the known stages"""
    work: Any


def new_state(unknowns: int, intervals: int) -> GaussState:
    """An empty state: everything at rest."""
    n = unknowns
    return GaussState(
        x=np.zeros(n),
        rate=np.zeros(n),
        acceleration=np.zeros(n),
        stages=np.zeros((3, 4, n)),
        trial=np.zeros((8, n)),
        forces=np.zeros(2 * n),
        change=np.zeros(2 * n),
        node_mass=np.zeros((n, n)),
        mass_before=np.zeros((n, n)),
        node_factors=np.zeros((n, n)),
        simplified=np.zeros((n, n), dtype=np.complex128),
        mixed=np.zeros(n, dtype=np.complex128),
        mass=np.zeros((2, n, n)),
        damping=np.zeros((2, n, n)),
        stiffness=np.zeros((2, n, n)),
        newton=np.zeros((2 * n, 2 * n)),
        inverse=np.zeros((2 * n, 2 * n)),
        rates=np.zeros((6, 6)),
        own=np.zeros((n, 6)),
        jacobian=np.zeros((n, 6)),
        memory=np.array([-1, 0, 0, 0, 1]),
        step=np.zeros(2),
        work=new_workspace(intervals),
    )


@piece
def _mass_columns(model, inputs, free, x, rate, acceleration, work, base, column, mass):
    """mass (n, n) = ∂r/∂ẍ, from unit accelerations (r is linear in them)."""
    n = x.shape[0]
    for i in range(n):
        base[i] = acceleration[i]
        acceleration[i] = 0.0
    residual(model, inputs, free, x, rate, acceleration, work, column)
    for i in range(n):
        for j in range(n):
            mass[j, i] = -column[j]
    for i in range(n):
        acceleration[i] = 1.0
        residual(model, inputs, free, x, rate, acceleration, work, column)
        acceleration[i] = 0.0
        for j in range(n):
            mass[j, i] += column[j]
    for i in range(n):
        acceleration[i] = base[i]


@piece
def _mass_at(model, inputs, free, state, x, rate, acceleration):
    """The mass matrix at the configuration evaluated last, which is x, ẋ, ẍ."""
    work = state.work
    if model.links.shape[0] > 0:
        room = state.trial[3]
        _mass_columns(model, inputs, free, x, rate, acceleration, work, room, state.trial[7], state.node_mass)
    else:
        mass_matrix(model, inputs, free, work.root, work.chain, state.rates, state.own, state.jacobian, state.node_mass)


@piece
def _simplified_matrix(model, state, inputs, free, h):
    """Factors of M + h λ C + h² λ² K: mass of the step's middle from those before, constant damping and stiffness."""
    n = state.x.shape[0]
    if state.memory[UNWEIGHED] == 1:
        residual(model, inputs, free, state.x, state.rate, state.acceleration, state.work, state.trial[6])
        _mass_at(model, inputs, free, state, state.x, state.rate, state.acceleration)
        state.memory[UNWEIGHED] = 0
    matrix = state.simplified
    mass = state.node_mass
    before = state.mass_before
    onward = 0.5 if state.memory[KNOWN] >= 1 and state.step[1] == h else 0.0
    twists = model.twist.shape[1]
    first = h * _EIGENVALUE
    second = first * first
    for i in range(n):
        for j in range(i, n):
            matrix[i, j] = mass[i, j] + onward * (mass[i, j] - before[i, j])
    for i in range(n - free):
        factor = second + first * model.viscosity[1 if i < twists else 0]
        row = matrix[free + i]
        stiffness = model.stiffness[i]
        for j in range(i, n - free):
            row[free + j] += factor * stiffness[j]
    for i in range(free):
        for j in range(i, free):
            for a in range(3):
                for b in range(3):
                    both = inputs[IN_FREE + a * free + i] * inputs[IN_FREE + b * free + j]
                    pair = inputs[IN_STIFFNESS + 3 * a + b] + inputs[IN_STIFFNESS + 3 * b + a]
                    matrix[i, j] += both * (0.5 * pair * second + inputs[IN_DAMPING + 3 * a + b] * first)
    return factor_symmetric(matrix)


@piece
def _simplified_change(state):
    """Change of both stages' accelerations from their residuals by one complex solution."""
    n = state.x.shape[0]
    mixed = state.mixed
    forces = state.forces
    for i in range(n):
        mixed[i] = complex(0.5 * forces[i], forces[n + i] * (0.5 / _MIX))
    solve_symmetric(state.simplified, mixed)
    for i in range(n):
        state.change[i] = 2.0 * mixed[i].real
        state.change[n + i] = 2.0 * _MIX * mixed[i].imag


@piece
def _true_matrices(model, inputs, free, x, rate, acceleration, work, base, column, mass, damping, stiffness):
    """Mass, damping and stiffness as the derivatives of the residual, by differences."""
    n = x.shape[0]
    _mass_columns(model, inputs, free, x, rate, acceleration, work, base, column, mass)
    for i in range(n):
        for part in range(2):
            values = x if part == 0 else rate
            out = stiffness if part == 0 else damping
            d = 1e-5 if part == 0 else 1e-2
            kept = values[i]
            values[i] = kept + d
            residual(model, inputs, free, x, rate, acceleration, work, base)
            values[i] = kept - d
            residual(model, inputs, free, x, rate, acceleration, work, column)
            values[i] = kept
            for j in range(n):
                out[j, i] = (base[j] - column[j]) / (2.0 * d)


@piece
def _stage_unknowns(state, h):
    """trial 0, 1 = x, ẋ of the first stage, 2, 3 of the second, from the accelerations in 4 and 5."""
    x = state.x
    rate = state.rate
    trial = state.trial
    hh = h * h
    for i in range(x.shape[0]):
        k1 = trial[4, i]
        k2 = trial[5, i]
        v = rate[i]
        trial[0, i] = x[i] + C1 * h * v + hh * (_AA11 * k1 + _AA12 * k2)
        trial[1, i] = v + h * (_A11 * k1 + _A12 * k2)
        trial[2, i] = x[i] + C2 * h * v + hh * (_AA21 * k1 + _AA22 * k2)
        trial[3, i] = v + h * (_A21 * k1 + _A22 * k2)


@piece
def _true_inverse(model, state, free, first, second, h):
    """The inverse of the true Newton matrix at the stages in `trial`."""
    n = state.x.shape[0]
    trial = state.trial
    _stage_unknowns(state, h)
    for k in range(2):
        _true_matrices(
            model,
            first if k == 0 else second,
            free,
            trial[2 * k],
            trial[2 * k + 1],
            trial[4 + k],
            state.work,
            trial[6],
            trial[7],
            state.mass[k],
            state.damping[k],
            state.stiffness[k],
        )
    newton = state.newton
    hh = h * h
    for i in range(n):
        for j in range(n):
            m = state.mass[0, i, j]
            c = h * state.damping[0, i, j]
            k = hh * state.stiffness[0, i, j]
            newton[i, j] = m + _A11 * c + _AA11 * k
            newton[i, n + j] = _A12 * c + _AA12 * k
            m = state.mass[1, i, j]
            c = h * state.damping[1, i, j]
            k = hh * state.stiffness[1, i, j]
            newton[n + i, j] = _A21 * c + _AA21 * k
            newton[n + i, n + j] = m + _A22 * c + _AA22 * k
    state.memory[AGE] = 0
    state.step[0] = h
    return invert(newton, state.inverse)


@piece
def _blend(weights, values, out):
    """out (n,) = weights (k,) · the last k rows of `values`."""
    count = weights.shape[0]
    first = values.shape[0] - count
    for i in range(out.shape[0]):
        value = 0.0
        for j in range(count):
            value += weights[j] * values[first + j, i]
        out[i] = value


@piece
def _elastic_forces(model, free, x, rate, out):
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
def _predict(state, h):
    """Accelerations of the two stages ahead into trial 4 and 5, from the stages that are known."""
    trial = state.trial
    known = state.memory[KNOWN] if state.step[1] == h else 0
    for r in range(2):
        if known >= 2:
            _blend(_NEXT[r], state.stages[2], trial[4 + r])
        elif known == 1:
            _blend(_NEXT_SHORT[r], state.stages[2], trial[4 + r])
        else:
            for i in range(state.x.shape[0]):
                trial[4 + r, i] = state.acceleration[i]


@piece
def _predict_elastic(model, state, free, h):
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
    _stage_unknowns(state, h)
    for r in range(2):
        weights = _NEXT[r] if known >= 2 else _NEXT_SHORT[r]
        for part in range(2):
            _blend(weights, state.stages[part], trial[6 + part])
            for i in range(n):
                trial[6 + part, i] = trial[2 * r + part, i] - trial[6 + part, i]
        _elastic_forces(model, free, trial[6], trial[7], state.forces[r * n : (r + 1) * n])
    _simplified_change(state)
    for i in range(n):
        trial[4, i] -= state.change[i]
        trial[5, i] -= state.change[n + i]


@piece
def _solve_stages(model, state, inputs, row, free, h, couples):
    """Newton iteration for the accelerations of both stages (in trial 4 and 5). Returns whether it converged.

    The simplified matrix is built anew every step (it costs about two residuals). Where it converges slowly,
    the true tangent by differences takes over for some steps.
    """
    n = state.x.shape[0]
    trial = state.trial
    work = state.work
    first = inputs[row]
    second = inputs[row + 1]
    memory = state.memory
    _predict(state, h)
    exact = memory[EXACT] > 0
    if exact:
        memory[EXACT] -= 1
        stale = memory[AGE] < 0 or memory[AGE] >= _KEEP_EXACT or state.step[0] != h
        if stale and not _true_inverse(model, state, free, first, second, h):
            return False
        memory[AGE] += 1
    else:
        if not _simplified_matrix(model, state, first, free, h):
            return False
        _predict_elastic(model, state, free, h)
    hh = h * h
    # The angles of a chain are of the order of one: rounding does not let them come nearer.
    tolerance = TOLERANCE if free == 0 or model.links.shape[0] > 0 else TOLERANCE_FREE
    rebuilds = 0
    since = 0
    before = 1e300
    for sweep in range(_MOST_PASSES):
        _stage_unknowns(state, h)
        residual(model, first, free, trial[0], trial[1], trial[4], work, state.forces[:n])
        motion_couple(work.root, couples[row])
        residual(model, second, free, trial[2], trial[3], trial[5], work, state.forces[n:])
        motion_couple(work.root, couples[row + 1])
        if exact:
            multiply(state.inverse, state.forces, state.change)
        else:
            _simplified_change(state)
        size = 0.0
        finite = True
        for i in range(2 * n):
            change = hh * abs(state.change[i])
            if not (change < 1e6):
                finite = False
            size = max(size, change)
        memory[PASSES] = sweep + 1
        since += 1
        ratio = size / before
        slow = (since >= 4 and ratio > _SLOW) or since >= _PATIENCE
        if finite:
            for i in range(n):
                trial[4, i] -= state.change[i]
                trial[5, i] -= state.change[n + i]
            if size <= tolerance or (size <= LAST_CHANGE and ratio < 0.5 and size * ratio <= tolerance):
                return True
            if since >= 3 and ratio > 0.7 and size < ROUNDING:
                return True
        if (slow and (size >= ROUNDING or since >= _PATIENCE)) or not finite or (since >= 2 and ratio > 2.0):
            if rebuilds == _MOST_REBUILDS:
                return False
            rebuilds += 1
            if not finite:
                for i in range(n):
                    trial[4, i] = state.acceleration[i]
                    trial[5, i] = state.acceleration[i]
            if not _true_inverse(model, state, free, first, second, h):
                return False
            exact = True
            memory[EXACT] = _STAY_EXACT
            memory[AGE] = 1
            since = 0
            before = 1e300
        else:
            before = size
    return False


@piece
def _solve_node(model, state, inputs, free, x, rate, acceleration):
    """Accelerations that satisfy the equations of motion at given x, ẋ, from a guess.

    The equations are linear in ẍ: a Newton step with the softened mass matrix, repeated where the guess was
    poor. Leaves the mass matrix behind, and in `work` all that follows. Returns False: not finite.
    """
    n = x.shape[0]
    change = state.trial[6]
    factors = state.node_factors
    for sweep in range(3):
        residual(model, inputs, free, x, rate, acceleration, state.work, change)
        if sweep == 0:
            _mass_at(model, inputs, free, state, x, rate, acceleration)
            for i in range(n):
                for j in range(n):
                    factors[i, j] = state.node_mass[i, j]
            for i in range(n - free):
                for j in range(n - free):
                    factors[free + i, free + j] += _SOFTENING * model.stiffness[i, j]
            if not factor_symmetric(factors):
                return False
        solve_symmetric(factors, change)
        size = 0.0
        largest = 0.0
        for i in range(n):
            if not (abs(change[i]) < 1e15):
                return False
            acceleration[i] -= change[i]
            size = max(size, abs(change[i]))
            largest = max(largest, abs(acceleration[i]))
        # What the softening leaves of a correction is some 1e-4 of it.
        if 1e-4 * size <= _NODE_TOLERANCE * (1.0 + largest):
            break
    residual(model, inputs, free, x, rate, acceleration, state.work, change)
    return True


@piece
def _predict_node(model, state, free, h, known):
    """The node at the step's end: unknowns and rates into trial 0 and 1, a guess of the accelerations into trial 2.

    known: earlier steps of this size whose stages are known. The guess is extrapolated from the last stages and
    corrected for the strains' own elasticity as in `_predict_elastic`, with the mass matrix of the node before.
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
        _blend(_END_SHORT[0], state.stages[2], trial[2])
        return True
    for part in range(3):
        _blend(_END[0], state.stages[part], trial[3 + part] if part < 2 else trial[2])
    for i in range(n):
        trial[3, i] = trial[0, i] - trial[3, i]
        trial[4, i] = trial[1, i] - trial[4, i]
    _elastic_forces(model, free, trial[3], trial[4], trial[5])
    solve_symmetric(state.node_factors, trial[5])
    for i in range(n):
        trial[2, i] -= trial[5, i]
    return True


@piece
def _remember_stages(state, h):
    """The stages in trial 4 and 5 become the last two of `stages`."""
    trial = state.trial
    stages = state.stages
    _stage_unknowns(state, h)
    for i in range(state.x.shape[0]):
        for part in range(3):
            stages[part, 0, i] = stages[part, 2, i]
            stages[part, 1, i] = stages[part, 3, i]
        for part in range(2):
            stages[part, 2, i] = trial[part, i]
            stages[part, 3, i] = trial[2 + part, i]
        stages[2, 2, i] = trial[4, i]
        stages[2, 3, i] = trial[5, i]


@piece
def _finish_step(model, state, inputs, row, free, h):
    """The node at the step's end: unknowns, their accelerations, the memory of stages. False: not finite."""
    n = state.x.shape[0]
    trial = state.trial
    known = state.memory[KNOWN] if state.step[1] == h else 0
    _remember_stages(state, h)
    # Until the node is known, so that a step that fails is not built on.
    state.memory[KNOWN] = 0
    if not _predict_node(model, state, free, h, known):
        return False
    for i in range(n):
        for j in range(n):
            state.mass_before[i, j] = state.node_mass[i, j]
    state.memory[UNWEIGHED] = 1
    if not _solve_node(model, state, inputs[row + 2], free, trial[0], trial[1], trial[2]):
        return False
    state.memory[UNWEIGHED] = 0
    for i in range(n):
        state.x[i] = trial[0, i]
        state.rate[i] = trial[1, i]
        state.acceleration[i] = trial[2, i]
    state.memory[KNOWN] = min(known + 1, 2)
    state.step[1] = h
    return True


@kernel
def march(model, state, inputs, free, h, rows, couples):
    """Steps of size h from the state; returns how many were made.

    inputs: packed, three rows a step (two stages, node). At a failing step the state stays that of its start.
    """
    for k in range(rows.shape[0]):
        if not _solve_stages(model, state, inputs, 3 * k, free, h, couples):
            state.memory[AGE] = -1
            return k
        if not _finish_step(model, state, inputs, 3 * k, free, h):
            state.memory[AGE] = -1
            return k
        motion_couple(state.work.root, couples[3 * k + 2])
        write_row(model, inputs[3 * k + 2], free, state.x, state.rate, state.work, rows[k])
        rows[k, 47] = state.memory[PASSES]
    return rows.shape[0]


@kernel
def first_row(model, state, inputs, free, row):
    """Consistent accelerations at the start and the history's first row. False: not finite."""
    if not _solve_node(model, state, inputs, free, state.x, state.rate, state.acceleration):
        return False
    state.memory[UNWEIGHED] = 0
    write_row(model, inputs, free, state.x, state.rate, state.work, row)
    return True
