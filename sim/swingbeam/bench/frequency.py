"""Frequency: how fast a shaft swings with its butt clamped and a mass at its tip, in cycles per minute."""

from __future__ import annotations

from dataclasses import dataclass

from swingbeam.beam import TipBody, natural_frequencies
from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.specimen import Specimen, Subject, specimen
from swingbeam.shaft.clamped import BENCH_CLAMP, BENCH_TIP_MASS, bending_frequency
from swingbeam.units import NonNegativeLength, NonNegativeMass, show


@dataclass(frozen=True)
class FrequencySetup:
    """How frequency is read; the defaults are common practice, no source.

    Attributes
    ----------
    clamp : float, m of the butt held
    tip_mass : float, kg, a point mass at the tip end of a bare shaft; a built club swings its own head
    """

    clamp: NonNegativeLength = BENCH_CLAMP
    tip_mass: NonNegativeMass = BENCH_TIP_MASS

    def __str__(self) -> str:
        return f"butt clamped {show(self.clamp, 'in')}, {show(self.tip_mass, 'g')} at the tip end"


@dataclass(frozen=True)
class FrequencyReading:
    """A frequency reading.

    Attributes
    ----------
    frequency : Hz, first in bending; with a spine that of the softer plane
    """

    frequency: float


def read_frequency(subject: Subject, setup: FrequencySetup | None = None) -> FrequencyReading:
    """First bending frequency.

    Raises
    ------
    InputError
        A clamp that leaves no free length, or a negative clamp or mass.
    """
    use = FrequencySetup() if setup is None else setup
    on_bench = specimen(subject)
    if use.clamp < 0.0 or on_bench.end - use.clamp < 1e-3 or use.tip_mass < 0.0:
        raise InputError(f"frequency: {use} is not possible with {show(on_bench.end, 'in', 2)} of shaft")
    return FrequencyReading(_lowest(on_bench, use))


def _lowest(on_bench: Specimen, use: FrequencySetup) -> float:
    if on_bench.body is None:
        return bending_frequency(on_bench.shaft, use.clamp, use.tip_mass)
    body: TipBody = on_bench.body
    return float(natural_frequencies(on_bench.piece(use.clamp), body, count=1, solver="curvature")[0])


TEST = BenchTest(
    "frequency",
    FrequencySetup,
    read_frequency,
    (
        Reading(
            "frequency_cpm",
            "frequency",
            "cpm",
            "frequency\ncpm",
            "first bending frequency, cycles a minute",
            1,
            usual_error=0.5,
        ),
    ),
)
