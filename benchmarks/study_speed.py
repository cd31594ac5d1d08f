"""What a study of swings costs from its file to the file of results, and what of that is the mechanics.

    python benchmarks/study_speed.py [--clubs 1024] [--workers 2] [--no-exudyn]

A grid of golfers × clubs, swung from the top (a downswing) and from address (a whole swing). "The kernel" is the march
of the clubs in the lanes alone, of models that are ready; "the pipeline" is all that `study run` does with a case:
hands, contact, figures, shot, rows, parts on the disk and the file. Rates come twice: by the clock, which means nothing
on a machine that does something else, and by the processor's time, which then means a little more: cores × cases over
the processor's time of all workers. Then where a case's time goes, what a club that no case had before and a golfer
who was changed cost, cost against the number of cases, and the same 64 swings in exudyn (held fast, since it knows no
hands that give), there with the cheapest setting within the errors of against_exudyn.py.
"""

from __future__ import annotations

import argparse
import os
import resource
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from swingbeam.beam import compiled
from swingbeam.study.sweep.load import load_study
from swingbeam.study.sweep.progress import Silent
from swingbeam.study.sweep.run import cores, run_study
from swingbeam.study.sweep.swing_study import SwingStudy

ASKED = 8_000
"""Downswings a second that are asked for of two cores."""
GRID = """
name = "Speed"
question = "What does a case cost?"
swing = "even"
start = "{start}"
[club]
shaft = "wick-65-s"
head = "driver"
finished_length = "45.5 in"
[vary]
"swing.delivery.path" = {{ from = "-2 deg", to = "2 deg", count = {golfers} }}
"shaft.ei scale" = {{ from = 0.8, to = 1.2, count = {stiffnesses} }}
"head.cg.rearward" = {{ from = "10 mm", to = "30 mm", count = 32 }}
[plan]
kind = "grid"
"""
DRAWN = """
name = "Drawn"
question = "What does a new club cost?"
swing = "even"
start = "top"
[club]
shaft = "wick-65-s"
head = "driver"
finished_length = "45.5 in"
[vary]
"shaft.ei tilt" = {{ between = [-0.4, 0.4] }}
"shaft.ei scale" = {{ between = [0.8, 1.2] }}
"head.cg.rearward" = {{ between = ["10 mm", "30 mm"] }}
[plan]
kind = "latin-hypercube"
cases = {cases}
"""
GOLFERS = """
name = "Golfers"
question = "What does a changed golfer cost?"
swing = "even"
start = "top"
[vary]
"swing.delivery.path" = { between = ["-3 deg", "3 deg"] }
"swing.wrists.fade" = { between = ["70 ms", "110 ms"] }
[plan]
kind = "latin-hypercube"
cases = 64
"""


def study_of(text: str) -> SwingStudy:
    """A study of its text, prepared; the other solver's spot checks are left out."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "speed.toml"
        path.write_text(text, encoding="utf-8")
        study = load_study(path)
    study.spot_cases = np.zeros(0, dtype=np.int64)
    study.prepare()
    return study


class Clock(Silent):
    """When the cases begin to be run, and when the last of them is kept."""

    begun = ended = 0.0

    def begin(self, what: str, total: int, done: int) -> None:
        self.begun = time.perf_counter()

    def advance(self, cases: int) -> None:
        self.ended = time.perf_counter()


def used() -> float:
    """Processor's time of this process and of its children that have ended, s."""
    own, children = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime


def whole_run(text: str, workers: int) -> tuple[float, float, float]:
    """Clock and processor's s of running all cases (processes that start and prepare not counted in the first), and
    the share of the clock that storing took."""
    study, clock = study_of(text), Clock()
    before = used()
    with tempfile.TemporaryDirectory() as folder:
        done = run_study(study, Path(folder) / "speed.h5", workers=workers, watch=clock)
    took = clock.ended - clock.begun
    return took, used() - before, done.storing / (took + done.storing)


def by_kernel(study: SwingStudy, count: int) -> tuple[dict[str, float], float]:
    """Processor's s of one thread in every kernel, and in all, of the first cases; golfers and clubs made before."""
    cases = np.arange(count)
    study.evaluate(cases)
    spent: dict[str, float] = {}
    call: Any = compiled._Kernel.__call__

    def timed(self: Any, *arguments: object) -> object:
        begun = time.thread_time()
        try:
            return call(self, *arguments)
        finally:
            name = self.function.__name__
            spent[name] = spent.get(name, 0.0) + time.thread_time() - begun

    compiled._Kernel.__call__ = timed  # type: ignore[method-assign]
    try:
        best, kept = np.inf, {}
        for _ in range(3):
            spent.clear()
            begun = time.thread_time()
            study.evaluate(cases)
            took = time.thread_time() - begun
            if took < best:
                best, kept = took, dict(spent)
        return kept, best
    finally:
        compiled._Kernel.__call__ = call  # type: ignore[method-assign]


def rates(start: str, clubs: int, workers: int) -> None:
    """One start: the kernel, the pipeline, what the rest is, and storage."""
    golfers = 4
    text = GRID.format(start=start, golfers=golfers, stiffnesses=max(2, clubs // 32))
    study = study_of(text)
    some = min(512, study.count // golfers)
    spent, took = by_kernel(study, some)
    march = spent.pop("march_groups", 0.0)
    what = "downswings" if start == "top" else "whole swings"
    print(f"\n{what}: {golfers} golfers × {study.count // golfers} clubs; load {os.getloadavg()[0]:.1f}")
    print(f"  the kernel alone, one core: {some / march:8,.0f}/s ({1e6 * march / some:.0f} µs each)")
    parts = [("march", march), *sorted(spent.items(), key=lambda item: -item[1])]
    parts.append(("not compiled", took - march - sum(spent.values())))
    shares = ", ".join(f"{name} {100 * part / took:.0f} %" for name, part in parts if part > 0.005 * took)
    print(f"  swung and read, one core:   {some / took:8,.0f}/s: {shares}")
    one = whole_run(text, 1)
    print(f"  with storage, 1 worker:     {study.count / one[0]:8,.0f}/s by the clock; storing {100 * one[2]:.0f} %")
    two = whole_run(text, workers)
    rate = study.count / two[0]
    print(f"  with storage, {workers} workers:    {rate:8,.0f}/s by the clock; storing {100 * two[2]:.0f} %")
    spent_rate = study.count / one[1]
    print(f"  with storage, by the processor's time: {spent_rate:8,.0f}/s a core, golfers and clubs made too;")
    share = spent_rate * march / some
    print(f"    {100 * share:.0f} % of the kernel's own rate; {workers} cores: {workers * spent_rate:,.0f}/s")
    print(f"  efficiency of {workers} workers by the clock: {100 * one[0] / two[0] / workers:.0f} %")
    if start == "top":
        print(f"  asked of two cores: {ASKED:,}/s")


def makings(cases: int) -> None:
    """What a new club and a changed golfer cost."""
    study = study_of(DRAWN.format(cases=cases))
    rows = study.values(np.arange(cases)).tolist()
    best = np.inf
    for _ in range(3):
        fresh = type(study.workshop)(study.recipe, study.start)
        begun = time.thread_time()
        for first in range(0, cases, 32):
            fresh.clubs(rows[first : first + 32])
        best = min(best, time.thread_time() - begun)
    print(f"\na club that no case had before: {1e6 * best / cases:.0f} µs")
    golfers = study_of(GOLFERS)
    begun = time.thread_time()
    golfers.evaluate(np.arange(8, 40))
    took = time.thread_time() - begun
    print(f"a changed golfer, aimed, and his reference club and a club swung: {1e3 * took / 32:.0f} ms")


def growth(most: int) -> None:
    """Cost against the number of cases."""
    print("\n   cases    processor   a case")
    size = 1_000
    while size <= most:
        _, spent, _ = whole_run(DRAWN.format(cases=size), 1)
        print(f"{size:>8,}  {spent:>9.2f} s  {1e6 * spent / size:>5.0f} µs")
        size *= 4


def against_exudyn() -> None:
    """The same 64 whole swings (exudyn starts at rest), hands held fast: processor's time of one thread."""
    from against_exudyn import ALLOWED, TabledMotion, finite, miss

    from swingbeam.beam import simulate
    from swingbeam.beam.lanes import march_lanes
    from swingbeam.beam.many import prepare_many
    from swingbeam.delivery.batch import tip_row
    from swingbeam.study.many import GRAVITY, track_of
    from verification.exudyn_model import drive

    text = DRAWN.format(cases=64).replace('start = "top"', 'start = "address"')
    study = study_of(text)
    rows = study.values(np.arange(64)).tolist()
    clubs: Any = study.workshop.clubs(rows)
    golfer = study.workshop.golfers.get(rows[0]).golfer
    if golfer is None:
        raise SystemExit("the golfer cannot be made")
    motion = golfer.reference.motion
    beams = [finite(club.profile) for club in clubs]
    truth = simulate(beams[0], clubs[0].tip, motion, solver="elements", elements=64, step=2.5e-4)
    chosen = None
    for elements, step in ((6, 1e-3), (8, 1e-3), (12, 1e-3), (16, 1e-3)):
        table: Any = TabledMotion(motion, step)
        begun = time.process_time()
        try:
            course = drive(beams[0], clubs[0].tip, table, elements, step)
        except Exception as error:
            print(f"  exudyn {elements} × {1e3 * step:g} ms: {type(error).__name__}")
            continue
        took, (distance, angle) = time.process_time() - begun, miss(course, truth)
        print(f"  exudyn {elements} × {1e3 * step:g} ms: {1e3 * took:.0f} ms, {1e3 * distance:.3f} mm, {angle:.4f}°")
        if distance <= ALLOWED[0] and angle <= ALLOWED[1] and (chosen is None or took < chosen[0]):
            chosen = took, elements, step
    if chosen is None:
        print("no setting of exudyn's is within the errors")
        return
    _, elements, step = chosen
    table = TabledMotion(motion, step)
    begun = time.process_time()
    for beam, club in zip(beams, clubs, strict=True):
        drive(beam, club.tip, table, elements, step)
    theirs = time.process_time() - begun
    track, own = track_of(golfer, held=True), np.inf
    for _ in range(5):
        begun = time.process_time()
        stacks = prepare_many(
            beams,
            np.array([tip_row(club.tip) for club in clubs]),
            np.zeros((64, 2)),
            root_inertia=track.inertia,
            gravity=GRAVITY,
        )
        runs = [march_lanes(stack.model, track.stages, np.full(3, np.inf), np.zeros(3)) for stack in stacks]
        own = min(own, time.process_time() - begun)
    first = next(k for k, stack in enumerate(stacks) if stack.cases[0] == 0)
    distance, angle = miss(runs[first].history(0, clubs[0].tip), truth)
    fresh = study_of(text)
    begun = time.process_time()
    fresh.evaluate(np.arange(64))
    whole = time.process_time() - begun
    print(f"64 whole swings: exudyn {elements} × {1e3 * step:g} ms {theirs:.2f} s; load {os.getloadavg()[0]:.1f}")
    print(f"  lanes alone, tables made too: {1e3 * own:.1f} ms, {theirs / own:,.0f} times faster")
    print(f"    ({1e3 * distance:.3f} mm, {angle:.4f}° off the finest run)")
    print(f"  clubs, hands, contact, figures, shots too: {1e3 * whole:.1f} ms, {theirs / whole:,.0f} times faster")


def main() -> None:
    """Everything, one after another."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--clubs", type=int, default=1024, help="of the grid, for each of four golfers")
    parser.add_argument("--workers", type=int, default=cores())
    parser.add_argument("--most", type=int, default=16_000, help="cases of the largest study for cost against number")
    parser.add_argument("--no-exudyn", action="store_true")
    given = parser.parse_args()
    for start in ("top", "address"):
        rates(start, given.clubs if start == "top" else given.clubs // 4, given.workers)
    makings(512)
    growth(given.most)
    if not given.no_exudyn:
        print("\nthe same swings in exudyn")
        against_exudyn()


if __name__ == "__main__":
    sys.exit(main())
