"""Run a study: piece by piece into parts beside the result, then one file; stopped at any instant, it goes on there."""

from __future__ import annotations

import os
import time
from collections import deque
from dataclasses import dataclass
from pathlib import Path

import h5py
import numpy as np

from swingbeam import __version__
from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path
from swingbeam.files.safe_write import refuse_existing
from swingbeam.units.text import quote

from .consolidate import Tally, consolidate
from .crews import Crew, Processes, Threads
from .lock import locked
from .problem import HISTORIES, STATUSES, Problem
from .progress import Silent, Watch
from .shards import Mark, Parts, begin_parts, find_parts, folder_of
from .spots import prepare_spots, spot_cases
from .units import CASE, DIED, SPOT, Outcome, Slicer, Unit, failed_rows, missing_ranges, taken_apart

ENDINGS = (".h5", ".hdf5", ".nc")


@dataclass(frozen=True)
class RunSummary:
    """What a run did.

    Attributes
    ----------
    path : the file of results
    count : cases in it
    found : cases that were there already when it began
    tally : what the rows come to
    seconds : it took, of which
    storing : writing parts and the result
    """

    path: Path
    count: int
    found: int
    tally: Tally
    seconds: float
    storing: float

    @property
    def failed(self) -> int:
        return self.tally.statuses["failed"]


def run_study(
    problem: Problem,
    path: str | os.PathLike[str],
    *,
    workers: int | None = None,
    history: str | None = None,
    resume: bool = False,
    scheduler: str | None = None,
    watch: Watch | None = None,
    again: str = "run it again with resume=True",
) -> RunSummary:
    """Run all cases of a study and write them to one new file.

    The file's bytes do not depend on the number of workers, on their order, or on interruptions.

    Parameters
    ----------
    path : the file; parts are kept in a folder beside it until it is whole
    workers : None for all cores of this machine
    history : one of `HISTORIES`; None for none, or what an interrupted run kept
    resume : go on where an interrupted run stopped, if one did
    scheduler : address of a dask scheduler whose workers do the work instead
    again : how to go on, in words, for messages

    Raises
    ------
    InputError
        Something is in the way: the file, another run, parts of another study, a full disk. Nothing that was there is
        changed.
    """
    begun = time.perf_counter()
    target = _target(path)
    if history is not None and history not in HISTORIES:
        raise InputError(f"history: found {quote(history)}; allowed: {', '.join(HISTORIES)}")
    if workers is not None and workers < 1:
        raise InputError(f"workers: found {workers}; allowed: 1 or more")
    watch = Silent() if watch is None else watch
    if not resume:
        refuse_existing(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"{display_path(target)}: cannot be written: {error.strerror}") from None
    with locked(target):
        parts = _find(problem, target, history, resume)
        if os.path.lexists(target):
            return _finished(target, parts, problem, history, begun)
        mark = Mark.of(problem, history or "none") if parts is None else parts.mark
        if scheduler is None:
            problem.prepare()  # one compiles, before others begin and find it compiled
        parts = begin_parts(folder_of(target), mark) if parts is None else parts
        run = _Run(problem, parts, watch, again)
        run.clear_up()
        run.work(workers, scheduler)
        return run.conclude(target, begun)


def _target(path: str | os.PathLike[str]) -> Path:
    target = Path(path)
    if target.suffix.lower() not in ENDINGS:
        raise InputError(f"--out: found {quote(target.name)}; allowed: a name that ends in {', '.join(ENDINGS)}")
    return target


def _find(problem: Problem, target: Path, history: str | None, resume: bool) -> Parts | None:
    """The parts of an interrupted run of this very study, if there are any; refuses what is in the way."""
    folder = folder_of(target)
    if not resume:
        refuse_existing(target)
        if os.path.lexists(folder):
            raise InputError(
                f"{display_path(folder)}: an interrupted run left it; add --resume to go on with that run, or give "
                "another name with --out"
            )
    parts = find_parts(folder)
    if parts is None:
        return None
    kept = parts.mark.curves_kept
    _refuse_other(parts.mark, Mark.of(problem, history or kept), display_path(parts.folder))
    return parts


def _refuse_other(found: Mark, wanted: Mark, shown: str) -> None:
    """Refuse parts of another version, plan or choice of curves: the rows would not belong together."""
    if found == wanted:
        return
    if found.version != wanted.version:
        what = f"begun by version {found.version}, this is {wanted.version}; go on with that version"
    elif found.curves_kept != wanted.curves_kept:
        what = f"begun with --history {found.curves_kept}, found {wanted.curves_kept}; go on with that"
    else:
        changed = sorted(
            name for name in {*found.files, *wanted.files} if found.files.get(name) != wanted.files.get(name)
        )
        named = f" ({', '.join(changed)})" if changed else ""
        what = f"the study has changed since the run was begun{named}; go on with the study as it was"
    raise InputError(f"{shown}: {what}, or give another name with --out\nnothing was changed")


def _finished(target: Path, parts: Parts | None, problem: Problem, history: str | None, begun: float) -> RunSummary:
    """A result that is whole already: of this study, or refused. Parts that a killed run left are removed."""
    shown = display_path(target)
    try:
        with h5py.File(target, "r") as file:
            said = {name: file.attrs.get(name, "") for name in ("digest", "version", "curves_kept", "doubtful")}
            status = np.bincount(file["status"][()], minlength=len(STATUSES))
    except (OSError, KeyError, ValueError):
        raise InputError(f"{shown}: exists already and is no study's result; give another name with --out") from None
    if said["version"] != __version__ or said["digest"] != problem.digest:
        raise InputError(f"{shown}: exists already, of another study or version; give another name with --out")
    if history not in (None, said["curves_kept"]):
        raise InputError(
            f"{shown}: is whole already, with --history {said['curves_kept']}; give another name with --out"
        )
    if parts is not None:
        parts.remove()
    counts = {name: int(n) for name, n in zip(STATUSES, status, strict=True)}
    tally = Tally(counts, (), str(said["doubtful"]))
    return RunSummary(target, problem.count, problem.count, tally, time.perf_counter() - begun, 0.0)


class _Run:
    """One run of a study, from the parts there are to the parts there must be."""

    def __init__(self, problem: Problem, parts: Parts, watch: Watch, again: str) -> None:
        self._problem, self._parts, self._watch, self._again = problem, parts, watch, again
        self._times = problem.times(parts.mark.curves_kept)
        self._storing = 0.0
        self._found = self._kept = 0

    def clear_up(self) -> None:
        """Remove what a killed run left half-written, and parts that the disk has damaged."""
        self._parts.tidy()
        for name in self._parts.drop_damaged():
            self._watch.note(f"{name} is damaged; its cases are run again")
        self._found = self._kept = sum(unit.size for unit in self._parts.done(CASE))

    def work(self, workers: int | None, scheduler: str | None) -> None:
        """Run what is missing, the cases first, then the spot checks."""
        spots = len(spot_cases(self._problem))
        a_row = 8 * (len(self._problem.outputs) + len(self._times) * len(self._problem.curves))
        checks = "spot checks with the other solver"
        stages = ((CASE, self._problem.count, self._problem.batch, "cases"), (SPOT, spots, 1, checks))
        if scheduler is None and missing_ranges(spots, [(u.start, u.stop) for u in self._parts.done(SPOT)]):
            prepare_spots(self._problem)
        crew: Crew | None = None
        try:
            for kind, count, batch, words in stages:
                done = [(unit.start, unit.stop) for unit in self._parts.done(kind)]
                missing = missing_ranges(count, done)
                if not missing:
                    continue
                crew = crew or self._crew(workers, scheduler)
                slicer = Slicer(kind, missing, batch=batch, crew=crew.size, bytes_a_case=a_row)
                self._watch.begin(words, count, count - slicer.left)
                self._stage(crew, slicer, alone=kind == SPOT and scheduler is not None)
        except InputError as error:
            raise self._with_hint(error) from None
        finally:
            self._watch.end()
            if crew is not None:
                crew.close()

    def _crew(self, workers: int | None, scheduler: str | None) -> Crew:
        history = self._parts.mark.curves_kept
        if scheduler is not None:
            from .cluster import Cluster

            return Cluster(self._problem, history, scheduler)
        size = workers or cores()
        return Processes(self._problem, history, size) if size > 1 else Threads(self._problem, history, 1)

    def _stage(self, crew: Crew, slicer: Slicer, *, alone: bool) -> None:
        """Give, take and keep until nothing is left; then, one at a time, what ended the process it ran in.

        Parameters
        ----------
        alone : the first unit runs alone: what it compiles the rest find compiled
        """
        suspects: deque[Unit] = deque()
        while True:
            while crew.has_room() and not (alone and crew.is_busy()) and (unit := slicer.next()) is not None:
                crew.give(unit)
            if not crew.is_busy():
                if not suspects:
                    return
                crew.give(suspects.popleft())
            outcome, alone = crew.take(), False
            unit = outcome.unit
            if outcome.rows is not None:
                slicer.learn(outcome)
                self._keep(outcome)
            elif outcome.died and (unit.size > 1 or unit.tries < crew.tries_alone):
                suspects.extend(taken_apart(unit))
            elif not outcome.died and unit.size > 1:
                slicer.put_back(taken_apart(unit))
            else:
                reason = DIED if outcome.died else outcome.trouble
                self._keep(Outcome(unit, failed_rows(self._problem, unit, reason, self._times)))

    def _keep(self, outcome: Outcome) -> None:
        begun = time.perf_counter()
        if outcome.rows is None:
            return
        self._parts.write(outcome.unit._replace(tries=0), outcome.rows)
        if outcome.unit.kind == CASE:
            self._kept += outcome.unit.size
        self._storing += time.perf_counter() - begun
        self._watch.advance(outcome.unit.size)

    def conclude(self, target: Path, begun: float) -> RunSummary:
        """Make one file of the parts, then remove them."""
        since = time.perf_counter()
        try:
            tally = consolidate(self._parts, self._problem, target)
        except InputError as error:
            raise self._with_hint(error) from None
        self._parts.remove()
        now = time.perf_counter()
        self._storing += now - since
        return RunSummary(target, self._problem.count, self._found, tally, now - begun, self._storing)

    def _with_hint(self, error: InputError) -> InputError:
        kept = f"{self._kept:,} of {self._problem.count:,} cases are kept in {display_path(self._parts.folder)}"
        return InputError(f"{error}\n{kept}; when that is mended: {self._again}")


def cores() -> int:
    """Cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


def stopped_words(path: str | os.PathLike[str], again: str) -> str:
    """What is said when a person has stopped a run: what is kept, and how to go on."""
    target = Path(path)
    parts = find_parts(folder_of(target))
    if parts is None:
        return "stopped; nothing was written"
    kept = sum(unit.size for unit in parts.done(CASE))
    shown = display_path(parts.folder)
    return f"stopped; {kept:,} of {parts.mark.count:,} cases are kept in {shown}\ngo on with: {again}"
