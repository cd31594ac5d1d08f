"""The same work on a cluster: a real scheduler and worker processes on loopback, some of them killed."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
import time
from contextlib import contextmanager, suppress
from pathlib import Path

import h5py
import numpy as np
import pytest

from study.sweep.toys import Toy
from swingbeam.beam.errors import InputError
from swingbeam.study.sweep import cluster, units
from swingbeam.study.sweep.run import run_study
from swingbeam.study.sweep.shards import find_parts, folder_of

pytest.importorskip("distributed")

TESTS = Path(__file__).resolve().parents[2]
ENVIRONMENT = {
    **os.environ,
    "PYTHONPATH": str(TESTS),
    # A worker that is gone is noticed by its broken connection; one case may not hold up a test for long.
    "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "1",
    "DASK_DISTRIBUTED__COMM__TIMEOUTS__CONNECT": "10s",
}


def run_module(*words):
    return subprocess.Popen(
        [sys.executable, "-m", *words], env=ENVIRONMENT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
    )


@contextmanager
def scheduler():
    """A scheduler on loopback: its process and address."""
    process = run_module(
        "distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--no-show"
    )
    try:
        for line in process.stderr:
            found = re.search(r"Scheduler at:\s*(tcp://\S+)", line)
            if found:
                break
        # Whoever writes to a pipe that nobody reads stops at last.
        threading.Thread(target=process.stderr.read, daemon=True).start()
        yield process, found.group(1)
    finally:
        end(process)


def end(process):
    process.kill()
    process.wait()


@contextmanager
def workers(address, count, *, nanny=False):
    """Worker processes of one thread each; with a nanny one that ends is started again."""
    words = ("--nthreads", "1", "--no-dashboard", "--nanny" if nanny else "--no-nanny", "--host", "127.0.0.1")
    processes = [run_module("distributed.cli.dask_worker", address, *words) for _ in range(count)]
    for process in processes:
        threading.Thread(target=process.stderr.read, daemon=True).start()
    try:
        yield processes
    finally:
        for process in processes:
            if nanny and process.poll() is None:  # a nanny that is killed leaves its worker alone
                process.send_signal(signal.SIGINT)
                with suppress(subprocess.TimeoutExpired):
                    process.wait(timeout=20)
            end(process)


@pytest.fixture(scope="module")
def alone(tmp_path_factory):
    """The bytes of a run on this machine."""
    return run_study(Toy(pause=0.001), tmp_path_factory.mktemp("alone") / "a.h5", workers=1).path.read_bytes()


def test_same_bytes_as_on_one_machine_though_a_worker_is_killed(tmp_path, alone, monkeypatch):
    monkeypatch.setattr(units, "WANTED_SECONDS", 0.05)
    target = tmp_path / "a.h5"
    toy = Toy(pause=0.02)
    with scheduler() as (_, address), workers(address, 2) as processes:

        def kill_one():
            for _ in range(600):
                parts = find_parts(folder_of(target)) if folder_of(target).exists() else None
                if parts is not None and parts.done("case"):
                    break
                time.sleep(0.05)
            processes[0].kill()

        killer = threading.Thread(target=kill_one)
        killer.start()
        done = run_study(toy, target, scheduler=address)
        killer.join()
        assert processes[0].poll() is not None or processes[0].wait(timeout=10) is not None
        assert processes[1].poll() is None
    assert done.tally.statuses == {"ok": 78, "missed": 13, "failed": 9}
    assert target.read_bytes() == alone


@pytest.mark.slow
def test_a_case_that_ends_its_workers_is_found_and_named(tmp_path):
    target = tmp_path / "a.h5"
    toy = Toy(kills=(17,), spot_cases=np.array([3, 5]), spot_limits={"face_angle_deg": 1.0})
    with scheduler() as (_, address), workers(address, 2, nanny=True):
        done = run_study(toy, target, scheduler=address)
    assert done.failed == 9 + 1
    with h5py.File(target) as file:
        texts = [text.decode() for text in file["reason_text"][()]]
        assert texts[file["reason"][17]] == units.DIED
        assert file["status"][17] == units.FAILED
    local = run_study(toy, tmp_path / "local.h5", workers=2)
    assert local.path.read_bytes() == target.read_bytes()


@pytest.mark.slow
def test_a_scheduler_that_goes_away_stops_the_run_which_can_go_on(tmp_path, alone):
    target = tmp_path / "a.h5"
    with scheduler() as (process, address), workers(address, 1):
        killer = threading.Timer(3.0, process.kill)
        killer.start()
        with pytest.raises(InputError, match="again"):
            run_study(Toy(pause=0.3), target, scheduler=address, again="again")
        killer.cancel()
    run_study(Toy(pause=0.001), target, workers=1, resume=True)
    assert target.read_bytes() == alone


def test_no_scheduler_is_said_in_a_line_and_the_parts_can_go_on(tmp_path, monkeypatch, alone):
    monkeypatch.setattr(cluster, "CONNECT_SECONDS", 1.0)
    target = tmp_path / "a.h5"
    with pytest.raises(InputError, match="no scheduler answers there") as refusal:
        run_study(Toy(pause=0.001), target, scheduler="tcp://127.0.0.1:9", again="go on so")
    assert len(str(refusal.value).splitlines()) == 2
    run_study(Toy(pause=0.001), target, workers=1, resume=True)
    assert target.read_bytes() == alone


def test_an_address_that_is_none_is_said(tmp_path):
    with pytest.raises(InputError, match="no scheduler answers there"):
        run_study(Toy(), tmp_path / "a.h5", scheduler="nonsense://x")


def test_without_dask_the_extra_is_named(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError, match=r"swingbeam\[cluster\]"):
        run_study(Toy(), tmp_path / "a.h5", scheduler="tcp://127.0.0.1:9")
