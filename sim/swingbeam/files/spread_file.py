"""The tables of a swing's file that say how far it may be from the golfer's own, and where it came from."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record
from swingbeam.units import Number, PlainNumber, Quantity, nearest, parse_quantity, quote

PARAMETER_KINDS = {
    "tempo.backswing": "time",
    "tempo.transition_delay": "time",
    "tempo.transition_width": "time",
    "arms.plane": "angle",
    "arms.radius": "length",
    "arms.turn_at_top": "angle",
    "arms.angle_at_impact": "angle",
    "arms.rate_at_impact": "angular_rate",
    "arms.peak_before_impact": "time",
    "arms.slowing_width": "time",
    "arms.hub_shift": "length",
    "arms.hub_lift": "length",
    "wrists.hinge": "angle",
    "wrists.couple_at_impact": "torque",
    "wrists.fade": "time",
    "wrists.push": "torque",
    "wrists.release_width": "time",
    "wrists.set_after_top": "time",
    "forearms.roll_rate_at_impact": "angular_rate",
    "forearms.onset_width": "time",
    "delivery.face_angle": "angle",
    "delivery.dynamic_loft": "angle",
    "delivery.attack": "angle",
    "delivery.path": "angle",
    "delivery.head_speed": "speed",
}
"""Key of a swing's file → the kind of quantity of its value and of its standard deviation."""

Correlation = Annotated[float, PlainNumber(at_least=-1.0, at_most=1.0)]


class SpreadRow(Record):
    """One parameter: its standard deviation, and its correlations with those of the rows before it."""

    key: str = Field(description='a parameter of this file, such as "arms.radius"')
    deviation: str = Field(description='its standard deviation with a unit, such as "1.2 cm"')
    correlations: tuple[Correlation, ...] = Field(default=(), description="one for each row before, from the first")

    @model_validator(mode="after")
    def _check(self) -> SpreadRow:
        if self.key not in PARAMETER_KINDS:
            guess = nearest(self.key, list(PARAMETER_KINDS))
            hint = f'; did you mean "{guess}"?' if guess else ""
            raise InputError(f"key: found {quote(self.key)}; allowed: {', '.join(PARAMETER_KINDS)}{hint}")
        if not self.size > 0.0:
            raise InputError(f"deviation: found {quote(self.deviation)}; allowed: above 0")
        return self

    @property
    def size(self) -> float:
        """The standard deviation, SI."""
        return parse_quantity(self.deviation, PARAMETER_KINDS[self.key])


class ShotSpread(Record):
    """Standard deviations of the golfer's own figures from shot to shot; SI once read."""

    head_speed: Annotated[float, Quantity("speed", at_least=0.0)] | None = None
    attack: Annotated[float, Quantity("angle", at_least=0.0)] | None = None
    path: Annotated[float, Quantity("angle", at_least=0.0)] | None = None
    face_angle: Annotated[float, Quantity("angle", at_least=0.0)] | None = None
    dynamic_loft: Annotated[float, Quantity("angle", at_least=0.0)] | None = None
    closure: Annotated[float, Quantity("angular_rate", at_least=0.0)] | None = None
    tempo: Annotated[float, PlainNumber(at_least=0.0)] | None = None
    backswing: Annotated[float, Quantity("time", at_least=0.0)] | None = None
    downswing: Annotated[float, Quantity("time", at_least=0.0)] | None = None
    hand_speed: Annotated[float, Quantity("speed", at_least=0.0)] | None = None
    shaft_lean: Annotated[float, Quantity("angle", at_least=0.0)] | None = None
    strike_toe: Annotated[float, Quantity("length", at_least=0.0)] | None = None
    strike_up: Annotated[float, Quantity("length", at_least=0.0)] | None = None


class SpreadTable(Record):
    """How far the swing may be from the golfer's own (`parameters`), and he from himself (`shots`)."""

    parameters: tuple[SpreadRow, ...] = Field(description="a list of { key, deviation, correlations }")
    shots: ShotSpread = ShotSpread()

    @model_validator(mode="after")
    def _check(self) -> SpreadTable:
        keys = [row.key for row in self.parameters]
        twice = next((key for key in keys if keys.count(key) > 1), None)
        if twice is not None:
            raise InputError(f"parameters: found {quote(twice)} twice; allowed: once")
        for number, row in enumerate(self.parameters):
            if len(row.correlations) not in (0, number):
                raise InputError(
                    f"parameters #{number + 1}.correlations: found {len(row.correlations)}; "
                    f"allowed: {number}, one for each row before (or none: not correlated)"
                )
        return self


class MatchedFigure(Record):
    """One figure the swing was matched to, in people's units."""

    figure: str = Field(description="which figure")
    measured: str = Field(description="its mean")
    error: str = Field(description="the standard error of the mean")
    delivered: str = Field(description="what the matched swing delivers")


class MatchedTable(Record):
    """Where a matched swing came from."""

    customer: str = Field(description="whose figures")
    archetype: str = Field(description="the archetype it started from")
    version: str = Field(description="of swingbeam")
    figures: tuple[MatchedFigure, ...] = ()
    pinned_down: tuple[str, ...] = ()
    partly: tuple[str, ...] = ()
    not_pinned_down: tuple[str, ...] = ()
    misfit: Number = 0.0
