"""Starter shafts read under two invented benches, with errors and on a finer mesh, and looked for again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam import TipBody, natural_frequencies, static_shape
from swingbeam.bench.balance import BalanceSetup
from swingbeam.bench.deflection import DeflectionSetup
from swingbeam.bench.frequency import FrequencySetup
from swingbeam.bench.inverse import FoundProfile, find_profile
from swingbeam.bench.measured import Measured, Wanted, predict
from swingbeam.bench.registry import READINGS
from swingbeam.bench.three_point import ThreePointSetup
from swingbeam.bench.torque import TorqueSetup
from swingbeam.bench.unknowns import KnownFacts
from swingbeam.files.lookup import library_root
from swingbeam.shaft.load import load_shaft
from swingbeam.shaft.shaft import Shaft, cut

IN = 0.0254
SHAFTS = tuple(path.stem for path in sorted((library_root() / "shafts").glob("*.toml")))
FINE = (14, 6)
"""Bending and twist functions of the readings; an inversion has eight and four."""
CPM, SHARE, DEGREE, GRAM, BALANCE = 0.5 / 60.0, 0.01, np.radians(0.05), 1e-3, 1e-3
"""Standard deviations: 0.5 cpm, 1 % of a deflection, 0.05°, 1 g; 1 mm of balance point (common practice, no source)."""


def wanted(key: str, setup: object, index: int | None = None) -> Wanted:
    test, reading = READINGS[key]
    return Wanted(test, setup, reading, index, key)


def frequency(clamp: float, tip_mass: float) -> Wanted:
    return wanted("frequency_cpm", FrequencySetup(clamp=clamp * IN, tip_mass=tip_mass))


def deflection(clamp: float, weight: float, hung_at: float) -> Wanted:
    return wanted("deflection_mm", DeflectionSetup(clamp=clamp * IN, weight=weight, hung_at=hung_at * IN))


def torque(butt: float, tip: float, moment: float) -> Wanted:
    return wanted("torque_deg", TorqueSetup(butt_clamp=butt * IN, tip_clamp=tip * IN, moment=moment))


FIRST = (
    frequency(5.0, 0.205),
    frequency(9.0, 0.205),
    deflection(5.0, 1.0, 0.0),
    torque(2.0, 1.0, 1.3558179483314004),
    wanted("mass_g", BalanceSetup()),
)
"""A bench of round numbers: no maker's."""
THIRD = frequency(6.5, 0.23)


def second(length: float) -> tuple[Wanted, ...]:
    """Another bench: longer clamps, a heavier tip mass, a weight up the shaft, and a scan from tip to butt."""
    span = 10.0 * IN
    stations = tuple(float(x) for x in np.linspace(0.5 * span, length - 0.5 * span, 12))
    scan = ThreePointSetup(span=span, stations=stations)
    return (
        frequency(7.0, 0.25),
        frequency(12.0, 0.25),
        deflection(7.0, 2.0, 6.0),
        torque(4.0, 2.0, 2.0),
        wanted("balance_point_mm_from_butt", BalanceSetup()),
        *(wanted("three_point_deflection_mm", scan, i) for i in range(len(stations))),
    )


def error_of(key: str, value: float) -> float:
    for part, error in (("cpm", CPM), ("torque", DEGREE), ("mass", GRAM), ("balance", BALANCE)):
        if part in key:
            return error
    return SHARE * value


def fine_value(shaft: Shaft, one: Wanted) -> float:
    """A reading on the finer mesh; tests that integrate the profile exactly have none."""
    use = one.setup
    if isinstance(use, FrequencySetup):
        piece = cut(shaft, use.clamp, shaft.raw_length)
        return float(natural_frequencies(piece, TipBody(use.tip_mass), count=1, solver="curvature", functions=FINE)[0])
    if isinstance(use, DeflectionSetup):
        piece = cut(shaft, use.clamp, shaft.raw_length - use.hung_at)
        force = (0.0, 9.80665 * use.weight, 0.0)
        shape = static_shape(piece, tip_force=force, solver="curvature", functions=FINE)
        return float(shape.position[-1][1] + use.hung_at * shape.rotation[-1][1, 0])
    return float(predict(shaft, [one])[0])


def facts_of(shaft: Shaft) -> KnownFacts:
    """What a fitter can see of a shaft: its measures, and of a stepped steel tube its steps and its material."""
    steel = shaft.material == "steel"
    inner = np.unique(shaft.s)[1:-1] if steel else np.empty(0)
    return KnownFacts(
        name=shaft.name,
        kind=shaft.kind,
        raw_length=shaft.raw_length,
        butt_diameter=shaft.butt_diameter,
        tip_diameter=shaft.tip_diameter,
        parallel_tip=shaft.parallel_tip,
        steps=tuple(float(x) for x in inner),
        constant=steel,
        poisson=0.29 if steel else None,
    )


def readings(name: str, asked: tuple[Wanted, ...], values: NDArray[np.float64], seed: int) -> list[Measured]:
    errors = np.array([error_of(one.reading.key, v) for one, v in zip(asked, values, strict=True)])
    read = values + errors * np.random.default_rng([seed, SHAFTS.index(name)]).standard_normal(values.size)
    return [Measured(one, float(v), float(e)) for one, v, e in zip(asked, read, errors, strict=True)]


@dataclass(frozen=True, eq=False)
class Trip:
    """Where the truth lies in the bands of one inversion.

    Attributes
    ----------
    inside : (3, k) whether the band of EI, GJ, mass holds the truth at k places all along the raw shaft
    off : (3, k) log of found over true, in standard deviations
    frequency_off : Hz, foretold less true on the third bench
    frequency_sd : Hz, as foretold
    """

    found: FoundProfile
    inside: NDArray[np.bool_]
    off: NDArray[np.float64]
    frequency_off: float
    frequency_sd: float


def truth_at(shaft: Shaft, places: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.log([np.interp(places, shaft.s, v) for v in (shaft.ei, shaft.gj, shaft.mass_per_length)])


def compare(shaft: Shaft, found: FoundProfile) -> Trip:
    """Bands against truth at the middles of the pieces between stations, all along the shaft."""
    s = found.unknowns.s
    middles = 0.5 * (s[1:] + s[:-1])[np.diff(s) > 1e-9]
    logs = found.unknowns.logs(found.at)
    at = np.array([np.interp(middles, s, row) for row in logs])
    sd = np.array([np.interp(middles, s, row) for row in found.log_sd])
    off = (at - truth_at(shaft, middles)) / sd
    (third,) = found.foretell([THIRD])
    return Trip(found, np.abs(off) <= 1.959964, off, third.value - fine_value(shaft, THIRD), third.sd)


def round_trips(name: str, bench: str, seeds: range) -> list[Trip]:
    """Inversions of one starter shaft's readings under a bench: "first", "second" or "both"."""
    shaft = load_shaft(library_root() / "shafts" / f"{name}.toml")
    benches: dict[str, Callable[[], tuple[Wanted, ...]]] = {
        "first": lambda: FIRST,
        "second": lambda: second(shaft.raw_length),
        "both": lambda: FIRST + second(shaft.raw_length),
    }
    asked = benches[bench]()
    values = np.array([fine_value(shaft, one) for one in asked])
    facts = facts_of(shaft)
    trips: list[Trip] = []
    before = None
    for seed in seeds:
        # The derivatives of one draw serve the next: a fifth of the time.
        before = find_profile(facts, readings(name, asked, values, seed), check=False, start=before)
        trips.append(compare(shaft, before))
    return trips
