"""The file of results: others open it alike, it says what it holds, and one of this version opens for ever."""

from __future__ import annotations

from pathlib import Path

import h5py
import numpy as np
import pytest
import xarray as xr

from study.sweep.toys import TIMES, Toy
from swingbeam.study.sweep import layout
from swingbeam.study.sweep.check import check_study
from swingbeam.study.sweep.results import open_results
from swingbeam.study.sweep.run import run_study

FROZEN = Path(__file__).resolve().parents[2] / "data" / "study_schema_1.h5"
SPOTS = {"spot_cases": np.array([4, 50, 90]), "spot_limits": {"face_angle_deg": 0.5}}
CASES = np.arange(100)


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    toy = Toy(kind="sensitivity", held="head speed", spot_error=1e-3, **SPOTS)
    return run_study(toy, tmp_path_factory.mktemp("file") / "a.h5", workers=1, history="coarse").path


def expected_face():
    """The toy's closed form: of every case that is neither missed nor failed."""
    values = np.sin(40.0 * (0.2 + 1e-4 * CASES))
    values[(CASES % 7 == 6) | (CASES % 11 == 10)] = np.nan
    return values


def test_xarray_reads_names_units_axes_and_values(written):
    with xr.open_dataset(written, engine="h5netcdf") as data:
        assert dict(data.sizes) == {"case": 100, "time": 5, "file": 2, "reason_number": 10, "spot": 3}
        np.testing.assert_array_equal(data["case"], CASES)
        np.testing.assert_array_equal(data["time"], TIMES["coarse"])
        assert data["time"].attrs["units"] == "s"
        # The shown unit of an input: one product of two doubles.
        np.testing.assert_allclose(data["swing_tempo_ms"], 200.0 + 0.1 * CASES, rtol=4e-16)
        assert data["swing_tempo_ms"].attrs["key"] == "swing.tempo"
        assert data["swing_tempo_ms"].attrs["units"] == "ms"
        np.testing.assert_array_equal(data["shaft"], CASES % 3)
        assert data["shaft"].attrs["flag_meanings"].split() == ["maple", "two_words", "ash"]
        np.testing.assert_array_equal(data["shaft"].attrs["flag_values"], [0, 1, 2])
        np.testing.assert_array_equal(data["face_angle_deg"], expected_face())
        assert data["face_angle_deg"].attrs["frame"] == "world"
        assert data["curve_lead_mm"].dims == ("case", "time")
        np.testing.assert_array_equal(data["curve_lead_mm"][5], (0.2 + 5e-4) * TIMES["coarse"])
        np.testing.assert_array_equal(data["sample_row"], CASES // 4)
        assert data["sample_matrix"].attrs["flag_meanings"] == "A B AB"
        np.testing.assert_array_equal(data["sample_column"][:4], [-1, -1, 0, 1])
        roles = {role: [n for n, v in data.items() if v.attrs.get("role") == role] for role in ("input", "output")}
        assert roles == {"input": ["swing_tempo_ms", "shaft"], "output": ["face_angle_deg", "half_unload_ms"]}


def test_the_case_says_whether_the_ball_was_struck_and_why_not(written):
    with xr.open_dataset(written, engine="h5netcdf") as data:
        assert data["status"].attrs["flag_meanings"] == "ok missed failed"
        status = np.where(CASES % 11 == 10, 2, np.where(CASES % 7 == 6, 1, 0))
        np.testing.assert_array_equal(data["status"], status)
        reasons = ["" if k < 0 else str(data["reason_text"].values[k]) for k in data["reason"].values]
        assert reasons[6] == "the face passes the ball"
        assert reasons[10] == "no convergence at 10 µs"
        assert reasons[0] == ""


def test_it_carries_what_made_it(written):
    with xr.open_dataset(written, engine="h5netcdf") as data:
        found = dict(zip(map(str, data["file_name"].values), map(str, data["file_text"].values), strict=True))
        assert found == dict(Toy().files)
        wanted = {"Conventions": "CF-1.11", "format": "swingbeam study", "title": "toy", "plan": "sensitivity"}
        wanted |= {"held": "head speed", "digest": "d" * 64, "curves_kept": "coarse"}
        assert {name: data.attrs[name] for name in wanted} == wanted
        numbers = {"schema_version": 1, "seed": 3, "complete": 1}
        assert {name: int(data.attrs[name]) for name in numbers} == numbers


def test_spot_checks_are_beside_it(written):
    with xr.open_dataset(written, engine="h5netcdf") as data:
        assert data["spot_difference_face_angle_deg"].dims == ("spot",)
        np.testing.assert_array_equal(data["spot_case"], [4, 50, 90])
        np.testing.assert_array_equal(data["spot_difference_face_angle_deg"], 1e-3 * np.array([4, 50, 90]))
        assert data["spot_difference_face_angle_deg"].attrs["limit"] == 0.5
        assert data.attrs["doubtful"] == ""


def test_netcdf4_python_reads_the_same(written):
    netcdf = pytest.importorskip("netCDF4")
    with netcdf.Dataset(written) as data:
        assert {name: len(axis) for name, axis in data.dimensions.items()} == {
            "case": 100, "time": 5, "file": 2, "reason_number": 10, "spot": 3
        }  # fmt: skip
        assert data["face_angle_deg"].dimensions == ("case",)
        assert data["face_angle_deg"].units == "degree"
        np.testing.assert_array_equal(np.ma.filled(data["face_angle_deg"][:], np.nan), expected_face())
        assert data["curve_lead_mm"].dimensions == ("case", "time")
        np.testing.assert_array_equal(data["curve_lead_mm"][5], (0.2 + 5e-4) * TIMES["coarse"])
        assert list(data["file_name"][:]) == [name for name, _ in Toy().files]
        assert data["status"].flag_meanings == "ok missed failed"
        assert data.digest == "d" * 64


def test_h5py_finds_real_dimension_scales(written):
    with h5py.File(written) as file:
        assert h5py.h5ds.is_scale(file["case"].id)
        for item in file.values():
            if not h5py.h5ds.is_scale(item.id):
                assert all(len(axis) == 1 for axis in item.dims), item.name
        assert np.isnan(file["face_angle_deg"].attrs["_FillValue"])
        assert np.isnan(file["face_angle_deg"].fillvalue)
        assert file["curve_lead_mm"].compression == "gzip"
        assert list(file)[:2] == ["case", "time"]


def test_the_programs_own_reader_agrees(written):
    with open_results(written) as found:
        assert [(column.key, column.unit) for column in found.inputs] == [("swing.tempo", "ms"), ("shaft", "1")]
        assert found.count == 100
        np.testing.assert_array_equal(found.read("face_angle_deg"), expected_face())
        assert found.counts() == {"ok": 78, "missed": 13, "failed": 9}
        np.testing.assert_array_equal(found.sample().row, CASES // 4)


def test_curves_are_chunked_by_cases(tmp_path):
    assert layout.curve_rows(0) == 1
    for times in (1, 21, 300, 10**6):
        rows = layout.curve_rows(times)
        assert rows & (rows - 1) == 0
        assert rows == 1 or 8 * rows * times <= layout.CURVE_CHUNK_BYTES < 16 * rows * times


def test_more_cases_than_one_block_are_what_they_are_in_one(tmp_path, monkeypatch):
    from swingbeam.study.sweep import consolidate

    whole = run_study(Toy(), tmp_path / "whole.h5", workers=1, history="full").path
    monkeypatch.setattr(consolidate, "BLOCK", 7)
    pieces = run_study(Toy(), tmp_path / "pieces.h5", workers=1, history="full").path
    assert check_study(pieces).is_sound
    with h5py.File(whole) as one, h5py.File(pieces) as other:
        assert one.attrs["contents_sha256"] == other.attrs["contents_sha256"]


@pytest.mark.parametrize("count", [1, 2])
def test_the_smallest_studies(tmp_path, count):
    toy = Toy(count=count, files=())
    path = run_study(toy, tmp_path / "a.h5", workers=1, history="full").path
    assert check_study(path).is_sound
    with xr.open_dataset(path, engine="h5netcdf") as data:
        assert data.sizes["case"] == count
        assert (data["reason"].values == -1).all()


@pytest.mark.parametrize(
    ("name", "word"),
    [("two words", "two_words"), ("wick-65-s", "wick-65-s"), ("a/b", "a_b"), (" ", "_"), ("été", "été")],
)
def test_names_become_words_of_flag_meanings(name, word):
    assert layout.flag_word(name) == word


def test_a_file_of_the_first_version_opens_for_ever():
    """Written when there was no other version; it is never written again."""
    found = check_study(FROZEN)
    assert found.is_sound, found.problems
    assert found.statuses == {"ok": 78, "missed": 13, "failed": 9}
    with h5py.File(FROZEN) as file, xr.open_dataset(FROZEN, engine="h5netcdf") as data:
        assert file.attrs["schema_version"] == 1
        for face in (file["face_angle_deg"][()], data["face_angle_deg"].values):
            # sin of the C library's day: a unit in the last place.
            np.testing.assert_allclose(face, expected_face(), rtol=1e-15)
        assert data["spot_case"].dims == ("spot",)
        assert data["curve_lead_mm"].dims == ("case", "time")
        assert str(data["file_name"].values[0]) == "toy.toml"
    with open_results(FROZEN) as results:
        assert results.kind == "sensitivity"
        assert results.complete
