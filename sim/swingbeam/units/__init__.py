"""Quantities with units: the only door through which a person's numbers become SI floats, and back.

A quantity is text such as ``"45.5 in"``: one number, one unit. The number grammar is our own and strict (an
ASCII sign, digits, a decimal point, an exponent), and each kind of quantity has a closed list of units: a
general unit parser reads "1,5 in" as 15 in and "−5 deg", with a typographic minus, as +5 deg.

>>> parse_quantity("45.5 in", "length")
1.1557
>>> show(1.1557, "in", 2)
'45.50 in'
"""

from swingbeam.beam.errors import InputError, SimulationError

from .grammar import parse_number, parse_quantity, show, to_unit
from .kinds import KINDS
from .records import (
    Angle,
    AngularRate,
    AsRead,
    Curvature,
    Density,
    Force,
    Frequency,
    Inertia,
    Length,
    MassPerLength,
    Modulus,
    NonNegativeLength,
    NonNegativeMass,
    NonNegativeRatio,
    NonNegativeTime,
    Number,
    PlainNumber,
    PositiveDensity,
    PositiveFrequency,
    PositiveInertia,
    PositiveLength,
    PositiveMass,
    PositiveMassPerLength,
    PositiveModulus,
    PositiveSpeed,
    PositiveStiffness,
    PositiveTime,
    PositiveTorque,
    Quantity,
    Ratio,
    RotationalDamping,
    RotationalStiffness,
    Speed,
    Time,
    Torque,
)
from .text import nearest, quote

__all__ = [
    "KINDS",
    "Angle",
    "AngularRate",
    "AsRead",
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
    "nearest",
    "parse_number",
    "parse_quantity",
    "quote",
    "show",
    "to_unit",
]
