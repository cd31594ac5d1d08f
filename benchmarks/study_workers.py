"""How a study's cases share the cores of this machine: threads and processes against one worker.

    python benchmarks/study_workers.py [--study shaft_and_head] [--cases 256] [--workers 2]

Every crew runs the same cases, prepared before the clock starts, in turns; the best of the repeats counts; nothing is
stored. Efficiency is the rate over that of one worker times the number of workers; it means nothing on a machine that
does something else. Beside it, therefore, what does not depend on that (Linux only): the share of the time in which the
workers ran or could have run, had there been a core, rather than wait for each other (for the interpreter, for units);
and the processor's time a case takes over that with one worker, in which golfers made twice and shared memory show.
Their quotient is the efficiency to be expected of a machine that does nothing else, for processes; threads that are
seldom run at once seldom wait for the interpreter, and look better than they are. For them: what share s of a worker's
processor time is not compiled, which one thread at a time can run. Two threads that meet by chance then reach
1/(1 + s²) of two cores (mean value analysis: Reiser & Lavenberg 1980, J. ACM 27:313).
"""

from __future__ import annotations

import argparse
import os
import time
from pathlib import Path
from typing import NamedTuple

import numpy as np

from swingbeam.beam import compiled
from swingbeam.study.sweep.crews import Crew, Processes, Threads
from swingbeam.study.sweep.load import load_study
from swingbeam.study.sweep.run import cores
from swingbeam.study.sweep.swing_study import SwingStudy
from swingbeam.study.sweep.units import CASE, Unit

ASKED = 0.90
"""Efficiency that is asked for."""


class Took(NamedTuple):
    """s of the clock, of the processor, and of wanting to run, all workers together."""

    clock: float
    ran: float
    wanted: float


def scheduled(crew: Crew) -> tuple[float, float]:
    """s that the workers have run, and that they have waited for a core; nan where the system does not say."""
    pids = [worker.process.pid for worker in crew._workers] if isinstance(crew, Processes) else [os.getpid()]
    files = [file for pid in pids for file in Path(f"/proc/{pid}/task").glob("*/schedstat")]
    if not files:
        return np.nan, np.nan
    ran, waited = np.array([file.read_text().split()[:2] for file in files], dtype=float).sum(axis=0) * 1e-9
    return float(ran), float(waited)


def taken(crew: Crew, count: int, piece: int) -> Took:
    """How long a crew takes over the first `count` cases."""
    before = scheduled(crew)
    begun, at = time.perf_counter(), 0
    while at < count or crew.is_busy():
        while at < count and crew.has_room():
            crew.give(Unit(CASE, at, min(count, at + piece)))
            at += piece
        outcome = crew.take()
        if outcome.rows is None:
            raise SystemExit(f"a batch failed: {outcome.trouble}")
    clock, after = time.perf_counter() - begun, scheduled(crew)
    crew.close()
    ran, waited = after[0] - before[0], after[1] - before[1]
    return Took(clock, ran, ran + waited)


def compiled_share(study: SwingStudy, count: int) -> float:
    """Share of one thread's processor time that is spent in compiled code."""
    inside = [0.0]
    call = compiled._Kernel.__call__

    def timed(self: compiled._Kernel, *arguments: object) -> object:
        begun = time.thread_time()
        try:
            return call(self, *arguments)
        finally:
            inside[0] += time.thread_time() - begun

    compiled._Kernel.__call__ = timed  # type: ignore[method-assign]
    try:
        begun = time.thread_time()
        study.evaluate(np.arange(count))
        return inside[0] / (time.thread_time() - begun)
    finally:
        compiled._Kernel.__call__ = call  # type: ignore[method-assign]


def prepared(name: str) -> SwingStudy:
    """A study that has made nothing but what all cases share."""
    study = load_study(name)
    study.prepare()
    return study


def main() -> None:
    """One worker, then so many threads and so many processes."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--study", default="shaft_and_head")
    parser.add_argument("--cases", type=int, default=256)
    parser.add_argument("--workers", type=int, default=cores())
    parser.add_argument("--repeats", type=int, default=3)
    given = parser.parse_args()
    study = prepared(given.study)
    count = min(given.cases, study.count)
    piece = min(study.batch, -(-count // given.workers))
    print(f"{given.study}: {count} cases in pieces of {piece}; load of the machine {os.getloadavg()[0]:.1f}")
    share = compiled_share(study, min(count, study.batch))
    left = 1.0 - share
    by_chance = 1.0 / (1.0 + left * left)
    print(
        f"not compiled: {100 * left:.0f} % of a worker's processor time; two threads then reach {100 * by_chance:.0f} %"
    )
    best: dict[str, Took] = {}
    crews = (("", Threads, 1), ("threads", Threads, given.workers), ("processes", Processes, given.workers))
    for _ in range(given.repeats):
        for name, crew, size in crews:
            words = "1 worker" if size == 1 else f"{size} {name}"
            took = taken(crew(prepared(given.study), "none", size), count, piece)
            best[words] = min(took, best.get(words, took))
    one = best["1 worker"]
    for words, took in best.items():
        size = 1 if words == "1 worker" else given.workers
        busy, dearer = took.wanted / took.clock / size, took.ran / one.ran
        by_clock = f"efficiency {100 * one.clock / took.clock / size:.0f} %"
        expected = (
            f"ran or could have {100 * busy:.0f} %, a case {dearer:.2f} times as dear: {100 * busy / dearer:.0f} %"
        )
        print(f"{words:>12}: {count / took.clock:8.1f} cases/s   {by_clock}; {expected}")
    print(f"asked: {100 * ASKED:.0f} %")


if __name__ == "__main__":
    main()
