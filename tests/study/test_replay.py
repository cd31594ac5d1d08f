"""The shape of a shaft between the ends of a run, and what of the downswing is kept."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from swingbeam.beam import Profile
from swingbeam.beam.statics import static_shape
from swingbeam.study.replay import AXIS_POINTS, shape_between
from swingbeam.study.store_looks import quaternions

LENGTH = 1.05


def tapered() -> Profile:
    """A shaft four times as stiff at its root as at its tip, massless beside what loads it."""
    s = np.linspace(0.0, LENGTH, 43)
    ei = 80.0 - 60.0 * s / LENGTH
    return Profile(s=s, ei=ei, gj=0.5 * ei, mass=np.full_like(s, 1e-6))


def ends(profile, **loads):
    """A beam under loads, and its ends as a run has them."""
    shape = static_shape(profile, **loads)
    rows = SimpleNamespace(tip_rotation_matrix=shape.rotation[-1:], tip_position=shape.position[-1:])
    return shape, rows


@pytest.mark.parametrize(
    ("force", "tolerance"),
    [
        # Linear theory leaves a share of the square of the slope out: of a deflection of 1 cm at 1 m some 2e-4, 2 µm.
        ([0.0, 0.9, 0.4], 5e-6),
        # Of 15 cm some 5 %, and most of that is common to the whole shape, which is tied to both ends: below 1 mm.
        ([0.0, -14.0, 5.0], 1e-3),
    ],
)
def test_between_its_ends_a_shaft_has_the_shape_of_its_stiffness(force, tolerance):
    profile = tapered()
    shape, rows = ends(profile, tip_force=force, tip_moment=[0.0, 0.3 * force[2], 0.3 * force[1]])
    found = shape_between(rows, profile)[0]
    at = np.linspace(0.0, LENGTH, AXIS_POINTS)
    expected = np.stack([np.interp(at, profile.s, shape.position[:, k]) for k in range(3)], axis=1)
    # Interpolating linearly between stations 25 mm apart leaves h²/8 of the curvature, 4 µm at 0.05/m.
    np.testing.assert_allclose(found, expected, rtol=0.0, atol=tolerance + 1e-4 * np.abs(force).max() / 14.0)


def test_the_ends_are_the_runs_own():
    profile = tapered()
    shape, rows = ends(profile, tip_force=[3.0, -14.0, 5.0])
    found = shape_between(rows, profile)[0]
    np.testing.assert_allclose(found[0], 0.0, atol=1e-15)
    np.testing.assert_allclose(found[-1], shape.position[-1], rtol=0.0, atol=1e-12)  # rounding of a 2 × 2 solution


def test_a_straight_shaft_stays_straight():
    profile = tapered()
    rows = SimpleNamespace(tip_rotation_matrix=np.eye(3)[None], tip_position=np.array([[LENGTH, 0.0, 0.0]]))
    found = shape_between(rows, profile)[0]
    np.testing.assert_allclose(found[:, 0], np.linspace(0.0, LENGTH, AXIS_POINTS), rtol=0.0, atol=1e-12)
    np.testing.assert_allclose(found[:, 1:], 0.0, atol=1e-15)


def test_quaternions_do_not_jump_in_sign():
    turn = np.linspace(0.0, 4.0 * np.pi, 200)
    c, s, zero, one = np.cos(turn), np.sin(turn), np.zeros_like(turn), np.ones_like(turn)
    rotations = np.stack([c, -s, zero, s, c, zero, zero, zero, one], axis=1).reshape(-1, 3, 3)
    found = quaternions(rotations)
    assert np.abs(np.diff(found, axis=0)).max() < 0.05  # steps of 0.063 rad turn a quaternion by half of that
    expected = np.stack([np.cos(turn / 2), zero, zero, np.sin(turn / 2)], axis=1)
    np.testing.assert_allclose(found, expected * np.sign(found[0, 0]), rtol=0.0, atol=1e-12)
