"""Rank a scenario's clubs by unload timing for one golfer."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from swingbeam import __version__
from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.club.build import BEHIND_HOLD_STATEMENT, Club
from swingbeam.delivery.ranking import Agreement, agreement, order_statement, rank_by, resolution
from swingbeam.swing import Swing, load_swing

from .conclusions import figures_under
from .golfer import Golfer, load_golfer
from .quantities import IMPACT, STATIC, UNLOAD, Quantity
from .readings import static_readings
from .repeat import REPETITIONS, Setting, check_repeat, repeat_swings
from .replay import look_of
from .result import HANDS, ClubRun, Difference, RankResult, StaticReadings, Verification
from .scenario import Scenario, digest_of, load_scenario
from .shots import Range, changes_under, fly_measured, range_of, with_shot

if TYPE_CHECKING:
    from .measure import Measured

DAMPING_PAIR = (0.5, 2.0)
"""The damping ratio of all clubs is halved and doubled to find how well the timing is known."""
MOST_THREADS = 8
_ORDERS = {
    "timing": ("unloads later", "unloads earlier"),
    "loft": ("delivers more loft", "delivers less loft"),
}
_FIGURES = {
    "frequency": ("frequency", "a higher frequency"),
    "torque": ("torque", "more torque (more twist)"),
    "kick point": ("kick_point", "a higher kick point"),
    "weight": ("mass", "a heavier shaft"),
}


def rank_scenario(
    name: str | os.PathLike[str],
    *,
    solver: str | None = None,
    hands: str | None = None,
    ball: str | None = None,
    firmness: float | None = None,
    verify: bool = False,
    repeat: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> RankResult:
    """Run every club of a scenario and rank them.

    Parameters
    ----------
    name : name or path of a scenario
    solver, hands, ball : instead of the scenario's own
    firmness : of the grip, 0 … 1, instead of the scenario's own, or the swing's
    verify : repeat with the other solver and keep the largest differences
    repeat : how often to repeat the swing as a golfer does who is not a machine (`study.repeat`); 0: not at all;
        None: `REPETITIONS` where the swing carries a spread, else not at all
    progress : told how many repetitions are done, and of how many

    Raises
    ------
    InputError
        A file that cannot be found or read, a club that cannot be built, a swing that is not feasible.
    SimulationError
        The reference club itself could not be swung to the ball. Another club that fails is a row with its
        reason.
    """
    scenario = load_scenario(name)
    record = scenario.record
    swing = load_swing(scenario.swing)
    count = repeat if repeat is not None else REPETITIONS if swing.spread is not None else 0
    if count:
        check_repeat(swing, count)
    grip = record.grip_firmness if firmness is None else firmness
    golfer = load_golfer(scenario.swing, record.reference_club, firmness=grip)
    golfer = golfer.called(reference_name(golfer.club, scenario.clubs))
    ranking = Ranking(scenario.clubs, golfer, hands or record.hands, ball or record.ball, solver or record.solver)
    where = range_of(record, scenario.swing)
    result = ranking.result(scenario, where)
    if verify:
        result = replace(result, verification=ranking.verification(result))
    if count:
        setting = ranking.setting(swing, result, where)
        result = replace(result, repeated=repeat_swings(setting, count, progress=progress))
    return result


def reference_name(reference: Club, clubs: Sequence[Club]) -> str:
    """What the reference club is called: as the scenario calls the same build, and as nothing else there."""
    for club in clubs:
        if _same_build(club, reference):
            return club.label
    taken = any(club.label == reference.label for club in clubs)
    return f"{reference.label} (reference)" if taken else reference.label


def _same_build(a: Club, b: Club) -> bool:
    """Whether two clubs are one in everything that the swing can see."""
    return (
        a.profile.s.tobytes() == b.profile.s.tobytes()
        and a.profile.ei.tobytes() == b.profile.ei.tobytes()
        and a.profile.gj.tobytes() == b.profile.gj.tobytes()
        and a.profile.mass.tobytes() == b.profile.mass.tobytes()
        and a.tip.offset.tobytes() == b.tip.offset.tobytes()
        and a.tip.inertia.tobytes() == b.tip.inertia.tobytes()
        and a.face.centre.tobytes() == b.face.centre.tobytes()
        and a.face.normal.tobytes() == b.face.normal.tobytes()
        and (a.tip.mass, a.viscosity) == (b.tip.mass, b.viscosity)
        and (a.face.bulge_curvature, a.face.roll_curvature) == (b.face.bulge_curvature, b.face.roll_curvature)
    )


@dataclass(frozen=True)
class Case:
    """One way of swinging every club."""

    hands: str
    solver: str
    damping: float = 1.0
    timing_only: bool = False
    replay: bool = False


class Ranking:
    """Runs of the clubs under the hand modes, and what follows from them."""

    def __init__(self, clubs: Sequence[Club], golfer: Golfer, hands: str, ball: str, solver: str) -> None:
        self.clubs, self.golfer = clubs, golfer
        self.hands, self.ball, self.solver = hands, ball, solver

    def measured(self, cases: Sequence[Case]) -> list[list[Measured]]:
        """For each case every club, and last the reference club."""
        golfer, clubs = self.golfer, [*self.clubs, self.golfer.club]
        # What all runs share is made before they start.
        for solver, damping in dict.fromkeys((case.solver, case.damping) for case in cases):
            golfer.reference.record(solver, damping)
        for club in clubs:
            _ = club.viscosity, club.face, golfer.frame

        def swing(task: tuple[Case, Club]) -> Measured:
            case, club = task
            return golfer.swing(
                club,
                case.hands,
                self.ball,
                case.solver,
                damping=case.damping,
                timing_only=case.timing_only,
                replay=case.replay,
            )

        # The kernels release the interpreter's lock, and how many run at once changes no bit of any run.
        executor = ThreadPoolExecutor(min(os.cpu_count() or 1, MOST_THREADS))
        try:
            flat = list(executor.map(swing, [(case, club) for case in cases for club in clubs]))
        finally:
            executor.shutdown(wait=True, cancel_futures=True)
        return [flat[i : i + len(clubs)] for i in range(0, len(flat), len(clubs))]

    def result(self, scenario: Scenario, where: Range) -> RankResult:
        """The ranking, its balls struck on a range."""
        every = self.measured(
            [
                *(Case(mode, self.solver, replay=mode == self.hands) for mode in HANDS),
                *(Case(self.hands, self.solver, scale, timing_only=True) for scale in DAMPING_PAIR),
            ]
        )
        modes, damped = dict(zip(HANDS, every, strict=False)), every[len(HANDS) :]
        chosen = modes[self.hands]
        if chosen[-1].status != "ok":
            words = chosen[-1].reasons.get("status", "not known")
            raise SimulationError(f"the reference club itself does not strike the ball: {words}")
        sure = [self._resolution(i, chosen, damped) for i in range(len(chosen))]
        order = {mode: rank_by([m.half for m in runs[:-1]], sure[:-1]) for mode, runs in modes.items()}
        lags = {
            mode: [None if m.unload is None else m.unload.lag_peak for m in measured[:-1]]
            for mode, measured in modes.items()
        }
        statics = [readings_of(club) for club in (*self.clubs, self.golfer.club)]
        every_club = [*self.clubs, self.golfer.club]
        flown = [fly_measured(m, club, where) for m, club in zip(chosen, every_club, strict=True)]
        under = changes_under(modes, every_club, where)
        figures = figures_under(modes)
        runs = []
        for i, club in enumerate(self.clubs):
            ranks = {mode: order[mode][i] for mode in HANDS}
            row = make_row(club.label, chosen[i], chosen[-1], *statics[i])
            why = dict(row.reasons)
            why |= {mode: _why_unranked(modes[mode][i]) for mode in HANDS if ranks[mode] is None}
            if chosen[i].half is not None and sure[i] is None:
                why["resolution_ms"] = "a run with the damping halved or doubled gives no half-unload"
            row = replace(row, rank=ranks[self.hands], resolution=sure[i], order_under=ranks, reasons=why)
            row = replace(row, under=figures[i], replay=chosen[i].replay, look=look_of(club))
            runs.append(with_shot(row, flown[i], flown[-1], under[i]))
        reference = replace(make_row(self.golfer.name, chosen[-1], chosen[-1], *statics[-1]), resolution=sure[-1])
        reference = replace(reference, under=figures[-1], replay=chosen[-1].replay, look=look_of(self.golfer.club))
        reference = with_shot(reference, flown[-1], flown[-1], under[-1])
        inputs = tuple(dict((*scenario.inputs, *self.golfer.inputs)).items())
        return RankResult(
            scenario=scenario.name,
            golfer=self.golfer.reference.name,
            reference=self.golfer.name,
            hands=self.hands,
            ball=self.ball,
            solver=self.solver,
            runs=tuple(sorted(runs, key=_place)),
            reference_run=reference,
            downswing=self.golfer.reference.downswing,
            agreements=_agreements(runs),
            statement=order_statement(self.hands, order, lags),
            notes=(BEHIND_HOLD_STATEMENT, *self.golfer.notes),
            inputs=inputs,
            digest=digest_of(inputs, (self.hands, self.ball, self.solver, *self.golfer.notes)),
            version=__version__,
            air=where.air.describe(),
            repeatability=where.words,
            left_handed=where.left_handed,
            question=scenario.question,
        )

    def setting(self, swing: Swing, result: RankResult, where: Range) -> Setting:
        """What the golfer's swing is repeated with."""
        known = {run.shaft: run.resolution for run in result.runs}
        own = self.golfer.club
        return Setting(
            swing=replace(swing, grip_firmness=self.golfer.reference.firmness),
            own=own,
            clubs=tuple(self.clubs),
            same=tuple(_same_build(club, own) for club in self.clubs),
            hands=self.hands,
            ball=self.ball,
            solver=self.solver,
            where=where,
            resolutions=tuple(known[club.label] for club in self.clubs),
        )

    def _resolution(self, i: int, runs: list[Measured], damped: list[list[Measured]]) -> float | None:
        half, reference = runs[i].half, runs[-1].half
        if half is None or reference is None:
            return None
        return resolution(half, reference, [(other[i].half, other[-1].half) for other in damped])

    def verification(self, result: RankResult) -> Verification:
        """The same clubs with the other solver: the largest difference of each figure."""
        other = "elements" if self.solver == "curvature" else "curvature"
        measured = self.measured([Case(self.hands, other)])[0]
        again = dict(zip((c.label for c in self.clubs), measured, strict=False))
        ran = [run for run in result.runs if run.status == "ok" and again[run.shaft].status == "ok"]
        differences = []
        for part, quantities in (("unload", UNLOAD), ("impact", IMPACT)):
            pairs = [(run.shaft, getattr(run, part), getattr(again[run.shaft], part)) for run in ran]
            found = (_largest(q, pairs) for q in quantities)
            differences += [difference for difference in found if difference is not None]
        ranks = rank_by([again[run.shaft].half for run in ran], [run.resolution for run in ran])
        before = rank_by([None if run.unload is None else run.unload.half for run in ran], [r.resolution for r in ran])
        return Verification(
            other,
            tuple(differences),
            tuple(run.shaft for run, a, b in zip(ran, before, ranks, strict=True) if a != b),
            tuple(
                (shaft, measured.reasons.get("status", "not known"))
                for shaft, measured in again.items()
                if measured.status != "ok"
            ),
        )


def _largest(q: Quantity, pairs: Sequence[tuple[str, Any, Any]]) -> Difference | None:
    """The largest difference of a figure over (shaft, record, record) pairs; None where no pair has it."""
    sizes = [
        (abs(x - y), shaft)
        for shaft, a, b in pairs
        if (x := getattr(a, q.attribute)) is not None and (y := getattr(b, q.attribute)) is not None
    ]
    if not sizes:
        return None
    size, shaft = max(sizes)
    return Difference(q.key, shaft, float(size))


def readings_of(club: Club) -> tuple[StaticReadings | None, str | None]:
    """Bench readings of a club's shaft, or why there are none."""
    try:
        return static_readings(club.shaft), None
    except InputError as error:
        return None, str(error)


def _why_unranked(measured: Measured) -> str:
    words = measured.reasons.get("half_ms") if measured.status == "ok" else measured.reasons.get("status")
    return words or "no half-unload"


def make_row(
    label: str,
    measured: Measured,
    reference: Measured,
    static: StaticReadings | None,
    why_no_static: str | None,
) -> ClubRun:
    """One club's record, not ranked, with its change against the reference club."""
    why = dict(measured.reasons)
    if why_no_static is not None:
        why |= dict.fromkeys((q.key for q in STATIC), why_no_static)
    change = None
    if measured.impact is not None and reference.impact is not None:
        change = measured.impact.minus(reference.impact)
    return ClubRun(
        shaft=label,
        status=measured.status,
        unload=measured.unload,
        impact=measured.impact,
        change=change,
        face=measured.face,
        loft=measured.loft,
        static=static,
        curves=measured.curves,
        reasons=why,
    )


def _place(run: ClubRun) -> tuple[bool, float, str]:
    """By half-unload, then clubs that have none by name."""
    half = None if run.unload is None else run.unload.half
    return (half is None, half or 0.0, run.shaft)


def _agreements(runs: Sequence[ClubRun]) -> tuple[Agreement, ...]:
    """Each static figure against the timing order (ranks) and the order of loft.

    Figures that are equal as a table shows them are ties: a bench reads no finer.
    """
    shown = {q.attribute: q for q in STATIC}
    loft = next(q for q in IMPACT if q.attribute == "dynamic_loft")
    keys: dict[str, list[float | None]] = {
        "timing": [run.rank for run in runs],
        "loft": [_as_shown(loft, run.impact) for run in runs],
    }
    found = []
    for order, (more, less) in _ORDERS.items():
        for figure, (attribute, words) in _FIGURES.items():
            values = [_as_shown(shown[attribute], run.static) for run in runs]
            found.append(agreement(figure, values, order, keys[order], f"{words} {more}", f"{words} {less}"))
    return tuple(found)


def _as_shown(q: Quantity, record: Any) -> float | None:
    value = q.of(record)
    return None if value is None else round(value, q.decimals)
