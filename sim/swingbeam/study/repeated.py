"""What repeated swings tell: bands of every figure, probabilities of places and pairs, groups."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Band:
    """Of one figure, or of its change against the reference club; SI."""

    low: float
    median: float
    high: float
    draws: int
    """Over how many swings: those that have the figure."""


@dataclass(frozen=True, eq=False)
class Bands:
    """Bands of every club's changes.

    Attributes
    ----------
    clubs : club → figure's key → its band; a figure that too few draws have is not there
    draws : swings used
    left_out : swings drawn that could not be made or whose reference club missed the ball
    """

    clubs: dict[str, dict[str, Band]]
    draws: int
    left_out: int


@dataclass(frozen=True)
class Shares:
    """Where the variance of one figure's change, taken by rank, comes from; the median over the clubs; 0 … 1.

    Attributes
    ----------
    mean_swing : from what is not known of the golfer's mean swing
    swing_to_swing : from how he differs from himself
    """

    mean_swing: float
    swing_to_swing: float

    @property
    def rest(self) -> float:
        """From neither in a straight line: both together, or curved."""
        return max(0.0, 1.0 - self.mean_swing - self.swing_to_swing)


@dataclass(frozen=True, eq=False)
class Repeated:
    """A ranking repeated by a golfer who is not a machine.

    Attributes
    ----------
    clubs : labels, in the order of the scenario; the axes of the arrays
    swings : how many, each with every club
    left_out : drawn beside them, but could not be made or missed the ball with the reference club
    seed : of the draws
    mean_is_drawn : whether what is not known of the mean swing is drawn too, or the stated swing is the mean
    deviations : how he differs from himself, in words
    struck : (clubs,) swings in which each club struck the ball
    figures : club → figure's key → band of the figure itself
    changes : the same for the change against the reference club
    place : (clubs, clubs) probability of each place by half-unload, first place first
    before : (clubs, clubs) probability that the first unloads before the second; a tie counts half
    more_loft : (clubs, clubs) probability that the first delivers more dynamic loft than the second
    group : number of the group that cannot be told apart, 1 unloads first
    shares : figure's key → where the variance of its change comes from
    """

    clubs: tuple[str, ...]
    swings: int
    left_out: int
    seed: int
    mean_is_drawn: bool
    deviations: str
    struck: tuple[int, ...]
    figures: Mapping[str, Mapping[str, Band]]
    changes: Mapping[str, Mapping[str, Band]]
    place: Array
    before: Array
    more_loft: Array
    group: tuple[int | None, ...]
    shares: Mapping[str, Shares]

    def row(self, club: str) -> int:
        """Place of a club along the axes of the arrays."""
        return self.clubs.index(club)

    def first(self, club: str) -> float:
        """Probability that a club unloads first; NaN if it never struck the ball."""
        return float(self.place[self.row(club), 0])


def by_group(found: Repeated, ranked: Sequence[str]) -> list[str]:
    """Clubs by group, within it as they are ranked, those without a group last."""
    last = len(found.clubs) + 1
    return sorted(ranked, key=lambda club: (found.group[found.row(club)] or last, ranked.index(club)))
