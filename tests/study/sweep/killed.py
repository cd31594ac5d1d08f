"""A run of a toy in a process of its own, that a test kills: says when it is about to begin, and when it has ended."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from study.sweep.toys import Toy
from swingbeam.study.sweep import units
from swingbeam.study.sweep.run import run_study

CASES, BATCH, PAUSE = 240, 4, 0.002
"""About half a second of work: long enough to be killed in the middle of, short enough to be run fifty times."""
UNIT_SECONDS = 0.02
UNIT = round(UNIT_SECONDS / PAUSE)
"""Cases in the longest unit: a case takes its pause at least."""


LIMITS = {"face_angle_deg": 1.0}


def toy(log: Path | None = None) -> Toy:
    return Toy(count=CASES, batch=BATCH, pause=PAUSE, log=log, spot_cases=np.arange(3, 240, 40), spot_limits=LIMITS)


def main() -> None:
    target, log, workers = Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3])
    units.WANTED_SECONDS = UNIT_SECONDS
    print("begins", flush=True)
    run_study(toy(log), target, workers=workers, history="coarse", resume=True)
    print("ended", flush=True)


if __name__ == "__main__":
    main()
