"""Hand-made runs: a rigid tip at constant velocity and spin, the root at rest."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from swingbeam.beam.history import (
    BEND_ENERGY,
    ROW_LENGTH,
    TIP_OMEGA,
    TIP_POSITION,
    TIP_ROTATION,
    TIP_VELOCITY,
    TWIST_ENERGY,
    History,
)
from swingbeam.beam.model import TipBody
from swingbeam.beam.motion import Motion
from swingbeam.beam.root import RootPath
from swingbeam.beam.rotations import rotation_from_vector

GRAVITY = np.array([0.0, 0.0, -9.80665])


@dataclass(frozen=True)
class PlainFace:
    """A face for tests: square and flat unless said otherwise, its axes those of the tip frame."""

    centre: np.ndarray = field(default_factory=lambda: np.zeros(3))
    normal: np.ndarray = field(default_factory=lambda: np.array([1.0, 0.0, 0.0]))
    toe: np.ndarray = field(default_factory=lambda: np.array([0.0, -1.0, 0.0]))
    up: np.ndarray = field(default_factory=lambda: np.array([0.0, 0.0, 1.0]))
    bulge_curvature: float = 0.0
    roll_curvature: float = 0.0
    half_width: float = 0.06
    half_height: float = 0.04


def flight(
    *,
    velocity,
    start=(0.0, 0.0, 0.0),
    rotation=None,
    omega=(0.0, 0.0, 0.0),
    duration=0.02,
    step=2e-3,
    offset=(0.0, 0.0, 0.0),
    root_rotation=None,
    energy=(0.0, 0.0),
):
    """A History of a tip flying at `velocity` (3,) m/s and spinning at `omega` (3,) rad/s in the world."""
    t = np.linspace(0.0, duration, round(duration / step) + 1)
    first = np.eye(3) if rotation is None else np.asarray(rotation, float)
    turn = rotation_from_vector(t[:, None] * np.asarray(omega, float)) @ first
    rows = np.zeros((t.size, ROW_LENGTH))
    rows[:, TIP_POSITION] = np.asarray(start, float) + t[:, None] * np.asarray(velocity, float)
    rows[:, TIP_VELOCITY] = velocity
    rows[:, TIP_ROTATION] = turn.reshape(-1, 9)
    rows[:, TIP_OMEGA] = np.einsum("nji,j->ni", turn, np.asarray(omega, float))
    rows[:, BEND_ENERGY], rows[:, TWIST_ENERGY] = energy
    path = RootPath(Motion.still(duration, (0.0, 0.0, 1.0), root_rotation), None, GRAVITY)
    tip = TipBody(0.2, np.asarray(offset, float), np.diag([3e-4, 4e-4, 3e-4]))
    return History(t, rows, path, tip, "elements", step, t, np.zeros((t.size, 3)))
