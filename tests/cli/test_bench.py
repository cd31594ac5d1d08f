"""The command `bench`."""

import json

import pytest
from typer.testing import CliRunner

from swingbeam.cli import app

runner = CliRunner()


@pytest.fixture
def workspace(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*arguments: str):
    return runner.invoke(app, ["bench", *arguments])


def test_a_table_with_what_was_done_and_the_caution(workspace) -> None:
    result = run("wick-65-s", "bracken-46-l")
    assert result.exit_code == 0
    for word in ("wick-65-s", "bracken-46-l", "frequency", "butt clamped 5 in", "both ends compressed", "eyes, lungs"):
        assert word in result.stdout
    assert not list(workspace.iterdir())


def test_it_folds_to_a_narrow_terminal(workspace) -> None:
    import io

    from rich.console import Console

    from swingbeam.report.bench_table import print_bench
    from swingbeam.study.bench import read_shafts

    stream = io.StringIO()
    console = Console(file=stream, width=80, highlight=False, markup=False, emoji=False)
    print_bench(read_shafts(["wick-63-s-loose", "wick-63-s-tight"]), console)
    assert max(len(line) for line in stream.getvalue().splitlines()) <= 80
    assert "(continued)" in stream.getvalue()


def test_json_and_nothing_else(workspace) -> None:
    result = run("wick-65-s", "--json")
    (entry,) = json.loads(result.stdout)
    assert entry["shaft"] == "wick-65-s"
    assert entry["setup"]["torque"]["moment"] == "1 ft*lbf"
    for key in ("frequency_cpm", "bend_point_pct_from_tip", "mass_g", "balance_point_mm_from_butt"):
        assert isinstance(entry["readings"][key], float)


def test_a_scan_is_printed_where_it_is_asked_for(workspace) -> None:
    assert "Three point: wick-65-s" in run("wick-65-s", "--test", "three_point").stdout
    assert "Three point: wick-65-s" not in run("wick-65-s").stdout


def test_csv_out_and_in(workspace) -> None:
    assert run("wick-65-s", "marl-60-r", "--csv", "out.csv").exit_code == 0
    first = (workspace / "out.csv").read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("shaft,frequency (cpm),")
    back = run("--against", "out.csv", "--json")
    assert back.exit_code == 0
    for entry in json.loads(back.stdout):
        # rtol 1e-8: nine figures are written.
        assert entry["measured"]["frequency_cpm"] == pytest.approx(entry["computed"]["frequency_cpm"], rel=1e-8)
    assert "difference" in run("--against", "out.csv").stdout


def test_a_picture(workspace) -> None:
    assert run("wick-65-s", "--test", "kick_point", "--picture", "bench.png").exit_code == 0
    assert (workspace / "bench.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["no-such-shaft"], "no shaft of that name"),
        (["wick-65-s", "--test", "torqe"], 'did you mean "torque"'),
        (["wick-65-s", "--setup", "long_clam"], 'did you mean "long_clamp"'),
        (["wick-65-s", "--csv", "there.csv"], "exists already"),
        (["wick-65-s", "--picture", "x.pdf"], ".png or .svg"),
        (["wick-65-s", "--against", "there.csv"], "--against"),
        (["--against", "there.csv"], "shaft"),
        (["wick-65-s", "--spine", "3 %"], "--swing"),
        (["wick-65-s", "--swing", "even", "--spine", "3"], "--spine"),
        (["wick-65-s", "--swing", "even", "--test", "spine"], "--swing"),
        (["wick-65-s", "--swing", "even"], "without a spine"),
    ],
)
def test_mistakes_are_a_line_and_nothing_is_written(workspace, arguments: list[str], words: str) -> None:
    (workspace / "there.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    result = run(*arguments)
    assert result.exit_code == 2
    assert words in result.stderr
    assert result.stderr.count("\n") <= 2
    assert result.stdout == ""
    assert [path.name for path in workspace.iterdir()] == ["there.csv"]
    assert (workspace / "there.csv").read_text(encoding="utf-8") == "a,b\n1,2\n"
