"""A root that yields, against closed forms: the torsion pendulum, statics, and axes that do not roll."""

import numpy as np
import pytest

from swingbeam.beam import ElasticRoot, Motion, Profile, TipBody, rigid_body, simulate
from swingbeam.beam.rotations import rotation_from_vector

SOLVERS = ("curvature", "elements")
NO_GRAVITY = (0.0, 0.0, 0.0)
STIFF = Profile([0.0, 1.0], 6e5, 2e5, 0.06, rotary=1e-5)
"""So stiff (first mode near 100 Hz times 50) that it is rigid to some 10⁻⁵ in the motions below."""
HEAD = TipBody(0.2, (0.02, 0.0, 0.0), np.diag([3e-4, 4e-4, 3e-4]))


def still(duration):
    return Motion.still(duration)


@pytest.mark.parametrize("solver", SOLVERS)
@pytest.mark.parametrize("axis", [0, 1, 2])
def test_a_stiff_beam_on_an_elastic_root_is_a_damped_torsion_pendulum(solver, axis):
    """J θ̈ + D θ̇ + K θ = M0 from rest: θ = M0/K (1 − e^{−ζωt}(cos ω_d t + ζω/ω_d sin ω_d t)), any handbook."""
    inertia = rigid_body(STIFF, HEAD).inertia[axis, axis] + 2e-3
    stiffness = inertia * (2 * np.pi * 2.0) ** 2
    damping = 2 * 0.1 * np.sqrt(stiffness * inertia)
    moment = 0.02 * stiffness
    motion = still(0.6)
    couple = np.zeros((motion.t.size, 3))
    couple[:, axis] = moment
    others = np.full(3, np.inf)
    others[axis] = stiffness
    root = ElasticRoot(others, np.eye(3)[axis] * damping, (2e-3, 2e-3, 2e-3), couple=couple)
    run = simulate(STIFF, HEAD, motion, root=root, solver=solver, gravity=NO_GRAVITY, start="straight", step=1e-3)
    omega, zeta = np.sqrt(stiffness / inertia), 0.1
    damped = omega * np.sqrt(1 - zeta**2)
    decay = np.exp(-zeta * omega * run.t)
    expected = 0.02 * (1 - decay * (np.cos(damped * run.t) + zeta * omega / damped * np.sin(damped * run.t)))
    # 0.02 rad: geometric terms are (0.02)²; generalised-α at 1 ms errs by (ωh)²/12 ≈ 10⁻⁵ of it a radian.
    np.testing.assert_allclose(run.root_yield[:, axis], expected, rtol=0, atol=4e-5)
    # What the root gets is the couple less what spring and damper take.
    given = moment - stiffness * run.root_yield[:, axis]
    rest = np.interp(0.3, run.t, given) - np.interp(0.3, run.t, run.root_couple[:, axis])
    rate = np.interp(0.3, run.t, np.gradient(run.root_yield[:, axis], run.t))
    assert rest == pytest.approx(damping * rate, abs=0.02 * moment)


@pytest.mark.parametrize("solver", SOLVERS)
def test_it_starts_in_the_equilibrium_of_beam_and_root_together(solver):
    """A horizontal beam on a hinge spring sags by M g L/K as a whole; nothing moves after."""
    stiffness = 2000.0
    motion = still(0.1)
    root = ElasticRoot((np.inf, stiffness, np.inf), inertia=(1e-3,) * 3)
    run = simulate(STIFF, HEAD, motion, root=root, solver=solver)
    weight = 9.80665 * rigid_body(STIFF, HEAD).first_moment[0]
    # Turning x toward −z is a positive rotation about y. cos θ = 1 to (10⁻³)².
    assert run.root_yield[0, 1] == pytest.approx(weight / stiffness, rel=1e-4)
    np.testing.assert_allclose(run.root_yield, run.root_yield[:1].repeat(run.t.size, 0), rtol=0, atol=1e-9)
    assert run.root_couple[0, 1] == pytest.approx(-weight * np.cos(run.root_yield[0, 1]), rel=1e-4)


def swing_and_roll():
    """Times, swing angle and roll angle that start without rate and acceleration: the equilibrium a run starts
    from is at rest in the root's frame, so a root that begins to roll at once would be another problem."""
    t = np.linspace(0.0, 0.3, 301)
    x = t / 0.3
    smooth = x**3 * (10 - 15 * x + 6 * x**2)
    return t, 1.0 * smooth, 3.0 * smooth, np.zeros_like(t)


@pytest.mark.parametrize("solver", SOLVERS)
def test_axes_that_do_not_roll_see_no_roll(solver):
    """A symmetric beam without polar inertia, swung about a fixed hinge, moves the same in the world whether or
    not its root rolls about the beam's axis by 170 degrees: stiffness and damping live in axes that do not roll.
    What is left is the solver's error in time, which falls with the square of the step or faster."""
    profile = Profile([0.0, 1.0], [75.0, 20.0], [30.0, 10.0], [0.07, 0.04])
    head = TipBody(0.2, (0.03, 0.0, 0.0))
    t, angle, roll, zero = swing_and_roll()
    plain = rotation_from_vector(np.stack([zero, zero, angle], axis=1))
    rolled = plain @ rotation_from_vector(np.stack([roll, zero, zero], axis=1))
    # hinge z, roll x, third = z × x = y
    axes = plain[:, :, [2, 0, 1]]

    def run(turn, step):
        root = ElasticRoot((20.0, np.inf, 40.0), (1.5, 0.0, 2.0), (3e-3, 0.0, 3e-3), axes=axes)
        motion = Motion.from_samples(t, np.zeros((t.size, 3)), turn)
        return simulate(profile, head, motion, root=root, solver=solver, step=step)

    coarse, fine = (
        np.abs(run(plain, step).tip_position_world - run(rolled, step).tip_position_world).max()
        for step in (2e-3, 1e-3)
    )
    assert np.abs(run(plain, 2e-3).root_yield[:, 0]).max() > 0.02
    assert fine < 1e-4
    assert fine < coarse / 3.0 or coarse < 1e-6
