"""The same clubs under every kind of hands: one table, and what holds under all of them."""

from __future__ import annotations

import json
from collections.abc import Sequence

from rich.console import Console

from swingbeam.study.compare_hands import FIGURES, FLOORS, Conclusion, HandsComparison
from swingbeam.study.quantities import shown
from swingbeam.study.result import HANDS

from .caution import CAUTION
from .columns import Column, section

MOST_NAMED = 4
"""Swapped pairs that are named; the others are counted."""


def print_hands(found: HandsComparison, console: Console) -> None:
    """Print changes against the reference club under `vice`, `hold` and `effort`, and which conclusions hold."""
    title = f"{found.scenario}: {len(found.shafts)} shafts under every kind of hands"
    console.print(f"{title}, for the golfer {found.golfer}", style="bold")
    console.print(f"ball: {found.ball} · solver: {found.solver} · reference club: {found.reference}")
    names = [Column("shaft\n\n", found.shafts, left=True)]
    columns = []
    for q in FIGURES:
        head = q.label if "\n" in q.label else f"{q.label}\n"
        for mode in HANDS:
            cells = [shown(q, value, sign=True) for value in found.changes[q.key][mode]]
            columns.append(Column(f"{head}\n{mode}", cells))
    section(console, f"Change against {found.reference}", names, columns)
    console.print()
    console.print("What holds whatever the hands are", style="bold")
    for conclusion in found.conclusions:
        console.print(f"  {words_of(conclusion)}")
    if any("?" in c.signs.values() for c in found.conclusions):
        console.print("Depends on the hands, so do not choose by it (the sign of the change against the reference):")
        for conclusion in found.conclusions:
            doubtful = [shaft for shaft, mark in conclusion.signs.items() if mark == "?"]
            if doubtful:
                console.print(f"  {_name_of(conclusion.key)}: {', '.join(doubtful)}")
    for shaft, mode, reason in found.failures:
        console.print(f"{shaft} under {mode}: {reason}")
    for note in found.notes:
        console.print(f"Note: {note}")
    console.print()
    console.print(CAUTION, style="dim")


def words_of(conclusion: Conclusion) -> str:
    """One sentence on one figure."""
    name = _name_of(conclusion.key)
    q = next(q for q in FIGURES if q.key == conclusion.key)
    unit = {"degree": "°", "m s-1": "m/s"}.get(q.unit, q.unit)
    if conclusion.pairs == 0:
        return f"{name}: no two shafts differ by {FLOORS[q.key]:g} {unit} under any hands"
    text = f"{name}: {conclusion.agreed} of {conclusion.pairs} pairs of shafts in the same order under all three"
    if conclusion.holds:
        return f"{text}, none reversed"
    pairs = ", ".join(f"{a} and {b}" for a, b in conclusion.swapped[:MOST_NAMED])
    more = len(conclusion.swapped) - MOST_NAMED
    rest = f" and {more} more" if more > 0 else ""
    return f"{text}; {len(conclusion.swapped)} reversed by the hands ({pairs}{rest})"


def _name_of(key: str) -> str:
    return {
        "half_ms": "half-unload",
        "lag_peak_mm": "lag",
        "lead_mm": "lead",
        "droop_mm": "droop",
        "dynamic_loft_deg": "dynamic loft",
        "face_angle_deg": "face angle",
        "head_speed_mps": "head speed",
    }[key]


def hands_json(found: HandsComparison) -> str:
    """The comparison as JSON text; no NaN or infinity can be in it."""
    shown_figures = {
        q.key: {
            "own": {mode: _listed(found.own[q.key][mode]) for mode in HANDS},
            "change": {mode: _listed(found.changes[q.key][mode]) for mode in HANDS},
            "floor": FLOORS[q.key],
        }
        for q in FIGURES
    }
    conclusions = {
        c.key: {
            "pairs": c.pairs,
            "agreed": c.agreed,
            "reversed": [list(pair) for pair in c.swapped],
            "sign_of_change": dict(c.signs),
        }
        for c in found.conclusions
    }
    shown_result = {
        "scenario": found.scenario,
        "golfer": found.golfer,
        "reference": found.reference,
        "ball": found.ball,
        "solver": found.solver,
        "shafts": list(found.shafts),
        "figures": shown_figures,
        "conclusions": conclusions,
        "failures": [{"shaft": shaft, "hands": mode, "reason": reason} for shaft, mode, reason in found.failures],
        "notes": list(found.notes),
    }
    return json.dumps(shown_result, ensure_ascii=False, allow_nan=False, indent=2)


def _listed(values: Sequence[float | None]) -> list[float | None]:
    return list(values)
