"""Quantities with units: the only door through which a person's numbers become SI floats, and back.

A quantity is text such as ``"45.5 in"``: one number, one unit. The number grammar is our own and strict (an
ASCII sign, digits, a decimal point, an exponent), and each kind of quantity has a closed list of units: a
general unit parser reads "1,5 in" as 15 in and "−5 deg", with a typographic minus, as +5 deg.

>>> parse_quantity("45.5 in", "length")
1.1557
>>> show(1.1557, "in", 2)
'45.50 in'
"""

from __future__ import annotations

import difflib
import json
import math
import re
import unicodedata
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from swingbeam.beam.errors import InputError, SimulationError

__all__ = [
    "KINDS",
    "Angle",
    "AngularRate",
    "Curvature",
    "Density",
    "Force",
    "Frequency",
    "Inertia",
    "InputError",
    "Length",
    "MassPerLength",
    "Modulus",
    "NonNegativeLength",
    "NonNegativeMass",
    "NonNegativeRatio",
    "NonNegativeTime",
    "Number",
    "PlainNumber",
    "PositiveDensity",
    "PositiveFrequency",
    "PositiveInertia",
    "PositiveLength",
    "PositiveMass",
    "PositiveMassPerLength",
    "PositiveModulus",
    "PositiveSpeed",
    "PositiveStiffness",
    "PositiveTime",
    "PositiveTorque",
    "Quantity",
    "Ratio",
    "RotationalDamping",
    "RotationalStiffness",
    "SimulationError",
    "Speed",
    "Time",
    "Torque",
    "parse_number",
    "parse_quantity",
    "show",
    "to_unit",
]

# Exact by definition (international yard and pound agreement of 1959; CGPM 1901 for standard gravity;
# Thompson & Taylor, Guide for the Use of the SI, NIST SP 811 (2008), appendix B).
METRES_PER_INCH = 0.0254
KILOGRAMS_PER_POUND = 0.45359237
STANDARD_GRAVITY = 9.80665  # m/s²
NEWTONS_PER_POUND_FORCE = 4.4482216152605  # 0.45359237 kg · 9.80665 m/s²
NEWTON_METRES_PER_FOOT_POUND = 1.3558179483314004  # · 0.3048 m
METRES_PER_SECOND_PER_MPH = 0.44704  # 1609.344 m / 3600 s
KILOGRAMS_PER_GRAIN = KILOGRAMS_PER_POUND / 7000.0
PASCALS_PER_PSI = NEWTONS_PER_POUND_FORCE / METRES_PER_INCH**2


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: its name in a sentence, units (factors to SI), an example, its range in SI.

    A value other than zero must be between `smallest` and `largest` in size: outside of it a slip of the
    keyboard is certain, and the arithmetic behind would overflow.
    """

    title: str
    units: dict[str, float]
    example: str
    smallest: float
    largest: float

    def allowed(self) -> str:
        """The sentence that says what may be written."""
        names = list(self.units)
        listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"
        return f'{self.title} in {listed}, such as "{self.example}"'


_DEGREE = math.pi / 180.0
_TURN_PER_MINUTE = 2.0 * math.pi / 60.0

KINDS: dict[str, Kind] = {
    "length": Kind(
        "a length",
        {
            "mm": 1e-3,
            "cm": 1e-2,
            "m": 1.0,
            "in": METRES_PER_INCH,
            "ft": 12 * METRES_PER_INCH,
            "yd": 36 * METRES_PER_INCH,
        },
        "45.5 in",
        1e-9,
        1e4,
    ),
    "mass": Kind(
        "a mass",
        {"g": 1e-3, "kg": 1.0, "oz": KILOGRAMS_PER_POUND / 16.0, "lb": KILOGRAMS_PER_POUND},
        "62 g",
        1e-9,
        1e4,
    ),
    "angle": Kind("an angle", {"deg": _DEGREE, "rad": 1.0}, "10.5 deg", 1e-9, 1e4),
    "time": Kind("a time", {"s": 1.0, "ms": 1e-3}, "0.28 s", 1e-9, 1e4),
    "speed": Kind("a speed", {"m/s": 1.0, "mph": METRES_PER_SECOND_PER_MPH, "km/h": 1 / 3.6}, "46 m/s", 1e-9, 1e4),
    "angular_rate": Kind(
        "an angular rate", {"deg/s": _DEGREE, "rad/s": 1.0, "rpm": _TURN_PER_MINUTE}, "2000 deg/s", 1e-9, 1e6
    ),
    "frequency": Kind("a frequency", {"cpm": 1.0 / 60.0, "Hz": 1.0}, "258 cpm", 1e-9, 1e6),
    "force": Kind("a force", {"N": 1.0, "lbf": NEWTONS_PER_POUND_FORCE}, "10 N", 1e-9, 1e6),
    "torque": Kind(
        "a torque",
        {
            "N*m": 1.0,
            "ft*lbf": NEWTON_METRES_PER_FOOT_POUND,
            "in*lbf": NEWTON_METRES_PER_FOOT_POUND / 12.0,
        },
        "1 ft*lbf",
        1e-9,
        1e6,
    ),
    "stiffness": Kind(
        "a bending or torsional stiffness",
        {"N*m^2": 1.0, "lbf*in^2": NEWTONS_PER_POUND_FORCE * METRES_PER_INCH**2},
        "42 N*m^2",
        1e-6,
        1e9,
    ),
    "mass_per_length": Kind(
        "a mass per length",
        {
            "g/m": 1e-3,
            "kg/m": 1.0,
            "g/in": 1e-3 / METRES_PER_INCH,
            "gr/in": KILOGRAMS_PER_GRAIN / METRES_PER_INCH,
        },
        "55 g/m",
        1e-9,
        1e4,
    ),
    "inertia": Kind("a moment of inertia", {"kg*m^2": 1.0, "g*cm^2": 1e-7}, "4500 g*cm^2", 1e-12, 1e4),
    "density": Kind("a density", {"kg/m^3": 1.0, "g/cm^3": 1e3}, "7850 kg/m^3", 1e-3, 1e6),
    "modulus": Kind(
        "an elastic modulus",
        {"GPa": 1e9, "MPa": 1e6, "psi": PASCALS_PER_PSI, "Msi": 1e6 * PASCALS_PER_PSI},
        "205 GPa",
        1.0,
        1e15,
    ),
    "ratio": Kind("a share", {"%": 1e-2}, "1.5 %", 1e-12, 1e6),
    "curvature": Kind("a curvature", {"1/m": 1.0}, "3.3 1/m", 1e-9, 1e6),
    "rotational_stiffness": Kind("a rotational stiffness", {"N*m/rad": 1.0}, "20 N*m/rad", 1e-9, 1e9),
    "rotational_damping": Kind("a rotational damping", {"N*m*s/rad": 1.0}, "1.5 N*m*s/rad", 1e-9, 1e9),
}

_KIND_OF_UNIT = {unit: kind for kind in KINDS.values() for unit in kind.units}

# What people write for a unit of the lists; used to suggest, never to read.
_LIKELY = {
    '"': "in", "inch": "in", "inches": "in", "'": "ft", "foot": "ft", "feet": "ft", "yard": "yd",
    "yards": "yd", "metre": "m", "meter": "m", "millimetre": "mm", "millimeter": "mm", "gram": "g",
    "grams": "g", "gm": "g", "gr": "g", "lbs": "lb", "pound": "lb", "pounds": "lb", "ounce": "oz",
    "ounces": "oz", "°": "deg", "º": "deg", "degree": "deg", "degrees": "deg", "sec": "s", "second": "s",
    "seconds": "s", "msec": "ms", "kph": "km/h", "kmh": "km/h", "km/hr": "km/h", "mps": "m/s",
    "dps": "deg/s", "°/s": "deg/s", "hz": "Hz", "Nm": "N*m", "N.m": "N*m", "N-m": "N*m",
    "ft-lb": "ft*lbf", "ft-lbs": "ft*lbf", "ft*lb": "ft*lbf", "ft-lbf": "ft*lbf", "lbf*ft": "ft*lbf",
    "in-lb": "in*lbf", "in*lb": "in*lbf", "lbf*in": "in*lbf", "Nm^2": "N*m^2", "Nm2": "N*m^2",
    "N*m2": "N*m^2", "lb*in^2": "lbf*in^2", "kgm^2": "kg*m^2", "gcm^2": "g*cm^2", "g*cm2": "g*cm^2",
    "kg*m2": "kg*m^2", "g/cc": "g/cm^3", "percent": "%",
}  # fmt: skip

_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?")
_DASHES = "‐‑‒–—―−⁻﹣－"
_UNIT_LETTERS = str.maketrans({"·": "*", "⋅": "*", "²": "^2", "³": "^3"})
_COMPOUND = re.compile(r"^\S+\s+[-+.0-9]")


def quote(value: object, longest: int = 60) -> str:
    """A value as a user would recognise it, on one line and not too long."""
    try:
        text = json.dumps(value, ensure_ascii=False) if isinstance(value, str) else str(value)
    except ValueError:  # an integer too long for Python to print
        return "a number with thousands of digits"
    text = "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in text)
    return text if len(text) <= longest else f"{text[: longest - 1]}…"


def nearest(word: str, known: list[str] | tuple[str, ...]) -> str | None:
    """The known word most like `word`, or None."""
    found = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    if found:
        return found[0]
    lower = {k.lower(): k for k in known}
    found = difflib.get_close_matches(word.lower(), list(lower), n=1, cutoff=0.6)
    return lower[found[0]] if found else None


def _odd_character(text: str) -> str | None:
    """A sentence about a character that no number may hold, or None."""
    for c in text:
        if c in _DASHES:
            return f'the sign is "{c}" (U+{ord(c):04X}), not the hyphen of the keyboard: type "-"'
        if c not in "·⋅²³°º" and not (c.isascii() and (c.isprintable() or c == "\t")):
            return f"it holds the character {unicodedata.name(c, f'U+{ord(c):04X}')}: type plain characters"
    return None


def _leading_number(text: str, allowed: str) -> tuple[float, str]:
    """Split off the number; the rest (unit) is returned as written."""
    body = text.strip(" \t")
    odd = _odd_character(body)
    if odd:
        raise InputError(f"found {quote(text)}; {odd}; allowed: {allowed}")
    match = _NUMBER.match(body)
    if match is None:
        hint = ""
        if re.match(r"[+-]?\.[0-9]", body):
            hint = f'; write a digit before the point: "{body.replace(".", "0.", 1)}"'
        elif re.match(r"[+-]\s+[0-9]", body):
            hint = "; no space after the sign"
        raise InputError(f"found {quote(text)}, which does not start with a number{hint}; allowed: {allowed}")
    rest = body[match.end() :]
    if rest.startswith(","):
        fixed = f"{match.group()}.{rest[1:]}"
        raise InputError(
            f"found {quote(text)}; a decimal comma is not read: write a point, "
            f"{quote(fixed)}, and no thousands separators; allowed: {allowed}"
        )
    if rest[:1] in (".", "_") or re.match(r"[eE][+-]?[0-9]", rest):
        raise InputError(
            f"found {quote(text)}; a number is digits, a decimal point with digits after it, "
            f"an exponent, such as 1.5 or -2e-3; allowed: {allowed}"
        )
    value = float(match.group())
    if not math.isfinite(value):
        raise InputError(f"found {quote(text)}, a number too large to be finite; allowed: {allowed}")
    return value, rest.strip(" \t")


def parse_number(text: str) -> float:
    """Read a bare number by the strict grammar.

    Raises
    ------
    InputError
        Anything else than one finite number.
    """
    value, rest = _leading_number(text, "a number such as 1.5")
    if rest:
        raise InputError(f"found {quote(text)}; allowed: a number without a unit, such as 1.5")
    return value


def parse_quantity(text: object, kind: str) -> float:
    """Read a quantity into SI.

    Parameters
    ----------
    text : str such as "45.5 in"
    kind : a key of `KINDS`

    Raises
    ------
    InputError
        Not text, no number, no unit, an unknown unit (the nearest is suggested), a unit of another kind, a
        number that is not finite or out of all proportion. The message says what was found and what is
        allowed.
    """
    rule = KINDS[kind]
    allowed = rule.allowed()
    if not isinstance(text, str):
        if isinstance(text, bool) or not isinstance(text, int | float):
            raise InputError(f"found {_describe(text)}; allowed: {allowed}")
        raise InputError(
            f"found {quote(text)}, a bare number; a unit is needed; allowed: {allowed} (in quotation marks)"
        )
    number, written = _leading_number(text, allowed)
    unit = written.translate(_UNIT_LETTERS)
    if not unit:
        raise InputError(f"found {quote(text)}, a number without a unit; allowed: {allowed}")
    factor = rule.units.get(unit)
    if factor is None:
        raise InputError(_wrong_unit(text, written, unit, rule))
    value = number * factor
    if value != 0.0 and not rule.smallest <= abs(value) <= rule.largest:
        base = next((name for name, factor in rule.units.items() if factor == 1.0), next(iter(rule.units)))
        span = f"{rule.smallest / rule.units[base]:g} and {rule.largest / rule.units[base]:g} {base}"
        raise InputError(f"found {quote(text)}, out of all proportion for {rule.title}; allowed: between {span}")
    return value


def _wrong_unit(text: str, written: str, unit: str, rule: Kind) -> str:
    allowed = rule.allowed()
    if _COMPOUND.match(written):
        return f"found {quote(text)}; one number and one unit are needed, sums are not read; allowed: {allowed}"
    other = _KIND_OF_UNIT.get(unit)
    if other is not None:
        return f"found {quote(text)}, {other.title}; allowed: {allowed}"
    guess = _LIKELY.get(unit) or _LIKELY.get(unit.lower())
    if guess not in rule.units:
        guess = nearest(unit, list(rule.units))
    hint = f'; did you mean "{guess}"?' if guess else ""
    return f"found {quote(text)}, unit {quote(written, 20)} is not known; allowed: {allowed}{hint}"


def _describe(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, dict):
        return "a table"
    return quote(value)


def to_unit(value: float, unit: str) -> float:
    """An SI value in a unit of the lists.

    Raises
    ------
    InputError
        The unit is in none of the lists.
    """
    plain = unit.translate(_UNIT_LETTERS)
    if plain not in _KIND_OF_UNIT:
        raise InputError(f"unit {quote(unit)} is not known")
    return value / _KIND_OF_UNIT[plain].units[plain]


def show(value: float, unit: str, decimals: int | None = None) -> str:
    """An SI value in people's units: ``show(1.1557, "in", 2)`` is ``"45.50 in"``.

    Without `decimals`, up to six significant digits. The text reads back through `parse_quantity`.
    """
    number = to_unit(value, unit)
    written = f"{number:.6g}" if decimals is None else f"{number:.{decimals}f}"
    if float(written) == 0.0:
        written = written.lstrip("-")
    return f"{written} {unit}"


@dataclass(frozen=True)
class Quantity:
    """Marks a record's float as a quantity: ``Annotated[float, Quantity("length", above=0.0)]``.

    `above` and `at_most` bound the SI value (`at_least` and `below` likewise); the message names the bound
    in the kind's own units. The reader accepts text with a unit only.
    """

    kind: str
    above: float | None = None
    at_least: float | None = None
    below: float | None = None
    at_most: float | None = None

    def read(self, text: object) -> float:
        """Text to SI; InputError when it is not this quantity or out of its bounds."""
        value = parse_quantity(text, self.kind)
        kind = KINDS[self.kind]
        bound = _broken_bound(value, self.above, self.at_least, self.below, self.at_most)
        if bound is None:
            return value
        words, limit = bound
        unit = kind.example.rsplit(" ", 1)[1]
        at = "0" if limit == 0.0 else show(limit, unit)
        raise InputError(f"found {quote(text)}; allowed: {kind.title} {words} {at}")

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
            raise InputError(f"found {_describe(value)}; allowed: a plain number without unit or quotes, such as 0.3")
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
