"""How far a shot can be trusted, and a difference of two shots: every doubt is carried through the equations.

A doubt is a number of the model that is not known better than its 1σ. The error of a figure is what it moves
when each doubt in turn is moved by its 1σ, together as the root of the sum of squares. For the *difference*
of two clubs the same doubt is moved for both at once, because it is one ball, one kind of face, one air: what
both share drops out by itself, and what does not (drag acts on a longer flight, the blow lasts on two heads)
stays. Nothing is assumed about how much is shared. The shaft's part in the blow is moved with each shaft's own
mass, so that only what differs is left. What is not common adds on top: the solver's own error of each club.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from .blow import Blow, ContactLaw
from .meeting import DeliveryChange, Meeting, changed
from .shot import FIGURES, Shot, ShotSetting, blow_of, shot_after, shot_of, with_law

Array = NDArray[np.float64]

CONTACT_TIME = 0.45e-3
"""s that ball and face touch (Cochran & Stobbs 1968, The Search for the Perfect Swing; from memory)."""


@dataclass(frozen=True)
class Doubt:
    """A number that is not known better.

    Attributes
    ----------
    name, source : in words
    size : 1σ in the unit that `name` says
    """

    name: str
    size: float
    source: str


DOUBTS = (
    Doubt("normal restitution", 0.01, "spread between balls of one kind; common practice, no source"),
    Doubt("fall of restitution with speed, s/m", 0.001, "a third of Penner's 0.0029; no source for the share"),
    Doubt("tangential restitution", 0.1, "0 is rolling; a few tenths at low speed in Cross 2002; from memory"),
    Doubt("friction", 0.1, "0.3 to 0.5 of dry faces; common practice, no source"),
    Doubt("inertia of the ball over m R²", 0.01, "0.4 is an even sphere, layered balls differ; no source"),
    Doubt("turn of the head while the ball is on the face", 0.5, "share of the contact it acts; derived"),
    Doubt("mass of the shaft that goes along, over its bound", 0.5, "half of the bound of shaft_part; derived"),
    Doubt("drag", 0.06, "balls since the tunnel tests of 1994 against driving distance; derived, docs/flight.md"),
    Doubt("lift", 0.10, "0.04 of 0.2 to 0.3 between two tunnels: Smits & Smith 1994 and Bearman & Harvey 1976"),
    Doubt("spin decay", 0.25, "no second source agrees better; no source"),
)
"""What blow and flight rest on. Drag, lift and decay are shares."""

SOLVER = DeliveryChange(
    face_angle=math.radians(0.03),
    dynamic_loft=math.radians(0.03),
    path=math.radians(0.02),
    attack=math.radians(0.02),
    speed=0.02 / 45.0,
    strike_toe=0.2e-3,
    strike_up=0.2e-3,
)
"""1σ of a delivery from the solver: what the two solvers differ by at their default steps (docs/validation.md),
rounded up. Each club has its own."""

REPEATABILITY = DeliveryChange(
    face_angle=math.radians(1.5),
    dynamic_loft=math.radians(1.0),
    path=math.radians(1.5),
    attack=math.radians(1.0),
    speed=0.01,
    strike_toe=8e-3,
    strike_up=6e-3,
)
"""1σ of a golfer's delivery from swing to swing where nothing else is stated: an able club golfer with a driver.
Common practice, no source. The seven are taken to be independent."""


@dataclass(frozen=True, eq=False)
class Doubted:
    """A shot with what moves it.

    Attributes
    ----------
    shot : Shot
    moved : (doubts, figures) change of every figure by 1σ of each of `DOUBTS`
    slopes : (7, figures) change of every figure by the repeatability of each figure of delivery, its odd part
    bends : (7, figures) the even part of the same: a strike off the middle loses speed on either side
    repeatability : the 1σ of delivery behind `slopes`
    """

    shot: Shot
    moved: Array
    slopes: Array
    bends: Array
    repeatability: DeliveryChange


@dataclass(frozen=True)
class LandingSpread:
    """Where one golfer's balls come down from swing to swing: an ellipse about the landing; SI.

    Attributes
    ----------
    carry, side : m, 1σ
    correlation : −1 … 1
    mean_carry, mean_side : m, by how much the middle of the ellipse lies from the shot without any error
    """

    carry: float
    side: float
    correlation: float
    mean_carry: float
    mean_side: float

    @property
    def covariance(self) -> Array:
        """(2, 2) m², carry and side."""
        across = self.correlation * self.carry * self.side
        return np.array([[self.carry**2, across], [across, self.side**2]])


def shaft_part(ei: float, mass_per_length: float, time: float = CONTACT_TIME) -> float:
    """A bound on the mass of the shaft that goes along with the head during the blow, kg.

    Parameters
    ----------
    ei : N·m², bending stiffness at the tip; mass_per_length : kg/m, there
    time : s, length of the blow

    Notes
    -----
    The tip of a long beam (EI w⁗ + ρA ẅ = 0) that is given the velocity V at once, its slope held, resists with
    F = 4 EI b³ V/√(πt), b = (ρA/4EI)^¼ (by Laplace transform: w = e^(−βx)(cos βx + sin βx) V/s², β⁴ = ρA s²/4EI);
    its impulse over the blow is 8 EI b³ V √(t/π), and over V that is a mass. It is a bound: a head that turns
    holds the slope less (half as much if the slope is free), and slows over the whole blow, not at once.
    """
    b = (mass_per_length / (4.0 * ei)) ** 0.25
    return 8.0 * ei * b**3 * math.sqrt(time / math.pi)


def doubted(
    meeting: Meeting, setting: ShotSetting, shaft_mass: float, repeatability: DeliveryChange = REPEATABILITY
) -> Doubted:
    """A shot, moved by every doubt and by every figure of delivery.

    Parameters
    ----------
    shaft_mass : kg, `shaft_part` of the club's shaft at its tip

    Raises
    ------
    SimulationError
        As of `shot_of`, of the shot itself or of one that was moved.
    """
    blow = blow_of(meeting, setting)
    shot = shot_after(blow, meeting, setting)
    base = shot.array()
    moved = [move(meeting, setting, blow, shaft_mass).array() - base for move in _moves()]
    slopes, bends = [], []
    for f in fields(repeatability):
        size = getattr(repeatability, f.name)
        step = replace(DeliveryChange(), **{f.name: size})
        ahead, behind = changed(meeting, step), changed(meeting, replace(step, **{f.name: -size}))
        more, less = shot_of(ahead, setting).array(), shot_of(behind, setting).array()
        slopes.append(0.5 * (more - less))
        bends.append(0.5 * (more + less) - base)
    return Doubted(shot, np.array(moved), np.array(slopes), np.array(bends), repeatability)


Move = Callable[[Meeting, ShotSetting, Blow, float], Shot]


def _moves() -> list[Move]:
    """What moves a shot by 1σ of each of `DOUBTS`, in their order."""
    size = [doubt.size for doubt in DOUBTS]

    def law(**changes: Callable[[ContactLaw], float]) -> Move:
        def move(meeting: Meeting, setting: ShotSetting, _blow: Blow, _mass: float) -> Shot:
            values = {key: value(setting.law) for key, value in changes.items()}
            return shot_of(meeting, with_law(setting, **values))

        return move

    def heavier_core(meeting: Meeting, setting: ShotSetting, _blow: Blow, _mass: float) -> Shot:
        ball = replace(setting.ball, inertia_factor=setting.ball.inertia_factor - size[4])
        return shot_of(meeting, replace(setting, ball=ball))

    def turning(meeting: Meeting, setting: ShotSetting, blow: Blow, _mass: float) -> Shot:
        mean = 0.5 * (meeting.head.omega + blow.head_omega)
        turned = replace(meeting, head=meeting.head.turned(size[5] * CONTACT_TIME * mean))
        return shot_of(turned, setting)

    def with_shaft(meeting: Meeting, setting: ShotSetting, _blow: Blow, mass: float) -> Shot:
        head = meeting.head.with_mass_at(meeting.hosel, size[6] * mass)
        return shot_of(replace(meeting, head=head), setting)

    def air(**shares: float) -> Move:
        def move(meeting: Meeting, setting: ShotSetting, blow: Blow, _mass: float) -> Shot:
            usual = setting.aerodynamics
            other = replace(usual, **{key: getattr(usual, key) * (1.0 + share) for key, share in shares.items()})
            return shot_after(blow, meeting, replace(setting, aerodynamics=other))

        return move

    return [
        law(restitution=lambda usual: usual.restitution + size[0]),
        law(fall=lambda usual: usual.fall + size[1]),
        law(tangential=lambda usual: usual.tangential + size[2]),
        law(friction=lambda usual: usual.friction - size[3]),
        heavier_core,
        turning,
        with_shaft,
        air(drag=size[7], drag_spin=size[7], drag_wave=size[7]),
        air(lift=size[8]),
        air(decay=size[9]),
    ]


def _solver_error(shot: Doubted) -> Array:
    """(figures,) 1σ from the solver: its share of the repeatability that `slopes` were taken with."""
    shares = [getattr(SOLVER, f.name) / getattr(shot.repeatability, f.name) for f in fields(SOLVER)]
    return np.linalg.norm(np.array(shares)[:, None] * shot.slopes, axis=0)


def error_of(shot: Doubted) -> Shot:
    """1σ of every figure of a shot."""
    own = _solver_error(shot)
    return Shot(*(float(v) for v in np.hypot(np.linalg.norm(shot.moved, axis=0), own)))


def error_of_change(shot: Doubted, reference: Doubted) -> Shot:
    """1σ of every figure's change against the reference club's shot."""
    common = np.linalg.norm(shot.moved - reference.moved, axis=0)
    own = np.hypot(_solver_error(shot), _solver_error(reference))
    return Shot(*(float(v) for v in np.hypot(common, own)))


def landing_spread(shot: Doubted) -> LandingSpread:
    """The swing-to-swing ellipse of a shot, to second order in each figure of delivery.

    For a normal x of 1σ, s x + b x² has the mean b and the variance s² + 2 b²; likewise for two such figures.
    """
    at = [FIGURES.index("carry"), FIGURES.index("side")]
    slopes, bends = shot.slopes[:, at], shot.bends[:, at]
    covariance = slopes.T @ slopes + 2.0 * bends.T @ bends
    along, across = math.sqrt(covariance[0, 0]), math.sqrt(covariance[1, 1])
    both = along * across
    correlation = float(covariance[0, 1]) / both if both > 0.0 else 0.0
    mean = bends.sum(axis=0)
    return LandingSpread(along, across, correlation, float(mean[0]), float(mean[1]))
