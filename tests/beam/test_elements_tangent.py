"""The analytic tangent of the elements against central differences of their forces."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam import Profile, TipBody
from swingbeam.beam.compiled import from_python
from swingbeam.beam.elements import _dense, _lay_out, linearise, prepare
from swingbeam.beam.elements_forces import node_forces
from swingbeam.beam.elements_kernels import carry_along, settle
from swingbeam.beam.elements_model import new_state
from swingbeam.beam.elements_pose_kernels import link, move_pose, positions, turn_back
from swingbeam.beam.elements_root_kernels import (
    Y_DDOT,
    Y_DOT,
    Y,
    place_root,
    root_balance,
    root_increments,
    root_rows,
)
from swingbeam.beam.elements_tangent import assemble
from swingbeam.beam.root import StageInputs
from swingbeam.beam.rotations import rotation_from_vector

node_forces, carry_along, link, move_pose, positions, turn_back = from_python(
    node_forces, carry_along, link, move_pose, positions, turn_back
)
place_root, root_balance, root_increments, root_rows, assemble = from_python(
    place_root, root_balance, root_increments, root_rows, assemble
)

W_MASS, W_RATE = 300.0, 40.0
"""Weights of v̇ and v at which inertia, viscosity and elasticity are of like size."""


def _model(viscosity=(1e-2, 2e-2), gravity=(1.0, -2.0, -9.0), elements=3):
    profile = Profile(
        [0.0, 0.35, 0.35, 0.9],
        np.array([[40.0, 30.0], [30.0, 26.0], [22.0, 18.0], [12.0, 11.0]]),
        [20.0, 16.0, 12.0, 8.0],
        [0.07, 0.06, 0.05, 0.04],
        ea=4e4,
        ga=1e4,
        rotary=2e-4,
        spine_angle=0.5,
        reference_curvature=np.array([[0.3, 0.2, -0.4]] * 4),
    )
    tip = TipBody(0.2, (0.02, -0.03, 0.04), np.array([[4e-4, 3e-5, 0.0], [3e-5, 5e-4, -2e-5], [0.0, -2e-5, 3e-4]]))
    inertia = np.array([[3e-3, 2e-4, 0.0], [2e-4, 1e-3, 1e-4], [0.0, 1e-4, 2e-3]])
    return prepare(profile, tip, viscosity, elements=elements, root_inertia=inertia, gravity=gravity)


def _inputs(free: int, rng) -> StageInputs:
    def draw(*shape, size=1.0):
        return size * rng.normal(size=shape)

    return StageInputs(
        np.zeros(1),
        rotation_from_vector(draw(1, 3)),
        draw(1, 3),
        draw(1, 3),
        draw(1, 3, size=20.0),
        draw(1, 3, size=5.0),
        draw(1, 3, size=30.0),
        draw(1, 3, free),
        draw(1, 3, free, size=3.0),
        draw(1, 3, free, size=9.0),
        draw(1, 3, 3, size=20.0),
        draw(1, 3, 3, size=0.5),
        draw(1, 3, size=10.0),
    )


def _random_state(model, free, rng):
    state = new_state(model, free)
    _lay_out(model, state, np.eye(3), np.zeros(3))
    for i in range(1, model.station.size):
        move_pose(state.q, i, *(0.15 * rng.normal(size=6)), state.q, state.shift)
    link(state.gap, state.shift, state.gap)
    positions(state.gap, state.x)
    state.v_new[:] = 4.0 * rng.normal(size=state.v.shape)
    state.vd_new[:] = 30.0 * rng.normal(size=state.v.shape)
    state.move[:] = 0.2 * rng.normal(size=state.v.shape)
    state.hold[Y], state.hold[Y_DOT], state.hold[Y_DDOT] = 0.3 * rng.normal(size=3), rng.normal(size=3), 9.0
    return state


def _moving_residual(model, state, inputs, increment):
    """Residual of all unknowns after an increment of them; the state's trial values are put back."""
    free = inputs.free.shape[2]
    kept = [a.copy() for a in (state.move, state.v_new, state.vd_new, state.hold)]
    for row, weight in ((Y, 1.0), (Y_DOT, W_RATE), (Y_DDOT, W_MASS)):
        state.hold[row, :free] += weight * increment[:free]
    nodes = increment[free:].reshape(-1, 6)
    state.move[1:] += nodes
    state.v_new[1:] += W_RATE * nodes
    state.vd_new[1:] += W_MASS * nodes
    for i in range(1, model.station.size):
        move_pose(state.q, i, *state.move[i], state.q_new, state.shift)
    place_root(model, inputs, 0, state.hold, state.q_new, state.x_new, state.v_new, state.vd_new)
    state.shift[0] = state.x_new[0] - state.x[0]
    link(state.gap, state.shift, state.gap_new)
    node_forces(model, state.q_new, state.gap_new, state.v_new, state.vd_new, state.force, state.stress, state.totals)
    residual = np.zeros(3)
    root_balance(model, inputs, 0, state.hold, state.force, residual)
    out = np.concatenate([residual[:free], state.force[1:].ravel()])
    values = [a.copy() for a in (state.q_new, state.gap_new, state.v_new, state.vd_new, state.hold)]
    for array, value in zip((state.move, state.v_new, state.vd_new, state.hold), kept, strict=True):
        array[:] = value
    return out, values


@pytest.mark.parametrize("free", [0, 1, 2, 3])
def test_tangent_of_a_time_step_is_exact(free):
    rng = np.random.default_rng(17 + free)
    model = _model()
    inputs = _inputs(free, rng)
    state = _random_state(model, free, rng)
    n = free + 6 * (model.station.size - 1)
    _, values = _moving_residual(model, state, inputs, np.zeros(n))
    state.q_new[:], state.gap_new[:], state.v_new[:], state.vd_new[:], state.hold[:] = values
    if free:
        root_increments(inputs, 0, state.hold, W_MASS, W_RATE, state.blocks, state.turns)
    assemble(
        model,
        state.q_new,
        state.gap_new,
        state.v_new,
        state.vd_new,
        state.move,
        state.dead,
        state.stress,
        0.0,
        W_MASS,
        W_RATE,
        1.0,
        free,
        state.turns,
        state.blocks,
        state.band,
    )
    if free:
        root_rows(model, inputs, 0, state.hold, W_RATE, state.turns, state.blocks, state.band)
    step = 1e-5
    numeric = np.empty((n, n))
    for j in range(n):
        plus, minus = (_moving_residual(model, state, inputs, s * step * np.eye(n)[j])[0] for s in (1.0, -1.0))
        numeric[:, j] = (plus - minus) / (2.0 * step)
    # Central differences: step² f'''/6 ≈ 2e-11 of the largest entry of a row, round-off 1e-16/step =
    # 1e-11 of the forces.
    scale = np.abs(numeric).max(axis=1, keepdims=True)
    np.testing.assert_allclose(_dense(state.band) / scale, numeric / scale, rtol=0, atol=1e-7)


def _steady_residual(model, state, twist, dead, increment):
    kept = state.q.copy(), state.x.copy(), state.gap.copy()
    state.shift[0] = 0.0
    for i in range(1, model.station.size):
        move_pose(state.q, i, *increment[6 * (i - 1) : 6 * i], state.q, state.shift)
    link(state.gap, state.shift, state.gap)
    positions(state.gap, state.x)
    carry_along(state, twist[0], state.v)
    carry_along(state, twist[1], state.vd)
    node_forces(model, state.q, state.gap, state.v, state.vd, state.force, state.stress, state.totals)
    out = state.force.copy()
    for i in range(1, model.station.size):
        out[i, :3] -= turn_back(state.q, i, *dead[i, :3])
        out[i, 3:] -= turn_back(state.q, i, *dead[i, 3:])
    state.q[:], state.x[:], state.gap[:] = kept
    return out[1:].ravel()


def test_tangent_of_a_steady_state_is_exact():
    rng = np.random.default_rng(5)
    model = _model(viscosity=(0.0, 0.0))
    state = _random_state(model, 0, rng)
    twist = np.stack([3.0 * rng.normal(size=6), 20.0 * rng.normal(size=6)])
    dead = rng.normal(size=(model.station.size, 6))
    settle(model, state, twist, dead, 0.0, 0, np.array([0.0, 0.0, 1.0]))
    n = 6 * (model.station.size - 1)
    analytic = _dense(state.band)
    numeric = np.empty((n, n))
    step = 1e-5
    for j in range(n):
        plus, minus = (_steady_residual(model, state, twist, dead, s * step * np.eye(n)[j]) for s in (1.0, -1.0))
        numeric[:, j] = (plus - minus) / (2.0 * step)
    scale = np.abs(numeric).max(axis=1, keepdims=True)
    np.testing.assert_allclose(analytic / scale, numeric / scale, rtol=0, atol=1e-7)


def test_small_vibrations_about_steady_spin_are_conservative():
    # A conservative system linearised at an equilibrium: M and K symmetric, G skew (Meirovitch, ch. 3).
    mass, gyroscopic, stiffness = linearise(
        _model(viscosity=(0.0, 0.0), elements=5), (3.0, -5.0, 12.0), (0.4, 0.1, 0.0)
    )
    assert np.abs(gyroscopic).max() > 0.1
    for name, error, whole in (
        ("M", mass - mass.T, mass),
        ("G", gyroscopic + gyroscopic.T, gyroscopic),
        ("K", stiffness - stiffness.T, stiffness),
    ):
        # the equilibrium is solved to 1e-12, forces to the stiffness (1e5) times that
        assert np.abs(error).max() < 1e-9 * np.abs(whole).max(), name
