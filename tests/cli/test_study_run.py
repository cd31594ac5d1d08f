"""The commands `study run` and `study check`: exit codes, streams, stops, and disks that are full."""

from __future__ import annotations

import os
import resource
import shlex
import signal
import subprocess
import sys
import textwrap
import time

import numpy as np
import pytest
from typer.testing import CliRunner

from cli.test_cli import CHECKOUT, python
from study.sweep.toys import Quick, Toy
from swingbeam.cli import app
from swingbeam.study.sweep.run import run_study
from swingbeam.study.sweep.shards import find_parts, folder_of

runner = CliRunner()

TOY = """
import sys
from contextlib import nullcontext
from types import SimpleNamespace
from study.sweep.toys import Toy
sys.modules["swingbeam.study.sweep.load"] = SimpleNamespace(load_study=lambda name: Toy({}))
from swingbeam import cli
from swingbeam.cli.study import run as command
command.compiling = nullcontext  # a toy compiles nothing, and looking whether something is compiled takes seconds
if __name__ == "__main__":
    cli.main()
"""


@pytest.fixture
def workspace(tmp_path, monkeypatch):
    """An empty working folder, and `study run` of a toy whatever it is called."""
    import swingbeam.study.sweep.load as module

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(module, "load_study", lambda name: Quick(count=50) if name == "quick" else Toy())
    return tmp_path


def start(folder, arguments, toy="", limit=None):
    """The real command on a toy, in a process of its own."""
    program = folder / "program.py"
    program.write_text(textwrap.dedent(TOY).format(toy))
    return subprocess.Popen(
        [sys.executable, str(program), *arguments],
        cwd=folder,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT / "tests")},
        preexec_fn=limit,
    )


def test_all_done_is_exit_code_0(workspace):
    answer = runner.invoke(app, ["study", "run", "quick", "--workers", "1"])
    assert answer.exit_code == 0, answer.output
    assert "50 ok, 0 missed, 0 failed" in answer.stdout
    assert "saved: outputs/quick.h5" in answer.stderr
    answer = runner.invoke(app, ["study", "check", "outputs/quick.h5"])
    assert answer.exit_code == 0
    assert answer.stdout.splitlines()[-1] == "sound"


def test_some_failed_is_exit_code_1_and_says_why(workspace):
    answer = runner.invoke(app, ["study", "run", "scenarios/toy.toml", "--workers", "1"])
    assert answer.exit_code == 1
    assert "78 ok, 13 missed, 9 failed" in answer.stdout
    assert "1 failed: no convergence at 10 µs" in answer.stdout
    assert (workspace / "outputs" / "toy.h5").exists()
    assert runner.invoke(app, ["study", "check", "outputs/toy.h5"]).exit_code == 0


def test_elsewhere_than_on_a_terminal_there_is_a_line_every_five_percent(workspace):
    answer = runner.invoke(app, ["study", "run", "toy", "--workers", "1", "--out", "a.nc"])
    lines = [line for line in answer.stderr.splitlines() if "%" in line]
    assert 2 <= len(lines) <= 20
    assert lines[-1].startswith("100 %  100 of 100 cases, ")


@pytest.mark.parametrize(
    "options", [["--out", "a.txt"], ["--workers", "0"], ["--history", "some"], ["--scheduler", "x"]]
)
def test_bad_input_is_exit_code_2_and_a_line_or_two(workspace, options):
    answer = runner.invoke(app, ["study", "run", "quick", *options])
    assert answer.exit_code == 2
    assert not [path for path in workspace.rglob("*") if path.suffix == ".h5"]


def test_what_exists_is_not_overwritten_and_whole_results_are_taken_as_done(workspace):
    run = ["study", "run", "quick", "--workers", "1"]
    assert runner.invoke(app, run).exit_code == 0
    before = (workspace / "outputs" / "quick.h5").read_bytes()
    answer = runner.invoke(app, run)
    assert answer.exit_code == 2
    assert "exists already and is not overwritten" in answer.stderr
    answer = runner.invoke(app, [*run, "--resume"])
    assert answer.exit_code == 0
    assert "50 cases were there already" in answer.stdout
    assert (workspace / "outputs" / "quick.h5").read_bytes() == before


def test_a_doubtful_study_says_so_and_is_not_sound(workspace, monkeypatch):
    import swingbeam.study.sweep.load as module

    toy = Quick(count=50, spot_cases=np.array([3, 9]), spot_limits={"face_angle_deg": 0.05}, spot_error=0.01)
    monkeypatch.setattr(module, "load_study", lambda _: toy)
    answer = runner.invoke(app, ["study", "run", "quick", "--workers", "1"])
    assert answer.exit_code == 0
    words = "doubtful: the other solver does not agree: face_angle_deg differs by 0.09 in case 9 (limit 0.05"
    assert words in answer.stdout
    answer = runner.invoke(app, ["study", "check", "outputs/quick.h5"])
    assert answer.exit_code == 1
    assert words in answer.stdout
    assert "not sound" in answer.stdout


def test_a_damaged_file_is_exit_code_1(workspace):
    runner.invoke(app, ["study", "run", "quick", "--workers", "1"])
    path = workspace / "outputs" / "quick.h5"
    path.write_bytes(path.read_bytes()[:-100])
    answer = runner.invoke(app, ["study", "check", str(path)])
    assert answer.exit_code == 1
    assert "no whole HDF5 file" in answer.stdout


def test_the_terminal_has_a_bar(tmp_path):
    pty = pytest.importorskip("pty")
    program = tmp_path / "toy.py"
    program.write_text(textwrap.dedent(TOY).format("count=300, pause=0.005"))
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, str(program), "study", "run", "toy", "--workers", "1"],
        cwd=tmp_path,
        stdout=subprocess.DEVNULL,
        stderr=theirs,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT / "tests"), "COLUMNS": "100", "TERM": "xterm"},
    )
    os.close(theirs)
    shown = b""
    try:
        while piece := os.read(ours, 65536):
            shown += piece
    except OSError:  # the other end is closed
        pass
    os.close(ours)
    assert process.wait(timeout=60) == 1
    assert b"300/300" in shown
    assert b"/s" in shown


@pytest.mark.parametrize("workers", [1, 2])
def test_ctrl_c_says_how_to_go_on_and_that_line_does(tmp_path, workers):
    whole = run_study(Toy(count=400), tmp_path / "whole.h5", workers=1).path
    target = tmp_path / "my study.h5"
    slow = "count=400, pause=0.01"
    process = start(tmp_path, ["study", "run", "toy", "--workers", str(workers), "--out", target.name], slow)
    for _ in range(600):
        parts = find_parts(folder_of(target)) if folder_of(target).exists() else None
        if parts is not None and len(parts.done("case")) >= 2:
            break
        time.sleep(0.05)
    process.send_signal(signal.SIGINT)
    _, err = process.communicate(timeout=60)
    assert process.returncode == 130, err
    assert "Traceback" not in err
    *_, stopped, go_on = err.splitlines()
    assert "of 400 cases are kept in" in stopped
    assert not (tmp_path / "my study.h5.lock").exists()
    words = shlex.split(go_on.removeprefix("go on with: "))
    assert words[0] == "swingbeam"
    process = start(tmp_path, words[1:], "count=400")
    _, err = process.communicate(timeout=60)
    assert process.returncode == 1, err
    assert target.read_bytes() == whole.read_bytes()


@pytest.mark.parametrize("room", [8_000, 14_000])
def test_a_disk_that_takes_no_more_is_said_and_nothing_is_harmed(tmp_path, room):
    """Files may grow to `room` bytes: less than a part of the toy, or less than its one file."""
    whole = run_study(Toy(), tmp_path / "whole.h5", workers=1, history="full").path
    assert whole.stat().st_size > 14_000

    def limit():
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))

    options = ["study", "run", "toy", "--workers", "1", "--out", "a.h5", "--history", "full"]
    process = start(tmp_path, options, limit=limit)
    _, err = process.communicate(timeout=60)
    assert process.returncode == 2, err
    assert "Traceback" not in err
    said = [line for line in err.splitlines() if "%" not in line]
    assert len(said) == 2, err
    assert "cannot be written: File too large" in said[0]
    assert said[1].endswith("swingbeam study run toy --workers 1 --out a.h5 --resume")
    assert not (tmp_path / "a.h5").exists()
    assert not list(tmp_path.rglob("*.aside"))
    assert not (tmp_path / "a.h5.lock").exists()
    process = start(tmp_path, [*options, "--resume"])
    process.communicate(timeout=60)
    assert process.returncode == 1
    assert (tmp_path / "a.h5").read_bytes() == whole.read_bytes()


@pytest.fixture
def small_disk(tmp_path):
    """A file system of its own; only root may make one."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = []

    def mount(options):
        words = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(place)]
        try:
            done = subprocess.run(words, capture_output=True)
        except OSError:
            pytest.skip("no mount here")
        if done.returncode:
            pytest.skip("only root may mount")
        mounted.append(place)
        return place

    yield mount
    for _ in mounted:
        subprocess.run(["umount", str(place)], capture_output=True)


def test_a_full_disk(tmp_path, small_disk):
    place = small_disk("size=60k")
    process = start(tmp_path, ["study", "run", "toy", "--workers", "1", "--out", "disk/a.h5", "--history", "full"])
    _, err = process.communicate(timeout=60)
    assert process.returncode == 2, err
    said = [line for line in err.splitlines() if "%" not in line]
    assert len(said) == 2, err
    assert "No space left on device" in said[0]
    assert not (place / "a.h5").exists()
    find_parts(place / "a.h5.parts")
    subprocess.run(["mount", "-o", "remount,size=1m", str(place)], check=True)
    process = start(tmp_path, ["study", "run", "toy", "--workers", "1", "--out", "disk/a.h5", "--resume"])
    _, err = process.communicate(timeout=60)
    assert process.returncode == 1, err
    assert runner.invoke(app, ["study", "check", str(place / "a.h5")]).exit_code == 0


def test_a_read_only_folder(tmp_path, small_disk):
    small_disk("ro")
    process = start(tmp_path, ["study", "run", "toy", "--workers", "1", "--out", "disk/a.h5"])
    _, err = process.communicate(timeout=60)
    assert process.returncode == 2, err
    assert err.splitlines() == ["swingbeam: disk/a.h5: cannot be written: Read-only file system"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_may_not_be_written(tmp_path):
    place = tmp_path / "disk"
    place.mkdir(mode=0o555)
    process = start(tmp_path, ["study", "run", "toy", "--workers", "1", "--out", "disk/a.h5"])
    _, err = process.communicate(timeout=60)
    assert process.returncode == 2, err
    assert "cannot be written: Permission denied" in err


def test_help_loads_nothing_heavy(tmp_path):
    code = """
        import sys
        sys.argv = ["swingbeam", "study", "run", "--help"]
        from swingbeam import cli
        try:
            cli.main()
        finally:
            heavy = {"numpy", "numba", "scipy", "h5py", "distributed", "dask"} & set(sys.modules)
            print("heavy:", sorted(heavy))
    """
    answer = python(code, tmp_path)
    assert "heavy: []" in answer.stdout
