"""What keeping a study costs: memory and time against the number of cases.

    python benchmarks/study_memory.py [--most 1000000] [--columns 90]

Each size is run by `run_study` in a process of its own, on cases that cost next to nothing: what is left is the store.
Peak memory is that of the whole process, Python and its libraries included. Processor time is of the whole run, the
cheap cases too; the last column is what share of two cores it is at the speed that is wanted of them. The time on the
clock is the disk's beside it, and of whatever else the machine does.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from swingbeam.study.sweep.problem import Input, Output, Rows
from swingbeam.study.sweep.run import run_study

SIZES = (1_000, 10_000, 100_000, 1_000_000)
SWINGS_A_SECOND, CORES = 8_000, 2
"""The speed wanted of so many cores, storage included."""
FAILED_SHARE = 0.01


class Cheap:
    """A study of figures that cost next to nothing."""

    name = "cheap"
    question = "what does keeping a case cost?"
    kind = "random"
    held = ""
    batch = 256
    seed = 1
    digest = "0" * 64
    curves: tuple[Output, ...] = ()
    files = (("cheap.toml", 'name = "cheap"\n'),)

    def __init__(self, count: int, columns: int) -> None:
        self.count = count
        self.inputs = tuple(Input(f"x{k}", f"x{k}", "m", 1.0, "an input") for k in range(6))
        self.outputs = tuple(Output(f"y{k}", "m", "a figure") for k in range(columns - 6))

    def values(self, cases: np.ndarray) -> np.ndarray:
        """(k, inputs)"""
        return np.asarray(cases, dtype=float)[:, None] * np.arange(1.0, 7.0)

    def sample(self, cases: np.ndarray) -> None:
        """No sensitivity plan."""

    def times(self, history: str) -> np.ndarray:
        """No curves."""
        return np.zeros(0)

    def prepare(self) -> None:
        """Nothing to prepare."""

    def evaluate(self, cases: np.ndarray, history: str = "none") -> Rows:
        """Noise that does not compress, of the case's number; one in a hundred fails, each with words of its own."""
        noise = np.sin(np.asarray(cases, dtype=float)[:, None] * (1.0 + np.arange(len(self.outputs))))
        failed = cases % round(1 / FAILED_SHARE) == 0
        noise[failed] = np.nan
        reasons = [
            f"no convergence at {case * 1e-6:.6f} s" if bad else "" for case, bad in zip(cases, failed, strict=True)
        ]
        return Rows(noise, np.where(failed, 2, 0).astype(np.int8), reasons)


def one(count: int, columns: int, folder: str) -> None:
    """Run one size and print what it took."""
    begun, used = time.perf_counter(), time.process_time()
    done = run_study(Cheap(count, columns), Path(folder) / "cheap.h5", workers=1)
    seconds, used = time.perf_counter() - begun, time.process_time() - used
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
    size = os.path.getsize(done.path)
    share = used / count / (CORES / SWINGS_A_SECOND)
    print(
        f"{count:>9,}  {peak / 1e6:>8.0f} MB  {size / 1e6:>8.1f} MB  {seconds:>8.2f} s  {used:>8.2f} s  "
        f"{1e6 * used / count:>8.1f} µs  {100 * share:>8.1f} %"
    )


def main() -> None:
    """All sizes, smallest first."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--most", type=int, default=SIZES[-1])
    parser.add_argument("--columns", type=int, default=90, help="inputs and outputs together")
    parser.add_argument("--one", nargs=2, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.one:
        one(int(given.one[0]), given.columns, given.one[1])
        return
    print(f"{given.columns} columns, no curves; one process")
    print("    cases  peak memory         file        time   processor       a case   its share at 8,000 swings/s")
    for count in (size for size in SIZES if size <= given.most):
        with tempfile.TemporaryDirectory() as folder:
            command = [sys.executable, __file__, "--columns", str(given.columns), "--one", str(count), folder]
            subprocess.run(command, check=True)


if __name__ == "__main__":
    main()
