"""A shaft under several trims as tables and JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from rich.console import Console

from swingbeam.bench.bench_test import Reading
from swingbeam.bench.registry import TESTS
from swingbeam.study.bench import BenchRow
from swingbeam.study.quantities import IMPACT, UNLOAD, Quantity, shown
from swingbeam.study.trim import TrimResult, TrimRow
from swingbeam.units import show, to_unit

from .bench_table import _shown as shown_reading
from .caution import IDEALISED, WORKSHOP
from .columns import Column
from .columns import section as print_columns


def main_readings() -> tuple[Reading, ...]:
    """The readings that tables show: one number a shaft, no detail."""
    return tuple(r for test in TESTS.values() for r in test.readings if not r.scan and not r.detail)


def print_trims(result: TrimResult, console: Console) -> None:
    """Print readings of the cut shaft and the club and their change, delivery and unload, and what is not possible."""
    rows = result.rows
    console.print(f"{result.name}: {_count(rows)}, before and after", style="bold")
    cut = [row for row in rows if row.bench is not None]
    _print_bench("On the bench, raw shaft as cut", cut, [row.bench for row in cut], console)
    built = [row for row in rows if row.club is not None]
    if built and result.head is not None:
        _print_club(result, built, console)
    _print_swing(result, console)
    _print_words(result, console)


def _count(rows: Sequence[TrimRow]) -> str:
    count = max(len(rows) - 1, 1)
    return f"{count} {'trim' if count == 1 else 'trims'}"


def _names(rows: Sequence[TrimRow]) -> list[Column]:
    return [Column("cut\n", [row.label for row in rows], left=True)]


def _print_bench(title: str, rows: Sequence[TrimRow], found: Sequence[BenchRow | None], console: Console) -> None:
    """Readings that at least one row has, and under them their change from the first row, the uncut shaft's."""
    benches = [bench for bench in found if bench is not None]
    readings = [r for r in main_readings() if any(bench.readings.get(r.key) is not None for bench in benches)]
    columns = [Column(r.label, [shown_reading(bench.readings.get(r.key), r) for bench in benches]) for r in readings]
    print_columns(console, title, _names(rows), columns)
    if len(rows) < 2 or rows[0].label != "uncut":
        return
    changes = [
        Column(r.label, [shown_reading(change(bench, benches[0], r.key), r, sign=True) for bench in benches[1:]])
        for r in readings
    ]
    print_columns(console, "Change against the uncut shaft", _names(rows[1:]), changes)


def change(bench: BenchRow | None, first: BenchRow | None, key: str) -> float | None:
    """A printed reading's change; None where one of the two is missing."""
    if bench is None or first is None:
        return None
    now, before = bench.readings.get(key), first.readings.get(key)
    return None if now is None or before is None else now - before


def _print_club(result: TrimResult, built: Sequence[TrimRow], console: Console) -> None:
    clubs = [row.club for row in built if row.club is not None]
    columns = [
        Column("length\nin", [f"{to_unit(club.finished_length, 'in'):.2f}" for club in clubs]),
        Column("off butt\nin", [f"{to_unit(club.butt_trim, 'in'):.2f}" for club in clubs]),
        Column("parallel\nin hosel in", [f"{_parallel_in_hosel(row):.2f}" for row in built]),
    ]
    head = "" if result.head is None else result.head.name
    length = "" if result.length is None else f", {show(result.length, 'in', 2)} less the butt trim"
    print_columns(console, f"Built: {head}{length}", _names(built), columns)
    _print_bench("On the bench, club as built", built, [row.club_bench for row in built], console)


def _parallel_in_hosel(row: TrimRow) -> float:
    """Inches of parallel tip that lie in the hosel."""
    if row.club is None:
        return 0.0
    left = max(row.club.shaft.parallel_tip - row.tip, 0.0)
    return to_unit(min(left, row.club.insertion), "in")


def _print_swing(result: TrimResult, console: Console) -> None:
    runs = [(row, row.run) for row in result.rows if row.run is not None]
    if not runs:
        return
    rows = [row for row, _ in runs]
    console.print()
    console.print(f"Swung by the golfer {result.golfer}; hands: {result.hands} · ball: {result.ball}", style="bold")
    for title, quantities, attribute in (
        ("Unload, in ms before impact", UNLOAD, "unload"),
        ("Delivery at impact", IMPACT, "impact"),
    ):
        print_columns(console, title, _names(rows), _columns(quantities, [getattr(run, attribute) for _, run in runs]))
    moved = [(row, run.change) for row, run in runs[1:] if run.change is not None]
    if moved:
        columns = _columns(IMPACT, [found for _, found in moved], sign=True)
        print_columns(console, "Change of delivery against the uncut shaft", _names([row for row, _ in moved]), columns)


def _columns(quantities: Sequence[Quantity], records: Sequence[Any], *, sign: bool = False) -> list[Column]:
    return [Column(q.label, [shown(q, q.of(record), sign=sign) for record in records]) for q in quantities]


def _print_words(result: TrimResult, console: Console) -> None:
    console.print()
    for note in result.notes:
        console.print(f"Note: {note}")
    for row in result.rows:
        for words in row.warnings:
            console.print(f"{row.label}: warning: {words}")
        if row.error is not None:
            console.print(f"{row.label}: {row.error}", style="bold")
    if result.head is None:
        console.print("No head is named: whether a cut tip fits a hosel is not judged.", style="dim")
    elif result.head.bore is None:
        console.print("The head states no bore: whether a cut tip fits it is not judged.", style="dim")
    if result.golfer:
        if result.ball != "learnt" and any(row.butt > 0.0 and row.run is not None for row in result.rows):
            console.print(
                "A butt trim makes the club shorter, and the ball stays where the golfer's reference club finds it: "
                "--ball learnt puts it where each club comes.",
                style="dim",
            )
        console.print(IDEALISED, style="dim")
    console.print(WORKSHOP, style="dim")


def trims_object(result: TrimResult) -> dict[str, Any]:
    """The trims as plain dicts and lists, units in the keys."""
    first = result.rows[0]
    return {
        "shaft": result.name,
        "setup": {"bench": result.bench.name, **result.bench.described()},
        "head": None if result.head is None else result.head.name,
        "length_in": None if result.length is None else to_unit(result.length, "in"),
        "golfer": result.golfer,
        "hands": result.hands if result.golfer else None,
        "ball": result.ball if result.golfer else None,
        "notes": list(result.notes),
        "trims": [_row_object(row, first) for row in result.rows],
    }


def _row_object(row: TrimRow, first: TrimRow) -> dict[str, Any]:
    run, club = row.run, row.club
    return {
        "tip_trim_in": to_unit(row.tip, "in"),
        "butt_trim_in": to_unit(row.butt, "in"),
        "readings": None if row.bench is None else dict(row.bench.readings),
        "change": None
        if row.bench is None
        else {key: change(row.bench, first.bench, key) for key in row.bench.readings},
        "scans": {} if row.bench is None else {test: dict(scan) for test, scan in row.bench.scans.items()},
        "club": None
        if club is None
        else {
            "finished_length_in": to_unit(club.finished_length, "in"),
            "off_butt_in": to_unit(club.butt_trim, "in"),
            "insertion_in": to_unit(club.insertion, "in"),
            "readings": {} if row.club_bench is None else dict(row.club_bench.readings),
        },
        "unload": None if run is None else {q.key: q.of(run.unload) for q in UNLOAD},
        "impact": None if run is None else {q.key: q.of(run.impact) for q in IMPACT},
        "change_of_impact": None if run is None else {q.key: q.of(run.change) for q in IMPACT},
        "warnings": list(row.warnings),
        "error": row.error,
    }


def trims_json(result: TrimResult) -> str:
    """The trims as JSON text; no NaN or infinity can be in it."""
    return json.dumps(trims_object(result), ensure_ascii=False, allow_nan=False, indent=2)
