"""A column over one or two others: medians and bands, or a table of cells, for pictures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .main_effects import bins_of, both_finite
from .problem import Array

QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)
MOST_BINS, LEAST_IN_BIN = 16, 40
"""Quantiles near the ends need more cases than a mean."""
LEAST_FOR_BANDS = 5
"""Bins with fewer cases than this have a median and no bands."""


@dataclass(frozen=True, eq=False)
class Bands:
    """A column over the levels or bins of another.

    Attributes
    ----------
    at : (bins,) the level, or the bin's median
    quantiles : (bins, 5) at `QUANTILES`; only the median where a bin has few cases, NaN beside it
    count : (bins,) cases
    """

    at: Array
    quantiles: Array
    count: NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Cells:
    """Median of a column over the levels of two others; (m,), (n,), (n, m), NaN where no case has it."""

    x: Array
    y: Array
    median: Array


def bands_of(x: Array, y: Array, *, named: bool = False) -> Bands:
    """Median, 50 % and 90 % bands of y (cases,) over levels or bins of x; pairs with NaN are left out."""
    x, y = both_finite(x, y)
    place, bins, levels = bins_of(x, levels_only=named, most=MOST_BINS, least=LEAST_IN_BIN)
    order = np.argsort(place, kind="stable")
    edges = np.searchsorted(place[order], np.arange(bins + 1))
    at, quantiles = np.empty(bins), np.full((bins, len(QUANTILES)), np.nan)
    for k in range(bins):
        members = order[edges[k] : edges[k + 1]]
        at[k] = x[members[0]] if levels else np.median(x[members])
        if members.size >= LEAST_FOR_BANDS:
            quantiles[k] = np.quantile(y[members], QUANTILES)
        else:
            quantiles[k, QUANTILES.index(0.5)] = np.median(y[members])
    return Bands(at, quantiles, np.diff(edges))


def cells_of(x: Array, y: Array, z: Array) -> Cells | None:
    """Median of z (cases,) at every pair of levels of x and y; None where these are no levels of a table.

    A table it is where every pair of levels occurs among the cases, whatever came of them.
    """
    known = np.isfinite(x) & np.isfinite(y)
    x, y, z = x[known], y[known], z[known]
    columns, i = np.unique(x, return_inverse=True)
    rows, j = np.unique(y, return_inverse=True)
    if columns.size < 2 or rows.size < 2 or columns.size * rows.size > x.size:
        return None
    place = j.reshape(-1) * columns.size + i.reshape(-1)
    if np.unique(place).size < columns.size * rows.size:
        return None
    median = np.full(columns.size * rows.size, np.nan)
    good = np.isfinite(z)
    order = np.lexsort((z[good], place[good]))
    sorted_place, sorted_z = place[good][order], z[good][order]
    found, start, count = np.unique(sorted_place, return_index=True, return_counts=True)
    # The mean of the two middle values, which are one and the same for an odd count.
    median[found] = 0.5 * (sorted_z[start + (count - 1) // 2] + sorted_z[start + count // 2])
    return Cells(columns, rows, median.reshape(rows.size, columns.size))
