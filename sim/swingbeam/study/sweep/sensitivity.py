"""Sobol' indices of a sensitivity plan: which share of an output's variance an input makes alone, and with others.

The sample is the A/B/AB one of Saltelli (2002, Comput. Phys. Commun. 145:280): two matrices A and B of one row a draw,
and for every input i a matrix AB_i, which is A with column i out of B. Rows are kept or left out whole.

First order, S_i = V[E(y|x_i)]/V[y], and total, T_i = E[V(y|x_~i)]/V[y] (Sobol' 2001, Math. Comput. Simul. 55:271), by
the estimators of table 2 (b) and (f) in Saltelli, Annoni, Azzini, Campolongo, Ratto & Tarantola (2010, Comput. Phys.
Commun. 181:259); (f) is that of Jansen (1999, Comput. Phys. Commun. 117:35).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .problem import Array, Sample

LEVEL = 0.95
"""Share of the intervals."""
RESAMPLES = 1000
LEAST_ROWS = 8
"""Fewer whole rows than this give no indices."""
_A, _B, _AB = 0, 1, 2
_AT_ONCE = 4_000_000
"""Numbers of a block of resamples: bounds the memory, changes no result."""


@dataclass(frozen=True, eq=False)
class RowValues:
    """An output by rows of the sample.

    Attributes
    ----------
    a, b : (rows,) of the matrices A and B
    ab : (inputs, rows) of A with one column of B
    """

    a: Array
    b: Array
    ab: Array

    def take(self, rows: NDArray[np.intp]) -> RowValues:
        """Some of the rows."""
        return RowValues(self.a[rows], self.b[rows], self.ab[:, rows])


@dataclass(frozen=True)
class RowCount:
    """Which rows the indices of one output stand on.

    Attributes
    ----------
    used : whole rows that are used
    wanted : rows the plan asked for; where the file does not say, all it has, spares among them
    stated : whether the file says how many were asked for
    left_out : rows among the wanted ones with a case that failed or lacks the output
    spares : spare rows, taken in order, that stand in for them
    """

    used: int
    wanted: int
    stated: bool
    left_out: int
    spares: int


@dataclass(frozen=True, eq=False)
class Indices:
    """Sobol' indices of one output, (inputs,) each, with the ends of their intervals."""

    first: Array
    first_low: Array
    first_high: Array
    total: Array
    total_low: Array
    total_high: Array


def by_rows(values: Array, sample: Sample, inputs: int) -> RowValues:
    """An output (cases,) sorted into rows; NaN where a case is missing."""
    rows = int(sample.row.max()) + 1 if sample.row.size else 0
    a, b, ab = np.full(rows, np.nan), np.full(rows, np.nan), np.full((inputs, rows), np.nan)
    for matrix, target in ((_A, a), (_B, b)):
        chosen = sample.matrix == matrix
        target[sample.row[chosen]] = values[chosen]
    chosen = sample.matrix == _AB
    ab[sample.column[chosen], sample.row[chosen]] = values[chosen]
    return RowValues(a, b, ab)


def whole_rows(values: RowValues, wanted: int | None) -> tuple[NDArray[np.intp], RowCount]:
    """The rows without a missing value: of the wanted ones those that are whole, then spares in order to replace the
    rest.

    Without a number of rows that were wanted, all whole rows are used.
    """
    whole = np.isfinite(values.a) & np.isfinite(values.b) & np.isfinite(values.ab).all(axis=0)
    stated = wanted is not None
    wanted = whole.size if wanted is None else min(wanted, whole.size)
    kept = np.flatnonzero(whole)[:wanted]
    left_out = int(wanted - whole[:wanted].sum())
    return kept, RowCount(kept.size, wanted, stated, left_out, int((kept >= wanted).sum()))


def sobol_indices(values: RowValues, *, seed: int, resamples: int = RESAMPLES, level: float = LEVEL) -> Indices | None:
    """First-order and total indices with percentile intervals from a bootstrap over rows.

    Rows are drawn with replacement, each with all of its cases (Archer, Saltelli & Sobol' 1997, J. Stat. Comput. Simul.
    58:99). Rows of a low-discrepancy sequence are spread more evenly than independent draws: the intervals are then
    wide rather than narrow. An estimate may leave 0 … 1 by its error.

    Returns
    -------
    Indices or None
        None with fewer than `LEAST_ROWS` rows, or where the output does not vary.
    """
    rows = values.a.size
    spread = float(np.var(np.concatenate([values.a, values.b]))) if rows else 0.0
    size = float(np.abs(values.a).max()) if rows else 0.0
    # A constant that went through floating point differs by its last digits.
    if rows < LEAST_ROWS or spread <= (1e-12 * size) ** 2:
        return None
    terms = _terms(values)
    first, total = _estimate(terms.mean(axis=0)[np.newaxis], values.ab.shape[0])
    drawn = _bootstrap(terms, values.ab.shape[0], np.random.default_rng(seed), resamples)
    tails = [0.5 * (1.0 - level), 0.5 * (1.0 + level)]
    (first_low, first_high), (total_low, total_high) = (np.nanquantile(each, tails, axis=0) for each in drawn)
    return Indices(first[0], first_low, first_high, total[0], total_low, total_high)


def _terms(values: RowValues) -> Array:
    """(rows, 2 + 3·inputs): what the estimators average over rows.

    Both estimators are ratios of such means, so that a resample is one row of counts times this table. Outputs are
    centred first: the first-order estimator's error grows with the mean (Sobol' & Levitan 1999, Comput. Phys. Commun.
    117:52).
    """
    centre = 0.5 * (values.a.mean() + values.b.mean())
    a, b, ab = values.a - centre, values.b - centre, values.ab - centre
    change = ab - a
    return np.column_stack([0.5 * (a + b), 0.5 * (a * a + b * b), (b * change).T, change.T, (0.5 * change * change).T])


def _estimate(means: Array, inputs: int) -> tuple[Array, Array]:
    """First-order and total indices, (k, inputs) each, from means (k, terms) of `_terms`."""
    mean, square = means[:, :1], means[:, 1:2]
    product, change, jansen = (means[:, 2 + k * inputs : 2 + (k + 1) * inputs] for k in range(3))
    variance = square - mean * mean
    with np.errstate(divide="ignore", invalid="ignore"):
        # The resample's own mean is taken off B here, which is the centring of (b) for that resample.
        return (product - mean * change) / variance, jansen / variance


def _bootstrap(terms: Array, inputs: int, rng: np.random.Generator, resamples: int) -> tuple[Array, Array]:
    """First-order and total indices of resamples of the rows, (resamples, inputs) each."""
    rows = terms.shape[0]
    first, total = np.empty((resamples, inputs)), np.empty((resamples, inputs))
    block = max(1, _AT_ONCE // rows)
    for start in range(0, resamples, block):
        k = min(block, resamples - start)
        drawn = rng.integers(0, rows, (k, rows)) + rows * np.arange(k)[:, np.newaxis]
        counts = np.bincount(drawn.ravel(), minlength=k * rows).reshape(k, rows)
        part = slice(start, start + k)
        first[part], total[part] = _estimate(counts @ terms / rows, inputs)
    return first, total
