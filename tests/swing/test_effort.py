"""Joint torques over time: set in, rise, hold, fade, and fall with the rate."""

from __future__ import annotations

import math

import numpy as np
import pytest

from swingbeam.beam import InputError
from swingbeam.swing.effort import Effort


def test_onset_rise_hold_fade():
    """Nothing before the onset, half in the middle of the rise (S(½) = ½ by symmetry), all, then what remains."""
    effort = Effort(-80.0, onset=0.1, rise=0.2, hold=0.05, fade=0.1, remains=0.25)
    t = [0.0, 0.1, 0.2, 0.3, 0.35, 0.4, 0.45, 0.9]
    expected = [0.0, 0.0, -40.0, -80.0, -80.0, -80.0 * 0.625, -20.0, -20.0]
    # The polynomial of degree nine has coefficients of some 500: rounding of 1e-13 of 80 N·m.
    np.testing.assert_allclose(effort.torque(t), expected, rtol=0, atol=1e-10)


def test_smooth_at_the_joins():
    """Four times continuously differentiable: across a join the fourth difference has no step."""
    effort = Effort(100.0, onset=0.1, rise=0.2, hold=0.05, fade=0.1)
    for join in (0.1, 0.3, 0.35, 0.45):
        h = 1e-3
        values = effort.torque(join + h * np.arange(-2, 3))
        # S = 126 x⁵ near its ends: over .1 s, 100 · 126 · (2e-2)⁵ · a few.
        assert abs(np.diff(values, 4)[0]) < 100.0 * 126.0 * (2.0 * h / 0.1) ** 5 * 10.0


def test_force_falls_with_the_rate():
    """At the fastest rate, along the torque, nothing is left; half at half; more when pulled back."""
    for size in (60.0, -60.0):
        effort = Effort(size, 0.0, 0.1, fastest=30.0)
        along = math.copysign(1.0, size)
        for part, left in ((1.0, 0.0), (0.5, 0.5), (-0.5, 1.5)):
            given = effort.torque([0.2]) - effort.damping([0.2]) * (along * 30.0 * part)
            np.testing.assert_allclose(given, size * left, rtol=0, atol=1e-12)
    assert Effort(60.0, 0.0, 0.1).damping([0.2])[0] == 0.0


@pytest.mark.parametrize(
    "wrong",
    [{"size": math.nan}, {"rise": 0.0}, {"fade": -0.1}, {"hold": -1.0}, {"fastest": 0.0}, {"onset": math.inf}],
)
def test_refused(wrong):
    with pytest.raises(InputError):
        Effort(**{"size": 1.0, "onset": 0.0, "rise": 0.1, **wrong})
