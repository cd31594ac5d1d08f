"""Bench readings as tables, JSON and CSV."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from rich.console import Console

from swingbeam.bench.balance import LIE_METHOD, SWING_WEIGHT_SCALE, swing_weight_letter
from swingbeam.bench.bench_test import Reading
from swingbeam.bench.registry import TESTS
from swingbeam.club.build import LENGTH_METHOD
from swingbeam.files.spreadsheet import write_sheet
from swingbeam.study.bench import BenchResult, BenchRow, Comparison, head_of, single_readings

from .caution import WORKSHOP
from .columns import Column
from .columns import section as print_columns

NAMES = (
    "Kick point: butt clamped, load across the tip, farthest from the chord. Bend point: both ends compressed, "
    "farthest from the line between them. Two tests, two places."
)


def print_bench(result: BenchResult, console: Console) -> None:
    """Print a table over shafts, a column a reading; scans as tables of their own where they were asked for alone."""
    rows = result.rows
    console.print(f"Bench: {result.bench.name} · {len(rows)} {'shaft' if len(rows) == 1 else 'shafts'}", style="bold")
    names = [Column("shaft\n", [row.name for row in rows], left=True)]
    columns = [_column(reading, rows) for reading in result.columns]
    if any(row.subject.head is not None for row in rows) and "balance" in result.tests:
        letters = [_letter(row) for row in rows]
        columns.append(Column("swing wt\nletter", letters))
    if columns:
        print_columns(console, "Readings", names, columns)
    if result.is_part:
        for row in rows:
            _print_scans(row, console)
    console.print()
    for test in result.tests:
        console.print(f"{_title(test)}: {result.bench.setups[test]}.", style="dim")
    if {"kick_point", "bend_point"} <= set(result.tests):
        console.print(NAMES, style="dim")
    if "balance" in result.tests and any(row.subject.head is not None for row in rows):
        console.print(f"{SWING_WEIGHT_SCALE} {LENGTH_METHOD} {LIE_METHOD}", style="dim")
    _print_reasons(rows, console)
    console.print(WORKSHOP, style="dim")


def print_comparison(found: Comparison, console: Console) -> None:
    """Print readings somebody took beside the bench's own: measured, computed, measured less computed."""
    rows = found.result.rows
    console.print(f"Bench: {found.result.bench.name} · measured against computed", style="bold")
    names = [Column("shaft\n", [row.name for row in rows], left=True)]
    columns = []
    for i, reading in enumerate(found.columns):
        for words, values in (
            ("measured", found.measured[:, i]),
            ("computed", found.computed[:, i]),
            ("difference", found.measured[:, i] - found.computed[:, i]),
        ):
            head = f"{reading.label}\n{words}"
            columns.append(Column(head, [_shown(v, reading, sign=words == "difference") for v in values]))
    print_columns(console, "Readings", names, columns)
    _print_reasons(rows, console)


def _print_scans(row: BenchRow, console: Console) -> None:
    for test, scan in row.scans.items():
        readings = [reading for reading in TESTS[test].readings if reading.scan]
        columns = [
            Column(reading.label, [_shown(value, reading) for value in scan[reading.key]]) for reading in readings
        ]
        print_columns(console, f"{_title(test)}: {row.name}", columns[:1], columns[1:])


def _print_reasons(rows: Sequence[BenchRow], console: Console) -> None:
    shafts: dict[str, list[str]] = {}
    for row in rows:
        for text in row.reasons.values():
            shafts.setdefault(text, []).append(row.name)
    for text, names in shafts.items():
        console.print(f"{', '.join(names)}: {text}")


def _title(test: str) -> str:
    return test.replace("_", " ").capitalize()


def _column(reading: Reading, rows: Sequence[BenchRow]) -> Column:
    return Column(reading.label, [_shown(row.readings.get(reading.key), reading) for row in rows])


def _shown(value: float | None, reading: Reading, *, sign: bool = False) -> str:
    if value is None or not np.isfinite(value):
        return "–"
    text = f"{value:{'+' if sign else ''}.{reading.decimals}f}"
    return text.replace("-", "−") if text.strip("+-0.") else text.lstrip("+-")


def _letter(row: BenchRow) -> str:
    value = row.readings.get("swing_weight_in_oz")
    scale = next(r.scale for r in TESTS["balance"].readings if r.key == "swing_weight_in_oz")
    return (None if value is None else swing_weight_letter(value / scale)) or "–"


def bench_object(result: BenchResult) -> list[dict[str, Any]]:
    """A list of shafts with set-ups, single readings and scans, as plain dicts and lists."""
    setups = {name: shown for name, shown in result.bench.described().items() if name in result.tests}
    return [
        {
            "shaft": row.name,
            "setup": {"bench": result.bench.name, **setups},
            "readings": dict(row.readings),
            "scans": {test: dict(scan) for test, scan in row.scans.items()},
            "reasons": dict(row.reasons),
        }
        for row in result.rows
    ]


def bench_json(result: BenchResult) -> str:
    """The readings as JSON text; no NaN or infinity can be in it."""
    return json.dumps(bench_object(result), ensure_ascii=False, allow_nan=False, indent=2)


def comparison_json(found: Comparison) -> str:
    """Measured and computed readings as JSON text."""

    def values(table: np.ndarray, i: int) -> dict[str, float | None]:
        return {r.key: float(v) if np.isfinite(v) else None for r, v in zip(found.columns, table[i], strict=True)}

    shown = [
        {
            "shaft": row.name,
            "measured": values(found.measured, i),
            "computed": values(found.computed, i),
            "reasons": dict(row.reasons),
        }
        for i, row in enumerate(found.result.rows)
    ]
    return json.dumps(shown, ensure_ascii=False, allow_nan=False, indent=2)


def write_bench_csv(result: BenchResult, path: str | os.PathLike[str]) -> Path:
    """Write the single readings to a new CSV file: a row a shaft, names and units in the first row.

    Raises
    ------
    InputError
        The file exists already, or cannot be written.
    """
    own = {reading.key for test in result.tests for reading in TESTS[test].readings}
    columns = [reading for reading in single_readings() if reading.key in own]
    rows = [[row.name, *(_rounded(row.readings.get(r.key)) for r in columns)] for row in result.rows]
    return write_sheet(path, ["shaft", *(head_of(reading) for reading in columns)], rows)


def _rounded(value: float | None) -> float | None:
    """Nine figures: all that a reading means, without the tail of its binary form."""
    return None if value is None else float(f"{value:.9g}")
