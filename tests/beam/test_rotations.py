"""Rotations against scipy.linalg.expm and against finite differences."""

import numpy as np
import pytest
from scipy.linalg import expm

from swingbeam.beam import rotations
from swingbeam.beam.compiled import from_python

exp_so3, log_so3, right_jacobian, body_rates, root_kinematics, series, series_slopes = from_python(
    rotations.exp_so3,
    rotations.log_so3,
    rotations.right_jacobian,
    rotations.body_rates,
    rotations.root_kinematics,
    rotations.series,
    rotations.series_slopes,
)

SCALES = [1e-9, 1e-4, 0.05, 0.49, 0.51, 1.0, 3.0]


def vectors(scale, n=20):
    v = np.random.default_rng(3).normal(size=(n, 3))
    return v * (scale / np.linalg.norm(v, axis=1, keepdims=True))


@pytest.mark.parametrize("scale", SCALES)
def test_exponential_is_the_matrix_exponential(scale):
    out = np.empty((3, 3))
    for v in vectors(scale):
        expected = expm(rotations.skew(v))
        exp_so3(v, out)
        np.testing.assert_allclose(out, expected, rtol=0, atol=5e-15)
        np.testing.assert_allclose(rotations.rotation_from_vector(v), expected, rtol=0, atol=5e-15)


@pytest.mark.parametrize("scale", [*SCALES, np.pi - 1e-7])
def test_logarithm_undoes_the_exponential(scale):
    out = np.empty(3)
    for v in vectors(scale):
        matrix = rotations.rotation_from_vector(v)
        log_so3(matrix, out)
        # Near a half turn the axis comes from the largest quaternion part: no loss of digits there either.
        np.testing.assert_allclose(out, v, rtol=0, atol=1e-14)
        np.testing.assert_allclose(rotations.vector_from_rotation(matrix), v, rtol=0, atol=1e-14)


@pytest.mark.parametrize("scale", SCALES)
def test_body_rates_against_finite_differences(scale):
    rng = np.random.default_rng(5)
    for v in vectors(scale, 5):
        rate, accel = rng.normal(size=3), rng.normal(size=3)
        step = 1e-4

        def pose(t, v=v, rate=rate, accel=accel):
            return rotations.rotation_from_vector(v + t * rate + 0.5 * t * t * accel)

        def body_rate(t, pose=pose):
            turn = pose(t - 1e-5).T @ pose(t + 1e-5)
            return rotations.vector_from_rotation(turn) / 2e-5

        omega, omega_dot = np.empty(3), np.empty(3)
        body_rates(v, rate, accel, omega, omega_dot)
        # Central differences of the pose: truncation h² times third derivatives of order one, round-off eps/h.
        np.testing.assert_allclose(omega, body_rate(0.0), rtol=0, atol=1e-9)
        np.testing.assert_allclose(omega_dot, (body_rate(step) - body_rate(-step)) / (2 * step), rtol=0, atol=5e-7)


@pytest.mark.parametrize("scale", SCALES)
def test_right_jacobian_gives_the_body_rate(scale):
    jacobian, omega, rest = np.empty((3, 3)), np.empty(3), np.empty(3)
    rate = np.array([0.3, -1.0, 0.7])
    for v in vectors(scale, 5):
        right_jacobian(v, jacobian)
        body_rates(v, rate, np.zeros(3), omega, rest)
        np.testing.assert_allclose(jacobian @ rate, omega, rtol=0, atol=5e-15)


def test_the_series_meet_the_closed_forms_where_they_hand_over():
    for below, above in ((0.25 - 1e-12, 0.25 + 1e-12),):
        np.testing.assert_allclose(series(below), series(above), rtol=1e-11)
        np.testing.assert_allclose(series_slopes(below), series_slopes(above), rtol=1e-11)


def test_quaternions_of_either_sign_are_one_rotation():
    matrices = rotations.rotation_from_vector(vectors(2.5))
    q = rotations.quaternion_from_rotation(matrices)
    np.testing.assert_allclose(rotations.rotation_from_quaternion(-3.0 * q), matrices, rtol=0, atol=1e-14)


def test_swing_twist_multiplies_back_and_its_bend_has_no_twist():
    matrices = rotations.rotation_from_vector(vectors(1.2))
    bend, angle = rotations.swing_twist(matrices)
    twist = rotations.rotation_from_vector(np.stack([angle, 0 * angle, 0 * angle], axis=-1))
    np.testing.assert_allclose(bend @ twist, matrices, rtol=0, atol=1e-14)
    # A bend turns about an axis perpendicular to x: its rotation vector has no x component.
    np.testing.assert_allclose(rotations.vector_from_rotation(bend)[:, 0], 0.0, atol=1e-14)


def test_root_kinematics_against_finite_differences():
    """R_0 = R_m(t) exp(θ(t)) with everything moving: rates and accelerations in the yielded axes."""
    w0, w1 = np.array([0.4, -1.1, 2.0]), np.array([3.0, 0.2, -1.0])
    c0, c1, c2 = np.array([0.3, -0.2, 0.4]), np.array([1.0, 0.5, -2.0]), np.array([2.0, -1.0, 0.5])

    def motion(t):
        return rotations.rotation_from_vector(w0 * t + w1 * t * t)

    def theta(t):
        return c0 + c1 * t + 0.5 * c2 * t * t

    def rate_of(pose, t, h=1e-4):
        # Fourth-order central difference of the logarithm of the relative rotation.
        near = rotations.vector_from_rotation(pose(t).T @ pose(t + h)) - rotations.vector_from_rotation(
            pose(t).T @ pose(t - h)
        )
        far = rotations.vector_from_rotation(pose(t).T @ pose(t + 2 * h)) - rotations.vector_from_rotation(
            pose(t).T @ pose(t - 2 * h)
        )
        return (8.0 * near - far) / (12.0 * h)

    t, h = 0.3, 1e-3
    omega_m = rate_of(motion, t)
    omega_dot_m = (rate_of(motion, t + h) - rate_of(motion, t - h)) / (2 * h)
    turn, omega, omega_dot = np.empty((3, 3)), np.empty(3), np.empty(3)
    velocity, acceleration = np.empty(3), np.empty(3)
    v, a = np.array([1.0, 2.0, 3.0]), np.array([-4.0, 5.0, 6.0])
    root_kinematics(
        omega_m, omega_dot_m, v, a, theta(t), c1 + c2 * t, c2, turn, omega, omega_dot, velocity, acceleration
    )

    def root(x):
        return motion(x) @ rotations.rotation_from_vector(theta(x))

    expected = (rate_of(root, t + h) - rate_of(root, t - h)) / (2 * h)
    np.testing.assert_allclose(omega, rate_of(root, t), rtol=0, atol=1e-9)
    # Second difference with h = 1 ms of rates whose third derivative is of order 10²: 10⁻⁴ is its truncation.
    np.testing.assert_allclose(omega_dot, expected, rtol=0, atol=1e-4)
    np.testing.assert_allclose(velocity, turn.T @ v, atol=1e-14)
    np.testing.assert_allclose(acceleration, turn.T @ a, atol=1e-14)
