"""Frequency: how fast a shaft swings with its butt clamped and a mass at its tip, in cycles per minute."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swingbeam.beam import TipBody, natural_frequencies
from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.specimen import Specimen, Subject, guided_in, specimen, with_head
from swingbeam.club.head import Head
from swingbeam.files.bench_file import ByName
from swingbeam.shaft.clamped import BENCH_CLAMP, BENCH_TIP_MASS, bending_frequency
from swingbeam.units import Angle, Length, NonNegativeLength, NonNegativeMass, Quantity, show

Array = NDArray[np.float64]


@dataclass(frozen=True)
class FrequencySetup:
    """How frequency is read; the defaults are common practice, no source.

    Attributes
    ----------
    clamp : float, m of the butt held
    tip_mass : float, kg, at the tip end of a bare shaft; a built club swings its own head
    tip_mass_cg : float, m, its centre of gravity beyond the tip end
    tip_mass_inertia : float, kg·m², about that centre, across the shaft
    plane : rad about the shaft from the target side toward the toe, in which a guide keeps the swing; None: free,
        so that a shaft with a spine swings in its softer plane
    head : put over the tip of a bare shaft instead of the tip mass
    """

    clamp: NonNegativeLength = BENCH_CLAMP
    tip_mass: NonNegativeMass = BENCH_TIP_MASS
    tip_mass_cg: Length = 0.0
    tip_mass_inertia: Annotated[float, Quantity("inertia", at_least=0.0)] = 0.0
    plane: Angle | None = None
    head: Annotated[Head | None, ByName("head")] = None

    def __str__(self) -> str:
        if self.head is not None:
            return f'butt clamped {show(self.clamp, "in")}, the head "{self.head.name}" on the tip'
        place = "at the tip end"
        if self.tip_mass_cg != 0.0:
            place = f"with its CG {show(self.tip_mass_cg, 'mm')} beyond the tip end"
        guided = "" if self.plane is None else f", guided at {show(self.plane, 'deg')}"
        return f"butt clamped {show(self.clamp, 'in')}, {show(self.tip_mass, 'g')} {place}{guided}"


@dataclass(frozen=True)
class FrequencyReading:
    """A frequency reading.

    Attributes
    ----------
    frequency : Hz, first in bending
    """

    frequency: float


def read_frequency(subject: Subject, setup: FrequencySetup | None = None) -> FrequencyReading:
    """First bending frequency of a shaft clamped at its butt; no gravity.

    The lowest root of det(K − ω² M) of the beam (`beam.natural_frequencies`). A built club swings its own head, its
    grip under the clamp.

    Raises
    ------
    InputError
        A clamp that leaves no free length, a negative clamp, mass or inertia, a plane for something with a head.
    """
    use = FrequencySetup() if setup is None else setup
    on_bench = specimen(subject) if use.head is None else with_head(specimen(subject), use.head)
    if use.clamp < 0.0 or on_bench.end - use.clamp < 1e-3 or min(use.tip_mass, use.tip_mass_inertia) < 0.0:
        raise InputError(f"frequency: {use} is not possible with {show(on_bench.end, 'in', 2)} of shaft")
    return FrequencyReading(_lowest(on_bench, use))


def _lowest(on_bench: Specimen, use: FrequencySetup) -> float:
    point = use.tip_mass_cg == 0.0 and use.tip_mass_inertia == 0.0
    if on_bench.body is None and point and use.plane is None:
        return bending_frequency(on_bench.shaft, use.clamp, use.tip_mass)
    profile = on_bench.piece(use.clamp)
    if on_bench.body is None:
        across = use.tip_mass_inertia
        body = TipBody(use.tip_mass, (use.tip_mass_cg, 0.0, 0.0), (0.0, across, across))
    else:
        body = on_bench.body
    if use.plane is not None:
        if on_bench.body is not None:
            raise InputError("frequency: found a plane for a shaft with a head, which swings in no plane; leave it out")
        profile = guided_in(profile, use.plane)
    return float(natural_frequencies(profile, body, count=1, solver="curvature")[0])


@dataclass(frozen=True, eq=False)
class FrequencyCurve:
    """Frequency against the free length; all (k,): m held, m free of the clamp, Hz."""

    clamp: Array
    free_length: Array
    frequency: Array


def frequency_curve(subject: Subject, clamps: ArrayLike, setup: FrequencySetup | None = None) -> FrequencyCurve:
    """Frequency with the clamp at each of several places (k,), m of the butt held, all else as in the set-up.

    Raises
    ------
    InputError
        As `read_frequency`.
    """
    use = FrequencySetup() if setup is None else setup
    on_bench = specimen(subject)
    held = np.atleast_1d(np.asarray(clamps, dtype=float))
    found = [read_frequency(on_bench, replace(use, clamp=float(c))).frequency for c in held]
    inserted = 0.0 if use.head is None else use.head.insertion
    return FrequencyCurve(held, on_bench.end - inserted - held, np.array(found))


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
