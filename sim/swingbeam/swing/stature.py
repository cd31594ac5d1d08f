"""A swing for another stature: lengths in proportion, by published segment lengths.

Drillis & Contini 1966 (Body Segment Parameters, report 1166.03, New York University): over the stature, upper
arm 0.186, forearm 0.146, hand 0.108, shoulder height 0.818, shoulder breadth 0.259 (the last from memory).
"""

from __future__ import annotations

import math
from dataclasses import replace

from .plan import SwingPlan
from .torque_golfer import TorquePlan

UPPER_ARM, FOREARM, HAND, SHOULDER_HEIGHT, SHOULDER_BREADTH = 0.186, 0.146, 0.108, 0.818, 0.259
HUB_TO_HANDS = math.sqrt((UPPER_ARM + FOREARM + 0.5 * HAND) ** 2 - (0.5 * SHOULDER_BREADTH) ** 2)
"""Over the stature: both arms straight, from the middle of the hand to the middle between the shoulders."""
WRIST_HEIGHT = SHOULDER_HEIGHT - UPPER_ARM - FOREARM
"""Over the stature, standing with the arms down."""

STEEPEST = math.radians(75.0)
"""The steepest swing plane that a tall golfer comes to, rad."""


def stature_of_wrist(wrist_to_floor: float) -> float:
    """Stature, m, of a golfer whose wrist is so high, m, standing with the arms down."""
    return wrist_to_floor / WRIST_HEIGHT


def stature_of(plan: SwingPlan | TorquePlan) -> float:
    """Stature, m, for which a plan's hub-to-hands length is in proportion."""
    arms = plan.golfer.arms if isinstance(plan, TorquePlan) else plan.arms
    return arms.radius / HUB_TO_HANDS


def scaled(plan: SwingPlan, stature: float, reach: float) -> SwingPlan:
    """The same swing of a golfer of another stature with a club of the same length.

    Angles, angular rates and times stay. Hub to hands, shift and lift go with the stature, and so does the
    height of the hub; with arms and club in line, hub height = (radius + reach) sin(plane), which gives the new
    plane.

    Parameters
    ----------
    stature : m
    reach : m, from the hold point to the head
    """
    by = stature / stature_of(plan)
    arms = plan.arms
    return replace(
        plan,
        arms=replace(
            arms,
            radius=by * arms.radius,
            hub_shift=by * arms.hub_shift,
            hub_lift=by * arms.hub_lift,
            plane=_plane(by, arms.radius, arms.plane, reach),
        ),
    )


def scaled_by_torque(plan: TorquePlan, stature: float, reach: float) -> TorquePlan:
    """The same for a golfer driven by torque; `stature` and `reach` as of `scaled`.

    His arms are alike in shape and density: mass, moment and inertia go with the third, fourth and fifth power of the
    stature. Torques stay as they are stated; those that deliver what is stated are found again.
    """
    by = stature / stature_of(plan)
    arms = plan.golfer.arms
    own = replace(
        arms,
        radius=by * arms.radius,
        shift=by * arms.shift,
        lift=by * arms.lift,
        mass=by**3 * arms.mass,
        moment=by**4 * arms.moment,
        inertia=by**5 * arms.inertia,
        plane=_plane(by, arms.radius, arms.plane, reach),
    )
    return replace(plan, golfer=replace(plan.golfer, arms=own))


def _plane(by: float, radius: float, plane: float, reach: float) -> float:
    """The swing plane, rad, of arms `by` times as long as `radius`, m, with the hub as many times as high."""
    sine = by * (radius + reach) * math.sin(plane) / (by * radius + reach)
    return math.asin(min(sine, math.sin(STEEPEST)))
