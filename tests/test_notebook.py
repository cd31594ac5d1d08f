"""`import swingbeam` gives what a notebook needs: typed, documented, and nothing heavy before it is used."""

from __future__ import annotations

import inspect
import subprocess
import sys

import numpy as np
import pytest

import swingbeam
from study.made_up import NAMES, ranking

FUNCTIONS = [name for name in swingbeam.__all__ if not name.endswith("Error")]


def test_ten_things_and_two_exceptions():
    assert len(FUNCTIONS) == 10
    assert set(swingbeam.__all__) <= set(dir(swingbeam))


@pytest.mark.parametrize("name", FUNCTIONS)
def test_each_says_what_it_does_and_is_typed(name):
    function = getattr(swingbeam, name)
    assert inspect.getdoc(function)
    signature = inspect.signature(function)
    assert signature.return_annotation is not inspect.Signature.empty
    assert all(p.annotation is not inspect.Parameter.empty for p in signature.parameters.values())
    assert name in (swingbeam.__doc__ or "")


def test_importing_it_loads_nothing_heavy():
    heavy = {"numpy", "numba", "scipy", "h5py", "pydantic", "xarray"}
    code = f"import swingbeam, sys; print(sorted({heavy!r} & set(sys.modules)))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


def test_a_name_it_does_not_have():
    with pytest.raises(AttributeError, match="rank_everything"):
        _ = swingbeam.rank_everything


def test_parts_by_name_make_a_club():
    club = swingbeam.build_club(
        swingbeam.load_shaft("wick-65-s"), swingbeam.load_head("driver"), finished_length=45.5 * 0.0254
    )
    assert club.finished_length == pytest.approx(45.5 * 0.0254, rel=1e-12)
    with pytest.raises(swingbeam.InputError, match="wick-65-s"):
        swingbeam.load_shaft("wick-65-z")


def test_a_ranking_as_a_dataset_is_what_its_file_holds():
    pytest.importorskip("h5netcdf")
    result = ranking()
    dataset = swingbeam.to_xarray(result)
    assert set(NAMES) <= set(dataset.club.values)
    runs = {run.shaft: run for run in result.runs}
    for club, loft in zip(dataset.club.values, dataset.dynamic_loft_deg.values, strict=True):
        impact = runs[club].impact
        want = np.nan if impact is None else np.degrees(impact.dynamic_loft)
        np.testing.assert_allclose(loft, want, rtol=1e-14)
    assert dataset.dynamic_loft_deg.units == "degree"


def test_bench_readings_as_a_dataset():
    pytest.importorskip("xarray")
    found = swingbeam.read_shafts(["wick-65-s", "marl-60-r"], tests=["frequency", "torque"])
    dataset = swingbeam.to_xarray(found)
    assert list(dataset.shaft.values) == ["wick-65-s", "marl-60-r"]
    row = found.rows[1].readings
    assert float(dataset.frequency_cpm.sel(shaft="marl-60-r")) == row["frequency_cpm"]
    assert dataset.frequency_cpm.units == "cpm"


def test_one_swing_as_a_dataset():
    pytest.importorskip("xarray")
    found = swingbeam.swing_club("even", shaft="marl-68-s")
    dataset = swingbeam.to_xarray(found)
    assert float(dataset.time[-1]) == 0.0
    assert float(dataset.dynamic_loft_deg[0]) == pytest.approx(np.degrees(found.run.impact.dynamic_loft), rel=1e-14)
    assert float(dataset.in_plane[-1]) == pytest.approx(1e-3 * float(dataset.in_plane_mm[0]), abs=1e-9)


def test_what_is_no_result_is_refused():
    pytest.importorskip("xarray")
    with pytest.raises(swingbeam.InputError, match="allowed: a ranking"):
        swingbeam.to_xarray(3)
