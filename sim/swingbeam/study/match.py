"""Match an archetype to a customer: the swing with which his own flexible club delivers his figures."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.club.build import Club, load_club
from swingbeam.files.base import naming, parse_toml
from swingbeam.files.club_file import ClubParts
from swingbeam.files.customer_file import CustomerFile, read_customer
from swingbeam.files.lookup import find
from swingbeam.files.spread_file import PARAMETER_KINDS
from swingbeam.files.swing_file import SwingFile
from swingbeam.swing.aim import aim
from swingbeam.swing.archetype import Swing, load_swing, swing_from_file
from swingbeam.swing.parameters import MOTION, PARAMETERS, Parameter, value_of, with_values
from swingbeam.swing.plan import DEGREE, Adjustment, SwingPlan
from swingbeam.swing.stature import scaled, stature_of_wrist
from swingbeam.units import parse_quantity, show

from .match_figures import BY_KEY, DELIVERED, STRIKE, Known, figures_of, known
from .match_result import KINDS, MatchedFigure, MatchedParameter, MatchResult
from .match_solve import MOST_LEAN, SAME_COST, STARTS, Problem, Solution, best, solve, starts
from .match_text import matched_text

Array = NDArray[np.float64]

PINNED, PARTLY = 0.5, 0.9
"""A parameter is pinned down when the figures leave less than half of its width, partly when less than 0.9."""
FAR = 2.0
"""A parameter found further from the archetype's, in widths, is one of another kind of golfer."""
CONTRADICTED = 2.0
"""A figure that the best swing misses by more standard errors contradicts the others."""


def match_customer(name: str | os.PathLike[str], *, searches: int = STARTS) -> MatchResult:
    """Match a customer.

    Parameters
    ----------
    name : name or path of a customer's file
    searches : how many starts the search has

    Raises
    ------
    InputError
        A file that cannot be read, a club that cannot be built, figures no such golfer delivers.
    SimulationError
        The customer's club could not be swung.
    """
    path = Path(find("customer", name))
    record, archetype, parts, club, figures = _read(path)
    with naming(path):
        return match(archetype, club, parts, figures, record, searches=searches)


def check_customer(path: Path) -> str:
    """Read a customer's file and what it names, and say so; InputError as `match_customer`."""
    record, archetype, _, club, figures = _read(path)
    _plan_of(archetype)
    return (
        f'a sound customer, "{record.name}": {len(figures)} figures with {club.label}, to start from {archetype.name}'
    )


def _read(path: Path) -> tuple[CustomerFile, Swing, ClubParts, Club, dict[str, Known]]:
    record, stated = read_customer(path)
    with naming(path):
        archetype = load_swing(record.archetype, beside=path)
        parts = _found_parts(record.club, path)
        try:
            club = load_club(parts)
        except InputError as error:
            raise InputError(f"club: {error}") from None
    return record, archetype, parts, club, {k: known(k, f.value, f.spread, f.shots) for k, f in stated.items()}


def _plan_of(archetype: Swing) -> SwingPlan:
    if not isinstance(archetype.plan, SwingPlan):
        raise InputError(
            f'archetype: "{archetype.name}" is driven by torque or recorded; allowed: a swing of stated motion, '
            'such as "even"'
        )
    return archetype.plan


def _found_parts(parts: ClubParts, beside: Path) -> ClubParts:
    """The club with the files that only the customer's folder holds named in full."""
    changes = {}
    for kind in ("shaft", "head"):
        name = getattr(parts, kind)
        there = find(kind, name, beside=beside)
        try:
            same = find(kind, name).resolve() == there.resolve()
        except InputError:
            same = False
        if not same or name.endswith(".toml"):
            changes[kind] = str(there.resolve())
    return parts.model_copy(update=changes)


def match(
    archetype: Swing,
    club: Club,
    parts: ClubParts,
    figures: Mapping[str, Known],
    customer: CustomerFile,
    *,
    searches: int = STARTS,
) -> MatchResult:
    """Match an archetype to figures.

    Parameters
    ----------
    club, parts : what the figures were measured with, built and as stated
    figures : by key, SI
    customer : name, note, hand, build and tee height are used

    Raises
    ------
    InputError, SimulationError
        As `match_customer`.
    """
    plan = replace(_built(_plan_of(archetype), customer, club), name=customer.name)
    problem = Problem(_with_head_speed(plan, club), club, figures)
    ends, problems = _searched(problem, searches)
    found = best(ends)
    values = _values(found, problem)
    matched = _with_strike(with_values(problem.plan, values), figures)
    matched = replace(matched, start=Adjustment(*(float(x) for x in found.adjustment)))
    try:
        shot = aim(matched, club)
    except InputError as error:
        raise InputError(_not_found(figures, found, error)) from None
    rows = _figures(figures, figures_of(shot, club.face.normal), found)
    parameters = _parameters(problem, values, found, figures)
    result = MatchResult(
        customer=customer.name,
        archetype=archetype.name,
        reference=club.label,
        figures=rows,
        parameters=parameters,
        swing=archetype,
        text="",
        statements=(
            *_contradictions(rows, shot.line.adjustment.lean),
            *_strange(parameters),
            *_disagreement(ends, found),
            *problems,
        ),
        starts=len(ends),
        agreeing=sum(is_same(end, found) for end in ends),
    )
    text = matched_text(result, customer, archetype, parts, matched, correlations(found))
    return replace(result, text=text, swing=swing_from_file(parse_toml(text, SwingFile)))


def _built(plan: SwingPlan, customer: CustomerFile, club: Club) -> SwingPlan:
    """The archetype at the customer's stature."""
    stature = customer.stature
    if customer.wrist_to_floor is not None:
        stature = stature_of_wrist(customer.wrist_to_floor)
    return plan if stature is None else scaled(plan, stature, club.length_beyond_hold)


def _with_head_speed(plan: SwingPlan, club: Club) -> SwingPlan:
    """The plan with the head speed stated, which its downswing time gives where it states that."""
    if plan.target.head_speed is not None:
        return plan
    return with_values(plan, {"delivery.head_speed": aim(plan, club).at_impact.head_speed})


def _with_strike(plan: SwingPlan, figures: Mapping[str, Known]) -> SwingPlan:
    """The ball where this golfer strikes it."""
    struck = {key: figures[key].value for key in STRIKE if key in figures}
    return replace(plan, target=replace(plan.target, **struck))


def _searched(problem: Problem, searches: int) -> tuple[list[Solution], tuple[str, ...]]:
    """The ends of the searches; what went wrong with the others, in words."""
    ends, failures = [], []
    for start in starts(problem, searches):
        try:
            ends.append(solve(problem, start))
        except (InputError, SimulationError) as error:
            failures.append(str(error))
    if not ends:
        raise SimulationError(f"no search for the swing came to an end: {failures[0]}")
    if not failures:
        return ends, ()
    count = len(ends) + len(failures)
    return ends, (f"{len(failures)} of {count} searches did not come to an end: {failures[0]}",)


def _values(found: Solution, problem: Problem) -> dict[str, float]:
    """Every parameter as a file states it: six digits in people's units."""
    values = dict(zip((p.key for p in MOTION), found.motion, strict=True))
    values |= {f"delivery.{name}": found.figures[name] for name in DELIVERED}
    return {p.key: as_written(values[p.key], p) for p in PARAMETERS}


def as_written(value: float, parameter: Parameter) -> float:
    """A value after it has been written and read, SI."""
    return parse_quantity(show(float(value), parameter.unit), PARAMETER_KINDS[parameter.key])


def deviations(found: Solution) -> dict[str, float]:
    """Key → posterior standard deviation, SI."""
    keys = [*(p.key for p in MOTION), *(f"delivery.{name}" for name in DELIVERED)]
    return dict(zip(keys, np.sqrt(np.diag(found.covariance)).tolist(), strict=True))


def correlations(found: Solution) -> Array:
    """(25, 25) posterior correlations, in the order of `PARAMETERS`."""
    own = [*(p.key for p in MOTION), *(f"delivery.{name}" for name in DELIVERED)]
    order = [own.index(p.key) for p in PARAMETERS]
    covariance = found.covariance[np.ix_(order, order)]
    size = np.sqrt(np.diag(covariance))
    return np.asarray(covariance / np.outer(size, size))


def _figures(figures: Mapping[str, Known], got: Mapping[str, float], found: Solution) -> tuple[MatchedFigure, ...]:
    rows = []
    for key, figure in BY_KEY.items():
        if key in STRIKE:
            if key in figures:
                rows.append(MatchedFigure(figure, figures[key], got[key], figures[key].error))
            continue
        deviation = float(np.sqrt(found.slopes[key] @ found.covariance @ found.slopes[key]))
        rows.append(MatchedFigure(figure, figures.get(key), got[key], deviation))
    return tuple(rows)


def _parameters(
    problem: Problem, values: Mapping[str, float], found: Solution, figures: Mapping[str, Known]
) -> tuple[MatchedParameter, ...]:
    left = deviations(found)
    rows = []
    for p in PARAMETERS:
        ratio = left[p.key] / p.width
        kind = KINDS[0] if ratio < PINNED else KINDS[1] if ratio < PARTLY else KINDS[2]
        rows.append(MatchedParameter(p, value_of(problem.plan, p.key), p.width, values[p.key], left[p.key], kind))
    return tuple(rows)


def _contradictions(rows: tuple[MatchedFigure, ...], lean: float) -> tuple[str, ...]:
    """The figures that no golfer within the widths delivers together, in words."""
    missed = [row for row in rows if row.off is not None and abs(row.off) > CONTRADICTED]
    words = []
    if missed:
        told = ", ".join(_missed(row) for row in missed)
        words.append(
            f"the figures contradict each other for a golfer of this kind: the nearest swing gives {told}; measure "
            "again, or start from another archetype"
        )
    if abs(lean) > 0.98 * MOST_LEAN:
        words.append(
            f"the shaft would have to lean {abs(lean) / DEGREE:.0f} deg, as far as it may: loft and attack together "
            "do not fit this head and shaft"
        )
    return tuple(words)


def _strange(parameters: tuple[MatchedParameter, ...]) -> tuple[str, ...]:
    """Whether the archetype had to be left far behind, in words."""
    told = [
        f"{row.parameter.words} ({abs(row.found - row.archetype) / row.width:.1f} widths)"
        for row in parameters
        if row.parameter in MOTION and abs(row.found - row.archetype) > FAR * row.width
    ]
    if not told:
        return ()
    return (f"this golfer is far from the archetype in {', '.join(told)}: start from another one, or measure again",)


def _not_found(figures: Mapping[str, Known], found: Solution, error: InputError) -> str:
    """Why there is no swing with these figures: the search ended at the edge of what can be swung."""
    missed = [
        row for row in _figures(figures, found.figures, found) if row.off is not None and abs(row.off) > CONTRADICTED
    ]
    told = ", ".join(_missed(row) for row in missed) or "all of them, but no further can be gone"
    return (
        f"figures: they contradict each other for a golfer of this kind: the nearest swing gives {told}, and there "
        f"{str(error).split(': ', 1)[-1]}"
    )


def _missed(row: MatchedFigure) -> str:
    figure, measured = row.figure, row.measured
    value = measured.value if measured is not None else row.delivered
    unit = figure.unit
    if not unit:
        return f"{figure.words} {row.delivered:.2f} instead of {value:.2f}"
    return (
        f"{figure.words} {show(row.delivered, unit, figure.decimals)} instead of {show(value, unit, figure.decimals)}"
    )


def is_same(one: Solution, other: Solution) -> bool:
    """Whether two ends are one: every parameter within a tenth of what the figures leave open."""
    size = np.sqrt(np.diag(other.covariance))[: other.motion.size]
    return bool(np.all(np.abs(one.motion - other.motion) < 0.1 * size))


def _disagreement(ends: list[Solution], found: Solution) -> tuple[str, ...]:
    others = [end for end in ends if not is_same(end, found) and end.cost < found.cost + SAME_COST]
    if not others:
        return ()
    size = np.sqrt(np.diag(found.covariance))[: found.motion.size]
    apart = np.max([np.abs(end.motion - found.motion) / size for end in others], axis=0)
    told = ", ".join(MOTION[i].words for i in np.argsort(apart)[::-1][:3])
    return (
        f"{len(others)} of {len(ends)} searches ended at another swing that fits as well; it differs most in {told}",
    )
