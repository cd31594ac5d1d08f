"""A severe swing: limits, symmetries, balances, and the two solvers against each other."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import make_interp_spline

from swingbeam.beam import Motion, Profile, TipBody, rigid_couple, simulate
from swingbeam.beam.rotations import quaternion_from_rotation, rotation_from_vector
from verification.beams import FUNCTIONS
from verification.motions import SPAN, club_like, severe_swing, swing_pose

FINE = {"elements": {"elements": 64, "step": 5e-4}, "curvature": {"functions": FUNCTIONS, "step": 1e-3}}
"""Within .02 mm and .002° of either solver's limit on this swing (`test_order.py` shows how they converge)."""


def stiffer(profile: Profile, factor: float) -> Profile:
    return Profile(profile.s, factor * profile.ei, factor * profile.gj, profile.mass, rotary=profile.rotary)


def turn_between(a, b):
    """Angles, deg, between rotations (n, 3, 3)."""
    relative = np.swapaxes(a, 1, 2) @ b
    # From the antisymmetric part: the trace loses half the digits near zero.
    vee = 0.5 * np.stack([relative[:, i, j] - relative[:, j, i] for i, j in ((2, 1), (0, 2), (1, 0))], axis=1)
    return np.degrees(np.arcsin(np.linalg.norm(vee, axis=1)))


def assert_same_reports(a, b, velocity=(0.0, 0.0, 0.0)):
    """What two runs report in axes of the root is the same but for round-off; a's world moves by `velocity`."""
    for name in ("tip_position", "tip_rotation"):
        np.testing.assert_allclose(getattr(a, name), getattr(b, name), rtol=0, atol=1e-9)  # m and rad
    np.testing.assert_allclose(
        np.linalg.norm(a.head_velocity - velocity, axis=1),
        np.linalg.norm(b.head_velocity, axis=1),
        rtol=0,
        atol=2e-8,  # a spline of positions some 20 m from the origin, differentiated
    )
    # Forces are differences of world positions times EA/h = 10¹⁰ N/m in `elements`: 20 m · 10⁻¹⁶ · 10¹⁰ N.
    force, moment = (2e-4, 1e-5) if a.solver == "elements" else (1e-6, 1e-6)
    np.testing.assert_allclose(a.root_force, b.root_force, rtol=0, atol=force)
    np.testing.assert_allclose(a.root_moment, b.root_moment, rtol=0, atol=moment)
    np.testing.assert_allclose(a.root_couple, b.root_couple, rtol=0, atol=moment)
    np.testing.assert_allclose(a.bend_energy, b.bend_energy, rtol=0, atol=2e-8)
    np.testing.assert_allclose(a.twist_energy, b.twist_energy, rtol=0, atol=2e-8)


# -- the two solvers ----------------------------------------------------------------------------------------------
def test_the_solvers_agree_on_a_severe_swing():
    """Two discretisations of one model: .05 mm and .005° apart all the way when both are fine."""
    profile, body = club_like()
    t = np.linspace(0.0, SPAN, 141)
    a, b = (simulate(profile, body, severe_swing(), solver=name, **FINE[name]).at(t) for name in FINE)
    # The sum of what `FINE` leaves of both, and the default stiffness to stretch and shear.
    assert np.linalg.norm(a.tip_position - b.tip_position, axis=1).max() < 5e-5
    assert turn_between(a.tip_rotation_matrix, b.tip_rotation_matrix).max() < 5e-3
    assert np.abs(a.head_velocity - b.head_velocity).max() < 1e-2
    np.testing.assert_allclose(a.root_force, b.root_force, rtol=0, atol=2e-3 * np.abs(a.root_force).max())
    np.testing.assert_allclose(a.root_moment, b.root_moment, rtol=0, atol=2e-3 * np.abs(a.root_moment).max())


def test_the_defaults_agree_on_a_severe_swing():
    """The settings of every day: .3 mm and .05° apart all the way."""
    profile, body = club_like()
    t = np.linspace(0.0, SPAN, 141)
    a, b = (simulate(profile, body, severe_swing(), solver=name).at(t) for name in ("elements", "curvature"))
    assert turn_between(a.tip_rotation_matrix, b.tip_rotation_matrix).max() < 0.05
    assert np.linalg.norm(a.tip_position - b.tip_position, axis=1).max() < 3e-4


def test_the_swing_is_severe():
    """The motion does what the checks need: deflections of 15 cm and more, rotations of 15°, near 40 m/s."""
    profile, body = club_like()
    run = simulate(profile, body, severe_swing())
    assert np.abs(run.tip_position[:, 1:]).max() > 0.15
    assert np.degrees(np.linalg.norm(run.tip_rotation, axis=1)).max() > 15.0
    assert 35.0 < np.linalg.norm(run.head_velocity[-1]) < 45.0


# -- limits -------------------------------------------------------------------------------------------------------
def test_rigid_limit(solver):
    """EI and GJ × 10⁴: the rigid pose and head velocity of the motion, and Euler's force and couple at the root."""
    profile, body = club_like()
    motion = severe_swing()
    run = simulate(stiffer(profile, 1e4), body, motion, solver=solver)
    # 1e-3 m and rad: deflections of .2 m and rotations of .3 rad, 10⁴ times smaller, and some ringing.
    np.testing.assert_allclose(run.tip_position, np.tile([1.0, 0, 0], (run.t.size, 1)), rtol=0, atol=1e-3)
    np.testing.assert_allclose(run.tip_rotation, 0.0, atol=1e-3)
    state = motion.at(run.t)
    arm = np.array([1.0, 0, 0]) + body.offset
    rate = np.cross(state.omega, arm)
    velocity = state.velocity + np.einsum("nij,nj->ni", state.rotation, rate)
    np.testing.assert_allclose(run.head_velocity, velocity, rtol=0, atol=1e-3 * np.abs(velocity).max())
    force, couple = rigid_couple(profile, body, motion, run.t)
    np.testing.assert_allclose(run.root_force, force, rtol=0, atol=5e-3 * np.abs(force).max())
    np.testing.assert_allclose(run.root_couple, couple, rtol=0, atol=5e-3 * np.abs(couple).max())


# -- symmetries ---------------------------------------------------------------------------------------------------
def test_mirrored(solver):
    """Everything reflected in the world's y, and the root's z turned about: the mirror image, to round-off."""
    profile, body = club_like()
    twisted = Profile(
        profile.s,
        np.column_stack([profile.ei[:, 0], 1.2 * profile.ei[:, 1]]),
        profile.gj,
        profile.mass,
        rotary=profile.rotary,
        spine_angle=0.3,
    )
    world, section = np.diag([1.0, -1.0, 1.0]), np.diag([1.0, 1.0, -1.0])
    image = Profile(profile.s, twisted.ei, profile.gj, profile.mass, rotary=profile.rotary, spine_angle=-0.3)
    t = np.linspace(0.0, SPAN, 281)
    position, rotation = swing_pose(t)
    down = np.array([0.3, 0.5, -9.8])
    a = simulate(twisted, body, Motion.from_samples(t, position, rotation), solver=solver, gravity=down)
    b = simulate(
        image,
        TipBody(body.mass, section @ body.offset, section @ body.inertia @ section),
        Motion.from_samples(t, position @ world, world @ rotation @ section),
        solver=solver,
        gravity=world @ down,
    )
    # Vectors reflect with the section axes; axial ones (rotations, moments) with the opposite sign.
    np.testing.assert_allclose(b.tip_position, a.tip_position @ section, rtol=0, atol=1e-9)
    np.testing.assert_allclose(b.tip_rotation, -a.tip_rotation @ section, rtol=0, atol=1e-9)
    np.testing.assert_allclose(b.head_velocity, a.head_velocity @ world, rtol=0, atol=1e-8)
    # Forces: see `assert_same_reports`.
    np.testing.assert_allclose(b.root_force, a.root_force @ section, rtol=0, atol=2e-5)
    np.testing.assert_allclose(b.root_moment, -a.root_moment @ section, rtol=0, atol=1e-6)
    np.testing.assert_allclose(b.bend_energy, a.bend_energy, rtol=0, atol=1e-8)


@pytest.fixture(scope="module")
def plain():
    """One run of each solver on the swing as it is."""
    profile, body = club_like()
    return {name: simulate(profile, body, severe_swing(), solver=name) for name in ("elements", "curvature")}


def test_turned_world(solver, plain):
    """Turning the world (motion and gravity) turns nothing that is reported in the root's axes."""
    profile, body = club_like()
    turn = rotation_from_vector(np.array([[0.7, -1.9, 1.1]]))[0]
    t = np.linspace(0.0, SPAN, 281)
    position, rotation = swing_pose(t)
    motion = Motion.from_samples(t, position @ turn.T, turn @ rotation)
    run = simulate(profile, body, motion, solver=solver, gravity=turn @ [0, 0, -9.80665])
    assert_same_reports(run, plain[solver])
    np.testing.assert_allclose(run.head_velocity, plain[solver].head_velocity @ turn.T, rtol=0, atol=1e-8)


def moved_swing(velocity=(0.0, 0.0, 0.0)):
    """The swing seen from another origin, which may move."""
    t = np.linspace(0.0, SPAN, 281)
    position, rotation = swing_pose(t)
    return Motion.from_samples(t, position + np.array([10.0, -20.0, 5.0]) + t[:, None] * np.array(velocity), rotation)


def test_moved_reference_point(solver, plain):
    """The world's origin elsewhere: nothing that is reported changes."""
    profile, body = club_like()
    run = simulate(profile, body, moved_swing(), solver=solver)
    assert_same_reports(run, plain[solver])
    np.testing.assert_allclose(run.head_velocity, plain[solver].head_velocity, rtol=0, atol=2e-8)


def test_moving_world_with_curvature(plain):
    """The world in uniform motion (Galileo): the same again, since only the root's pose is of the world."""
    profile, body = club_like()
    velocity = (3.0, -2.0, 5.0)
    run = simulate(profile, body, moved_swing(velocity), solver="curvature")
    assert_same_reports(run, plain["curvature"], velocity)


def test_moving_world_with_elements():
    """Node velocities in body axes make the step error depend on the world's velocity, and nothing else does."""
    profile, body = club_like()

    def change(step):
        a, b = (
            simulate(profile, body, moved_swing(v), solver="elements", step=step)
            for v in ((0.0, 0.0, 0.0), (3.0, -2.0, 5.0))
        )
        return np.abs(a.tip_position - b.tip_position).max()

    coarse, fine = change(1e-3), change(5e-4)
    # Less than the method's own error at 1 ms (`test_order.py`: 1e-4 m), and of second order like it.
    assert coarse < 5e-5
    assert np.log2(coarse / fine) == pytest.approx(2.0, abs=0.3)


def test_quaternion_signs_do_not_matter(solver, plain):
    """Samples given as quaternions, every third with its sign turned: the same rotations, the same run."""
    profile, body = club_like()
    t = np.linspace(0.0, SPAN, 281)
    position, rotation = swing_pose(t)
    quaternion = quaternion_from_rotation(rotation)
    quaternion[::3] *= -1.0
    run = simulate(profile, body, Motion.from_samples(t, position, quaternion), solver=solver)
    np.testing.assert_allclose(run.tip_position, plain[solver].tip_position, rtol=0, atol=1e-9)


# -- balances -----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("viscosity", [(0.0, 0.0), (4e-3, 2e-3)])
def test_energy_balance(solver, viscosity):
    """Work of the root and of gravity = change of kinetic and strain energy + what viscosity took."""
    profile, body = club_like()
    mesh = {"elements": {"elements": 24, "step": 2.5e-4}, "curvature": {"functions": (6, 2), "step": 5e-4}}
    run = simulate(profile, body, severe_swing(), solver=solver, viscosity=viscosity, gravity=(0, 0, 0), **mesh[solver])
    velocity = np.einsum("nji,nj->ni", run.root_rotation, run.root_velocity)
    power = np.sum(run.root_force * velocity + run.root_moment * run.root_omega, axis=1)
    supplied = make_interp_spline(run.t, power - run.dissipated_power, k=5).antiderivative()(run.t)
    stored = run.kinetic_energy + run.bend_energy + run.twist_energy + run.stretch_energy
    # Second order in the step for `elements` (and its small numerical damping), fourth for `curvature`.
    size = {"elements": 1e-3, "curvature": 1e-4}[solver]
    np.testing.assert_allclose(stored - stored[0], supplied - supplied[0], rtol=0, atol=size * stored.max())
    if viscosity[0]:
        assert (run.dissipated_power >= 0.0).all()
        assert run.dissipated_power.max() > 1.0


def test_strain_energy_from_its_definition():
    """Bend and twist energy of a static shape: ½ P δ of a linear cantilever, ½ T φ of a twisted one."""
    profile = Profile([0, 1], 40.0, 15.0, 1e-6)
    # A light beam with a body of .1 kg held still: the weight bends it, an offset weight twists it.
    body = TipBody(0.1, [0.0, 0.05, 0.0])
    for solver in ("elements", "curvature"):
        run = simulate(profile, body, Motion.still(0.01), solver=solver, elements=64)
        force = 0.1 * 9.80665
        # Formulas of first order at slopes of .01 rad: 1e-4; 64 elements are 1/4n² = 6e-5 too soft.
        np.testing.assert_allclose(run.bend_energy, 0.5 * force**2 / (3 * 40.0), rtol=3e-4)
        np.testing.assert_allclose(run.twist_energy, 0.5 * (force * 0.05) ** 2 / 15.0, rtol=3e-4)


def test_free_decay_of_a_damped_beam(solver):
    """Started straight under gravity: rings at ω√(1 − ζ²) and decays by ζ = ω·viscosity/2 (Meirovitch, ch. 2).

    Viscosity multiplies stiffness, so every mode has ζ = ω τ/2.
    """
    profile, body = Profile([0, 1], 40.0, 30.0, 1e-4), TipBody(0.2, [0, 0, 0])
    omega = np.sqrt(3 * 40.0 / 0.2)
    tau = 4e-3
    zeta = 0.5 * omega * tau
    g = 0.02  # light enough for small deflections
    run = simulate(
        profile,
        body,
        Motion.still(0.6),
        solver=solver,
        viscosity=(tau, tau),
        gravity=(0, 0, -g),
        start="straight",
        step=1e-3,
    )
    damped = omega * np.sqrt(1 - zeta**2)
    t = run.t
    decay = np.exp(-zeta * omega * t) * (np.cos(damped * t) + zeta / np.sqrt(1 - zeta**2) * np.sin(damped * t))
    expected = -g / omega**2 * (1 - decay)
    # The beam's own .1 g (2e-4 of the frequency) and sixteen elements (1/4n² = 1e-3 of the stiffness).
    np.testing.assert_allclose(run.tip_position[:, 2], expected, rtol=0, atol=1e-2 * g / omega**2)
