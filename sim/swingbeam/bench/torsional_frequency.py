"""Torsional frequency: how fast a shaft twists to and fro with its butt clamped and an inertia at its tip."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from swingbeam.beam import TipBody
from swingbeam.beam.errors import InputError
from swingbeam.beam.torsion import torsional_frequency
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.specimen import Subject, specimen, with_head
from swingbeam.club.head import Head
from swingbeam.files.bench_file import ByName
from swingbeam.shaft.clamped import BENCH_CLAMP, BENCH_TWIST_INERTIA
from swingbeam.units import NonNegativeLength, Quantity, show


@dataclass(frozen=True)
class TorsionalFrequencySetup:
    """How torsional frequency is read; the defaults are common practice, no source.

    Attributes
    ----------
    clamp : float, m of the butt held
    tip_inertia : float, kg·m² about the shaft axis, balanced on it, at the tip end of a bare shaft
    head : put over the tip of a bare shaft instead of the inertia; a built club has its own
    """

    clamp: NonNegativeLength = BENCH_CLAMP
    tip_inertia: Annotated[float, Quantity("inertia", at_least=0.0)] = BENCH_TWIST_INERTIA
    head: Annotated[Head | None, ByName("head")] = None

    def __str__(self) -> str:
        if self.head is not None:
            return f'butt clamped {show(self.clamp, "in")}, the head "{self.head.name}" on the tip'
        return (
            f"butt clamped {show(self.clamp, 'in')}, {show(self.tip_inertia, 'g*cm^2')} about the axis at the tip end"
        )


@dataclass(frozen=True)
class TorsionalFrequencyReading:
    """A torsional frequency reading.

    Attributes
    ----------
    frequency : Hz, of the lowest mode with more of its strain energy in twist than in bending
    twist_share : that share; 1 without a head, whose centre of gravity beside the axis mixes twist and bending
    """

    frequency: float
    twist_share: float


def read_torsional_frequency(
    subject: Subject, setup: TorsionalFrequencySetup | None = None
) -> TorsionalFrequencyReading:
    """First torsional frequency of a shaft clamped at its butt (`beam.torsion`).

    Raises
    ------
    InputError
        A clamp that leaves no free length, or a negative clamp or inertia.
    """
    use = TorsionalFrequencySetup() if setup is None else setup
    on_bench = specimen(subject) if use.head is None else with_head(specimen(subject), use.head)
    if use.clamp < 0.0 or on_bench.end - use.clamp < 1e-3 or use.tip_inertia < 0.0:
        raise InputError(f"torsional frequency: {use} is not possible with {show(on_bench.end, 'in', 2)} of shaft")
    across = 0.5 * use.tip_inertia  # a flat disc: bending it does not matter to the twist
    body = TipBody(0.0, inertia=(use.tip_inertia, across, across)) if on_bench.body is None else on_bench.body
    return TorsionalFrequencyReading(*torsional_frequency(on_bench.piece(use.clamp), body))


TEST = BenchTest(
    "torsional_frequency",
    TorsionalFrequencySetup,
    read_torsional_frequency,
    (
        Reading(
            "torsional_frequency_hz",
            "frequency",
            "Hz",
            "torsional\nHz",
            "first torsional frequency",
            2,
            usual_error=0.05,
        ),
    ),
)
