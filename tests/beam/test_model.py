"""What a beam and its tip body may be, and their mass properties."""

import numpy as np
import pytest

from swingbeam.beam import InputError, Motion, Profile, TipBody, rigid_body, rigid_couple
from swingbeam.beam.rotations import rotation_from_vector


def test_one_column_of_ei_serves_both_planes():
    profile = Profile([0, 1], [3, 2], 1, 0.1)
    np.testing.assert_array_equal(profile.ei, [[3, 3], [2, 2]])
    assert profile.length == 1.0
    assert profile.total_mass == pytest.approx(0.1, rel=1e-15)


@pytest.mark.parametrize(
    ("arguments", "match"),
    [
        (([0.1, 1], 1, 1, 1), "root"),
        (([0, 1, 0.5], 1, 1, 1), "decrease"),
        (([0, 0.5, 0.5, 0.5, 1], 1, 1, 1), "twice"),
        (([0, 1], -1, 1, 1), "ei must be positive"),
        (([0, 1], 1, 0, 1), "gj must be positive"),
        (([0, 1], 1, 1, -1), "mass must not be negative"),
        (([0, 1], 1, np.inf, 1), "gj"),
        (([0, 1], [1, 2, 3], 1, 1), "ei"),
        (([0], 1, 1, 1), "two stations"),
        (([0, 0], 1, 1, 1), "positive length"),
    ],
)
def test_profiles_that_cannot_be_are_refused(arguments, match):
    with pytest.raises(InputError, match=match):
        Profile(*arguments)


@pytest.mark.parametrize(
    ("arguments", "match"),
    [
        ((-0.2, (0, 0, 0)), "mass"),
        ((np.nan, (0, 0, 0)), "mass"),
        ((0.2, (0, 0)), "offset"),
        ((0.2, (0, 0, 0), np.diag([1.0, 1.0, 2.1])), "sum of the other two"),
        ((0.2, (0, 0, 0), np.diag([1.0, 1.0, -0.1])), "negative principal"),
        ((0.2, (0, 0, 0), [[1, 0.5, 0], [0, 1, 0], [0, 0, 1]]), "symmetric"),
    ],
)
def test_tip_bodies_that_cannot_be_are_refused(arguments, match):
    with pytest.raises(InputError, match=match):
        TipBody(*arguments)


def test_mass_properties_of_a_uniform_rod_with_a_point_mass():
    """Rod mL²/3 about its end, point mass M(L + c)² (any handbook)."""
    body = rigid_body(Profile([0, 0.3, 1.2], 1, 1, 0.05), TipBody(0.2, (0.02, 0, 0)))
    assert body.mass == pytest.approx(0.05 * 1.2 + 0.2, rel=1e-14)
    assert body.first_moment[0] == pytest.approx(0.05 * 1.2**2 / 2 + 0.2 * 1.22, rel=1e-14)
    assert body.inertia[1, 1] == pytest.approx(0.05 * 1.2**3 / 3 + 0.2 * 1.22**2, rel=1e-14)
    assert body.inertia[0, 0] == pytest.approx(0.0, abs=1e-16)


def test_rigid_couple_equals_the_rate_of_angular_momentum():
    """The world-frame law dH/dt = moment about the root's instantaneous place, by differences of H."""
    t = np.linspace(0, 0.4, 161)
    place = np.stack([np.sin(5 * t), np.cos(4 * t), t**2], axis=1)
    turn = rotation_from_vector(np.stack([2 * np.sin(3 * t), 3 * t**2, 1.5 * t], axis=1))
    motion = Motion.from_samples(t, place, turn)
    profile, tip = (
        Profile([0, 1], [60, 20], 10, [0.07, 0.04], rotary=2e-6),
        TipBody(0.2, (0.02, -0.02, 0.03), np.diag([3e-4, 4e-4, 2e-4])),
    )
    gravity = np.array([0.0, 0.0, -9.80665])
    probe, h = np.linspace(0.1, 0.3, 9), 1e-5
    force, couple = rigid_couple(profile, tip, motion, probe, gravity)
    body = rigid_body(profile, tip)

    def momentum(times, about):
        s = motion.at(times)
        omega = np.einsum("nij,nj->ni", s.rotation, s.omega)
        arm = s.rotation @ body.first_moment / body.mass
        centre = s.position + arm
        speed = s.velocity + np.cross(omega, arm)
        c = body.first_moment / body.mass
        about_centre = body.inertia - body.mass * (c @ c * np.eye(3) - np.outer(c, c))
        spin = np.einsum("nij,nj->ni", s.rotation, s.omega @ about_centre.T)
        return body.mass * speed, spin + body.mass * np.cross(centre - about, speed), centre

    at = motion.at(probe)
    p1, h1, _ = momentum(probe + h, at.position)
    p0, h0, _ = momentum(probe - h, at.position)
    _, _, centre = momentum(probe, at.position)
    weight = body.mass * gravity
    expected_force = (p1 - p0) / (2 * h) - weight
    expected_couple = (h1 - h0) / (2 * h) - np.cross(centre - at.position, weight)
    # Central differences at 10 µs: round-off of a momentum of order 10 over 20 µs is 10⁻¹⁰, truncation less.
    np.testing.assert_allclose(np.einsum("nij,nj->ni", at.rotation, force), expected_force, rtol=0, atol=1e-7)
    np.testing.assert_allclose(np.einsum("nij,nj->ni", at.rotation, couple), expected_couple, rtol=0, atol=1e-7)
