"""The command `page`."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from study.made_up import NAMES, ranking
from swingbeam.cli import app
from swingbeam.study.store import write_ranking


@pytest.fixture
def written(tmp_path):
    return write_ranking(ranking(), tmp_path / "made_up.h5")


def run(*words):
    return CliRunner().invoke(app, ["page", *map(str, words)])


def test_writes_beside_the_file(written):
    result = run(written)
    assert result.exit_code == 0, result.output
    page = written.with_suffix(".html")
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert str(page) in result.output
    again = run(written)
    assert again.exit_code == 2
    assert "exists already" in again.output


def test_options(written, tmp_path):
    target = tmp_path / "own" / "page.htm"
    shafts = f"{NAMES[0]}, {NAMES[7]}"
    result = run(written, "--output", target, "--units", "trade", "--paper", "letter", "--shafts", shafts)
    assert result.exit_code == 0, result.output
    text = target.read_text(encoding="utf-8")
    assert 'data-units="trade"' in text
    assert "size: 215.9mm 279.4mm" in text
    assert f"<option>{NAMES[7]}</option>" in text
    assert f"<option>{NAMES[11]}</option>" not in text


def test_a_file_that_is_none(tmp_path):
    result = run(tmp_path / "nothing.h5")
    assert result.exit_code == 2
    assert "no such file" in result.output
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("words", [["--shafts", "larch-45-k"], ["--shafts", ","], ["--output", "page.pdf"]])
def test_mistakes_write_nothing(written, words, monkeypatch):
    monkeypatch.chdir(written.parent)
    result = run(written, *words)
    assert result.exit_code == 2
    assert "allowed" in result.output
    assert list(written.parent.iterdir()) == [written]
