"""A golfer who swings by torques: arms about a hub, wrists and forearms, with the flexible club in one system.

The arms turn about the hub in an inclined plane, the club hinges in that plane at the hands, and the forearms
roll it about its shaft. Each joint has its own torques (`effort`); a holding torque that fades as the downswing
begins, soft ends of its range, and a limit of strength. The chain of joints and the shaft are solved together
(`beam.DrivenChain`): no motion of the grip is prescribed. It is a model by itself, made to judge the hands of
`hands` with, and it uses nothing of `line`.

Angles (rad): arms from straight down the plane, toward the target positive; hinge of the club against the arms,
behind them negative; roll open positive. Time starts with the downswing, at the top, where everything rests.

Arms as one rigid link about a hub, wrists and forearms as hinges: as in Sprigings & Mackenzie 2002 (Sports
Engineering 5:23) and MacKenzie & Sprigings 2009 (Sports Engineering 12:13), less the torso.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ..beam import ChainHistory, Drive, DrivenChain, History, Joint, Motion, Stops, holding_torques, simulate
from ..beam.errors import InputError, SimulationError
from ..club.build import Club
from .effort import Effort
from .plan import DEGREE, Target
from .reference import scaled_viscosity
from .smooth import rise, smooth_step

Array = NDArray[np.float64]

LONGEST_DOWNSWING = 0.6
"""s; a golfer who has not come to the ball by then is given up."""
PAST_BALL = 1.0
"""rad past straight down the plane that the club is followed to."""
HANDS_MASS = 0.8
"""kg of both hands at the grip: from memory, .6 % of a body of 70 kg each."""


@dataclass(frozen=True)
class ArmsAndHub:
    """What the arms are and where they turn."""

    plane: float = 50.0 * DEGREE
    """Of the swing plane from the ground, rad"""
    radius: float = 0.65
    """Hub to hold point, m"""
    inertia: float = 1.15
    """About the hub, kg·m²"""
    moment: float = 2.2
    """Mass times distance of the centre of gravity from the hub, kg·m"""
    mass: float = 7.0
    """kg"""
    shift: float = 0.0
    """Of the hub toward the target in the first `travel` s, m"""
    lift: float = 0.0
    """Of the hub off the ground in the second half of `travel`, m"""
    travel: float = 0.3
    """s"""


@dataclass(frozen=True)
class HingeRange:
    """How far the wrists let the club hinge."""

    behind: float = -100.0 * DEGREE
    """Where the club is at the top, rad; the soft end of the range"""
    stiffness: float = 200.0
    """N·m/rad past that end"""
    damping: float = 4.0
    """N·m·s/rad while they press"""
    width: float = 0.03
    """rad"""


@dataclass(frozen=True)
class RollHold:
    """How the forearms keep the club rolled until they let it go."""

    angle: float = 90.0 * DEGREE
    """At the top, open, rad"""
    stiffness: float = 60.0
    """N·m/rad"""
    damping: float = 1.2
    """N·m·s/rad"""
    inertia: float = 6.0e-3
    """Of forearms and hands about the shaft, kg·m²"""


@dataclass(frozen=True)
class TorqueGolfer:
    """A golfer as torques over time.

    Raises
    ------
    InputError
        Arms whose inertia is less than that of their mass at its centre.
    """

    name: str
    shoulders: Effort
    """Of the hub on the arms"""
    release: Effort
    """Of the wrists on the club, opening the hinge; its onset also frees the wrists"""
    roll: Effort
    """Of the forearms on the club, closing (negative); its onset also lets go of the roll"""
    hold_back: Effort = field(default_factory=lambda: Effort(0.0, 0.0, 0.1))
    """Of the wrists on the club before the release, keeping the hinge (negative)"""
    settling: float = 0.12
    """Over which the torques that hold everything at the top give way, s"""
    wrist_damping: float = 0.3
    """N·m·s/rad once released"""
    roll_damping: float = 0.05
    """N·m·s/rad once let go"""
    turn: float = 150.0 * DEGREE
    """Of the arms behind straight down at the top, rad"""
    arms: ArmsAndHub = field(default_factory=ArmsAndHub)
    hinge: HingeRange = field(default_factory=HingeRange)
    forearms: RollHold = field(default_factory=RollHold)
    strength: tuple[float, float, float] = (250.0, 40.0, 15.0)
    """N·m that shoulders, wrists and forearms can give at most"""
    yaw: float = 0.0
    """Of the whole swing about the vertical, rad, right-handed about +z"""

    def __post_init__(self) -> None:
        arms = self.arms
        if arms.inertia * arms.mass < arms.moment**2:
            raise InputError(f'golfer "{self.name}": arms of that mass and moment have more inertia than stated')

    @property
    def axes(self) -> Array:
        """(3, 3) world, columns: down the plane, toward the target in it, its normal."""
        c, s = math.cos(self.arms.plane), math.sin(self.arms.plane)
        own = np.array([[0.0, 1.0, 0.0], [-c, 0.0, -s], [-s, 0.0, c]])
        cy, sy = math.cos(self.yaw), math.sin(self.yaw)
        return np.array([[cy, -sy, 0.0], [sy, cy, 0.0], [0.0, 0.0, 1.0]]) @ own

    @property
    def normal(self) -> Array:
        """(3,) of the swing plane, world"""
        return self.axes[:, 2]

    def hub(self, t: Array) -> Array:
        """(n, 3) m, world, at instants t (n,), s: from the hub at the top."""
        travel = self.arms.travel
        along, up = rise(t, 0.0, travel)[0], rise(t, 0.5 * travel, 1.5 * travel)[0]
        return along[:, None] * (self.arms.shift * self.axes[:, 1]) + np.outer(up, [0.0, 0.0, self.arms.lift])

    def base(self) -> Motion:
        """The hub's motion, axes as `axes`."""
        t = np.linspace(0.0, LONGEST_DOWNSWING, 301)
        return Motion.from_samples(t, self.hub(t), np.tile(self.axes, (t.size, 1, 1)))


@dataclass(frozen=True)
class TorquePlan:
    """A torque golfer and what his reference club shall deliver."""

    name: str
    golfer: TorqueGolfer
    target: Target


def _joints(golfer: TorqueGolfer, club: Club) -> tuple[Joint, Joint, Joint]:
    arms, hinge, forearms = golfer.arms, golfer.hinge, golfer.forearms
    centre = arms.moment / arms.mass
    own = arms.inertia - arms.mass * centre**2
    normal, shaft = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])
    polar, across, _ = (float(v) for v in club.held_inertia)
    held = np.diag([forearms.inertia + polar, 3.0e-3 + across, 3.0e-3 + across])
    stops = Stops(hinge.behind, 2.0, hinge.stiffness, hinge.width, hinge.damping)
    shoulders, wrists, rolling = golfer.strength
    return (
        Joint(
            normal,
            np.zeros(3),
            arms.mass,
            np.array([centre, 0.0, 0.0]),
            np.diag([0.0, own, own]),
            angle=-golfer.turn,
            limit=shoulders,
        ),
        Joint(normal, np.array([arms.radius, 0.0, 0.0]), angle=hinge.behind, stops=stops, limit=wrists),
        Joint(
            shaft,
            np.zeros(3),
            HANDS_MASS + club.held_mass,
            np.zeros(3),
            held,
            angle=forearms.angle,
            limit=rolling,
        ),
    )


def _drive(golfer: TorqueGolfer, hold: Array, t: Array) -> Drive:
    """Torques at instants t (n,) of a golfer who at the top needs `hold` (3,) N·m."""
    settled = smooth_step(t / golfer.settling)
    freed = smooth_step((t - golfer.release.onset) / golfer.release.rise)
    let_go = smooth_step((t - golfer.roll.onset) / golfer.roll.rise)
    zero = np.zeros_like(t)
    keep = golfer.forearms
    couple = [
        hold[0] * (1.0 - settled) + golfer.shoulders.torque(t),
        hold[1] * (1.0 - settled) + golfer.hold_back.torque(t) * (1.0 - freed) + golfer.release.torque(t),
        hold[2] * (1.0 - let_go) + golfer.roll.torque(t),
    ]
    stiffness = [zero, zero, keep.stiffness * (1.0 - let_go)]
    damping = [
        golfer.shoulders.damping(t),
        golfer.wrist_damping * freed + golfer.release.damping(t),
        keep.damping * (1.0 - let_go) + golfer.roll_damping * let_go + golfer.roll.damping(t),
    ]
    rest = [zero, zero, zero + keep.angle]
    return Drive(*(np.stack(part, axis=1) for part in (couple, stiffness, damping, rest)))


def swing_by_torque(
    golfer: TorqueGolfer,
    club: Club,
    *,
    hold: Array | None = None,
    damping_scale: float = 1.0,
    step: float | None = None,
) -> ChainHistory:
    """Swing a club from the top until it has passed the ball.

    Parameters
    ----------
    hold : (3,) N·m of shoulders, wrists and forearms that hold still at the top (`hold_at_top`); None: what this
        club needs
    damping_scale : multiplies the shaft's damping ratios

    Raises
    ------
    SimulationError
        The solver could not finish, or the club has not come round in `LONGEST_DOWNSWING`.
    """
    held = hold_at_top(golfer, club) if hold is None else hold
    chain = DrivenChain(_joints(golfer, club), np.zeros(3), lambda t: _drive(golfer, held, t))
    run = simulate(
        club.profile,
        club.tip,
        golfer.base(),
        root=chain,
        viscosity=scaled_viscosity(club, damping_scale),
        step=step,
        stop=_past_ball,
    )
    if not isinstance(run, ChainHistory) or run.t[-1] >= LONGEST_DOWNSWING:
        raise SimulationError(f'golfer "{golfer.name}": the club has not come round in {LONGEST_DOWNSWING} s')
    return run


def hold_at_top(golfer: TorqueGolfer, club: Club) -> Array:
    """(3,) N·m of shoulders, wrists and forearms that hold a club still at the top.

    Raises
    ------
    SimulationError
        No equilibrium was found.
    """
    chain = DrivenChain(_joints(golfer, club))
    return holding_torques(club.profile, club.tip, golfer.base(), chain)


def _past_ball(run: History) -> Array:
    if not isinstance(run, ChainHistory):
        raise SimulationError("a run on a chain of joints is needed")
    return np.asarray(run.angles[:, 0] + run.angles[:, 1] - PAST_BALL)


def turned(golfer: TorqueGolfer, yaw: float) -> TorqueGolfer:
    """The same golfer, the whole swing turned about the vertical by `yaw` more, rad: nothing else changes."""
    return replace(golfer, yaw=golfer.yaw + yaw)
