"""The command `record`: what it prints, writes and refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from swing.recordings import POSE_HEAD, frame_times, pose_recording, pose_rows, write_csv
from swingbeam.cli import app
from swingbeam.files.lookup import library_root

runner = CliRunner()
STARTER = library_root() / "swings" / "recordings" / "practice-swing.toml"
OPTIONS = [
    "--up", "+z", "--target", "+x", "--axes", "right", "--handed", "right", "--impact", "1.5 s", "--not-struck",
    "--shaft-axis", "+x", "--face-axis", "+y", "--shaft", "wick-65-s", "--head", "driver", "--length", "45.5 in",
]  # fmt: skip


@pytest.fixture
def workspace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*arguments: object):  # type: ignore[no-untyped-def]
    return runner.invoke(app, ["record", *(str(a) for a in arguments)])


def test_the_starter_recording_becomes_a_swing_that_can_be_swung(workspace: Path) -> None:
    answer = run(STARTER, "--output", "swings/mine.toml")
    assert answer.exit_code == 0, answer.output
    for words in (
        "face angle at face centre",
        "half-unload against impact",
        "halved",
        "doubled",
        "cut-off:",
        "standard error",
        "bridged a gap",
        "continued with the acceleration",
        "nothing was aimed",
    ):
        assert words in " ".join(answer.output.split()), words
    swung = runner.invoke(app, ["swing", "mine"])
    assert swung.exit_code == 0, swung.output
    checked = runner.invoke(app, ["check", "swings/mine.toml"])
    assert "a sound swing" in checked.output
    assert "mine" in runner.invoke(app, ["list", "swings"]).output
    before = Path("swings/mine.toml").read_bytes()
    again = run(STARTER, "--output", "swings/mine.toml")
    assert again.exit_code == 2
    assert Path("swings/mine.toml").read_bytes() == before


def test_the_starter_recording_is_sound_and_says_it_is_invented() -> None:
    assert "a sound recording" in runner.invoke(app, ["check", str(STARTER)]).output
    assert "Invented" in STARTER.read_text(encoding="utf-8")


def test_a_csv_file_with_options_and_json(workspace: Path) -> None:
    write_csv(workspace / "swing.csv", POSE_HEAD, pose_rows(frame_times(240.0)))
    answer = run("swing.csv", *OPTIONS, "--json", "--cutoff", "30 Hz")
    assert answer.exit_code == 0, answer.output
    content = json.loads(answer.stdout)
    assert content["cutoff_position_hz"] == 30.0
    assert content["cutoff_chosen"] is False
    # The archetype behind it is aimed at 45 m/s; 30 Hz take (10/30)⁶, a thousandth, of motion at 10 Hz.
    assert content["figures"]["head_speed_mps"] == pytest.approx(45.0, abs=0.2)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["swing.csv", *OPTIONS[2:]], "also needed: --up"),
        (["swing.csv"], "--struck or --not-struck"),
        (["recording.toml", "--up", "+z"], "--up: found with a TOML file"),
        (["swing.c3d"], "needs a TOML file"),
        (["swing.xlsx"], "found the ending .xlsx"),
        (["none.toml"], "no such file"),
        (["swing.csv", *OPTIONS, "--cutoff", "30"], "without a unit"),
        (["swing.csv", *OPTIONS, "--cutoff", "900 Hz"], "allowed: 2 to 200 Hz"),
        (["recording.toml", "--output", "mine.txt"], "a name that ends in .toml"),
        (["recording.toml", "--fit", "evn"], 'did you mean "even"'),
        (["recording.toml", "--fit-output", "a.toml"], "--fit-output: found without --fit"),
    ],
)
def test_what_is_refused_leaves_nothing_behind(workspace: Path, arguments: list[str], words: str) -> None:
    pose_recording(workspace, pose_rows(frame_times(240.0)))
    write_csv(workspace / "swing.csv", POSE_HEAD, pose_rows(frame_times(240.0)))
    before = sorted(workspace.rglob("*"))
    answer = run(*arguments)
    assert answer.exit_code == 2, answer.output
    assert words in answer.output
    assert "Traceback" not in answer.output
    assert sorted(workspace.rglob("*")) == before
