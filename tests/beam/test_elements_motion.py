"""The element solver in motion: invariance, order, energy, hands."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from swingbeam.beam import ElasticRoot, Motion, Profile, SimulationError, TipBody, simulate
from swingbeam.beam.compiled import from_python
from swingbeam.beam.elements import _lay_out, advance, prepare, start
from swingbeam.beam.elements_forces import DISSIPATED, node_forces
from swingbeam.beam.elements_kernels import carry_along
from swingbeam.beam.elements_model import new_state
from swingbeam.beam.elements_pose_kernels import link, move_pose, positions
from swingbeam.beam.history import DISSIPATION, KINETIC_ENERGY, STRETCH_ENERGY, TIP_POSITION
from swingbeam.beam.root import RootPath
from swingbeam.beam.rotations import quaternion_from_rotation, rotation_from_quaternion, rotation_from_vector

node_forces, carry_along, link, move_pose, positions = from_python(node_forces, carry_along, link, move_pose, positions)

GRAVITY = np.array([0.0, 0.0, -9.80665])
TIP = TipBody(0.2, (0.02, -0.018, 0.034), np.diag([3.6e-4, 4.0e-4, 2.6e-4]))
HELD = [np.inf] * 3
ROOT_INERTIA = [3e-3, 1.2e-3, 3e-3]


def _profile(scale=1.0, **more):
    options = {"ea": [1.2e7, 6e6], "ga": [2e6, 2e6], "rotary": 1e-6} | more
    return Profile([0.0, 1.0], scale * np.array([75.0, 20.0]), [32.0, 10.0], [0.07, 0.04], **options)


def _swing(span=0.25, samples=101, turn=2.2):
    """A root on an arc that turns by `turn` (rad) about a tilted axis and rolls by 1.2 rad, from rest."""
    t = np.linspace(0.0, span, samples)
    u = t / span
    smooth = u**4 * (5.0 - 4.0 * u)
    about = np.array([0.0, -np.sin(0.9), np.cos(0.9)])
    hinge = rotation_from_vector(np.outer(turn * smooth, about))
    roll = rotation_from_vector(np.outer(-1.2 * smooth, [1.0, 0.0, 0.0]))
    arm = hinge @ np.array([0.3, 0.0, -0.2])
    return Motion.from_samples(t, arm, hinge @ roll)


def _bent_state(model, seed=2):
    rng = np.random.default_rng(seed)
    state = new_state(model, 0)
    _lay_out(model, state, rotation_from_vector([0.3, -0.2, 0.5]), np.array([0.1, 0.2, 0.3]))
    for i in range(1, model.station.size):
        screw = np.concatenate([1e-4 * rng.normal(size=3), 0.2 * rng.normal(size=3)])
        move_pose(state.q, i, *screw, state.q, state.shift)
    link(state.gap, state.shift, state.gap)
    positions(state.gap, state.x)
    return state


def _forces(model, state):
    node_forces(model, state.q, state.gap, state.v, state.vd, state.force, state.stress, state.totals)
    return state.force.copy()


def test_forces_do_not_change_when_everything_moves_rigidly():
    model = prepare(_profile(), TIP, elements=6)
    state = _bent_state(model)
    before = _forces(model, state)
    for angle in np.linspace(0.0, 4.0 * np.pi, 9):
        turn = rotation_from_vector([0.6 * angle, -0.64 * angle, 0.48 * angle])
        moved = _bent_state(model)
        moved.q[:] = quaternion_from_rotation(turn @ rotation_from_quaternion(moved.q))
        moved.gap[:] = moved.gap @ turn.T
        # round-off: gaps of 0.2 m to a few 1e-17, times EA/h of 7e7 N/m
        np.testing.assert_allclose(_forces(model, moved), before, rtol=0, atol=1e-7)


def test_the_unloaded_shape_carries_no_force_in_any_pose():
    curved = _profile(reference_curvature=[[0.5, 1.0, -2.0], [0.1, 2.0, 0.5]])
    model = prepare(curved, TIP, elements=5)
    state = new_state(model, 0)
    _lay_out(model, state, rotation_from_vector([1.0, 2.0, -0.7]), np.array([1.0, 2.0, 3.0]))
    # round-off as above
    np.testing.assert_allclose(_forces(model, state), 0.0, rtol=0, atol=1e-6)


def test_viscosity_does_not_see_a_rigid_motion():
    rng = np.random.default_rng(4)
    twist = 30.0 * rng.normal(size=6)
    forces = []
    for viscosity in ((0.0, 0.0), (0.01, 0.02)):
        model = prepare(_profile(), TIP, viscosity, elements=6)
        state = _bent_state(model)
        carry_along(state, twist, state.v)
        forces.append(_forces(model, state))
        # rates of 1e-15 times 50 rad/s, squared
        assert state.totals[DISSIPATED] < 1e-20
    np.testing.assert_allclose(forces[1], forces[0], rtol=0, atol=1e-9)
    state.v[3, 4] += 1.0
    _forces(model, state)
    assert state.totals[DISSIPATED] > 0.1


def test_spin_about_the_own_axis_pulls_and_dissipates_nothing():
    t = np.linspace(0.0, 0.1, 41)
    motion = Motion.from_samples(t, np.zeros((41, 3)), rotation_from_vector(np.outer(60.0 * t, [1.0, 0.0, 0.0])))
    body = TipBody(0.2, (0.03, 0.0, 0.0), np.diag([4e-4, 3e-4, 3e-4]))
    run = simulate(_profile(), body, motion, solver="elements", viscosity=(1e-3, 1e-3), gravity=(0.0, 0.0, 0.0))
    # The spline's own rate is steady to about 1e-9 rad/s²-scaled; what is left is that.
    assert np.abs(run.root_force).max() < 1e-9
    assert np.abs(run.rows[:, DISSIPATION]).max() < 1e-9
    np.testing.assert_allclose(run.rows[:, TIP_POSITION], [[1.0, 0.0, 0.0]] * run.t.size, rtol=0, atol=1e-12)


def test_equilibrium_held_still_stays_still():
    motion = Motion.still(0.2, rotation=rotation_from_vector([0.4, 0.7, 0.1]))
    run = simulate(_profile(), TIP, motion, solver="elements")
    # increments are solved to 1e-12 and do not add up
    np.testing.assert_allclose(
        run.rows[:, TIP_POSITION], run.rows[:1, TIP_POSITION] + np.zeros((run.t.size, 3)), rtol=0, atol=1e-10
    )
    # the root carries the weight: mean of a linear mass per length, and the tip body
    weight = (0.055 + 0.2) * 9.80665
    # round-off: positions of 1 m to 1e-16, times EA/h of 2e8 N/m
    np.testing.assert_allclose(np.linalg.norm(run.root_force, axis=1), weight, rtol=0, atol=1e-7)


def test_second_order_in_element_length():
    motion = _swing()
    ends = {
        n: simulate(_profile(), TIP, motion, solver="elements", elements=n).tip_position[-1] for n in (8, 16, 32, 64)
    }
    # Differences of a second-order method fall by 4 each time; 15 % for the terms of higher order.
    first, second, third = (np.linalg.norm(ends[n] - ends[2 * n]) for n in (8, 16, 32))
    assert first / second == pytest.approx(4.0, rel=0.15)
    assert second / third == pytest.approx(4.0, rel=0.15)


def test_second_order_in_the_step():
    motion = _swing()
    # Below the period of the first torsional mode (some 10 ms) by enough for the asymptotic range.
    ends = [
        simulate(_profile(), TIP, motion, solver="elements", elements=8, step=h, viscosity=(5e-4, 5e-4)).tip_position[
            -1
        ]
        for h in (2e-3, 1e-3, 5e-4, 2.5e-4)
    ]
    first, second, third = (np.linalg.norm(a - b) for a, b in itertools.pairwise(ends))
    assert first / second == pytest.approx(4.0, rel=0.3)
    assert second / third == pytest.approx(4.0, rel=0.2)


@pytest.mark.parametrize(("step", "bound"), [(1e-3, 1e-3), (5e-4, 2.5e-4)])
def test_a_free_vibration_keeps_its_energy(step, bound):
    # Released straight under the weight of the tip body, on a beam too light to weigh. The energy of a
    # generalised-α solution is off by second order in the step: the bound falls with its square.
    light = Profile([0.0, 1.0], [75.0, 20.0], [32.0, 10.0], 1e-6, ea=[1.2e7, 6e6], ga=2e6)
    run = simulate(light, TIP, Motion.still(0.4), solver="elements", elements=8, step=step, start="straight")
    arm = run.rows[:, 3:12].reshape(-1, 3, 3) @ TIP.offset
    height = run.rows[:, 2] + arm[:, 2]
    strain = run.bend_energy + run.twist_energy + run.rows[:, STRETCH_ENERGY]
    total = run.rows[:, KINETIC_ENERGY] + strain + TIP.mass * 9.80665 * height
    drift = np.abs(total - total[0]).max()
    assert strain.max() > 0.01
    assert drift < bound * strain.max()


def _couple_axes(motion):
    return np.tile(motion.at(motion.t[:1]).rotation[0], (motion.t.size, 1, 1))


@pytest.mark.parametrize(
    "stiffness", [[20.0, 10.0, 40.0], [2.0, 5.0, 2.0], [20.0, np.inf, 40.0], [20.0, np.inf, np.inf]]
)
def test_the_recorded_couple_of_a_held_run_holds_the_same_beam(stiffness):
    motion = _swing()
    axes = _couple_axes(motion)
    held = simulate(
        _profile(),
        TIP,
        motion,
        root=ElasticRoot(HELD, inertia=ROOT_INERTIA, axes=axes),
        solver="elements",
        viscosity=(2e-4, 2e-4),
    )
    hands = ElasticRoot(stiffness, [1.5, 0.1, 2.0], ROOT_INERTIA, axes, held)
    run = simulate(_profile(), TIP, motion, root=hands, solver="elements", viscosity=(2e-4, 2e-4))
    assert np.abs(run.root_yield).max() < 1e-9
    softer = simulate(_profile(0.8), TIP, motion, root=hands, solver="elements", viscosity=(2e-4, 2e-4))
    assert np.abs(softer.root_yield).max() > 1e-3


def test_stiff_hands_hold():
    motion = _swing()
    axes = _couple_axes(motion)
    held = simulate(_profile(), TIP, motion, root=ElasticRoot(HELD, inertia=ROOT_INERTIA, axes=axes), solver="elements")
    prescribed = simulate(_profile(0.8), TIP, motion, solver="elements")
    away = []
    for k in (1e5, 1e6):
        hands = ElasticRoot([k] * 3, [0.0] * 3, ROOT_INERTIA, axes, held)
        run = simulate(_profile(0.8), TIP, motion, root=hands, solver="elements")
        away.append(np.abs(run.tip_position - prescribed.tip_position).max())
    # a couple of some 10 N·m over K turns the root by 1e-5 rad at 1e6, at an arm of 1 m; and falls with 1/K
    assert away[1] < 1e-4
    assert away[0] / away[1] == pytest.approx(10.0, rel=0.05)


def test_all_axes_held_is_the_prescribed_motion():
    motion = _swing()
    root = ElasticRoot(HELD, inertia=ROOT_INERTIA)
    held = simulate(_profile(), TIP, motion, root=root, solver="elements")
    free = simulate(_profile(), TIP, motion, solver="elements")
    np.testing.assert_array_equal(held.rows[:, :24], free.rows[:, :24])
    assert np.abs(held.root_couple - free.root_couple).max() > 0.1


def test_a_failing_step_leaves_the_state_alone():
    motion = _swing()
    path = RootPath(motion, None, GRAVITY)
    model = prepare(_profile(), TIP, elements=8, gravity=GRAVITY)
    row, rows, couples = np.zeros(50), np.zeros((1, 50)), np.zeros((1, 3))
    state = start(model, path.inputs(np.zeros(1)), "equilibrium", row)
    kept = [a.copy() for a in (state.q, state.x, state.v, state.vd, state.a, state.root)]
    inputs = path.inputs(np.array([1e-3]))
    inputs.position[:] = np.nan
    assert advance(model, state, inputs, 1e-3, rows, couples) == 0
    for array, value in zip((state.q, state.x, state.v, state.vd, state.a, state.root), kept, strict=True):
        np.testing.assert_array_equal(array, value)
    assert advance(model, state, path.inputs(np.array([1e-3])), 1e-3, rows, couples) == 1


def test_a_couple_nothing_balances_is_reported():
    # 50 N·m on a root without stiffness: the weight can balance 2.5 N·m at most.
    motion = Motion.still(0.01)
    root = ElasticRoot([0.0] * 3, couple=np.tile([0.0, 50.0, 0.0], (motion.t.size, 1)))
    with pytest.raises(SimulationError, match=r"no balance|no equilibrium"):
        simulate(_profile(), TIP, motion, root=root, solver="elements")


def test_the_work_at_the_root_is_the_energy_in_the_beam():
    motion = _swing()
    run = simulate(
        _profile(),
        TIP,
        motion,
        solver="elements",
        step=2.5e-4,
        viscosity=(1e-3, 1e-3),
        gravity=(0.0, 0.0, 0.0),
    )
    state = motion.at(run.t)
    velocity = np.einsum("nji,nj->ni", state.rotation, state.velocity)
    power = np.sum(run.root_force * velocity, axis=1) + np.sum(run.root_moment * state.omega, axis=1)
    power = power - run.rows[:, DISSIPATION]
    work = np.concatenate([[0.0], np.cumsum(0.5 * (power[1:] + power[:-1]) * np.diff(run.t))])
    energy = run.rows[:, KINETIC_ENERGY] + run.bend_energy + run.twist_energy + run.rows[:, STRETCH_ENERGY]
    # Trapezoidal work and generalised-α, both of second order in a step of a thousandth of the motion.
    np.testing.assert_allclose(energy - energy[0], work, rtol=0, atol=1e-4 * energy.max())
    assert run.rows[:, DISSIPATION].max() > 1.0
