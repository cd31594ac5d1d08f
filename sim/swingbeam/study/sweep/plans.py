"""The plan of a study's file: which cases there are."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.files.study_file import MOST_CASES, PlanTable
from swingbeam.units import nearest, quote

from .address import CLUB, GOLFER
from .makers import Recipe
from .sampling import Crossed, Drawn, Listed, Plan, Sensitivity, correlation_root, grid_of, sobol_shares

Array = NDArray[np.float64]

SPARE_SHARE = 8
"""One spare row of a sensitivity plan for so many rows, where nothing is stated."""


def make_plan(table: PlanTable, recipe: Recipe, drawn: int, listed: Array | None) -> Plan:
    """The plan that a file states.

    Parameters
    ----------
    drawn : how many of the inputs, the first, are drawn by a repeatability plan
    listed : (cases, inputs) SI values of a list, else None

    Raises
    ------
    InputError
        Something has no levels for a grid, correlations of what does not vary or that contradict each other, too many
        cases.
    """
    plan = _plan(table, recipe, drawn, listed)
    if plan.count > MOST_CASES:
        raise InputError(f"plan: found {plan.count:,} cases; allowed: up to {MOST_CASES:,}")
    return plan


def _plan(table: PlanTable, recipe: Recipe, drawn: int, listed: Array | None) -> Plan:
    keys = [address.key for address in recipe.addresses]
    slow = [address.slow for address in recipe.addresses]
    variations = recipe.variations
    if table.kind == "list":
        if listed is None:
            raise InputError("plan: found no list of cases")
        return Listed(listed)
    if table.kind == "grid":
        return grid_of(variations, keys, slow)
    if table.kind == "sensitivity":
        rows = table.rows or 0
        spare = max(1, rows // SPARE_SHARE) if table.spare_rows is None else table.spare_rows
        if (rows + spare) * (len(keys) + 2) > MOST_CASES:
            raise InputError(f"plan: found {(rows + spare) * (len(keys) + 2):,} cases; allowed: up to {MOST_CASES:,}")
        sobol_shares(1, 2 * len(keys), table.seed)
        return Sensitivity(variations, rows, spare, table.seed)
    cases = table.cases or 0
    if table.kind == "repeatability":
        draws = Drawn("random", variations[:drawn], cases, table.seed)
        grid = grid_of(variations[drawn:], keys[drawn:], slow[drawn:]) if len(keys) > drawn else None
        return Crossed(draws, grid)
    correlations = _correlations(table, keys) if table.correlations else None
    return Drawn(table.kind, variations, cases, table.seed, correlations)


def _correlations(table: PlanTable, keys: list[str]) -> Array:
    matrix = np.eye(len(keys))
    for number, row in enumerate(table.correlations, 1):
        for key in row.of:
            if key not in keys:
                guess = nearest(key, keys)
                hint = f"; did you mean {quote(guess)}?" if guess else ""
                raise InputError(
                    f"plan.correlations #{number}.of: found {quote(key)}; allowed: two keys of [vary]{hint}"
                )
        a, b = (keys.index(key) for key in row.of)
        if matrix[a, b] != 0.0:
            raise InputError(f"plan.correlations #{number}.of: found a pair for the second time; allowed: each once")
        matrix[a, b] = matrix[b, a] = row.correlation
    correlation_root(matrix)
    return matrix


def distinct(plan: Plan, recipe: Recipe) -> tuple[int, int]:
    """How many different golfers and clubs a plan has."""
    golfers, clubs = recipe.places((GOLFER,)), recipe.places((CLUB,))
    return _distinct(plan, golfers), _distinct(plan, clubs)


def _distinct(plan: Plan, places: tuple[int, ...]) -> int:
    if not places:
        return 1
    levels = getattr(plan, "levels", None)
    if levels is not None:
        product = 1
        for place in places:
            product *= levels[place].size
        return product
    seen: set[bytes] = set()
    for start in range(0, plan.count, 65536):
        values = plan.values(np.arange(start, min(start + 65536, plan.count), dtype=np.int64))
        rows = np.unique(np.ascontiguousarray(values[:, places]), axis=0)
        seen.update(row.tobytes() for row in rows)
    return len(seen)
