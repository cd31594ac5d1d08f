"""Face and loft against how a shaft's spine is set in the head: the swing's side of the spine test."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.bench.spine import with_spine
from swingbeam.club.build import Club, load_club
from swingbeam.files.base import parse_table
from swingbeam.files.club_file import ClubParts
from swingbeam.files.lookup import find
from swingbeam.shaft.shaft import cut

from .golfer import load_golfer
from .single import DEFAULT_BALL, DEFAULT_HANDS, DEFAULT_SOLVER

Array = NDArray[np.float64]

TURNS = 8
"""Settings over half a turn: a shaft turned by half a turn bends alike, and face and loft follow twice the angle."""


@dataclass(frozen=True, eq=False)
class SpineSwing:
    """One shaft swung with its spine set at several angles.

    Attributes
    ----------
    shaft : its label
    difference : (stiffest − softest EI)/mean EI
    angle : (k,) rad, of the stiff side about the shaft, from the target side toward the toe
    face, loft : (k,) rad at the face centre at impact, less those of the same shaft without a spine; nan where it did
        not strike the ball
    face_without, loft_without : rad, of the same shaft without a spine
    """

    shaft: str
    difference: float
    angle: Array
    face: Array
    loft: Array
    face_without: float
    loft_without: float


@dataclass(frozen=True, eq=False)
class SpineSwings:
    """Shafts swung by one golfer with their spines set at several angles."""

    golfer: str
    rows: tuple[SpineSwing, ...]


def set_spine(club: Club, difference: float, angle: float) -> Club:
    """The same club with its shaft's stiff side at an angle (rad about the shaft, from the target side to the toe).

    Raises
    ------
    InputError
        As `bench.spine.with_spine`.
    """
    shaft = with_spine(club.shaft, difference, angle)
    mouth = shaft.raw_length - club.tip_trim - club.insertion
    return replace(club, shaft=shaft, profile=cut(shaft, club.butt_trim + club.hold_point, mouth))


def face_against_spine(
    shafts: Sequence[str], swing: str | os.PathLike[str], *, difference: float | None = None, turns: int = TURNS
) -> SpineSwings:
    """Swing shafts in the golfer's reference head with their spines at `turns` angles over half a turn.

    Parameters
    ----------
    shafts : names or paths; none: the reference club's
    swing : name or path of a swing
    difference : of the spine, instead of the shafts' own

    Raises
    ------
    InputError
        A name that is not found, a shaft that has no spine where none is stated.
    SimulationError
        A club without a spine did not strike the ball.
    """
    path = Path(find("swing", swing))
    golfer = load_golfer(path)
    clubs = [golfer.club]
    if shafts:
        common = golfer.parts.model_copy(update={"label": None})
        clubs = [
            load_club(parse_table({"shaft": name}, ClubParts, source="options").over(common), beside=path)
            for name in shafts
        ]
    rows = []
    for club in clubs:
        own = club.shaft.spine
        size = difference if difference is not None else (0.0 if own is None else own.difference)
        if size == 0.0:
            raise InputError(f'{club.label}: found a shaft without a spine; allowed: one with, or --spine "3 %"')

        def impact(angle: float | None, club: Club = club, size: float = size) -> tuple[float, float]:
            wanted = set_spine(club, 0.0, 0.0) if angle is None else set_spine(club, size, angle)
            found = golfer.swing(wanted, DEFAULT_HANDS, DEFAULT_BALL, DEFAULT_SOLVER).impact
            return (math.nan, math.nan) if found is None else (found.face_angle, found.dynamic_loft)

        angle = np.arange(turns) * math.pi / turns
        face_without, loft_without = impact(None)
        if math.isnan(face_without):
            raise SimulationError(f"{club.label} does not strike the ball")
        face, loft = np.array([impact(float(a)) for a in angle]).T
        rows.append(
            SpineSwing(club.label, size, angle, face - face_without, loft - loft_without, face_without, loft_without)
        )
    return SpineSwings(golfer.reference.name, tuple(rows))
