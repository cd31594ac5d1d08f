"""How a study's cases share the cores of this machine: threads and processes against one worker.

    python benchmarks/study_workers.py [--study shaft_and_head] [--cases 256] [--workers 2]

Every crew runs the same cases, prepared before the clock starts, in turns; the best of the repeats counts; nothing is
stored. Efficiency is the rate over that of one worker times the number of workers; it means nothing on a machine that
does something else. Beside it: what share of the processor's time one worker spends in compiled code, where threads do
not wait for each other.
"""

from __future__ import annotations

import argparse
import os
import time

import numpy as np

from swingbeam.beam import compiled
from swingbeam.study.sweep.crews import Crew, Processes, Threads
from swingbeam.study.sweep.run import cores
from swingbeam.study.sweep.swing_study import SwingStudy, load_study
from swingbeam.study.sweep.units import CASE, Unit

ASKED = 0.90
"""Efficiency that is asked for."""


def seconds(crew: Crew, count: int, piece: int) -> float:
    """How long a crew takes over the first `count` cases."""
    begun, at = time.perf_counter(), 0
    while at < count or crew.is_busy():
        while at < count and crew.has_room():
            crew.give(Unit(CASE, at, min(count, at + piece)))
            at += piece
        outcome = crew.take()
        if outcome.rows is None:
            raise SystemExit(f"a batch failed: {outcome.trouble}")
    crew.close()
    return time.perf_counter() - begun


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
    piece = max(1, min(study.batch, count // (4 * given.workers)))
    print(f"{given.study}: {count} cases in pieces of {piece}; load of the machine {os.getloadavg()[0]:.1f}")
    share = compiled_share(study, min(count, 32))
    print(f"in compiled code: {100 * share:.0f} % of a worker's processor time")
    best: dict[str, float] = {}
    crews = (("", Threads, 1), ("threads", Threads, given.workers), ("processes", Processes, given.workers))
    for _ in range(given.repeats):
        for name, crew, size in crews:
            words = "1 worker" if size == 1 else f"{size} {name}"
            took = seconds(crew(prepared(given.study), "none", size), count, piece)
            best[words] = min(took, best.get(words, np.inf))
    for words, took in best.items():
        efficiency = best["1 worker"] / took / (1 if words == "1 worker" else given.workers)
        verdict = "" if words == "1 worker" else f"   efficiency {100 * efficiency:.0f} % (asked: {100 * ASKED:.0f} %)"
        print(f"{words:>12}: {count / took:8.1f} cases/s{verdict}")


if __name__ == "__main__":
    main()
