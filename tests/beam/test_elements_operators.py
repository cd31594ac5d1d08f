"""Screws, operators of SE(3) and the banded solver against general-purpose linear algebra."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import expm, logm

from swingbeam.beam.banded import factorise, solve
from swingbeam.beam.compiled import from_python
from swingbeam.beam.elements_pose_kernels import (
    inverse_series,
    inverse_series_curve,
    matrix_of,
    move_pose,
    quaternion_of,
    relative_screw,
    screw_operator,
)
from swingbeam.beam.rotations import series, series_slopes, skew

factorise, solve, inverse_series, inverse_series_curve, matrix_of, move_pose, quaternion_of = from_python(
    factorise, solve, inverse_series, inverse_series_curve, matrix_of, move_pose, quaternion_of
)
relative_screw, screw_operator, series, series_slopes = from_python(
    relative_screw, screw_operator, series, series_slopes
)

# Angles on both sides of every change of formula, and near zero.
ANGLES = [0.0, 1e-9, 1e-4, 0.1, 0.126, 0.127, 0.1414, 0.1415, 0.4, 0.999, 1.001, 2.0, 3.0]


def _screw(angle: float, seed: int = 3) -> np.ndarray:
    rng = np.random.default_rng(seed)
    axis = rng.normal(size=3)
    return np.concatenate([rng.normal(size=3), angle * axis / np.linalg.norm(axis)])


def _adjoint(f: np.ndarray) -> np.ndarray:
    return np.block([[skew(f[3:]), skew(f[:3])], [np.zeros((3, 3)), skew(f[3:])]])


def _tangent(f: np.ndarray) -> np.ndarray:
    """T(f) = Σ (−ad)^k/(k+1)!, read off the exponential of [[−ad, I], [0, 0]] (Higham 2008, Functions
    of Matrices, ch. 10)."""
    big = np.zeros((12, 12))
    big[:6, :6], big[:6, 6:] = -_adjoint(f), np.eye(6)
    return expm(big)[:6, 6:]


def _hat(f: np.ndarray) -> np.ndarray:
    out = np.zeros((4, 4))
    out[:3, :3], out[:3, 3] = skew(f[3:]), f[:3]
    return out


@pytest.mark.parametrize("angle", ANGLES)
def test_inverse_operator_is_the_inverse_of_the_exponential_series(angle):
    f = _screw(angle)
    k, slope = inverse_series(angle * angle)
    out = np.empty((6, 6))
    screw_operator(*f, 0.5, k, 0.0, slope, out)
    # 1e-13: expm and the inverse lose two or three digits of 16
    np.testing.assert_allclose(out, np.linalg.inv(_tangent(f)), rtol=0, atol=1e-13)
    screw_operator(*f, -0.5, k, 0.0, slope, out)
    np.testing.assert_allclose(out, np.linalg.inv(_tangent(-f)), rtol=0, atol=1e-13)


@pytest.mark.parametrize("angle", ANGLES)
def test_forward_operator_is_the_exponential_series(angle):
    f = _screw(angle)
    _, b, c = series(angle * angle)
    db, dc = series_slopes(angle * angle)
    out = np.empty((6, 6))
    screw_operator(*f, -b, c, -db, dc, out)
    # 3e-11: the slopes of b and c are cut off after five terms at 0.5 rad
    np.testing.assert_allclose(out, _tangent(f), rtol=0, atol=3e-11)


@pytest.mark.parametrize("t", [1e-6, 0.0199, 0.0201, 0.3, 0.999, 1.001, 4.0, 9.0])
def test_slopes_of_the_inverse_series_are_its_derivatives(t):
    step = min(0.01, 0.25 * t)
    values = np.array([inverse_series(t + d * step) for d in (-2, -1, 1, 2)])
    five_point = np.array([1.0, -8.0, 8.0, -1.0]) / (12.0 * step)
    _, slope = inverse_series(t)
    # Five-point differences: their own error is step⁴ k⁗'/30 < 1e-10 k', and round-off of k = 1/12 and
    # k' over step.
    assert slope == pytest.approx(five_point @ values[:, 0], rel=1e-9, abs=3e-17 / step)
    assert inverse_series_curve(t) == pytest.approx(five_point @ values[:, 1], rel=1e-8, abs=1e-17 / step)


@pytest.mark.parametrize("angle", ANGLES)
def test_moving_a_pose_and_reading_the_screw_back(angle):
    rng = np.random.default_rng(8)
    start = expm(_hat(rng.normal(size=6)))
    f = _screw(angle)
    q, x = np.zeros((2, 4)), np.zeros((2, 3))
    quaternion_of(start[:3, :3], q, 0)
    x[0] = start[:3, 3]
    q[1], x[1] = q[0], x[0]
    shift = np.zeros((2, 3))
    move_pose(q, 1, *f, q, shift)
    x[1] += shift[1]
    turn = np.empty((3, 3))
    matrix_of(q, 1, turn)
    end = start @ expm(_hat(f))
    # round-off of products of numbers of order one
    np.testing.assert_allclose(turn, end[:3, :3], rtol=0, atol=5e-15)
    np.testing.assert_allclose(x[1], end[:3, 3], rtol=0, atol=2e-14)
    np.testing.assert_allclose(relative_screw(q, shift[1:], 0)[:6], f, rtol=0, atol=2e-14)
    if angle > 0.0:
        logarithm = np.real(logm(np.linalg.inv(start) @ end))
        np.testing.assert_allclose(relative_screw(q, shift[1:], 0)[:3], logarithm[:3, 3], rtol=0, atol=1e-7)


@pytest.mark.parametrize("n", [6, 9, 13, 40])
def test_banded_solver_agrees_with_a_dense_one(n):
    rng = np.random.default_rng(n)
    dense = rng.normal(size=(n, n))
    dense[np.abs(np.subtract.outer(np.arange(n), np.arange(n))) > 11] = 0.0
    dense += 12.0 * np.eye(n)
    band = np.zeros((n, 23))
    for i in range(n):
        for j in range(max(0, i - 11), min(n, i + 12)):
            band[i, j - i + 11] = dense[i, j]
    lower, upper, pivot = np.zeros((n, 12)), np.zeros((n, 12)), np.zeros(n)
    assert factorise(band, n, lower, upper, pivot) == 0
    right = np.zeros(n + 24)
    right[12 : 12 + n] = rng.normal(size=n)
    expected = np.linalg.solve(dense, right[12 : 12 + n])
    solve(n, lower, upper, pivot, right)
    # condition number below 1e3
    np.testing.assert_allclose(right[12 : 12 + n], expected, rtol=0, atol=1e-13)


def test_a_lost_pivot_is_counted_and_its_unknown_left_out():
    band = np.zeros((6, 23))
    band[:, 11] = 1.0
    band[1, 10], band[0, 12] = 1.0, 1.0
    lower, upper, pivot = np.zeros((6, 12)), np.zeros((6, 12)), np.zeros(6)
    assert factorise(band, 6, lower, upper, pivot) == 1
    right = np.zeros(30)
    right[12:18] = [2.0, 2.0, 3.0, 0.0, 0.0, 1.0]
    solve(6, lower, upper, pivot, right)
    np.testing.assert_array_equal(right[12:18], [2.0, 0.0, 3.0, 0.0, 0.0, 1.0])
