"""A root that yields: stiffness, damping and a driving couple between a prescribed motion and the beam."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, Protocol, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import InputError
from .motion import Motion, MotionState, spline_through

Array = NDArray[np.float64]


class CoupleRecord(Protocol):
    """What an earlier run knows of its root couple; a History is one."""

    def recorded_couple(self, t: Array) -> Array:
        """(N, 3) N·m at instants t (N,), s, in the motion's body axes."""


class StageInputs(NamedTuple):
    """What a solver needs of the root at N instants; body axes of the motion unless said otherwise."""

    t: Array
    """(N,) s"""
    rotation: Array
    """(N, 3, 3) R_m, body → world"""
    position: Array
    """(N, 3) m, world"""
    velocity: Array
    """(N, 3) m/s: R_mᵀ ṗ"""
    acceleration: Array
    """(N, 3) m/s²: R_mᵀ (p̈ − g)"""
    omega: Array
    """(N, 3) rad/s"""
    omega_dot: Array
    """(N, 3) rad/s²"""
    free: Array
    """(N, 3, nf): θ = free · y for the nf unknowns y of the root; with its two derivatives below"""
    free_dot: Array
    free_ddot: Array
    stiffness: Array
    """(N, 3, 3) N·m/rad: the couple on the root is couple − stiffness θ − damping θ̇"""
    damping: Array
    """(N, 3, 3) N·m·s/rad"""
    couple: Array
    """(N, 3) N·m"""


@dataclass(frozen=True, eq=False)
class ElasticRoot:
    """Lets the root turn from the motion by a rotation vector δ (rad), counted in `axes`.

    The root's rotation is exp(axes·δ) R_motion and the couple on it, in `axes`, is
    couple(t) − stiffness·δ − damping·δ̇.

    Parameters
    ----------
    stiffness : (3,) N·m/rad; inf holds that axis
    damping : (3,) N·m·s/rad
    inertia : (3,) kg·m², of what turns with the root, about `axes`; its tensor is constant in the root's body
    axes : (nt, 3, 3) world, columns, one per sample time of the motion; None: the motion's own axes
    couple : (nt, 3) N·m in `axes` at the motion's sample times, or an earlier History of a held run on the same
        motion, whose own couple at the integrator's stage times is taken over (nothing is lost to
        interpolation); None: zero

    Raises
    ------
    InputError
        Wrong shapes, negative or non-finite values.
    """

    stiffness: Array
    damping: Array
    inertia: Array
    axes: Array | None
    couple: Array | CoupleRecord | None

    def __init__(
        self,
        stiffness: ArrayLike,
        damping: ArrayLike = (0.0, 0.0, 0.0),
        inertia: ArrayLike = (0.0, 0.0, 0.0),
        axes: ArrayLike | None = None,
        couple: ArrayLike | CoupleRecord | None = None,
    ) -> None:
        for name, value in (("stiffness", stiffness), ("damping", damping), ("inertia", inertia)):
            array = np.array(value, dtype=float)
            if array.shape != (3,):
                raise InputError(f"ElasticRoot: {name} needs three values, found shape {array.shape}")
            if np.any(np.isnan(array)) or np.any(array < 0.0):
                raise InputError(f"ElasticRoot: {name} must be numbers, not negative")
            if name != "stiffness" and not np.all(np.isfinite(array)):
                raise InputError(f"ElasticRoot: {name} must be finite")
            object.__setattr__(self, name, array)
        frame = None if axes is None else np.array(axes, dtype=float)
        if frame is not None:
            if frame.ndim != 3 or frame.shape[1:] != (3, 3) or not np.all(np.isfinite(frame)):
                raise InputError("ElasticRoot: axes must be finite and of shape (nt, 3, 3)")
            if np.abs(np.swapaxes(frame, 1, 2) @ frame - np.eye(3)).max() > 1e-6:
                raise InputError("ElasticRoot: the columns of axes must be perpendicular unit vectors")
        object.__setattr__(self, "axes", frame)
        drive: Array | CoupleRecord | None
        if couple is None:
            drive = None
        elif hasattr(couple, "recorded_couple"):
            drive = cast(CoupleRecord, couple)
        else:
            drive = np.array(couple, dtype=float)
            if drive.ndim != 2 or drive.shape[1] != 3 or not np.all(np.isfinite(drive)):
                raise InputError("ElasticRoot: couple must be finite and of shape (nt, 3)")
        object.__setattr__(self, "couple", drive)

    @property
    def free(self) -> NDArray[np.bool_]:
        """(3,) bool: the axes that can yield."""
        return np.asarray(np.isfinite(self.stiffness))


class RootPath:
    """A motion with the root's law, evaluated at whatever instants a solver asks for."""

    def __init__(self, motion: Motion, root: ElasticRoot | None, gravity: Array) -> None:
        self.motion = motion
        self.root = root
        self.gravity = gravity
        self._relative = None
        self._couple = None
        self._record: CoupleRecord | None = None
        self.free_axes: NDArray[np.bool_] = np.zeros(3, dtype=np.bool_) if root is None else root.free
        if root is None:
            return
        n = motion.t.size
        if root.axes is not None:
            if root.axes.shape[0] != n:
                raise InputError(f"ElasticRoot: axes has {root.axes.shape[0]} rows, the motion {n} samples")
            # B = R_mᵀ axes, by its own spline: smooth, and a rotation to the spline's accuracy.
            self._relative = spline_through(motion.t, np.swapaxes(motion.at(motion.t).rotation, 1, 2) @ root.axes)
        if root.couple is None:
            return
        if isinstance(root.couple, np.ndarray):
            if root.couple.shape[0] != n:
                raise InputError(f"ElasticRoot: couple has {root.couple.shape[0]} rows, the motion {n} samples")
            self._couple = spline_through(motion.t, root.couple)
        else:
            self._record = root.couple

    @property
    def count(self) -> int:
        """Number of free root axes."""
        return int(self.free_axes.sum())

    def relative_axes(self, t: Array) -> tuple[Array, Array, Array]:
        """B = R_mᵀ·axes and its two time derivatives, (N, 3, 3)."""
        if self._relative is None:
            eye = np.tile(np.eye(3), (t.size, 1, 1))
            return eye, np.zeros_like(eye), np.zeros_like(eye)
        return self._relative(t), self._relative(t, 1), self._relative(t, 2)

    def inertia_tensor(self) -> Array:
        """(3, 3) kg·m²: the root's own inertia in its body axes."""
        if self.root is None:
            return np.zeros((3, 3))
        axes, _, _ = self.relative_axes(np.array([self.motion.start]))
        return axes[0] @ np.diag(self.root.inertia) @ axes[0].T

    def couple_at(self, t: Array, axes: Array) -> Array:
        """The driving couple in the motion's body axes, (N, 3) N·m."""
        if self._couple is not None:
            return np.einsum("nij,nj->ni", axes, self._couple(t))
        if self._record is not None:
            return self._record.recorded_couple(t)
        return np.zeros((t.size, 3))

    def inputs(self, t: Array) -> StageInputs:
        """Everything a solver needs at instants t (N,), s."""
        state: MotionState = self.motion.at(t)
        back = np.ascontiguousarray(np.swapaxes(state.rotation, 1, 2))
        n = t.size
        axes, axes_dot, axes_ddot = self.relative_axes(t)
        stiffness = np.zeros((n, 3, 3))
        damping = np.zeros((n, 3, 3))
        if self.root is not None:
            held = ~self.free_axes
            k = np.diag(np.where(held, 0.0, self.root.stiffness))
            d = np.diag(np.where(held, 0.0, self.root.damping))
            axes_t = np.swapaxes(axes, 1, 2)
            damping = axes @ d @ axes_t
            stiffness = axes @ k @ axes_t + axes @ d @ np.swapaxes(axes_dot, 1, 2)
        if self.count == 3:
            free = np.tile(np.eye(3), (n, 1, 1))
            free_dot = np.zeros((n, 3, 3))
            free_ddot = np.zeros((n, 3, 3))
        else:
            free, free_dot, free_ddot = (a[:, :, self.free_axes] for a in (axes, axes_dot, axes_ddot))
        arrays = (
            t,
            state.rotation,
            state.position,
            np.einsum("nij,nj->ni", back, state.velocity),
            np.einsum("nij,nj->ni", back, state.acceleration - self.gravity),
            state.omega,
            state.omega_dot,
            free,
            free_dot,
            free_ddot,
            stiffness,
            damping,
            self.couple_at(t, axes),
        )
        return StageInputs(*(np.ascontiguousarray(a, dtype=np.float64) for a in arrays))

    def yield_in_axes(self, t: Array, theta: Array) -> Array:
        """δ (N, 3) in `axes` from θ (N, 3) in the motion's body axes."""
        axes, _, _ = self.relative_axes(t)
        return np.einsum("nji,nj->ni", axes, theta)
