"""Shots of many runs at once, compiled, from the meetings that `batch.read_figures` reads.

The readable statement is `shot`, `blow` and `flight`; `tests/delivery/test_shot_batch.py` holds the two together.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import DOP853

from swingbeam.beam.errors import InputError

from . import batch_layout as at
from .blow import ContactLaw
from .flight import GRAVITY, TOLERANCE
from .shot import ShotSetting
from .shot_kernels import shoot

Array = NDArray[np.float64]

WORDS = (
    "",
    "the face moves away from the ball",
    "head and ball do not part: friction holds the ball against the face",
    "the ball is driven into the ground",
    "the flight does not end on the ground",
    "the ball was not struck",
)
"""What the codes say; the same as the readable way's."""


@cache
def _pair() -> tuple[Array, Array, Array, Array, Array]:
    """Coefficients of DOP853: all stages' rows, weights, errors of order 3 and 5, dense output."""
    stages = np.zeros((16, 16))
    stages[:12, :12] = DOP853.A
    stages[13:, :] = DOP853.A_EXTRA
    weights, third, fifth, dense = (
        np.ascontiguousarray(getattr(DOP853, name), dtype=np.float64) for name in ("B", "E3", "E5", "D")
    )
    return stages, weights, third, fifth, dense


def law_row(law: ContactLaw) -> Array:
    """(LAW_WIDTH,) how ball and face part, as numbers."""
    return np.array([law.restitution, law.fall, law.friction, law.tangential, law.at])


def air_row(setting: ShotSetting) -> Array:
    """(AIR_WIDTH,) what all balls and flights of a setting have in common, SI."""
    ball, air, aero = setting.ball, setting.air, setting.aerodynamics
    return np.concatenate(
        [
            [ball.mass, ball.radius, ball.inertia, air.density, air.viscosity],
            air.wind(left_handed=setting.left_handed),
            [aero.drag, aero.drag_spin, aero.drag_wave, aero.lift, aero.decay, GRAVITY, TOLERANCE],
        ]
    )


def read_shots(meetings: Array, setting: ShotSetting, laws: Array | None = None) -> tuple[Array, NDArray[np.int8]]:
    """Shots of k meetings. Releases the interpreter's lock.

    Parameters
    ----------
    meetings : (k, MEETING_WIDTH), of `batch.Readings`; a row of nan is a ball that was not struck
    setting : air, ball, aerodynamics, and the law of contact where `laws` does not state it
    laws : (k, LAW_WIDTH), rows of `law_row`; None: the setting's

    Returns
    -------
    shots : (k, 12) the figures of `shot.Shot` in their order, SI; nan where there is none
    codes : (k,) index into `WORDS`; 0: there is a shot

    Raises
    ------
    InputError
        Arrays whose shapes do not belong together.
    """
    k = meetings.shape[0]
    own = np.tile(law_row(setting.law), (k, 1)) if laws is None else laws
    if meetings.shape != (k, at.MEETING_WIDTH) or own.shape != (k, at.LAW_WIDTH):
        raise InputError(
            f"read_shots: meetings ({k}, {at.MEETING_WIDTH}) and laws ({k}, {at.LAW_WIDTH}) are needed; "
            f"found {meetings.shape} and {own.shape}"
        )
    shots, codes = np.full((k, at.SHOT_WIDTH), np.nan), np.zeros(k, dtype=np.int8)
    shoot(
        meetings,
        own,
        air_row(setting),
        _pair(),
        np.zeros((6, 3, 3)),
        np.zeros((6, 3)),
        np.zeros((10, 7)),
        np.zeros((16, 7)),
        np.zeros(5),
        shots,
        codes,
    )
    return shots, codes
