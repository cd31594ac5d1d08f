"""Three-point bend scan: a shaft on two supports, pressed half-way between them, station after station."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam import Profile
from swingbeam.beam.bending import Compliance, compliance, three_point
from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.specimen import Subject, specimen
from swingbeam.units import Angle, Force, Length, PositiveLength, show
from swingbeam.units.kinds import STANDARD_GRAVITY

Array = NDArray[np.float64]
_X, _W = np.polynomial.legendre.leggauss(8)
_X, _W = 0.5 * (_X + 1.0), 0.5 * _W
_NO_STATIONS: tuple[float, ...] = ()
_PLAY = 1e-9


@dataclass(frozen=True)
class ThreePointSetup:
    """How the shaft is scanned; span, step and loads are common practice, no source.

    Attributes
    ----------
    span : float, m between the supports; the load is at its middle
    step : float, m between stations
    load : float, N
    preload : float, N, at which the dial is set to zero
    first : float, m from the tip end to the first station; None: as near as the span allows
    stations : m from the tip end, instead of `first` and `step`
    own_weight : whether the dial is set to zero on a straight bar instead: it then reads what the shaft's own
        weight, overhangs included, bends it as well, and the preload does not matter
    plane : rad about the shaft, from the target side toward the toe, that is turned down; None: the mean of both
    """

    span: PositiveLength = 12.0 * 0.0254
    step: PositiveLength = 1.0 * 0.0254
    load: Force = 90.0
    preload: Force = 10.0
    first: PositiveLength | None = None
    stations: tuple[Length, ...] = _NO_STATIONS
    own_weight: bool = False
    plane: Angle | None = None

    def __str__(self) -> str:
        where = f"{len(self.stations)} stations" if self.stations else f"every {show(self.step, 'in')}"
        zero = f"less {show(self.preload, 'N')} of preload"
        if self.own_weight:
            zero = "and own weight, from a straight bar"
        return f"{show(self.span, 'in')} between supports, {where}, {show(self.load, 'N')} at mid-span {zero}"


@dataclass(frozen=True, eq=False)
class ThreePointScan:
    """A scan; all (k,), station by station from the tip.

    Attributes
    ----------
    from_tip : m, of the load
    deflection : m at the load, from where the dial was set to zero
    apparent_ei : N·m², P s³/(48 δ): what a uniform shaft of that deflection would have
    true_ei : N·m², of the shaft at the load (the mean of both sides of a step)
    bias : apparent over true, less 1: what the local formula is off by
    """

    from_tip: Array
    deflection: Array
    apparent_ei: Array
    true_ei: Array
    bias: Array


def read_three_point(subject: Subject, setup: ThreePointSetup | None = None) -> ThreePointScan:
    """Deflection and apparent EI at every station: δ = P ∫ m²/EI with m the unit load's moment (`beam.bending`).

    Raises
    ------
    InputError
        A span longer than the shaft, a station whose supports do not lie on it, a load not above the preload.
    """
    use = ThreePointSetup() if setup is None else setup
    on_bench = specimen(subject)
    end = on_bench.end
    if not (use.load > use.preload >= 0.0 and use.step > 0.0 and 0.0 < use.span <= end):
        raise InputError(f"three-point: {use} is not possible with {show(end, 'in', 2)} of shaft")
    from_tip = _places(use, end)
    profile = on_bench.piece(0.0)
    beam = compliance(profile, use.plane)
    middle = end - from_tip
    first, last = middle - 0.5 * use.span, middle + 0.5 * use.span
    force = use.load if use.own_weight else use.load - use.preload
    deflection = force * three_point(beam, first, last)
    if use.own_weight:
        deflection = deflection + np.array(
            [_own_weight(beam, profile, max(a, 0.0), min(b, end)) for a, b in zip(first, last, strict=True)]
        )
    apparent = force * use.span**3 / (48.0 * deflection)
    true = _ei_at(beam, middle)
    return ThreePointScan(from_tip, deflection, apparent, true, apparent / true - 1.0)


def _places(use: ThreePointSetup, end: float) -> Array:
    half = 0.5 * use.span
    if use.stations:
        places = np.array(use.stations, dtype=float)
    else:
        start = half if use.first is None else use.first
        places = start + use.step * np.arange(int(np.floor((end - half - start) / use.step + _PLAY)) + 1)
    if places.size == 0 or places.min() < half - _PLAY or places.max() > end - half + _PLAY:
        raise InputError(
            f"three-point: found a station whose supports do not lie on the shaft; allowed: from {show(half, 'in', 2)} "
            f"to {show(end - half, 'in', 2)} of the tip with a span of {show(use.span, 'in', 2)}"
        )
    return places


def _ei_at(beam: Compliance, x: Array) -> Array:
    """EI at a place; on a step the mean of both sides."""
    sides = []
    for shift in (-1e-9, 1e-9):
        near = np.clip(x + shift, 0.0, beam.length)
        piece = np.clip(np.searchsorted(beam.start, near, side="right") - 1, 0, None)
        sides.append(1.0 / beam.at(piece, near))
    return np.asarray(0.5 * (sides[0] + sides[1]))


def _own_weight(beam: Compliance, profile: Profile, a: float, b: float) -> float:
    """Deflection of mid-span by the shaft's own weight, overhangs included, m: ∫ M m/EI between the supports."""
    cuts = np.unique(np.concatenate([profile.s, [a, 0.5 * (a + b), b]]))
    left, width = cuts[:-1], np.diff(cuts)
    u = left[:, None] + width[:, None] * _X
    density = _interpolate(profile, u)
    weight = density * _W * width[:, None] * STANDARD_GRAVITY
    # Reaction of the first support from moments about the last.
    reaction = float(np.sum(weight * (b - u))) / (b - a)
    inside = (left >= a - 1e-12) & (left + width <= b + 1e-12)
    places = u[inside]
    flat_u, flat_weight = u.ravel(), weight.ravel()
    hanging = np.array([_left_moment(x, flat_u, flat_weight, profile) for x in places.ravel()]).reshape(places.shape)
    moment = reaction * (places - a) - hanging
    unit = np.where(places < 0.5 * (a + b), places - a, b - places) / 2.0
    piece = np.clip(np.searchsorted(beam.start, left[inside] + 0.5 * width[inside], side="right") - 1, 0, None)
    return float(np.sum(moment * unit * beam.at(piece, places) * _W * width[inside][:, None]))


def _left_moment(x: float, u: Array, weight: Array, profile: Profile) -> float:
    """Moment at x of the weight between the butt end and x: whole pieces by Gauss' points, the last one anew."""
    start = float(profile.s[np.searchsorted(profile.s, x, side="right") - 1])
    below = u < start
    whole = float(np.sum(weight[below] * (x - u[below])))
    points = start + (x - start) * _X
    density = _interpolate(profile, points)
    return whole + float(np.sum(density * (x - points) * _W) * (x - start) * STANDARD_GRAVITY)


def _interpolate(profile: Profile, u: Array) -> Array:
    return np.asarray(np.interp(u, profile.s, profile.mass))


TEST = BenchTest(
    "three_point",
    ThreePointSetup,
    read_three_point,
    (
        Reading(
            "three_point_from_tip_mm",
            "from_tip",
            "mm",
            "from tip\nmm",
            "station from the tip end",
            1,
            usual_error=0.5,
            scan=True,
        ),
        Reading(
            "three_point_deflection_mm",
            "deflection",
            "mm",
            "deflection\nmm",
            "deflection at mid-span from preload to load",
            3,
            usual_error=0.01,
            scan=True,
        ),
        Reading(
            "three_point_ei_nm2",
            "apparent_ei",
            "N*m^2",
            "EI, Ps³/48δ\nN·m²",
            "apparent EI, P s³/(48 δ)",
            2,
            usual_error=0.5,
            scan=True,
        ),
        Reading(
            "three_point_bias_pct",
            "bias",
            "%",
            "bias\n%",
            "apparent over true EI at mid-span, less 1",
            2,
            usual_error=0.5,
            scan=True,
        ),
    ),
)
