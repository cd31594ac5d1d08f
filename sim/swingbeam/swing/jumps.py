"""Frames of a recording that jump away from the motion: found by predicting each from all the others."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .cutoff import candidates
from .pose_smoothing import Poses, make_grid, smooth_positions, smooth_rotations

JUMP = 8.0
"""A frame whose prediction from the others misses by so many usual misses is a jump, not noise."""
LEAST_JUMP = (5e-3, 0.05)
"""m and rad; smaller misses are no jumps, whatever the noise."""


def find_jumps(poses: Poses) -> NDArray[np.bool_]:
    """(n,) frames that jump.

    The others are joined by a path with the highest cut-off in use, so that no part of the motion is taken for a
    jump. A jump spoils its neighbours' predictions too: of a run of bad ones only the worst goes.

    Raises
    ------
    InputError
        Rotations that are not those of one smooth motion.
    """
    grid = make_grid(poses, float(poses.t[-1]))
    cutoff = float(candidates(poses.spacing)[-1])
    points = smooth_positions(grid, poses.position, cutoff)
    own = np.maximum(1.0 - points.leverage, 1e-6)
    misses = [
        np.linalg.norm(points.miss, axis=1) / own,
        np.linalg.norm(smooth_rotations(grid, poses, cutoff).miss, axis=1) / own,
    ]
    out = np.zeros(poses.t.size, dtype=bool)
    score = np.zeros(poses.t.size)
    for miss, least in zip(misses, LEAST_JUMP, strict=True):
        limit = max(JUMP * float(np.median(miss)), least)
        out |= miss > limit
        score = np.maximum(score, miss / limit)
    # The ends are predicted from one side only.
    out[:3] = out[-3:] = False
    worst = np.ones(out.size, dtype=bool)
    for lag in (1, 2, 3):
        worst[lag:] &= score[lag:] >= 0.8 * score[:-lag]
        worst[:-lag] &= score[:-lag] >= 0.8 * score[lag:]
    return out & worst
