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
from swingbeam.swing.aim import aim, reference_along
from swingbeam.swing.archetype import Swing
from swingbeam.swing.plan import SwingPlan

from .golfer import Golfer
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

    def changes(plan: SwingPlan) -> list[Array] | None:
        try:
            near = aim(plan, own, near=shot, afresh=False, tolerance=AIM)
            reference = reference_along(near, plan, own, tee_height=swing.tee_height, firmness=swing.grip_firmness)
            golfer = Golfer(reference, "", swing.reference_club, ())
        except (InputError, SimulationError):
            return None
        base = with_plain_shot(golfer.swing(own, hands, ball, solver), own, range_)
        if base.status != "ok":
            return None
        swung = (with_plain_shot(golfer.swing(club, hands, ball, solver), club, range_) for club in clubs)
        return [_change(measured, base) for measured in swung]

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


def _change(measured: Measured, base: Measured) -> Array:
    """(figures,) changes of `BANDED`, NaN where a figure does not exist."""
    values = []
    for record, quantity in BANDED:
        here, there = (getattr(getattr(m, record), quantity.attribute, None) for m in (measured, base))
        values.append(math.nan if here is None or there is None else here - there)
    return np.array(values, dtype=float)


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
