"""Spot checks: a few cases once more with the other solver, and whether the study can be relied upon.

A problem that has them says which (`spot_cases`), runs them (`spot_check`: Rows whose values are the differences, the
other solver's less the study's) and says how far they may lie apart (`spot_limits`: output → limit in its shown unit);
`prepare_spots` compiles what they need, once, before workers start that would each compile it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .problem import Array, Problem, Rows

WORST_SHOWN = 3


def spot_cases(problem: Problem) -> NDArray[np.int64]:
    """The cases that are run once more; none where the problem has no spot checks."""
    found: Any = getattr(problem, "spot_cases", ())
    return np.asarray(found, dtype=np.int64).reshape(-1)


def spot_limits(problem: Problem) -> Mapping[str, float]:
    """How far an output of the two solvers may lie apart, in its shown unit; of those that have a limit."""
    found: Mapping[str, float] = getattr(problem, "spot_limits", {})
    return found


def prepare_spots(problem: Problem) -> None:
    """Compile what spot checks need, where the problem knows how."""
    prepare: Any = getattr(problem, "prepare_spots", None)
    if prepare is not None:
        prepare()


def run_spots(problem: Problem, start: int, stop: int) -> Rows:
    """The differences of some of the spot checks, by their place in the list."""
    check: Any = problem
    rows: Rows = check.spot_check(spot_cases(problem)[start:stop])
    return rows


def verdict(cases: NDArray[np.int64], differences: Mapping[str, Array], limits: Mapping[str, float]) -> str:
    """Why a study is doubtful, in words; empty when all differences are within their limits.

    Parameters
    ----------
    cases : (k,) numbers of the cases
    differences : output → (k,) the other solver's less the study's, NaN where there is none
    limits : output → largest difference allowed
    """
    beyond = []
    for name, limit in limits.items():
        size = np.abs(np.asarray(differences[name], dtype=float))
        if not np.isfinite(size).any():
            continue
        worst = int(np.nanargmax(size))
        if size[worst] > limit:
            share = f"{int(np.sum(size > limit))} of {np.isfinite(size).sum()}"
            words = (
                f"{name} differs by {size[worst]:.3g} in case {cases[worst]} (limit {limit:g}; beyond it in {share})"
            )
            beyond.append((size[worst] / limit if limit > 0.0 else np.inf, words))
    beyond.sort(key=lambda entry: -entry[0])
    return "; ".join(words for _, words in beyond[:WORST_SHOWN])
