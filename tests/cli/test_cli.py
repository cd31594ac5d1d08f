"""The command line: exit codes, streams, and what is written."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from typer.testing import CliRunner

import swingbeam
from study.made_up import NAMES, ranking
from swingbeam.beam.errors import SimulationError
from swingbeam.cli import app
from swingbeam.report.caution import IDEALISED

runner = CliRunner()
CHECKOUT = Path(__file__).resolve().parents[2]


@pytest.fixture
def workspace(tmp_path, monkeypatch):
    """An empty working folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def made_up(monkeypatch):
    """`rank` answers with a made-up ranking at once."""
    import swingbeam.study.rank as module

    monkeypatch.setattr(module, "rank_scenario", lambda *_, **__: ranking())


def python(code, folder, *, stdin=None, **more):
    """Run a piece of Python in a process of its own, as a user's shell would."""
    return subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code)],
        cwd=folder,
        stdin=stdin,
        capture_output=True,
        text=True,
        timeout=300,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT / "tests"), **more},
    )


# A process whose `rank` answers with the made-up ranking.
PATCHED = """
import sys
import swingbeam.study.rank as module
from study.made_up import ranking
module.rank_scenario = lambda *_, **__: ranking()
from swingbeam import cli
"""


def test_help_names_every_command_and_imports_nothing_heavy(workspace):
    result = runner.invoke(app, ["--help"])
    assert result.exit_code == 0
    for command in ("rank", "swing", "list", "check", "init"):
        assert f"\n  {command}" in result.stdout
    code = """
        import sys
        sys.argv = ["swingbeam", "--help"]
        from swingbeam import cli
        try:
            cli.main()
        finally:
            heavy = {"numpy", "numba", "scipy", "matplotlib", "h5py", "pydantic"} & set(sys.modules)
            print("heavy:", sorted(heavy))
    """
    assert "heavy: []" in python(code, workspace).stdout


def test_version(workspace):
    result = runner.invoke(app, ["--version"])
    assert result.exit_code == 0
    assert result.stdout == f"swingbeam {swingbeam.__version__}\n"


def test_unknown_scenario_is_one_line_on_stderr_and_exit_2(workspace):
    result = runner.invoke(app, ["rank", "first_fiting"])
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "first_fitting" in result.stderr
    assert len(result.stderr.splitlines()) <= 2
    assert "Traceback" not in result.stderr
    assert list(workspace.iterdir()) == []


@pytest.mark.parametrize("option", [["--solver", "magic"], ["--hands", "loose"], ["--ball", "teed"], ["--fast"]])
def test_wrong_options_are_exit_2(workspace, option):
    result = runner.invoke(app, ["rank", "first_fitting", *option])
    assert result.exit_code == 2
    assert list(workspace.iterdir()) == []


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["swing", "even", "--solver", "fem"], "'curvature', 'elements'"),
        (["rank"], "scenario"),
        (["rank", "made_up", "--frob"], "--frob"),
        (["rnk", "made_up"], "'rank'"),
        (["list", "grips"], "'swings'"),
    ],
)
def test_a_wrong_command_line_is_one_line_and_exit_2(tmp_path, arguments, words):
    code = f"import sys; sys.argv = ['swingbeam', *{arguments!r}]; from swingbeam.cli import main; main()"
    result = python(code, tmp_path)
    assert result.returncode == 2
    assert result.stdout == ""
    assert len(result.stderr.splitlines()) == 1
    assert words in result.stderr


def test_rank_writes_one_file_and_two_pictures_and_prints_the_table(workspace, made_up):
    result = runner.invoke(app, ["rank", "scenarios/made_up.toml"])
    assert result.exit_code == 0
    assert sorted(p.name for p in (workspace / "outputs").iterdir()) == [
        "made_up-landing.png",
        "made_up.h5",
        "made_up.png",
    ]
    assert all(name in result.stdout for name in NAMES)
    assert IDEALISED in " ".join(result.stdout.split())
    assert "outputs/made_up.h5" in result.stderr


def test_a_second_run_takes_a_free_name(workspace, made_up):
    for _ in range(2):
        assert runner.invoke(app, ["rank", "made_up"]).exit_code == 0
    names = sorted(p.name for p in (workspace / "outputs").iterdir())
    assert names == [
        "made_up-2-landing.png", "made_up-2.h5", "made_up-2.png",
        "made_up-landing.png", "made_up.h5", "made_up.png",
    ]  # fmt: skip


@pytest.mark.parametrize("existing", ["mine.h5", "mine.png", "mine-landing.png"])
def test_an_output_that_exists_is_refused_before_anything_runs(workspace, monkeypatch, existing):
    import swingbeam.study.rank as module

    def never(*_, **__):
        raise RuntimeError("it ran")

    monkeypatch.setattr(module, "rank_scenario", never)
    (workspace / existing).write_text("precious")
    result = runner.invoke(app, ["rank", "made_up", "--output", "mine.h5"])
    assert result.exit_code == 2
    assert "exists already" in result.stderr
    assert (workspace / existing).read_text() == "precious"
    assert [p.name for p in workspace.iterdir()] == [existing]


def test_an_output_of_another_kind_is_refused(workspace, made_up):
    result = runner.invoke(app, ["rank", "made_up", "--output", "mine.csv"])
    assert result.exit_code == 2
    assert ".h5" in result.stderr


def test_json_is_alone_on_stdout(workspace, made_up):
    result = runner.invoke(app, ["rank", "made_up", "--json"])
    assert result.exit_code == 0
    shown = json.loads(result.stdout)
    assert [run["shaft"] for run in shown["runs"]][:12] == list(NAMES)


def test_a_failed_simulation_is_words_and_exit_1(workspace, monkeypatch):
    import swingbeam.study.rank as module

    def fails(*_, **__):
        raise SimulationError("no convergence at 0.9 s")

    monkeypatch.setattr(module, "rank_scenario", fails)
    result = runner.invoke(app, ["rank", "made_up"])
    assert result.exit_code == 1
    assert "no convergence at 0.9 s" in result.stderr
    assert "Traceback" not in result.stderr
    assert not (workspace / "outputs").exists()


def test_ctrl_c_is_130_and_says_that_nothing_was_written(workspace, monkeypatch):
    import swingbeam.study.rank as module

    def stopped(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(module, "rank_scenario", stopped)
    result = runner.invoke(app, ["rank", "made_up"])
    assert result.exit_code == 130
    assert "nothing was written" in result.stderr
    assert not (workspace / "outputs").exists()


def test_ctrl_c_after_the_file_says_what_is_saved(workspace, made_up, monkeypatch):
    import swingbeam.report.figure as module

    def stopped(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(module, "write_figure", stopped)
    result = runner.invoke(app, ["rank", "made_up"])
    assert result.exit_code == 130
    assert "saved: outputs/made_up.h5" in result.stderr
    assert (workspace / "outputs/made_up.h5").exists()


def test_a_reader_that_leaves_is_no_error(workspace):
    code = PATCHED + 'sys.argv = ["swingbeam", "rank", "made_up"]\ncli.main()\n'
    # The reader takes one line and goes.
    shell = f"{sys.executable} -c '{code}' | head -n 1; echo codes ${{PIPESTATUS[0]}}"
    result = subprocess.run(
        ["bash", "-c", shell],
        cwd=workspace,
        capture_output=True,
        text=True,
        timeout=300,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT / "tests")},
    )
    assert "Traceback" not in result.stderr
    assert "codes 0" in result.stdout
    assert (workspace / "outputs/made_up.h5").exists()


def test_a_closed_pipe_is_no_error(workspace):
    code = (
        PATCHED
        + """
import os
read, write = os.pipe()
os.close(read)
os.dup2(write, 1)
sys.argv = ["swingbeam", "rank", "made_up"]
cli.main()
"""
    )
    result = python(code, workspace)
    assert result.returncode == 0
    assert "Traceback" not in result.stderr
    assert "Exception ignored" not in result.stderr


def test_no_colour_codes_in_a_pipe_nor_with_no_color(workspace):
    code = PATCHED + 'sys.argv = ["swingbeam", "rank", "made_up"]\ncli.main()\n'
    assert "\x1b" not in python(code, workspace, FORCE_COLOR="", NO_COLOR="1").stdout


def test_a_real_ctrl_c_ends_with_130(workspace):
    code = PATCHED + (
        "import os, signal\n"
        "module.rank_scenario = lambda *_, **__: os.kill(os.getpid(), signal.SIGINT) or [0] * 10**9\n"
        'sys.argv = ["swingbeam", "rank", "made_up"]\ncli.main()\n'
    )
    result = python(code, workspace)
    assert result.returncode == 130
    assert "Traceback" not in result.stderr
    assert "nothing was written" in result.stderr


def test_list_names_the_library(workspace):
    result = runner.invoke(app, ["list", "shafts"])
    assert result.exit_code == 0
    assert "wick-65-s" in result.stdout
    assert "scenarios:" not in result.stdout
    everything = runner.invoke(app, ["list"])
    assert all(f"{kind}:" in everything.stdout for kind in ("shafts", "layups", "heads", "swings", "scenarios"))


def test_list_shows_a_broken_file_instead_of_failing(workspace):
    (workspace / "shafts").mkdir()
    (workspace / "shafts/broken.toml").write_text("name = \n")
    result = runner.invoke(app, ["list", "shafts"])
    assert result.exit_code == 0
    assert "cannot be read" in result.stdout


@pytest.mark.parametrize(
    ("file", "words"),
    [
        ("shafts/wick-65-s.toml", "sound driver shaft"),
        ("layups/cairn-66-s.toml", "sound lay-up"),
        ("layups/cairn-66-s-bias.toml", "make a driver shaft"),
        ("scenarios/heads/driver.toml", "sound driver head"),
        ("scenarios/first_fitting.toml", "12 clubs"),
    ],
)
def test_check_accepts_the_starter_files(workspace, file, words):
    result = runner.invoke(app, ["check", str(CHECKOUT / file)])
    assert result.exit_code == 0, result.stderr
    assert words in result.stdout


def test_check_names_file_key_and_fix(workspace):
    text = (CHECKOUT / "shafts/wick-65-s.toml").read_text(encoding="utf-8")
    (workspace / "mine.toml").write_text(text.replace("raw_length = ", "raw_lenght = "), encoding="utf-8")
    result = runner.invoke(app, ["check", "mine.toml"])
    assert result.exit_code == 2
    assert "mine.toml" in result.stderr
    assert "raw_length" in result.stderr
    assert len(result.stderr.splitlines()) <= 2


def test_check_of_a_missing_file_and_of_a_folder(workspace):
    assert runner.invoke(app, ["check", "nothing.toml"]).exit_code == 2
    assert runner.invoke(app, ["check", "."]).exit_code == 2


def test_init_writes_a_workspace_once(workspace):
    result = runner.invoke(app, ["init", "bench"])
    assert result.exit_code == 0
    assert {p.name for p in (workspace / "bench").iterdir()} == {
        "shafts",
        "layups",
        "swings",
        "scenarios",
        "outputs",
    }
    again = runner.invoke(app, ["init", "bench"])
    assert again.exit_code == 2
    assert "exists already" in again.stderr


def test_the_first_run_says_that_it_compiles(workspace, made_up, monkeypatch):
    import swingbeam.beam.compiled as module

    monkeypatch.setattr(module, "is_cold", lambda *_: True)
    assert "compiling" in runner.invoke(app, ["rank", "made_up", "--json"]).stderr
    monkeypatch.setattr(module, "is_cold", lambda *_: False)
    assert "compiling" not in runner.invoke(app, ["rank", "made_up"]).stderr


def test_swing_runs_one_club_and_writes_its_curves(workspace):
    arguments = ["swing", "even", "--shaft", "bracken-46-l", "--json", "--output", "curves.csv"]
    result = runner.invoke(app, arguments)
    assert result.exit_code == 0, result.stderr
    run = json.loads(result.stdout)["run"]
    assert run["shaft"] == "bracken-46-l"
    assert run["status"] == "ok"
    assert len((workspace / "curves.csv").read_text().splitlines()) > 200
    again = runner.invoke(app, arguments)
    assert again.exit_code == 2
    assert again.stdout == ""


def test_swing_refuses_a_length_without_a_unit(workspace):
    result = runner.invoke(app, ["swing", "even", "--length", "45.5"])
    assert result.exit_code == 2
    assert "unit" in result.stderr
    assert len(result.stderr.splitlines()) <= 2


def test_swing_of_the_reference_club_shows_what_its_golfer_states(workspace):
    result = runner.invoke(app, ["swing", "even"])
    assert result.exit_code == 0, result.stderr
    assert "Where face and loft come from" in result.stdout
    loft = next(line for line in result.stdout.splitlines() if "dynamic loft at face centre" in line)
    assert loft.split()[-4:] == ["14.00", "14.00", "0.00", "°"]


def test_rank_of_a_real_scenario_with_its_own_file(workspace):
    (workspace / "mine.toml").write_text(
        'name = "Mine"\nquestion = "Which first?"\nswing = "even"\nshafts = ["wick-65-s", "marl-52-l"]\n'
        '[club]\nhead = "driver"\nfinished_length = "45.5 in"\n',
        encoding="utf-8",
    )
    result = runner.invoke(app, ["rank", "mine.toml", "--json", "--hands", "effort", "--verify"])
    assert result.exit_code == 0, result.stderr
    shown = json.loads(result.stdout)
    assert shown["hands"] == "effort"
    assert {run["status"] for run in shown["runs"]} == {"ok"}
    assert (workspace / "outputs/mine.h5").exists()


def test_a_working_folder_that_is_gone_is_a_line_and_exit_1(tmp_path):
    code = """
        import os, sys
        gone = os.path.join(os.getcwd(), "gone")
        os.mkdir(gone)
        os.chdir(gone)
        os.rmdir(gone)
        sys.argv = ["swingbeam", "list"]
        from swingbeam import cli
        cli.main()
    """
    result = python(code, tmp_path)
    assert result.returncode == 1
    assert "Traceback" not in result.stderr
    assert len(result.stderr.splitlines()) == 1


def test_a_full_disk_is_a_line_and_leaves_nothing(workspace, made_up, monkeypatch):
    import swingbeam.study.store as module

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(module, "_write", full)
    result = runner.invoke(app, ["rank", "made_up"])
    assert result.exit_code == 1
    assert "No space left" in result.stderr
    assert list((workspace / "outputs").iterdir()) == []


@pytest.mark.parametrize(
    "words",
    [
        ["swing", "even", "--output", "o.csv"],
        ["bench", "wick-65-s", "--csv", "o.csv"],
        ["trim", "wick-65-s", "--tip", "1 in"],
        ["profile", "bench_sheet", "--output", "o.toml"],
    ],
    ids=lambda words: words[0],
)
def test_a_picture_of_another_kind_is_refused_before_anything_is_written(workspace, words):
    result = runner.invoke(app, [*words, "--picture", "p.jpg"])
    assert result.exit_code == 2
    assert result.stderr.strip() == 'swingbeam: picture: found "p.jpg"; allowed: a name that ends in .png or .svg'
    assert list(workspace.iterdir()) == []
