"""A root that is carried: a chain of driven revolute joints between a moving base and the beam's root.

The angles of the joints are unknowns of the same equations of motion as the beam's strains (`chain_kernels`), so
the beam drives the chain as the chain drives the beam. The base moves as stated.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NamedTuple, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

from . import chain_kernels as columns
from . import curvature
from .chain_kernels import LINK_WIDTH, MOST_JOINTS, torques
from .errors import InputError
from .history import THETA, THETA_DDOT, THETA_DOT, History
from .model import Profile, TipBody
from .motion import Motion, MotionState
from .root import StageInputs
from .rotations import rotation_from_vector

Array = NDArray[np.float64]


class Drive(NamedTuple):
    """What drives the joints at N instants: torque = couple − stiffness (angle − rest) − damping rate."""

    couple: Array
    """(N, joints) N·m"""
    stiffness: Array
    """(N, joints) N·m/rad"""
    damping: Array
    """(N, joints) N·m·s/rad"""
    rest: Array
    """(N, joints) rad"""


@dataclass(frozen=True)
class Stops:
    """Soft ends of a joint's range: stiffness · width · ln(1 + exp(x/width)) at x past the end.

    Raises
    ------
    InputError
        An empty range, a width that is not positive, negative stiffness or damping.
    """

    low: float = -math.inf
    """rad"""
    high: float = math.inf
    stiffness: float = 0.0
    """N·m/rad"""
    width: float = 0.03
    """rad, over which they set in"""
    damping: float = 0.0
    """N·m·s/rad while they press"""

    def __post_init__(self) -> None:
        if not (self.low < self.high and self.width > 0.0 and self.stiffness >= 0.0 and self.damping >= 0.0):
            raise InputError("Stops: low < high, a positive width and no negative stiffness or damping are needed")


@dataclass(frozen=True, eq=False)
class Joint:
    """A revolute joint and the rigid link beyond it.

    With all angles at zero the axes of all links, of the base and of the root are parallel.

    Parameters
    ----------
    axis : (3,) unit vector, link axes
    offset : (3,) m, from the joint before (of the first: from the base) to this one, axes of the link before
    mass, centre, inertia : kg; (3,) m from the joint; (3, 3) kg·m² about the centre of gravity: the link
    angle, rate : rad, rad/s at the start
    stops : ends of the range
    limit : N·m, the largest torque the drive can give

    Raises
    ------
    InputError
        An axis that is no unit vector, wrong shapes, numbers that are not finite, a negative mass or inertia.
    """

    axis: Array
    offset: Array
    mass: float = 0.0
    centre: Array = field(default_factory=lambda: np.zeros(3))
    inertia: Array = field(default_factory=lambda: np.zeros((3, 3)))
    angle: float = 0.0
    rate: float = 0.0
    stops: Stops = field(default_factory=Stops)
    limit: float = math.inf

    def __post_init__(self) -> None:
        for name, shape in (("axis", (3,)), ("offset", (3,)), ("centre", (3,)), ("inertia", (3, 3))):
            value = np.array(getattr(self, name), dtype=float)
            if value.shape != shape or not np.all(np.isfinite(value)):
                raise InputError(f"Joint: {name} must be finite and of shape {shape}")
            object.__setattr__(self, name, value)
        if abs(float(self.axis @ self.axis) - 1.0) > 1e-9:
            raise InputError("Joint: axis must be a unit vector")
        if not (math.isfinite(self.mass) and self.mass >= 0.0 and math.isfinite(self.angle + self.rate)):
            raise InputError("Joint: mass, angle and rate must be finite, the mass not negative")
        scale = float(np.abs(self.inertia).max())
        if np.abs(self.inertia - self.inertia.T).max() > 1e-9 * scale or (
            np.linalg.eigvalsh(self.inertia)[0] < -1e-12 * scale
        ):
            raise InputError("Joint: inertia must be symmetric with no negative principal moment")
        if not self.limit > 0.0:
            raise InputError("Joint: limit must be positive")


@dataclass(frozen=True, eq=False)
class DrivenChain:
    """Joints from the base to the root, and what drives them.

    Parameters
    ----------
    joints : one to three
    mount : (3,) m, from the last joint to the root, axes of the last link
    drive : what drives the joints at instants t (N,), s; None: nothing

    Raises
    ------
    InputError
        No joint, or more than three.
    """

    joints: tuple[Joint, ...]
    mount: ArrayLike = (0.0, 0.0, 0.0)
    drive: Callable[[Array], Drive] | None = None

    def __post_init__(self) -> None:
        if not 1 <= len(self.joints) <= MOST_JOINTS:
            raise InputError(f"DrivenChain: found {len(self.joints)} joints; one to {MOST_JOINTS} are allowed")
        mount = np.array(self.mount, dtype=float)
        if mount.shape != (3,) or not np.all(np.isfinite(mount)):
            raise InputError("DrivenChain: mount must be three finite numbers, m")
        object.__setattr__(self, "mount", mount)

    @property
    def count(self) -> int:
        """Number of joints."""
        return len(self.joints)

    @cached_property
    def table(self) -> Array:
        """(joints + 1, LINK_WIDTH): what `chain_kernels` reads."""
        out = np.zeros((self.count + 1, LINK_WIDTH))
        for row, joint in zip(out, self.joints, strict=False):
            row[columns.OFFSET : columns.OFFSET + 3] = joint.offset
            row[columns.AXIS : columns.AXIS + 3] = joint.axis
            row[columns.MASS] = joint.mass
            row[columns.CENTRE : columns.CENTRE + 3] = joint.centre
            row[columns.INERTIA : columns.INERTIA + 9] = joint.inertia.ravel()
            row[columns.LOW], row[columns.HIGH] = joint.stops.low, joint.stops.high
            row[columns.STOP_STIFFNESS] = joint.stops.stiffness
            row[columns.STOP_WIDTH] = joint.stops.width
            row[columns.STOP_DAMPING] = joint.stops.damping
            row[columns.LIMIT] = joint.limit
            row[columns.ANGLE], row[columns.RATE] = joint.angle, joint.rate
        out[-1, columns.OFFSET : columns.OFFSET + 3] = self.mount
        return out

    def driven(self, t: Array) -> Drive:
        """What drives the joints at instants t (N,), s.

        Raises
        ------
        InputError
            The drive gives wrong shapes or numbers that are not finite.
        """
        shape = (t.size, self.count)
        if self.drive is None:
            zero = np.zeros(shape)
            return Drive(zero, zero, zero, zero)
        found = Drive(*(np.asarray(part, dtype=float) for part in self.drive(t)))
        for name, part in zip(Drive._fields, found, strict=True):
            if part.shape != shape or not np.all(np.isfinite(part)):
                raise InputError(f"DrivenChain: drive gave {name} of shape {part.shape}; finite and {shape} is needed")
        return found

    def links(self, angles: Array) -> tuple[Array, Array]:
        """Poses of the joints and, last, of the root in base axes, from the base, at angles (n, joints).

        Returns positions (n, joints + 1, 3) m and rotations (n, joints + 1, 3, 3) link → base; the root's axes
        are those of the last link.
        """
        n = angles.shape[0]
        places, turns = [], []
        place, turn = np.zeros((n, 3)), np.tile(np.eye(3), (n, 1, 1))
        for j, joint in enumerate(self.joints):
            place = place + turn @ joint.offset
            turn = turn @ rotation_from_vector(angles[:, j : j + 1] * joint.axis)
            places.append(place)
            turns.append(turn)
        places.append(place + turn @ np.asarray(self.mount))
        turns.append(turn)
        return np.stack(places, axis=1), np.stack(turns, axis=1)


class ChainPath:
    """A base's motion with the chain's drive, evaluated at whatever instants a solver asks for."""

    def __init__(self, base: Motion, chain: DrivenChain, gravity: Array) -> None:
        self.motion = base
        self.chain = chain
        self.gravity = gravity

    def inputs(self, t: Array) -> StageInputs:
        """What a solver needs at instants t (N,), s: the motion is the base's, stiffness, damping and couple are
        those of the joints' drive."""
        state: MotionState = self.motion.at(t)
        n, count = t.size, self.chain.count
        drive = self.chain.driven(t)
        stiffness, damping, couple = np.zeros((n, 3, 3)), np.zeros((n, 3, 3)), np.zeros((n, 3))
        for j in range(count):
            stiffness[:, j, j] = drive.stiffness[:, j]
            damping[:, j, j] = drive.damping[:, j]
            couple[:, j] = drive.couple[:, j] + drive.stiffness[:, j] * drive.rest[:, j]
        free = np.tile(np.eye(3)[:, :count], (n, 1, 1))
        none = np.zeros_like(free)
        arrays = (
            t,
            state.rotation,
            state.position,
            np.einsum("nji,nj->ni", state.rotation, state.velocity),
            np.einsum("nji,nj->ni", state.rotation, state.acceleration - self.gravity),
            state.omega,
            state.omega_dot,
            free,
            none,
            none,
            stiffness,
            damping,
            couple,
        )
        return StageInputs(*(np.ascontiguousarray(a, dtype=np.float64) for a in arrays))


@dataclass(frozen=True, eq=False)
class ChainHistory(History):
    """A run on a chain of joints: the root is where the joints carry it; nothing yields besides."""

    @property
    def chain(self) -> DrivenChain:
        """The chain that carried the root."""
        return self._carried.chain

    @property
    def _carried(self) -> ChainPath:
        return cast(Any, self.path)

    @property
    def angles(self) -> Array:
        """(n, joints) rad"""
        return self.rows[:, THETA][:, : self.chain.count]

    @property
    def rates(self) -> Array:
        """(n, joints) rad/s"""
        return self.rows[:, THETA_DOT][:, : self.chain.count]

    @property
    def accelerations(self) -> Array:
        """(n, joints) rad/s²"""
        return self.rows[:, THETA_DDOT][:, : self.chain.count]

    @cached_property
    def torques(self) -> Array:
        """(n, joints) N·m that the joints gave."""
        inputs = self._carried.inputs(self.t)
        drives = np.concatenate(
            [part.reshape(self.t.size, -1) for part in (inputs.stiffness, inputs.damping, inputs.couple)], axis=1
        )
        out = np.zeros((self.t.size, self.chain.count))
        angles, rates = (np.ascontiguousarray(self.rows[:, part]) for part in (THETA, THETA_DOT))
        torques(self.chain.table, drives, angles, rates, out)
        return out

    @cached_property
    def _poses(self) -> tuple[Array, Array]:
        return self.chain.links(self.angles)

    @cached_property
    def joint_positions(self) -> Array:
        """(n, joints + 1, 3) m, world; last the root's."""
        turned = np.einsum("nij,nkj->nki", self._motion.rotation, self._poses[0])
        return self._motion.position[:, None] + turned

    @cached_property
    def link_rotations(self) -> Array:
        """(n, joints, 3, 3) link → world"""
        return np.asarray(self._motion.rotation[:, None] @ self._poses[1][:, :-1])

    @cached_property
    def link_omegas(self) -> Array:
        """(n, joints, 3) rad/s, world: the base's and every joint's up to the link's own."""
        base = np.einsum("nij,nj->ni", self._motion.rotation, self._motion.omega)
        axes = np.stack([joint.axis for joint in self.chain.joints])
        own = np.einsum("nkij,kj->nki", self.link_rotations, axes) * self.rates[:, :, None]
        return base[:, None] + np.cumsum(own, axis=1)

    @cached_property
    def joint_velocities(self) -> Array:
        """(n, joints + 1, 3) m/s, world; last the root's."""
        base = np.einsum("nij,nj->ni", self._motion.rotation, self._motion.omega)
        omegas = np.concatenate([base[:, None], self.link_omegas], axis=1)
        places = np.concatenate([self._motion.position[:, None], self.joint_positions], axis=1)
        steps = np.cross(omegas, np.diff(places, axis=1))
        return self._motion.velocity[:, None] + np.cumsum(steps, axis=1)

    @cached_property
    def root_position(self) -> Array:
        """(n, 3) m, world."""
        return self.joint_positions[:, -1]

    @cached_property
    def motion_rotation(self) -> Array:
        """(n, 3, 3) body → world: the root's, which does not yield from the last link."""
        return self.link_rotations[:, -1]

    @cached_property
    def root_rotation(self) -> Array:
        """(n, 3, 3) body → world."""
        return self.motion_rotation

    @cached_property
    def root_velocity(self) -> Array:
        """(n, 3) m/s, world."""
        return self.joint_velocities[:, -1]

    @cached_property
    def root_omega(self) -> Array:
        """(n, 3) rad/s, in the root's own axes."""
        return np.einsum("nji,nj->ni", self.root_rotation, self.link_omegas[:, -1])

    @cached_property
    def root_yield(self) -> Array:
        """(n, 3) rad: zero."""
        return np.zeros((self.t.size, 3))

    @cached_property
    def link_energy(self) -> Array:
        """(n,) J: kinetic and, under gravity, potential energy of the links (zero at the world's origin)."""
        total = np.zeros(self.t.size)
        for k, joint in enumerate(self.chain.joints):
            turn, omega = self.link_rotations[:, k], self.link_omegas[:, k]
            arm = turn @ joint.centre
            velocity = self.joint_velocities[:, k] + np.cross(omega, arm)
            own = np.einsum("nji,nj->ni", turn, omega)
            total += 0.5 * joint.mass * np.sum(velocity * velocity, axis=1)
            total += 0.5 * np.einsum("ni,ij,nj->n", own, joint.inertia, own)
            total -= joint.mass * (self.joint_positions[:, k] + arm) @ self._carried.gravity
        return total


def holding_torques(
    profile: Profile,
    tip: TipBody | None,
    base: Motion,
    chain: DrivenChain,
    *,
    functions: tuple[int, int] = (4, 1),
    gravity: ArrayLike = (0.0, 0.0, -9.80665),
) -> Array:
    """(joints,) N·m: the drive under which nothing accelerates at the base's first instant.

    The chain's own drive is left out, its stops are counted; the limits are not.

    Raises
    ------
    SimulationError
        No equilibrium was found.
    """
    down = np.asarray(gravity, dtype=float)
    path = ChainPath(base, DrivenChain(chain.joints, chain.mount), down)
    body = TipBody.none() if tip is None else tip
    model = curvature.prepare(profile, body, (0.0, 0.0), functions=functions, gravity=down, links=chain.table)
    return curvature.holding_torques(model, path.inputs(np.array([base.start])))
