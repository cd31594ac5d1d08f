"""Deflection: how far a clamped shaft bends under a weight, on a deflection board."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from swingbeam.beam import TipBody, static_shape
from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.specimen import Specimen, Subject, in_mean_plane, specimen
from swingbeam.shaft.clamped import BENCH_CLAMP
from swingbeam.shaft.shaft import integrate
from swingbeam.units import Angle, NonNegativeLength, NonNegativeMass, show
from swingbeam.units.kinds import STANDARD_GRAVITY


@dataclass(frozen=True)
class DeflectionSetup:
    """How deflection is read; the clamp is common practice, no source, the weight a round number of ours.

    Attributes
    ----------
    clamp : float, m of the butt held, level
    weight : float, kg hung on
    hung_at : float, m from the tip end (of a built club: from the hosel mouth) to where it hangs
    own_weight : whether the shaft's own weight bends it too: a dial that is set to zero with the shaft in the clamp
        leaves it out
    plane : rad about the shaft, from the target side toward the toe, that is turned down; None: a shaft with a
        spine is read in the mean of its two stiffnesses
    """

    clamp: NonNegativeLength = BENCH_CLAMP
    weight: NonNegativeMass = 1.0
    hung_at: NonNegativeLength = 0.0
    own_weight: bool = False
    plane: Angle | None = None

    def __str__(self) -> str:
        place = "at the tip end" if self.hung_at == 0.0 else f"{show(self.hung_at, 'in')} from the tip end"
        own = ", own weight counted" if self.own_weight else ""
        turned = "" if self.plane is None else f", turned to {show(self.plane, 'deg')}"
        return f"butt clamped {show(self.clamp, 'in')}, {show(self.weight, 'g')} hung {place}{own}{turned}"


@dataclass(frozen=True)
class DeflectionReading:
    """A deflection reading; downward +.

    Attributes
    ----------
    deflection : m, of the end of the free shaft (tip end, or hosel mouth)
    at_weight : m, of the place where the weight hangs
    slope : rad, of the end of the free shaft
    """

    deflection: float
    at_weight: float
    slope: float


def read_deflection(subject: Subject, setup: DeflectionSetup | None = None) -> DeflectionReading:
    """Deflection and slope under a hung weight, exact for large deflections (`beam.static_shape`, dead load).

    Beyond the weight the shaft is straight; what its own weight bends it there (microns) is left out.

    Raises
    ------
    InputError
        Clamp and place of the weight that leave no length between them, or a negative clamp or weight.
    """
    use = DeflectionSetup() if setup is None else setup
    on_bench = specimen(subject)
    end = on_bench.end - use.hung_at
    if min(use.clamp, use.weight, use.hung_at) < 0.0 or end - use.clamp < 1e-3:
        raise InputError(f"deflection: {use} is not possible with {show(on_bench.end, 'in', 2)} of shaft")
    profile = on_bench.piece(use.clamp, end)
    angle = 0.0
    if use.plane is None:
        profile = in_mean_plane(profile)
    else:
        angle = use.plane
    down = np.array([0.0, math.cos(angle), math.sin(angle)])
    shape = static_shape(
        profile,
        _beyond(on_bench, end) if use.own_weight else None,
        tip_force=use.weight * STANDARD_GRAVITY * down,
        gravity=STANDARD_GRAVITY * down if use.own_weight else None,
        solver="curvature",
    )
    tangent = shape.rotation[-1][:, 0]
    at_weight = float(shape.position[-1] @ down)
    return DeflectionReading(
        deflection=at_weight + use.hung_at * float(tangent @ down),
        at_weight=at_weight,
        slope=math.atan2(float(tangent @ down), float(tangent[0])),
    )


def _beyond(on_bench: Specimen, end: float) -> TipBody | None:
    """What lies beyond the weight, as one rigid body; None where nothing does."""
    if on_bench.body is not None:
        if end < on_bench.end:
            raise InputError(
                "deflection: own weight is counted on a built club with the weight at the hosel mouth only"
            )
        return on_bench.body
    if on_bench.end - end < 1e-9:
        return None
    mass, centre, second = integrate(on_bench.shaft, end, on_bench.end)
    return TipBody(mass, (centre - end, 0.0, 0.0), (0.0, second, second))


TEST = BenchTest(
    "deflection",
    DeflectionSetup,
    read_deflection,
    (
        Reading(
            "deflection_mm",
            "deflection",
            "mm",
            "deflection\nmm",
            "deflection of the tip end under the weight",
            1,
            usual_error=1.0,
        ),
        Reading(
            "deflection_at_weight_mm",
            "at_weight",
            "mm",
            "at weight\nmm",
            "deflection where the weight hangs",
            1,
            usual_error=1.0,
            detail=True,
        ),
        Reading(
            "deflection_slope_deg",
            "slope",
            "deg",
            "tip slope\n°",
            "slope of the tip end under the weight",
            2,
            usual_error=0.1,
        ),
    ),
)
