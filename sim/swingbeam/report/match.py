"""A golfer matched to his figures, for people and as JSON."""

from __future__ import annotations

import json
from typing import Any

from rich.console import Console

from swingbeam.study.match_result import KINDS, MatchedFigure, MatchedParameter, MatchResult
from swingbeam.units import to_unit

from .caution import CAUTION

_KIND_WORDS = {
    "pinned down": "pinned down by the figures (less than half of the archetype's width is left)",
    "partly": "told something about",
    "as the archetype": "not pinned down: they stay as the archetype has them, and may be off by their whole width",
}


def print_match(result: MatchResult, console: Console) -> None:
    """Print what was matched, what the figures pin down and how far the answer could move."""
    console.print(f"{result.customer}, matched from the archetype {result.archetype}", style="bold")
    console.print(f"the figures are those of the reference club: {result.reference}")
    console.print()
    console.print(f"{'Figure':<34}{'measured':>10}{'±':>9}{'delivered':>11}{'±':>9}", style="bold")
    for row in result.figures:
        console.print(f"  {_figure_line(row)}")
    console.print("± is one standard deviation: of the mean of the shots with the instrument's, and of the answer.")
    for kind in KINDS:
        rows = [row for row in result.parameters if row.kind == kind]
        if rows:
            console.print()
            console.print(f"Parameters {_KIND_WORDS[kind]}", style="bold")
            console.print(f"{'':<34}{'archetype':>10}{'width':>9}{'matched':>11}{'±':>9}")
        for parameter in rows:
            console.print(f"  {_parameter_line(parameter)}")
    console.print()
    same = f"{result.agreeing} of {result.starts}" if result.starts > 1 else "one"
    console.print(f"Searches that end at this swing: {same}. Misfit: {result.misfit:.2f}.")
    for statement in result.statements:
        console.print(f"Note: {statement}.")
    console.print()
    console.print(CAUTION, style="dim")


def _number(value: float, unit: str, decimals: int) -> str:
    text = f"{to_unit(value, unit) if unit else value:.{decimals}f}"
    return text.replace("-", "−") if text.strip("-0.") else text.lstrip("-")


def _figure_line(row: MatchedFigure) -> str:
    figure, measured = row.figure, row.measured
    known = ["–", ""] if measured is None else [measured.value, measured.error]
    cells = [c if isinstance(c, str) else _number(c, figure.unit, figure.decimals) for c in known]
    cells += [_number(v, figure.unit, figure.decimals) for v in (row.delivered, row.deviation)]
    return f"{figure.words:<32}{cells[0]:>10}{cells[1]:>9}{cells[2]:>11}{cells[3]:>9} {figure.unit}".rstrip()


def _parameter_line(row: MatchedParameter) -> str:
    p = row.parameter
    decimals = 3 if p.unit == "s" else 0 if p.unit in ("ms", "deg/s") else 2 if p.unit == "rad/s" else 1
    cells = [_number(v, p.unit, decimals) for v in (row.archetype, row.width, row.found, row.deviation)]
    return f"{p.words:<32}{cells[0]:>10}{cells[1]:>9}{cells[2]:>11}{cells[3]:>9} {p.unit}"


def match_json(result: MatchResult) -> str:
    """The match as JSON text: numbers in the unit beside them, no NaN or infinity."""
    shown: dict[str, Any] = {
        "customer": result.customer,
        "archetype": result.archetype,
        "reference": result.reference,
        "figures": [_figure_object(row) for row in result.figures],
        "parameters": [_parameter_object(row) for row in result.parameters],
        "misfit": result.misfit,
        "searches": result.starts,
        "searches_that_agree": result.agreeing,
        "statements": list(result.statements),
    }
    return json.dumps(shown, ensure_ascii=False, allow_nan=False, indent=2)


def _in(value: float, unit: str) -> float:
    return to_unit(value, unit) if unit else value


def _figure_object(row: MatchedFigure) -> dict[str, Any]:
    unit, measured = row.figure.unit, row.measured
    return {
        "figure": row.figure.key,
        "unit": unit or "1",
        "measured": None if measured is None else _in(measured.value, unit),
        "error": None if measured is None else _in(measured.error, unit),
        "shots": None if measured is None else measured.shots,
        "delivered": _in(row.delivered, unit),
        "deviation": _in(row.deviation, unit),
    }


def _parameter_object(row: MatchedParameter) -> dict[str, Any]:
    p = row.parameter
    return {
        "parameter": p.key,
        "unit": p.unit,
        "archetype": _in(row.archetype, p.unit),
        "width": _in(row.width, p.unit),
        "width_from": p.source,
        "matched": _in(row.found, p.unit),
        "deviation": _in(row.deviation, p.unit),
        "kind": row.kind,
    }
