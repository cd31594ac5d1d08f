"""The line: the six-degree-of-freedom motion of the grip that a rigid reference club would follow.

In the swing's own frame the plane is inclined by β: e₁ = (1, 0, 0), e₂ = (0, cos β, sin β), n = (0, −sin β,
cos β). The hub travels; the hands are at hub + r (sin a e₁ − cos a e₂), the shaft points along x = sin p e₁ −
cos p e₂, with y = cos p e₁ + sin p e₂ the un-rolled axis across it; the forearms turn the grip by the roll γ
about x. The whole swing is then turned by the adjustment's yaw (about z) and pitch (about y). Times are
relative to the planned impact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..beam import Motion, RigidBody
from ..beam.errors import InputError
from .hinge import HingeLoads, hinge_couple, hinge_loads, release
from .laws import Laws, laws
from .plan import Adjustment, SwingPlan

Array = NDArray[np.float64]

GRAVITY = 9.80665
"""m/s², standard."""
PAST_IMPACT = 0.040
"""The line runs on so long after the planned impact, s."""
LINE_STEP = 1.0e-3
"""Between samples, s."""


@dataclass(frozen=True, eq=False)
class Line:
    """A grip motion for a rigid club; n samples, planned impact at t = 0.

    Angles are (3, n): value, rate and acceleration, rad and s. Positions have their origin at the hub at
    address.
    """

    t: Array
    """(n,) s"""
    position: Array
    """(n, 3) m, world: the hold point"""
    velocity: Array
    acceleration: Array
    rotation: Array
    """(n, 3, 3) grip frame → world"""
    omega: Array
    """(n, 3) rad/s, world"""
    omega_dot: Array
    """(n, 3) rad/s², world"""
    arm: Array
    club: Array
    roll: Array
    hub: Array
    """(n, 3) m, world"""
    axes: Array
    """(n, 3, 3) world, columns: hinge (normal of the plane), forearm roll (shaft), third (their cross
    product)"""
    normal: Array
    """(3,) of the swing plane, world"""
    couple: Array
    """(n,) N·m: of the hands on the rigid club, with their own inertia, about the hinge"""
    release: float
    """Middle of the release, s"""
    plan: SwingPlan
    adjustment: Adjustment
    body: RigidBody
    """The rigid reference club with the hands' inertia, about the hold point, grip frame"""

    @property
    def top(self) -> float:
        """Instant at which the arms turn round, s."""
        return -self.adjustment.downswing

    @property
    def address(self) -> float:
        """Instant at which the swing begins, s."""
        return self.top - self.plan.tempo.backswing

    @property
    def hinge(self) -> Array:
        """(3, n): the club's angle against the arms."""
        return self.club - self.arm

    @property
    def impact(self) -> int:
        """Index of the sample at the planned impact."""
        return int(np.argmin(np.abs(self.t)))

    def moved(self, by: Array) -> Line:
        """The same line moved by a vector (3,) m, world."""
        return replace(self, position=self.position + by, hub=self.hub + by)

    def motion(self) -> Motion:
        """The line as a prescribed motion of the root."""
        return Motion.from_samples(self.t, self.position, self.rotation)


def swing_turn(yaw: float, pitch: float) -> Array:
    """(3, 3): the whole swing turned by the pitch about y, then by the yaw about z, rad."""
    cy, sy, cp, sp = math.cos(yaw), math.sin(yaw), math.cos(pitch), math.sin(pitch)
    return np.array([[cy * cp, -sy, cy * sp], [sy * cp, cy, sy * sp], [-sp, 0.0, cp]])


def plane_basis(plane: float) -> Array:
    """(3, 3), columns e₁, e₂, n of a plane inclined by `plane` rad from the ground."""
    c, s = math.cos(plane), math.sin(plane)
    return np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])


def _hands(plan: SwingPlan, parts: Laws, t: Array) -> tuple[Array, Array, Array]:
    """Arm angle (3, n), hub and hands (3 derivatives, 3 components in the plane basis, n)."""
    arm = parts.arm(t)
    shift, lift = parts.hub(t)
    c, s = math.cos(plan.arms.plane), math.sin(plan.arms.plane)
    hub = np.stack([shift, s * lift, c * lift], axis=1)
    sine, cosine = np.sin(arm[0]), np.cos(arm[0])
    hands = hub.copy()
    r = plan.arms.radius
    hands[0, 0] += r * sine
    hands[0, 1] -= r * cosine
    hands[1, 0] += r * arm[1] * cosine
    hands[1, 1] += r * arm[1] * sine
    hands[2, 0] += r * (arm[2] * cosine - arm[1] ** 2 * sine)
    hands[2, 1] += r * (arm[2] * sine + arm[1] ** 2 * cosine)
    return arm, hub, hands


def _held_loads(plan: SwingPlan, parts: Laws, body: RigidBody, gravity: Array, t: Array) -> tuple[HingeLoads, Array]:
    arm, _, hands = _hands(plan, parts, t)
    across = hands[2, :2] - gravity[:2, None]
    return hinge_loads(body, t, across, parts.roll(t)), arm + parts.hinge(t)


def draw_line(
    plan: SwingPlan,
    body: RigidBody,
    adjustment: Adjustment,
    *,
    step: float = LINE_STEP,
    near: float | None = None,
) -> Line:
    """The line of a plan, adjusted.

    Parameters
    ----------
    body
        The rigid reference club with the hands' inertia, about the hold point, in the grip frame.
    step : s between samples; the planned impact is always a sample.
    near : s, optional
        A release instant to try first.

    Raises
    ------
    InputError
        The combination is infeasible; the message says what to relax.
    """
    if adjustment.downswing < 0.1:
        raise InputError(f"a downswing of {1e3 * adjustment.downswing:.0f} ms is too short; at least 100 ms")
    parts = laws(plan, adjustment)
    basis = swing_turn(adjustment.yaw, adjustment.pitch) @ plane_basis(plan.arms.plane)
    gravity = basis.T @ np.array([0.0, 0.0, -GRAVITY])
    after = math.ceil(PAST_IMPACT / step - 1e-9)
    down = math.ceil(adjustment.downswing / step)
    before = math.ceil((adjustment.downswing + plan.tempo.backswing) / step) - down
    half: Array = 0.5 * step * np.arange(-2 * down, 2 * after + 1, dtype=np.float64)
    loads, held = _held_loads(plan, parts, body, gravity, half)
    run = release(plan.wrists, step, loads, held, down, -adjustment.lean, near)
    t: Array = step * np.arange(-down - before, after + 1, dtype=np.float64)
    first_loads, first_club = _held_loads(plan, parts, body, gravity, t[:before])
    club = np.concatenate([first_club, run.club], axis=1)
    couple = np.concatenate([hinge_couple(first_loads, first_club), run.couple])
    return _place(plan, parts, adjustment, body, basis, t, club, couple, run.instant)


def _place(
    plan: SwingPlan,
    parts: Laws,
    adjustment: Adjustment,
    body: RigidBody,
    basis: Array,
    t: Array,
    club: Array,
    couple: Array,
    instant: float,
) -> Line:
    """Angles to poses in the world."""
    arm, hub, hands = _hands(plan, parts, t)
    roll = parts.roll(t)
    e1, e2, normal = basis.T
    sine, cosine = np.sin(club[0])[:, None], np.cos(club[0])[:, None]
    x, across = sine * e1 - cosine * e2, cosine * e1 + sine * e2
    sr, cr = np.sin(roll[0])[:, None], np.cos(roll[0])[:, None]
    rotation = np.stack([x, cr * across + sr * normal, cr * normal - sr * across], axis=2)
    axes = np.stack([np.broadcast_to(normal, x.shape), x, across], axis=2)
    omega = roll[1][:, None] * x + club[1][:, None] * normal
    # The shaft axis itself turns at ṗ about the normal: d(γ̇ x)/dt = γ̈ x + γ̇ ṗ n × x, and n × x = y.
    omega_dot = roll[2][:, None] * x + (roll[1] * club[1])[:, None] * across + club[2][:, None] * normal
    position, velocity, acceleration = np.einsum("ij,kjn->kni", basis, hands)
    return Line(
        t, position, velocity, acceleration, rotation, omega, omega_dot, arm, club, roll,
        np.einsum("ij,jn->ni", basis, hub[0]), axes, np.array(normal), couple, instant, plan, adjustment,
        body,
    )  # fmt: skip


def speed_at_impact(line: Line, point: Array) -> float:
    """Speed (m/s) at the planned impact of a point (3,) m of the rigid club, grip frame, from the hold."""
    i = line.impact
    return float(np.linalg.norm(line.velocity[i] + np.cross(line.omega[i], line.rotation[i] @ point)))
