"""Shafts on the bench: the whole library, clubs as built, scans, and readings out of a spreadsheet."""

from __future__ import annotations

import math

import numpy as np
import pytest

from swingbeam.bench.frequency import read_frequency
from swingbeam.bench.registry import READINGS, TESTS
from swingbeam.files.lookup import find, list_library
from swingbeam.files.spreadsheet import read_sheet
from swingbeam.report.bench_table import bench_object, write_bench_csv
from swingbeam.shaft.load import load_shaft
from swingbeam.study.bench import compare_readings, head_of, read_shafts, single_readings
from swingbeam.study.readings import static_readings
from swingbeam.units import InputError

REQUIRED = (
    "frequency_cpm",
    "torsional_frequency_hz",
    "deflection_mm",
    "kick_point_pct_from_tip",
    "bend_point_pct_from_tip",
    "torque_deg",
    "mass_g",
    "balance_point_mm_from_butt",
)


@pytest.fixture(scope="module")
def library():
    return read_shafts()


def test_the_whole_library_is_read_where_nothing_is_named(library) -> None:
    assert [row.name for row in library.rows] == list(list_library("shaft"))
    assert library.tests == tuple(name for name in TESTS if name != "frequency_curve")
    for row in library.rows:
        assert not row.reasons
        assert all(math.isfinite(row.readings[key]) for key in REQUIRED)
        assert set(row.scans) == {"three_point", "spine"}


def test_the_table_and_the_ranking_read_the_same(library) -> None:
    for row in library.rows:
        static = static_readings(load_shaft(find("shaft", row.name)))
        for key, value in (
            ("frequency_cpm", 60.0 * static.frequency),
            ("torque_deg", math.degrees(static.torque)),
            ("kick_point_pct_from_tip", 100.0 * static.kick_point),
            ("mass_g", 1e3 * static.mass),
        ):
            assert row.readings[key] == pytest.approx(value, rel=1e-12)


def test_the_weight_on_the_bench_is_the_stated_one(library) -> None:
    for row in library.rows:
        assert row.readings["mass_g"] == pytest.approx(1e3 * load_shaft(find("shaft", row.name)).mass, rel=1e-9)


def test_a_scan_is_near_the_shafts_own_ei(library) -> None:
    # Over a foot of span EI changes by up to ± 0.4 of its middle: straight, that reads 1.7 % low
    # (`tests/verification`). Kinks and steps read either way, by a part of their height: 10 % bounds all.
    for row in library.rows:
        assert np.abs(row.scans["three_point"]["three_point_bias_pct"]).max() < 10.0


def test_one_test_only() -> None:
    found = read_shafts(["wick-65-s"], tests=["torque", "frequency"])
    assert found.tests == ("frequency", "torque")
    assert set(found.rows[0].readings) == {"frequency_cpm", "torque_deg"}
    with pytest.raises(InputError, match='did you mean "frequency"'):
        read_shafts(["wick-65-s"], tests=["frequenzy"])
    with pytest.raises(InputError, match="no shaft of that name"):
        read_shafts(["no-such-shaft"])


def test_clubs_of_a_scenario_are_read_as_built() -> None:
    found = read_shafts(["wick-65-s"], scenario="first_fitting", tests=["balance", "spine"])
    assert len(found.rows) == 13
    raw, built = found.rows[0], found.rows[1]
    assert raw.readings["swing_weight_in_oz"] is None
    assert built.readings["swing_weight_in_oz"] > 150.0
    assert built.readings["finished_length_in"] == pytest.approx(45.5, rel=1e-9)
    # A test that cannot be put to a built club is a reason in its row, and blank in its columns.
    assert "bare shaft" in built.reasons["spine"]
    assert built.readings["spine_pct"] is None
    with pytest.raises(InputError, match="bare shaft"):
        read_shafts(scenario="first_fitting", tests=["spine"])


def test_another_bench_reads_otherwise() -> None:
    usual = read_shafts(["wick-65-s"], tests=["frequency", "torque"]).rows[0].readings
    longer = read_shafts(["wick-65-s"], tests=["frequency", "torque"], setup="long_clamp").rows[0].readings
    assert longer["torque_deg"] < usual["torque_deg"]  # more held at both ends
    assert longer["frequency_cpm"] != usual["frequency_cpm"]


def test_the_object_for_json(library) -> None:
    found = bench_object(library)
    assert [sorted(entry) for entry in found[:1]] == [["readings", "reasons", "scans", "setup", "shaft"]]
    assert found[0]["setup"]["frequency"]["clamp"] == "5 in"
    keys = {reading.key for reading in single_readings()}
    for entry in found:
        assert set(entry["readings"]) == keys
        for scan in entry["scans"].values():
            assert set(scan) <= set(READINGS)


def test_columns_of_a_spreadsheet_are_named_apart() -> None:
    heads = [head_of(reading) for reading in single_readings()]
    assert len(set(heads)) == len(heads)
    assert "frequency (cpm)" in heads
    assert "balance_point_from_butt (mm)" in heads


def test_what_is_written_compares_to_nothing_left(library, tmp_path) -> None:
    path = write_bench_csv(library, tmp_path / "all.csv")
    assert len(read_sheet(path).rows) == len(library.rows)
    found = compare_readings(str(path))
    assert {reading.key for reading in found.columns} == {reading.key for reading in single_readings()}
    # rtol 1e-8: nine figures are written.
    np.testing.assert_allclose(found.measured, found.computed, rtol=1e-8)


def test_readings_in_other_units_and_in_part(tmp_path) -> None:
    path = tmp_path / "some.csv"
    path.write_text("shaft;frequency (Hz);deflection (in)\nwick-65-s;4,25;n/a\nmarl-60-r;;2,5\n", encoding="utf-8")
    found = compare_readings(str(path), decimal=",")
    assert [row.name for row in found.result.rows] == ["wick-65-s", "marl-60-r"]
    np.testing.assert_allclose(found.measured, [[255.0, math.nan], [math.nan, 63.5]], rtol=1e-12)
    own = 60.0 * read_frequency(load_shaft(find("shaft", "wick-65-s"))).frequency
    assert found.computed[0, 0] == pytest.approx(own, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("frequency (cpm)\n255\n", ["shaft"]),
        ("shaft,frequenzy (cpm)\nwick-65-s,255\n", ["frequenzy", 'did you mean "frequency"']),
        ("shaft,frequency (mm)\nwick-65-s,255\n", ["frequency", "mm", "cpm"]),
        ("shaft,frequency (cpm)\nwick-65-s,soft\n", ["row 2", "frequency", "soft"]),
        ("shaft,frequency (cpm)\nno-such,255\n", ["no-such"]),
        ("shaft\nwick-65-s\n", ["no readings"]),
        ("shaft,frequency (cpm)\n", ["no readings"]),
    ],
)
def test_readings_that_cannot_be_are_refused(tmp_path, text: str, words: list[str]) -> None:
    path = tmp_path / "wrong.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as error:
        compare_readings(str(path))
    for word in words:
        assert word in str(error.value)
