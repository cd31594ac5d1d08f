"""Swings side by side in SIMD lanes against swings one by one: how many a second, and how far apart.

    python benchmarks/lanes.py [--clubs 256] [--repeats 15]

One golfer (`even`), the default hands and a spread of clubs about his own; the downswing, from the state in which each
club comes to the top, and the whole swing with its equilibrium at the start. Processor time of one thread, best of
some repeats; figures and storage are not in it. Compilation is timed in a process of its own with an empty cache.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable

import numpy as np

from swingbeam.beam import ElasticRoot, Profile, TipBody, curvature, history, lanes
from swingbeam.beam.curvature_gauss_state import new_state
from swingbeam.beam.curvature_layout import CurvatureModel
from swingbeam.beam.root import RootPath
from swingbeam.files.lookup import find
from swingbeam.study.golfer import load_golfer
from swingbeam.swing import hands_named

GRAVITY = np.array([0.0, 0.0, -9.80665])
SCALAR = 16
"""Clubs that the scalar solver swings for comparison."""
FLOPS = {"evaluation": 6890, "pass": 1543, "step": 23069}
"""Additions and multiplications of one lane, counted in the kernel's machine code with a fused one as two: of an
evaluation of the equations of motion on seven intervals, of what a pass takes besides its two evaluations, and of what
a step takes besides its passes and the evaluation at its end."""
COLD = """
import sys, time
begin = time.process_time()
from swingbeam.beam.lanes.kernel import march_groups
from swingbeam.beam.lanes import layout, lane_width
from swingbeam.beam.lanes.pieces import memory
from swingbeam.beam.lanes.predict import plans
import numpy as np
imported = time.process_time()
width = lane_width()
slots, plain = memory(layout.GROUP + layout.INTERVAL, width)
none = np.zeros((0, width), dtype=np.int64)
march_groups(slots, plain, width, none, none, np.zeros((0, layout.OWN)), np.zeros((0, 1, layout.TABLES)),
    np.zeros((0, 2, layout.N)), np.zeros(0), plans(1e-3, 1e-9), np.zeros((0, 2, 50)), np.zeros((0, 0, 3)),
    np.zeros(0, dtype=np.int64))
print(imported - begin, time.process_time() - imported)
"""


class Swings:
    """Clubs about a golfer's own, and what they do up to the top."""

    def __init__(self, count: int) -> None:
        golfer = load_golfer(find("swing", "even"))
        reference, club = golfer.reference, golfer.club
        self.hands = hands_named("hold")
        record = reference.record()
        root = ElasticRoot(
            self.hands.stiffness, self.hands.damping, reference.inertia, axes=reference.axes, couple=record
        )
        self.path = RootPath(reference.motion, root, GRAVITY)
        self.t = record.t
        self.top = int(np.searchsorted(self.t, reference.top))
        self.end = min(self.top + 155, self.t.size - 1)
        r = np.random.default_rng(1)
        self.models: list[CurvatureModel] = []
        for _ in range(count):
            stiff, heavy = r.uniform(0.7, 1.3), r.uniform(0.9, 1.1)
            rod = club.profile
            profile = Profile(rod.s, rod.ei * stiff, rod.gj * r.uniform(0.7, 1.3), rod.mass * heavy, rotary=rod.rotary)
            tip = TipBody(club.tip.mass * heavy, club.tip.offset * r.uniform(0.9, 1.1), club.tip.inertia * heavy)
            self.models.append(
                curvature.prepare(
                    profile, tip, club.viscosity, root_inertia=self.path.inertia_tensor(), gravity=GRAVITY
                )
            )
        self.stacked = CurvatureModel(*(np.stack(a) for a in zip(*self.models, strict=True)))
        self.whole = lanes.stages_of(self.path, self.t)
        self.down = lanes.stages_of(self.path, self.t[self.top : self.end + 1])

    def starts(self) -> np.ndarray:
        """(clubs, 2, 12): the state in which every club comes to the top."""
        up = lanes.stages_of(self.path, self.t[: self.top + 1])
        states = np.zeros((len(self.models), 2, 12))
        for k, model in enumerate(self.models):
            state = curvature.start(model, self.path.inputs(up.t[:1]), "equilibrium", np.zeros(history.ROW_LENGTH))
            rows, couples = np.zeros((self.top, history.ROW_LENGTH)), np.zeros((3 * self.top, 3))
            if curvature.advance(model, state, self.path.inputs(up.times), up.step, rows, couples) != self.top:
                raise RuntimeError("a club did not come to the top")
            states[k] = state.x, state.rate
        return states


def best(repeats: int, work: Callable[[], object]) -> float:
    """Least processor time of this thread, s."""
    least = np.inf
    for _ in range(repeats):
        begin = time.thread_time()
        work()
        least = min(least, time.thread_time() - begin)
    return float(least)


def scalar_downswings(swings: Swings, starts: np.ndarray, repeats: int) -> tuple[float, np.ndarray]:
    """Seconds a downswing by the scalar solver, and the rows."""
    inputs = swings.path.inputs(swings.down.times)
    packed, first = curvature._pack(inputs), curvature._pack(swings.path.inputs(swings.down.t[:1]))[0]
    steps, h = swings.down.t.size - 1, swings.down.step
    rows, couples = np.zeros((SCALAR, steps + 1, history.ROW_LENGTH)), np.zeros((3 * steps, 3))

    def run() -> None:
        for k, model in enumerate(swings.models[:SCALAR]):
            state = new_state(12, model.length.size)
            state.x[:], state.rate[:] = starts[k]
            curvature.first_row(model, state, first, 3, rows[k, 0])
            curvature.march(model, state, packed, 3, h, rows[k, 1:], couples)

    run()
    return best(max(2, repeats // 3), run) / SCALAR, rows


def cold_start() -> None:
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "SWINGBEAM_CACHE_DIR": folder}
        for what in ("cold", "warm"):
            out = subprocess.run(
                [sys.executable, "-c", COLD], env=environment, check=True, capture_output=True, text=True
            ).stdout.split()
            print(f"  {what}: import {float(out[0]):5.2f} s, kernel {float(out[1]):5.2f} s (processor time)")


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--clubs", type=int, default=256)
    parser.add_argument("--repeats", type=int, default=15)
    options = parser.parse_args()
    why = lanes.unavailable()
    if why:
        sys.exit(f"no lanes here: {why}")
    print(f"the lanes' kernel, {lanes.lane_width()} lanes")
    cold_start()
    swings = Swings(max(options.clubs, SCALAR))
    starts = swings.starts()
    hands = (swings.hands.stiffness, swings.hands.damping)
    steps = swings.down.t.size - 1
    seconds, rows = scalar_downswings(swings, starts, options.repeats)
    print(f"\na downswing: {steps} steps of {1e3 * swings.down.step:.1f} ms, {options.clubs} clubs, one core")
    print(f"  one by one    {1.0 / seconds:8.0f} /s")
    into = np.empty((len(swings.models), steps + 1, history.ROW_LENGTH))
    for width in dict.fromkeys((1, 4, 8, lanes.lane_width())):

        def run(width: int = width) -> lanes.LaneRuns:
            return lanes.march_lanes(swings.stacked, swings.down, *hands, starts=starts, width=width, into=into)

        runs = run()
        each = best(options.repeats, run) / len(swings.models)
        passes = runs.rows[:, 1:, history.PASSES]
        whole = passes[: len(passes) // width * width].reshape(-1, width, steps).max(axis=1).mean()
        flops = steps * ((2.0 * whole + 1.0) * FLOPS["evaluation"] + whole * FLOPS["pass"] + FLOPS["step"])
        print(
            f"  {width} side by side{1.0 / each:8.0f} /s, {seconds / each:5.1f} times as many; "
            f"{whole:.2f} passes a step; {1e-9 * flops / each:5.1f} Gflop/s; {int((~runs.ended).sum())} failed"
        )
    difference = np.abs(runs.rows[:SCALAR] - rows)
    print("\nagainst one by one, largest differences")
    for name, at, unit in (
        ("tip position", history.TIP_POSITION, "m"),
        ("tip rotation", history.TIP_ROTATION, "rad"),
        ("tip velocity", history.TIP_VELOCITY, "m/s"),
        ("yield", history.THETA, "rad"),
        ("root couple", history.ROOT_COUPLE, "N·m"),
    ):
        print(f"  {name:14}{difference[:, :, at].max():8.1e} {unit}")
    whole_swing(swings, hands, options.repeats)
    two_threads(swings, hands, starts, into)


def whole_swing(swings: Swings, hands: tuple[np.ndarray, np.ndarray], repeats: int) -> None:
    """From address, with and without the equilibrium there."""
    steps = swings.whole.t.size - 1
    into = np.empty((len(swings.models), steps + 1, history.ROW_LENGTH))
    each = best(max(2, repeats // 5), lambda: lanes.march_lanes(swings.stacked, swings.whole, *hands, into=into))
    short = lanes.stages_of(swings.path, swings.t[:2])
    begun = np.zeros((len(swings.models), 2, 12))
    settled = best(repeats, lambda: lanes.march_lanes(swings.stacked, short, *hands))
    given = best(repeats, lambda: lanes.march_lanes(swings.stacked, short, *hands, starts=begun))
    count = len(swings.models)
    share = (settled - given) / each
    print(f"\na whole swing: {steps} steps: {count / each:.0f} /s on one core")
    print(f"its equilibrium at the start: {1e6 * (settled - given) / count:.1f} µs, {share:.1%} of it")


def two_threads(swings: Swings, hands: tuple[np.ndarray, np.ndarray], starts: np.ndarray, into: np.ndarray) -> None:
    """Wall time with one and with two threads: the other core must have nothing else to do."""

    def wall(workers: int) -> float:
        least = np.inf
        for _ in range(7):
            begin = time.perf_counter()
            lanes.march_lanes(swings.stacked, swings.down, *hands, starts=starts, into=into, workers=workers)
            least = min(least, time.perf_counter() - begin)
        return len(swings.models) / float(least)

    one, two = wall(1), wall(2)
    print(f"\ndownswings a second by the clock: {one:.0f} with one thread, {two:.0f} with two ({two / one:.2f} times)")


if __name__ == "__main__":
    main()
