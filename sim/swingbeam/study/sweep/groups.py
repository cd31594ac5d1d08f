"""The only door through which a study swings clubs: side by side where that goes, else one after another."""

from __future__ import annotations

from collections.abc import Sequence

from swingbeam.club.build import Club
from swingbeam.study.golfer import Golfer

from .figures import Swung, Way, rows_of, swing_one
from .makers import TROUBLE
from .problem import Rows
from .side_by_side import base_side_by_side, goes_side_by_side, rows_side_by_side


def swing_group(golfer: Golfer, clubs: Sequence[Club], way: Way, base: Swung | None) -> Rows:
    """Swing k clubs as one golfer does.

    Parameters
    ----------
    base : his reference club swung the same way (`swing_base`); None where no change is wanted

    Returns
    -------
    Rows of k cases; a club that fails is a row with its reason.
    """
    if goes_side_by_side(way):
        try:
            return rows_side_by_side(golfer, clubs, way, base)
        except TROUBLE:
            pass  # one of them stops all: found out which, one after another
    return rows_of([swing_one(golfer, club, way) for club in clubs], way.figures, way.times, base)


def swing_base(golfer: Golfer, way: Way) -> Swung:
    """Swing the golfer's reference club, for the changes against it; whatever goes wrong is a status."""
    if goes_side_by_side(way):
        try:
            return base_side_by_side(golfer, way)
        except TROUBLE:
            pass
    return swing_one(golfer, golfer.club, way)
