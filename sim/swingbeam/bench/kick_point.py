"""Kick point: where a clamped, tip-loaded raw shaft is farthest from the chord between clamp and tip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from swingbeam.beam import Profile
from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.specimen import Subject, specimen
from swingbeam.shaft.clamped import BENCH_CLAMP
from swingbeam.units import Force, NonNegativeLength, show

Array = NDArray[np.float64]

_GAUSS_X, _GAUSS_W = np.polynomial.legendre.leggauss(8)


@dataclass(frozen=True)
class KickPointSetup:
    """How the kick point is read; the defaults are common practice, no source.

    Attributes
    ----------
    clamp : float, m of the butt held
    tip_load : float, N, across the tip end
    """

    clamp: NonNegativeLength = BENCH_CLAMP
    tip_load: Force = 10.0

    def __str__(self) -> str:
        load = show(self.tip_load, "N")
        return f"butt clamped {show(self.clamp, 'in')}, {load} across the tip, chord from clamp to tip"


@dataclass(frozen=True)
class KickPoint:
    """A kick-point reading.

    Attributes
    ----------
    from_tip : float, m, along the shaft
    share_of_raw, share_of_free : float
        `from_tip` over the raw length and over the length free of the clamp.
    distance : float, m, largest distance from the chord
    tip_deflection : float, m
    """

    from_tip: float
    share_of_raw: float
    share_of_free: float
    distance: float
    tip_deflection: float


def read_kick_point(subject: Subject, setup: KickPointSetup | None = None) -> KickPoint:
    """Kick point of a raw shaft by the linear beam: where its slope equals that of the chord.

    w'' = P (L − x)/EI (Gere & Timoshenko, Mechanics of Materials, §9.2), integrated from the clamp. With a
    spine the mean of the two planes is read.

    Raises
    ------
    InputError
        A clamp that leaves no free length, or a load that is not positive.
    """
    use = KickPointSetup() if setup is None else setup
    on_bench = specimen(subject)
    if use.clamp < 0.0 or on_bench.end - use.clamp < 1e-3 or not use.tip_load > 0.0:
        raise InputError(f"kick point: {use} is not possible with {show(on_bench.end, 'in', 2)} of shaft")
    profile = on_bench.piece(use.clamp)
    length = profile.length
    _, tip = _unit_deflection(profile, length)
    chord = tip / length

    def excess(x: float) -> float:
        return _unit_deflection(profile, x)[0] - chord

    place = float(brentq(excess, 0.0, length, xtol=1e-12))
    _, deflection = _unit_deflection(profile, place)
    tilt = np.hypot(1.0, use.tip_load * chord)
    return KickPoint(
        from_tip=length - place,
        share_of_raw=(length - place) / on_bench.raw_length,
        share_of_free=(length - place) / length,
        distance=float(use.tip_load * (chord * place - deflection) / tilt),
        tip_deflection=use.tip_load * tip,
    )


def _unit_deflection(profile: Profile, x: float) -> tuple[float, float]:
    """Slope ∫ (L−u)/EI du and deflection ∫ (x−u)(L−u)/EI du at x (m from the clamp) under a unit tip load."""
    slope = deflection = 0.0
    for start, end, i in profile.pieces():
        stop = min(end, x)
        if stop <= start:
            break
        u = start + 0.5 * (stop - start) * (_GAUSS_X + 1.0)
        share = (u - start) / (end - start)
        ei = profile.ei[i] + share[:, None] * (profile.ei[i + 1] - profile.ei[i])
        curvature = (profile.length - u) / ei.mean(axis=1) * _GAUSS_W * 0.5 * (stop - start)
        slope += float(np.sum(curvature))
        deflection += float(np.sum(curvature * (x - u)))
    return slope, deflection


TEST = BenchTest(
    "kick_point",
    KickPointSetup,
    read_kick_point,
    (
        Reading(
            "kick_point_pct_from_tip",
            "share_of_raw",
            "%",
            "kick point\n% from tip",
            "kick point from the tip over the raw length",
            1,
            usual_error=0.5,
        ),
        Reading(
            "kick_point_pct_of_free_from_tip",
            "share_of_free",
            "%",
            "kick point\n% of free",
            "kick point from the tip over the length free of the clamp",
            1,
            usual_error=0.5,
        ),
        Reading(
            "kick_point_distance_mm",
            "distance",
            "mm",
            "kick point\nsize mm",
            "largest distance from the chord between clamp and tip",
            1,
            usual_error=0.5,
        ),
    ),
)
