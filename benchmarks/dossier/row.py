"""One row of the dossier: a problem, the figure expected, and how each solver comes by its own."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from verification.beams import FUNCTIONS

MESHES = (16, 32, 64)
"""Elements of the three meshes that a converged figure and its order are taken from."""


class Problem(NamedTuple):
    """A problem with several figures, all from one calculation."""

    title: str
    source: str
    figures: Sequence[str]
    """What each figure is, with its unit."""
    expected: Sequence[float]
    tolerance: float
    """Relative, or absolute where `absolute` says so."""
    measure: Callable[..., Any]
    """measure(solver=..., elements=... | functions=...) gives the figures."""
    solvers: tuple[str, ...] = ("elements", "curvature")
    absolute: bool = False
    meshes: tuple[int, int, int] | None = MESHES
    """None: one calculation on the measure's own mesh, no order."""
    functions: tuple[int, int] = FUNCTIONS


class Row(NamedTuple):
    """A figure and what came out."""

    title: str
    source: str
    figure: str
    expected: float
    got: dict[str, float]
    tolerance: str
    order: float | None
    """Observed order of `elements` in the element length; None where it has none or round-off hides it."""
    within: bool


def rows_of(problem: Problem) -> list[Row]:
    """Solve a problem with every solver it is asked of."""
    expected = np.asarray(problem.expected, dtype=float)
    got: dict[str, np.ndarray] = {}
    orders: list[float | None] = [None] * expected.size
    for solver in problem.solvers:
        if problem.meshes is None:
            got[solver] = np.atleast_1d(problem.measure(solver=solver))
        elif solver == "curvature":
            got[solver] = np.atleast_1d(problem.measure(solver=solver, functions=problem.functions))
        else:
            coarse, middle, fine = (np.atleast_1d(problem.measure(solver=solver, elements=n)) for n in problem.meshes)
            # Second order: two meshes are extrapolated to none (Richardson).
            got[solver] = (4.0 * fine - middle) / 3.0
            orders = [_order(*values) for values in zip(coarse, middle, fine, strict=True)]
    out = []
    for k, figure in enumerate(problem.figures):
        allowed = problem.tolerance * (1.0 if problem.absolute else abs(expected[k]))
        size = f"{problem.tolerance:g}" if problem.absolute else f"{100 * problem.tolerance:g} %"
        mine = {solver: float(values[k]) for solver, values in got.items()}
        within = all(abs(value - expected[k]) <= allowed for value in mine.values())
        out.append(Row(problem.title, problem.source, figure, float(expected[k]), mine, size, orders[k], within))
    return out


def _order(coarse: float, middle: float, fine: float) -> float | None:
    """log₂ of the ratio of two differences; None when they are round-off."""
    first, second = abs(coarse - middle), abs(middle - fine)
    if second < 1e-9 * max(abs(fine), 1e-3) or first == 0.0:
        return None
    return float(np.log2(first / second))
