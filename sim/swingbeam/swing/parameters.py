"""The numbers a golfer is described by, one by one: their keys in a swing's file, and how far golfers differ.

A width is the standard deviation with which an archetype's value may be wrong for another golfer. Where the
starter archetypes differ it is √2 times their standard deviation (of the eight with a driver at 40 to 50 m/s):
the usual difference between two of them. Where all of them have one value it is stated, from common practice or
from memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from ..beam.errors import InputError
from ..units import quote
from .plan import DEGREE, SwingPlan

ARCHETYPES = "the starter archetypes"
PRACTICE = "common practice, no source"
MEMORY = "from memory"


@dataclass(frozen=True)
class Parameter:
    """One number of a swing; SI."""

    key: str
    """In a swing's file: table and key."""
    words: str
    unit: str
    """As people write it."""
    width: float
    """How far golfers are from an archetype: a standard deviation."""
    source: str
    """Where the width comes from."""
    least: float
    most: float
    attribute: str = ""
    """In the plan, where it differs from the key."""

    @property
    def place(self) -> tuple[str, str]:
        """(part of the plan, attribute)"""
        table, name = self.key.split(".")
        return ("target" if table == "delivery" else table), self.attribute or name


MOTION = (
    Parameter("tempo.backswing", "backswing time", "s", 0.062, ARCHETYPES, 0.4, 3.0),
    Parameter("tempo.transition_delay", "transition delay", "ms", 0.0096, ARCHETYPES, 0.03, 0.16),
    Parameter("tempo.transition_width", "transition width", "ms", 0.0227, ARCHETYPES, 0.12, 0.4),
    Parameter("arms.plane", "swing plane", "deg", 3.0 * DEGREE, PRACTICE, 32.0 * DEGREE, 78.0 * DEGREE),
    Parameter("arms.radius", "hub to hands", "cm", 0.03, MEMORY, 0.35, 0.9),
    Parameter("arms.turn_at_top", "turn at the top", "deg", 6.0 * DEGREE, PRACTICE, 90.0 * DEGREE, 190.0 * DEGREE),
    Parameter("arms.angle_at_impact", "arm angle at impact", "deg", 4.3 * DEGREE, ARCHETYPES, -0.26, 0.7),
    Parameter("arms.rate_at_impact", "arm rate at impact", "rad/s", 1.4, ARCHETYPES, 3.0, 22.0),
    Parameter("arms.peak_before_impact", "arms fastest before impact", "ms", 0.011, ARCHETYPES, 0.02, 0.15, "peak"),
    Parameter("arms.slowing_width", "width of the arms' slowing", "ms", 0.015, ARCHETYPES, 0.04, 0.2),
    Parameter("arms.hub_shift", "hub shift", "cm", 0.02, PRACTICE, -0.1, 0.25),
    Parameter("arms.hub_lift", "hub lift", "cm", 0.015, PRACTICE, -0.1, 0.2),
    Parameter("wrists.hinge", "hinge at the top", "deg", 4.6 * DEGREE, ARCHETYPES, 60.0 * DEGREE, 130.0 * DEGREE),
    Parameter("wrists.couple_at_impact", "couple at impact", "N*m", 7.85, ARCHETYPES, -30.0, 25.0),
    Parameter("wrists.fade", "fade of the couple", "ms", 0.038, ARCHETYPES, 0.025, 0.3),
    Parameter("wrists.push", "push at the release", "N*m", 2.3, ARCHETYPES, -8.0, 15.0),
    Parameter("wrists.release_width", "release width", "ms", 0.034, ARCHETYPES, 0.03, 0.25),
    Parameter("wrists.set_after_top", "wrists set after the top", "ms", 0.015, PRACTICE, 0.08, 0.25),
    Parameter(
        "forearms.roll_rate_at_impact", "roll rate at impact", "deg/s", 155.0 * DEGREE, ARCHETYPES, 10.0, 60.0,
        "rate_at_impact",
    ),
    Parameter("forearms.onset_width", "onset of the roll", "ms", 0.01, PRACTICE, 0.03, 0.12),
)  # fmt: skip
"""What a golfer does; the bounds keep a search within what the equations of a line are meant for."""

DELIVERY = (
    Parameter("delivery.face_angle", "face angle", "deg", 3.0 * DEGREE, PRACTICE, -20.0 * DEGREE, 20.0 * DEGREE),
    Parameter("delivery.dynamic_loft", "dynamic loft", "deg", 2.5 * DEGREE, PRACTICE, 0.0, 70.0 * DEGREE),
    Parameter("delivery.attack", "attack", "deg", 2.5 * DEGREE, PRACTICE, -15.0 * DEGREE, 15.0 * DEGREE),
    Parameter("delivery.path", "path", "deg", 3.5 * DEGREE, PRACTICE, -20.0 * DEGREE, 20.0 * DEGREE),
    Parameter("delivery.head_speed", "head speed", "m/s", 4.0, PRACTICE, 10.0, 80.0),
)
"""What the reference club delivers, in the order in which a swing is aimed."""

PARAMETERS = (*MOTION, *DELIVERY)
BY_KEY = {p.key: p for p in PARAMETERS}


def value_of(plan: SwingPlan, key: str) -> float:
    """A plan's value, SI.

    Raises
    ------
    InputError
        No such parameter, or one the plan leaves open.
    """
    part, name = _known(key).place
    value = getattr(getattr(plan, part), name)
    if value is None:
        raise InputError(f'swing "{plan.name}": {key} is not stated')
    return float(value)


def with_values(plan: SwingPlan, values: Mapping[str, float]) -> SwingPlan:
    """A plan with some parameters replaced, by key, SI; a head speed makes the downswing time follow.

    Raises
    ------
    InputError
        No such parameter, or a value that is not finite.
    """
    changes: dict[str, dict[str, Any]] = {}
    for key, value in values.items():
        part, name = _known(key).place
        if not math.isfinite(value):
            raise InputError(f"{key}: found {value}; allowed: a finite number")
        changes.setdefault(part, {})[name] = float(value)
    if "delivery.head_speed" in values:
        changes.setdefault("tempo", {})["downswing"] = None
    return replace(plan, **{part: replace(getattr(plan, part), **own) for part, own in changes.items()})


def _known(key: str) -> Parameter:
    if key not in BY_KEY:
        raise InputError(f"found {quote(key)}; allowed: {', '.join(BY_KEY)}")
    return BY_KEY[key]
