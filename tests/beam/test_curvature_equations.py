"""Kinematics and forces of the `curvature` solver: an integrated rod, differences, the power balance."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from numpy.polynomial.legendre import Legendre
from scipy.integrate import solve_ivp

from swingbeam.beam.compiled import from_python
from swingbeam.beam.curvature import _model, _still_inputs, prepare
from swingbeam.beam.curvature_layout import ACCELERATION, ALPHA, IN_COUPLE, IN_FREE, OMEGA, new_workspace
from swingbeam.beam.curvature_mass_kernels import (
    factor_symmetric,
    invert,
    mass_matrix,
    multiply,
    solve_symmetric,
)
from swingbeam.beam.curvature_rest_kernels import evaluate
from swingbeam.beam.curvature_tables import piecewise_rule, tables
from swingbeam.beam.model import Profile, TipBody
from swingbeam.beam.rotations import skew

factor_symmetric, invert, mass_matrix, multiply, solve_symmetric = from_python(
    factor_symmetric, invert, mass_matrix, multiply, solve_symmetric
)

FUNCTIONS = (3, 2)
COUNT = 8
SPINE = 0.4


def make(points: int, *, rest: bool = True, root_inertia: bool = False):
    s = np.array([0.0, 1.0])
    profile = Profile(
        s,
        np.column_stack([70.0 - 40.0 * s, 60.0 - 40.0 * s]),
        30.0 - 20.0 * s,
        0.08 - 0.03 * s,
        rotary=2e-5,
        spine_angle=SPINE,
        reference_curvature=np.tile([0.2, -0.3, 0.25], (2, 1)) if rest else None,
    )
    tip = TipBody(0.2, [0.02, -0.02, 0.03], [[4e-4, 5e-5, 0], [5e-5, 3e-4, 0], [0, 0, 5e-4]])
    inertia = np.array([[1e-3, 1e-4, 0], [1e-4, 3e-3, 0], [0, 0, 3e-3]]) if root_inertia else None
    return prepare(profile, tip, (0.0, 0.0), functions=FUNCTIONS, points=points, root_inertia=inertia)


def curvature(q: np.ndarray, s: float) -> np.ndarray:
    """κ(s) written out by hand for the profile above."""
    x = 2.0 * s - 1.0
    out = []
    for a, b, coefficients in ((30.0, 20.0, q[:2]), (60.0, 40.0, q[2:5]), (70.0, 40.0, q[5:])):
        compliance = math.log(a / (a - b)) / b
        moment = sum(c * float(Legendre.basis(k)(x)) for k, c in enumerate(coefficients))
        out.append(moment / ((a - b * s) * compliance))
    c, sn = math.cos(SPINE), math.sin(SPINE)
    twist, y, z = out
    return np.array([twist, c * y - sn * z, sn * y + c * z]) + np.array([0.2, -0.3, 0.25])


def integrated_tip(q: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Tip pose from R' = R κ^, x' = R e₁ by an adaptive eighth-order method."""

    def slope(s: float, state: np.ndarray) -> np.ndarray:
        turn = state[:9].reshape(3, 3)
        return np.concatenate([(turn @ skew(curvature(q, s))).ravel(), turn[:, 0]])

    start = np.concatenate([np.eye(3).ravel(), np.zeros(3)])
    end = solve_ivp(slope, (0.0, 1.0), start, method="DOP853", rtol=1e-12, atol=1e-13).y[:, -1]
    return end[9:], end[:9].reshape(3, 3)


class Chain:
    """One evaluation of the equations of motion with the root at rest."""

    def __init__(self, model, x, rate=None, acceleration=None, inputs=None, free=0) -> None:
        n = COUNT + free
        rate = np.zeros(n) if rate is None else rate
        acceleration = np.zeros(n) if acceleration is None else acceleration
        inputs = _still_inputs(np.zeros(3), np.zeros(3)) if inputs is None else inputs
        self.work = new_workspace(model.length.size)
        self.residual = np.zeros(n)
        evaluate(model, inputs, free, x.copy(), rate.copy(), acceleration.copy(), self.work, self.residual)

    def tip(self) -> tuple[np.ndarray, np.ndarray]:
        place, turn = np.zeros(3), np.eye(3)
        for row in self.work.chain:
            place = place + turn @ row[9:12]
            turn = turn @ row[:9].reshape(3, 3)
        return place, turn


@pytest.fixture(scope="module")
def state() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    r = np.random.default_rng(7)
    return 0.3 * r.standard_normal(COUNT), 2.0 * r.standard_normal(COUNT), 40.0 * r.standard_normal(COUNT)


def test_pose_converges_to_the_integrated_rod_with_order_four(state) -> None:
    place, turn = integrated_tip(state[0])
    errors = []
    for points in (6, 12, 24):
        tip, rotation = Chain(make(points), state[0]).tip()
        errors.append((np.linalg.norm(tip - place), np.linalg.norm(rotation - turn)))
    # the Magnus expansion is of order four: halving the intervals divides the error by about 16
    for coarse, fine in itertools.pairwise(errors):
        assert coarse[0] / fine[0] > 10.0
        assert coarse[1] / fine[1] > 10.0
    assert errors[-1][0] < 1e-6
    # six intervals already: a tenth of a millimetre on a rod bent and twisted by half a radian and more
    assert errors[0][0] < 1e-4


def test_rates_and_accelerations_are_the_derivatives_of_the_pose(state) -> None:
    q, rate, acceleration = state
    model = make(6)

    def tip(t: float) -> tuple[np.ndarray, np.ndarray]:
        return Chain(model, q + rate * t + 0.5 * acceleration * t * t).tip()

    d = 1e-3
    places = [tip(k * d) for k in (-2, -1, 0, 1, 2)]
    x = np.array([p for p, _ in places])
    now = Chain(model, q, rate, acceleration)
    row = now.work.chain[-1]
    turn = places[2][1]
    second = (-x[0] + 16 * x[1] - 30 * x[2] + 16 * x[3] - x[4]) / (12 * d * d)
    # fourth-order differences: h⁴ times sixth derivatives, and rounding eps/h² = 1e-10
    np.testing.assert_allclose(turn @ row[ACCELERATION : ACCELERATION + 3], second, rtol=1e-6, atol=1e-6)
    turns = np.array([r for _, r in places])
    slope = (turns[0] - 8 * turns[1] + 8 * turns[3] - turns[4]) / (12 * d)
    spin = turn.T @ slope
    omega = np.array([spin[2, 1], spin[0, 2], spin[1, 0]])
    np.testing.assert_allclose(row[OMEGA : OMEGA + 3], omega, rtol=0, atol=1e-7)
    before, after = (
        Chain(model, q + rate * t + 0.5 * acceleration * t * t, rate + acceleration * t, acceleration) for t in (-d, d)
    )
    alpha = (after.work.chain[-1, OMEGA : OMEGA + 3] - before.work.chain[-1, OMEGA : OMEGA + 3]) / (2 * d)
    # second-order difference: d²/6 times the third derivative of ω, some 1e3
    np.testing.assert_allclose(row[ALPHA : ALPHA + 3], alpha, rtol=0, atol=1e-2)


def unit_mass(model, inputs, free, x) -> np.ndarray:
    n = COUNT + free
    zero = Chain(model, x, inputs=inputs, free=free).residual
    return np.array([Chain(model, x, None, e, inputs, free).residual - zero for e in np.eye(n)]).T


def free_inputs(omega: np.ndarray) -> np.ndarray:
    """Packed inputs with three free root axes, N = identity."""
    held = _still_inputs(np.array([1.0, -2.0, 9.0]), omega)
    held[IN_COUPLE : IN_COUPLE + 3] = [0.3, -0.2, 0.5]
    assert held.size == IN_FREE
    return np.concatenate([held, np.eye(3).ravel(), np.zeros(18)])


@pytest.mark.parametrize("free", [0, 3])
def test_mass_matrix_is_the_derivative_with_respect_to_accelerations(state, free: int) -> None:
    model = make(6, root_inertia=True)
    omega = np.array([3.0, -2.0, 5.0])
    inputs = free_inputs(omega) if free else _still_inputs(np.zeros(3), omega)
    x = np.concatenate([[0.2, -0.1, 0.15][:free], state[0]])
    chain = Chain(model, x, inputs=inputs, free=free)
    n = COUNT + free
    mass = np.zeros((n, n))
    mass_matrix(
        model, inputs, free, chain.work.root, chain.work.chain, np.zeros((6, 6)), np.zeros((n, 6)),
        np.zeros((n, 6)), mass,
    )  # fmt: skip
    expected = unit_mass(model, inputs, free, x)
    # differences of residuals of order 100
    np.testing.assert_allclose(mass, expected, rtol=0, atol=1e-12 * 100)
    assert np.linalg.eigvalsh(mass).min() > 0.0


def test_power_of_the_inertial_forces_is_the_rate_of_kinetic_energy(state) -> None:
    # Virtual work: with the root at rest, q̇ · (r − K q) = d/dt ½ q̇ᵀ M q̇, exactly for the discrete rod.
    q, rate, acceleration = state
    model = make(5)
    inputs = _still_inputs(np.zeros(3), np.zeros(3))

    def kinetic(t: float) -> float:
        v = rate + acceleration * t
        return 0.5 * float(v @ unit_mass(model, inputs, 0, q + rate * t + 0.5 * acceleration * t * t) @ v)

    d = 2e-3
    slope = (kinetic(-2 * d) - 8 * kinetic(-d) + 8 * kinetic(d) - kinetic(2 * d)) / (12 * d)
    power = float(rate @ (Chain(model, q, rate, acceleration).residual - model.stiffness @ q))
    # fourth-order difference: its error falls to 1e-8 of the power at this step
    assert power == pytest.approx(slope, rel=1e-6)


def test_the_rod_made_of_pieces_is_the_same_rod(state) -> None:
    # Two ways to cut the axis and to place the mass converge to the same mass matrix.
    model = make(24)
    profile = Profile(
        [0.0, 1.0],
        np.column_stack([[70.0, 30.0], [60.0, 20.0]]),
        [30.0, 10.0],
        [0.08, 0.05],
        rotary=2e-5,
        spine_angle=SPINE,
        reference_curvature=np.tile([0.2, -0.3, 0.25], (2, 1)),
    )
    rule, _ = piecewise_rule(profile, 40)
    other = _model(tables(profile, rule, FUNCTIONS), (0.0, 0.0), model.tip, np.zeros((3, 3)), np.zeros(3))
    inputs = _still_inputs(np.zeros(3), np.zeros(3))
    a, b = unit_mass(model, inputs, 0, state[0]), unit_mass(other, inputs, 0, state[0])
    # the coarser of the two has intervals of 1/24: 4e-7 of the pose
    np.testing.assert_allclose(a, b, rtol=0, atol=3e-6)


def test_dense_algebra() -> None:
    r = np.random.default_rng(3)
    a = r.standard_normal((7, 7))
    inverse = np.zeros((7, 7))
    assert invert(a.copy(), inverse)
    np.testing.assert_allclose(inverse @ a, np.eye(7), rtol=0, atol=1e-12)
    out = np.zeros(7)
    multiply(a, np.arange(7.0), out)
    np.testing.assert_allclose(out, a @ np.arange(7.0), rtol=0, atol=1e-13)
    assert not invert(np.zeros((3, 3)), np.zeros((3, 3)))
    assert not invert(np.full((3, 3), np.nan), np.zeros((3, 3)))
    b = a @ a.T + np.eye(7) + 1j * (a.T @ a)
    right = r.standard_normal(7) + 1j * r.standard_normal(7)
    factors, solution = b.copy(), right.copy()
    assert factor_symmetric(factors)
    solve_symmetric(factors, solution)
    np.testing.assert_allclose(b @ solution, right, rtol=0, atol=1e-11)
