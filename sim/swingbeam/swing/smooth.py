"""Smooth steps and acceleration steps in closed form: the only building blocks of the line.

The step S(x) = x⁵ (126 − 420 x + 540 x² − 315 x³ + 70 x⁴) on [0, 1] rises from 0 to 1 with four derivatives
that vanish at both ends (the smoothstep polynomial of degree nine; derivative 630 x⁴ (1 − x)⁴), so whatever
is built of it is four times continuously differentiable. Its integrals S₁ = ∫S and S₂ = ∫S₁ give a motion
whose *acceleration* is a smooth step.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

SECOND_INTEGRAL_AT_ONE = 3.0 / 22.0
"""S₂(1)."""
STEP_EXCESS = 1.0 / 88.0
"""S₂(1) − 1/8: after its rise an acceleration step of width w has moved ½ x² + w²/88, x since its centre."""


def smooth_step(x: ArrayLike) -> Array:
    """S(x): 0 for x ≤ 0, 1 for x ≥ 1, four times continuously differentiable. Any shape, no unit."""
    y = np.clip(np.asarray(x, dtype=float), 0.0, 1.0)
    return y**5 * (126.0 + y * (-420.0 + y * (540.0 + y * (-315.0 + 70.0 * y))))


def step_integral(x: ArrayLike) -> Array:
    """S₁(x) = ∫₀ˣ S. Any shape, no unit."""
    x = np.asarray(x, dtype=float)
    y = np.clip(x, 0.0, 1.0)
    inside = y**6 * (21.0 + y * (-60.0 + y * (67.5 + y * (-35.0 + 7.0 * y))))
    return inside + np.maximum(x - 1.0, 0.0)


def step_second_integral(x: ArrayLike) -> Array:
    """S₂(x) = ∫₀ˣ S₁. Any shape, no unit."""
    x = np.asarray(x, dtype=float)
    y = np.clip(x, 0.0, 1.0)
    inside = y**7 * (3.0 + y * (-7.5 + y * (7.5 + y * (-3.5 + 7.0 / 11.0 * y))))
    beyond = np.maximum(x - 1.0, 0.0)
    return inside + 0.5 * beyond + 0.5 * beyond * beyond


def rise(t: ArrayLike, begin: float, end: float) -> Array:
    """A quantity that rises from 0 to 1 between two instants.

    Parameters
    ----------
    t : (n,) s
    begin, end : s

    Returns
    -------
    (3, n): the value, its rate (1/s) and its acceleration (1/s²).
    """
    width = end - begin
    x = np.clip((np.asarray(t, dtype=float) - begin) / width, 0.0, 1.0)
    y = 1.0 - x
    slope = 630.0 * (x * y) ** 4
    curve = 2520.0 * (x * y) ** 3 * (y - x)
    return np.stack([smooth_step(x), slope / width, curve / width**2])


def acceleration_step(t: ArrayLike, centre: float, width: float) -> Array:
    """A motion at rest whose acceleration rises to 1 and stays there.

    Parameters
    ----------
    t : (n,) s
    centre, width : s
        Middle and duration of the rise.

    Returns
    -------
    (3, n): angle (s²), rate (s) and acceleration (-) per unit of acceleration.
    """
    x = (np.asarray(t, dtype=float) - centre) / width + 0.5
    return np.stack([width * width * step_second_integral(x), width * step_integral(x), smooth_step(x)])
