"""Which cases a plan has: the values of every input by the number of the case.

A grid is never laid out: the values of a case follow from its number. A drawn plan keeps cases × inputs numbers, drawn
anew in every process from the seed; nothing but the recipe is sent.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr
from scipy.stats import qmc

from swingbeam.beam.errors import InputError

from .problem import Sample
from .variation import Variation

Array = NDArray[np.float64]
Cases = NDArray[np.int64]

A, B, AB = 0, 1, 2
"""Matrices of a sensitivity plan."""


class Plan(Protocol):
    """The values of a plan's cases; picklable."""

    @property
    def count(self) -> int:
        """How many cases there are."""
        ...

    @property
    def run_length(self) -> int:
        """How many cases that follow each other belong together."""
        ...

    def values(self, cases: Cases) -> Array:
        """(k, inputs) SI values of some cases."""
        ...


@dataclass(frozen=True, eq=False)
class Grid:
    """Every combination of levels.

    Attributes
    ----------
    levels : (n,) values of every input
    order : places of the inputs, the one that varies slowest first
    run_length : cases that follow each other and share the slow inputs
    """

    levels: tuple[Array, ...]
    order: tuple[int, ...]
    run_length: int = 1

    @cached_property
    def count(self) -> int:
        """The product of the numbers of levels."""
        product = 1
        for own in self.levels:
            product *= own.size
        return product

    def values(self, cases: Cases) -> Array:
        """(k, inputs) by division and remainder."""
        found = np.empty((cases.size, len(self.levels)))
        rest = np.asarray(cases, dtype=np.int64).copy()
        for place in reversed(self.order):
            rest, here = np.divmod(rest, self.levels[place].size)
            found[:, place] = self.levels[place][here]
        return found


@dataclass(frozen=True, eq=False)
class Listed:
    """Cases one by one; (cases, inputs)."""

    table: Array
    run_length: int = 1

    @property
    def count(self) -> int:
        return len(self.table)

    def values(self, cases: Cases) -> Array:
        return self.table[cases]


@dataclass(frozen=True, eq=False)
class Drawn:
    """Cases drawn from how every input varies.

    Attributes
    ----------
    kind : "latin-hypercube", "sobol" or "random"
    correlations : (inputs, inputs) of the normal scores of the inputs, for "random"; for normal inputs these are their
        own, and of any others the rank correlation is (6/π)·asin(ρ/2) (Pearson 1907, On Further Methods of
        Determining Correlation: from memory)
    """

    kind: str
    variations: tuple[Variation, ...]
    count: int
    seed: int
    correlations: Array | None = None
    run_length: int = 1

    @cached_property
    def table(self) -> Array:
        """(cases, inputs) SI values."""
        shares = draw_shares(self.kind, self.count, len(self.variations), self.seed, self.correlations)
        for place, variation in enumerate(self.variations):
            shares[:, place] = variation.at(shares[:, place])
        return shares

    def values(self, cases: Cases) -> Array:
        return self.table[cases]

    def __getstate__(self) -> dict[str, object]:
        return {name: value for name, value in vars(self).items() if name != "table"}


def draw_shares(kind: str, count: int, inputs: int, seed: int, correlations: Array | None = None) -> Array:
    """(count, inputs) shares, 0 … 1, of a plan.

    Latin hypercube: McKay, Beckman & Conover 1979, Technometrics 21:239. Sobol sequence with Owen's scrambling: as
    scipy.stats.qmc.Sobol draws it from `numpy.random.default_rng(seed)`. Random: with correlations the shares are
    those of normal numbers that have them.

    Raises
    ------
    InputError
        Correlations that no numbers can have.
    """
    rng = np.random.default_rng(seed)
    if kind == "latin-hypercube":
        return np.asarray(qmc.LatinHypercube(d=inputs, seed=rng).random(count))
    if kind == "sobol":
        return sobol_shares(count, inputs, seed)
    if correlations is None:
        return rng.random((count, inputs))
    return ndtr(rng.standard_normal((count, inputs)) @ correlation_root(correlations).T)


def sobol_shares(count: int, inputs: int, seed: int) -> Array:
    """(count, inputs) of a scrambled Sobol sequence."""
    if inputs > qmc.Sobol.MAXDIM:
        raise InputError(f"found {inputs} columns of a Sobol sequence; allowed: up to {qmc.Sobol.MAXDIM}")
    with warnings.catch_warnings():  # spare rows make a number that is no power of two; the rows before them are one
        warnings.simplefilter("ignore", UserWarning)
        return np.asarray(qmc.Sobol(d=inputs, scramble=True, seed=np.random.default_rng(seed)).random(count))


def correlation_root(correlations: Array) -> Array:
    """(n, n) L with L Lᵀ = correlations; InputError when they contradict each other."""
    try:
        return np.asarray(np.linalg.cholesky(correlations))
    except np.linalg.LinAlgError:
        raise InputError("correlations: they contradict each other; no draws can have them all") from None


@dataclass(frozen=True, eq=False)
class Crossed:
    """Every draw with every combination of a grid: draws vary slowest.

    Attributes
    ----------
    draws : of the first inputs
    grid : of the others; None: there are none
    """

    draws: Drawn
    grid: Grid | None

    @property
    def count(self) -> int:
        return self.draws.count * self.run_length

    @property
    def run_length(self) -> int:
        """Combinations of the grid."""
        return 1 if self.grid is None else self.grid.count

    def values(self, cases: Cases) -> Array:
        drawn = self.draws.values(cases // self.run_length)
        return drawn if self.grid is None else np.hstack([drawn, self.grid.values(cases % self.run_length)])


@dataclass(frozen=True, eq=False)
class Sensitivity:
    """The sample that Sobol' indices need, row by row: A_i, AB_i of every input, B_i.

    A and B are the halves of one scrambled Sobol sequence of twice as many columns; AB_i with column j is A_i with its
    j-th value from B_i (Saltelli et al. 2010, Comput. Phys. Commun. 181:259). The spare rows go on where the others
    end, and may stand for rows in which a case failed.

    Attributes
    ----------
    rows, spare : base rows, and how many of them more
    """

    variations: tuple[Variation, ...]
    rows: int
    spare: int
    seed: int
    _cache: dict[str, Array] = field(default_factory=dict, repr=False)

    @property
    def run_length(self) -> int:
        """Cases of one row."""
        return len(self.variations) + 2

    @property
    def count(self) -> int:
        return (self.rows + self.spare) * self.run_length

    @property
    def halves(self) -> Array:
        """(rows and spare rows, 2 · inputs) SI values: A, then B."""
        if "halves" not in self._cache:
            n = len(self.variations)
            shares = sobol_shares(self.rows + self.spare, 2 * n, self.seed)
            for place in range(2 * n):
                shares[:, place] = self.variations[place % n].at(shares[:, place])
            self._cache["halves"] = shares
        return self._cache["halves"]

    def sample(self, cases: Cases) -> Sample:
        """Row, matrix and column of some cases."""
        row, place = np.divmod(np.asarray(cases, dtype=np.int64), self.run_length)
        last = self.run_length - 1
        matrix = np.where(place == 0, A, np.where(place == last, B, AB)).astype(np.int8)
        return Sample(row, matrix, np.where(matrix == AB, place - 1, -1).astype(np.int16))

    def values(self, cases: Cases) -> Array:
        n, where = len(self.variations), self.sample(cases)
        both = self.halves[where.row]
        found = np.where((where.matrix == B)[:, None], both[:, n:], both[:, :n])
        changed = np.nonzero(where.matrix == AB)[0]
        column = where.column[changed].astype(np.int64)
        found[changed, column] = both[changed, n + column]
        return found

    def __getstate__(self) -> dict[str, object]:
        return {**vars(self), "_cache": {}}


def grid_of(variations: Sequence[Variation], keys: Sequence[str], slow: Sequence[int]) -> Grid:
    """The grid of how things vary.

    Parameters
    ----------
    slow : for every input how slowly it varies: 0 the slowest

    Raises
    ------
    InputError
        Something that has no levels.
    """
    levels = []
    for key, variation in zip(keys, variations, strict=True):
        if variation.levels is None:
            raise InputError(
                f'vary."{key}": has no levels for a grid; allowed: from, to and count, or a list of values'
            )
        levels.append(variation.levels)
    order = tuple(sorted(range(len(levels)), key=lambda i: (slow[i], i)))
    together = 1
    for i, own in enumerate(levels):
        together *= own.size if slow[i] else 1
    return Grid(tuple(levels), order, together)
