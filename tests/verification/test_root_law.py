"""The law of a yielding root, read off a run with large yields about all three axes at once."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam import ElasticRoot, Motion, simulate
from swingbeam.beam.history import THETA, THETA_DOT
from swingbeam.beam.rotations import rotation_from_vector
from verification.motions import club_like

STIFFNESS, DAMPING = np.array([6.0, 5.0, 8.0]), np.array([0.05, 0.2, 0.1])


def wobbling() -> tuple[Motion, np.ndarray]:
    """A root that turns smoothly from rest about an oblique axis, and a couple that grows about all its axes."""
    t = np.linspace(0.0, 0.4, 201)
    x = t / 0.4
    grown = x**4 * (35 - 84 * x + 70 * x**2 - 20 * x**3)
    rotation = rotation_from_vector(np.outer(1.5 * grown, [0.6, 0.0, 0.8]))
    return Motion.from_samples(t, np.zeros((t.size, 3)), rotation), np.outer(grown, [1.5, -2.0, 2.5])


def test_the_root_gets_its_couple_less_what_spring_and_damper_take(solver):
    """In the motion's axes, and not in those of the yielded root: exp(θ) · root_couple = couple − K θ − D θ̇.

    The definition of `ElasticRoot`; with yields of a quarter of a radian about several axes at once, taking one
    frame for the other is an error of as much of the couple.
    """
    profile, body = club_like()
    motion, couple = wobbling()
    root = ElasticRoot(STIFFNESS, DAMPING, (3e-3, 1.2e-3, 3e-3), couple=couple)
    run = simulate(profile, body, motion, root=root, solver=solver, step=1e-3)
    theta, rate = run.rows[:, THETA], run.rows[:, THETA_DOT]
    assert (np.abs(theta).max(axis=0) > 0.1).all()
    given = np.array([np.interp(run.t, motion.t, column) for column in couple.T]).T
    expected = given - STIFFNESS * theta - DAMPING * rate
    found = np.einsum("nij,nj->ni", rotation_from_vector(theta), run.root_couple)
    size = np.abs(expected).max()
    # Linear interpolation of the couple between samples of 2 ms: c̈ h²/8 = 1e-4 N·m; Gauss has its balance between
    # the instants, and holds it at them to its own order.
    np.testing.assert_allclose(found, expected, rtol=0, atol=2e-3 * size)
    # In the root's own axes it would not hold by far.
    assert np.abs(run.root_couple - expected).max() > 0.1 * size


@pytest.mark.parametrize("first", [(0.0, 0.0, 0.0), (0.4, -0.7, 1.1)])
def test_hung_from_a_soft_root_it_balances_its_weight(solver, first):
    """At rest the couple about the root is that of the weights, in the world, however far the root has yielded."""
    profile, body = club_like()
    motion = Motion.still(0.02, rotation=rotation_from_vector(np.array([first]))[0])
    run = simulate(profile, body, motion, root=ElasticRoot(STIFFNESS), solver=solver)
    theta = run.rows[0, THETA]
    turn = run.root_rotation[0]
    assert np.linalg.norm(theta) > 0.15
    spring = motion.at(np.zeros(1)).rotation[0] @ (-STIFFNESS * theta)
    np.testing.assert_allclose(turn @ run.root_couple[0], spring, rtol=0, atol=1e-9 * np.abs(spring).max() + 1e-9)
    # Against the weights: that of the shaft (.6 N) hangs on a chord between root and tip to some millimetres.
    x, w = (0.5 * v for v in np.polynomial.legendre.leggauss(12))
    s = 0.5 + x
    tip, slope = run.tip_position_world[0], run.tip_rotation_world[0, :, 0]
    place = np.outer(s * (1 - s) ** 2, turn[:, 0]) + np.outer(s**2 * (3 - 2 * s), tip) + np.outer(s**2 * (s - 1), slope)
    weight = np.array([0.0, 0.0, -9.80665])
    moment = np.cross(body.mass * run.head_position[0], weight)
    moment = moment + np.cross((w * np.interp(s, profile.s, profile.mass)) @ place, weight)
    np.testing.assert_allclose(spring, -moment, rtol=0, atol=2e-3 * np.abs(moment).max())
