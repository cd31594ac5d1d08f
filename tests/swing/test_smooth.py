"""Smooth steps and acceleration steps."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.polynomial import Polynomial

from swingbeam.swing.smooth import (
    SECOND_INTEGRAL_AT_ONE,
    STEP_EXCESS,
    acceleration_step,
    rise,
    smooth_step,
    step_integral,
    step_second_integral,
)

STEP = Polynomial([0, 0, 0, 0, 0, 126, -420, 540, -315, 70])
X = np.linspace(0.0, 1.0, 41)
# Polynomials of degree eleven with coefficients of some hundreds: round-off of some 1e-13.
ROUND_OFF = 1e-12


def test_the_step_is_flat_to_the_fourth_derivative_at_both_ends():
    assert float(STEP(0.0)) == 0.0
    assert float(STEP(1.0)) == pytest.approx(1.0, abs=ROUND_OFF)
    for order in range(1, 5):
        ends = STEP.deriv(order)(np.array([0.0, 1.0]))
        # The fourth derivative's coefficients reach 1e6: round-off of some 1e-10.
        np.testing.assert_allclose(ends, 0.0, atol=1e-8)


def test_step_and_integrals_are_those_of_the_polynomial():
    np.testing.assert_allclose(smooth_step(X), STEP(X), rtol=0, atol=ROUND_OFF)
    np.testing.assert_allclose(step_integral(X), STEP.integ(1)(X), rtol=0, atol=ROUND_OFF)
    np.testing.assert_allclose(step_second_integral(X), STEP.integ(2)(X), rtol=0, atol=ROUND_OFF)
    assert float(STEP.integ(2)(1.0)) == pytest.approx(SECOND_INTEGRAL_AT_ONE, abs=ROUND_OFF)
    assert pytest.approx(float(STEP.integ(2)(1.0)) - 0.125, abs=ROUND_OFF) == STEP_EXCESS


def test_beyond_its_rise_the_step_stays_and_its_integrals_run_on():
    x = np.array([-0.5, 1.0, 1.5, 3.0])
    np.testing.assert_allclose(smooth_step(x), [0, 1, 1, 1], atol=ROUND_OFF)
    np.testing.assert_allclose(step_integral(x), [0, 0.5, 1.0, 2.5], atol=ROUND_OFF)
    expected = SECOND_INTEGRAL_AT_ONE + np.array([0.0, 0.5 * 0.5 + 0.125, 0.5 * 2.0 + 2.0])
    np.testing.assert_allclose(step_second_integral(x)[1:], expected, atol=ROUND_OFF)


@pytest.mark.parametrize("law", [lambda t: rise(t, -0.2, 0.5), lambda t: acceleration_step(t, 0.1, 0.4)])
def test_rates_and_accelerations_are_the_derivatives(law):
    t, h = np.linspace(-0.4, 0.9, 131), 1e-4
    before, here, after = law(t - h), law(t), law(t + h)
    # Central differences: error h²/6 times the third derivative, at most about 60/(0.4)³ here: 1e-5.
    np.testing.assert_allclose((after[0] - before[0]) / (2 * h), here[1], rtol=0, atol=2e-5)
    np.testing.assert_allclose((after[1] - before[1]) / (2 * h), here[2], rtol=0, atol=2e-5)
