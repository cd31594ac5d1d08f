"""A made-up golfer and club, small enough to reason about, for the tests of the swing."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from swingbeam.beam import Profile, RigidBody, TipBody, rigid_body
from swingbeam.swing.archetype import load_swing, prepare
from swingbeam.swing.hands import HAND_INERTIA
from swingbeam.swing.line import Line, draw_line
from swingbeam.swing.plan import Adjustment, Arms, Forearms, SwingPlan, Target, Tempo, Wrists
from swingbeam.swing.reference import Reference

DEGREE = math.pi / 180.0

PROFILE = Profile([0.0, 1.0], [75.0, 20.0], [32.0, 10.0], [0.07, 0.05])
TIP = TipBody(0.2, [0.05, -0.018, 0.034], [[3e-4, 2e-5, -3e-5], [2e-5, 4e-4, 4e-5], [-3e-5, 4e-5, 2.5e-4]])
"""An offset centre of gravity and all three products of inertia, so that no term of the couple is idle."""
ADJUSTMENT = Adjustment(yaw=3 * DEGREE, pitch=-5 * DEGREE, lean=4 * DEGREE, roll=2 * DEGREE, downswing=0.30)


def root_tensor() -> np.ndarray:
    """(3, 3) kg·m²: the hands' inertia in the grip frame (shaft axis first)."""
    hinge, roll, third = HAND_INERTIA
    return np.diag([roll, third, hinge])


def body() -> RigidBody:
    """The rigid club with the hands' inertia."""
    club = rigid_body(PROFILE, TIP)
    return RigidBody(club.mass, club.first_moment, club.inertia + root_tensor())


def plan(**changes: Any) -> SwingPlan:
    """An even swing with hub travel; `changes` replace parameters of any group by name."""
    made = SwingPlan(
        name="made up",
        tempo=Tempo(backswing=1.0),
        arms=Arms(
            plane=50 * DEGREE,
            radius=0.65,
            turn_at_top=140 * DEGREE,
            angle_at_impact=8 * DEGREE,
            rate_at_impact=11.0,
            peak=0.07,
            hub_shift=0.08,
            hub_lift=0.04,
        ),
        wrists=Wrists(hinge=96 * DEGREE, couple_at_impact=-8.0, fade=0.09),
        forearms=Forearms(rate_at_impact=25.0),
        target=Target(0.0, 14 * DEGREE, 2 * DEGREE, 0.0, head_speed=45.0),
    )
    for group in ("tempo", "arms", "wrists", "target"):
        part = getattr(made, group)
        own = {key: value for key, value in changes.items() if hasattr(part, key)}
        made = replace(made, **{group: replace(part, **own)})
        changes = {key: value for key, value in changes.items() if key not in own}
    if "roll_rate" in changes:
        made = replace(made, forearms=Forearms(rate_at_impact=changes.pop("roll_rate")))
    if changes:
        raise KeyError(f"no such parameter: {sorted(changes)}")
    return made


def line(step: float = 1e-3, adjustment: Adjustment = ADJUSTMENT, **changes: Any) -> Line:
    """The made-up golfer's line."""
    return draw_line(plan(**changes), body(), adjustment, step=step)


@cache
def reference(name: str = "even") -> Reference:
    """The reference of an archetype of the library, made once for all tests of a process."""
    return prepare(load_swing(name))
