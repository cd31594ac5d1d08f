"""The driven root: smoothness, rates, signs of quaternions and refusals."""

import numpy as np
import pytest

from swingbeam.beam import ElasticRoot, InputError, Motion
from swingbeam.beam.rotations import quaternion_from_rotation, rotation_from_vector


def sampled(n):
    t = np.linspace(0.0, 0.6, n)
    position = np.stack([np.sin(4 * t), np.cos(3 * t), t**2], axis=1)
    vector = np.stack([1.5 * np.sin(3 * t), 2.0 * t**2, np.cos(2 * t) - 1.0], axis=1)
    return t, position, rotation_from_vector(vector)


def test_interpolation_error_falls_with_the_sixth_power():
    probe = np.linspace(0.2, 0.4, 57)
    exact = rotation_from_vector(np.stack([1.5 * np.sin(3 * probe), 2.0 * probe**2, np.cos(2 * probe) - 1.0], axis=1))
    errors = [np.abs(Motion.from_samples(*sampled(n)).at(probe).rotation - exact).max() for n in (31, 61)]
    order = np.log2(errors[0] / errors[1])
    # Six from the theory of spline interpolation (de Boor, A Practical Guide to Splines, ch. XII).
    assert 5.5 < order < 6.5


def test_rates_are_the_derivatives_of_the_pose():
    motion = Motion.from_samples(*sampled(61))
    t, h = np.linspace(0.1, 0.5, 23), 1e-5
    state, before, after = motion.at(t), motion.at(t - h), motion.at(t + h)
    turn = np.swapaxes(before.rotation, 1, 2) @ after.rotation
    # vee of the antisymmetric part: the sine of the angle over 2h, an error of order (ωh)².
    vee = 0.5 * np.stack(
        [turn[:, 2, 1] - turn[:, 1, 2], turn[:, 0, 2] - turn[:, 2, 0], turn[:, 1, 0] - turn[:, 0, 1]], axis=1
    )
    np.testing.assert_allclose(vee / (2 * h), state.omega, rtol=0, atol=1e-8)
    np.testing.assert_allclose((after.omega - before.omega) / (2 * h), state.omega_dot, rtol=0, atol=1e-7)
    np.testing.assert_allclose((after.position - before.position) / (2 * h), state.velocity, rtol=0, atol=1e-8)
    np.testing.assert_allclose((after.velocity - before.velocity) / (2 * h), state.acceleration, rtol=0, atol=1e-7)


def test_the_fourth_derivative_has_no_jump_at_a_sample():
    motion = Motion.from_samples(*sampled(31))
    t = motion.t[12]
    # A quintic spline is C⁴: the second derivative of the acceleration has one limit from both sides.
    h = 2e-4

    def second(around, side):
        x = around + side * h * np.arange(1, 4)
        a = motion.at(np.sort(x)).acceleration
        return (a[0] - 2 * a[1] + a[2]) / h**2

    scale = np.abs(second(t, 1.0)).max()
    jump = np.abs(second(t, 1.0) - second(t, -1.0)).max()
    # Both are taken 2h off the sample; the fifth derivative (order 10³ here) times 4h is 1 of some 10².
    assert jump < 0.05 * scale


def test_sign_flips_of_quaternions_change_nothing():
    t, position, rotation = sampled(41)
    q = quaternion_from_rotation(rotation)
    flipped = q * np.random.default_rng(1).choice([-1.0, 1.0], size=(41, 1))
    probe = np.linspace(0.0, 0.6, 101)
    a, b = Motion.from_samples(t, position, q).at(probe), Motion.from_samples(t, position, flipped).at(probe)
    np.testing.assert_allclose(a.rotation, b.rotation, atol=1e-13)
    np.testing.assert_allclose(a.omega, b.omega, atol=1e-10)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda t, p, r: (t[::-1], p, r),
        lambda t, p, r: (t, p[:-1], r),
        lambda t, p, r: (t, p * np.nan, r),
        lambda t, p, r: (t, p, 1.01 * r),
        lambda t, p, r: (t, p, -r),
        lambda t, p, r: (t[:1], p[:1], r[:1]),
    ],
    ids=["times fall", "too few positions", "nan", "stretched", "reflected", "one sample"],
)
def test_motions_that_cannot_be_are_refused(spoil):
    with pytest.raises(InputError, match=r"Motion:"):
        Motion.from_samples(*spoil(*sampled(20)))


def test_more_than_a_quarter_turn_between_samples_is_refused():
    t = np.linspace(0, 1, 9)
    turn = rotation_from_vector(np.stack([0 * t, 0 * t, 20 * t], axis=1))
    with pytest.raises(InputError, match="quarter turn"):
        Motion.from_samples(t, np.zeros((9, 3)), turn)


@pytest.mark.parametrize(("degrees", "fits"), [(80.0, True), (100.0, False)])
def test_up_to_a_quarter_turn_between_samples_is_taken(degrees, fits):
    turn = rotation_from_vector(np.radians([[0.0, 0.0, 0.0], [0.0, 0.0, degrees]]))
    if not fits:
        with pytest.raises(InputError, match="quarter turn"):
            Motion.from_samples([0.0, 1.0], np.zeros((2, 3)), turn)
        return
    motion = Motion.from_samples([0.0, 1.0], np.zeros((2, 3)), turn)
    # By symmetry the middle is half way; two samples leave round-off only.
    half = rotation_from_vector(np.radians([[0.0, 0.0, degrees / 2.0]]))
    np.testing.assert_allclose(motion.at(0.5).rotation, half, rtol=0, atol=1e-14)


@pytest.mark.parametrize("n", [2, 3, 4, 5, 6])
def test_few_samples_are_met_by_one_polynomial(n):
    # n samples fix a polynomial of degree n − 1; unevenly spaced on purpose, as a spline of lower degree kinks there.
    t = np.linspace(0.0, 1.0, n) ** 1.3
    path = np.polynomial.Polynomial(np.arange(1.0, n + 1.0))
    position = np.stack([path(t), 0 * t, -path(t)], axis=1)
    motion = Motion.from_samples(t, position, np.tile(np.eye(3), (n, 1, 1)))
    probe = np.linspace(0.0, 1.0, 23)
    # Round-off of a second derivative of values of order 10 on intervals of a fifth.
    np.testing.assert_allclose(motion.at(probe).acceleration[:, 0], path.deriv(2)(probe), rtol=0, atol=1e-9)
    np.testing.assert_allclose(motion.at(probe).position[:, 2], -path(probe), rtol=0, atol=1e-12)


def test_nothing_is_extrapolated():
    with pytest.raises(InputError, match="known"):
        Motion.from_samples(*sampled(20)).at(0.7)


@pytest.mark.parametrize(
    ("keywords", "match"),
    [
        ({"stiffness": (1, 2)}, "three values"),
        ({"stiffness": (1, 2, -3)}, "not negative"),
        ({"stiffness": (1, 2, np.nan)}, "not negative"),
        ({"stiffness": (1, 2, 3), "damping": (np.inf, 0, 0)}, "finite"),
        ({"stiffness": (1, 2, 3), "axes": np.ones((4, 3, 3))}, "perpendicular"),
        ({"stiffness": (1, 2, 3), "couple": np.zeros(3)}, "couple"),
    ],
)
def test_roots_that_cannot_be_are_refused(keywords, match):
    with pytest.raises(InputError, match=match):
        ElasticRoot(**keywords)
