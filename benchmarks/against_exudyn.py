"""What a swing costs here and in exudyn, a general flexible-multibody library, as ratios taken in one run.

    python benchmarks/against_exudyn.py [--repeats 3]

Processor time of one thread for the whole of a downswing, from the static shape to the last instant. Both get the
root's poses for nothing or nearly so: for exudyn they are looked up in a table made beforehand. The best of the
repeats counts. Errors are the largest over the course, of the tip against 64 elements in steps of .25 ms.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any, NamedTuple

import exudyn
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

from swing.golfers import reference
from swingbeam.beam import ElasticRoot, History, Motion, simulate
from swingbeam.swing.hands import MODES
from verification.exudyn_model import TipCourse, drive
from verification.motions import club_like, severe_swing
from verification.test_against_exudyn import finite

ALLOWED = (0.5e-3, 0.1)
"""m and deg: the error at which the cheapest setting of each is looked for."""


class Cost(NamedTuple):
    """A setting, what it takes and what it misses."""

    name: str
    seconds: float
    distance: float
    """m"""
    angle: float
    """deg"""


class TabledMotion:
    """The root's poses at the ends of exudyn's steps, looked up rather than evaluated."""

    def __init__(self, motion: Motion, step: float) -> None:
        self.start, self.end = motion.start, motion.end
        self.count = round((motion.end - motion.start) / step)
        self.states = motion.at(np.linspace(motion.start, motion.end, self.count + 1))

    def at(self, t: float) -> SimpleNamespace:
        """The pose at the nearest of the instants."""
        k = min(self.count, max(0, round((t - self.start) / (self.end - self.start) * self.count)))
        return SimpleNamespace(position=self.states.position[k : k + 1], rotation=self.states.rotation[k : k + 1])


def timed(run: Callable[[], Any], repeats: int) -> tuple[float, Any]:
    """Least processor time of a thread, s, and what came out."""
    least, result = np.inf, None
    for _ in range(repeats):
        begin = time.process_time()
        result = run()
        least = min(least, time.process_time() - begin)
    return float(least), result


def miss(course: TipCourse | History, truth: History) -> tuple[float, float]:
    """Largest distance, m, and angle, deg, of the tip from the finest run over the course."""
    if isinstance(course, History):
        course = TipCourse(course.t, course.tip_position_world, course.tip_rotation_world)
    seen = truth.at(np.clip(course.t, truth.t[0], truth.t[-1]))
    turn = np.swapaxes(seen.tip_rotation_world, 1, 2) @ course.rotation
    # Half the distance of two rotations is √2 sin of half their angle: good for small angles too.
    chord = np.linalg.norm(turn - np.eye(3), axis=(1, 2)) / (2 * np.sqrt(2.0))
    distance = np.linalg.norm(seen.tip_position_world - course.position, axis=1).max()
    return float(distance), float(np.degrees(2 * np.arcsin(chord)).max())


def costs(repeats: int) -> list[Cost]:
    """All settings on the severe swing, which starts from rest."""
    profile, body = club_like()
    profile, motion = finite(profile), severe_swing()
    truth = simulate(profile, body, motion, solver="elements", elements=64, step=2.5e-4)
    made = []
    for elements, step in ((8, 4e-3), (8, 2e-3), (16, 2e-3), (16, 1e-3), (32, 5e-4)):
        name = f"{elements} × {1e3 * step:g} ms"
        own = {"solver": "elements", "elements": elements, "step": step}
        # A run is some milliseconds: more repeats for the same patience.
        seconds, run = timed(lambda own=own: simulate(profile, body, motion, **own), 10 * repeats)
        made.append(Cost(f"elements {name}", seconds, *miss(run, truth)))
        if elements < 32:
            table = TabledMotion(motion, step)
            try:
                seconds, course = timed(lambda e=elements, h=step, m=table: drive(profile, body, m, e, h), repeats)
            except exudyn.SolverError:
                print(f"exudyn {name}: its Newton iteration does not converge")
                continue
            made.append(Cost(f"exudyn {name}", seconds, *miss(course, truth)))
    for step in (4e-3, 2e-3):
        seconds, run = timed(lambda h=step: simulate(profile, body, motion, step=h), 10 * repeats)
        made.append(Cost(f"curvature 4, 1 × {1e3 * step:g} ms", seconds, *miss(run, truth)))
    return made


def hands_cost(repeats: int) -> dict[str, float]:
    """Processor time of the starter driver's swing by hand mode and solver, over that of `vice`."""
    made = reference()
    club, ratios = made.club, {}
    for solver in ("elements", "curvature"):
        least = {}
        for mode, hands in MODES.items():
            couple = None if hands.is_held else made.record(solver)
            root = ElasticRoot(hands.stiffness, hands.damping, made.inertia, axes=made.axes, couple=couple)
            call = {"root": root, "solver": solver, "viscosity": club.viscosity}
            least[mode], _ = timed(lambda c=call: simulate(club.profile, club.tip, made.motion, **c), 5 * repeats)
        ratios |= {f"{solver}, {mode}": least[mode] / least["vice"] for mode in MODES if mode != "vice"}
    return ratios


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--repeats", type=int, default=3)
    repeats = parser.parse_args().repeats
    made = {cost.name: cost for cost in costs(repeats)}
    print(f"{'setting':<26}{'time':>10}{'distance':>12}{'angle':>10}")
    for cost in made.values():
        print(f"{cost.name:<26}{1e3 * cost.seconds:>7.1f} ms{1e3 * cost.distance:>9.3f} mm{cost.angle:>9.4f}°")
    same = made["exudyn 16 × 1 ms"].seconds
    print("\nTimes faster than exudyn with 16 elements in steps of 1 ms")
    print(f"  elements, same setting   {same / made['elements 16 × 1 ms'].seconds:7.0f}")
    print(f"  curvature, its default   {same / made['curvature 4, 1 × 2 ms'].seconds:7.0f}")
    good = [c for c in made.values() if c.distance <= ALLOWED[0] and c.angle <= ALLOWED[1]]
    cheapest = {
        kind: min((c for c in good if c.name.startswith(kind)), key=lambda c: c.seconds, default=None)
        for kind in ("exudyn", "elements", "curvature")
    }
    print(f"\nAt equal error, the cheapest above within {1e3 * ALLOWED[0]:g} mm and {ALLOWED[1]:g}°")
    for kind, cost in cheapest.items():
        if cost is None:
            print(f"  {kind}: none of these settings")
            continue
        other = cheapest["exudyn"]
        ratio = "" if other is None else f"{other.seconds / cost.seconds:7.0f} × exudyn's"
        print(f"  {cost.name:<24}{1e3 * cost.seconds:7.1f} ms {ratio}")
    print("\nCost of yielding hands over that of vice, the starter driver's whole swing")
    for name, ratio in hands_cost(repeats).items():
        print(f"  {name:<24}{ratio:7.2f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
