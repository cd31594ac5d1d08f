"""A run that is killed at any instant: its files open, what was kept stays, and the result is the same to the bit."""

from __future__ import annotations

import hashlib
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from itertools import pairwise
from pathlib import Path

import h5py
import numpy as np
import pytest

from study.sweep import killed
from swingbeam.study.sweep.check import check_study
from swingbeam.study.sweep.run import run_study
from swingbeam.study.sweep.shards import find_parts, folder_of

TESTS = Path(__file__).resolve().parents[2]


def start(target, log, workers):
    """A run in a process of its own, that has just begun."""
    process = subprocess.Popen(
        [sys.executable, "-m", "study.sweep.killed", str(target), str(log), str(workers)],
        cwd=TESTS,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(TESTS)},
    )
    assert process.stdout.readline() == "begins\n"
    return process


def wait_for_orphans(log):
    """Until no worker of a killed run writes any more: they end when they find that their owner has."""
    size = -1
    for _ in range(100):
        if size == (size := log.stat().st_size if log.exists() else 0):
            return
        time.sleep(0.1)
    raise AssertionError("a worker goes on without its owner")


def everything_opens(target):
    """Every file with a name of its own is whole HDF5, and every part is what was written."""
    for path in (target, *folder_of(target).glob("*.h5")):
        if path.exists():
            with h5py.File(path) as file:
                file.visititems(lambda _, item: item[()] if isinstance(item, h5py.Dataset) else None)
    parts = find_parts(folder_of(target))
    if parts is not None:
        for kind in ("case", "spot"):
            for unit in parts.done(kind):
                parts.read(unit)
    if target.exists():
        found = check_study(target)
        assert found.is_sound, found.problems


def kill_and_resume(tmp_path, kills, workers, seed):
    """Kill runs of one study at random instants, over and over; then let it end, and compare."""
    rng = np.random.default_rng(seed)
    whole = run_study(killed.toy(), tmp_path / "whole.h5", workers=1, history="coarse").path
    expected = hashlib.sha256(whole.read_bytes()).hexdigest()
    target, log = tmp_path / "killed.h5", tmp_path / "log"
    ended = 0
    logs = []
    # As long as a run takes from its first word to its last, start of the workers and the one file included.
    begun = time.monotonic()
    assert start(tmp_path / "timed.h5", tmp_path / "timed", workers).wait(timeout=60) == 0
    length = time.monotonic() - begun
    for _ in range(kills):
        process = start(target, log, workers)
        time.sleep(rng.uniform(0.0, 1.1 * length / (1.0 + 3.0 * rng.random())))
        process.send_signal(signal.SIGKILL)
        process.wait(timeout=60)
        process.stdout.close()
        wait_for_orphans(log)
        everything_opens(target)
        kept = kept_cases(target)
        logs.append((Counter(map(int, log.read_text().split())) if log.exists() else Counter(), kept))
        if target.exists():
            # Whole: the same as if nothing had happened; and another study begins.
            assert hashlib.sha256(target.read_bytes()).hexdigest() == expected
            nothing_was_lost(logs, workers)
            logs = []
            ended += 1
            for path in (target, log):
                path.unlink(missing_ok=True)
            for path in folder_of(target).glob("*"):
                path.unlink()
    assert start(target, log, workers).wait(timeout=60) == 0
    assert hashlib.sha256(target.read_bytes()).hexdigest() == expected
    logs.append((Counter(map(int, log.read_text().split())), set(range(killed.CASES))))
    nothing_was_lost(logs, workers)
    left = [path.name for path in tmp_path.iterdir() if path.name.startswith("killed")]
    assert left == ["killed.h5"]


def kept_cases(target):
    if target.exists():
        return set(range(killed.CASES))
    parts = find_parts(folder_of(target))
    units = [] if parts is None else parts.done("case")
    return {case for unit in units for case in range(unit.start, unit.stop)}


def nothing_was_lost(logs, workers):
    """What was kept stays kept and is not run again; what is run again was in flight.

    In flight are, at most, two units a worker: the one it runs and the next, or the one that is being written.
    """
    for (before, kept), (after, later) in pairwise(logs):
        assert kept <= later
        ran = after - before
        assert not kept & set(ran)
        again = set(ran) & set(before)
        assert len(again) <= 2 * workers * killed.UNIT


@pytest.mark.parametrize(("workers", "kills", "seed"), [(1, 3, 20240101), (2, 2, 20240102)])
def test_killed_at_random_instants(tmp_path, workers, kills, seed):
    kill_and_resume(tmp_path, kills, workers, seed)


@pytest.mark.slow
@pytest.mark.parametrize(("workers", "kills", "seed"), [(1, 25, 20240103), (2, 25, 20240104)])
def test_killed_at_fifty_random_instants(tmp_path, workers, kills, seed):
    kill_and_resume(tmp_path, kills, workers, seed)


@pytest.mark.parametrize("at", ["publish", "remove"])
def test_killed_between_the_one_file_and_the_end_of_the_parts(tmp_path, monkeypatch, at):
    """The two instants a random kill seldom meets: the file is written but has no name; it has, and parts are left."""
    from swingbeam.study.sweep import consolidate, shards

    whole = run_study(killed.toy(), tmp_path / "whole.h5", workers=1, history="coarse").path
    target = tmp_path / "killed.h5"

    class Killed(BaseException):
        pass

    def ends(*_):
        raise Killed

    where = (consolidate, "publish") if at == "publish" else (shards.Parts, "remove")
    monkeypatch.setattr(*where, ends)
    with pytest.raises(Killed):
        run_study(killed.toy(), target, workers=1, history="coarse")
    monkeypatch.undo()
    assert target.exists() == (at == "remove")
    everything_opens(target)
    done = run_study(killed.toy(), target, workers=1, resume=True)
    assert done.found == killed.CASES
    assert target.read_bytes() == whole.read_bytes()
    assert not folder_of(target).exists()


def test_a_second_writer_is_refused_while_the_first_runs_and_a_dead_ones_lock_is_not_in_the_way(tmp_path):
    from swingbeam.beam.errors import InputError

    target, log = tmp_path / "killed.h5", tmp_path / "log"
    process = start(target, log, 1)
    try:
        for _ in range(200):
            if find_parts(folder_of(target)):
                break
            time.sleep(0.02)
        with pytest.raises(
            InputError, match=f"another run writes it \\(process {process.pid} on .*nothing was touched"
        ):
            run_study(killed.toy(), target, workers=1, history="coarse", resume=True)
    finally:
        process.kill()
        process.wait()
        process.stdout.close()
    assert (tmp_path / "killed.h5.lock").exists()
    run_study(killed.toy(), target, workers=1, history="coarse", resume=True)
    assert not (tmp_path / "killed.h5.lock").exists()
