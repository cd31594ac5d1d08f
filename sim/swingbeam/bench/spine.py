"""Spine: frequency and deflection as a shaft is turned about itself, and the planes in which it swings flat."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.deflection import DeflectionSetup, read_deflection
from swingbeam.bench.frequency import FrequencySetup, read_frequency
from swingbeam.bench.specimen import Specimen, Subject, specimen
from swingbeam.shaft.clamped import BENCH_CLAMP, BENCH_TIP_MASS
from swingbeam.shaft.shaft import Shaft, Spine
from swingbeam.units import NonNegativeLength, NonNegativeMass, show

Array = NDArray[np.float64]

FLAT = 1e-7
"""Share of a frequency below which its change over a turn is round-off: every plane then swings flat."""


@dataclass(frozen=True)
class SpineSetup:
    """How the spine is looked for; the defaults are common practice, no source.

    Attributes
    ----------
    clamp : float, m of the butt held
    tip_mass : float, kg at the tip end, for the frequencies
    weight : float, kg hung at the tip end, for the deflections
    turns : rotations at which both are read, evenly over half a turn (a shaft turned by half a turn bends alike)
    """

    clamp: NonNegativeLength = BENCH_CLAMP
    tip_mass: NonNegativeMass = BENCH_TIP_MASS
    weight: NonNegativeMass = 1.0
    turns: int = 12

    def __str__(self) -> str:
        return (
            f"butt clamped {show(self.clamp, 'in')}, {self.turns} rotations over half a turn, frequency with "
            f"{show(self.tip_mass, 'g')} in a guided plane, deflection with {show(self.weight, 'g')} at the tip end"
        )


@dataclass(frozen=True, eq=False)
class SpineReading:
    """A spine reading.

    Attributes
    ----------
    angle : (k,) rad about the shaft from the target side toward the toe: the plane of swing or of load
    frequency : (k,) Hz, kept in that plane by a guide
    deflection : (k,) m of the tip end, along the load
    smallest, largest : Hz, of the frequencies over the whole turn
    stiff_plane, soft_plane : rad, the two planes in which the shaft swings flat, without a guide; nan: every plane
    difference : (stiffest − softest EI)/mean EI that the frequencies say
    """

    angle: Array
    frequency: Array
    deflection: Array
    smallest: float
    largest: float
    stiff_plane: float
    soft_plane: float
    difference: float


def read_spine(subject: Subject, setup: SpineSetup | None = None) -> SpineReading:
    """Turn a bare shaft about itself and read frequency and deflection at every rotation.

    Kept in a plane at θ a shaft has EI₁ cos² + EI₂ sin², so that its frequency follows f² = a + b cos 2(θ − θ₀):
    three unknowns fitted to the readings, from which the largest, the smallest and the flat planes come.

    Raises
    ------
    InputError
        A built club, fewer than four rotations, or what frequency and deflection refuse.
    """
    use = SpineSetup() if setup is None else setup
    on_bench = specimen(subject)
    if on_bench.head is not None:
        raise InputError("spine: found a built club; allowed: a bare shaft, which can be turned")
    if use.turns < 4:
        raise InputError(f"spine: found turns = {use.turns}; allowed: 4 or more")
    angle = np.arange(use.turns) * math.pi / use.turns
    frequency, deflection = _turned(on_bench, use, angle)
    a, c, s = np.linalg.lstsq(
        np.column_stack([np.ones_like(angle), np.cos(2.0 * angle), np.sin(2.0 * angle)]), frequency**2, rcond=None
    )[0].tolist()
    b = math.hypot(c, s)
    flat = b <= 2.0 * FLAT * a
    stiff = math.nan if flat else 0.5 * math.atan2(s, c)
    return SpineReading(
        angle=angle,
        frequency=frequency,
        deflection=deflection,
        smallest=math.sqrt(a - b),
        largest=math.sqrt(a + b),
        stiff_plane=_half_turn(stiff),
        soft_plane=_half_turn(stiff + 0.5 * math.pi),
        difference=0.0 if flat else 2.0 * b / a,
    )


def _half_turn(angle: float) -> float:
    """A plane's angle from 0 to below π; round-off short of π is 0."""
    within = angle % math.pi
    return 0.0 if math.pi - within < 1e-9 else within


def _turned(on_bench: Specimen, use: SpineSetup, angle: Array) -> tuple[Array, Array]:
    swing = FrequencySetup(use.clamp, use.tip_mass)
    hang = DeflectionSetup(use.clamp, use.weight)
    if on_bench.shaft.spine is None:
        # Turned about itself it is the same shaft: one reading stands for all.
        once = read_frequency(on_bench, swing).frequency, read_deflection(on_bench, hang).deflection
        return np.full(angle.size, once[0]), np.full(angle.size, once[1])
    frequency = [read_frequency(on_bench, replace(swing, plane=float(a))).frequency for a in angle]
    deflection = [read_deflection(on_bench, replace(hang, plane=float(a))).deflection for a in angle]
    return np.array(frequency), np.array(deflection)


def with_spine(shaft: Shaft, difference: float, angle: float) -> Shaft:
    """The same shaft with its stiff side set at an angle in the head (rad about the shaft, from the target side
    toward the toe); `difference` is (stiffest − softest EI)/mean EI.

    Raises
    ------
    InputError
        A difference that is negative or not below 2, an angle that is not finite.
    """
    if not (0.0 <= difference < 2.0 and math.isfinite(angle)):
        raise InputError(f"spine: found a difference of {difference!r}; allowed: from 0 to below 2, at a finite angle")
    return replace(shaft, spine=None if difference == 0.0 else Spine(difference, angle))


def sideways(subject: Subject, setup: DeflectionSetup) -> float:
    """How far the tip end moves across the plane of the load (m), toward its left seen from the tip: what a spine
    that is set neither along nor across the load does, and no spine does not.

    Small deflections: P (C₁ − C₂)/2 sin 2θ of the two principal compliances.
    """
    from swingbeam.beam.bending import cantilever, compliance
    from swingbeam.units.kinds import STANDARD_GRAVITY

    on_bench = specimen(subject)
    spine = on_bench.shaft.spine
    if spine is None:
        return 0.0
    profile = on_bench.piece(setup.clamp)
    stiff, soft = (
        float(cantilever(compliance(profile, spine.angle + turn), profile.length)[1][0]) for turn in (0.0, math.pi / 2)
    )
    turned = (0.0 if setup.plane is None else setup.plane) - spine.angle
    return 0.5 * setup.weight * STANDARD_GRAVITY * (soft - stiff) * math.sin(2.0 * turned)


TEST = BenchTest(
    "spine",
    SpineSetup,
    read_spine,
    (
        Reading(
            "spine_smallest_cpm",
            "smallest",
            "cpm",
            "smallest\ncpm",
            "smallest frequency over a turn",
            1,
            usual_error=0.5,
            detail=True,
        ),
        Reading(
            "spine_largest_cpm",
            "largest",
            "cpm",
            "largest\ncpm",
            "largest frequency over a turn",
            1,
            usual_error=0.5,
            detail=True,
        ),
        Reading(
            "spine_pct",
            "difference",
            "%",
            "spine\n% EI",
            "stiffest less softest EI over their mean",
            2,
            usual_error=0.5,
        ),
        Reading(
            "spine_stiff_plane_deg",
            "stiff_plane",
            "deg",
            "stiff side\n°",
            "stiff plane in which it swings flat, from the target side toward the toe",
            0,
            usual_error=5.0,
        ),
        Reading(
            "spine_soft_plane_deg",
            "soft_plane",
            "deg",
            "soft side\n°",
            "soft plane in which it swings flat, from the target side toward the toe",
            0,
            usual_error=5.0,
        ),
        Reading("spine_angle_deg", "angle", "deg", "turned to\n°", "rotations read", 0, usual_error=1.0, scan=True),
        Reading(
            "spine_frequency_cpm",
            "frequency",
            "cpm",
            "frequency\ncpm",
            "frequency at each rotation, guided",
            1,
            usual_error=0.5,
            scan=True,
        ),
        Reading(
            "spine_deflection_mm",
            "deflection",
            "mm",
            "deflection\nmm",
            "deflection at each rotation",
            1,
            usual_error=1.0,
            scan=True,
        ),
    ),
)
