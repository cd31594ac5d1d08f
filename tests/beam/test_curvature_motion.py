"""The `curvature` solver in time: order, convergence, power balance, invariance, yielding root, failure."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam import ElasticRoot, Motion, Profile, TipBody, simulate
from swingbeam.beam import curvature as solver
from swingbeam.beam.root import RootPath
from swingbeam.beam.rotations import rotation_from_vector, vector_from_rotation

VISCOSITY = (4e-4, 3e-4)
TIP = TipBody(0.2, [0.02, -0.018, 0.034], np.diag([3.6e-4, 4.0e-4, 2.6e-4]))
DURATION = 0.24
UNROLLED = np.array([0.0, -0.6, 0.8])
"""Normal of the plane in which the root swings."""


def swinging(turn: np.ndarray | None = None) -> Motion:
    """An invented root: an arm and a hinge in an inclined plane, and a roll about the beam."""
    t = np.linspace(0.0, DURATION, 121)
    x = t / DURATION
    ease = x**3 * (10.0 - 15.0 * x + 6.0 * x * x) * 0.3 + 0.7 * x**4
    arm, hinge, roll = -2.9 + 2.95 * ease, -4.5 + 4.45 * ease, 1.6 * (1.0 - ease)
    e1, e2 = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.8, 0.6])
    position = 0.65 * (np.sin(arm)[:, None] * e1 - np.cos(arm)[:, None] * e2)
    axis = np.sin(hinge)[:, None] * e1 - np.cos(hinge)[:, None] * e2
    ahead = np.cos(hinge)[:, None] * e1 + np.sin(hinge)[:, None] * e2
    y = np.cos(roll)[:, None] * ahead + np.sin(roll)[:, None] * UNROLLED
    rotation = np.stack([axis, y, np.cross(axis, y)], axis=2)
    if turn is not None:
        position, rotation = position @ turn.T, turn @ rotation
    return Motion.from_samples(t, position, rotation)


def shaft(stiffness: float = 1.0) -> Profile:
    return Profile(
        [0.0, 1.0],
        stiffness * np.array([75.0, 20.0]),
        stiffness * np.array([32.0, 10.0]),
        [0.07, 0.04],
        rotary=1e-6,
    )


def stepped_shaft() -> Profile:
    """Thirteen steps, as a drawn steel tube has."""
    n = 13
    ends = np.linspace(0.0, 1.0, n + 1)
    s = np.repeat(ends, 2)[1:-1]

    def drops(first: float, last: float) -> np.ndarray:
        return np.repeat(np.linspace(first, last, n), 2)

    return Profile(s, drops(75.0, 25.0), drops(45.0, 14.0), drops(0.12, 0.06), rotary=drops(5e-6, 2e-6))


def kinked_shaft() -> Profile:
    """Thirty measured stations, each off by some 8 %."""
    s = np.linspace(0.0, 1.0, 30)
    r = np.random.default_rng(1)
    ei = (75.0 - 55.0 * s) * (1.0 + 0.08 * r.standard_normal(30))
    gj = (32.0 - 22.0 * s) * (1.0 + 0.08 * r.standard_normal(30))
    return Profile(s, ei, gj, 0.07 - 0.03 * s, rotary=1e-6)


def differences(one, other) -> tuple[float, float]:
    """Largest difference of tip position, m, and of tip rotation, rad, at the instants of the first."""
    every = (other.t.size - 1) // (one.t.size - 1)
    place = np.linalg.norm(one.tip_position - other.tip_position[::every], axis=1).max()
    turn = np.swapaxes(one.tip_rotation_matrix, 1, 2) @ other.tip_rotation_matrix[::every]
    return float(place), float(np.linalg.norm(vector_from_rotation(turn), axis=1).max())


@pytest.fixture(scope="module")
def motion() -> Motion:
    return swinging()


def test_order_four_in_the_step(motion: Motion) -> None:
    runs = [simulate(shaft(), TIP, motion, viscosity=VISCOSITY, step=DURATION / n) for n in (60, 120, 240, 960)]
    errors = [differences(run, runs[-1])[0] for run in runs[:-1]]
    # order four: a factor of 16 a halving; 11 leaves room for the approach to the limit
    assert errors[0] / errors[1] > 11.0
    assert errors[1] / errors[2] > 11.0
    assert errors[1] < 2e-6  # 0.002 mm at 2 ms


@pytest.mark.parametrize("make", [shaft, stepped_shaft, kinked_shaft])
def test_the_default_is_near_the_limit_of_many_functions(motion: Motion, make) -> None:
    fine = simulate(make(), TIP, motion, viscosity=VISCOSITY, functions=(10, 3), step=1e-3)
    place, turn = differences(simulate(make(), TIP, motion, viscosity=VISCOSITY), fine)
    # the goal set for nine unknowns on any profile: 0.15 mm and 0.02°
    assert place < 0.15e-3
    assert turn < np.deg2rad(0.02)


def test_more_functions_are_nearer(motion: Motion) -> None:
    fine = simulate(stepped_shaft(), TIP, motion, viscosity=VISCOSITY, functions=(10, 3))
    errors = [
        differences(simulate(stepped_shaft(), TIP, motion, viscosity=VISCOSITY, functions=f), fine)[0]
        for f in ((2, 1), (4, 1), (7, 2))
    ]
    assert errors[0] > 3.0 * errors[1] > 9.0 * errors[2]


def test_power_balance(motion: Motion) -> None:
    # d(kinetic + strain energy)/dt = power of the root's force and moment, less what viscosity takes.
    run = simulate(shaft(), TIP, motion, viscosity=VISCOSITY, step=DURATION / 960, gravity=np.zeros(3))
    energy = run.kinetic_energy + run.bend_energy + run.twist_energy
    h = run.t[1] - run.t[0]
    slope = (energy[:-4] - 8 * energy[1:-3] + 8 * energy[3:-1] - energy[4:]) / (12 * h)
    velocity = np.einsum("nji,nj->ni", run.root_rotation, run.root_velocity)
    power = np.sum(run.root_force * velocity + run.root_moment * run.root_omega, axis=1) - run.dissipated_power
    # fourth-order differences of an energy that vibrates at some 30 Hz and above, against powers up to 1 kW
    np.testing.assert_allclose(slope, power[2:-2], rtol=0, atol=1e-4 * np.abs(power).max())
    assert run.dissipated_power.max() > 1.0


def test_rates_of_the_rows_are_derivatives_of_the_rows(motion: Motion) -> None:
    run = simulate(shaft(), TIP, motion, viscosity=VISCOSITY, step=DURATION / 960)
    h = run.t[1] - run.t[0]

    def slope(a: np.ndarray) -> np.ndarray:
        return (a[:-4] - 8 * a[1:-3] + 8 * a[3:-1] - a[4:]) / (12 * h)

    # speeds to 40 m/s, accelerations to 3000 m/s²; fourth-order differences at 0.25 ms
    np.testing.assert_allclose(slope(run.tip_position_world), run.tip_velocity[2:-2], rtol=0, atol=1e-5)
    np.testing.assert_allclose(slope(run.tip_velocity), run.rows[2:-2, 18:21], rtol=0, atol=2e-2)
    np.testing.assert_allclose(slope(run.tip_omega), run.rows[2:-2, 21:24], rtol=0, atol=0.5)


def test_a_turned_world_gives_the_same_bend(motion: Motion) -> None:
    turn = rotation_from_vector([0.4, -1.1, 0.7])
    gravity = np.array([0.0, 0.0, -9.80665])
    here = simulate(shaft(), TIP, motion, viscosity=VISCOSITY)
    there = simulate(shaft(), TIP, swinging(turn), viscosity=VISCOSITY, gravity=turn @ gravity)
    np.testing.assert_allclose(there.tip_position, here.tip_position, rtol=0, atol=1e-9)
    np.testing.assert_allclose(there.root_moment, here.root_moment, rtol=0, atol=1e-6)


def test_spin_about_its_own_axis_neither_stretches_nor_warms() -> None:
    t = np.linspace(0.0, 0.1, 101)
    rotation = rotation_from_vector(40.0 * t[:, None] * [1.0, 0.0, 0.0])
    spin = Motion.from_samples(t, np.zeros((101, 3)), rotation)
    ball = TipBody(0.2, [0.02, 0.0, 0.0], np.diag([3e-4, 2e-4, 2e-4]))
    run = simulate(shaft(), ball, spin, viscosity=(1e-2, 1e-2), gravity=np.zeros(3))
    # Definition: no centrifugal force on the axis, and viscosity does not see a rigid rotation.
    np.testing.assert_allclose(run.tip_position, np.tile([1.0, 0.0, 0.0], (run.t.size, 1)), rtol=0, atol=1e-9)
    assert np.abs(run.dissipated_power).max() < 1e-9
    assert np.abs(run.root_force).max() < 1e-6


def test_principal_planes_turn_with_the_spine(motion: Motion) -> None:
    # A beam whose planes are exchanged and turned by a quarter is the same beam.
    s, ei = [0.0, 1.0], np.array([[60.0, 45.0], [20.0, 15.0]])
    one = simulate(Profile(s, ei, 20.0, 0.06), TIP, motion)
    other = simulate(Profile(s, ei[:, ::-1], 20.0, 0.06, spine_angle=np.pi / 2), TIP, motion)
    np.testing.assert_allclose(other.tip_position, one.tip_position, rtol=0, atol=1e-9)
    plain = simulate(Profile(s, ei[:, ::-1], 20.0, 0.06), TIP, motion)
    assert differences(one, plain)[0] > 1e-3


def hands(motion: Motion) -> np.ndarray:
    """Axes (n, 3, 3) that do not turn with the roll: normal of the plane, the beam, their cross product."""
    x = motion.at(motion.t).rotation[:, :, 0]
    normal = np.tile(UNROLLED, (x.shape[0], 1))
    return np.stack([normal, x, np.cross(normal, x)], axis=2)


INERTIA = (3e-3, 1.2e-3, 3e-3)
HELD = (np.inf, np.inf, np.inf)


@pytest.fixture(scope="module")
def held(motion: Motion):
    root = ElasticRoot(HELD, (0, 0, 0), INERTIA, hands(motion))
    return simulate(shaft(), TIP, motion, root=root, viscosity=VISCOSITY)


@pytest.mark.parametrize(
    ("stiffness", "damping"),
    [((20, 10, 40), (1.5, 0.1, 2.0)), ((2, 5, 2), (0.3, 0.07, 0.3)), ((20, np.inf, 40), (1.5, 0, 2))],
)
def test_the_recorded_couple_retraces_the_held_run(motion: Motion, held, stiffness, damping) -> None:
    root = ElasticRoot(stiffness, damping, INERTIA, hands(motion), couple=held)
    run = simulate(shaft(), TIP, motion, root=root, viscosity=VISCOSITY)
    # The record holds the couple at the integrator's own stages, so δ ≡ 0 but for the iteration's tolerance.
    assert np.abs(run.root_yield).max() < 1e-9
    assert np.abs(run.tip_position - held.tip_position).max() < 1e-9


def test_a_stiff_root_is_a_held_root(motion: Motion, held) -> None:
    fixed = simulate(shaft(1.3), TIP, motion, viscosity=VISCOSITY)
    apart = []
    for stiffness in (1e4, 1e6):
        root = ElasticRoot((stiffness,) * 3, (0, 0, 0), INERTIA, hands(motion), couple=held)
        apart.append(differences(simulate(shaft(1.3), TIP, motion, root=root, viscosity=VISCOSITY), fixed)[0])
    # A couple of tens of N·m more turns the root by 1e-5 rad at 1e6 N·m/rad.
    assert apart[1] < 1e-4
    assert apart[1] < 0.02 * apart[0]


def test_a_held_root_is_no_root(motion: Motion, held) -> None:
    plain = simulate(shaft(), TIP, motion, viscosity=VISCOSITY)
    np.testing.assert_array_equal(plain.tip_position, held.tip_position)


def test_power_balance_of_a_yielding_root(motion: Motion, held) -> None:
    # The hands' couple works on the yielded root's rotation; the root's own inertia takes its share.
    root = ElasticRoot((20, 10, 40), (1.5, 0.1, 2.0), INERTIA, hands(motion), couple=held)
    run = simulate(shaft(1.3), TIP, motion, root=root, viscosity=VISCOSITY, step=DURATION / 960, gravity=np.zeros(3))
    path = RootPath(motion, root, np.zeros(3))
    inertia = path.inertia_tensor()
    own = 0.5 * np.einsum("ni,ij,nj->n", run.root_omega, inertia, run.root_omega)
    energy = run.kinetic_energy + own + run.bend_energy + run.twist_energy
    h = run.t[1] - run.t[0]
    slope = (energy[:-4] - 8 * energy[1:-3] + 8 * energy[3:-1] - energy[4:]) / (12 * h)
    velocity = np.einsum("nji,nj->ni", run.root_rotation, run.root_velocity)
    power = np.sum(run.root_force * velocity + run.root_couple * run.root_omega, axis=1) - run.dissipated_power
    np.testing.assert_allclose(slope, power[2:-2], rtol=0, atol=1e-4 * np.abs(power).max())


@pytest.mark.parametrize("functions", [(4, 1), (8, 4)])
def test_functions_without_mass_do_not_stop_the_march(motion: Motion, functions) -> None:
    # Without rotary inertia all but one twist function are massless; without viscosity nothing damps them.
    beam = Profile([0.0, 1.0], 40.0, 15.0, 0.05)
    run = simulate(beam, TIP, motion, functions=functions)
    assert run.halvings == 0
    reference = simulate(beam, TIP, motion, functions=(6, 2), step=1e-3)
    assert differences(run, reference)[0] < 0.1e-3


def test_a_step_that_fails_leaves_the_state_at_its_start(motion: Motion) -> None:
    path = RootPath(motion, None, np.array([0.0, 0.0, -9.80665]))
    model = solver.prepare(shaft(), TIP, VISCOSITY, gravity=path.gravity)
    rows, couples = np.zeros((11, 50)), np.zeros((30, 3))
    state = solver.start(model, path.inputs(np.array([0.0])), "equilibrium", rows[0])
    h = 2e-3
    times = (h * np.arange(10)[:, None] + h * np.array(solver.STAGES)).ravel()
    good = path.inputs(times)
    bad = good._replace(acceleration=good.acceleration.copy())
    bad.acceleration[3 * 6 + 1] = np.nan
    assert solver.advance(model, state, bad, h, rows[1:], couples) == 6
    kept = state.x.copy()
    rest = type(good)(*(a[18:] for a in good))
    assert solver.advance(model, state, rest, h, rows[7:], couples[18:]) == 4
    assert np.all(np.isfinite(kept))
    whole = np.zeros((11, 50))
    again = solver.start(model, path.inputs(np.array([0.0])), "equilibrium", whole[0])
    solver.advance(model, again, good, h, whole[1:], np.zeros((30, 3)))
    np.testing.assert_allclose(rows[:, :47], whole[:, :47], rtol=1e-6, atol=1e-6)


def test_start_straight_and_at_equilibrium() -> None:
    # At rest under gravity nothing moves after an equilibrium start; a straight start swings about it.
    still = Motion.still(0.3, rotation=rotation_from_vector([0.0, 0.0, 0.3]))
    settled = simulate(shaft(), TIP, still, viscosity=VISCOSITY)
    assert np.abs(settled.tip_position - settled.tip_position[0]).max() < 1e-9
    dropped = simulate(shaft(), TIP, still, viscosity=VISCOSITY, start="straight")
    np.testing.assert_allclose(dropped.tip_position[0], [1.0, 0.0, 0.0], rtol=0, atol=1e-15)
    sag = settled.tip_position[0, 2]
    assert dropped.tip_position[:, 2].min() < 1.5 * sag < 0.0
