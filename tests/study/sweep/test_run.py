"""Running a study: the same bytes however it is run, what is in the way is refused, what goes wrong is a row."""

from __future__ import annotations

import errno
import hashlib
import os
from dataclasses import replace
from pathlib import Path

import h5py
import numpy as np
import pytest

from study.sweep.toys import Threaded, Toy
from swingbeam.beam.errors import InputError
from swingbeam.study.sweep import aside, consolidate, run, shards
from swingbeam.study.sweep.crews import Processes, Threads
from swingbeam.study.sweep.run import run_study, stopped_words
from swingbeam.study.sweep.shards import folder_of
from swingbeam.study.sweep.units import DIED, Slicer, Unit, missing_ranges, taken_apart


def digest(path):
    return hashlib.sha256(Path(path).read_bytes()).hexdigest()


def contents(folder):
    """Everything in a folder, by name: what a refusal must leave as it was."""
    return {path.relative_to(folder): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


@pytest.fixture
def two_threads(monkeypatch):
    """Two workers are threads: quick to start, and the toy can be changed under way."""
    monkeypatch.setattr(run, "Processes", Threads)


class Stops:
    """A watch that stops the run after so many units, as Ctrl-C would."""

    def __init__(self, after):
        self.left = after
        self.notes = []

    def begin(self, what, total, done): ...

    def advance(self, cases):
        self.left -= 1
        if self.left == 0:
            raise KeyboardInterrupt

    def note(self, text):
        self.notes.append(text)

    def end(self): ...


@pytest.mark.parametrize("history", ["none", "full"])
def test_same_bytes_for_any_number_of_workers_and_any_batches(tmp_path, history):
    toys = {"one": (Toy(), 1), "two": (Toy(), 2), "singly": (Toy(batch=1), 1), "at once": (Toy(batch=100), 1)}
    found = set()
    for name, (toy, workers) in toys.items():
        done = run_study(toy, tmp_path / f"{name}.h5", workers=workers, history=history)
        assert done.tally.statuses == {"ok": 78, "missed": 13, "failed": 9}
        found.add(digest(done.path))
    assert len(found) == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(f"{name}.h5" for name in toys)


def test_same_bytes_when_it_was_stopped_twice(tmp_path, two_threads):
    whole = run_study(Toy(), tmp_path / "whole.h5", workers=1, history="coarse")
    target = tmp_path / "stopped.h5"
    with pytest.raises(KeyboardInterrupt):
        run_study(Toy(), target, workers=2, history="coarse", watch=Stops(3))
    assert not target.exists()
    assert "cases are kept in" in stopped_words(target, "again")
    with pytest.raises(KeyboardInterrupt):
        run_study(Toy(), target, workers=1, resume=True, watch=Stops(2))
    done = run_study(Toy(), target, workers=1, resume=True)  # what was kept of histories is remembered
    assert 0 < done.found < 100
    assert digest(target) == digest(whole.path)
    assert not folder_of(target).exists()


def test_a_case_that_is_kept_is_not_run_again(tmp_path):
    log = tmp_path / "log"
    toy = Toy(log=log)
    target = tmp_path / "a.h5"
    with pytest.raises(KeyboardInterrupt):
        run_study(toy, target, workers=1, watch=Stops(4))
    kept = sum(unit.size for unit in shards.find_parts(folder_of(target)).done("case"))
    before = len(log.read_text().split())
    run_study(toy, target, workers=1, resume=True)
    assert len(log.read_text().split()) - before == 100 - kept


def test_an_existing_result_is_refused_and_left(tmp_path):
    target = tmp_path / "a.h5"
    target.write_text("mine")
    before = contents(tmp_path)
    with pytest.raises(InputError, match="exists already and is not overwritten"):
        run_study(Toy(), target)
    with pytest.raises(InputError, match="no study's result"):
        run_study(Toy(), target, resume=True)
    assert contents(tmp_path) == before


def test_a_result_that_is_whole_is_not_run_again(tmp_path):
    log = tmp_path / "log"
    target = tmp_path / "a.h5"
    run_study(Toy(log=log), target, workers=1)
    ran, bytes_before = len(log.read_text().split()), digest(target)
    done = run_study(Toy(log=log), target, workers=1, resume=True)
    assert (done.found, done.failed) == (100, 9)
    assert len(log.read_text().split()) == ran
    assert digest(target) == bytes_before
    with pytest.raises(InputError, match="another study or version"):
        run_study(Toy(digest="e" * 64), target, resume=True)
    with pytest.raises(InputError, match="with --history none"):
        run_study(Toy(), target, resume=True, history="full")
    assert digest(target) == bytes_before


def interrupted(tmp_path, toy=None):
    target = tmp_path / "a.h5"
    with pytest.raises(KeyboardInterrupt):
        run_study(toy or Toy(), target, workers=1, history="coarse", watch=Stops(2))
    return target


def test_an_interrupted_run_is_not_begun_again_unasked(tmp_path):
    target = interrupted(tmp_path)
    before = contents(tmp_path)
    with pytest.raises(InputError, match="--resume"):
        run_study(Toy(), target)
    assert contents(tmp_path) == before


def changed_version(monkeypatch):
    monkeypatch.setattr(shards, "__version__", "999")
    return Toy(), None


CHANGES = {
    "version": (changed_version, "begun by version .*, this is 999"),
    "plan": (lambda _: (Toy(digest="e" * 64), None), "the study has changed"),
    "file": (
        lambda _: (Toy(digest="e" * 64, files=(("toy.toml", "other"), Toy().files[1])), None),
        r"has changed since the run was begun \(toy.toml\)",
    ),
    "count": (lambda _: (Toy(count=101), None), "the study has changed"),
    "history": (lambda _: (Toy(), "full"), "--history coarse, found full"),
}


@pytest.mark.parametrize("what", CHANGES)
def test_what_has_changed_is_refused_on_resume_and_nothing_is_harmed(tmp_path, monkeypatch, what):
    target = interrupted(tmp_path)
    before = contents(tmp_path)
    change, words = CHANGES[what]
    toy, history = change(monkeypatch)
    with pytest.raises(InputError, match=words) as refusal:
        run_study(toy, target, workers=1, resume=True, history=history)
    assert len(str(refusal.value).splitlines()) <= 2
    assert contents(tmp_path) == before


def test_a_folder_that_is_no_folder_of_parts_is_refused_and_left(tmp_path):
    folder = folder_of(tmp_path / "a.h5")
    folder.mkdir()
    (folder / "mine.txt").write_text("mine")
    before = contents(tmp_path)
    with pytest.raises(InputError, match=r"no study\.json in it"):
        run_study(Toy(), tmp_path / "a.h5", resume=True)
    assert contents(tmp_path) == before
    (folder / "study.json").write_text("{")
    with pytest.raises(InputError, match="damaged"):
        run_study(Toy(), tmp_path / "a.h5", resume=True)


def test_what_a_person_put_among_the_parts_is_left(tmp_path):
    target = interrupted(tmp_path)
    mine = folder_of(target) / "mine.txt"
    mine.write_text("mine")
    run_study(Toy(), target, workers=1, resume=True)
    assert target.exists()
    assert [path.name for path in folder_of(target).iterdir()] == ["mine.txt"]


@pytest.mark.parametrize("name", ["a.txt", "a"])
def test_a_name_of_another_kind_is_refused(tmp_path, name):
    with pytest.raises(InputError, match=r"ends in \.h5"):
        run_study(Toy(), tmp_path / name)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("wrong", [{"workers": 0}, {"history": "some"}])
def test_wrong_options_are_refused_before_anything_is_written(tmp_path, wrong):
    with pytest.raises(InputError, match="allowed"):
        run_study(Toy(), tmp_path / "a.h5", **wrong)
    assert not list(tmp_path.iterdir())


def test_a_folder_that_cannot_be_written_is_refused(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError, match=r"cannot be written|is a file"):
        run_study(Toy(), tmp_path / "file" / "a.h5")
    if Path("/proc/self").exists():  # nobody may make files there, root neither
        with pytest.raises(InputError, match="cannot be written"):
            run_study(Toy(), "/proc/self/a.h5")


@pytest.mark.parametrize("writes", [0, 1, 4])
def test_a_full_disk_keeps_what_was_kept_and_says_how_to_go_on(tmp_path, monkeypatch, writes):
    whole = run_study(Toy(), tmp_path / "whole.h5", workers=1)
    left = [writes]
    real = os.replace

    def full(source, target):
        if Path(target).suffix == ".h5":
            left[0] -= 1
            if left[0] < 0:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(source, target)

    monkeypatch.setattr(os, "replace", full)
    target = tmp_path / "a.h5"
    with pytest.raises(InputError, match="No space left on device") as refusal:
        run_study(Toy(), target, workers=1, again="go on so")
    assert "go on so" in str(refusal.value)
    assert len(str(refusal.value).splitlines()) == 2
    monkeypatch.undo()
    assert not list(folder_of(target).glob(f"*{aside.ASIDE}"))
    done = run_study(Toy(), target, workers=1, resume=True)
    assert (done.found > 0) == (writes > 0)
    assert digest(target) == digest(whole.path)


def test_a_disk_that_fills_while_the_one_file_is_made_keeps_the_parts(tmp_path, monkeypatch):
    class FullAfter(aside.Sink):
        room = 5000

        def write(self, data):
            self._file = self._file if self.room > 0 else Full(self._file)
            type(self).room -= len(memoryview(data).cast("B"))
            return super().write(data)

    class Full:
        def __init__(self, file):
            self._real = file

        def __getattr__(self, name):
            return getattr(self._real, name)

        def write(self, _):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    whole = run_study(Toy(), tmp_path / "whole.h5", workers=1)
    monkeypatch.setattr(consolidate, "Sink", FullAfter)
    target = tmp_path / "a.h5"
    with pytest.raises(InputError, match="No space left on device"):
        run_study(Toy(), target, workers=1)
    assert not target.exists()
    assert not list(folder_of(target).glob(f"*{aside.ASIDE}"))
    monkeypatch.undo()
    assert run_study(Toy(), target, workers=1, resume=True).found == 100
    assert digest(target) == digest(whole.path)


def test_a_part_that_the_disk_has_damaged_is_run_again(tmp_path):
    whole = run_study(Toy(), tmp_path / "whole.h5", workers=1, history="coarse")
    target = interrupted(tmp_path)
    part = next(folder_of(target).glob("case-*.h5"))
    data = bytearray(part.read_bytes())
    data[len(data) // 2] ^= 0xFF
    part.write_bytes(data[: len(data) - 100])
    watch = Stops(-1)
    run_study(Toy(), target, workers=1, resume=True, watch=watch)
    assert watch.notes == [f"{part.name} is damaged; its cases are run again"]
    assert digest(target) == digest(whole.path)


def rows_of(path):
    with h5py.File(path) as file:
        texts = [text.decode() for text in file["reason_text"][()]]
        return file["status"][()], [texts[k] if k >= 0 else "" for k in file["reason"][()]], file["face_angle_deg"][()]


def test_a_case_that_raises_is_a_failed_row_and_its_neighbours_are_none(tmp_path):
    plain = rows_of(run_study(Toy(), tmp_path / "plain.h5", workers=1).path)
    found = rows_of(run_study(Toy(raises=(16, 40)), tmp_path / "raises.h5", workers=1).path)
    for case in range(100):
        if case in (16, 40):
            assert found[0][case] == 2
            assert found[1][case] == "ZeroDivisionError: a slip of the toy's maker"
            assert np.isnan(found[2][case])
        else:
            assert found[0][case] == plain[0][case]
            assert found[1][case] == plain[1][case]
            np.testing.assert_array_equal(found[2][case], plain[2][case])


def test_a_case_that_ends_its_process_is_found_and_named(tmp_path):
    done = run_study(Toy(kills=(17,)), tmp_path / "a.h5", workers=2)
    status, reasons, _ = rows_of(done.path)
    assert (status[17], reasons[17]) == (2, DIED)
    assert done.failed == 9 + 1
    assert reasons.count(DIED) == 1


def test_a_process_that_was_ended_once_costs_no_case(tmp_path):
    whole = run_study(Toy(), tmp_path / "whole.h5", workers=1)
    done = run_study(Toy(kills=(17,), once=tmp_path / "once"), tmp_path / "a.h5", workers=2)
    assert (tmp_path / "once").exists()
    assert digest(done.path) == digest(whole.path)


class Infinite(Toy):
    def evaluate(self, cases, history="none"):
        rows = super().evaluate(cases, history)
        rows.values[cases == 4, 1] = np.inf
        return rows


def test_an_infinite_figure_becomes_none_and_says_so(tmp_path):
    done = run_study(Infinite(), tmp_path / "a.h5", workers=1)
    assert rows_of(done.path)[1][4] == "infinite: half_unload_ms"
    with h5py.File(done.path) as file:
        assert np.isnan(file["half_unload_ms"][4])


class Misshapen(Toy):
    def evaluate(self, cases, history="none"):
        rows = super().evaluate(cases, history)
        return replace(rows, status=np.full(len(cases), 7, dtype=np.int8))


def test_rows_that_are_none_of_the_studys_are_failed_ones(tmp_path):
    done = run_study(Misshapen(count=5), tmp_path / "a.h5", workers=1)
    assert done.failed == 5
    assert "none of the study's" in done.tally.reasons[0][0]


def test_reasons_that_hdf5_cannot_hold_do_not_stop_a_study(tmp_path):
    class Rude(Toy):
        def evaluate(self, cases, history="none"):
            return replace(super().evaluate(cases, history), reasons=["zero \0 and half \ud800"] * len(cases))

    done = run_study(Rude(count=5), tmp_path / "a.h5", workers=1)
    assert rows_of(done.path)[1][0] == "zero \ufffd and half ?"


def test_the_problem_is_prepared_before_a_worker_starts(tmp_path, monkeypatch, two_threads):
    order = []

    class Told(Toy):
        def prepare(self):
            order.append("prepared")

        def evaluate(self, cases, history="none"):
            order.append("run")
            return super().evaluate(cases, history)

    run_study(Told(), tmp_path / "a.h5", workers=2)
    assert order[0] == "prepared"
    assert order.count("prepared") == 1


def test_a_problem_that_cannot_be_prepared_leaves_nothing(tmp_path):
    class Unready(Toy):
        def prepare(self):
            raise InputError("no golfer")

    with pytest.raises(InputError, match="no golfer"):
        run_study(Unready(), tmp_path / "a.h5", workers=1)
    assert not list(tmp_path.iterdir())


def test_worker_processes_are_one_thread_each(tmp_path):
    before = os.environ.get("OMP_NUM_THREADS")
    done = run_study(Threaded(count=8, batch=2), tmp_path / "a.h5", workers=2)
    assert set(rows_of(done.path)[1]) == {"1 1"}
    assert os.environ.get("OMP_NUM_THREADS") == before


def test_workers_end_with_their_owner(tmp_path):
    crew = Processes(Toy(), "none", 2)
    pids = [worker.process.pid for worker in crew._workers]
    crew.close()
    for pid in pids:
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)


def test_ranges_that_are_missing():
    assert missing_ranges(10, []) == [(0, 10)]
    assert missing_ranges(10, [(0, 3), (3, 5), (8, 10)]) == [(5, 8)]
    assert missing_ranges(10, [(2, 4)]) == [(0, 2), (4, 10)]
    assert missing_ranges(0, []) == []


@pytest.mark.parametrize("size", [1, 2, 7, 8, 9, 4097])
def test_a_unit_taken_apart_is_made_up_of_its_pieces(size):
    pieces = taken_apart(Unit("case", 3, 3 + size))
    assert [case for piece in pieces for case in range(piece.start, piece.stop)] == list(range(3, 3 + size))
    assert len(pieces) == min(size, 8)


@pytest.mark.parametrize("seconds", [1e-6, 1e-3, 1.0, 100.0])
@pytest.mark.parametrize("missing", [[(0, 1000)], [(3, 17), (40, 41), (64, 999)]])
def test_units_cover_what_is_missing_once_and_end_at_batches(seconds, missing):
    slicer = Slicer("case", missing, batch=8, crew=3, bytes_a_case=1000)
    cases = []
    while (unit := slicer.next()) is not None:
        cases += range(unit.start, unit.stop)
        assert unit.stop % 8 == 0 or unit.stop in [stop for _, stop in missing]
        assert unit.size <= max(8, 4_000_000 // 1000)
        slicer.learn(run.Outcome(unit, seconds=seconds * unit.size))
    assert cases == [case for start, stop in missing for case in range(start, stop)]
