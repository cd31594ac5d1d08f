"""How sure the figures of a recording are: its noise drawn again and again, and what smoothing itself takes away.

The noise is estimated from what smoothing leaves over, of position and rotation together (their errors are
related: markers that turn the club also move its hold point). Recordings are drawn from the smoothed motion and
that noise and go through the same smoothing (the parametric bootstrap: Efron & Tibshirani 1993, An Introduction
to the Bootstrap, ch. 6); the shaft is run on each. Smoothing the smoothed motion once more shows what smoothing
takes away (Tukey's twicing: Exploratory Data Analysis, 1977, ch. 16). A recording that begins with the club in
motion does not say how its shaft swings there: it is also begun later, and how far that moves a figure is added.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.beam.rotations import rotation_from_vector
from swingbeam.club.build import Club
from swingbeam.swing.pose_smoothing import Poses, read_rotations, smooth_positions
from swingbeam.swing.recorded_checks import starts_moving
from swingbeam.swing.recorded_swing import RecordedPlan, SmoothedRecording, smooth_recording

from .record_figures import FIGURES, read_figures

Array = NDArray[np.float64]

DRAWS = 40
LEAST_SHARE = 0.9
"""Of the draws that must have a figure for its bound to be stated."""
NORMAL_95 = 1.96
START_DELAYS = (0.05, 0.1)
"""s, a quarter and half of a clamped shaft's first period: of two starts one is at another phase of its swinging."""
LIKE_NEIGHBOURS = 0.5
"""Correlation of the misses of neighbouring frames above which a recording was probably smoothed before."""


@dataclass(frozen=True, eq=False)
class Noise:
    """Noise of one frame's pose.

    Attributes
    ----------
    covariance : (6, 6) of the hold point (m) and the rotation vector (rad), grip axes
    neighbours : correlation of the misses of neighbouring frames
    words : what to say about it
    """

    covariance: Array
    neighbours: float
    words: tuple[str, ...] = ()

    @property
    def position(self) -> float:
        """m, root mean square of one coordinate."""
        return float(np.sqrt(np.trace(self.covariance[:3, :3]) / 3.0))

    @property
    def rotation(self) -> float:
        """rad, root mean square about one axis."""
        return float(np.sqrt(np.trace(self.covariance[3:, 3:]) / 3.0))


def _leverages(smoothed: SmoothedRecording, poses: Poses) -> tuple[Array, Array]:
    turns = smooth_positions(smoothed.grid, poses.position, smoothed.cutoff.rotation).leverage
    return smoothed.points.leverage, turns


def noise_of(smoothed: SmoothedRecording, poses: Poses) -> Noise:
    """Noise from what smoothing leaves over, each part divided by the share of freedom that it leaves."""
    points, turns = _leverages(smoothed, poses)
    rotation = read_rotations(smoothed.grid, smoothed.turns.rotation)
    miss = np.concatenate(
        [
            np.einsum("nji,nj->ni", rotation, smoothed.points.miss) / np.sqrt(1.0 - points.mean()),
            smoothed.turns.miss / np.sqrt(1.0 - turns.mean()),
        ],
        axis=1,
    )
    covariance = miss.T @ miss / len(miss)
    covariance[np.diag_indices(6)] += 1e-18  # a recording without noise has a covariance too
    scaled = miss / np.sqrt(np.diag(covariance))
    neighbours = float(np.sum(scaled[1:] * scaled[:-1]) / np.sum(scaled**2))
    words: tuple[str, ...] = ()
    if neighbours > LIKE_NEIGHBOURS:
        words = (
            f"misses of neighbouring frames are alike (correlation {neighbours:.2f}): the data were smoothed before, "
            "or the cut-off is too low; the bounds are then too narrow",
        )
    return Noise(covariance, neighbours, words)


def bounds_of(
    smoothed: SmoothedRecording,
    poses: Poses,
    club: Club,
    figures: Mapping[str, float | None],
    noise: Noise,
    *,
    seed: int,
    draws: int = DRAWS,
) -> Mapping[str, float | None]:
    """± of each figure, SI, for 95 % of recordings like this; None where too many draws lack the figure, or without
    draws.

    The larger of 1.96 standard deviations and the 95 % point of the draws' distances from the figure; on top what
    smoothing takes away, and what a start in motion may do.
    """
    if draws == 0:
        return dict.fromkeys(FIGURES)
    base = read_figures(smoothed.plan, club)
    drawn = [read_figures(plan, club) for plan in _drawn_plans(smoothed, poses, noise, seed, draws)]
    again = [_smoothed_again(smoothed, poses, club)]
    if starts_moving(smoothed.plan, club):
        again += [read_figures(_later(smoothed.plan, delay), club) for delay in START_DELAYS]
    bounds: dict[str, float | None] = {}
    for key in FIGURES:
        centre = base[key]
        values = np.array([value for value in (figure[key] for figure in drawn) if value is not None])
        if centre is None or figures[key] is None or values.size < LEAST_SHARE * draws:
            bounds[key] = None
            continue
        spread = max(NORMAL_95 * float(values.std(ddof=1)), float(np.quantile(np.abs(values - centre), 0.95)))
        others = [figure[key] for figure in again]
        moved = [abs(value - centre) for value in others if value is not None]
        bounds[key] = spread + sum(moved) if len(moved) == len(others) else None
    return bounds


def _drawn_plans(smoothed: SmoothedRecording, poses: Poses, noise: Noise, seed: int, draws: int) -> list[RecordedPlan]:
    rng = np.random.default_rng(seed)
    root = np.linalg.cholesky(noise.covariance)
    rotation = read_rotations(smoothed.grid, smoothed.turns.rotation)
    plan, keep, plans = smoothed.plan, smoothed.keep, []
    for _ in range(draws):
        error = rng.standard_normal((poses.t.size, 6)) @ root.T
        # Noise is small against a turn between grid points: the first order of the smoothed path's answer will do.
        moved = smoothed.points.respond(np.einsum("nij,nj->ni", rotation, error[:, :3]))[keep]
        turned = smoothed.turns.respond(error[:, 3:])[keep]
        plans.append(
            replace(plan, position=plan.position + moved, rotation=plan.rotation @ rotation_from_vector(turned))
        )
    return plans


def _later(plan: RecordedPlan, delay: float) -> RecordedPlan:
    keep = plan.t >= plan.t[0] + delay
    return replace(plan, t=plan.t[keep], position=plan.position[keep], rotation=plan.rotation[keep])


def _smoothed_again(smoothed: SmoothedRecording, poses: Poses, club: Club) -> Mapping[str, float | None]:
    own = Poses(
        poses.t,
        smoothed.grid.reading @ smoothed.points.position,
        read_rotations(smoothed.grid, smoothed.turns.rotation),
    )
    try:
        return read_figures(smooth_recording(smoothed.plan.name, own, smoothed.impact, smoothed.cutoff).plan, club)
    except (InputError, SimulationError):
        return dict.fromkeys(FIGURES)
