"""Launch and flight in tables: figures, changes, and which changes are not resolved."""

from __future__ import annotations

import math
from collections.abc import Sequence

from swingbeam.study.quantities import CHANGES_UNDER, LANDING, SHOT, Quantity, shown
from swingbeam.study.result import HANDS, ClubRun, RankResult, ShotRecord

from .columns import Column

_UNITS = {"degree": "°", "m s-1": " m/s", "rpm": " rpm", "m": " m", "s": " s"}
_BRACKETS = {"below error": ("(", ")"), "sign depends on hands": ("[", "]")}
BALLS = 20
"""Balls a club in the example of what a test on grass can tell."""
_IN_SPREAD = ("landing_sd_carry_m", "landing_sd_side_m")


def flight_columns(runs: Sequence[ClubRun]) -> list[Column]:
    """Launch and flight of each club, and the spread of its landings."""
    records = [run.flight for run in runs]
    columns = [Column(q.label, [shown(q, None if r is None else q.of(r.shot)) for r in records]) for q in SHOT]
    spread = [q for q in LANDING if q.key in _IN_SPREAD]
    return columns + [
        Column(q.label, [shown(q, None if r is None else q.of(r.spread)) for r in records]) for q in spread
    ]


def change_columns(runs: Sequence[ClubRun], result: RankResult) -> list[Column]:
    """Changes against the reference club; one that is not resolved stands in brackets, round or square."""
    columns = [Column(q.label, [_change(q, run.flight, run.shaft == result.reference) for run in runs]) for q in SHOT]
    for q in (q for q in SHOT if q.attribute in CHANGES_UNDER):
        for mode in (mode for mode in HANDS if mode != result.hands):
            values = [None if run.flight is None else q.of(run.flight.change_under.get(mode)) for run in runs]
            columns.append(Column(f"{q.attribute}:\n{mode}", [shown(q, v, sign=True) for v in values]))
    return columns


def _change(q: Quantity, record: ShotRecord | None, is_reference: bool) -> str:
    if record is None:
        return "–"
    text = shown(q, q.of(record.change), sign=True)
    known = "resolved" if is_reference else record.resolution(q.attribute)
    before, after = _BRACKETS.get(known, ("", " "))
    return f"{before}{text}{after}"


def flight_words(result: RankResult) -> str:
    """What the flight table rests on."""
    slice_side = "left" if result.left_handed else "right"
    words = (
        f"Direction, side spin, axis and side: {slice_side} (slice) +, hook −. Air: {result.air}. Blow and flight are "
        f"models; 1σ of the figures above: {_errors(result.reference_run.flight)}. Carry ± and side ±: 1σ from swing "
        f"to swing of a golfer with {result.repeatability}."
    )
    if result.reference_run.flight is None:
        return words
    spread = result.reference_run.flight.spread
    share = math.sqrt(2.0 / BALLS)
    return (
        f"{words} The mean of {BALLS} balls with each of two clubs tells them apart by no less than "
        f"{2.0 * share * spread.carry:.0f} m of carry or {2.0 * share * spread.side:.0f} m of side (twice the standard "
        "error of the difference)."
    )


def error_line(runs: Sequence[ClubRun], result: RankResult) -> str:
    """How large the error of a change is, and what the brackets mean."""
    records = [run.flight for run in runs if run.flight is not None and run.shaft != result.reference]
    words = (
        "Not resolved: (in round brackets) the change is smaller than its own error; [in square brackets] it is "
        "larger, but goes the other way under vice or effort, so it belongs to the hands and not to the shaft. "
    )
    if not records:
        return words
    parts = []
    for q in SHOT:
        values = [v for r in records if (v := q.of(r.change_error)) is not None]
        name = q.label.split("\n")[0]
        low, high = shown(q, min(values)), shown(q, max(values))
        parts.append(f"{name} {low if low == high else f'{low} to {high}'}{_UNITS[q.unit]}")
    return (
        f"{words}Error of a change, 1σ: {', '.join(parts)}. It is smaller than that of the figures themselves, because "
        "both clubs meet one kind of ball and one air: only what they do not share is left. It covers blow, flight and "
        f"solver, under {result.hands} and before the golfer adapts, not the hands: for them see the last columns, the "
        "change of carry and side under the other kinds of hands."
    )


def _errors(record: ShotRecord | None) -> str:
    if record is None:
        return "none"
    return ", ".join(f"{q.label.split(chr(10))[0]} {shown(q, q.of(record.error))}{_UNITS[q.unit]}" for q in SHOT)
