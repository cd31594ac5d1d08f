"""Kinds of quantity, each with its closed list of units and their exact factors to SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

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
    """A kind of quantity: its name in a sentence, units (factors to SI), an example, its range in SI, and for
    scales that do not begin at zero the SI value of their zero.

    A value other than zero must be between `smallest` and `largest` in size: outside of it a slip of the
    keyboard is certain, and the arithmetic behind would overflow.
    """

    title: str
    units: dict[str, float]
    example: str
    smallest: float
    largest: float
    zero: dict[str, float] = field(default_factory=dict)

    def to_si(self, number: float, unit: str) -> float:
        """A number of a unit of this kind, in SI."""
        return number * self.units[unit] + self.zero.get(unit, 0.0)

    def from_si(self, value: float, unit: str) -> float:
        """An SI value in a unit of this kind."""
        return (value - self.zero.get(unit, 0.0)) / self.units[unit]

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
    "temperature": Kind(
        "a temperature",
        {"degC": 1.0, "degF": 5.0 / 9.0},
        "20 degC",
        150.0,
        400.0,
        {"degC": 273.15, "degF": 273.15 - 32.0 * 5.0 / 9.0},
    ),
    "pressure": Kind(
        "an air pressure",
        {"hPa": 1e2, "mbar": 1e2, "kPa": 1e3, "inHg": 3386.389},
        "1013 hPa",
        1e3,
        2e5,
    ),
    "ratio": Kind("a share", {"%": 1e-2}, "1.5 %", 1e-12, 1e6),
    "curvature": Kind("a curvature", {"1/m": 1.0}, "3.3 1/m", 1e-9, 1e6),
    "rotational_stiffness": Kind("a rotational stiffness", {"N*m/rad": 1.0}, "20 N*m/rad", 1e-9, 1e9),
    "rotational_damping": Kind("a rotational damping", {"N*m*s/rad": 1.0}, "1.5 N*m*s/rad", 1e-9, 1e9),
}

KIND_OF_UNIT = {unit: kind for kind in KINDS.values() for unit in kind.units}

LIKELY = {
    '"': "in", "inch": "in", "inches": "in", "'": "ft", "foot": "ft", "feet": "ft", "yard": "yd",
    "yards": "yd", "metre": "m", "meter": "m", "millimetre": "mm", "millimeter": "mm", "gram": "g",
    "grams": "g", "gm": "g", "gr": "g", "lbs": "lb", "pound": "lb", "pounds": "lb", "ounce": "oz",
    "ounces": "oz", "°": "deg", "º": "deg", "degree": "deg", "degrees": "deg", "sec": "s", "second": "s",
    "seconds": "s", "msec": "ms", "kph": "km/h", "kmh": "km/h", "km/hr": "km/h", "mps": "m/s",
    "dps": "deg/s", "°/s": "deg/s", "hz": "Hz", "Nm": "N*m", "N.m": "N*m", "N-m": "N*m",
    "ft-lb": "ft*lbf", "ft-lbs": "ft*lbf", "ft*lb": "ft*lbf", "ft-lbf": "ft*lbf", "lbf*ft": "ft*lbf",
    "in-lb": "in*lbf", "in*lb": "in*lbf", "lbf*in": "in*lbf", "Nm^2": "N*m^2", "Nm2": "N*m^2",
    "N*m2": "N*m^2", "lb*in^2": "lbf*in^2", "kgm^2": "kg*m^2", "gcm^2": "g*cm^2", "g*cm2": "g*cm^2",
    "kg*m2": "kg*m^2", "g/cc": "g/cm^3", "percent": "%", "C": "degC", "°C": "degC", "degc": "degC", "F": "degF",
    "°F": "degF", "degf": "degF", "celsius": "degC", "fahrenheit": "degF", "hpa": "hPa", "kpa": "kPa", "mb": "mbar",
    "inhg": "inHg",
}  # fmt: skip
"""What people write for a unit of the lists; used to suggest, never to read."""
