"""How far a golfer's swing may be from the one that is stated: normal about it, bounded, and drawn from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ..beam.errors import InputError
from .parameters import BY_KEY, value_of, with_values
from .plan import SwingPlan

Array = NDArray[np.float64]

LEAST_EIGENVALUE = -1e-4
"""Of a matrix of correlations that are written with six digits; below it they contradict each other."""


@dataclass(frozen=True, eq=False)
class Spread:
    """The spread of a swing's parameters, and of a golfer's shots.

    Raises
    ------
    InputError
        Keys that are not parameters or come twice, standard deviations that are not positive, correlations that
        are no matrix of correlations.
    """

    keys: tuple[str, ...]
    """Parameters, as in a swing's file."""
    deviations: Array
    """(n,) standard deviations, SI: how far the swing that is stated may be from the golfer's own."""
    correlations: Array
    """(n, n)"""
    shots: Mapping[str, float] = field(default_factory=dict)
    """Figure → standard deviation from shot to shot, SI: how the golfer differs from himself."""

    def __post_init__(self) -> None:
        n = len(self.keys)
        unknown = [key for key in self.keys if key not in BY_KEY]
        if unknown or len(set(self.keys)) != n:
            raise InputError(
                f"spread: found {unknown or 'a parameter twice'}; allowed: each once of {', '.join(BY_KEY)}"
            )
        for name in ("deviations", "correlations"):
            array = np.array(getattr(self, name), dtype=float)
            array.setflags(write=False)
            object.__setattr__(self, name, array)
        if self.deviations.shape != (n,) or not np.all(self.deviations > 0.0):
            raise InputError(f"spread: allowed: {n} standard deviations above 0, one for each parameter")
        c = self.correlations
        if c.shape != (n, n) or not np.allclose(c, c.T, atol=1e-12) or not np.allclose(np.diag(c), 1.0, atol=1e-12):
            raise InputError(f"spread: allowed: {n} by {n} correlations, the same both ways, 1 of each with itself")
        if n and float(np.linalg.eigvalsh(c).min()) < LEAST_EIGENVALUE:
            raise InputError("spread: the correlations contradict each other; no golfers can differ so")

    @property
    def root(self) -> Array:
        """(n, n) L with L Lᵀ = covariance."""
        values, vectors = np.linalg.eigh(self.correlations)
        return np.asarray(self.deviations[:, None] * vectors * np.sqrt(np.clip(values, 0.0, None)))

    def draws(self, plan: SwingPlan, seed: int) -> Iterator[SwingPlan]:
        """Swings about a plan, without end; draws with a parameter out of its bounds are left out.

        A number of draws is the same whatever is done with them: they depend on plan and seed alone.
        """
        rng, root = np.random.default_rng(seed), self.root
        centre = np.array([value_of(plan, key) for key in self.keys])
        least = np.array([BY_KEY[key].least for key in self.keys])
        most = np.array([BY_KEY[key].most for key in self.keys])
        while True:
            values = centre + root @ rng.standard_normal(centre.size)
            if np.all((values >= least) & (values <= most)):
                yield with_values(plan, dict(zip(self.keys, values, strict=True)))
