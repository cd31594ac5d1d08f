"""The release: from holding the hinge to letting a couple drive it, by one scalar differential equation.

The club is rigid here. About the normal n of the swing plane, with p the club's angle in the plane, γ the
forearm roll, J the inertia and S the first moment about the hold point (Goldstein, Classical Mechanics, ch.
5: the moment about a moving point is Ḣ + S × (a − g)):

    M = J_nn p̈ + J_nx γ̈ + J_nn' γ̇ ṗ + J_nx' γ̇² + S_x A_y − S_y A_x

with x along the shaft, y across it in the plane (both un-rolled), J_nn = J_yy sin²γ + J_zz cos²γ + 2 J_yz sin
γ cos γ, J_nx = J_xy sin γ + J_xz cos γ (′ = d/dγ), and A the hold point's acceleration less gravity. The line
follows the hold until the release; there the couple M leaves what the hold needs, in a smooth step, for a
plateau (what the hold needed at that instant, and a push), and falls from the plateau to the couple at impact
in another.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from ..beam import RigidBody
from ..beam.compiled import kernel
from ..beam.errors import InputError
from .plan import DEGREE, Wrists
from .smooth import smooth_step

Array = NDArray[np.float64]

LATEST_RELEASE = -0.030
"""The release is centred no later than this, s."""
SCAN = 24
"""Release instants tried before the root is refined."""


@dataclass(frozen=True)
class HingeLoads:
    """What the scalar equation needs at instants t, but for the club's own angle."""

    t: Array
    across: Array
    """(2, n) m/s²: in-plane components of the hold point's acceleration less gravity"""
    inertia: Array
    """(n,) J_nn, kg·m²"""
    inertia_rate: Array
    """(n,) J_nn' γ̇, kg·m²/s"""
    roll_couple: Array
    """(n,) J_nx γ̈ + J_nx' γ̇², N·m"""
    along: float
    """S_x, kg·m"""
    aside: Array
    """(n,) S_y, un-rolled, kg·m"""


def hinge_loads(body: RigidBody, t: Array, across: Array, roll: Array) -> HingeLoads:
    """Loads at instants t (n,), s, for in-plane accelerations (2, n) m/s² and a forearm roll (3, n)."""
    j, s = body.inertia, body.first_moment
    sine, cosine = np.sin(roll[0]), np.cos(roll[0])
    return HingeLoads(
        t,
        np.ascontiguousarray(across),
        j[1, 1] * sine**2 + j[2, 2] * cosine**2 + 2.0 * j[1, 2] * sine * cosine,
        (2.0 * sine * cosine * (j[1, 1] - j[2, 2]) + 2.0 * j[1, 2] * (cosine**2 - sine**2)) * roll[1],
        (j[0, 1] * sine + j[0, 2] * cosine) * roll[2] + (j[0, 1] * cosine - j[0, 2] * sine) * roll[1] ** 2,
        float(s[0]),
        cosine * s[1] - sine * s[2],
    )


def hinge_couple(loads: HingeLoads, club: Array) -> Array:
    """(n,) N·m: the couple about the plane's normal that a club angle (3, n) needs."""
    sine, cosine = np.sin(club[0]), np.cos(club[0])
    forward = cosine * loads.across[0] + sine * loads.across[1]
    down = sine * loads.across[0] - cosine * loads.across[1]
    return (
        loads.inertia * club[2]
        + loads.inertia_rate * club[1]
        + loads.roll_couple
        + loads.along * forward
        - loads.aside * down
    )


@kernel
def _integrate(step, angle, rate, across, inertia, inertia_rate, load, along, aside, room, out):  # type: ignore[no-untyped-def]
    """Classical Runge–Kutta march of the hinge equation.

    Inputs at half steps, out (3, n) at full steps; room (2, 4).
    """
    n = out.shape[1]
    p = angle
    v = rate
    dp = room[0]
    dv = room[1]
    for i in range(n):
        for stage in range(4):
            k = 2 * i + (stage + 1) // 2
            if stage == 0:
                q = p
                w = v
            else:
                part = step if stage == 3 else 0.5 * step
                q = p + part * dp[stage - 1]
                w = v + part * dv[stage - 1]
            sine = np.sin(q)
            cosine = np.cos(q)
            dp[stage] = w
            dv[stage] = (
                load[k]
                - inertia_rate[k] * w
                - along * (cosine * across[0, k] + sine * across[1, k])
                + aside[k] * (sine * across[0, k] - cosine * across[1, k])
            ) / inertia[k]
            if stage == 0:
                out[0, i] = p
                out[1, i] = v
                out[2, i] = dv[0]
                if i == n - 1:
                    return
        p += step / 6.0 * (dp[0] + 2.0 * dp[1] + 2.0 * dp[2] + dp[3])
        v += step / 6.0 * (dv[0] + 2.0 * dv[1] + 2.0 * dv[2] + dv[3])


@dataclass(frozen=True)
class Release:
    """The club's angle from the top on, and the couple that drives it."""

    instant: float
    """Middle of the release, s relative to impact."""
    club: Array
    """(3, n): angle, rate, acceleration at full steps"""
    couple: Array
    """(n,) N·m at full steps"""


class _Shot:
    """Marches the hinge equation for one release instant after the other."""

    def __init__(self, wrists: Wrists, step: float, loads: HingeLoads, held: Array) -> None:
        self.wrists, self.step, self.loads = wrists, step, loads
        self.held_couple = hinge_couple(loads, held)
        self.start = float(held[0, 0]), float(held[1, 0])
        self.to_impact = smooth_step((loads.t + wrists.fade) / wrists.fade)

    def couple(self, instant: float) -> Array:
        """The driving couple at half steps for a release centred at `instant`."""
        wrists = self.wrists
        let_go = smooth_step((self.loads.t - instant) / wrists.release_width + 0.5)
        plateau = _between(instant, self.loads.t, self.held_couple) + wrists.push
        driven = plateau + (wrists.couple_at_impact - plateau) * self.to_impact
        return self.held_couple + let_go * (driven - self.held_couple)

    def march(self, instant: float, steps: int) -> Release:
        """The club from the top over a number of full steps."""
        loads = self.loads
        couple = self.couple(instant)
        club = np.empty((3, steps + 1))
        _integrate(
            self.step, *self.start, loads.across, loads.inertia, loads.inertia_rate,
            couple - loads.roll_couple,
            loads.along, loads.aside, np.empty((2, 4)), club,
        )  # fmt: skip
        return Release(instant, club, couple[: 2 * steps + 1 : 2])


def _between(instant: float, t: Array, values: Array) -> float:
    """Cubic through the four even samples about an instant (Lagrange)."""
    step = t[1] - t[0]
    k = int(np.clip((instant - t[0]) // step, 1, t.size - 3))
    x = (instant - t[k]) / step
    weights = np.array(
        [
            -x * (x - 1.0) * (x - 2.0) / 6.0,
            (x + 1.0) * (x - 1.0) * (x - 2.0) / 2.0,
            -(x + 1.0) * x * (x - 2.0) / 2.0,
            (x + 1.0) * x * (x - 1.0) / 6.0,
        ]
    )
    return float(weights @ values[k - 1 : k + 3])


def release(
    wrists: Wrists,
    step: float,
    loads: HingeLoads,
    held: Array,
    to_impact: int,
    angle_at_impact: float,
    near: float | None = None,
) -> Release:
    """The release whose club angle at impact is met exactly.

    Parameters
    ----------
    step : s
    loads, held (3, 2 m + 1)
        At half steps from the start (about the top) on; `held` is the club's angle while the hinge is held.
    to_impact : number of full steps from the start to impact
    angle_at_impact : rad
    near : s, optional
        A release instant to try first.

    Raises
    ------
    InputError
        No release instant reaches that angle; the message says what to relax.
    """
    shot = _Shot(wrists, step, loads, held)

    def miss(instant: float) -> float:
        return float(shot.march(instant, to_impact).club[0, -1]) - angle_at_impact

    last = min(LATEST_RELEASE, -0.4 * wrists.release_width)
    first = min(float(loads.t[0]) + 0.5 * wrists.release_width, last - 0.01)
    bracket = _bracket(miss, first, last, near)
    if bracket is None:
        late = miss(last) > 0.0
        how = "too early even when it is held to the last" if late else "too late even when it is released at the top"
        relax = (
            "shorten the downswing, set the hinge further, lower the push or the arm rate at impact"
            if late
            else "lengthen the downswing, set the hinge less, raise the push, the arm rate or the couple"
        )
        raise InputError(f"the club comes to the ball {how}: {relax}")
    instant = float(brentq(miss, *bracket, xtol=1e-13, rtol=1e-13))
    run = shot.march(instant, (loads.t.size - 1) // 2)
    rate = run.club[1, to_impact]
    if rate <= 0.0:
        raise InputError(f"the club would pass the ball backwards ({rate / DEGREE:.0f} deg/s): change couple or fade")
    return run


def _bracket(
    miss: Callable[[float], float], first: float, last: float, near: float | None
) -> tuple[float, float] | None:
    """Two release instants with the root between them, the latest such pair; None when there is none."""
    if near is not None and first < near < last:
        a, b = max(first, near - 2e-4), min(last, near + 2e-4)
        for _ in range(3):
            if miss(a) >= 0.0 > miss(b):
                return a, b
            a, b = max(first, near - 6.0 * (near - a)), min(last, near + 6.0 * (b - near))
    instants = np.linspace(last, first, SCAN)
    before = miss(instants[0])
    for later, earlier in pairwise(instants):
        value = miss(earlier)
        if before < 0.0 <= value:
            return float(earlier), float(later)
        before = value
    return None
