"""The page on a study's file: its Python parts run as they stand, and what it lists is what there is."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import h5py
import numpy as np
import pytest

from study.sweep.toys import Toy
from swingbeam.study.sweep.run import run_study

PAGE = (Path(__file__).resolve().parents[3] / "docs" / "files.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```python\n(.*?)```", PAGE, flags=re.S)


@pytest.fixture
def study(tmp_path, monkeypatch):
    """A toy in the place of the study that the page reads, with the columns it names."""
    monkeypatch.chdir(tmp_path)
    toy = Toy(kind="sensitivity", spot_cases=np.array([3]), spot_limits={"half_ms": 1.0})
    toy.outputs = (toy.outputs[0], replace(toy.outputs[1], name="half_ms"))
    return run_study(toy, "outputs/shaft_and_head.h5", workers=1, history="coarse").path


@pytest.mark.parametrize("place", range(len(BLOCKS)))
def test_the_python_parts_run(study, capsys, place):
    if "netCDF4" in BLOCKS[place]:
        pytest.importorskip("netCDF4")
    exec(compile(BLOCKS[place], f"files.md, part {place}", "exec"), {})
    out = capsys.readouterr().out
    assert "degree" in out
    # Of the cases that are ok: sin(40 x) of the toy's closed form, printed with all its digits or fewer.
    cases = np.arange(100)
    ok = ~((cases % 7 == 6) | (cases % 11 == 10))
    mean = np.sin(40.0 * (0.2 + 1e-4 * cases))[ok].mean()
    printed = [float(number) for number in re.findall(r"-?\d+\.\d+", out)]
    assert any(abs(number - mean) < 1e-9 for number in printed), out


def test_there_are_three_readers_in_python():
    assert [name for name in ("xarray", "h5py", "netCDF4") if any(f"import {name}" in b for b in BLOCKS)] == [
        "xarray",
        "h5py",
        "netCDF4",
    ]


def test_every_variable_and_attribute_of_a_file_is_on_the_page(study):
    with h5py.File(study) as file:
        for name, item in file.items():
            if "role" in item.attrs or name.startswith("spot_difference_"):
                continue
            assert f"`{name}`" in PAGE, name
        for name in file.attrs:
            assert f"`{name}`" in PAGE or name in ("Conventions", "format"), name
