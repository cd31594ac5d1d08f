"""Motions and bodies the checks drive: invented, smooth, and about as severe as what the package is for."""

from __future__ import annotations

import numpy as np

from swingbeam.beam import Motion, Profile, TipBody

SPAN = 0.28
"""s, from rest to the fastest instant of `severe_swing`"""


def club_like() -> tuple[Profile, TipBody]:
    """An invented tapered beam of 1 m with a body of 200 g whose CG lies off the axis in all three directions."""
    s = np.linspace(0.0, 1.0, 11)
    profile = Profile(s, 75.0 - 55.0 * s, 32.0 - 22.0 * s, 0.072 - 0.022 * s, rotary=2.2e-6 - 1.4e-6 * s)
    inertia = np.array([[4.4e-4, 0.3e-4, -0.2e-4], [0.3e-4, 2.9e-4, 0.5e-4], [-0.2e-4, 0.5e-4, 3.1e-4]])
    return profile, TipBody(0.2, [0.020, -0.018, 0.034], inertia)


def _smooth(x: np.ndarray) -> np.ndarray:
    return x * x * (3.0 - 2.0 * x)


def swing_pose(t: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Pose of a root that swings on an arm in a tilted plane and rolls by 95° as it comes: (n, 3) m, (n, 3, 3).

    Arm of .65 m about a fixed hub; arm rate 10.5 and beam rate 30 rad/s at the end, so that a point 1 m out
    passes at 37 m/s; rates and accelerations start at zero.
    """
    tilt, x = np.radians(50.0), np.asarray(t) / SPAN
    along, up = np.array([1.0, 0, 0]), np.array([0.0, np.cos(tilt), np.sin(tilt)])
    normal = np.cross(along, up)

    # Integrals from the end of ẋ = S(x) and ẋ = .3 S(x) + .7 S(x²): both angles are zero at the end.
    def grown(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        first = x**3 - 0.5 * x**4
        return first, 0.3 * first + 0.7 * (0.6 * x**5 - 2.0 / 7.0 * x**7)

    end = grown(np.array(1.0))
    arm, beam = (rate * SPAN * (g - e) for rate, g, e in zip((10.5, 30.0), grown(x), end, strict=True))
    roll = np.radians(95.0) * (1.0 - x**3)
    position = 0.65 * (np.sin(arm)[:, None] * along - np.cos(arm)[:, None] * up)
    axis = np.sin(beam)[:, None] * along - np.cos(beam)[:, None] * up
    across = np.cos(beam)[:, None] * along + np.sin(beam)[:, None] * up
    y = np.cos(roll)[:, None] * across + np.sin(roll)[:, None] * normal
    return position, np.stack([axis, y, np.cross(axis, y)], axis=2)


def severe_swing(samples: int = 281) -> Motion:
    """`swing_pose` as a motion."""
    t = np.linspace(0.0, SPAN, samples)
    return Motion.from_samples(t, *swing_pose(t))


def turning(t: np.ndarray, angle: np.ndarray, axis: int, root: np.ndarray | None = None) -> Motion:
    """A root that turns by angle(t) about a fixed axis of the world (0, 1, 2) through the origin.

    root: (3,) m, where the root is when the angle is zero (None: on the axis).
    """
    c, s = np.cos(angle), np.sin(angle)
    one, zero = np.ones_like(angle), np.zeros_like(angle)
    rows = {
        0: [[one, zero, zero], [zero, c, -s], [zero, s, c]],
        1: [[c, zero, s], [zero, one, zero], [-s, zero, c]],
        2: [[c, -s, zero], [s, c, zero], [zero, zero, one]],
    }[axis]
    rotation = np.moveaxis(np.array(rows), 2, 0)
    place = np.zeros(3) if root is None else np.asarray(root, dtype=float)
    return Motion.from_samples(t, rotation @ place, rotation)
