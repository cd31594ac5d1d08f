"""Frequency against where the shaft is clamped: a curve over the free length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.frequency import FrequencyCurve, FrequencySetup, frequency_curve
from swingbeam.bench.specimen import Subject, specimen
from swingbeam.shaft.clamped import BENCH_CLAMP, BENCH_TIP_MASS
from swingbeam.units import NonNegativeLength, NonNegativeMass, PositiveLength, show


@dataclass(frozen=True)
class FrequencyCurveSetup:
    """Where the shaft is clamped, one place after another; the defaults are common practice, no source.

    Attributes
    ----------
    clamp : float, m of the butt held at first
    step : float, m more held each time
    shortest : float, m of free length below which no more is held
    tip_mass : float, kg, at the tip end of a bare shaft; a built club swings its own head
    """

    clamp: NonNegativeLength = BENCH_CLAMP
    step: PositiveLength = 2.0 * 0.0254
    shortest: PositiveLength = 15.0 * 0.0254
    tip_mass: NonNegativeMass = BENCH_TIP_MASS

    def __str__(self) -> str:
        return (
            f"butt clamped {show(self.clamp, 'in')} and {show(self.step, 'in')} more each time down to "
            f"{show(self.shortest, 'in')} free, {show(self.tip_mass, 'g')} at the tip end"
        )


def read_frequency_curve(subject: Subject, setup: FrequencyCurveSetup | None = None) -> FrequencyCurve:
    """Frequency at every place of the clamp (`frequency.frequency_curve`).

    Raises
    ------
    InputError
        No place of the clamp that leaves enough free length; a step or a free length that is not positive.
    """
    use = FrequencyCurveSetup() if setup is None else setup
    on_bench = specimen(subject)
    most = on_bench.end - use.shortest
    if not (use.step > 0.0 and use.shortest > 0.0 and 0.0 <= use.clamp <= most):
        raise InputError(f"frequency curve: {use} is not possible with {show(on_bench.end, 'in', 2)} of shaft")
    clamps = use.clamp + use.step * np.arange(int(np.floor((most - use.clamp) / use.step + 1e-9)) + 1)
    return frequency_curve(on_bench, clamps, FrequencySetup(tip_mass=use.tip_mass))


TEST = BenchTest(
    "frequency_curve",
    FrequencyCurveSetup,
    read_frequency_curve,
    (
        Reading(
            "frequency_curve_free_length_mm",
            "free_length",
            "mm",
            "free length\nmm",
            "length free of the clamp",
            1,
            usual_error=0.5,
            scan=True,
        ),
        Reading(
            "frequency_curve_cpm",
            "frequency",
            "cpm",
            "frequency\ncpm",
            "frequency at each place of the clamp",
            1,
            usual_error=0.5,
            scan=True,
        ),
    ),
    on_request=True,
)
