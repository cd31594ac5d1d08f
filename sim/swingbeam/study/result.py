"""What a ranking is: one record a club, and what holds for all of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from swingbeam.delivery.decompose import Causes
from swingbeam.delivery.doubt import LandingSpread
from swingbeam.delivery.kinetics import Demand, Kinetics
from swingbeam.delivery.presentation import Impact
from swingbeam.delivery.ranking import Agreement
from swingbeam.delivery.shot import Shot
from swingbeam.delivery.unload import Unload

from .repeated import Repeated

Array = NDArray[np.float64]

STATUSES = ("ok", "missed", "failed")
"""ok: it struck the ball; missed: the face passed it; failed: it could not be built or run to impact."""
HANDS = ("vice", "hold", "effort")
"""The hand modes, from the robot to the golfer who repeats effort only."""


@dataclass(frozen=True)
class StaticReadings:
    """Readings of the shaft on the virtual bench, each with one named set-up; SI.

    Attributes
    ----------
    letter : the maker's flex letter, a label only; None where the shaft has none
    frequency : Hz
    torque : rad of twist
    kick_point : 0 … 1 of the raw length, from the tip
    mass : kg, raw shaft
    setup : the set-ups in words
    """

    letter: str | None
    frequency: float
    torque: float
    kick_point: float
    mass: float
    setup: str


@dataclass(frozen=True, eq=False)
class Curves:
    """One club over the downswing, against time to its own impact.

    Attributes
    ----------
    t : (k,) s, ends at 0
    in_plane, lead, droop : (k,) m
    twist : (k,) rad
    hand_force : (k,) N, size of the force of the hands on the club
    hand_couple : (k,) N·m, couple of the hands about the normal of the swing plane, driving the downswing +
    """

    t: Array
    in_plane: Array
    lead: Array
    droop: Array
    twist: Array
    hand_force: Array
    hand_couple: Array


RESOLUTIONS = ("below error", "sign depends on hands", "resolved")
"""How well a change of a shot is known; all but the last are "not resolved"."""


@dataclass(frozen=True)
class ShotRecord:
    """What a club did to the ball, and how well it is known.

    Attributes
    ----------
    shot, error : launch and flight, and 1σ of the model for each figure
    change, change_error : against the reference club's shot, and 1σ of the model for each difference
    spread : where this golfer's balls come down from swing to swing
    change_under : hand mode → change of the shot under it; a mode whose run failed is not there
    """

    shot: Shot
    error: Shot
    change: Shot
    change_error: Shot
    spread: LandingSpread
    change_under: Mapping[str, Shot] = field(default_factory=dict)

    def resolution(self, figure: str) -> str:
        """One of `RESOLUTIONS`: whether a change is larger than its error, and goes the same way whatever the hands.

        How the golfer's hands give to another club is the least known part of the model, and no σ can be given
        for it: three kinds of hands stand for it, and a change that they disagree about in sign is not resolved.
        """
        change = float(getattr(self.change, figure))
        if abs(change) <= float(getattr(self.change_error, figure)):
            return "below error"
        if any(float(getattr(other, figure)) * change <= 0.0 for other in self.change_under.values()):
            return "sign depends on hands"
        return "resolved"

    def is_resolved(self, figure: str) -> bool:
        """Whether a figure's change against the reference club is resolved."""
        return self.resolution(figure) == "resolved"


@dataclass(frozen=True, eq=False)
class Replay:
    """One club's downswing to look at, k instants; world frame, right-handed whatever the golfer is.

    Attributes
    ----------
    t : (k,) s relative to the club's own impact, ends at 0
    axis : (k, m, 3) m, points of the shaft's axis from the hold point to the hosel mouth; both ends are the run's own,
        what lies between is a shape for looking at (`study.replay.shape_between`)
    grip_rotation, tip_rotation : (k, 3, 3) grip and tip section → world
    face : (k, 3) m, the face centre
    ball : (3,) m, its centre
    rim : (p, 3) m, points round the face, tip frame
    head_cg : (3,) m, of the bare head, tip frame
    hub : (k, 3) m, or None where it is not kept or the swing states none
    """

    t: Array
    axis: Array
    grip_rotation: Array
    tip_rotation: Array
    face: Array
    ball: Array
    rim: Array
    head_cg: Array
    hub: Array | None = None


@dataclass(frozen=True, eq=False)
class ShaftLook:
    """A raw shaft's profile, and how the club is made of it; SI, distances from the raw tip.

    Attributes
    ----------
    from_tip : (n,) m
    ei, gj : (n,) N·m²
    mass : (n,) kg/m
    tip_trim, butt_trim : m, cut off
    mouth, hold : m, where the hosel mouth and the hold point are
    finished_length : m, of the club
    """

    from_tip: Array
    ei: Array
    gj: Array
    mass: Array
    tip_trim: float
    butt_trim: float
    mouth: float
    hold: float
    finished_length: float


@dataclass(frozen=True, eq=False)
class ClubRun:
    """One club swung by one golfer.

    Attributes
    ----------
    shaft : name of the shaft
    status : one of `STATUSES`
    rank : by half-unload, 1 unloads first, ties share; None without a half-unload
    unload, impact, change, face, loft, curves, flight : None when the status is not ok; change is against the
        reference club's run, `face` and `loft` are the causes of face angle and dynamic loft
    resolution : of half-unload, s; None when a run it needs failed
    order_under : hand mode → rank, or None
    static : None when the bench failed
    reasons : for every figure that does not exist, why; "status" says why a club is not ok
    under : hand mode → figure's key (`study.conclusions.FIGURES`) → change against the reference club under it, in the
        figure's shown unit; empty where it was not kept
    replay, look : the downswing and the shaft to look at, where kept
    """

    shaft: str
    status: str
    rank: int | None = None
    unload: Unload | None = None
    resolution: float | None = None
    impact: Impact | None = None
    change: Impact | None = None
    face: Causes | None = None
    loft: Causes | None = None
    order_under: Mapping[str, int | None] = field(default_factory=dict)
    static: StaticReadings | None = None
    curves: Curves | None = None
    flight: ShotRecord | None = None
    reasons: Mapping[str, str] = field(default_factory=dict)
    under: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    replay: Replay | None = None
    look: ShaftLook | None = None


@dataclass(frozen=True, eq=False)
class SwingMotion:
    """A club's downswing, k instants that end at impact; world frame, right-handed whatever the golfer is.

    Attributes
    ----------
    golfer, club, hands : names of the swing, of the club and of the hand mode
    handed : "right" or "left": drawings of a left-hander are reflected in y
    t : (k,) s relative to impact
    hub : (k, 3) m, or None where the swing states none
    grip : (k, 3) m, the hold point
    shaft : (k, m, 3) m, points of the axis from the hold point to the hosel mouth: the cubic with the places and
        directions of both ends, which is for looking at
    face : (k, 3) m, the face centre
    ball : (3,) m, its centre
    normal : (3,) of the swing plane
    bend : (k,) m, in-plane bend, lag −, lead +
    instants : name → s relative to impact of what happens in the downswing, in the order of time
    kinetics, demands : of the hands
    """

    golfer: str
    club: str
    hands: str
    handed: str
    t: Array
    hub: Array | None
    grip: Array
    shaft: Array
    face: Array
    ball: Array
    normal: Array
    bend: Array
    instants: Mapping[str, float]
    kinetics: Kinetics
    demands: tuple[Demand, ...]


@dataclass(frozen=True, eq=False)
class SingleResult:
    """One club and the reference club, swung by one golfer; attributes as in `RankResult`.

    `motion` is the club's downswing to look at, when it was asked for.
    """

    golfer: str
    reference: str
    hands: str
    ball: str
    solver: str
    run: ClubRun
    reference_run: ClubRun
    notes: tuple[str, ...] = ()
    motion: SwingMotion | None = None
    air: str = ""


@dataclass(frozen=True)
class Difference:
    """The largest difference of one figure between two solvers.

    Attributes
    ----------
    key : the figure, as in `quantities`
    shaft : the club that differs most
    size : absolute difference, SI
    """

    key: str
    shaft: str
    size: float


@dataclass(frozen=True)
class Verification:
    """A ranking repeated with the other solver.

    Attributes
    ----------
    solver : the solver it was repeated with
    differences : the largest difference of each figure, over the clubs that both solvers brought to the ball
    ranks_changed : shafts whose rank among those differs
    failures : (shaft, reason) of those that the other solver did not bring to the ball
    """

    solver: str
    differences: tuple[Difference, ...]
    ranks_changed: tuple[str, ...]
    failures: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, eq=False)
class RankResult:
    """Shafts ranked by unload timing for one golfer.

    Attributes
    ----------
    scenario, golfer, reference : names of the scenario, the swing and the reference club's shaft
    hands, ball, solver : the hand mode, the ball rule and the solver used
    runs : one per club, by rank, clubs without a rank last
    reference_run : the reference club itself
    downswing : s, length of the reference's downswing
    agreements : static figures against the timing order and the order of loft
    statement : whether the timing order holds under the other hand modes
    notes : things the reader should know, one sentence each
    inputs : (name, text) of every file that went in
    digest : hash of the inputs, the options and the version
    version : of this package
    verification : when asked for
    air : the air the balls fly through, in words
    repeatability : where the swing-to-swing spread of the landings comes from, in words
    left_handed : whether drawings in the world are reflected back
    repeated : by a golfer who is not a machine, when asked for or where the swing carries a spread
    question : what the scenario asks, in its own words
    """

    scenario: str
    golfer: str
    reference: str
    hands: str
    ball: str
    solver: str
    runs: tuple[ClubRun, ...]
    reference_run: ClubRun
    downswing: float
    agreements: tuple[Agreement, ...]
    statement: str
    notes: tuple[str, ...]
    inputs: tuple[tuple[str, str], ...]
    digest: str
    version: str
    verification: Verification | None = None
    air: str = ""
    repeatability: str = ""
    left_handed: bool = False
    repeated: Repeated | None = None
    question: str = ""
