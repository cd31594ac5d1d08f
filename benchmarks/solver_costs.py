"""How the solvers' cost grows with steps and elements, and how long the first answer takes, compiled or not.

    python benchmarks/solver_costs.py [--repeats 5]

Processor time of one thread throughout. Slopes are of log cost over log count, by least squares: 1 is linear, and below
1 is what does not grow with the count. A first answer is one run by each solver in a Python process that has just
started: cold with an empty kernel cache, warm with the one that the cold process left. Ends with what was measured
beside what is asked; exit code 1 where something is missed. That the step loops allocate nothing is a test
(tests/beam).
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from typing import Any

import numpy as np
from numba.core.runtime import _nrt_python, rtsys

from swingbeam.beam import Motion, Profile, TipBody, simulate

STEPS = (100, 200, 400, 800)
ELEMENTS = (8, 16, 32, 64, 128)
SLOPE = 1.05
"""Cost may grow by this power of the count: linear, and what caches of a processor add."""
COLD, WARM = 40.0, 1.0
"""s"""
FIRST_ANSWER = """
import numpy as np
from swingbeam.beam import Motion, Profile, TipBody, simulate
profile = Profile(s=[0.0, 1.0], ei=[75.0, 20.0], gj=[30.0, 10.0], mass=[0.07, 0.04])
tip = TipBody(0.2, offset=(0.02, -0.018, 0.034), inertia=np.diag([3.6e-4, 4.0e-4, 2.6e-4]))
print(simulate(profile, tip, Motion.still(0.1), solver="{solver}").tip_position[-1])
"""


def swung(duration: float) -> Motion:
    """A root that swings to and fro about a level axis, evenly over any duration, s."""
    t = np.linspace(0.0, duration, max(50, round(400 * duration)))
    angle = 2.0 * np.sin(8.0 * t)
    zero, one = np.zeros_like(t), np.ones_like(t)
    turn = [[np.cos(angle), zero, np.sin(angle)], [zero, one, zero], [-np.sin(angle), zero, np.cos(angle)]]
    return Motion.from_samples(t, np.zeros((t.size, 3)), np.moveaxis(np.array(turn), 2, 0))


def cost(repeats: int, motion: Motion, **options: Any) -> float:
    """Least processor time of a run, s."""
    profile = Profile([0.0, 1.0], [75.0, 20.0], [30.0, 10.0], [0.07, 0.04])
    tip = TipBody(0.2, (0.02, -0.018, 0.034), np.diag([3.6e-4, 4.0e-4, 2.6e-4]))
    least = np.inf
    for _ in range(repeats):
        begin = time.process_time()
        simulate(profile, tip, motion, **options)
        least = min(least, time.process_time() - begin)
    return float(least)


def growth(name: str, counts: Sequence[int], costs: Sequence[float]) -> float:
    """Print the costs over the counts; returns the slope."""
    slope = float(np.polyfit(np.log(counts), np.log(costs), 1)[0])
    print(f"\n{name}: slope {slope:.2f}")
    for count, seconds in zip(counts, costs, strict=True):
        print(f"  {count:5} {1e3 * seconds:9.2f} ms {1e6 * seconds / count:9.2f} µs each")
    return slope


def allocated(solver: str, steps: int, h: float) -> int:
    """What numba's run time for memory hands out during a run."""
    motion = swung(steps * h)
    _nrt_python.memsys_enable_stats()
    before = rtsys.get_allocation_stats().alloc
    cost(1, motion, solver=solver, step=h)
    return int(rtsys.get_allocation_stats().alloc - before)


def first_answers() -> tuple[float, dict[str, float]]:
    """Time, s, of a process from its start to its answers: one that compiles and runs both solvers with an empty
    cache, and by solver one that finds them compiled (the best of three).

    Processor time of the process: one thread, so it is what the clock shows on a machine that does nothing else.
    """
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "SWINGBEAM_CACHE_DIR": folder, "OPENBLAS_NUM_THREADS": "1"}

        def spent(*solvers: str) -> float:
            before = os.times()
            command = [sys.executable, "-c", "\n".join(FIRST_ANSWER.format(solver=solver) for solver in solvers)]
            subprocess.run(command, env=environment, check=True, stdout=subprocess.DEVNULL)
            after = os.times()
            return after.children_user + after.children_system - before.children_user - before.children_system

        cold = spent("curvature", "elements")
        warm = {solver: min(spent(solver) for _ in range(3)) for solver in ("curvature", "elements")}
    return cold, warm


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--repeats", type=int, default=5)
    repeats = parser.parse_args().repeats
    rows = []
    for solver, h in (("elements", 1e-3), ("curvature", 2e-3)):
        cost(1, swung(0.1), solver=solver, step=h)
        costs = [cost(repeats, swung(n * h), solver=solver, step=h) for n in STEPS]
        slope = growth(f"{solver}: cost over steps", STEPS, costs)
        rows.append((f"{solver}: slope of cost over steps", f"≤ {SLOPE:g}", f"{slope:.2f}", slope <= SLOPE))
        some = [allocated(solver, n, h) for n in (STEPS[0], STEPS[-1])]
        what = f"{solver}: allocations by kernels, {STEPS[0]} and {STEPS[-1]} steps"
        rows.append((what, "none", f"{some[0]} and {some[1]}", some == [0, 0]))
    costs = [cost(repeats, swung(0.2), solver="elements", elements=n, step=1e-3) for n in ELEMENTS]
    slope = growth("elements: cost over elements", ELEMENTS, costs)
    rows.append(("elements: slope of cost over elements", f"≤ {SLOPE:g}", f"{slope:.2f}", slope <= SLOPE))
    cold, warm = first_answers()
    for solver, seconds in warm.items():
        rows.append((f"{solver}: first answer, warm", f"≤ {WARM:g} s", f"{seconds:.2f} s", seconds <= WARM))
    rows.append(("both solvers: first answers, cold", f"≤ {COLD:g} s", f"{cold:.1f} s", cold <= COLD))
    print(f"\n{'':<56}{'asked':>10}{'measured':>14}")
    for what, asked, got, met in rows:
        print(f"{what:<56}{asked:>10}{got:>14}{'' if met else '  MISSED'}")
    return 0 if all(row[3] for row in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
