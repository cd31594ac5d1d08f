"""The options --firmness, --tempo and --same: they reach the swing, are said, and are refused in a line."""

from __future__ import annotations

import json

import pytest
from typer.testing import CliRunner

from swingbeam.cli import app

runner = CliRunner()


@pytest.fixture(autouse=True)
def empty_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def test_swing_with_a_firm_grip_in_another_tempo():
    got = runner.invoke(
        app, ["swing", "even", "--firmness", "80 %", "--tempo", "1.1", "--same", "head speed", "--json"]
    )
    assert got.exit_code == 0, got.stderr
    tempo, grip = json.loads(got.stdout)["notes"]
    assert tempo.startswith("Tempo × 1.1, same head speed")
    assert grip.startswith("Grip firmness 80 %")


def test_swing_prints_what_is_held():
    got = runner.invoke(app, ["swing", "even", "--tempo", "0.95", "--same", "motion"])
    assert got.exit_code == 0, got.stderr
    assert "Tempo × 0.95, same motion" in got.stdout
    assert "Grip" not in got.stdout


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (["--firmness", "80"], "without a unit"),
        (["--firmness", "120 %"], "grip_firmness: found 120 %; allowed: 0 to 100 %"),
        (["--tempo", "1.1"], "--tempo without --same; allowed: both"),
        (["--same", "effort"], "--same without --tempo; allowed: both"),
        (["--tempo", "1.1", "--same", "speed"], 'found "speed" held; allowed: head speed, effort, motion'),
        (["--tempo", "5", "--same", "motion"], "allowed: 0.5 to 2"),
    ],
)
def test_slips_are_one_line(given, words):
    got = runner.invoke(app, ["swing", "even", *given])
    assert got.exit_code == 2
    assert words in got.stderr
    assert "Traceback" not in got.stderr
    assert got.stderr.count("\n") <= 2


def test_a_warning_is_a_line_without_the_program_s_own_lines():
    got = runner.invoke(app, ["swing", "even", "--hands", "effort", "--firmness", "0 %", "--json"])
    assert got.exit_code == 0, got.stderr
    assert "swingbeam: warning: hands " in got.stderr
    assert ".py" not in got.stderr
