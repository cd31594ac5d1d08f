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

from .compiled import kernel, piece
from .curvature_gauss_state import AGE, EXACT, KNOWN, PASSES, UNWEIGHED
from .curvature_kernels import residual
from .curvature_mass_kernels import factor_symmetric, multiply, solve_symmetric
from .curvature_newton_kernels import mass_at, simplified_change, simplified_matrix, stage_unknowns, true_inverse
from .curvature_predict_kernels import predict, predict_elastic, predict_node, remember_stages
from .curvature_row_kernels import motion_couple, write_row

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
SOFTENING = 4.0e-12
"""s². The mass matrix is softened by this times the stiffness where it is inverted: unknowns without mass
(twist without rotary inertia) have no acceleration of their own and keep what is extrapolated from the
stages."""


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
    predict(state, h)
    exact = memory[EXACT] > 0
    if exact:
        memory[EXACT] -= 1
        stale = memory[AGE] < 0 or memory[AGE] >= _KEEP_EXACT or state.step[0] != h
        if stale and not true_inverse(model, state, free, first, second, h):
            return False
        memory[AGE] += 1
    else:
        if not simplified_matrix(model, state, first, free, h):
            return False
        predict_elastic(model, state, free, h)
    hh = h * h
    # The angles of a chain are of the order of one: rounding does not let them come nearer.
    tolerance = TOLERANCE if free == 0 or model.links.shape[0] > 0 else TOLERANCE_FREE
    rebuilds = 0
    since = 0
    before = 1e300
    for sweep in range(_MOST_PASSES):
        stage_unknowns(state, h)
        residual(model, first, free, trial[0], trial[1], trial[4], work, state.forces[:n])
        motion_couple(work.root, couples[row])
        residual(model, second, free, trial[2], trial[3], trial[5], work, state.forces[n:])
        motion_couple(work.root, couples[row + 1])
        if exact:
            multiply(state.inverse, state.forces, state.change)
        else:
            simplified_change(state)
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
            if not true_inverse(model, state, free, first, second, h):
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
            mass_at(model, inputs, free, state, x, rate, acceleration)
            for i in range(n):
                for j in range(n):
                    factors[i, j] = state.node_mass[i, j]
            for i in range(n - free):
                for j in range(n - free):
                    factors[free + i, free + j] += SOFTENING * model.stiffness[i, j]
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
def _finish_step(model, state, inputs, row, free, h):
    """The node at the step's end: unknowns, their accelerations, the memory of stages. False: not finite."""
    n = state.x.shape[0]
    trial = state.trial
    known = state.memory[KNOWN] if state.step[1] == h else 0
    remember_stages(state, h)
    # Until the node is known, so that a step that fails is not built on.
    state.memory[KNOWN] = 0
    if not predict_node(model, state, free, h, known):
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
