"""Prescribed six-degree-of-freedom motion of the root, smooth enough to differentiate twice and integrate."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import BSpline, make_interp_spline

from .errors import InputError
from .rotations import quaternion_from_rotation, rotation_from_quaternion

Array = NDArray[np.float64]


class MotionState(NamedTuple):
    """The motion at some instants: world frame but for the body rates."""

    position: Array
    """(n, 3) m"""
    rotation: Array
    """(n, 3, 3) body → world"""
    velocity: Array
    """(n, 3) m/s, world"""
    acceleration: Array
    """(n, 3) m/s², world, gravity not included"""
    omega: Array
    """(n, 3) rad/s, body axes"""
    omega_dot: Array
    """(n, 3) rad/s², derivative of the body components"""


def _continuous_signs(quaternion: Array) -> Array:
    """Flip signs so that neighbouring quaternions lie on the same side: q and −q are the same rotation."""
    dots = np.sum(quaternion[1:] * quaternion[:-1], axis=1)
    signs = np.concatenate([[1.0], np.cumprod(np.where(dots < 0.0, -1.0, 1.0))])
    return quaternion * signs[:, None]


@dataclass(frozen=True, eq=False)
class Motion:
    """Pose of the root frame over time: quintic splines through samples, four times continuously differentiable.

    Positions are interpolated by components; rotations by a quintic spline through unit quaternions of
    continuous sign, normalised where it is evaluated (error of order h⁶, no chart singularity, C⁴).
    """

    t: Array
    """(n,) s: the sample times."""
    _pose: BSpline
    """(7,): position, quaternion."""

    @classmethod
    def from_samples(cls, t: ArrayLike, position: ArrayLike, rotation: ArrayLike) -> Motion:
        """Motion through samples.

        Parameters
        ----------
        t : (n,) s, increasing, n ≥ 2
        position : (n, 3) m, world
        rotation : (n, 3, 3) body → world, or (n, 4) unit quaternions, scalar first, of either sign

        Raises
        ------
        InputError
            Wrong shapes, values that are not finite, times that do not increase, matrices that are not rotations,
            a turn of more than a quarter between samples (ambiguous).
        """
        times = np.array(t, dtype=float)
        points = np.array(position, dtype=float)
        turns = np.array(rotation, dtype=float)
        n = times.size
        if times.ndim != 1 or n < 2:
            raise InputError("Motion: at least two sample times are needed")
        if points.shape != (n, 3) or turns.shape not in ((n, 3, 3), (n, 4)):
            raise InputError(
                f"Motion: {n} times need positions ({n}, 3) and rotations ({n}, 3, 3); "
                f"found {points.shape} and {turns.shape}"
            )
        for name, array in (("t", times), ("position", points), ("rotation", turns)):
            if not np.all(np.isfinite(array)):
                raise InputError(f"Motion: {name} holds a value that is not a finite number")
        if np.any(np.diff(times) <= 0.0):
            raise InputError("Motion: the times must increase")
        if turns.ndim == 3:
            error = np.abs(np.swapaxes(turns, -1, -2) @ turns - np.eye(3)).max()
            if error > 1e-6 or np.any(np.linalg.det(turns) < 0.0):
                raise InputError(f"Motion: rotation holds a matrix that is not a rotation (error {error:.1e})")
            quaternion = quaternion_from_rotation(turns)
        else:
            length = np.linalg.norm(turns, axis=1)
            if np.any(np.abs(length - 1.0) > 1e-3):
                raise InputError("Motion: rotation holds a quaternion that is not of unit length")
            quaternion = turns / length[:, None]
        quaternion = _continuous_signs(quaternion)
        if np.any(np.sum(quaternion[1:] * quaternion[:-1], axis=1) < np.cos(np.pi / 4.0)):  # half the angle
            raise InputError("Motion: more than a quarter turn between two samples; sample more often")
        # Fewer than six samples: the one polynomial through all of them, so that no instant has a kink.
        degree = min(5, n - 1)
        return cls(times, make_interp_spline(times, np.hstack([points, quaternion]), k=degree))

    @classmethod
    def still(cls, duration: float, position: ArrayLike = (0.0, 0.0, 0.0), rotation: ArrayLike | None = None) -> Motion:
        """A root that rests for a duration (s)."""
        times = np.linspace(0.0, duration, 7)
        turn = np.eye(3) if rotation is None else np.asarray(rotation, dtype=float)
        return cls.from_samples(times, np.tile(np.asarray(position, float), (7, 1)), np.tile(turn, (7, 1, 1)))

    @property
    def start(self) -> float:
        """First instant, s."""
        return float(self.t[0])

    @property
    def end(self) -> float:
        """Last instant, s."""
        return float(self.t[-1])

    def at(self, t: ArrayLike) -> MotionState:
        """The motion at instants t (n,), s. Instants outside the samples are refused: nothing is extrapolated.

        Raises
        ------
        InputError
            An instant outside the samples.
        """
        times = np.atleast_1d(np.asarray(t, dtype=float))
        slack = 1e-9 * (self.end - self.start)
        if times.size and (times.min() < self.start - slack or times.max() > self.end + slack):
            raise InputError(
                f"Motion: asked for {times.min():.6g} … {times.max():.6g} s, known {self.start:.6g} … {self.end:.6g} s"
            )
        times = np.clip(times, self.start, self.end)
        pose, rate, acceleration = (self._pose(times, nu) for nu in (0, 1, 2))
        q, qd, qdd = (values[:, 3:] for values in (pose, rate, acceleration))
        # With q of any length, 2 q̄ q̇/|q|² has the body rate as its vector part (and the length's rate as scalar).
        norm2 = np.sum(q * q, axis=1, keepdims=True)
        product = _conjugate_product(q, qd)
        omega = 2.0 * product[:, 1:] / norm2
        # derivative of q̄ q̇/|q|²: (q̄ q̈ + q̄̇ q̇)/|q|² − (q̄ q̇) d|q|²/|q|⁴, and q̄̇ q̇ has no vector part.
        rate2 = 2.0 * np.sum(q * qd, axis=1, keepdims=True)
        omega_dot = 2.0 * _conjugate_product(q, qdd)[:, 1:] / norm2 - omega * rate2 / norm2
        return MotionState(
            np.ascontiguousarray(pose[:, :3]),
            rotation_from_quaternion(q),
            np.ascontiguousarray(rate[:, :3]),
            np.ascontiguousarray(acceleration[:, :3]),
            omega,
            omega_dot,
        )

    def pieces(self) -> tuple[Array, Array]:
        """The splines as they are: ends of their pieces (m + 1,), s, and coefficients (m, 6, 7) of the powers 0 … 5
        of the time from a piece's start, for position (m, world) and a quaternion (scalar first, any length)."""
        breaks = np.unique(self._pose.t)
        derivatives = [self._pose(breaks[:-1], nu) / math.factorial(nu) for nu in range(6)]
        return breaks, np.ascontiguousarray(np.stack(derivatives, axis=1))

    def transformed(self, rotation: ArrayLike, translation: ArrayLike = (0.0, 0.0, 0.0)) -> Motion:
        """The whole motion turned about the world's origin, then moved: p → R p + d, R_body → R R_body."""
        turn = np.asarray(rotation, dtype=float)
        state = self.at(self.t)
        return Motion.from_samples(
            self.t, state.position @ turn.T + np.asarray(translation, dtype=float), turn @ state.rotation
        )


def _conjugate_product(a: Array, b: Array) -> Array:
    """Quaternion product ā b, (n, 4), scalar first."""
    a0, a1, a2, a3 = a.T
    b0, b1, b2, b3 = b.T
    return np.stack(
        [
            a0 * b0 + a1 * b1 + a2 * b2 + a3 * b3,
            a0 * b1 - b0 * a1 - (a2 * b3 - a3 * b2),
            a0 * b2 - b0 * a2 - (a3 * b1 - a1 * b3),
            a0 * b3 - b0 * a3 - (a1 * b2 - a2 * b1),
        ],
        axis=1,
    )


def spline_through(t: Array, values: Array) -> Any:
    """A quintic spline (for few samples the one polynomial) through samples of any trailing shape."""
    return make_interp_spline(t, values, k=min(5, t.size - 1))
