"""The commands `study explain` and `study plot`: what they print and write, and how they refuse."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from study.sweep.toy_results import ishigami, write_results, write_sensitivity
from study.sweep.toys import Toy
from swingbeam.cli import app
from swingbeam.study.sweep.run import run_study

runner = CliRunner()


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    write_sensitivity(
        tmp_path / "s.h5",
        {"face_angle_deg": ishigami, "half_ms": lambda x: -x[:, 0]},
        rows=128,
        low=-math.pi,
        high=math.pi,
        inputs=3,
        failed=(7,),
        sample_rows=120,
        question="what drives it?",
    )
    x, y = (m.ravel() for m in np.meshgrid(np.linspace(0.0, 1.0, 6), np.linspace(0.0, 2.0, 5)))
    write_results(tmp_path / "g.h5", {"a": x, "b": y}, {"z": x + y}, kind="grid")
    return tmp_path


def test_explain_prints_indices_and_what_stood_in(folder: Path) -> None:
    found = runner.invoke(app, ["study", "explain", "s.h5", "--against", "half_ms"])
    assert found.exit_code == 0, found.output
    for words in (
        "toy: what drives it?",
        "640 cases: 639 ok, 1 failed",
        "first",
        "total",
        "1 of 120 rows are left out",
        "next 1 whole spare rows stand in",
        "Saltelli et al. 2010",
        "Jansen 1999",
        "seed 7",
        "face_angle_deg against",
        "does not certify",
    ):
        assert words in found.output, words


def test_explain_prints_json_and_nothing_else(folder: Path) -> None:
    arguments = ["study", "explain", "s.h5", "--output", "face_angle_deg", "--json", "--picture", "p.svg"]
    found = runner.invoke(app, arguments)
    assert found.exit_code == 0, found.output
    said = json.loads(found.stdout)
    assert (folder / "p.svg").is_file()
    assert "saved: p.svg" in found.stderr
    (output,) = said["outputs"]
    assert output["rows"] == {"used": 120, "wanted": 120, "left_out": 1, "spares": 1}
    sobol = output["inputs"][1]["sobol"]
    # 0.4424: see the closed form in tests/study/sweep; the interval is the program's own word on its error.
    low, high = sobol["total_interval"]
    assert low < sobol["total"] < high
    assert abs(sobol["total"] - 0.4424) < 2.0 * (high - low)
    again = runner.invoke(app, arguments)
    assert again.exit_code == 2
    assert "exists already" in again.stderr


def test_explain_says_what_a_grid_cannot_give(folder: Path) -> None:
    found = runner.invoke(app, ["study", "explain", "g.h5"])
    assert found.exit_code == 0, found.output
    words = " ".join(found.output.split())
    assert "gives no first-order or total indices" in words
    assert "Run a plan of kind sensitivity" in words
    assert json.loads(runner.invoke(app, ["study", "explain", "g.h5", "--json"]).stdout)["cannot"]


def test_plot_writes_beside_the_file(folder: Path) -> None:
    first = runner.invoke(app, ["study", "plot", "g.h5"])
    assert first.exit_code == 0, first.output
    assert "saved: g-plot.png" in first.stderr
    second = runner.invoke(app, ["study", "plot", "g.h5", "--x", "a", "--output", "z"])
    assert second.exit_code == 0, second.output
    assert (folder / "g-plot-2.png").is_file()
    third = runner.invoke(app, ["study", "plot", "s.h5", "--x", "x1", "--y", "x2", "--picture", "xy.svg"])
    assert third.exit_code == 0, third.output
    assert (folder / "xy.svg").is_file()


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["explain", "none.h5"], "none.h5: no such file"),
        (["explain", "s.h5", "--output", "face"], 'did you mean "face_angle_deg"'),
        (["explain", "s.h5", "--against", "spin"], '--against: found "spin"'),
        (["explain", "s.h5", "--picture", "p.jpg"], ".png or .svg"),
        (["plot", "s.h5", "--y", "x1"], "found no --x"),
        (["plot", "s.h5", "--x", "x9"], '--x: found "x9"'),
        (["plot", "g.h5", "--picture", "s.h5"], ".png or .svg"),
        (["plot", "notes.txt"], "no whole HDF5 file"),
    ],
)
def test_refusals_are_one_line_and_write_nothing(folder: Path, arguments: list[str], says: str) -> None:
    (folder / "notes.txt").write_text("no study")
    before = sorted(p.name for p in folder.iterdir())
    found = runner.invoke(app, ["study", *arguments])
    assert found.exit_code == 2, found.output
    assert says in found.stderr
    assert "Traceback" not in found.output
    assert len(found.stderr.strip().splitlines()) <= 2
    assert sorted(p.name for p in folder.iterdir()) == before


def test_a_file_that_the_run_itself_writes(folder: Path) -> None:
    """What runs and keeps a study, and what explains it, mean the same file."""
    run_study(Toy(count=120), folder / "toy.h5", workers=1)
    found = runner.invoke(app, ["study", "explain", "toy.h5", "--json"])
    assert found.exit_code == 0, found.output
    said = json.loads(found.stdout)
    assert sum(said["cases"].values()) == 120
    face, half = said["outputs"]
    assert (face["name"], face["units"]) == ("face_angle_deg", "degree")
    # The toy's half-unload is its first input in ms; the second is a choice of three.
    assert half["inputs"][0]["rank_correlation"] == pytest.approx(1.0, abs=1e-12)
    assert half["inputs"][1]["main_effect"]["at"] == ["maple", "two_words", "ash"]
    assert runner.invoke(app, ["study", "plot", "toy.h5"]).exit_code == 0
