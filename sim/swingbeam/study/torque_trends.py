"""Trends of a torque-driven golfer beside those of the hands: the same clubs, the same golfer, the same reading.

The reference club's run by torque (`swing.torque_golfer`) is made the reference of the hands
(`swing.torque_aim.reference_of`); then one thing of the club is changed in steps and every club is swung by
torque and under the hands. Each is read when its own face centre comes to where, along the target line, the
reference club's meets the ball: a golfer who gets used to a club meets the ball with its middle.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from swingbeam.beam import History
from swingbeam.beam.errors import SimulationError
from swingbeam.club.build import Club
from swingbeam.club.face import Face
from swingbeam.club.held import rebuilt
from swingbeam.delivery.presentation import present
from swingbeam.delivery.unload import bend_direction, unload
from swingbeam.shaft.shaft import scale
from swingbeam.swing.ball import ball_at_face_centre
from swingbeam.swing.hands import Hands
from swingbeam.swing.reference import Reference, run_club
from swingbeam.swing.torque_aim import TorqueShot, reference_of
from swingbeam.swing.torque_golfer import TorqueGolfer, swing_by_torque

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Figure:
    """A figure of a run as people read it, and how small a change of it is called none."""

    name: str
    unit: str
    least: float


FIGURES = (
    Figure("lag", "cm", 0.02),
    Figure("lead", "cm", 0.02),
    Figure("droop", "cm", 0.02),
    Figure("dynamic loft", "deg", 0.02),
    Figure("face angle", "deg", 0.02),
    Figure("half-unload", "ms", 0.1),
    Figure("head speed", "m/s", 0.02),
)
"""Lag is the deepest in-plane bend of the downswing, positive; the others are at impact, signs of DEVELOPERS.md.
`least`: what is left of a figure by the solver's default step and its reading, rounded up."""


@dataclass(frozen=True)
class Change:
    """One thing of a club changed in steps, the middle one the reference."""

    name: str
    unit: str
    steps: tuple[float, ...]
    make: Callable[[Club, float], Club]


def _stiffer(club: Club, factor: float) -> Club:
    return rebuilt(club, scale(club.shaft, ei=factor), club.head)


def _torque_stiffer(club: Club, factor: float) -> Club:
    return rebuilt(club, scale(club.shaft, gj=factor), club.head)


def _rearward(club: Club, distance: float) -> Club:
    moved = club.head.cg - np.array([0.0, 1e-3 * distance, 0.0])
    return rebuilt(club, club.shaft, replace(club.head, cg=moved))


def _heavier(club: Club, factor: float) -> Club:
    heavier = replace(club.shaft, mass_per_length=factor * club.shaft.mass_per_length)
    return rebuilt(club, heavier, club.head)


CHANGES = (
    Change("EI", "×", (0.7, 0.85, 1.0, 1.2, 1.5), _stiffer),
    Change("GJ", "×", (0.6, 0.8, 1.0, 1.25, 1.6), _torque_stiffer),
    Change("head CG rearward", "mm", (-10.0, -5.0, 0.0, 5.0, 10.0), _rearward),
    Change("shaft weight", "×", (0.7, 0.85, 1.0, 1.15, 1.3), _heavier),
)


@dataclass(frozen=True)
class Frame:
    """What a run is read against."""

    normal: Array
    top: float
    """s"""
    planned: float
    """s"""
    line: float
    """m along the target line, where the reference's face centre meets the ball"""


def read_figures(run: History, face: Face, frame: Frame) -> Array:
    """(7,) `FIGURES` of a run at its own impact; nan where there is none.

    Raises
    ------
    SimulationError
        The face does not come to the ball.
    """
    t = arrival(run, face, frame)
    found = unload(run, frame.normal, t, frame.top, frame.planned - frame.top)
    direction = bend_direction(frame.normal, run.at(t).motion_rotation)[0]
    at = present(run, face, ball_at_face_centre(run, face, t), t, frame.planned, direction)
    lag = 0.0 if found.lag_peak is None else -100.0 * found.lag_peak
    half = np.nan if found.half is None else 1e3 * found.half
    degrees = np.degrees([at.dynamic_loft, at.face_angle])
    return np.array([lag, 100.0 * at.lead, 100.0 * at.droop, *degrees, half, at.head_speed])


def arrival(run: History, face: Face, frame: Frame) -> float:
    """When the face centre comes to the ball's place along the target line, moving toward the target, s.

    Raises
    ------
    SimulationError
        It does not.
    """

    def ahead(t: float) -> float:
        return float(run.at(t).point_position(face.centre)[0, 0]) - frame.line

    late = np.flatnonzero(run.t > frame.planned - 0.4 * (frame.planned - frame.top))
    place = run.point_position(face.centre)[late, 0] - frame.line
    rising = np.flatnonzero((place[:-1] <= 0.0) & (place[1:] > 0.0))
    if not rising.size:
        raise SimulationError("the face does not come to the ball")
    i = late[rising[0]]
    return float(brentq(ahead, run.t[i], run.t[i + 1], xtol=1e-12))


@dataclass(frozen=True, eq=False)
class Judge:
    """A torque golfer with his own club, and the reference of hands his run makes."""

    golfer: TorqueGolfer
    club: Club
    shot: TorqueShot
    reference: Reference

    @classmethod
    def of(cls, shot: TorqueShot, club: Club) -> Judge:
        """From an aimed shot (`swing.torque_aim.aim_torques`)."""
        return cls(shot.golfer, club, shot, reference_of(shot, club))

    def by_torque(self, club: Club) -> Array:
        """Figures of a club swung with the golfer's torques."""
        own = self.shot.run.at(self.shot.impact).point_position(self.club.face.centre)[0, 0]
        frame = Frame(self.golfer.normal, 0.0, self.shot.impact, float(own))
        return read_figures(swing_by_torque(self.golfer, club), club.face, frame)

    def by_hands(self, club: Club, hands: Hands) -> Array:
        """Figures of a club swung under hands that have learnt the golfer's run of his own club."""
        reference = self.reference
        own = reference.record().at(0.0).point_position(self.club.face.centre)[0, 0]
        frame = Frame(reference.normal, reference.top, 0.0, float(own))
        return read_figures(run_club(club, reference, hands), club.face, frame)


@dataclass(frozen=True, eq=False)
class Trends:
    """Figures over the steps of one change: (steps, figures), by torque and under each kind of hands."""

    change: Change
    torque: Array
    hands: Mapping[str, Array]


def trends(judge: Judge, change: Change, modes: Sequence[Hands], steps: Sequence[float] | None = None) -> Trends:
    """Swing the golfer's club with one thing changed.

    Parameters
    ----------
    steps : some of the change's own; None: all

    Raises
    ------
    SimulationError
        A run could not be finished, or does not come to the ball.
    """
    clubs = [change.make(judge.club, step) for step in (change.steps if steps is None else steps)]
    torque = np.array([judge.by_torque(club) for club in clubs])
    return Trends(change, torque, {m.name: np.array([judge.by_hands(club, m) for club in clubs]) for m in modes})


@dataclass(frozen=True)
class Verdict:
    """A trend under the hands against the one by torque."""

    torque: str
    """ "rises", "falls", "turns" or "flat" """
    hands: str
    agrees: bool
    """Same word"""
    rank: float
    """Kendall's τ of the values over the steps, −1 … 1; nan when either is flat"""
    ratio: float
    """Change from first to last step over that by torque; nan when that is flat"""


def word(values: Array, least: float) -> str:
    """Whether values (k,) rise, fall, turn, or are flat: move less than `least` in all."""
    if not np.all(np.isfinite(values)):
        return "missing"
    if np.ptp(values) < least:
        return "flat"
    steps = np.diff(values)
    if np.all(steps > -0.1 * least) and values[-1] > values[0]:
        return "rises"
    return "falls" if np.all(steps < 0.1 * least) and values[-1] < values[0] else "turns"


def compare(torque: Array, hands: Array, least: float) -> Verdict:
    """One figure over the steps, (k,) by torque and (k,) under hands."""
    own, other = word(torque, least), word(hands, least)
    rank = ratio = np.nan
    if "flat" not in (own, other) and "missing" not in (own, other):
        pairs = np.triu_indices(torque.size, 1)
        first = np.sign(np.subtract.outer(torque, torque)[pairs])
        rank = float(np.mean(first * np.sign(np.subtract.outer(hands, hands)[pairs])))
    if own not in ("flat", "missing") and abs(torque[-1] - torque[0]) >= least:
        ratio = float((hands[-1] - hands[0]) / (torque[-1] - torque[0]))
    return Verdict(own, other, own == other, rank, ratio)
