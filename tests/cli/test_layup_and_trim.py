"""The commands `layup` and `trim`: what they print and write, and how they refuse."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from swingbeam.cli import app
from swingbeam.files.lookup import find
from swingbeam.report.layup_figure import draw_layups
from swingbeam.shaft.load import load_shaft
from swingbeam.study.layup import compare_layups, study_layup

runner = CliRunner()


@pytest.fixture
def workspace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_layup_writes_the_shaft_and_a_picture(workspace: Path) -> None:
    result = runner.invoke(app, ["layup", "cairn-66-s", "--output", "mine.toml"])
    assert result.exit_code == 0, result.output
    for words in ("tip bias pair", "±45", "On the bench", "pulled by 400 N", "hoop strain is common"):
        assert words in result.output
    assert sorted(p.name for p in workspace.iterdir()) == ["mine.png", "mine.toml"]
    # The file reads back as the shaft the lay-up makes: six digits are written.
    written, made = load_shaft(workspace / "mine.toml"), load_shaft(find("layup", "cairn-66-s"))
    assert written.mass == pytest.approx(made.mass, rel=1e-5)
    for name in ("ei", "gj", "mass_per_length", "diameter"):
        np.testing.assert_allclose(np.interp(made.s, written.s, getattr(written, name)), getattr(made, name), rtol=1e-4)
    checked = runner.invoke(app, ["check", "mine.toml"])
    assert "sound driver shaft" in checked.output
    again = runner.invoke(app, ["layup", "cairn-66-s", "--output", "mine.toml"])
    assert again.exit_code == 2
    assert "exists already" in again.output


def test_layup_compares_two_and_takes_a_free_name(workspace: Path) -> None:
    arguments = ["layup", "cairn-66-s-bias", "--compare", "cairn-66-s"]
    result = runner.invoke(app, arguments)
    assert result.exit_code == 0, result.output
    assert "cairn-66-s-bias against cairn-66-s" in result.output
    assert "e1 of lengthwise raised from 130.0 to" in result.output
    shown = runner.invoke(app, [*arguments, "--json"])
    found = json.loads(shown.stdout)
    assert (workspace / "outputs" / "cairn-66-s-bias-2.toml").is_file()
    assert found["second"]["raised"]["material"] == "lengthwise"
    assert found["first"]["raised"] is None
    first, second = (found[name]["readings"] for name in ("first", "second"))
    assert second["frequency_cpm"] == pytest.approx(first["frequency_cpm"], abs=1e-3)
    assert second["torque_deg"] < first["torque_deg"]
    assert found["ratios"]["mass"] == pytest.approx([1.0] * len(found["ratios"]["mass"]), abs=1e-9)
    assert all(ratio > 1.0 for ratio in found["ratios"]["gj"])


def test_the_picture_shows_every_ply_and_both_profiles() -> None:
    first, second = study_layup("cairn-66-s"), study_layup("cairn-66-s-bias")
    figure = draw_layups([first, second])
    names = [[label.get_text() for label in axes.get_yticklabels()] for axes in figure.axes[:2]]
    assert names == [[ply.name for ply in result.layup.plies] for result in (first, second)]
    assert len(figure.axes[2].get_lines()) == 2
    comparison = compare_layups(first, second)
    assert comparison.from_tip[-1] == pytest.approx(first.shaft.raw_length)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["layup", "cairn-66-z"], 'did you mean "cairn-66-s"'),
        (["layup", "wick-65-s"], "no lay-up of that name"),
        (["layup", "cairn-66-s", "--output", "mine.csv"], "ends in .toml"),
        (["layup", "cairn-66-s", "--compare", "nothing.toml"], "no such layup file"),
        (["trim", "wick-65-s"], "found no trim"),
        (["trim", "wick-65-s", "--tip", "1"], "without a unit"),
        (["trim", "wick-65-s", "--butt=-1 in"], "negative"),
        (["trim", "wick-65-s", "--tip", "50 in"], "allowed: at least"),
        (["trim", "wick-65-s", "--tip", "2 in", "--head", "driver"], "past the parallel section"),
        (["trim", "wick-65-s", "--tip", "1 in", "--head", "driver", "--length", "47 in"], "too short for the build"),
        (["trim", "wick-65-s", "--tip", "1 in", "--length", "45 in"], "a bare shaft has no finished length"),
        (["trim", "wick-65-s", "--tip", "1 in", "--hands", "vice"], "nothing is swung"),
        (["trim", "wick-65-s", "--tip", "1 in", "--head", "iron-5"], "two of one kind"),
        (["trim", "wick-65-s", "--tip", "1 in", "--picture", "a.gif"], ".png or .svg"),
    ],
)
def test_refusals_are_a_line_and_leave_nothing(workspace: Path, arguments: list[str], says: str) -> None:
    result = runner.invoke(app, arguments)
    assert result.exit_code == 2, result.output
    assert says in result.output
    assert "Traceback" not in result.output
    assert not any(workspace.rglob("*.*"))


def test_a_metal_tube_with_its_own_torque_is_refused(workspace: Path) -> None:
    text = find("shaft", "ballast-115-s").read_text(encoding="utf-8")
    (workspace / "mine.toml").write_text(text.replace("[tube]\n", '[tube]\ngj = "20 N*m^2"\n'), encoding="utf-8")
    result = runner.invoke(app, ["check", "mine.toml"])
    assert result.exit_code == 2
    assert "tube: gj: found in a metal tube" in result.output
    assert "GJ is EI/(1 + ν)" in result.output


def test_trim_prints_before_and_after_and_draws(workspace: Path) -> None:
    arguments = ["trim", "wick-65-s", "--tip", "0 in:1 in:0.5 in", "--butt", "0 in", "--head", "driver"]
    result = runner.invoke(app, [*arguments, "--length", "45.5 in", "--picture", "t.png"])
    assert result.exit_code == 0, result.output
    for words in ("uncut", "tip 0.5 in", "tip 1 in", "Change against the uncut shaft", "Built: Driver 10.5", "dust"):
        assert words in result.output
    assert (workspace / "t.png").read_bytes().startswith(b"\x89PNG")
    found = json.loads(runner.invoke(app, [*arguments, "--json"]).stdout)
    trims = found["trims"]
    assert [t["tip_trim_in"] for t in trims] == pytest.approx([0.0, 0.5, 1.0])
    assert trims[0]["change"]["frequency_cpm"] == 0.0
    assert trims[2]["change"]["frequency_cpm"] > trims[1]["change"]["frequency_cpm"] > 0.0
    assert trims[0]["impact"] is None


def test_trim_takes_a_lay_up(workspace: Path) -> None:
    result = runner.invoke(app, ["trim", "cairn-66-s", "--tip", "1 in"])
    assert result.exit_code == 0, result.output
    assert "No head is named" in result.output
