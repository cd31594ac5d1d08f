"""Kick point: where a clamped, tip-loaded shaft is farthest from the chord between clamp and tip.

It is not the bend point, for which both ends are compressed; people use the two names for one thing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from swingbeam.beam import Profile, static_shape
from swingbeam.beam.bending import cantilever, compliance
from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.specimen import Specimen, Subject, in_mean_plane, specimen
from swingbeam.shaft.clamped import BENCH_CLAMP
from swingbeam.units import Angle, Force, NonNegativeLength, show

Array = NDArray[np.float64]

_FIRST_LOOK, _CLOSER_LOOK = 65, 33
"""Places at which an exact shape is looked at along the whole shaft, and then between the two that bracket the kick
point: half a millimetre apart, between which the tangent is straight to some 1e-8 of it."""


@dataclass(frozen=True)
class KickPointSetup:
    """How the kick point is read; the defaults are common practice, no source.

    Attributes
    ----------
    clamp : float, m of the butt held
    tip_load : float, N, across the tip end (of a built club: at the hosel mouth)
    exact : whether the shape is that of large deflections under a load that keeps its direction; else that of small
        ones, in which the place does not depend on the load and the size is proportional to it
    plane : rad about the shaft, from the target side toward the toe, in which the load is; None: a shaft with a
        spine is read in the mean of its two stiffnesses
    """

    clamp: NonNegativeLength = BENCH_CLAMP
    tip_load: Force = 10.0
    exact: bool = False
    plane: Angle | None = None

    def __str__(self) -> str:
        load = show(self.tip_load, "N")
        large = ", large deflection" if self.exact else ""
        return f"butt clamped {show(self.clamp, 'in')}, {load} across the tip, chord from clamp to tip{large}"


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
    """Kick point: where the slope of the shaft equals that of the chord.

    Small deflections: w'' = P (L − x)/EI (Gere & Timoshenko, Mechanics of Materials, §9.2), integrated from the
    clamp. Exact ones: `beam.static_shape`.

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
    place, distance, deflection = (_exact if use.exact else _small)(profile, use)
    left = profile.length - place
    # A tip inside a hosel belongs to the raw length, not to what bends.
    from_tip = left + on_bench.inserted
    return KickPoint(
        from_tip=from_tip,
        share_of_raw=from_tip / on_bench.raw_length,
        share_of_free=left / profile.length,
        distance=distance,
        tip_deflection=deflection,
    )


def kick_shape(on_bench: Specimen, setup: KickPointSetup, count: int = 101) -> tuple[Array, Array]:
    """Distances from the clamp (count,) m and small deflections there (count,) m under the set-up's load."""
    profile = on_bench.piece(setup.clamp)
    x = np.linspace(0.0, profile.length, count)
    return x, setup.tip_load * cantilever(compliance(profile, setup.plane), x)[1]


def _small(profile: Profile, use: KickPointSetup) -> tuple[float, float, float]:
    """Place from the clamp, distance from the chord, tip deflection; m."""
    beam = compliance(profile, use.plane)
    length = profile.length
    tip = float(cantilever(beam, length)[1][0])
    chord = tip / length

    def excess(x: float) -> float:
        return float(cantilever(beam, x)[0][0]) - chord

    place = float(brentq(excess, 0.0, length, xtol=1e-12))
    deflection = float(cantilever(beam, place)[1][0])
    tilt = math.hypot(1.0, use.tip_load * chord)
    return place, float(use.tip_load * (chord * place - deflection) / tilt), use.tip_load * tip


def _exact(profile: Profile, use: KickPointSetup) -> tuple[float, float, float]:
    """The same of the shape of large deflections."""
    angle = 0.0 if use.plane is None else use.plane
    beam = in_mean_plane(profile) if use.plane is None else profile
    aside = np.array([0.0, math.cos(angle), math.sin(angle)])

    def look(places: Array) -> tuple[Array, Array, Array]:
        """Distances along the shaft, positions (n, 2) in the plane of the load, slopes less the chord's."""
        finer = _with_stations(beam, places)
        shape = static_shape(finer, tip_force=use.tip_load * aside, solver="curvature")
        flat = np.column_stack([shape.position[:, 0], shape.position @ aside])
        tangent = shape.rotation[:, :, 0]
        slope = np.arctan2(tangent @ aside, tangent[:, 0])
        return finer.s, flat, slope - math.atan2(flat[-1, 1], flat[-1, 0])

    s, _, excess = look(np.linspace(0.0, beam.length, _FIRST_LOOK))
    i = int(np.argmax(excess > 0.0)) - 1
    s, flat, excess = look(np.linspace(s[i], s[i + 1], _CLOSER_LOOK))
    i = int(np.argmax(excess > 0.0)) - 1
    share = float(-excess[i] / (excess[i + 1] - excess[i]))
    x, y = flat[i] + share * (flat[i + 1] - flat[i])
    end = flat[-1]
    distance = abs(float(x * end[1] - y * end[0])) / math.hypot(*end)
    return float(s[i] + share * (s[i + 1] - s[i])), distance, float(end[1])


def _with_stations(profile: Profile, places: Array) -> Profile:
    """The same beam with stations added at places: its properties are linear between stations."""
    new = np.array([p for p in places if np.abs(profile.s - p).min() > 1e-9])
    at = np.searchsorted(profile.s, new)
    share = (new - profile.s[at - 1]) / (profile.s[at] - profile.s[at - 1])

    def column(values: Array) -> Array:
        part = share if values.ndim == 1 else share[:, None]
        return np.insert(values, at, values[at - 1] + part * (values[at] - values[at - 1]), axis=0)

    return Profile(
        column(profile.s),
        column(profile.ei),
        column(profile.gj),
        column(profile.mass),
        rotary=column(profile.rotary),
        spine_angle=profile.spine_angle,
    )


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
