"""A swing for another stature: lengths in proportion, by published segment lengths.

Drillis & Contini 1966 (Body Segment Parameters, report 1166.03, New York University): over the stature, upper
arm 0.186, forearm 0.146, hand 0.108, shoulder height 0.818, shoulder breadth 0.259 (the last from memory).
"""

from __future__ import annotations

import math
from dataclasses import replace

from .plan import SwingPlan

UPPER_ARM, FOREARM, HAND, SHOULDER_HEIGHT, SHOULDER_BREADTH = 0.186, 0.146, 0.108, 0.818, 0.259
HUB_TO_HANDS = math.sqrt((UPPER_ARM + FOREARM + 0.5 * HAND) ** 2 - (0.5 * SHOULDER_BREADTH) ** 2)
"""Over the stature: both arms straight, from the middle of the hand to the middle between the shoulders."""
WRIST_HEIGHT = SHOULDER_HEIGHT - UPPER_ARM - FOREARM
"""Over the stature, standing with the arms down."""


def stature_of_wrist(wrist_to_floor: float) -> float:
    """Stature, m, of a golfer whose wrist is so high, m, standing with the arms down."""
    return wrist_to_floor / WRIST_HEIGHT


def stature_of(plan: SwingPlan) -> float:
    """Stature, m, for which a plan's hub-to-hands length is in proportion."""
    return plan.arms.radius / HUB_TO_HANDS


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
    sine = by * (arms.radius + reach) * math.sin(arms.plane) / (by * arms.radius + reach)
    plane = math.asin(min(sine, math.sin(math.radians(75.0))))
    return replace(
        plan,
        arms=replace(
            arms,
            radius=by * arms.radius,
            hub_shift=by * arms.hub_shift,
            hub_lift=by * arms.hub_lift,
            plane=plane,
        ),
    )
