"""Time integration of the `curvature` solver: two-stage Gauss, equilibrium, and the rows of the history.

Gauss's collocation method with two stages has order four and conserves quadratic invariants (Hairer, Nørsett & Wanner,
Solving Ordinary Differential Equations I, §II.7; Hairer, Lubich & Wanner, Geometric Numerical Integration, §IV.2). On
second-order equations the unknowns are the accelerations of the two stages,

    x_i = x + c_i h ẋ + h² Σ_j Â_ij k_j,   ẋ_i = ẋ + h Σ_j A_ij k_j,   Â = A²,

found by a Newton iteration whose matrix is kept for some steps.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numba import njit

from .compiled import kernel
from .curvature_kernels import (
    ACCELERATION,
    ALPHA,
    D_RATE,
    FORCE,
    IN_DAMPING,
    IN_FREE,
    IN_POSITION,
    IN_ROTATION,
    IN_STIFFNESS,
    MOMENT,
    OMEGA,
    ROOT_COUPLE,
    ROOT_FORCE,
    ROOT_OMEGA,
    ROOT_THETA,
    ROOT_TURN,
    ROOT_VELOCITY,
    CurvatureModel,
    D,
    E,
    Workspace,
    backward,
    forward,
    integrate_strains,
    new_workspace,
    place_root,
    project,
    residual,
    root_balance,
)

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

TOLERANCE = 2.0e-12
"""Largest last change of an unknown within a step, rad: far below what any result shows, so that a run driven by the
couple of another run retraces it to 1e-9 rad over hundreds of steps."""
ROUNDING = 1.0e-9
"""An iteration that stalls below this change (rad) has met rounding and is taken as converged."""
_KEEP_HELD = 8
_KEEP_FREE = 3
_MOST_PASSES = 40
_MOST_REBUILDS = 4
_NODE_TOLERANCE = 1.0e-7
_MOST_NODE_PASSES = 8

# Entries of State.memory.
AGE = 0  # steps since the matrix was built; -1: none
KNOWN = 1  # earlier steps whose stages are known, 0 … 2
EXACT = 2  # 1: the simplified matrix has failed once, use the true tangent
PASSES = 3  # Newton passes of the last step


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
    """The march's memory: unknowns x = (y, q) at the last node, kept matrices, and room to work in."""

    x: Any
    """(n,)"""
    rate: Any
    acceleration: Any
    stages: Any
    """(4, n): accelerations of the last four stages, oldest first"""
    trial: Any
    """(8, n): room"""
    forces: Any
    """(2n,): residuals of both stages"""
    change: Any
    """(2n,)"""
    mass: Any
    """(2, n, n), of either stage"""
    damping: Any
    stiffness: Any
    newton: Any
    """(2n, 2n), then its inverse"""
    inverse: Any
    node_inverse: Any
    """(n, n): of the mass matrix"""
    node_room: Any
    memory: Any
    """(4,) int: see above"""
    step: Any
    """(2,) s: the step of the kept matrix, the step of the known stages"""
    work: Any


def new_state(unknowns: int, intervals: int) -> GaussState:
    """An empty state: everything at rest."""
    n = unknowns
    memory = np.array([-1, 0, 0, 0])
    return GaussState(
        np.zeros(n),
        np.zeros(n),
        np.zeros(n),
        np.zeros((4, n)),
        np.zeros((8, n)),
        np.zeros(2 * n),
        np.zeros(2 * n),
        np.zeros((2, n, n)),
        np.zeros((2, n, n)),
        np.zeros((2, n, n)),
        np.zeros((2 * n, 2 * n)),
        np.zeros((2 * n, 2 * n)),
        np.zeros((n, n)),
        np.zeros((n, n)),
        memory,
        np.zeros(2),
        new_workspace(intervals),
    )


@njit(error_model="numpy")
def invert(matrix, inverse):
    """Gauss–Jordan with row pivoting; `matrix` is destroyed. Returns False when it is singular or not finite."""
    n = matrix.shape[0]
    for i in range(n):
        for j in range(n):
            inverse[i, j] = 1.0 if i == j else 0.0
    for k in range(n):
        best = k
        largest = abs(matrix[k, k])
        for i in range(k + 1, n):
            if abs(matrix[i, k]) > largest:
                largest = abs(matrix[i, k])
                best = i
        if not (largest > 0.0 and largest < 1e300):
            return False
        if best != k:
            for j in range(n):
                matrix[k, j], matrix[best, j] = matrix[best, j], matrix[k, j]
                inverse[k, j], inverse[best, j] = inverse[best, j], inverse[k, j]
        scale = 1.0 / matrix[k, k]
        for j in range(n):
            matrix[k, j] *= scale
            inverse[k, j] *= scale
        for i in range(n):
            if i != k:
                factor = matrix[i, k]
                if factor != 0.0:
                    for j in range(n):
                        matrix[i, j] -= factor * matrix[k, j]
                        inverse[i, j] -= factor * inverse[k, j]
    return True


@njit(error_model="numpy")
def _times(matrix, vector, out):
    """out = matrixᵀ vector, by rows, so that the inner loop runs along memory."""
    n = vector.shape[0]
    for i in range(n):
        out[i] = 0.0
    for j in range(n):
        value = vector[j]
        for i in range(n):
            out[i] += matrix[j, i] * value


@njit(error_model="numpy")
def _transpose(matrix):
    n = matrix.shape[0]
    for i in range(n):
        for j in range(i):
            matrix[i, j], matrix[j, i] = matrix[j, i], matrix[i, j]


@njit(error_model="numpy")
def mass_columns(model, inputs, free, x, rate, acceleration, work, base, column, mass):
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


@njit(error_model="numpy")
def plain_matrices(model, inputs, free, x, rate, acceleration, work, base, column, mass, damping, stiffness):
    """Mass matrix at x, and the constant stiffness and damping of rod and root."""
    n = x.shape[0]
    mass_columns(model, inputs, free, x, rate, acceleration, work, base, column, mass)
    for i in range(n):
        for j in range(n):
            if i >= free and j >= free:
                stiffness[i, j] = model.stiffness[i - free, j - free]
                damping[i, j] = stiffness[i, j] * model.viscosity[1 if i - free < model.twist.shape[1] else 0]
            else:
                stiffness[i, j] = 0.0
                damping[i, j] = 0.0
    for i in range(free):
        for j in range(free):
            for a in range(3):
                for b in range(3):
                    both = inputs[IN_FREE + a * free + i] * inputs[IN_FREE + b * free + j]
                    stiffness[i, j] += both * inputs[IN_STIFFNESS + 3 * a + b]
                    damping[i, j] += both * inputs[IN_DAMPING + 3 * a + b]


@njit(error_model="numpy")
def true_matrices(model, inputs, free, x, rate, acceleration, work, base, column, mass, damping, stiffness):
    """Mass, damping and stiffness as the derivatives of the residual, by differences."""
    n = x.shape[0]
    mass_columns(model, inputs, free, x, rate, acceleration, work, base, column, mass)
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


@njit(error_model="numpy")
def _stage_unknowns(state, h):
    """trial 0, 1 = x and ẋ of the first stage, 2, 3 of the second, from the accelerations in trial 4 and 5."""
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


@njit(error_model="numpy")
def _build(model, state, free, first, second, h, exact):
    """The inverse of the Newton matrix (kept transposed) and of the mass matrix, at the stages in `trial`."""
    n = state.x.shape[0]
    trial = state.trial
    work = state.work
    _stage_unknowns(state, h)
    if exact:
        for k in range(2):
            true_matrices(
                model,
                first if k == 0 else second,
                free,
                trial[2 * k],
                trial[2 * k + 1],
                trial[4 + k],
                work,
                trial[6],
                trial[7],
                state.mass[k],
                state.damping[k],
                state.stiffness[k],
            )
    else:
        plain_matrices(
            model,
            first,
            free,
            trial[0],
            trial[1],
            trial[4],
            work,
            trial[6],
            trial[7],
            state.mass[0],
            state.damping[0],
            state.stiffness[0],
        )
    other = 1 if exact else 0
    newton = state.newton
    hh = h * h
    for i in range(n):
        for j in range(n):
            m = state.mass[0, i, j]
            c = h * state.damping[0, i, j]
            k = hh * state.stiffness[0, i, j]
            newton[i, j] = m + _A11 * c + _AA11 * k
            newton[i, n + j] = _A12 * c + _AA12 * k
            m = state.mass[other, i, j]
            c = h * state.damping[other, i, j]
            k = hh * state.stiffness[other, i, j]
            newton[n + i, j] = _A21 * c + _AA21 * k
            newton[n + i, n + j] = m + _A22 * c + _AA22 * k
    if not invert(newton, state.inverse):
        return False
    _transpose(state.inverse)
    for i in range(n):
        for j in range(n):
            state.node_room[i, j] = state.mass[other, i, j]
    if not invert(state.node_room, state.node_inverse):
        return False
    _transpose(state.node_inverse)
    state.memory[AGE] = 0
    state.step[0] = h
    return True


@njit(error_model="numpy")
def _predict(state, h):
    """Accelerations of the two stages ahead into trial 4 and 5, extrapolated from the stages that are known."""
    n = state.x.shape[0]
    trial = state.trial
    stages = state.stages
    known = state.memory[KNOWN] if state.step[1] == h else 0
    for i in range(n):
        if known >= 2:
            trial[4, i] = (
                _NEXT[0, 0] * stages[0, i]
                + _NEXT[0, 1] * stages[1, i]
                + _NEXT[0, 2] * stages[2, i]
                + _NEXT[0, 3] * stages[3, i]
            )
            trial[5, i] = (
                _NEXT[1, 0] * stages[0, i]
                + _NEXT[1, 1] * stages[1, i]
                + _NEXT[1, 2] * stages[2, i]
                + _NEXT[1, 3] * stages[3, i]
            )
        elif known == 1:
            trial[4, i] = _NEXT_SHORT[0, 0] * stages[2, i] + _NEXT_SHORT[0, 1] * stages[3, i]
            trial[5, i] = _NEXT_SHORT[1, 0] * stages[2, i] + _NEXT_SHORT[1, 1] * stages[3, i]
        else:
            trial[4, i] = state.acceleration[i]
            trial[5, i] = state.acceleration[i]


@njit(error_model="numpy")
def _motion_couple(root, out):
    """The root couple from the yielded root's axes into the motion's."""
    for i in range(3):
        out[i] = (
            root[ROOT_TURN + 3 * i] * root[ROOT_COUPLE]
            + root[ROOT_TURN + 3 * i + 1] * root[ROOT_COUPLE + 1]
            + root[ROOT_TURN + 3 * i + 2] * root[ROOT_COUPLE + 2]
        )


@njit(error_model="numpy")
def _solve_stages(model, state, inputs, row, free, h, couples):
    """Newton iteration for the accelerations of both stages (in trial 4 and 5). Returns whether it converged."""
    n = state.x.shape[0]
    trial = state.trial
    work = state.work
    first = inputs[row]
    second = inputs[row + 1]
    memory = state.memory
    keep = _KEEP_HELD if free == 0 else _KEEP_FREE
    _predict(state, h)
    fresh = memory[AGE] < 0 or memory[AGE] >= keep or state.step[0] != h
    if fresh and not _build(model, state, free, first, second, h, memory[EXACT] == 1):
        return False
    memory[AGE] += 1
    hh = h * h
    rebuilds = 0
    since = 0
    before = 1e300
    for sweep in range(_MOST_PASSES):
        _stage_unknowns(state, h)
        residual(model, first, free, trial[0], trial[1], trial[4], work, state.forces[:n])
        _motion_couple(work.root, couples[row])
        residual(model, second, free, trial[2], trial[3], trial[5], work, state.forces[n:])
        _motion_couple(work.root, couples[row + 1])
        _times(state.inverse, state.forces, state.change)
        size = 0.0
        finite = True
        for i in range(n):
            change = hh * max(abs(state.change[i]), abs(state.change[n + i]))
            if not (change < 1e6):
                finite = False
            size = max(size, change)
        memory[PASSES] = sweep + 1
        since += 1
        slow = since >= 3 and size > 0.25 * before
        if finite:
            for i in range(n):
                trial[4, i] -= state.change[i]
                trial[5, i] -= state.change[n + i]
            if size <= TOLERANCE or (slow and size < ROUNDING):
                return True
        if slow or not finite or (since >= 2 and size > 2.0 * before):
            # The kept matrix does not fit any more: first a fresh one, then the true tangent from then on.
            if rebuilds == _MOST_REBUILDS:
                return False
            rebuilds += 1
            if memory[AGE] <= 1:
                memory[EXACT] = 1
            if not finite:
                for i in range(n):
                    trial[4, i] = state.acceleration[i]
                    trial[5, i] = state.acceleration[i]
            if not _build(model, state, free, first, second, h, memory[EXACT] == 1):
                return False
            memory[AGE] = 1
            since = 0
            before = 1e300
        else:
            before = size
    return False


@njit(error_model="numpy")
def solve_node(model, inputs, free, x, rate, acceleration, work, inverse, room, base, column, mass):
    """Accelerations that satisfy the equations of motion at given x, ẋ, and everything that follows, in `work`.

    Quasi-Newton on the linear equations r(x, ẋ, ẍ) = 0 with a kept inverse of the mass matrix, which is built
    anew when it does not fit. Returns False when the result is not finite.
    """
    n = x.shape[0]
    before = 1e300
    built = False
    for _ in range(2 * _MOST_NODE_PASSES):
        residual(model, inputs, free, x, rate, acceleration, work, column)
        _times(inverse, column, base)
        size = 0.0
        largest = 0.0
        finite = True
        for i in range(n):
            if not (abs(base[i]) < 1e15):
                finite = False
            size = max(size, abs(base[i]))
            largest = max(largest, abs(acceleration[i]))
        if finite and size <= _NODE_TOLERANCE * (1.0 + largest):
            return True
        if finite and size < 0.3 * before:
            for i in range(n):
                acceleration[i] -= base[i]
            before = size
            continue
        if built:
            # The equations are linear: what is left after an exact inverse is rounding.
            if finite:
                for i in range(n):
                    acceleration[i] -= base[i]
                residual(model, inputs, free, x, rate, acceleration, work, column)
            return finite
        for i in range(n):
            if not (abs(acceleration[i]) < 1e15):
                acceleration[i] = 0.0
        mass_columns(model, inputs, free, x, rate, acceleration, work, base, column, mass)
        for i in range(n):
            for j in range(n):
                room[i, j] = mass[i, j]
        if not invert(room, inverse):
            return False
        _transpose(inverse)
        built = True
        before = 1e300
    return False


@njit(error_model="numpy")
def write_row(model, inputs, free, x, rate, work, row):
    """One row of the history (see `history`) from an evaluation of the equations of motion at a node."""
    root = work.root
    chain = work.chain
    intervals = chain.shape[0]
    turn = np.empty((3, 3))
    next_turn = np.empty((3, 3))
    place = np.empty(3)
    v = np.empty(3)
    for i in range(3):
        place[i] = inputs[IN_POSITION + i]
        v[i] = root[ROOT_VELOCITY + i]
        for j in range(3):
            turn[i, j] = (
                inputs[IN_ROTATION + 3 * i] * root[ROOT_TURN + j]
                + inputs[IN_ROTATION + 3 * i + 1] * root[ROOT_TURN + 3 + j]
                + inputs[IN_ROTATION + 3 * i + 2] * root[ROOT_TURN + 6 + j]
            )
    w0 = root[ROOT_OMEGA]
    w1 = root[ROOT_OMEGA + 1]
    w2 = root[ROOT_OMEGA + 2]
    kinetic = 0.0
    for k in range(intervals):
        c = chain[k]
        d0 = c[D]
        d1 = c[D + 1]
        d2 = c[D + 2]
        u0 = v[0] + (w1 * d2 - w2 * d1) + c[D_RATE]
        u1 = v[1] + (w2 * d0 - w0 * d2) + c[D_RATE + 1]
        u2 = v[2] + (w0 * d1 - w1 * d0) + c[D_RATE + 2]
        for i in range(3):
            v[i] = c[E + i] * u0 + c[E + 3 + i] * u1 + c[E + 6 + i] * u2
            place[i] += turn[i, 0] * d0 + turn[i, 1] * d1 + turn[i, 2] * d2
            for j in range(3):
                next_turn[i, j] = (
                    turn[i, 0] * c[E + j] + turn[i, 1] * c[E + 3 + j] + turn[i, 2] * c[E + 6 + j]
                )
        for i in range(3):
            for j in range(3):
                turn[i, j] = next_turn[i, j]
        w0 = c[OMEGA]
        w1 = c[OMEGA + 1]
        w2 = c[OMEGA + 2]
        kinetic += 0.5 * model.mass[k] * (v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
        kinetic += 0.5 * model.rotary[k] * (w0 * w0 + 0.5 * (w1 * w1 + w2 * w2))
    tip = model.tip
    u0 = v[0] + w1 * tip[3] - w2 * tip[2]
    u1 = v[1] + w2 * tip[1] - w0 * tip[3]
    u2 = v[2] + w0 * tip[2] - w1 * tip[1]
    kinetic += 0.5 * tip[0] * (u0 * u0 + u1 * u1 + u2 * u2)
    kinetic += 0.5 * (
        w0 * (tip[4] * w0 + tip[5] * w1 + tip[6] * w2)
        + w1 * (tip[7] * w0 + tip[8] * w1 + tip[9] * w2)
        + w2 * (tip[10] * w0 + tip[11] * w1 + tip[12] * w2)
    )
    c = chain[intervals - 1]
    for i in range(3):
        row[i] = place[i]
        for j in range(3):
            row[3 + 3 * i + j] = turn[i, j]
        row[12 + i] = turn[i, 0] * v[0] + turn[i, 1] * v[1] + turn[i, 2] * v[2]
        row[15 + i] = c[OMEGA + i]
        row[18 + i] = (
            turn[i, 0] * c[ACCELERATION]
            + turn[i, 1] * c[ACCELERATION + 1]
            + turn[i, 2] * c[ACCELERATION + 2]
            + model.gravity[i]
        )
        row[21 + i] = c[ALPHA + i]
    for i in range(9):
        row[24 + i] = root[ROOT_THETA + i]
        row[33 + i] = root[ROOT_FORCE + i]
    twists = model.twist.shape[1]
    twist = 0.0
    bend = 0.0
    power = 0.0
    n = x.shape[0] - free
    for i in range(n):
        stiff = 0.0
        loss = 0.0
        for j in range(n):
            stiff += model.stiffness[i, j] * x[free + j]
            loss += model.viscosity[1 if i < twists else 0] * model.stiffness[i, j] * rate[free + j]
        if i < twists:
            twist += 0.5 * x[free + i] * stiff
        else:
            bend += 0.5 * x[free + i] * stiff
        power += rate[free + i] * loss
    row[42] = bend
    row[43] = twist
    row[44] = kinetic
    row[45] = power
    row[46] = 0.0


@njit(error_model="numpy")
def _finish_step(model, state, inputs, row, free, h):
    """The node at the step's end: unknowns, their accelerations, the memory of stages. False: not finite."""
    n = state.x.shape[0]
    trial = state.trial
    stages = state.stages
    known = state.memory[KNOWN] if state.step[1] == h else 0
    for i in range(n):
        k1 = trial[4, i]
        k2 = trial[5, i]
        trial[0, i] = state.x[i] + h * state.rate[i] + 0.5 * h * h * ((1.0 - C1) * k1 + (1.0 - C2) * k2)
        trial[1, i] = state.rate[i] + 0.5 * h * (k1 + k2)
        if known >= 1:
            trial[2, i] = (
                _END[0, 0] * stages[2, i] + _END[0, 1] * stages[3, i] + _END[0, 2] * k1 + _END[0, 3] * k2
            )
        else:
            trial[2, i] = _END_SHORT[0, 0] * k1 + _END_SHORT[0, 1] * k2
    if not solve_node(
        model,
        inputs[row + 2],
        free,
        trial[0],
        trial[1],
        trial[2],
        state.work,
        state.node_inverse,
        state.node_room,
        trial[6],
        trial[7],
        state.mass[0],
    ):
        return False
    for i in range(n):
        if not (abs(trial[0, i]) < 1e6):
            return False
        stages[0, i] = stages[2, i]
        stages[1, i] = stages[3, i]
        stages[2, i] = trial[4, i]
        stages[3, i] = trial[5, i]
        state.x[i] = trial[0, i]
        state.rate[i] = trial[1, i]
        state.acceleration[i] = trial[2, i]
    state.memory[KNOWN] = min(known + 1, 2)
    state.step[1] = h
    return True


@kernel
def march(model, state, inputs, free, h, rows, couples):
    """Steps of size h from the state: three rows of packed inputs each (two stages, node); returns how many were made."""
    for k in range(rows.shape[0]):
        if not _solve_stages(model, state, inputs, 3 * k, free, h, couples):
            state.memory[AGE] = -1
            return k
        if not _finish_step(model, state, inputs, 3 * k, free, h):
            state.memory[AGE] = -1
            return k
        _motion_couple(state.work.root, couples[3 * k + 2])
        write_row(model, inputs[3 * k + 2], free, state.x, state.rate, state.work, rows[k])
        rows[k, 47] = state.memory[PASSES]
    return rows.shape[0]


@kernel
def first_row(model, state, inputs, free, row):
    """Consistent accelerations at the start and the history's first row. Returns False when they are not finite."""
    if not solve_node(
        model,
        inputs,
        free,
        state.x,
        state.rate,
        state.acceleration,
        state.work,
        state.node_inverse,
        state.node_room,
        state.trial[6],
        state.trial[7],
        state.mass[0],
    ):
        return False
    write_row(model, inputs, free, state.x, state.rate, state.work, row)
    return True


@njit(error_model="numpy")
def _dead_loads(chain, forces, moment):
    """Adds loads that keep their direction in the root frame: forces (J, 3) at the nodes, a moment at the tip."""
    turn = np.eye(3)
    next_turn = np.empty((3, 3))
    intervals = chain.shape[0]
    for k in range(intervals):
        c = chain[k]
        for i in range(3):
            for j in range(3):
                next_turn[i, j] = (
                    turn[i, 0] * c[E + j] + turn[i, 1] * c[E + 3 + j] + turn[i, 2] * c[E + 6 + j]
                )
        for i in range(3):
            for j in range(3):
                turn[i, j] = next_turn[i, j]
        for i in range(3):
            for j in range(3):
                c[FORCE + i] -= turn[j, i] * forces[k, j]
                if k == intervals - 1:
                    c[MOMENT + i] -= turn[j, i] * moment[j]


@njit(error_model="numpy")
def _balance(model, inputs, free, x, still, forces, moment, work, out):
    """Residual at rest relative to the root, with dead loads."""
    root = work.root
    place_root(inputs, free, x, still, still, root)
    integrate_strains(model, x[free:], still[free:], still[free:], work.strain)
    forward(model, root, work.strain, work.chain)
    _dead_loads(work.chain, forces, moment)
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
        _balance(model, inputs, free, x, still, forces, moment, work, base)
        for i in range(n):
            kept = x[i]
            x[i] = kept + 1e-6
            _balance(model, inputs, free, x, still, forces, moment, work, up)
            x[i] = kept - 1e-6
            _balance(model, inputs, free, x, still, forces, moment, work, room[3])
            x[i] = kept
            for j in range(n):
                tangent[j, i] = (up[j] - room[3, j]) / 2e-6
        if not invert(tangent, inverse):
            return 0
        _transpose(inverse)
        _times(inverse, base, change)
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
            return sweep + 1
    return 0


@kernel
def evaluate(model, inputs, free, x, rate, acceleration, work, out):
    """One evaluation of the equations of motion, for checks and linearisation."""
    residual(model, inputs, free, x, rate, acceleration, work, out)


__all__ = [
    "C1",
    "C2",
    "CurvatureModel",
    "GaussState",
    "Workspace",
    "evaluate",
    "first_row",
    "march",
    "new_state",
    "settle",
]
