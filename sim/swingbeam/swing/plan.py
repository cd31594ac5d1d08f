"""What a golfer does, in numbers: the parameters of a swing, and the adjustment that makes it deliver."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..beam.errors import InputError

DEGREE = math.pi / 180.0


@dataclass(frozen=True)
class Tempo:
    """How long things take, s; times after the top are positive."""

    backswing: float
    downswing: float | None = None
    """None: found so that the delivered head speed is met."""
    transition_delay: float = 0.09
    """From the top to the middle of the arms' gathering speed."""
    transition_width: float = 0.25
    """Over which the arms' acceleration builds up."""


@dataclass(frozen=True)
class Arms:
    """The hands' path: arms that turn about a moving hub, in an inclined plane."""

    plane: float
    """Inclination of the swing plane from the ground, rad."""
    radius: float
    """Hub to hold point, m."""
    turn_at_top: float
    """Back from straight down the plane, rad, positive."""
    angle_at_impact: float
    """Past straight down, toward the target positive, rad."""
    rate_at_impact: float
    """rad/s"""
    peak: float
    """How long before impact the arms turn fastest, s."""
    slowing_width: float = 0.09
    """Over which the arms change from gathering speed to slowing, s."""
    hub_shift: float = 0.0
    """Of the hub toward the target during the downswing, m."""
    hub_lift: float = 0.0
    """Of the hub off the ground about impact, m."""


@dataclass(frozen=True)
class Wrists:
    """The hinge: set, held, and released by a couple."""

    hinge: float
    """Angle of the club behind the arms once set, rad, positive."""
    couple_at_impact: float
    """Of the hands on the club about the normal of the swing plane, N·m; positive drives the head forward."""
    fade: float
    """Over which the couple falls to that at impact, s."""
    push: float = 0.0
    """Couple added to what holds the hinge at the release, N·m; positive helps it open."""
    release_width: float = 0.08
    """Over which holding turns into letting go, s."""
    set_after_top: float = 0.155
    """How long after the top the hinge has reached its angle, s."""


@dataclass(frozen=True)
class Forearms:
    """The roll of the club about the shaft: a quarter turn open at the top."""

    rate_at_impact: float
    """Closing positive, rad/s."""
    onset_width: float = 0.06
    """Over which the rolling back starts, s."""


@dataclass(frozen=True)
class Target:
    """What the reference club shall deliver at the planned instant; rad, signs of DEVELOPERS.md."""

    face_angle: float
    dynamic_loft: float
    attack: float
    path: float
    head_speed: float | None
    """m/s; None: whatever the stated downswing time gives."""
    strike_toe: float = 0.0
    """Where on the face it strikes, m from the face centre, toe-ward positive."""
    strike_up: float = 0.0
    """m from the face centre, up the face positive."""


@dataclass(frozen=True)
class Adjustment:
    """The five unknowns that make a line deliver its target."""

    yaw: float
    """Of the whole swing about the vertical, rad, right-handed about +z."""
    pitch: float
    """Of the whole swing about the horizontal across the target line, rad, right-handed about +y."""
    lean: float
    """Of the line's shaft toward the target at impact, within the plane, rad: hands ahead positive."""
    roll: float
    """Forearm roll at impact, rad: open positive."""
    downswing: float
    """From the top to impact, s."""


@dataclass(frozen=True)
class SwingPlan:
    """A golfer's swing.

    Raises
    ------
    InputError
        Neither or both of downswing time and head speed are stated.
    """

    name: str
    tempo: Tempo
    arms: Arms
    wrists: Wrists
    forearms: Forearms
    target: Target
    start: Adjustment | None = None
    """Where the search for the adjustment starts; None: at a usual one."""

    def __post_init__(self) -> None:
        if (self.tempo.downswing is None) == (self.target.head_speed is None):
            raise InputError(
                f'swing "{self.name}": state either the downswing time or the head speed, and not both; '
                "the other one follows"
            )


FIRST_LEAN = 4.0 * DEGREE
"""Where the search for the lean starts; any value near serves."""
FIRST_DOWNSWING = 0.29
"""Where the search for the downswing time starts, s."""
