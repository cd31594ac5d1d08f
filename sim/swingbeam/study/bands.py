"""What another club changes for a golfer whose swing is known within a spread: medians and 90 % bands.

Swings are drawn from the spread; each is aimed with the reference club and swings every club. Of 39 draws the
second lowest and the second highest bound the band: a fortieth, the golfer's own, falls between them 36 times in 40
(order statistics; David & Nagaraja 2003, Order Statistics, 7.3).
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.club.build import Club
from swingbeam.swing import hands_named
from swingbeam.swing.aim import aim, reference_along
from swingbeam.swing.archetype import Swing
from swingbeam.swing.plan import SwingPlan

from .golfer import Golfer
from .many import COLUMNS, fits_the_lanes, swing_many
from .measure import Measured
from .quantities import IMPACT, SHOT, UNLOAD, Quantity
from .repeated import Band, Bands
from .shots import Range, with_plain_shot

Array = NDArray[np.float64]

DRAWS, FEWEST = 39, 19
"""Swings drawn, and the fewest of which lowest and highest hold nine tenths."""
SEED = 1
AIM = 1e-2
"""How well a drawn swing is aimed, degrees: what it delivers spreads by tenths."""
MOST_FAILURES = 9.0
"""Swings that cannot be made, over those that are used. A golfer near the edge of what can be swung has many, and
leaving them out is right: they are nobody's. With more than these the spread says nothing of him."""
MOST_THREADS = 8
BANDED: tuple[tuple[str, Quantity], ...] = (
    *(("unload", q) for q in UNLOAD if q.attribute != "crossings"),
    *(("impact", q) for q in IMPACT),
    *(("shot", q) for q in SHOT),
)
"""Figures whose changes have a band: (record, quantity)."""
_COLUMNS = [COLUMNS[record][quantity.attribute] for record, quantity in BANDED]
_FACE = [quantity.key for _, quantity in BANDED].index("face_angle_deg")


def swing_clubs(
    golfer: Golfer,
    clubs: Sequence[Club],
    *,
    hands: str,
    ball: str,
    solver: str,
    where: Range,
    step: float | None = None,
) -> Array:
    """Swing clubs as one golfer does and strike their balls: side by side where that can be, else the readable way.

    Parameters
    ----------
    hands, ball, solver : names of the hand mode, the ball rule and the solver
    where : what the balls fly through
    step : s of the solver; None: its default

    Returns
    -------
    (clubs, figures) of `BANDED`, SI; NaN where a figure does not exist

    Raises
    ------
    SimulationError
        The golfer's reference couple cannot be made.
    """
    table = np.full((len(clubs), len(BANDED)), math.nan)
    left = np.arange(len(clubs))
    if fits_the_lanes(solver, ball):
        # Where longer steps fail they fail for all clubs, at a turn of the golfer's: the default ones do it.
        for h in dict.fromkeys((step, None)):
            many = swing_many(golfer, [clubs[i] for i in left.tolist()], hands_named(hands), ball, where=where, step=h)
            table[left], left = many.table[:, _COLUMNS], left[~many.ended]
            if not left.size:
                break
    for i in left.tolist():
        measured = golfer.swing(clubs[i], hands, ball, solver, step=step)
        table[i] = figures_of(with_plain_shot(measured, clubs[i], where))
    return table


def figures_of(measured: Measured) -> Array:
    """(figures,) of `BANDED`, SI; NaN where a figure does not exist."""
    values = [getattr(getattr(measured, record), q.attribute, None) for record, q in BANDED]
    return np.array([math.nan if v is None else v for v in values], dtype=float)


def is_struck(figures: Array) -> NDArray[np.bool_]:
    """Whether the ball was struck, of figures (..., figures) of `BANDED`."""
    return np.isfinite(figures[..., _FACE])


def change_bands(
    swing: Swing,
    own: Club,
    clubs: Sequence[Club],
    hands: str,
    ball: str,
    solver: str,
    *,
    where: Range | None = None,
    draws: int = DRAWS,
) -> Bands:
    """Swing every club as the golfer may be, and give the bands of the changes.

    Parameters
    ----------
    swing : with a spread
    own : the reference club
    clubs : labels are the keys of the result
    hands, ball, solver : names of the hand mode, the ball rule and the solver
    where : what the balls fly through; the usual where None
    draws : swings to use; the band holds 1 − 2·k/(draws + 1) with k = `place_of(draws)`

    Raises
    ------
    InputError
        A swing without spread, or a spread of which most swings cannot be made.
    """
    if swing.spread is None or not isinstance(swing.plan, SwingPlan):
        raise InputError(f'swing "{swing.name}" states no spread')
    range_ = Range() if where is None else where
    for club in (own, *clubs):
        _ = club.viscosity, club.face  # made before the threads start
    shot = aim(swing.plan, own)

    def changes(plan: SwingPlan) -> Array | None:
        try:
            near = aim(plan, own, near=shot, afresh=False, tolerance=AIM)
            reference = reference_along(near, plan, own, tee_height=swing.tee_height, firmness=swing.grip_firmness)
            golfer = Golfer(reference, "", swing.reference_club, ())
            table = swing_clubs(golfer, [own, *clubs], hands=hands, ball=ball, solver=solver, where=range_)
        except (InputError, SimulationError):
            return None
        return table[1:] - table[0] if is_struck(table[0]) else None

    rows, left_out = gather(swing.spread.draws(swing.plan, SEED), changes, draws)
    table = np.array(rows)  # (draws, clubs, figures)
    clubs_bands = {club.label: bands_of(table[:, i]) for i, club in enumerate(clubs)}
    return Bands(clubs_bands, draws=len(rows), left_out=left_out)


Drawn = TypeVar("Drawn")
Taken = TypeVar("Taken")


def gather(
    drawn: Iterator[Drawn],
    take: Callable[[Drawn], Taken | None],
    wanted: int,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[list[Taken], int]:
    """The first `wanted` swings, in the order drawn, that can be made; and how many before the last of them cannot.

    Both are the same whatever the number of threads.

    Parameters
    ----------
    take : swings one; None where that cannot be
    progress : told how many are made, and of how many

    Raises
    ------
    InputError
        Most of the swings cannot be made.
    """
    rows: list[Taken] = []
    left_out = 0
    pool = ThreadPoolExecutor(min(MOST_THREADS, os.cpu_count() or 1))
    try:
        while len(rows) < wanted:
            for row in pool.map(take, list(islice(drawn, wanted - len(rows)))):
                if row is None:
                    left_out += 1
                else:
                    rows.append(row)
                if left_out > MOST_FAILURES * wanted:
                    raise InputError("spread: most of the swings it allows cannot be made; allowed: a narrower spread")
                if progress is not None:
                    progress(len(rows), wanted)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
    return rows, left_out


def bands_of(table: Array) -> dict[str, Band]:
    """Bands of one club: table (draws, figures).

    A figure that some draws do not have (a half-unload where the shaft is still bent deepest at impact) is banded
    over those that have it; with fewer than `FEWEST`, of which no two hold nine tenths, it has no band.
    """
    found = {}
    fewest = min(FEWEST, len(table))
    for column, (_, quantity) in zip(table.T, BANDED, strict=True):
        there = np.sort(column[np.isfinite(column)])
        if there.size >= fewest:
            place = place_of(there.size)
            ends = float(there[place - 1]), float(np.median(there)), float(there[-place])
            found[quantity.key] = Band(*ends, draws=int(there.size))
    return found


def place_of(draws: int) -> int:
    """From which place from below and above so many draws hold nine tenths, or nearest to it: 2 of 39."""
    return max(1, round(0.05 * (draws + 1)))
