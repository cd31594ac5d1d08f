"""What must not change: rest, an unloaded shape however it is turned, a bend in the world while the beam rolls."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam import ElasticRoot, Motion, Profile, TipBody, simulate
from swingbeam.beam.rotations import rotation_from_vector
from verification.beams import uniform
from verification.motions import club_like

NO_GRAVITY = (0.0, 0.0, 0.0)
OBLIQUE = np.array([2.0, -1.0, 2.0]) / 3.0
"""An axis of the world along none of the beam's own."""


def stepped(x: np.ndarray) -> np.ndarray:
    """0 to 1 with rates, accelerations and their rates zero at both ends, where a run starts from rest."""
    return x**4 * (35 - 84 * x + 70 * x**2 - 20 * x**3)


def turned(t: np.ndarray, angle: np.ndarray, axis: np.ndarray, first: np.ndarray) -> Motion:
    """A root at the origin that turns by angle(t) about an axis of the world, from the rotation `first`."""
    return Motion.from_samples(t, np.zeros((t.size, 3)), rotation_from_vector(np.outer(angle, axis)) @ first)


@pytest.mark.parametrize("hands", ["held", "yielding"])
def test_a_second_of_holding_still_is_still(solver, hands):
    """From equilibrium under gravity nothing moves, with a body off the axis and a root that may yield."""
    profile, body = club_like()
    root = ElasticRoot([20.0, 10.0, 40.0], [1.5, 0.1, 2.0], [3e-3, 1.2e-3, 3e-3]) if hands == "yielding" else None
    motion = Motion.still(1.0, rotation=rotation_from_vector(np.array([[0.4, 0.7, 0.1]]))[0])
    run = simulate(profile, body, motion, root=root, solver=solver)
    # Weight bends it by centimetres, and turns a hand of 20 N·m/rad by a tenth of a radian.
    assert np.linalg.norm(run.tip_position[0, 1:]) > 5e-3
    if root is not None:
        assert np.abs(run.root_yield[0]).max() > 0.05
    # Round-off of forces of 10⁶ N · strain over stiffness in each step, and nothing for it to grow by.
    np.testing.assert_allclose(run.tip_position_world - run.tip_position_world[0], 0.0, atol=1e-9)
    np.testing.assert_allclose(run.root_yield - run.root_yield[0], 0.0, atol=1e-9)
    np.testing.assert_allclose(run.head_velocity, 0.0, atol=1e-7)
    np.testing.assert_allclose(run.dissipated_power, 0.0, atol=1e-9)


def test_an_unloaded_beam_turns_through_720_degrees_as_it_is(solver):
    """Two whole turns about an oblique axis: a beam that weighs nothing keeps its unloaded, curved, twisted shape.

    Rotation vectors come round twice on the way; a solver that counted them from the start would jump there.
    """
    s = np.linspace(0.0, 1.0, 11)
    # Weightless for this purpose: m L⁴ α/8 EI of its own inertia is 1e-13 m.
    profile = Profile(s, 40.0, 15.0, 1e-12, reference_curvature=np.tile([0.3, 0.5, -0.4], (11, 1)))
    t = np.linspace(0.0, 1.0, 401)
    first = rotation_from_vector(np.array([[0.4, 0.7, 0.1]]))[0]
    motion = turned(t, 4 * np.pi * stepped(t), OBLIQUE, first)
    run = simulate(profile, None, motion, solver=solver, gravity=NO_GRAVITY, step=5e-3)
    assert np.linalg.norm(run.tip_position[0] - [1.0, 0, 0]) > 0.2
    np.testing.assert_allclose(run.tip_position - run.tip_position[0], 0.0, atol=1e-9)
    np.testing.assert_allclose(run.tip_rotation - run.tip_rotation[0], 0.0, atol=1e-9)
    # Home again after two turns, to the last bits.
    np.testing.assert_allclose(run.tip_rotation_world[-1], run.tip_rotation_world[0], rtol=0, atol=1e-9)
    # Forces: places of 1 m to 1e-16, times the stiffness to stretch of an element, 10¹⁰ N/m.
    np.testing.assert_allclose(run.root_force, 0.0, atol=2e-5)
    for given in (run.root_moment, run.bend_energy, run.twist_energy):
        np.testing.assert_allclose(given, 0.0, atol=1e-6)


def test_what_damping_makes_of_an_unloaded_turning_beam_is_of_second_order():
    """With viscosity `elements` see the turning by their step error only; `curvature` does not see it at all."""

    def strayed(solver: str, step: float) -> float:
        t = np.linspace(0.0, 1.0, 401)
        motion = turned(t, 4 * np.pi * stepped(t), OBLIQUE, np.eye(3))
        profile = uniform(1.0, 40.0, 15.0, 1e-12)
        run = simulate(profile, None, motion, solver=solver, gravity=NO_GRAVITY, viscosity=(0.01, 0.01), step=step)
        return float(np.abs(run.tip_position - [1.0, 0, 0]).max())

    coarse, fine = strayed("elements", 5e-3), strayed("elements", 2.5e-3)
    # 30 rad/s at 5 ms: the method's (Ωh)³/12 a step is 3e-4, and viscosity forgets it within .01 s.
    assert coarse < 5e-4
    assert np.log2(coarse / fine) == pytest.approx(2.0, abs=0.2)
    assert strayed("curvature", 5e-3) < 1e-9


def test_damping_sees_no_rigid_rotation(solver):
    """Steady tumbling about an oblique axis: bent by centimetres, turning at 10 rad/s, and nothing is dissipated.

    Viscosity is on the rate of strain in the section's own axes, which a rigid rotation leaves at zero.
    """
    profile, body = club_like()
    t = np.linspace(0.0, 0.2, 401)
    motion = turned(t, 10.0 * t, OBLIQUE, np.eye(3))
    damped, plain = (
        simulate(profile, body, motion, solver=solver, gravity=NO_GRAVITY, viscosity=v) for v in ((0.02, 0.02), (0, 0))
    )
    assert np.linalg.norm(damped.tip_position[0, 1:]) > 0.01
    # A strain rate of the size of bend times Ω would take 2 ms · bend energy · Ω² = watts.
    assert np.abs(damped.dissipated_power).max() < 1e-9
    np.testing.assert_allclose(damped.tip_position, plain.tip_position, rtol=0, atol=1e-8)
    np.testing.assert_allclose(damped.root_moment, plain.root_moment, rtol=0, atol=1e-6)


@pytest.mark.parametrize("turns", [1, -2])
def test_a_symmetric_beam_that_rolls_keeps_its_bend_in_the_world(solver, turns):
    """Level, under gravity, rolled slowly about its own axis: it hangs down in the world all the while.

    Without rotary inertia, viscosity or a body off the axis no force knows of the roll, so the bend in the world
    is that of the beam at rest, at any rate of rolling; in the root's axes it goes round.
    """
    profile, body = uniform(1.0, 40.0, 15.0, 0.06), TipBody(0.2, [0.03, 0.0, 0.0])
    t = np.linspace(0.0, 4.0, 801)
    angle = 2 * np.pi * turns * stepped(t / 4.0)
    run = simulate(profile, body, turned(t, angle, np.array([1.0, 0, 0]), np.eye(3)), solver=solver, step=1e-3)
    sag = run.tip_position_world[0]
    assert sag[2] < -0.01
    # 1 µm: Ω up to 7 rad/s at steps of 1 ms, second order in `elements`, (Ωh)² = 5e-5 of a sag of 2 cm.
    np.testing.assert_allclose(run.tip_position_world, np.tile(sag, (run.t.size, 1)), rtol=0, atol=1e-6)
    # In the root's axes the same sag has gone round; y, z at angle a are sag·(sin a, cos a).
    seen = sag[2] * np.stack([np.sin(np.interp(run.t, t, angle)), np.cos(np.interp(run.t, t, angle))], axis=1)
    # Interpolating the angle linearly: α h²/8 = 1e-4 rad.
    np.testing.assert_allclose(run.tip_position[:, 1:], seen, rtol=0, atol=1e-5)
    # The hand carries the weight and gives no couple about the axis it rolls on.
    np.testing.assert_allclose(run.root_moment[:, 0], 0.0, atol=1e-5)
