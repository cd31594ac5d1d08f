"""Matrices of the `curvature` solver's Newton iteration over the two stages of a step.

The simplified one takes mass, damping and stiffness as the same at both stages and has the strains' own elasticity
only: one complex system of a single stage's size (Hairer & Wanner, Solving Ordinary Differential Equations II,
§IV.8). The true one, for what is too severe for it, is found by differences.
"""

from __future__ import annotations

from .compiled import piece
from .curvature_gauss_state import (
    A11,
    A12,
    A21,
    A22,
    AA11,
    AA12,
    AA21,
    AA22,
    AGE,
    C1,
    C2,
    EIGENVALUE,
    KNOWN,
    MIX,
    UNWEIGHED,
)
from .curvature_kernels import residual
from .curvature_layout import IN_DAMPING, IN_FREE, IN_STIFFNESS
from .curvature_mass_kernels import factor_symmetric, invert, mass_matrix, solve_symmetric


@piece
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


@piece
def mass_at(model, inputs, free, state, x, rate, acceleration):
    """The mass matrix at the configuration evaluated last, which is x, ẋ, ẍ."""
    work = state.work
    if model.links.shape[0] > 0:
        room = state.trial[3]
        mass_columns(model, inputs, free, x, rate, acceleration, work, room, state.trial[7], state.node_mass)
    else:
        mass_matrix(model, inputs, free, work.root, work.chain, state.rates, state.own, state.jacobian, state.node_mass)


@piece
def simplified_matrix(model, state, inputs, free, h):
    """Factors of M + h λ C + h² λ² K: mass of the step's middle from those before, constant damping and stiffness."""
    n = state.x.shape[0]
    if state.memory[UNWEIGHED] == 1:
        residual(model, inputs, free, state.x, state.rate, state.acceleration, state.work, state.trial[6])
        mass_at(model, inputs, free, state, state.x, state.rate, state.acceleration)
        state.memory[UNWEIGHED] = 0
    matrix = state.simplified
    mass = state.node_mass
    before = state.mass_before
    onward = 0.5 if state.memory[KNOWN] >= 1 and state.step[1] == h else 0.0
    twists = model.twist.shape[1]
    first = h * EIGENVALUE
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
def simplified_change(state):
    """Change of both stages' accelerations from their residuals by one complex solution."""
    n = state.x.shape[0]
    mixed = state.mixed
    forces = state.forces
    for i in range(n):
        mixed[i] = complex(0.5 * forces[i], forces[n + i] * (0.5 / MIX))
    solve_symmetric(state.simplified, mixed)
    for i in range(n):
        state.change[i] = 2.0 * mixed[i].real
        state.change[n + i] = 2.0 * MIX * mixed[i].imag


@piece
def _true_matrices(model, inputs, free, x, rate, acceleration, work, base, column, mass, damping, stiffness):
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


@piece
def stage_unknowns(state, h):
    """trial 0, 1 = x, ẋ of the first stage, 2, 3 of the second, from the accelerations in 4 and 5."""
    x = state.x
    rate = state.rate
    trial = state.trial
    hh = h * h
    for i in range(x.shape[0]):
        k1 = trial[4, i]
        k2 = trial[5, i]
        v = rate[i]
        trial[0, i] = x[i] + C1 * h * v + hh * (AA11 * k1 + AA12 * k2)
        trial[1, i] = v + h * (A11 * k1 + A12 * k2)
        trial[2, i] = x[i] + C2 * h * v + hh * (AA21 * k1 + AA22 * k2)
        trial[3, i] = v + h * (A21 * k1 + A22 * k2)


@piece
def true_inverse(model, state, free, first, second, h):
    """The inverse of the true Newton matrix at the stages in `trial`."""
    n = state.x.shape[0]
    trial = state.trial
    stage_unknowns(state, h)
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
            newton[i, j] = m + A11 * c + AA11 * k
            newton[i, n + j] = A12 * c + AA12 * k
            m = state.mass[1, i, j]
            c = h * state.damping[1, i, j]
            k = hh * state.stiffness[1, i, j]
            newton[n + i, j] = A21 * c + AA21 * k
            newton[n + i, n + j] = m + A22 * c + AA22 * k
    state.memory[AGE] = 0
    state.step[0] = h
    return invert(newton, state.inverse)
