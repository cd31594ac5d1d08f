"""Weight, balance point, MOI about the butt and swing weight; finished length and lie of a built club."""

from __future__ import annotations

import math
from dataclasses import dataclass

from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.specimen import Specimen, Subject, specimen
from swingbeam.club.build import LENGTH_ANGLE, LENGTH_METHOD, axis_to_ground
from swingbeam.shaft.shaft import integrate
from swingbeam.units import NonNegativeLength, show
from swingbeam.units.kinds import KILOGRAMS_PER_POUND, METRES_PER_INCH

INCH_OUNCE = METRES_PER_INCH * KILOGRAMS_PER_POUND / 16.0
"""kg·m in an inch-ounce, the mass moment that swing weight is read in."""
SWING_WEIGHT_A0 = 161.0
SWING_WEIGHT_POINT = 1.75
"""Inch-ounces at A0 and per point; ten points to a letter, A to G. From memory; common practice, no source."""
SWING_WEIGHT_SCALE = (
    "Swing weight: mass moment of the whole club about a fulcrum 14 in from the butt end, in inch-ounces; letter scale "
    "with A0 at 161 inch-ounces and 1.75 to a point, ten points to a letter (common practice, no source)."
)
LIE_METHOD = "Lie: between shaft axis and ground with the sole line level; it is the head's own, which a shaft leaves."


@dataclass(frozen=True)
class BalanceSetup:
    """How weight and balance are read; the fulcrum is common practice, no source.

    Attributes
    ----------
    fulcrum : float, m from the butt end, of the swing-weight scale
    """

    fulcrum: NonNegativeLength = 14.0 * 0.0254

    def __str__(self) -> str:
        return f"swing weight about {show(self.fulcrum, 'in')} from the butt end"


@dataclass(frozen=True)
class BalanceReading:
    """Weight and how it is spread; SI. What a bare shaft does not have is nan.

    Attributes
    ----------
    mass : kg
    balance_point : m from the butt end, along the shaft
    balance_share : balance point over the raw length (of a built club: of the cut shaft)
    moi_butt : kg·m² about the axis through the butt end that the club turns about in a swing: across the shaft,
        toward the toe of the square face
    swing_weight : kg·m about the fulcrum, head-heavy +; of a built club
    finished_length : m, by `club.build.LENGTH_METHOD`
    lie : rad, by `LIE_METHOD`
    """

    mass: float
    balance_point: float
    balance_share: float
    moi_butt: float
    swing_weight: float
    finished_length: float
    lie: float

    @property
    def swing_weight_letter(self) -> str | None:
        """Swing weight by the letter scale, such as "D2.1"; None for a bare shaft or off the scale."""
        return swing_weight_letter(self.swing_weight)


def swing_weight_letter(moment: float) -> str | None:
    """A mass moment (kg·m) by `SWING_WEIGHT_SCALE`; None where it has no letter.

    >>> swing_weight_letter(213.5 * INCH_OUNCE)
    'D0.0'
    """
    if not math.isfinite(moment):
        return None
    tenths = round(10.0 * (moment / INCH_OUNCE - SWING_WEIGHT_A0) / SWING_WEIGHT_POINT)
    letter, rest = divmod(tenths, 100)
    return f"{'ABCDEFG'[letter]}{rest / 10.0:.1f}" if 0 <= letter < 7 else None


def read_balance(subject: Subject, setup: BalanceSetup | None = None) -> BalanceReading:
    """Weight, balance point, MOI about the butt; of a built club swing weight, finished length and lie too.

    Sums over shaft, head and grip (a thin tube over the butt); the parallel-axis theorem.

    Raises
    ------
    InputError
        A negative fulcrum.
    """
    use = BalanceSetup() if setup is None else setup
    if use.fulcrum < 0.0:
        raise InputError("balance: found a negative fulcrum; allowed: from 0 in of the butt end")
    on_bench = specimen(subject)
    mass, first, second = _sums(on_bench)
    built = on_bench.head is not None
    ground = axis_to_ground(on_bench.head, LENGTH_ANGLE) if on_bench.head is not None else math.nan
    return BalanceReading(
        mass=mass,
        balance_point=first / mass,
        balance_share=first / mass / on_bench.raw_length,
        moi_butt=second,
        swing_weight=first - use.fulcrum * mass if built else math.nan,
        finished_length=on_bench.end + ground,
        lie=math.nan if on_bench.head is None else on_bench.head.lie,
    )


def _sums(on_bench: Specimen) -> tuple[float, float, float]:
    """Mass, first moment and moment of inertia about the butt end."""
    shaft = on_bench.shaft
    mass, centre, about_centre = integrate(shaft, 0.0, shaft.raw_length)
    first, second = mass * centre, about_centre + mass * centre**2
    if on_bench.head is not None:
        head = on_bench.head
        place = on_bench.end + float(head.cg[0])
        mass += head.mass
        first += head.mass * place
        second += float(head.inertia[2, 2]) + head.mass * (place**2 + float(head.cg[1]) ** 2)
    grip, length = on_bench.grip_mass, on_bench.grip_length
    return mass + grip, first + 0.5 * grip * length, second + grip * length**2 / 3.0


TEST = BenchTest(
    "balance",
    BalanceSetup,
    read_balance,
    (
        Reading("mass_g", "mass", "g", "weight\ng", "weight", 1, usual_error=0.5),
        Reading(
            "balance_point_mm_from_butt",
            "balance_point",
            "mm",
            "balance\nmm",
            "balance point from the butt end",
            0,
            usual_error=1.0,
        ),
        Reading(
            "balance_point_pct_from_butt",
            "balance_share",
            "%",
            "balance\n%",
            "balance point from the butt end over the raw length",
            1,
            usual_error=0.1,
            detail=True,
        ),
        Reading(
            "moi_butt_kgm2", "moi_butt", "kg*m^2", "MOI butt\nkg·m²", "MOI about the butt end", 4, usual_error=5e-4
        ),
        Reading(
            "swing_weight_in_oz",
            "swing_weight",
            "in*oz",
            "swing wt\nin·oz",
            "swing weight of a built club",
            1,
            usual_error=0.5,
            factor=1.0 / INCH_OUNCE,
        ),
        Reading(
            "finished_length_in",
            "finished_length",
            "in",
            "length\nin",
            "finished length of a built club",
            2,
            usual_error=0.05,
        ),
        Reading("lie_deg", "lie", "deg", "lie\n°", "lie of a built club", 1, usual_error=0.3, detail=True),
    ),
)

__all__ = ["LENGTH_METHOD", "LIE_METHOD", "SWING_WEIGHT_SCALE", "BalanceReading", "BalanceSetup", "read_balance"]
