"""What a run gives: poses, rates, forces and energies at the solver's instants, and between them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import InputError
from .model import TipBody
from .motion import MotionState, spline_through
from .root import RootPath
from .rotations import rotation_from_vector, skew, vector_from_rotation

Array = NDArray[np.float64]

ROW_LENGTH = 50
"""Numbers a solver writes per instant; the slices below name them."""
TIP_POSITION = slice(0, 3)
TIP_ROTATION = slice(3, 12)
TIP_VELOCITY = slice(12, 15)
TIP_OMEGA = slice(15, 18)
TIP_ACCELERATION = slice(18, 21)
TIP_OMEGA_DOT = slice(21, 24)
THETA = slice(24, 27)
THETA_DOT = slice(27, 30)
THETA_DDOT = slice(30, 33)
ROOT_FORCE = slice(33, 36)
ROOT_MOMENT = slice(36, 39)
ROOT_COUPLE = slice(39, 42)
BEND_ENERGY, TWIST_ENERGY, KINETIC_ENERGY, DISSIPATION, STRETCH_ENERGY, PASSES = range(42, 48)
_SMOOTH = slice(33, 47)


@dataclass(frozen=True, eq=False)
class History:
    """A run: arrays over its n instants, and `.at(t)` between them.

    Frames: *world*, or the *yielded root frame* (origin at the root, axes of the root as it has yielded).
    """

    t: Array
    """(n,) s"""
    rows: Array
    """(n, ROW_LENGTH): what the solver wrote."""
    path: RootPath
    tip: TipBody
    solver: str
    step: float
    """s, the solver's step."""
    stage_times: Array
    """(m,) s: the integrator's own instants of balance."""
    stage_couple: Array
    """(m, 3) N·m at those instants, motion body axes, the root's own inertia included."""
    source: History | None = None
    """The run this one was evaluated from, when it is not a run itself."""
    halvings: int = 0
    """How many steps had to be halved."""

    # -- the root ---------------------------------------------------------------------------------------------
    @cached_property
    def _motion(self) -> MotionState:
        return self.path.motion.at(self.t)

    @cached_property
    def root_position(self) -> Array:
        """(n, 3) m, world."""
        return self._motion.position

    @cached_property
    def motion_rotation(self) -> Array:
        """(n, 3, 3) body → world: the motion before yielding."""
        return self._motion.rotation

    @cached_property
    def root_rotation(self) -> Array:
        """(n, 3, 3) body → world, as yielded."""
        return self.motion_rotation @ rotation_from_vector(self.rows[:, THETA])

    @cached_property
    def root_velocity(self) -> Array:
        """(n, 3) m/s, world."""
        return self._motion.velocity

    @cached_property
    def root_omega(self) -> Array:
        """(n, 3) rad/s, angular velocity of the yielded root in its own axes."""
        theta, rate = self.rows[:, THETA], self.rows[:, THETA_DOT]
        turn = rotation_from_vector(theta)
        own = np.einsum("nij,nj->ni", _right_jacobian(theta), rate)
        return np.einsum("nji,nj->ni", turn, self._motion.omega) + own

    @cached_property
    def root_yield(self) -> Array:
        """(n, 3) rad: δ, the rotation vector by which the root has left its motion, in the root's `axes`."""
        return self.path.yield_in_axes(self.t, self.rows[:, THETA])

    @property
    def root_force(self) -> Array:
        """(n, 3) N on the beam, yielded root frame."""
        return self.rows[:, ROOT_FORCE]

    @property
    def root_moment(self) -> Array:
        """(n, 3) N·m on the beam about the root, yielded root frame."""
        return self.rows[:, ROOT_MOMENT]

    @property
    def root_couple(self) -> Array:
        """(n, 3) N·m given to the root, its own inertia included, yielded root frame."""
        return self.rows[:, ROOT_COUPLE]

    # -- the tip ----------------------------------------------------------------------------------------------
    @property
    def tip_position_world(self) -> Array:
        """(n, 3) m, world."""
        return self.rows[:, TIP_POSITION]

    @cached_property
    def tip_rotation_world(self) -> Array:
        """(n, 3, 3) tip section → world."""
        return self.rows[:, TIP_ROTATION].reshape(-1, 3, 3)

    @property
    def tip_velocity(self) -> Array:
        """(n, 3) m/s, world, of the tip of the axis."""
        return self.rows[:, TIP_VELOCITY]

    @property
    def tip_omega(self) -> Array:
        """(n, 3) rad/s, tip section axes."""
        return self.rows[:, TIP_OMEGA]

    @cached_property
    def tip_position(self) -> Array:
        """(n, 3) m, yielded root frame, from the root."""
        return np.einsum("nji,nj->ni", self.root_rotation, self.tip_position_world - self.root_position)

    @cached_property
    def tip_rotation_matrix(self) -> Array:
        """(n, 3, 3) tip section → yielded root frame."""
        return np.swapaxes(self.root_rotation, 1, 2) @ self.tip_rotation_world

    @cached_property
    def tip_rotation(self) -> Array:
        """(n, 3) rad: rotation vector of the tip section in the yielded root frame."""
        return vector_from_rotation(self.tip_rotation_matrix)

    @cached_property
    def head_velocity(self) -> Array:
        """(n, 3) m/s, world, of the tip body's centre of gravity."""
        return self.point_velocity(self.tip.offset)

    @cached_property
    def head_position(self) -> Array:
        """(n, 3) m, world, of the tip body's centre of gravity."""
        return self.point_position(self.tip.offset)

    def point_position(self, point: ArrayLike) -> Array:
        """(n, 3) m, world, of a point (3,) m fixed in the tip section frame."""
        return self.tip_position_world + self.tip_rotation_world @ np.asarray(point, dtype=float)

    def point_velocity(self, point: ArrayLike) -> Array:
        """(n, 3) m/s, world, of a point (3,) m fixed in the tip section frame."""
        arm = np.cross(self.tip_omega, np.asarray(point, dtype=float))
        return self.tip_velocity + np.einsum("nij,nj->ni", self.tip_rotation_world, arm)

    # -- energies ---------------------------------------------------------------------------------------------
    @property
    def bend_energy(self) -> Array:
        """(n,) J, strain energy of bending."""
        return self.rows[:, BEND_ENERGY]

    @property
    def twist_energy(self) -> Array:
        """(n,) J, strain energy of torsion."""
        return self.rows[:, TWIST_ENERGY]

    @property
    def stretch_energy(self) -> Array:
        """(n,) J, strain energy of stretch and shear (zero where the solver has neither)."""
        return self.rows[:, STRETCH_ENERGY]

    @property
    def kinetic_energy(self) -> Array:
        """(n,) J, of beam and tip body in the world frame."""
        return self.rows[:, KINETIC_ENERGY]

    @property
    def dissipated_power(self) -> Array:
        """(n,) W, taken by the beam's viscosity."""
        return self.rows[:, DISSIPATION]

    # -- between the instants ---------------------------------------------------------------------------------
    def at(self, t: ArrayLike) -> History:
        """The same run at other instants, to the solver's accuracy.

        Tip and root are quintic Hermite interpolants of position, rate and acceleration (the rotation in the
        rotation vector from the instant before); forces and energies are quintic splines through the instants.

        Parameters
        ----------
        t : scalar or (k,) s

        Raises
        ------
        InputError
            An instant outside the run.
        """
        run = self if self.source is None else self.source
        times = np.atleast_1d(np.asarray(t, dtype=float))
        return type(self)(
            times,
            run._interpolate(times),
            run.path,
            run.tip,
            run.solver,
            run.step,
            run.stage_times,
            run.stage_couple,
            run,
            run.halvings,
        )

    @cached_property
    def _smooth(self) -> Any:
        return spline_through(self.t, self.rows[:, _SMOOTH])

    def _interpolate(self, t: Array) -> Array:
        slack = 1e-9 * max(self.t[-1] - self.t[0], self.step)
        if t.size and (not np.all(np.isfinite(t)) or t.min() < self.t[0] - slack or t.max() > self.t[-1] + slack):
            raise InputError(f"History: known from {self.t[0]:.6g} to {self.t[-1]:.6g} s only")
        t = np.clip(t, self.t[0], self.t[-1])
        if self.t.size == 1:
            return np.repeat(self.rows, t.size, axis=0)
        left = np.clip(np.searchsorted(self.t, t, side="right") - 1, 0, self.t.size - 2)
        h = (self.t[left + 1] - self.t[left])[:, None]
        x = (t - self.t[left])[:, None] / h
        a, b = self.rows[left], self.rows[left + 1]
        rows = np.empty((t.size, ROW_LENGTH))
        rows[:, PASSES:] = 0.0
        rows[:, _SMOOTH] = self._smooth(t)
        for place, rate, accel in ((TIP_POSITION, TIP_VELOCITY, TIP_ACCELERATION), (THETA, THETA_DOT, THETA_DDOT)):
            values = _hermite(x, h, a[:, place], a[:, rate], a[:, accel], b[:, place], b[:, rate], b[:, accel])
            rows[:, place], rows[:, rate], rows[:, accel] = values
        first = a[:, TIP_ROTATION].reshape(-1, 3, 3)
        turn = vector_from_rotation(np.swapaxes(first, 1, 2) @ b[:, TIP_ROTATION].reshape(-1, 3, 3))
        zero = np.zeros_like(turn)
        start = _vector_rates(zero, a[:, TIP_OMEGA], a[:, TIP_OMEGA_DOT])
        end = _vector_rates(turn, b[:, TIP_OMEGA], b[:, TIP_OMEGA_DOT])
        phi, rate_, accel_ = _hermite(x, h, zero, *start, turn, *end)
        rows[:, TIP_ROTATION] = (first @ rotation_from_vector(phi)).reshape(-1, 9)
        jacobian = _right_jacobian(phi)
        rows[:, TIP_OMEGA] = np.einsum("nij,nj->ni", jacobian, rate_)
        rows[:, TIP_OMEGA_DOT] = np.einsum("nij,nj->ni", jacobian, accel_) + _jacobian_rate_term(phi, rate_)
        return rows

    def until(self, t: float) -> History:
        """The run up to instant t (s), which becomes its last."""
        keep = self.t < t - 1e-12
        last = self._interpolate(np.array([t]))
        return type(self)(
            np.append(self.t[keep], t),
            np.vstack([self.rows[keep], last]),
            self.path,
            self.tip,
            self.solver,
            self.step,
            self.stage_times,
            self.stage_couple,
            None,
            self.halvings,
        )

    def recorded_couple(self, t: Array) -> Array:
        """The root couple (N, 3) N·m, motion body axes, as recorded at the integrator's own instants.

        Where an instant is one of the record's, its value is returned as it was recorded; elsewhere (a halved
        step, another solver) it is a quintic spline through the record. Beyond the record's end it is refused.
        """
        times = np.asarray(t, dtype=float)
        nearest = np.clip(np.searchsorted(self.stage_times, times), 1, self.stage_times.size - 1)
        before = np.abs(self.stage_times[nearest - 1] - times) < np.abs(self.stage_times[nearest] - times)
        nearest = nearest - before
        exact = np.abs(self.stage_times[nearest] - times) <= 1e-9 * self.step
        out = self.stage_couple[nearest]
        if not np.all(exact):
            if times.max() > self.stage_times[-1] + 1e-9 * self.step or times.min() < self.stage_times[0]:
                raise InputError(
                    f"ElasticRoot: the couple's record covers {self.stage_times[0]:.6g} … "
                    f"{self.stage_times[-1]:.6g} s, the motion asks for {times.min():.6g} … {times.max():.6g} s"
                )
            out[~exact] = self._record_spline(times[~exact])
        return out

    @cached_property
    def _record_spline(self) -> Any:
        return spline_through(self.stage_times, self.stage_couple)


def _hermite(
    x: Array, h: Array, p0: Array, v0: Array, a0: Array, p1: Array, v1: Array, a1: Array
) -> tuple[Array, Array, Array]:
    """Quintic through position, rate and acceleration at both ends of an interval h; x = 0 … 1 along it."""
    d = p1 - p0 - h * v0 - 0.5 * h * h * a0
    e = h * (v1 - v0 - h * a0)
    f = h * h * (a1 - a0)
    c3 = 10.0 * d - 4.0 * e + 0.5 * f
    c4 = -15.0 * d + 7.0 * e - f
    c5 = 6.0 * d - 3.0 * e + 0.5 * f
    place = p0 + x * (h * v0 + x * (0.5 * h * h * a0 + x * (c3 + x * (c4 + x * c5))))
    rate = (h * v0 + x * (h * h * a0 + x * (3.0 * c3 + x * (4.0 * c4 + x * 5.0 * c5)))) / h
    accel = (h * h * a0 + x * (6.0 * c3 + x * (12.0 * c4 + x * 20.0 * c5))) / (h * h)
    return place, rate, accel


def _coefficients(theta: Array) -> tuple[Array, Array, Array, Array]:
    """b, c of J_r = I − b θ^ + c θ^² and their derivatives with respect to |θ|²; (n, 1, 1) each."""
    t = np.sum(theta * theta, axis=1)[:, None, None]
    small = t < 1e-2
    safe = np.where(small, 1.0, t)
    angle = np.sqrt(safe)
    a = np.sin(angle) / angle
    b = (1.0 - np.cos(angle)) / safe
    c = (1.0 - a) / safe
    db = 0.5 * (a - 2.0 * b) / safe
    dc = 0.5 * (b - 3.0 * c) / safe
    b = np.where(small, 0.5 - t / 24.0 * (1.0 - t / 30.0 * (1.0 - t / 56.0)), b)
    c = np.where(small, 1.0 / 6.0 - t / 120.0 * (1.0 - t / 42.0 * (1.0 - t / 72.0)), c)
    db = np.where(small, -1.0 / 24.0 + t / 360.0 * (1.0 - t * 3.0 / 112.0), db)
    dc = np.where(small, -1.0 / 120.0 + t / 2520.0 * (1.0 - t / 48.0), dc)
    return b, c, db, dc


def _right_jacobian(theta: Array) -> Array:
    """J_r(θ), (n, 3, 3)."""
    b, c, _, _ = _coefficients(theta)
    hat = skew(theta)
    return np.eye(3) - b * hat + c * (hat @ hat)


def _jacobian_rate_term(theta: Array, rate: Array) -> Array:
    """J̇_r θ̇, (n, 3)."""
    b, c, db, dc = _coefficients(theta)
    hat, hat_rate = skew(theta), skew(rate)
    dt = 2.0 * np.sum(theta * rate, axis=1)[:, None, None]
    slope = -b * hat_rate + c * (hat_rate @ hat + hat @ hat_rate) + dt * (dc * (hat @ hat) - db * hat)
    return np.einsum("nij,nj->ni", slope, rate)


def _vector_rates(theta: Array, omega: Array, omega_dot: Array) -> tuple[Array, Array]:
    """θ̇ and θ̈ of a rotation vector from the body's angular velocity and its derivative, (n, 3) each."""
    jacobian = _right_jacobian(theta)
    rate: Array = np.linalg.solve(jacobian, omega[..., None])[..., 0].astype(np.float64, copy=False)
    rest: Array = omega_dot - _jacobian_rate_term(theta, rate)
    accel: Array = np.linalg.solve(jacobian, rest[..., None])[..., 0].astype(np.float64, copy=False)
    return rate, accel
