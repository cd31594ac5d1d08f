"""How readings change with the profile: derivatives by small changes of the shaft, through the tests themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from swingbeam.bench.measured import Wanted, predict
from swingbeam.bench.unknowns import Unknowns, shaft_of
from swingbeam.shaft.shaft import Shaft

Array = NDArray[np.float64]

STEP = 1e-3
"""Change of a log for a derivative: one-sided, it leaves about half of this share of the derivative as error, small
beside the change of the derivatives over a band; round-off in a reading (10⁻⁹) is a million times smaller."""
PROPERTIES = ("EI", "GJ", "mass")


@dataclass(frozen=True, eq=False)
class Linear:
    """Readings at a point and their derivatives there.

    Attributes
    ----------
    value : (r,) SI
    logs : (r, 3 n) by the logs of EI, GJ and mass at the stations
    unknowns : (r, p) by the unknowns
    """

    value: Array
    logs: Array
    unknowns: Array


def depends_on(unknowns: Unknowns, at: Array, wanted: Sequence[Wanted]) -> NDArray[np.bool_]:
    """(r, 3): whether a reading changes at all with EI, GJ or mass, seen by scaling each as a whole."""
    logs = unknowns.logs(at)
    base = predict(_shaft(unknowns, logs), wanted)
    seen = np.zeros((len(wanted), 3), dtype=bool)
    for k in range(3):
        # By a taper of the log as well as its level: a kick point does not change with the level alone.
        moved = logs.copy()
        moved[k] += 0.01 * (1.0 + unknowns.s / unknowns.s[-1])
        seen[:, k] = np.abs(predict(_shaft(unknowns, moved), wanted) - base) > 1e-9 * np.abs(base)
    return seen


def linearise(unknowns: Unknowns, at: Array, wanted: Sequence[Wanted], seen: NDArray[np.bool_]) -> Linear:
    """Readings and derivatives at a vector of unknowns.

    Each unknown's own stations are changed together, so that a piece of constant EI stays one. Tests that a property
    does not enter (`seen`, of `depends_on`) are not run again for it.
    """
    logs = unknowns.logs(at)
    records: dict[Any, Any] = {}
    value = predict(_shaft(unknowns, logs), wanted, records)
    n, count = unknowns.s.size, unknowns.count
    by_place = np.zeros((len(wanted), 3, count))
    for k in range(3):
        rows = np.flatnonzero(seen[:, k])
        asked = [wanted[int(i)] for i in rows]
        if not asked:
            continue
        for j in range(count):
            moved = logs.copy()
            moved[k] += STEP * unknowns.spread[:, j]
            by_place[rows, k, j] = (predict(_shaft(unknowns, moved), asked) - value[rows]) / STEP
    by_unknown = [by_place[:, 0] + by_place[:, 1]]
    if unknowns.has_ratio:
        by_unknown.append(by_place[:, 1])
    by_unknown.append(by_place[:, 2])
    # At the stations: a constant piece's derivative is shared by its two ends.
    share = unknowns.spread / unknowns.spread.sum(axis=0)
    by_log = (by_place @ share.T).reshape(len(wanted), 3 * n)
    return Linear(value, by_log, np.hstack(by_unknown))


def _shaft(unknowns: Unknowns, logs: Array) -> Shaft:
    ei, gj, mass = np.exp(logs)
    return shaft_of(unknowns.facts, unknowns.s, ei, gj, mass)
