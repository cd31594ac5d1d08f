"""The same question asked of a golfer who is not a machine: his swing repeated, every club swung in each repetition.

Two spreads are told apart. *What is not known of his mean swing*: a matched swing states how far its parameters may
be from the golfer's own; it would be there if he were a machine, and more or better measurements make it smaller.
*How he differs from himself from swing to swing*: face, loft, path, attack, head speed and strike point; no
measurement makes it smaller. A repetition is one draw of the first (where a swing states it) and, about the mean
swing so drawn, one of the second (the swing's own where stated, else the usual).

What he delivers with his reference club differs, so the swing does: it is aimed again at what this repetition
delivers, by its direction, its lean, the forearms' roll and its length (the same unknowns that aim any swing), with
its own reference run, so that the shaft is loaded as in a swing of that kind and does not ring as it would if a
finished motion were turned or hurried. The golfer does not aim again at the ball, which stays: the strike point of
the reference club is off by what the repetition draws, the whole swing moved a little, and every other club is swung
by the same swing at the same ball. So the clubs are compared swing by swing. What else differs from swing to swing
(tempo, release, grip) is not varied by itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray
from scipy.stats import rankdata

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.club.build import Club
from swingbeam.delivery.doubt import SOLVER
from swingbeam.delivery.meeting import DeliveryChange
from swingbeam.delivery.places import before_probability, groups, place_probability
from swingbeam.delivery.ranking import LEAST_RESOLUTION
from swingbeam.swing import Swing
from swingbeam.swing.aim import aim, reference_along
from swingbeam.swing.foretold import Foretold, foretell
from swingbeam.swing.parameters import DELIVERY, value_of
from swingbeam.swing.plan import SwingPlan

from .bands import BANDED, FEWEST, bands_of, gather, is_struck, swing_clubs
from .golfer import Golfer
from .repeated import Repeated, Shares
from .shots import Range

Array = NDArray[np.float64]

REPETITIONS = 300
"""Swings where a number is not stated: a probability is then known to 3 % (1σ) at worst."""
MOST_REPETITIONS = 100_000
SEED = 2
AIM = 3e-2
"""How well a repetition is aimed, degrees: what it delivers is read, and differs from one to the next by tens of it."""
STEP = {"curvature": 4e-3}
"""s of the solver in a repetition: twice its default. That moves changes of half-unload by 0.0001 ms and of angles by
0.001°, far below what repetitions differ by."""
DELIVERY_STEPS = {p.key: p.width for p in DELIVERY}
SHARED = ("half_ms", "face_angle_deg", "dynamic_loft_deg")
"""Figures for which it is said where the variance of the change comes from."""
_KEYS = tuple(quantity.key for _, quantity in BANDED)
_HALF, _FACE, _LOFT = (_KEYS.index(key) for key in SHARED)


@dataclass(frozen=True, eq=False)
class Repetition:
    """One swing to be made.

    Attributes
    ----------
    plan : with what the reference club delivers in it, and where on its face it strikes
    mean : (p,) where it is in the spread of the mean swing, in standard deviations of each parameter
    deviation : (7,) from the golfer's own mean, in standard deviations of each figure of `DeliveryChange`
    """

    plan: SwingPlan
    mean: Array
    deviation: Array


def repetitions(swing: Swing, repeatability: DeliveryChange, seed: int = SEED) -> Iterator[Repetition]:
    """Swings of a golfer without end; the same ones whatever is done with them.

    Raises
    ------
    InputError
        A swing that is not aimed: a recording, or one driven by torque.
    """
    return _repetitions(swing, _plan_of(swing), repeatability, seed)


def _plan_of(swing: Swing) -> SwingPlan:
    if not isinstance(swing.plan, SwingPlan):
        raise InputError(
            f'swing "{swing.name}": found a recording, or a swing driven by torque; allowed with --repeat: a swing '
            "that states what it delivers and is aimed at it (or --repeat 0)"
        )
    return swing.plan


def check_repeat(swing: Swing, wanted: int) -> None:
    """Refuse what cannot be repeated before anything runs.

    Raises
    ------
    InputError
        A number of repetitions that cannot be, or a swing that is not aimed.
    """
    if not FEWEST <= wanted <= MOST_REPETITIONS:
        raise InputError(f"--repeat: found {wanted}; allowed: 0, or {FEWEST} to {MOST_REPETITIONS}")
    _plan_of(swing)


def _repetitions(swing: Swing, plan: SwingPlan, repeatability: DeliveryChange, seed: int) -> Iterator[Repetition]:
    rng = np.random.default_rng([seed, 1])
    spread = swing.spread
    names = [f.name for f in fields(repeatability)]
    size = np.array([getattr(repeatability, name) for name in names])
    keys = () if spread is None else spread.keys
    centre = np.array([value_of(plan, key) for key in keys])
    means = iter(lambda: plan, None) if spread is None or not keys else spread.draws(plan, seed)
    for mean in means:
        deviation = rng.standard_normal(size.size)
        where = np.array([value_of(mean, key) for key in keys]) - centre
        yield Repetition(
            deviated(mean, DeliveryChange(*(float(v) for v in size * deviation))),
            where if spread is None else where / spread.deviations,
            deviation,
        )


def deviated(plan: SwingPlan, change: DeliveryChange) -> SwingPlan:
    """A plan that delivers something a little else; where its length is stated, less of it gives more speed."""
    target, tempo = plan.target, plan.tempo
    speed = target.head_speed
    target = replace(
        target,
        face_angle=target.face_angle + change.face_angle,
        dynamic_loft=target.dynamic_loft + change.dynamic_loft,
        path=target.path + change.path,
        attack=target.attack + change.attack,
        head_speed=None if speed is None else speed * (1.0 + change.speed),
        strike_toe=target.strike_toe + change.strike_toe,
        strike_up=target.strike_up + change.strike_up,
    )
    if tempo.downswing is not None:
        tempo = replace(tempo, downswing=tempo.downswing / (1.0 + change.speed))
    return replace(plan, target=target, tempo=tempo)


@dataclass(frozen=True, eq=False)
class Setting:
    """What every repetition shares.

    Attributes
    ----------
    swing : whose
    own : the reference club
    clubs : in the order of the scenario
    same : (clubs,) whether a club is the reference club's own build
    hands, ball, solver : names of the hand mode, the ball rule and the solver
    where : what the balls fly through, and the golfer's repeatability
    resolutions : (clubs,) s, of half-unload
    """

    swing: Swing
    own: Club
    clubs: tuple[Club, ...]
    same: tuple[bool, ...]
    hands: str
    ball: str
    solver: str
    where: Range
    resolutions: tuple[float | None, ...]


def repeat_swings(
    setting: Setting,
    wanted: int = REPETITIONS,
    *,
    seed: int = SEED,
    progress: Callable[[int, int], None] | None = None,
) -> Repeated:
    """Repeat a golfer's swing and swing every club in each repetition.

    Parameters
    ----------
    wanted : repetitions
    progress : told how many are done, and of how many

    Raises
    ------
    InputError
        A number of repetitions that cannot be, a swing that is not aimed, or one of which most repetitions cannot
        be made.
    """
    check_repeat(setting.swing, wanted)
    drawn = repetitions(setting.swing, setting.where.repeatability, seed)
    for club in (setting.own, *setting.clubs):
        _ = club.viscosity, club.face  # made before the threads start
    if progress is not None:
        progress(0, wanted)  # a first run on a machine compiles before one is made
    foretold = _foretold(setting)

    def take(repetition: Repetition) -> tuple[Repetition, Array] | None:
        table = swing_once(setting, repetition.plan, foretold)
        return None if table is None else (repetition, table)

    taken: list[tuple[Repetition, Array]]
    taken, left_out = gather(drawn, take, wanted, progress)
    made, tables = [r for r, _ in taken], np.array([table for _, table in taken])
    return _summary(setting, made, tables, left_out, seed)


def _foretold(setting: Setting) -> Foretold:
    """Where the search for each repetition's aim starts."""
    plan, spread = _plan_of(setting.swing), setting.swing.spread
    # What is delivered differs with every repetition, whether or not the mean swing does.
    steps = {key: 0.5 * width for key, width in DELIVERY_STEPS.items() if getattr(plan.target, key[9:]) is not None}
    if spread is not None:
        steps |= {key: 0.5 * float(width) for key, width in zip(spread.keys, spread.deviations, strict=True)}
    return foretell(plan, setting.own, aim(plan, setting.own), steps)


def swing_once(setting: Setting, plan: SwingPlan, foretold: Foretold) -> Array | None:
    """(1 + clubs, figures) one repetition: figures of `BANDED`, the reference club's first; NaN where there is none.

    None where the swing cannot be made, or misses the ball with the reference club.
    """
    own, swing = setting.own, setting.swing
    others = [club for club, same in zip(setting.clubs, setting.same, strict=True) if not same]
    try:
        shot = aim(plan, own, near=foretold.near(plan), afresh=False, tolerance=AIM)
        reference = reference_along(shot, plan, own, tee_height=swing.tee_height, firmness=swing.grip_firmness)
        table = swing_clubs(
            Golfer(reference, "", swing.reference_club, ()),
            [own, *others],
            hands=setting.hands,
            ball=setting.ball,
            solver=setting.solver,
            where=setting.where,
            step=STEP.get(setting.solver),
        )
    except (InputError, SimulationError):
        return None
    if not is_struck(table[0]):
        return None
    # A club built as the reference club is takes its row: no change is a change of nothing but rounding.
    rows = np.cumsum(~np.array(setting.same, dtype=np.bool_))
    return np.vstack([table[:1], table[np.where(setting.same, 0, rows)]])


def _summary(setting: Setting, made: Sequence[Repetition], table: Array, left_out: int, seed: int) -> Repeated:
    """Bands, probabilities and groups of a table (swings, 1 + clubs, figures)."""
    clubs = tuple(club.label for club in setting.clubs)
    own, changes = table[:, 1:], table[:, 1:] - table[:, :1]
    struck = is_struck(own)
    half = np.where(struck & np.isnan(own[:, :, _HALF]), np.inf, own[:, :, _HALF])
    margins = [LEAST_RESOLUTION if r is None else r for r in setting.resolutions]
    # More loft is further along: of −loft the smaller is more.
    loft_margin = [math.sqrt(2.0) * SOLVER.dynamic_loft] * len(clubs)
    spread = setting.swing.spread
    return Repeated(
        clubs=clubs,
        swings=len(made),
        left_out=left_out,
        seed=seed,
        mean_is_drawn=spread is not None and bool(spread.keys),
        deviations=setting.where.words,
        struck=tuple(int(n) for n in struck.sum(axis=0)),
        figures={club: bands_of(own[:, i]) for i, club in enumerate(clubs)},
        changes={club: bands_of(changes[:, i]) for i, club in enumerate(clubs)},
        place=place_probability(half, margins),
        before=before_probability(half, margins),
        more_loft=before_probability(-own[:, :, _LOFT], loft_margin),
        group=tuple(groups(half, margins)),
        shares=variance_shares(made, changes),
    )


def variance_shares(made: Sequence[Repetition], changes: Array) -> dict[str, Shares]:
    """Where the variance of the changes of `SHARED` comes from.

    Notes
    -----
    Least squares on the draws of the mean swing, then on those of both; the two are independent, so what the second
    adds belongs to the deviations. The changes are taken by rank, so that neither a bend nor a few swings far out
    hide what they go with (Conover & Iman 1981, Am. Stat. 35:124). R² is adjusted for the number of regressors:
    1 − (1 − R²) (n − 1)/(n − p − 1) (Wherry 1931, Ann. Math. Stat. 2:440; from memory).
    """
    mean, deviation = (np.array([getattr(r, name) for r in made]) for name in ("mean", "deviation"))
    found = {}
    for key, column in zip(SHARED, (_HALF, _FACE, _LOFT), strict=True):
        parts = []
        for values in changes[:, :, column].T:
            there = np.isfinite(values)
            n, regressors = int(there.sum()), mean.shape[1] + deviation.shape[1]
            if n < 2 * (regressors + 1) or np.ptp(values[there]) <= 1e-9:  # nothing varies, or too few to say
                continue
            ranks = rankdata(values[there])
            of_mean = _explained(mean[there], ranks)
            of_both = _explained(np.hstack([mean, deviation])[there], ranks)
            parts.append((of_mean, max(0.0, of_both - of_mean)))
        if parts:
            found[key] = Shares(*(float(v) for v in np.median(np.array(parts), axis=0)))
    return found


def _explained(inputs: Array, values: Array) -> float:
    """Adjusted R² of a straight-line fit, not below 0."""
    n, p = inputs.shape
    if p == 0:
        return 0.0
    design = np.hstack([np.ones((n, 1)), inputs])
    rest = values - design @ np.linalg.lstsq(design, values, rcond=None)[0]
    r2 = 1.0 - float(rest @ rest) / float(np.sum((values - values.mean()) ** 2))
    return max(0.0, 1.0 - (1.0 - r2) * (n - 1) / (n - p - 1))
