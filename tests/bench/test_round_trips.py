"""Starter shafts read under two benches, with errors, on a finer mesh, and looked for again: are the bands honest?"""

import numpy as np
import pytest

from bench.round_trips import FIRST, SHAFTS, Trip, error_of, facts_of, fine_value, readings, round_trips, second
from swingbeam.bench.inverse import BAND, find_profile
from swingbeam.files.lookup import library_root
from swingbeam.shaft.load import load_shaft

FEW = ("wick-65-s", "sedge-82-s", "ballast-104-s")
SEEDS = range(20)


def coverage(trips: list[Trip]) -> np.ndarray:
    """Share of places whose truth lies in the 95 % band: EI, GJ, mass."""
    return np.mean([trip.inside.mean(axis=1) for trip in trips], axis=0)


@pytest.mark.parametrize("name", FEW)
def test_the_band_holds_and_a_third_bench_is_foretold(name: str) -> None:
    trips = round_trips(name, "both", range(1))
    # One draw of a 95 % band whose places go together: less than this would be a band that is not meant.
    assert np.all(coverage(trips) >= 0.6)
    # 1 cpm: four readings of 0.5 cpm foretell a frequency under another clamp to about 0.26 cpm.
    assert max(abs(60.0 * trip.frequency_off) for trip in trips) < 1.0


def test_two_benches_readings_convert_into_each_other() -> None:
    # What one bench foretells of the other's frequency, deflection and torque against what that reads (without
    # error): within three standard deviations as foretold, one in 370 by chance for each of eight.
    shaft = load_shaft(library_root() / "shafts" / "marl-60-r.toml")
    facts = facts_of(shaft)
    there = second(shaft.raw_length)
    for here, other in ((FIRST, there), (there, FIRST)):
        values = np.array([fine_value(shaft, one) for one in here])
        found = find_profile(facts, readings("marl-60-r", here, values, 1))
        for foretold in found.foretell([one for one in other[:5] if one.test.name != "balance"]):
            true = fine_value(shaft, foretold.wanted)
            assert abs(foretold.value - true) < 3.0 * foretold.sd
            # Readings make it surer than it was, by far.
            assert foretold.sd < 0.5 * foretold.prior_sd


@pytest.mark.slow
def test_bands_over_the_whole_library() -> None:
    """520 inversions: some ten minutes of one core."""
    trips = [trip for name in SHAFTS for trip in round_trips(name, "both", SEEDS)]
    found = coverage(trips)
    assert 0.88 <= found.mean() <= 0.99
    # Each property by itself: no band that misses more than one truth in eight.
    assert np.all(found >= 0.88)
    off = 60.0 * np.array([trip.frequency_off for trip in trips])
    assert np.abs(off).max() < 1.0
    # As foretold: rms 1 in standard deviations; 20 %: 520 draws leave 3 %, what shafts of one library share the rest.
    sd = np.array([trip.frequency_off / trip.frequency_sd for trip in trips])
    assert 0.8 <= np.sqrt(np.mean(sd**2)) <= 1.2
    # A standardised residual passes 4 once in 16,000 honest readings; there are 11,440.
    refused = sum(max(abs(r.standardised) for r in trip.found.residuals) > 4.0 for trip in trips)
    assert refused <= 5


@pytest.mark.slow
@pytest.mark.parametrize("bench", ["first", "second"])
def test_bands_of_a_single_bench_are_not_too_narrow(bench: str) -> None:
    """Under a minute each. A bench that says little leaves the band to what is expected of any shaft, which is wider
    than this library is diverse: there is no upper limit here."""
    trips = [trip for name in SHAFTS for trip in round_trips(name, bench, range(2))]
    assert np.all(coverage(trips) >= 0.88)


def test_the_stated_errors_are_those_of_the_question() -> None:
    # 0.5 cpm, 1 % of a deflection, 0.05°, 1 g.
    assert error_of("frequency_cpm", 4.0) == pytest.approx(0.5 / 60.0, rel=1e-12)
    assert error_of("deflection_mm", 0.1) == pytest.approx(0.001, rel=1e-12)
    assert error_of("three_point_deflection_mm", 0.001) == pytest.approx(1e-5, rel=1e-12)
    assert error_of("torque_deg", 0.07) == pytest.approx(np.radians(0.05), rel=1e-12)
    assert error_of("mass_g", 0.06) == 1e-3
    assert pytest.approx(1.96, abs=1e-4) == BAND
