"""The curves of one club as CSV, for spreadsheets."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np

from swingbeam.files.safe_write import write_new
from swingbeam.study.quantities import CURVES
from swingbeam.study.result import ClubRun


def write_curves(run: ClubRun, path: str | os.PathLike[str]) -> Path:
    """Write time to impact (ms) and the curves of a club, one row an instant, to a new CSV file.

    A club that never reached the ball gives the heads only.

    Raises
    ------
    InputError
        The file exists already, or cannot be written; then nothing is written.
    """
    heads = ["time_ms", *(q.key.removeprefix("curve_") for q in CURVES)]
    lines = [",".join(heads)]
    if run.curves is not None:
        columns = [1e3 * run.curves.t, *(q.scale * getattr(run.curves, q.attribute) for q in CURVES)]
        lines += [",".join(f"{value:.9g}" for value in row) for row in np.column_stack(columns)]
    return write_new(path, "\n".join(lines) + "\n")
