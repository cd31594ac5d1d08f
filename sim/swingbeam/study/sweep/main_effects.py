"""What any plan can say of two columns: how their ranks go together, and how much of one the other accounts for."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from .problem import Array

MOST_LEVELS, MOST_BINS, LEAST_IN_BIN, LEAST_FOR_INTERVAL = 20, 20, 10, 10


@dataclass(frozen=True)
class RankCorrelation:
    """Spearman's rank correlation over `count` cases; ends of its interval, None where there is no interval."""

    value: float
    low: float | None
    high: float | None
    count: int


@dataclass(frozen=True, eq=False)
class MainEffect:
    """The mean of an output over the levels, or bins of equal count, of an input.

    Attributes
    ----------
    at : (bins,) the level, or the bin's mean of the input
    mean : (bins,) of the output
    count : (bins,) cases
    levels : whether the bins are the input's own levels
    share : of the output's variance that lies between the bins, with the part that chance makes taken off; ≥ 0
    ratio : the correlation ratio: root of the share as it stands, chance included
    """

    at: Array
    mean: Array
    count: NDArray[np.int64]
    levels: bool
    share: float
    ratio: float


def both_finite(x: Array, y: Array) -> tuple[Array, Array]:
    """The cases where both columns have a value."""
    known = np.isfinite(x) & np.isfinite(y)
    return x[known], y[known]


def varies(x: Array) -> bool:
    """Whether there are two values that differ by more than their last digits."""
    return x.size > 1 and float(np.ptp(x)) > 1e-12 * float(np.abs(x).max())


def rank_correlation(x: Array, y: Array, *, level: float = 0.95, interval: bool = True) -> RankCorrelation | None:
    """Spearman's rank correlation of two columns (cases,), ties by mean rank; NaN pairs are left out.

    The interval is Fisher's z with the variance (1 + r²/2)/(n − 3) of Bonett & Wright (2000, Psychometrika 65:23),
    which holds for independent draws; none below `LEAST_FOR_INTERVAL` cases.

    Returns
    -------
    RankCorrelation or None
        None where fewer than three pairs are left, or a column does not vary.
    """
    x, y = both_finite(x, y)
    if x.size < 3 or not varies(x) or not varies(y):
        return None
    value = float(np.corrcoef(stats.rankdata(x), stats.rankdata(y))[0, 1])
    value = min(max(value, -1.0), 1.0)
    if not interval or x.size < LEAST_FOR_INTERVAL:
        return RankCorrelation(value, None, None, x.size)
    if abs(value) == 1.0:
        return RankCorrelation(value, value, value, x.size)
    half = float(stats.norm.ppf(0.5 + 0.5 * level)) * math.sqrt((1.0 + 0.5 * value * value) / (x.size - 3))
    centre = math.atanh(value)
    return RankCorrelation(value, math.tanh(centre - half), math.tanh(centre + half), x.size)


def bins_of(
    x: Array, *, levels_only: bool = False, most: int = MOST_BINS, least: int = LEAST_IN_BIN
) -> tuple[NDArray[np.intp], int, bool]:
    """Bin of every case, number of bins, and whether these are the column's own levels.

    Few values that repeat are levels; else at most `most` bins of equal count, at least `least` cases each where there
    are enough for two.
    """
    values, place = np.unique(x, return_inverse=True)
    if levels_only or (values.size <= MOST_LEVELS and 2 * values.size <= x.size):
        return place.reshape(-1), int(values.size), True
    count = min(most, max(2, x.size // least), x.size)
    order = np.argsort(x, kind="stable")
    place = np.empty(x.size, dtype=np.intp)
    place[order] = np.arange(x.size) * count // x.size
    return place, count, False


def main_effect(x: Array, y: Array, *, named: bool = False) -> MainEffect | None:
    """Mean of y over levels or bins of x, and the share of its variance between them; NaN pairs are left out.

    With B bins over n cases and η² = variance between them over the whole one (the correlation ratio η: Pearson 1905,
    Drapers' Company Research Memoirs), share = 1 − (1 − η²)(n − 1)/(n − B), which is unbiased in the sense of Kelley
    (1935, Proc. Natl. Acad. Sci. 21:554), and at least 0.

    Parameters
    ----------
    x, y : (cases,) float
    named : bool
        x numbers named things: each is a level.

    Returns
    -------
    MainEffect or None
        None where fewer than three pairs are left, or a column does not vary.
    """
    x, y = both_finite(x, y)
    if x.size < 3 or not varies(x) or not varies(y):
        return None
    place, bins, levels = bins_of(x, levels_only=named)
    count = np.bincount(place, minlength=bins)
    at = np.bincount(place, weights=x, minlength=bins) / count
    mean = np.bincount(place, weights=y, minlength=bins) / count
    whole = float(np.sum((y - y.mean()) ** 2))
    between = min(float(np.sum(count * (mean - y.mean()) ** 2)) / whole, 1.0)
    # One case a bin: all variance lies between bins, and what chance makes of it cannot be told.
    left = x.size - bins
    share = 1.0 - (1.0 - between) * (x.size - 1) / left if left > 0 else math.nan
    return MainEffect(at, mean, count, levels, max(share, 0.0) if math.isfinite(share) else share, math.sqrt(between))
