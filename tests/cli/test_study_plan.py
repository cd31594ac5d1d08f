"""`study plan`, and what the library's commands know of studies."""

from __future__ import annotations

import json
import subprocess
import sys

import numpy as np
import pytest
from typer.testing import CliRunner

from swingbeam.cli import app
from swingbeam.study.sweep.cost import measure_cost
from swingbeam.study.sweep.load import load_study

STUDY = """
name = "Two shafts, three tempos"
question = "What then?"
swing = "even"
start = "top"
outputs = ["unload", "impact"]

[vary]
"swing.tempo.backswing" = { from = "0.9 s", to = "1.1 s", count = 3 }
"club.shaft" = ["wick-65-s", "marl-60-r"]

[plan]
kind = "grid"
"""
runner = CliRunner()


@pytest.fixture
def study(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "own.toml").write_text(STUDY, encoding="utf-8")
    return "own.toml"


def test_plan_says_what_is_swung_and_what_it_costs_and_writes_nothing(study, tmp_path):
    before = sorted(tmp_path.rglob("*"))
    result = runner.invoke(app, ["study", "plan", study])
    assert result.exit_code == 0, result.output
    words = " ".join(result.output.split())
    assert "6 cases, 3 golfers, 2 clubs; every combination of levels" in words
    assert "swing.tempo.backswing 0.9 1.1 s 3" in words
    assert "club.shaft: wick-65-s, marl-60-r" in words
    assert "held: every golfer is aimed anew" in words
    assert "0.1 s before the top" in words  # the approximation is said
    assert "next: swingbeam study run own.toml" in words
    assert sorted(tmp_path.rglob("*")) == before


def test_plan_as_json(study):
    result = runner.invoke(app, ["study", "plan", study, "--json"])
    assert result.exit_code == 0, result.output
    shown = json.loads(result.stdout)
    assert (shown["cases"], shown["golfers"], shown["clubs"]) == (6, 3, 2)
    assert shown["inputs"][0]["low"] == pytest.approx(0.9, rel=1e-15)
    assert shown["inputs"][1]["names"] == ["wick-65-s", "marl-60-r"]
    assert shown["seconds_a_case"] > 0.0
    assert shown["seconds_in_all"] == pytest.approx(
        (3 * shown["seconds_a_golfer"] + 6 * shown["seconds_a_case"]) / shown["cores"], rel=1e-12
    )
    # 8 bytes a number, 2 a name, 5 for status and reason: 8 + 2 + 26 · 8 + 5 a case.
    assert shown["bytes"]["none"] == 6 * (8 + 2 + 8 * len(shown["outputs"]) + 5)
    assert shown["bytes"]["none"] < shown["bytes"]["coarse"] < shown["bytes"]["full"]


def test_golfers_and_clubs_of_a_sensitivity_plan_are_counted(tmp_path):
    text = STUDY.replace('kind = "grid"', 'kind = "sensitivity"\nrows = 2\nspare_rows = 0').replace(
        '"club.shaft" = ["wick-65-s", "marl-60-r"]', '"shaft.ei scale" = { between = [0.9, 1.1] }'
    )
    path = tmp_path / "two.toml"
    path.write_text(text, encoding="utf-8")
    cost = measure_cost(load_study(path))
    # Of a row A, AB₁, AB₂, B: A and AB₂ share a tempo, AB₁ and B the other; shafts likewise.
    assert (cost.cases, cost.golfers, cost.clubs) == (8, 4, 4)
    assert all(np.isfinite([span.low, span.high]).all() for span in cost.spans)


def test_a_scenario_is_no_study(study):
    result = subprocess.run(
        [sys.executable, "-m", "swingbeam.cli", "study", "plan", "twins"], capture_output=True, text=True, check=False
    )
    assert result.returncode == 2
    assert "swingbeam rank" in result.stderr
    assert "Traceback" not in result.stderr
    result = runner.invoke(app, ["rank", study])
    assert result.exit_code == 2
    assert "swingbeam study plan own.toml" in result.stderr


def test_list_and_check_know_studies(study):
    listed = runner.invoke(app, ["list", "studies"])
    assert "tempo_sweep" in listed.output
    assert "twins" not in listed.output
    assert "tempo_sweep" not in runner.invoke(app, ["list", "scenarios"]).output
    result = runner.invoke(app, ["check", study])
    assert result.exit_code == 0, result.output
    assert 'a sound study, "Two shafts, three tempos": 6 cases of 2 inputs' in result.output
