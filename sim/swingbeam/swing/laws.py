"""The closed-form parts of the line: arms, hinge while it is held, forearm roll, hub.

Each law returns (3, n): value, rate and acceleration at times t (n,), s relative to the planned impact.
Angles are measured in the swing plane from straight down the plane, toward the target positive. All are sums
of smooth steps and acceleration steps, so they are four times continuously differentiable and run on past
impact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from ..beam.errors import InputError
from .plan import DEGREE, Adjustment, Arms, SwingPlan, Tempo
from .smooth import STEP_EXCESS, acceleration_step, rise, smooth_step

Array = NDArray[np.float64]

ARM_AT_ADDRESS = 4.0 * DEGREE
"""Hands a little ahead (common practice, no source)."""
HINGE_AT_ADDRESS = -8.0 * DEGREE
TAKEAWAY_END = 0.20
"""Share of the backswing over which the arms' acceleration away from the ball builds up."""
EASE_CENTRE, EASE_WIDTH = 0.69, 0.65
"""Share of the backswing where, and over which, the arms change from gathering to losing speed. Slow arms and
wrists that set late keep the couple on the club, and with it the bend of the shaft, small until the top."""
SET_BEGIN, SET_RAMP = 0.475, 0.465
"""Share of the backswing where the hinge begins to set; share of the setting over which it gathers speed."""
SET_BRAKE_LEAD = 0.03
"""How long before the top the wrists begin to stop the setting, s, and the width of that change."""
SET_BRAKE_WIDTH = 0.15
SET_REST_WIDTH = 0.17
"""Over which the stopping itself ends, s."""
ROLL_BEGIN, ROLL_END = 0.40, 0.96
"""Shares of the backswing between which the forearms roll open."""
ROLL_AT_TOP = 90.0 * DEGREE
SHIFT_BEGIN, SHIFT_END = -0.06, 0.06
"""The hub shifts from this long before (s) the top until this long after impact."""
LIFT_BEGIN, LIFT_END = -0.20, 0.08
"""The hub lifts between these instants relative to impact, s."""


@dataclass(frozen=True)
class ArmLaw:
    """A sum of four acceleration steps: takeaway, easing into the top, drive, late slowing."""

    centres: tuple[float, float, float, float]
    widths: tuple[float, float, float, float]
    amplitudes: Array
    """(4,) rad/s²"""

    def __call__(self, t: Array) -> Array:
        total = np.zeros((3, np.size(t)))
        total[0] = ARM_AT_ADDRESS
        for centre, width, amplitude in zip(self.centres, self.widths, self.amplitudes, strict=True):
            total += amplitude * acceleration_step(t, centre, width)
        return total


def _arm_steps(arms: Arms, tempo: Tempo, downswing: float, slowing: float) -> ArmLaw:
    """The arm law whose slowing is centred `slowing` s before impact; amplitudes by four conditions."""
    address = -downswing - tempo.backswing
    centres = (
        address + 0.5 * TAKEAWAY_END * tempo.backswing,
        address + EASE_CENTRE * tempo.backswing,
        -downswing + tempo.transition_delay,
        -slowing,
    )
    widths = (
        TAKEAWAY_END * tempo.backswing,
        EASE_WIDTH * tempo.backswing,
        tempo.transition_width,
        arms.slowing_width,
    )
    at = np.array([-downswing, 0.0])
    steps = np.stack([acceleration_step(at, c, w) for c, w in zip(centres, widths, strict=True)])
    conditions = np.stack([steps[:, 0, 0], steps[:, 1, 0], steps[:, 0, 1], steps[:, 1, 1]])
    wanted = np.array(
        [-arms.turn_at_top - ARM_AT_ADDRESS, 0.0, arms.angle_at_impact - ARM_AT_ADDRESS, arms.rate_at_impact]
    )
    return ArmLaw(centres, widths, np.linalg.solve(conditions, wanted))


def _peak_before_impact(law: ArmLaw, downswing: float) -> float:
    """Time of the arms' highest rate in the downswing, s before impact (0: they still gather speed there)."""
    drive = float(law.amplitudes[:3].sum())
    slow = float(law.amplitudes[3])
    if drive <= 0.0 or drive + slow >= 0.0:
        return 0.0
    x = brentq(lambda y: float(drive + slow * smooth_step(y)), 0.0, 1.0, xtol=1e-14)
    return -(law.centres[3] + (x - 0.5) * law.widths[3])


def arm_law(arms: Arms, tempo: Tempo, downswing: float) -> ArmLaw:
    """The arms' motion: rate at impact and time of the highest rate are met exactly.

    Raises
    ------
    InputError
        No motion of this kind meets them; the message says what to relax.
    """
    half = 0.5 * arms.slowing_width

    def miss(slowing: float) -> float:
        return _peak_before_impact(_arm_steps(arms, tempo, downswing, slowing), downswing) - arms.peak

    lowest, highest = max(arms.peak - half, -half + 1e-3), arms.peak + half
    try:
        # The slowing is centred within half its width of the peak: the bracket cannot be missed while the
        # arms do slow; else the signs agree.
        slowing = brentq(miss, lowest, highest, xtol=1e-12)
    except ValueError:
        slowing = math.nan
    law = _arm_steps(arms, tempo, downswing, slowing) if math.isfinite(slowing) else None
    if law is None or abs(_peak_before_impact(law, downswing) - arms.peak) > 1e-6:
        raise InputError(
            f"the arms cannot turn fastest {1e3 * arms.peak:.0f} ms before impact and still turn at "
            f"{arms.rate_at_impact:.1f} rad/s at impact with {1e3 * downswing:.0f} ms of downswing: "
            "lower the rate at impact, move the peak, or change the downswing time or the turn at the top"
        )
    t = np.linspace(-downswing, 0.0, 60)[1:]
    rate = law(t)[1]
    back = law(np.linspace(-downswing - tempo.backswing, -downswing, 60)[:-1])[1]
    if law.amplitudes[0] >= 0.0 or rate.min() < -1e-9 or back.max() > 1e-9:
        raise InputError(
            f"the arms would have to turn back and forth to make {arms.turn_at_top / DEGREE:.0f} deg of turn "
            f"with {1e3 * tempo.backswing:.0f} ms of backswing and {1e3 * downswing:.0f} ms of downswing: "
            "change the turn at the top, the transition delay or width, or the rate at impact"
        )
    return law


@dataclass(frozen=True)
class HingeLaw:
    """The hinge as long as it is held: three acceleration steps that set it and bring it to rest."""

    begin: float
    centres: tuple[float, float, float]
    widths: tuple[float, float, float]
    amplitudes: Array

    def __call__(self, t: Array) -> Array:
        total = np.zeros((3, np.size(t)))
        total[0] = HINGE_AT_ADDRESS
        for centre, width, amplitude in zip(self.centres, self.widths, self.amplitudes, strict=True):
            total += amplitude * acceleration_step(t, centre, width)
        return total


def hinge_law(hinge: float, set_after_top: float, tempo: Tempo, downswing: float) -> HingeLaw:
    """The held hinge: from its angle at address to −`hinge` (rad), at rest `set_after_top` s past the top."""
    begin = -downswing - (1.0 - SET_BEGIN) * tempo.backswing
    end = -downswing + set_after_top
    ramp = SET_RAMP * (end - begin)
    last = min(SET_REST_WIDTH, 0.9 * (set_after_top + SET_BRAKE_LEAD))
    centres = (begin + 0.5 * ramp, -downswing - SET_BRAKE_LEAD, end - 0.5 * last)
    widths = (ramp, min(SET_BRAKE_WIDTH, 2.0 * (set_after_top + SET_BRAKE_LEAD)), last)
    steps = np.stack([acceleration_step(np.array([end]), c, w)[:, 0] for c, w in zip(centres, widths, strict=True)])
    wanted = np.array([-hinge - HINGE_AT_ADDRESS, 0.0, 0.0])
    return HingeLaw(begin, centres, widths, np.linalg.solve(steps.T, wanted))


@dataclass(frozen=True)
class RollLaw:
    """Forearm roll: a smooth step open during the backswing, one acceleration step closed again."""

    begin: float
    end: float
    centre: float
    width: float
    amplitude: float

    def __call__(self, t: Array) -> Array:
        return ROLL_AT_TOP * rise(t, self.begin, self.end) + self.amplitude * acceleration_step(
            t, self.centre, self.width
        )


def roll_law(rate_at_impact: float, onset_width: float, roll: float, tempo: Tempo, downswing: float) -> RollLaw:
    """The forearm roll that reaches `roll` (rad) at impact, closing at `rate_at_impact` (rad/s).

    An acceleration step of width w whose centre lies x before impact has turned ½ x² + w²/88 and turns at x,
    per unit of acceleration: two conditions for x and the amplitude.

    Raises
    ------
    InputError
        The rolling back would have to begin before the top, or within its own onset.
    """
    mean = (ROLL_AT_TOP - roll) / rate_at_impact if rate_at_impact > 0.0 else math.inf
    root = mean * mean - 2.0 * STEP_EXCESS * onset_width**2
    lead = mean + math.sqrt(root) if root > 0.0 and math.isfinite(root) else math.inf
    if lead + 0.5 * onset_width > downswing or lead < 0.5 * onset_width:
        allowed = (ROLL_AT_TOP - roll) / (0.5 * (downswing - 0.5 * onset_width))
        raise InputError(
            f"forearms that roll at {rate_at_impact / DEGREE:.0f} deg/s at impact would have to roll "
            f"back before the top: raise the roll rate above about {allowed / DEGREE:.0f} deg/s "
            "or lengthen the downswing"
        )
    begin = -downswing - (1.0 - ROLL_BEGIN) * tempo.backswing
    end = -downswing - (1.0 - ROLL_END) * tempo.backswing
    return RollLaw(begin, end, -lead, onset_width, -rate_at_impact / lead)


@dataclass(frozen=True)
class HubLaw:
    """Travel of the hub in the swing's own frame: (shift toward the target, lift) each (3, n), m."""

    shift: float
    lift: float
    top: float

    def __call__(self, t: Array) -> tuple[Array, Array]:
        return (
            self.shift * rise(t, self.top + SHIFT_BEGIN, SHIFT_END),
            self.lift * rise(t, LIFT_BEGIN, LIFT_END),
        )


@dataclass(frozen=True)
class Laws:
    """All closed-form parts of one line."""

    arm: ArmLaw
    hinge: HingeLaw
    roll: RollLaw
    hub: HubLaw


def laws(plan: SwingPlan, adjustment: Adjustment) -> Laws:
    """The closed-form parts of a plan, adjusted.

    Raises
    ------
    InputError
        An infeasible combination, with what to relax.
    """
    downswing = adjustment.downswing
    return Laws(
        arm_law(plan.arms, plan.tempo, downswing),
        hinge_law(plan.wrists.hinge, plan.wrists.set_after_top, plan.tempo, downswing),
        roll_law(plan.forearms.rate_at_impact, plan.forearms.onset_width, adjustment.roll, plan.tempo, downswing),
        HubLaw(plan.arms.hub_shift, plan.arms.hub_lift, -downswing),
    )
