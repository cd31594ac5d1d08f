"""Frequency: how fast a raw shaft swings with a mass at its tip, in cycles per minute."""

from __future__ import annotations

from dataclasses import dataclass

from swingbeam.beam.errors import InputError
from swingbeam.shaft.clamped import BENCH_CLAMP, BENCH_TIP_MASS, bending_frequency
from swingbeam.shaft.shaft import Shaft
from swingbeam.units import show


@dataclass(frozen=True)
class FrequencySetup:
    """How frequency is read; the defaults are common practice, no source.

    Attributes
    ----------
    clamp : float, m of the butt held
    tip_mass : float, kg, a point mass at the tip end
    """

    clamp: float = BENCH_CLAMP
    tip_mass: float = BENCH_TIP_MASS

    def __str__(self) -> str:
        return f"butt clamped {show(self.clamp, 'in')}, {show(self.tip_mass, 'g')} at the tip end"


def read_frequency(shaft: Shaft, setup: FrequencySetup | None = None) -> float:
    """First bending frequency of a raw shaft, cpm.

    Raises
    ------
    InputError
        A clamp that leaves no free length, or a negative clamp or mass.
    """
    use = FrequencySetup() if setup is None else setup
    if use.clamp < 0.0 or shaft.raw_length - use.clamp < 1e-3 or use.tip_mass < 0.0:
        raise InputError(f"frequency: {use} is not possible with {show(shaft.raw_length, 'in', 2)} of shaft")
    return 60.0 * bending_frequency(shaft, use.clamp, use.tip_mass)
