"""The figures a golfer can be matched to: what each is in a run of his reference club, and how well it is known."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swingbeam.delivery.presentation import closure_rate
from swingbeam.swing.aim import Shot
from swingbeam.swing.plan import DEGREE

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Figure:
    """One figure; SI.

    Attributes
    ----------
    key : as in a customer's file
    words : in tables
    unit : as people write it; "" for a plain number
    decimals : shown
    spread : standard deviation from shot to shot taken where none is stated (common practice, no source)
    instrument : standard deviation of what is wrong with every shot alike (common practice, no source)
    """

    key: str
    words: str
    unit: str
    decimals: int
    spread: float
    instrument: float


FIGURES = (
    Figure("head_speed", "head speed", "m/s", 2, 0.6, 0.2),
    Figure("attack", "attack (up +)", "deg", 2, 1.0 * DEGREE, 0.2 * DEGREE),
    Figure("path", "path (in-to-out +)", "deg", 2, 1.5 * DEGREE, 0.2 * DEGREE),
    Figure("face_angle", "face angle (open +)", "deg", 2, 1.8 * DEGREE, 0.2 * DEGREE),
    Figure("dynamic_loft", "dynamic loft", "deg", 2, 1.2 * DEGREE, 0.2 * DEGREE),
    Figure("closure", "closure (closing +)", "deg/s", 0, 150.0 * DEGREE, 50.0 * DEGREE),
    Figure("tempo", "tempo, backswing : downswing", "", 2, 0.12, 0.05),
    Figure("backswing", "backswing time", "s", 3, 0.03, 0.01),
    Figure("downswing", "downswing time", "s", 3, 0.008, 0.004),
    Figure("hand_speed", "hand speed", "m/s", 2, 0.2, 0.1),
    Figure("shaft_lean", "shaft lean (hands ahead +)", "deg", 2, 1.0 * DEGREE, 0.5 * DEGREE),
    Figure("strike_toe", "strike point, toe-ward", "mm", 1, 0.006, 0.001),
    Figure("strike_up", "strike point, up the face", "mm", 1, 0.006, 0.001),
)
BY_KEY = {f.key: f for f in FIGURES}
DELIVERED = ("face_angle", "dynamic_loft", "attack", "path", "head_speed")
"""In the order in which a swing is aimed."""
STRIKE = ("strike_toe", "strike_up")
"""Met by where the ball lies, whatever the swing."""


@dataclass(frozen=True)
class Known:
    """What is known of one figure of a golfer; SI.

    Attributes
    ----------
    value : mean over the shots
    spread : standard deviation from shot to shot
    shots : how many
    error : standard error of the mean, with the instrument's
    """

    value: float
    spread: float
    shots: int
    error: float


def known(key: str, value: float, spread: float | None, shots: int) -> Known:
    """A figure's mean with its standard error: √(spread²/shots + instrument²)."""
    figure = BY_KEY[key]
    from_shot = figure.spread if spread is None else spread
    return Known(value, from_shot, shots, math.hypot(from_shot / math.sqrt(shots), figure.instrument))


def figures_of(shot: Shot, normal: Array) -> Mapping[str, float]:
    """What a run of the reference club along its line shows at the planned impact, by key, SI.

    Parameters
    ----------
    normal : (3,) of the face at its centre, tip frame

    The shaft's lean is that of the straight line from the hold point to the hosel mouth, as seen from in front
    of the golfer. The downswing begins where the arms turn round.
    """
    got, line = shot.at_impact, shot.line
    row = shot.run.at(0.0)
    turn = row.tip_rotation_world[0]
    along = row.tip_position_world[0] - row.root_position[0]
    down, back = -line.top, line.plan.tempo.backswing
    return {
        "head_speed": got.head_speed,
        "attack": got.attack,
        "path": got.path,
        "face_angle": got.face_angle,
        "dynamic_loft": got.dynamic_loft,
        "closure": closure_rate(turn @ normal, turn @ row.tip_omega[0]),
        "tempo": back / down,
        "backswing": back,
        "downswing": down,
        "hand_speed": float(np.linalg.norm(row.root_velocity[0])),
        "shaft_lean": math.atan2(-along[0], -along[2]),
        "strike_toe": line.plan.target.strike_toe,
        "strike_up": line.plan.target.strike_up,
    }
