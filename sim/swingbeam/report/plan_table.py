"""What a study will do and what it costs, before it is run: as text and as JSON."""

from __future__ import annotations

import json
import textwrap
from typing import Any

from rich.console import Console

from swingbeam.study.sweep.cost import Cost, Span
from swingbeam.study.sweep.progress import duration
from swingbeam.study.sweep.swing_study import SwingStudy

from .columns import Column, section

KINDS = {
    "grid": "every combination of levels",
    "list": "the cases of a list",
    "latin-hypercube": "drawn: Latin hypercube",
    "sobol": "drawn: Sobol sequence, scrambled",
    "random": "drawn: random",
    "repeatability": "the golfer's own swings, drawn from his spread, each with every combination of what else varies",
    "sensitivity": "rows A, AB and B of a Sobol sequence, for sensitivity indices",
}


def plan_object(study: SwingStudy, cost: Cost, command: str) -> dict[str, Any]:
    """The plan as plain dicts and lists, units in the keys or beside the values."""
    return {
        "study": study.name,
        "question": study.question,
        "plan": study.kind,
        "seed": study.seed,
        "held": study.held,
        "approximation": study.approximation,
        "cases": cost.cases,
        "golfers": cost.golfers,
        "clubs": cost.clubs,
        "inputs": [_span_object(span) for span in cost.spans],
        "outputs": [output.name for output in study.outputs],
        "spot_checks": len(study.spot_cases),
        "seconds_a_golfer": cost.per_golfer,
        "seconds_a_case": cost.per_case,
        "cores": cost.cores,
        "seconds_in_all": cost.seconds,
        "bytes": cost.bytes,
        "digest": study.digest,
        "next": command,
    }


def plan_json(study: SwingStudy, cost: Cost, command: str) -> str:
    """The plan as JSON text; no NaN or infinity can be in it."""
    return json.dumps(plan_object(study, cost, command), ensure_ascii=False, allow_nan=False, indent=2)


def _span_object(span: Span) -> dict[str, Any]:
    one = span.input
    shown: dict[str, Any] = {"key": one.key, "variable": one.name, "words": one.long_name}
    if one.choices:
        return {**shown, "names": list(one.choices)}
    shown |= {"unit": one.unit, "low": one.scale * span.low, "high": one.scale * span.high}
    return shown if span.levels is None else {**shown, "levels": span.levels}


def print_plan(study: SwingStudy, cost: Cost, command: str, console: Console) -> None:
    """Print it."""
    console.print(f"{study.name}: {study.question}", style="bold", markup=False)
    counted = [f"{cost.cases:,} cases", _of(cost.golfers, "golfer"), _of(cost.clubs, "club")]
    console.print(f"{', '.join(counted)}; {KINDS[study.kind]}", markup=False)
    names = [Column("what varies", [span.input.key for span in cost.spans], left=True)]
    columns = [
        Column("from", [_end(span, span.low) for span in cost.spans]),
        Column("to", [_end(span, span.high) for span in cost.spans]),
        Column("unit", [_unit(span) for span in cost.spans], left=True),
        Column("levels", ["drawn" if span.levels is None else f"{span.levels:,}" for span in cost.spans]),
    ]
    section(console, "Inputs", names, columns)
    for span in cost.spans:
        if span.input.choices:
            words = f"{span.input.key}: {', '.join(span.input.choices)}"
            console.print(textwrap.shorten(words, 300, placeholder=" …"), markup=False)
    console.print()
    console.print(f"held: {study.held}", markup=False)
    console.print(f"outputs: {len(study.outputs)} figures a case", markup=False)
    console.print()
    golfer = f"{1e3 * cost.per_golfer:.0f} ms a golfer, " if cost.golfers > 1 else ""
    console.print(
        f"measured here: {golfer}{1e3 * cost.per_case:.3g} ms a club swung; all of them on {cost.cores} cores: about "
        f"{duration(cost.seconds)}",
        markup=False,
    )
    sizes = ", ".join(f"{_size(size)} with {history} curves" for history, size in cost.bytes.items())
    console.print(f"file, before it is compressed: {sizes.replace('none curves', 'no curves')}", markup=False)
    console.print(f"spot checks with the other solver: {len(study.spot_cases)} cases", markup=False)
    console.print(f"next: {command}", markup=False)


def _of(count: int, word: str) -> str:
    return f"{count:,} {word}" + ("" if count == 1 else "s")


def _end(span: Span, value: float) -> str:
    if span.input.choices:
        return span.input.choices[int(value)]
    return f"{span.input.scale * value:.5g}"


def _unit(span: Span) -> str:
    return "" if span.input.unit == "1" else span.input.unit


def _size(size: int) -> str:
    for unit in ("B", "kB", "MB", "GB"):
        if size < 1000:
            return f"{size:.3g} {unit}"
        size = size / 1000  # type: ignore[assignment]
    return f"{size:.3g} TB"
