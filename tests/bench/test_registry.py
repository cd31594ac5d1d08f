"""Every test of the bench: usable as it stands, on raw and cut shafts and on built clubs, and named apart."""

import dataclasses
import math

import numpy as np
import pytest

from shaft.made_up import shaft
from swingbeam.bench.bench_test import described
from swingbeam.bench.registry import READINGS, TESTS
from swingbeam.bench.specimen import specimen
from swingbeam.club.build import build_club
from swingbeam.club.head import Head, load_head
from swingbeam.files.lookup import find
from swingbeam.shaft.shaft import Shaft, cut
from swingbeam.shaft.trim import trimmed
from swingbeam.units import InputError, parse_quantity, to_unit

RAW = shaft(s=(0.0, 0.6, 1.1684), ei=(75.0, 45.0, 20.0), gj=(32.0, 20.0, 9.0), mass=(0.05, 0.05, 0.06))


def driver_head() -> Head:
    return load_head(find("head", "driver"))


def test_the_tests_of_the_bench() -> None:
    expected = ["frequency", "torsional_frequency", "deflection", "kick_point", "bend_point", "torque", "balance"]
    assert [*expected, "three_point", "spine", "frequency_curve"] == list(TESTS)
    assert [name for name, test in TESTS.items() if test.on_request] == ["frequency_curve"]
    assert len(READINGS) == sum(len(test.readings) for test in TESTS.values())


@pytest.mark.parametrize("name", TESTS)
def test_the_usual_setup_reads_a_raw_shaft_and_a_cut_one(name: str) -> None:
    test = TESTS[name]
    for subject in (RAW, trimmed(RAW, tip=0.02, butt=0.03)):
        record = test.read(subject, test.setup_type())
        assert dataclasses.is_dataclass(record)
        for reading in test.readings:
            value = np.asarray(reading.si(record))
            assert value.dtype == float
            assert (value.ndim == 1) == reading.scan
            shown = reading.of(record)
            if isinstance(shown, list):
                assert len(shown) == value.size
            assert shown is not None or not np.all(np.isfinite(value))


@pytest.mark.parametrize("name", TESTS)
def test_a_reading_takes_any_shaft_made_in_memory(name: str) -> None:
    # Stiffer and lighter everywhere: no reading may be remembered from the other shaft.
    test = TESTS[name]
    other = dataclasses.replace(RAW, ei=1.3 * RAW.ei, gj=1.2 * RAW.gj, mass_per_length=0.9 * RAW.mass_per_length)
    assert test.printed(RAW) != test.printed(other)
    assert test.printed(RAW) == test.printed(RAW)


@pytest.mark.parametrize("name", TESTS)
def test_setups_say_themselves_in_words_and_as_a_file_would(name: str) -> None:
    setup = TESTS[name].setup_type()
    assert str(setup)
    assert "Setup(" not in str(setup)
    with pytest.raises(dataclasses.FrozenInstanceError):
        setup.clamp = 1.0
    for key, value in described(setup).items():
        assert hasattr(setup, key)
        assert isinstance(value, str | bool | int | list)


def test_keys_carry_their_units() -> None:
    words = {"cpm": "cpm", "Hz": "hz", "mm": "mm", "deg": "deg", "%": "pct", "g": "g", "N": "n", "N*m^2": "nm2"}
    words |= {"kg*m^2": "kgm2", "in*oz": "in_oz", "in": "in"}
    for key, (_, reading) in READINGS.items():
        assert words[reading.unit] in key
        assert reading.usual_error > 0.0
        if reading.factor is None:
            assert reading.scale == pytest.approx(to_unit(1.0, reading.unit), rel=1e-15)


def test_a_built_club_is_read_as_it_is_cut() -> None:
    head = driver_head()
    raw = shaft(s=(0.0, 1.1684), ei=(75.0, 25.0), gj=(32.0, 9.0), tip_diameter=0.0085)
    club = build_club(raw, head, finished_length=44.5 * 0.0254, tip_trim=0.01)
    on_bench = specimen(club)
    assert on_bench.raw_length == pytest.approx(raw.raw_length - club.tip_trim - club.butt_trim, rel=1e-12)
    assert on_bench.end == pytest.approx(on_bench.raw_length - club.insertion, rel=1e-12)
    # The piece from the hold point to the hosel mouth is the club's own beam.
    own, found = club.profile, on_bench.piece(club.hold_point)
    np.testing.assert_allclose(found.ei, own.ei, rtol=1e-12)
    np.testing.assert_allclose(found.s, own.s, rtol=0.0, atol=1e-12)
    for name, test in TESTS.items():
        if name == "spine":
            with pytest.raises(InputError, match="bare shaft"):
                test.printed(club)
            continue
        printed = test.printed(club)
        assert all(v is not None for k, v in printed.items() if k != "bend_point_bow_mm")


def test_the_club_on_the_bench_weighs_what_the_club_weighs() -> None:
    # Every part counted once: shaft as cut with what is inside the hosel, head and grip. rtol 1e-12: round-off.
    club = build_club(shaft(s=(0.0, 1.1684), ei=50.0), driver_head(), finished_length=44.5 * 0.0254)
    reading = TESTS["balance"].read(club, None)
    assert reading.mass == pytest.approx(club.total_mass, rel=1e-12)
    assert reading.finished_length == pytest.approx(club.finished_length, rel=1e-12)


def test_a_trimmed_shaft_reads_as_its_piece() -> None:
    # A test that clamps 1 in more of the butt of the whole shaft sees the same beam as on the shaft cut 1 in shorter.
    from swingbeam.bench.frequency import FrequencySetup, read_frequency

    inch = parse_quantity("1 in", "length")
    whole = read_frequency(RAW, FrequencySetup(clamp=0.127 + inch))
    piece = read_frequency(trimmed(RAW, butt=inch), FrequencySetup(clamp=0.127))
    assert piece.frequency == pytest.approx(whole.frequency, rel=1e-9)


def test_cuts_move_readings_the_way_they_say() -> None:
    def read(a: Shaft) -> dict[str, float]:
        found = {}
        for name in ("frequency", "torsional_frequency", "deflection", "torque", "balance"):
            found |= TESTS[name].printed(a)
        return found

    raw, tip, butt = read(RAW), read(trimmed(RAW, tip=0.0254)), read(trimmed(RAW, butt=0.0254))
    for cut_one in (tip, butt):
        assert cut_one["frequency_cpm"] > raw["frequency_cpm"]
        assert cut_one["torsional_frequency_hz"] > raw["torsional_frequency_hz"]
        assert cut_one["deflection_mm"] < raw["deflection_mm"]
        assert cut_one["torque_deg"] < raw["torque_deg"]
        assert cut_one["mass_g"] < raw["mass_g"]
    assert butt["balance_point_mm_from_butt"] < raw["balance_point_mm_from_butt"]
    assert math.isclose(cut(RAW, 0.0254, RAW.raw_length).total_mass * 1e3, butt["mass_g"], rel_tol=1e-12)
