"""What it costs around a swing to build a club and to read its figures: compiled beside readable, in one run.

.venv/bin/python benchmarks/figures.py

Times are those of one thread, the best of several repeats; what counts is the ratio, taken in the same run.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from swingbeam.beam import ElasticRoot, curvature, many
from swingbeam.beam.root import RootPath
from swingbeam.club.build import build_club
from swingbeam.club.damping import viscosities, viscosity
from swingbeam.delivery import batch, shot_batch
from swingbeam.delivery.shot import ShotSetting, shot_of
from swingbeam.files.lookup import find
from swingbeam.shaft import clamped
from swingbeam.shaft.shaft import scale
from swingbeam.study.golfer import load_golfer
from swingbeam.study.measure import measure
from swingbeam.swing import hands_named, run_club

CASES = 64
RUNS = 8
"""Runs that are read together: as many as march side by side, so that their rows are still near the processor."""
GRAVITY = np.array([0.0, 0.0, -9.80665])


def best(call: Callable[[], object], repeats: int = 15) -> float:
    """Shortest time of a call, s, after one that is not counted."""
    call()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def line(name: str, readable: float, compiled: float) -> None:
    """One row: µs a case of either way, and their ratio."""
    print(f"{name:44} {1e6 * readable:10.0f} {1e6 * compiled:10.1f} {readable / compiled:8.0f}")


def main() -> None:
    """Print the table."""
    golfer = load_golfer(find("swing", "even"))
    reference, hands = golfer.reference, hands_named("hold")
    shafts = [scale(golfer.club.shaft, ei=0.8 + 0.4 * i / CASES) for i in range(CASES)]
    length = golfer.club.finished_length
    clubs = [build_club(shaft, golfer.club.head, finished_length=length) for shaft in shafts]
    club = clubs[0]
    print(f"{'µs a case, one thread':44} {'readable':>10} {'compiled':>10} {'ratio':>8}")

    def readable_tables() -> None:
        club.profile.kept.clear()
        curvature.prepare(club.profile, club.tip, (0.0, 0.0))

    blocks = [many.stations_of(c.profile) for c in clubs]
    spines = [0.0] * CASES
    line("tables of a new profile", best(readable_tables), best(lambda: many.tables_of(blocks, spines)) / CASES)

    def readable_viscosity() -> None:
        clamped.bending_frequency.cache_clear()
        viscosity(shafts[0])

    line("damping of a new shaft", best(readable_viscosity), best(lambda: viscosities(shafts)) / CASES)

    root = ElasticRoot(
        hands.stiffness, hands.damping, reference.inertia, axes=reference.axes, couple=reference.record()
    )
    path = RootPath(reference.motion, root, GRAVITY)
    inputs = path.inputs(np.array([reference.motion.start]))
    model = curvature.prepare(club.profile, club.tip, (0.0, 0.0), root_inertia=path.inertia_tensor(), gravity=GRAVITY)
    row = np.zeros(50)
    profiles = [c.profile for c in clubs]
    tips = np.array([batch.tip_row(c.tip) for c in clubs])
    store = many.TableStore()

    def stacks() -> list[many.Stack]:
        return many.prepare_many(
            profiles,
            tips,
            np.zeros((CASES, 2)),
            root_inertia=path.inertia_tensor(),
            gravity=GRAVITY,
            store=store,
        )

    (stack,) = stacks()
    known = best(lambda: curvature.prepare(club.profile, club.tip, (0.0, 0.0)))
    line("model of a known profile, another head", known, best(stacks) / CASES)
    start = best(lambda: curvature.start(model, inputs, "equilibrium", row))
    line("equilibrium at the start", start, best(lambda: many.start_many(stack.model, inputs)) / CASES)

    run = run_club(club, reference, hands)
    frame, ball = golfer.frame, reference.ball
    table = batch.swing_table(reference.motion, frame.line, frame.plane_normal, frame.top, frame.planned)
    rows = np.ascontiguousarray(np.broadcast_to(run.rows, (RUNS, *run.rows.shape)))
    targets = batch.Targets(
        np.tile(batch.face_row(club.face), (RUNS, 1)),
        np.tile(batch.tip_row(club.tip), (RUNS, 1)),
        np.tile(ball, (RUNS, 1)),
    )
    room = batch.new_room(run.t, table)
    whole = measure(run, club.face, ball, frame)
    meeting = whole.meeting
    first = batch.Targets(targets.faces[:1], targets.tips[:1], targets.balls[:1])
    if whole.curves is None or meeting is None:
        raise SystemExit("the benchmark's own swing misses the ball")

    def read(times: np.ndarray | None) -> float:
        out = batch.new_readings(RUNS, 0 if times is None else times.size)
        call = lambda: batch.read_figures(run.t, rows, table, targets, times=times, room=room, out=out)  # noqa: E731
        return best(call, 60) / RUNS

    timing = best(lambda: measure(run, club.face, ball, frame, timing_only=True))
    everything = best(lambda: measure(run, club.face, ball, frame))
    line("all figures (readable: timing only)", timing, read(None))
    coarse, fine = np.linspace(-frame.downswing, 0.0, 57), whole.curves.t
    line("figures and curves every 5 ms", everything, read(coarse))
    line("figures and curves every 1 ms", everything, read(fine))

    setting = ShotSetting()
    meetings = np.tile(batch.read_figures(run.t, rows[:1], table, first).meeting, (CASES, 1))
    shot = best(lambda: shot_of(meeting, setting))
    line("shot: blow and flight", shot, best(lambda: shot_batch.read_shots(meetings, setting)) / CASES)


if __name__ == "__main__":
    main()
