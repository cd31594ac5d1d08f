"""The figures of a case: which there are, and how a club is swung by one golfer to get them, one after another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import SimulationError
from swingbeam.club.build import Club
from swingbeam.delivery.kinetics import demands, read_kinetics
from swingbeam.delivery.shot import shot_of
from swingbeam.study.golfer import Golfer
from swingbeam.study.measure import Measured, curves_at, measure
from swingbeam.study.quantities import CAUSES, CURVES, FACE_CENTRE_SPEED, IMPACT, SHOT, STATIC, UNLOAD, Quantity
from swingbeam.study.shots import Range, setting_of
from swingbeam.swing.hands import Hands

from .makers import TROUBLE
from .problem import STATUSES, Output, Rows

Array = NDArray[np.float64]

OK, MISSED, FAILED = range(len(STATUSES))
BENCH = "bench"
"""Group and part of what a case's raw shaft reads on the bench (`static_figures`); all else is swung."""
_DEGREE = 180.0 / math.pi
COARSE_STEP, FULL_STEP = 5e-3, 1e-3
"""s between the instants of the curves."""
KEPT_CURVES = tuple(q for q in CURVES if q.attribute != "hand_force")
"""In-plane bend, lead, droop, twist, and the hands' couple."""

HANDS = (
    Quantity("largest_hand_force_N", "force", 1, "N", "largest force of the hands in the downswing", "", 0),
    Quantity("largest_hinge_couple_Nm", "hinge", 1, "N m", "largest couple of the hands about the hinge", "", 1),
    Quantity("largest_roll_couple_Nm", "roll", 1, "N m", "largest couple of the hands about the shaft", "", 1),
    Quantity("largest_third_couple_Nm", "third", 1, "N m", "largest couple about the third axis", "", 1),
    Quantity("largest_power_W", "power", 1, "W", "largest power given to the club", "", 0),
    Quantity("largest_hand_speed_mps", "hand_speed", 1, "m s-1", "largest speed of the hands", "", 2),
)
"""The largest demands on the hands in the downswing."""


@dataclass(frozen=True)
class Figure:
    """One output: where it is read from.

    Attributes
    ----------
    name : its variable
    quantity : key, unit and words
    part : "unload", "impact", "face", "loft", "shot" or "hands": attribute of a `Swung`; or `BENCH`
    change : against the golfer's reference club under the same hands
    """

    name: str
    quantity: Quantity
    part: str
    change: bool = False

    def of(self, own: Swung, base: Swung) -> float:
        """The shown value; NaN where there is none."""
        value = own.value(self)
        if self.change:
            value -= base.value(self)
        return self.quantity.scale * value

    @property
    def output(self) -> Output:
        """As the file of results describes it."""
        words = self.quantity.long_name + (", change against the reference club" if self.change else "")
        return Output(self.name, self.quantity.unit, words, _FRAMES.get(self.quantity.attribute, ""))


_FRAMES = {
    **dict.fromkeys(("droop", "lead", "twist"), "grip, straight down from the hold point"),
    **dict.fromkeys(("in_plane", "lag_peak"), "swing plane, from the grip's tangent"),
    **dict.fromkeys(("strike_toe", "strike_up"), "face"),
    **dict.fromkeys(("face_angle", "dynamic_loft", "attack", "path", "toe_up"), "world, a right-handed golfer"),
    **dict.fromkeys(("face_angle_at_strike", "dynamic_loft_at_strike"), "world, a right-handed golfer"),
}


def _causes(angle: str, words: str) -> tuple[Figure, ...]:
    return tuple(
        Figure(
            f"{angle}_from_{cause}_deg",
            Quantity(f"{angle}_from_{cause}_deg", cause, _DEGREE, "degree", f"{words} that comes from: {cause}", "", 2),
            angle,
        )
        for cause in CAUSES
    )


_GROUPS: dict[str, tuple[Figure, ...]] = {
    "unload": tuple(Figure(q.key, q, "unload") for q in UNLOAD),
    "impact": tuple(Figure(q.key, q, "impact") for q in (*IMPACT, FACE_CENTRE_SPEED)),
    "causes": _causes("face", "part of the face angle (open +)") + _causes("loft", "part of the dynamic loft"),
    "shot": tuple(Figure(q.key, q, "shot") for q in SHOT),
    "hands": tuple(Figure(q.key, q, "hands") for q in HANDS),
    BENCH: tuple(Figure(q.key, q, BENCH) for q in STATIC),
}
_CHANGED = ("unload", "impact", "shot")
"""Groups that have a change against the reference club, where "change" is asked for."""


def figures_of(groups: Sequence[str]) -> tuple[Figure, ...]:
    """The figures of some output groups, in the order of the groups; changes of the groups that are there."""
    found = [figure for group in groups if group != "change" for figure in _GROUPS[group]]
    if "change" in groups:
        present = [group for group in _CHANGED if group in groups] or ["unload", "impact"]
        own = (figure for group in present for figure in _GROUPS[group] if figure.quantity.key != "crossings")
        found += [replace(figure, name=f"change_{figure.name}", change=True) for figure in own]
    return tuple(found)


def curve_outputs() -> tuple[Output, ...]:
    """The curves that can be kept."""
    return tuple(Output(q.key, q.unit, q.long_name) for q in KEPT_CURVES)


@dataclass(frozen=True, eq=False)
class Swung:
    """One club swung: its records by part, None where there is none; reasons by figure's key."""

    status: int
    reason: str = ""
    unload: Any = None
    impact: Any = None
    face: Any = None
    loft: Any = None
    shot: Any = None
    hands: Any = None
    curves: Any = None
    reasons: dict[str, str] = field(default_factory=dict)

    def value(self, figure: Figure) -> float:
        """A figure, its own and not its change, SI; NaN where the record or the figure does not exist."""
        record = getattr(self, figure.part)
        value = None if record is None else getattr(record, figure.quantity.attribute)
        return math.nan if value is None or not math.isfinite(value) else float(value)


@dataclass(frozen=True, eq=False)
class Way:
    """How every club of a group is swung and what is kept of it.

    Attributes
    ----------
    hands, ball, solver : how the hands give, the ball rule, the solver
    where : what the balls fly through
    figures : outputs
    times : (m,) s against impact of the curves; empty for none
    """

    hands: Hands
    ball: str
    solver: str
    where: Range
    figures: tuple[Figure, ...]
    times: Array

    @cached_property
    def parts(self) -> frozenset[str]:
        """Parts that some figure is read from."""
        return frozenset(figure.part for figure in self.figures)

    @property
    def wants_base(self) -> bool:
        """Whether the reference club is needed too."""
        return any(figure.change for figure in self.figures)


def swing_one(golfer: Golfer, club: Club, way: Way) -> Swung:
    """Swing one club; whatever goes wrong is a status with its reason."""
    try:
        run, place = golfer.run(club, way.hands, way.ball, way.solver)
        measured = measure(run, club.face, place, golfer.frame, with_curves=False)
        if measured.status != "ok" or measured.time is None:
            why = measured.reasons.get("status", "not known")
            return Swung(STATUSES.index(measured.status), why)
        reasons = {key: why for key, why in measured.reasons.items() if key != "status"}
        shot = _shot(measured, club, way, reasons) if "shot" in way.parts else None
        hands = None
        if "hands" in way.parts:
            kinetics = read_kinetics(run, golfer.frame.plane_normal, golfer.frame.top, measured.time)
            hands = HandDemands(**{demand.key: demand.size for demand in demands(kinetics)})
        curves = curves_at(run, measured.time, way.times, golfer.frame) if way.times.size else None
        if curves is not None and measured.time + way.times[0] < run.t[0]:
            gone = measured.time + way.times < run.t[0]
            curves = replace(
                curves, **{q.attribute: np.where(gone, np.nan, getattr(curves, q.attribute)) for q in KEPT_CURVES}
            )
        return Swung(
            OK, "", measured.unload, measured.impact, measured.face, measured.loft, shot, hands, curves, reasons
        )
    except TROUBLE as error:
        return Swung(FAILED, str(error) or type(error).__name__)


@dataclass(frozen=True)
class HandDemands:
    """The largest demands on the hands in the downswing; SI."""

    force: float
    hinge: float
    roll: float
    third: float
    power: float
    hand_speed: float


def _shot(measured: Measured, club: Club, way: Way, reasons: dict[str, str]) -> Any:
    try:
        if measured.meeting is not None:
            return shot_of(measured.meeting, setting_of(club, way.where))
    except SimulationError as error:
        reasons |= dict.fromkeys((q.key for q in SHOT), str(error))
    return None


def rows_of(swung: Sequence[Swung], figures: Sequence[Figure], times: Array, base: Swung | None = None) -> Rows:
    """The rows of some swung clubs."""
    against = Swung(FAILED) if base is None else base
    values = np.full((len(swung), len(figures)), math.nan)
    status = np.array([one.status for one in swung], dtype=np.int8)
    reasons = []
    for row, one in zip(values, swung, strict=True):
        if one.status == OK:
            row[:] = [figure.of(one, against) for figure in figures]
        reasons.append(reason_of(one, row, figures, against))
    curves = {}
    for q in KEPT_CURVES if times.size else ():
        none = np.full(times.size, math.nan)
        curves[q.key] = np.array(
            [none if one.curves is None else q.scale * getattr(one.curves, q.attribute) for one in swung]
        ).reshape(len(swung), times.size)
    return Rows(values, status, reasons, curves)


def reason_of(one: Swung, row: Array, figures: Sequence[Figure], base: Swung) -> str:
    """Why a case is not ok, or why it lacks figures: each reason once, with what lacks for it."""
    if one.status != OK:
        return one.reason
    lacking: dict[str, list[str]] = {}
    for figure, value in zip(figures, row, strict=True):
        if math.isfinite(value):
            continue
        key = figure.quantity.key
        why = one.reasons.get(key)
        if why is None and figure.change:
            why = f"the reference club: {base.reason or base.reasons.get(key, 'has no such figure')}"
        lacking.setdefault(why or "not a finite number", []).append(figure.name)
    return "; ".join(f"{', '.join(names)}: {why}" for why, names in lacking.items())


SPOT_LIMITS = {
    "half_ms": 0.5,
    "lag_peak_mm": 1.0,
    "kick_at_impact_mps": 0.1,
    "face_angle_deg": 0.1,
    "dynamic_loft_deg": 0.1,
    "droop_mm": 0.6,
    "lead_mm": 0.6,
    "twist_deg": 0.1,
    "attack_deg": 0.1,
    "path_deg": 0.1,
    "head_speed_mps": 0.1,
    "strike_toe_mm": 0.6,
    "strike_up_mm": 0.6,
}
"""How far the two solvers may lie apart, in shown units. Angles and lengths: twice the .05° and .3 mm to which each
agrees with a third code (docs/validation.md), as both may be off; the others are what makes no difference to a
reader of a table. A change against the reference club may be off by as much again."""


def spot_limits(figures: Sequence[Figure]) -> dict[str, float]:
    """The limits of those figures that have one."""
    return {
        figure.name: SPOT_LIMITS[figure.quantity.key] * (2.0 if figure.change else 1.0)
        for figure in figures
        if figure.quantity.key in SPOT_LIMITS
    }
