"""From the meeting of head and ball to the shot: launch and flight in the figures people use."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, fields, replace

import numpy as np
from numpy.typing import NDArray

from .air import Air
from .blow import Ball, Blow, ContactLaw, strike_ball
from .flight import DIMPLED, Aerodynamics, fly
from .meeting import Meeting

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Shot:
    """Launch and flight; SI. For a left-hander, who is simulated right-handed, "right" reads "left".

    Attributes
    ----------
    ball_speed : m/s
    launch_angle : rad, above level
    launch_direction : rad from the target line, to the right (the side an open face sends it to) +
    spin_rate : rad/s
    back_spin : rad/s, about the level axis across the launch; the top of the ball moves backward +
    side_spin : rad/s, about the axis square to that and to the launch: slice +, hook −
    spin_axis : rad, atan2(side_spin, back_spin): tilted to the right, slice +
    carry : m along the target line to the ground
    side : m from the target line as it lands, right +
    apex : m above where the ball lay
    descent : rad below level as it lands
    flight_time : s
    """

    ball_speed: float
    launch_angle: float
    launch_direction: float
    spin_rate: float
    back_spin: float
    side_spin: float
    spin_axis: float
    carry: float
    side: float
    apex: float
    descent: float
    flight_time: float

    def minus(self, other: Shot) -> Shot:
        """The change of every figure against another shot's."""
        return Shot(*(getattr(self, f.name) - getattr(other, f.name) for f in fields(self)))

    def array(self) -> Array:
        """(12,) the figures in their order."""
        return np.array([getattr(self, f.name) for f in fields(self)])


FIGURES = tuple(f.name for f in fields(Shot))
"""Names of the figures of a shot in their order."""


@dataclass(frozen=True)
class ShotSetting:
    """What a shot rests on beside the meeting of head and ball."""

    law: ContactLaw = field(default_factory=ContactLaw)
    air: Air = field(default_factory=Air)
    ball: Ball = field(default_factory=Ball)
    aerodynamics: Aerodynamics = DIMPLED
    left_handed: bool = False


def blow_of(meeting: Meeting, setting: ShotSetting) -> Blow:
    """The blow alone.

    Raises
    ------
    SimulationError
        As of `strike_ball`.
    """
    return strike_ball(meeting.head, setting.law, setting.ball)


def shot_of(meeting: Meeting, setting: ShotSetting) -> Shot:
    """Blow and flight.

    Raises
    ------
    SimulationError
        There is no blow, or the ball does not fly to the ground.
    """
    return shot_after(blow_of(meeting, setting), meeting, setting)


def shot_after(blow: Blow, meeting: Meeting, setting: ShotSetting) -> Shot:
    """The flight that follows a blow."""
    v, w = blow.ball_velocity, blow.ball_spin
    landing = fly(
        v,
        w,
        setting.air,
        height=meeting.height,
        ball=setting.ball,
        aerodynamics=setting.aerodynamics,
        left_handed=setting.left_handed,
    )
    speed, level = float(np.linalg.norm(v)), math.hypot(v[0], v[1])
    right = np.array([v[1], -v[0], 0.0]) / level
    above = np.cross(right, v / speed)
    back, side = float(w @ right), float(-(w @ above))
    return Shot(
        ball_speed=speed,
        launch_angle=math.atan2(v[2], level),
        launch_direction=math.atan2(-v[1], v[0]),
        spin_rate=float(np.linalg.norm(w)),
        back_spin=back,
        side_spin=side,
        spin_axis=math.atan2(side, back),
        carry=landing.carry,
        side=landing.side,
        apex=landing.apex,
        descent=landing.descent,
        flight_time=landing.time,
    )


def curve_words(spin_axis: float, threshold: float = math.radians(1.0)) -> str:
    """The flight's curve in words: "slice" (away from the golfer's side) +, "hook" −, "straight" within 1°."""
    if abs(spin_axis) < threshold:
        return "straight"
    return "slice" if spin_axis > 0.0 else "hook"


def with_law(setting: ShotSetting, **changes: float) -> ShotSetting:
    """A setting with some numbers of its contact law replaced."""
    return replace(setting, law=replace(setting.law, **changes))
