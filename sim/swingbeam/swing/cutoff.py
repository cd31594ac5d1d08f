"""Choose the cut-off frequencies of a recording from its own data.

Each frame of the downswing is predicted from all the others (leave-one-out cross-validation of the smoothed
path: Craven & Wahba 1978, Numer. Math. 31:377; for movement data Woltring 1986, Adv. Eng. Software 8:104). The
cut-off with the least error is the best for the poses themselves; accelerations, which bend the shaft, want a
lower one (Winter 2009, Biomechanics and Motor Control of Human Movement, ch. 3). So the lowest cut-off is taken
whose error is within one standard error of the least (the one-standard-error rule: Breiman, Friedman, Olshen &
Stone 1984, Classification and Regression Trees, ch. 3).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..beam.errors import InputError
from .pose_smoothing import CutOff, Grid, Poses, smooth_positions, smooth_rotations

Array = NDArray[np.float64]

LOWEST, HIGHEST = 5.0, 80.0
"""Hz between which a cut-off is looked for."""
STEPS_PER_OCTAVE = 6
SHARE_OF_RATE = 0.45
"""Of the frame rate that a cut-off may reach."""
CHOICE_SPAN = 0.3
"""s before impact, about a downswing, whose frames choose."""


@dataclass(frozen=True)
class Choice:
    """A cut-off, and where the error alone is least, Hz."""

    cutoff: CutOff
    least_error: CutOff


def candidates(spacing: float) -> Array:
    """(k,) Hz, increasing."""
    most = min(HIGHEST, SHARE_OF_RATE / spacing)
    count = int(np.floor(STEPS_PER_OCTAVE * np.log2(most / LOWEST) + 1e-9)) + 1
    return np.asarray(LOWEST * 2.0 ** (np.arange(count) / STEPS_PER_OCTAVE))


def choose_cutoff(grid: Grid, poses: Poses, impact: float) -> Choice:
    """Cut-offs for positions and rotations.

    Parameters
    ----------
    impact : s, in the time of the poses

    Raises
    ------
    InputError
        Too few frames in the downswing.
    """
    span = (poses.t > impact - CHOICE_SPAN) & (poses.t <= impact + 0.03)
    if np.sum(span) < 8:
        raise InputError(
            f"found {np.sum(span)} usable frames in the last {CHOICE_SPAN:g} s before impact; allowed: at least 8"
        )
    tried = candidates(poses.spacing)
    errors = np.empty((2, tried.size, int(np.sum(span))))
    path = None
    for k in range(tried.size - 1, -1, -1):
        points = smooth_positions(grid, poses.position, float(tried[k]))
        turns = smooth_rotations(grid, poses, float(tried[k]), start=path)
        path = turns.rotation
        # The rotations' equations are those of the positions but for terms of the turn between grid points.
        own = 1.0 - points.leverage_of(np.flatnonzero(span))[:, None]
        errors[0, k] = np.mean((points.miss[span] / own) ** 2, axis=1)
        errors[1, k] = np.mean((turns.miss[span] / own) ** 2, axis=1)
    lowest, best = zip(*(_one_standard_error(e) for e in errors), strict=True)
    return Choice(CutOff(*(float(tried[i]) for i in lowest)), CutOff(*(float(tried[i]) for i in best)))


def _one_standard_error(errors: Array) -> tuple[int, int]:
    """Of squared errors (k, n): the first candidate within one standard error of the least, and the least."""
    mean = errors.mean(axis=1)
    best = int(np.argmin(mean))
    limit = mean[best] + errors[best].std(ddof=1) / np.sqrt(errors.shape[1])
    return int(np.flatnonzero(mean <= limit)[0]), best
