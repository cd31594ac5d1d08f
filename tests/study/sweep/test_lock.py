"""One writer: who is refused, and whose lock is nobody's."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys

import pytest

from swingbeam.beam.errors import InputError
from swingbeam.study.sweep import lock
from swingbeam.study.sweep.lock import locked


@pytest.fixture
def target(tmp_path):
    return tmp_path / "a.h5"


def left_behind(target, **changes):
    """A lock file that says what it says; nobody holds it."""
    said = {**lock._myself(), **changes}
    path = target.with_name("a.h5.lock")
    path.write_text(json.dumps(said))
    return path


def ended_process():
    process = subprocess.Popen([sys.executable, "-c", ""])
    process.wait()
    return process.pid


def test_a_second_taker_is_refused_and_the_lock_is_gone_afterwards(target):
    with locked(target):
        before = target.with_name("a.h5.lock").read_bytes()
        with pytest.raises(InputError, match=f"process {os.getpid()} on"), locked(target):
            pass
        assert target.with_name("a.h5.lock").read_bytes() == before
    assert not list(target.parent.iterdir())
    with locked(target):
        pass


def test_a_failure_inside_lets_go(target):
    with pytest.raises(ZeroDivisionError), locked(target):
        raise ZeroDivisionError
    assert not list(target.parent.iterdir())


def test_a_lock_of_a_process_that_has_ended_is_nobodys(target):
    left_behind(target, pid=ended_process())
    with locked(target):
        pass


def test_a_lock_whose_number_another_process_bears_now_is_nobodys(target):
    if not lock._begun(os.getpid()):
        pytest.skip("this system does not say when a process began")
    left_behind(target, begun="1")
    with locked(target):
        pass


def test_a_lock_from_before_the_machine_started_is_nobodys(target):
    left_behind(target, boot="another")
    with locked(target):
        pass


@pytest.mark.parametrize("text", ["", "{", "[1]", "null"])
def test_a_lock_whose_writer_was_stopped_while_writing_is_nobodys(target, text):
    target.with_name("a.h5.lock").write_text(text)
    with locked(target):
        pass


def test_a_lock_of_another_machine_is_explained(target):
    path = left_behind(target, host="another", pid=7)
    with pytest.raises(InputError, match="process 7 on another") as refusal, locked(target):
        pass
    assert "remove" in str(refusal.value)
    assert path.name in str(refusal.value)
    assert path.exists()


def test_without_the_systems_locks_what_the_file_says_decides(target, monkeypatch):
    def none(*_):
        raise OSError("no locks here")

    monkeypatch.setattr(lock.fcntl, "flock", none)
    left_behind(target)
    with pytest.raises(InputError, match=f"process {os.getpid()} on {socket.gethostname()}"), locked(target):
        pass
    left_behind(target, pid=ended_process())
    with locked(target):
        pass
