"""How long the command line takes to answer, and what a swing costs. Run by hand; a smoke run in CI.

.venv/bin/python benchmarks/rank_speed.py            warm figures
.venv/bin/python benchmarks/rank_speed.py --cold     also a first-ever run with an empty kernel cache
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def timed(arguments: list[str], **extra: str) -> float:
    """Wall time of the command line, s; its output is thrown away, a failure is not."""
    environment = {**os.environ, **extra}
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "swingbeam.cli", *arguments],
        cwd=ROOT,
        env=environment,
        check=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    return time.perf_counter() - start


def rank_arguments(folder: str, count: list[int]) -> list[str]:
    count[0] += 1
    return ["rank", "scenarios/first_fitting.toml", "--output", f"{folder}/run{count[0]}.h5"]


def swing_costs() -> None:
    """Cost of one swing of the starter driver held on its reference motion, by solver, step and mesh."""
    from swingbeam.files.lookup import find
    from swingbeam.study.golfer import load_golfer
    from swingbeam.swing import hands_named, run_club

    golfer = load_golfer(find("swing", "even"))

    def cost(hands: str, **options: object) -> float:
        times = []
        for _ in range(4):
            start = time.perf_counter()
            run_club(golfer.club, golfer.reference, hands_named(hands), **options)  # type: ignore[arg-type]
            times.append(time.perf_counter() - start)
        return statistics.median(times[1:])

    print("\ncost of one whole swing, backswing included (median of 3, ms)")
    for solver in ("curvature", "elements"):
        vice, hold = (cost(hands, solver=solver) for hands in ("vice", "hold"))
        print(f"  {solver:10} vice {1e3 * vice:7.1f}   hold {1e3 * hold:7.1f}   hold/vice {hold / vice:.2f}")


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cold", action="store_true", help="also time a first-ever run")
    options = parser.parse_args()
    count = [0]
    with tempfile.TemporaryDirectory() as folder:
        if options.cold:
            cold = timed(rank_arguments(folder, count), SWINGBEAM_CACHE_DIR=f"{folder}/cache")
            print(f"first-ever rank of a dozen shafts, compiling: {cold:6.2f} s")
        timed(rank_arguments(folder, count))
        help_times = [timed(["--help"]) for _ in range(5)]
        rank_times = [timed(rank_arguments(folder, count)) for _ in range(3)]
    print(f"--help:                                       {statistics.median(help_times):6.2f} s (median of 5)")
    print(f"rank of a dozen shafts, warm, whole process:  {statistics.median(rank_times):6.2f} s (median of 3)")
    swing_costs()


if __name__ == "__main__":
    main()
