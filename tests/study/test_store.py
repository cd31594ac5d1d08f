"""The ranking's HDF5 file: what is in it, that others can open it, and that nothing is overwritten."""

from __future__ import annotations

import h5py
import numpy as np
import pytest
import xarray as xr

from study.made_up import NAMES, ranking
from swingbeam.beam.errors import InputError
from swingbeam.study import store
from swingbeam.study.quantities import IMPACT, LANDING, SHOT, UNLOAD
from swingbeam.study.result import STATUSES


@pytest.fixture
def written(tmp_path):
    path = tmp_path / "made_up.h5"
    store.write_ranking(ranking(), path)
    return path


def test_opens_in_xarray_with_names_units_and_dimensions(written):
    with xr.open_dataset(written, engine="h5netcdf") as data:
        assert dict(data.sizes) == {
            "club": 13, "cause": 6, "hands": 3, "input": 1, "time_ms": 281, "agreement": 1, "verified": 1,
            "replay_ms": 41, "axis_point": 15, "rim_point": 16, "xyz": 3, "wxyz": 4, "station": 93
        }  # fmt: skip
        assert list(data["club"].values[:12]) == list(NAMES)
        for quantity in (*UNLOAD, *IMPACT):
            assert data[quantity.key].dims == ("club",)
            assert data[quantity.key].attrs["units"] == quantity.unit
            assert data[quantity.key].attrs["long_name"]
        assert data["curve_in_plane_mm"].dims == ("club", "time_ms")
        for quantity in SHOT:
            for prefix in ("", "error_", "change_", "change_error_"):
                assert data[prefix + quantity.key].dims == ("club",)
                assert data[prefix + quantity.key].attrs["units"] == quantity.unit
        assert {q.key for q in LANDING} <= set(data)
        assert data["change_under_carry_m"].dims == ("club", "hands")
        assert data["order_under"].dims == ("club", "hands")
        assert data["face_from_deg"].dims == ("club", "cause")


def test_values_are_those_of_the_ranking_in_the_unit_they_state(written):
    result = ranking()
    with xr.open_dataset(written, engine="h5netcdf") as data:
        # Scaled copies of the same doubles: a few units in the last place.
        expected = [1e3 * run.unload.half for run in result.runs[:12]]
        np.testing.assert_allclose(data["half_ms"].values[:12], expected, rtol=1e-14)
        expected = [np.degrees(run.impact.face_angle) for run in result.runs[:12]]
        np.testing.assert_allclose(data["face_angle_deg"].values[:12], expected, rtol=1e-14)
        causes = data["face_from_deg"].values[0]
        assert causes.sum() == pytest.approx(np.degrees(result.runs[0].face.total), rel=1e-12)


def test_a_failed_club_is_a_row_with_a_status_and_a_reason(written):
    with xr.open_dataset(written, engine="h5netcdf") as data:
        meanings = data["status"].attrs["flag_meanings"].split()
        assert tuple(meanings) == STATUSES
        assert meanings[int(data["status"].values[12])] == "failed"
        assert np.isnan(data["half_ms"].values[12])
        assert "no convergence" in str(data["reasons"].values[12])
    with h5py.File(written) as file:
        # Not a number only where the status says so.
        numbers = [v for v in file.values() if v.dtype.kind == "f" and v.shape[:1] == (13,)]
        assert all(np.all(np.isfinite(v[:12])) for v in numbers)
        assert file["rank"][12] == file["rank"].attrs["_FillValue"]


def test_carries_what_made_it(written):
    with h5py.File(written) as file:
        assert file.attrs["source"] == "swingbeam 0.0.0"
        assert file.attrs["inputs_sha256"] == "0" * 64
        assert file["input"][0] == b"made_up.toml"
        assert file["input_text"][0].decode() == 'title = "made up"\n'


def test_same_result_same_bytes(tmp_path):
    paths = [store.write_ranking(ranking(), tmp_path / name) for name in ("a.h5", "b.h5")]
    assert paths[0].read_bytes() == paths[1].read_bytes()


def test_an_existing_file_is_refused_and_left_alone(written):
    before = written.read_bytes()
    with pytest.raises(InputError, match="exists already"):
        store.write_ranking(ranking(), written)
    assert written.read_bytes() == before
    assert list(written.parent.iterdir()) == [written]


def test_a_write_that_breaks_off_leaves_nothing(tmp_path, monkeypatch):
    def broken(*_):
        raise OSError("no space left")

    monkeypatch.setattr(store, "_curves", broken)
    with pytest.raises(OSError, match="no space"):
        store.write_ranking(ranking(), tmp_path / "x.h5")
    assert list(tmp_path.iterdir()) == []


def test_how_well_a_change_of_the_flight_is_known(written):
    with xr.open_dataset(written, engine="h5netcdf") as data:
        meanings = dict(
            zip(
                data["resolved_side_m"].attrs["flag_values"],
                data["resolved_side_m"].attrs["flag_meanings"].split(),
                strict=True,
            )
        )
        assert meanings[int(data["resolved_side_m"].values[11])] == "sign_depends_on_hands"
        assert meanings[int(data["resolved_apex_m"].values[11])] == "below_error"
        assert meanings[int(data["resolved_carry_m"].values[11])] == "resolved"
        assert meanings[int(data["resolved_carry_m"].values[12])] == "no_shot"
        assert data.attrs["air"] == "20 °C, no wind"
