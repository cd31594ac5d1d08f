"""Types that records of files are made of: SI floats that are read from quantities."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from swingbeam.beam.errors import InputError

from .grammar import parse_quantity, show, written_unit
from .kinds import KINDS
from .text import describe, quote


class AsRead(float):
    """An SI value that was read from text before, to be put back into a file's table: taken to the last bit as it is,
    within the bounds of the place it is put into; `unit` is the one it was written in, for messages."""

    unit: str

    def __new__(cls, value: float, unit: str = "") -> AsRead:
        number = super().__new__(cls, value)
        number.unit = unit
        return number


@dataclass(frozen=True)
class Quantity:
    """Marks a record's float as a quantity: ``Annotated[float, Quantity("length", above=0.0)]``.

    `above` and `at_most` bound the SI value (`at_least` and `below` likewise); the message names the bound
    in the unit that was written. The reader accepts text with a unit only.
    """

    kind: str
    above: float | None = None
    at_least: float | None = None
    below: float | None = None
    at_most: float | None = None

    def read(self, text: object) -> float:
        """Text to SI; InputError when it is not this quantity or out of its bounds."""
        value = float(text) if isinstance(text, AsRead) else parse_quantity(text, self.kind)
        kind = KINDS[self.kind]
        bound = _broken_bound(value, self.above, self.at_least, self.below, self.at_most)
        if bound is None:
            return value
        words, limit = bound
        written = text.unit if isinstance(text, AsRead) else written_unit(text, self.kind)
        unit = written or kind.example.rsplit(" ", 1)[1]
        at = "0" if limit == 0.0 else show(limit, unit)
        found = quote(show(value, unit)) if isinstance(text, AsRead) else quote(text)
        raise InputError(f"found {found}; allowed: {kind.title} {words} {at}")

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)


@dataclass(frozen=True)
class PlainNumber:
    """Marks a record's float as a number without unit (Poisson's ratio, a factor), written without quotes."""

    above: float | None = None
    at_least: float | None = None
    below: float | None = None
    at_most: float | None = None

    def read(self, value: object) -> float:
        """A finite TOML number within the bounds; InputError otherwise."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise InputError(f"found {describe(value)}; allowed: a plain number without unit or quotes, such as 0.3")
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            raise InputError(f"found {quote(value)}; allowed: a finite number")
        if number != 0.0 and not 1e-12 <= abs(number) <= 1e12:
            raise InputError(f"found {quote(value)}; allowed: a number between 1e-12 and 1e12")
        bound = _broken_bound(number, self.above, self.at_least, self.below, self.at_most)
        if bound is not None:
            raise InputError(f"found {quote(value)}; allowed: a number {bound[0]} {bound[1]:g}")
        return number

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)


def _broken_bound(
    value: float, above: float | None, at_least: float | None, below: float | None, at_most: float | None
) -> tuple[str, float] | None:
    if above is not None and not value > above:
        return "above", above
    if at_least is not None and not value >= at_least:
        return "of at least", at_least
    if below is not None and not value < below:
        return "below", below
    if at_most is not None and not value <= at_most:
        return "of at most", at_most
    return None


# The types records are made of, SI floats once read. Bounds of one's own: Annotated[float, Quantity(...)].
Number = Annotated[float, PlainNumber()]
Length = Annotated[float, Quantity("length")]
PositiveLength = Annotated[float, Quantity("length", above=0.0)]
NonNegativeLength = Annotated[float, Quantity("length", at_least=0.0)]
PositiveMass = Annotated[float, Quantity("mass", above=0.0)]
NonNegativeMass = Annotated[float, Quantity("mass", at_least=0.0)]
Angle = Annotated[float, Quantity("angle")]
Time = Annotated[float, Quantity("time")]
PositiveTime = Annotated[float, Quantity("time", above=0.0)]
NonNegativeTime = Annotated[float, Quantity("time", at_least=0.0)]
Speed = Annotated[float, Quantity("speed")]
PositiveSpeed = Annotated[float, Quantity("speed", above=0.0)]
AngularRate = Annotated[float, Quantity("angular_rate")]
Frequency = Annotated[float, Quantity("frequency")]
PositiveFrequency = Annotated[float, Quantity("frequency", above=0.0)]
Force = Annotated[float, Quantity("force")]
Torque = Annotated[float, Quantity("torque")]
PositiveTorque = Annotated[float, Quantity("torque", above=0.0)]
PositiveStiffness = Annotated[float, Quantity("stiffness", above=0.0)]
MassPerLength = Annotated[float, Quantity("mass_per_length", at_least=0.0)]
PositiveMassPerLength = Annotated[float, Quantity("mass_per_length", above=0.0)]
Inertia = Annotated[float, Quantity("inertia")]
PositiveInertia = Annotated[float, Quantity("inertia", above=0.0)]
Density = Annotated[float, Quantity("density", at_least=0.0)]
PositiveDensity = Annotated[float, Quantity("density", above=0.0)]
Modulus = Annotated[float, Quantity("modulus", at_least=0.0)]
PositiveModulus = Annotated[float, Quantity("modulus", above=0.0)]
Ratio = Annotated[float, Quantity("ratio")]
NonNegativeRatio = Annotated[float, Quantity("ratio", at_least=0.0)]
Curvature = Annotated[float, Quantity("curvature")]
RotationalStiffness = Annotated[float, Quantity("rotational_stiffness", at_least=0.0)]
RotationalDamping = Annotated[float, Quantity("rotational_damping", at_least=0.0)]
