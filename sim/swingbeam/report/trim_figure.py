"""Readings and delivery against the trim, as one picture."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib

from swingbeam.study.quantities import IMPACT, UNLOAD
from swingbeam.study.trim import TrimResult, TrimRow
from swingbeam.units import show, to_unit

from .style import LINES, STYLE, colours_of, write_picture
from .trim_table import main_readings

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_BENCH = (
    "frequency_cpm",
    "torsional_frequency_hz",
    "torque_deg",
    "deflection_mm",
    "kick_point_pct_from_tip",
    "bend_point_pct_from_tip",
    "mass_g",
    "balance_point_mm_from_butt",
)
_SWING = ("half_ms", "dynamic_loft_deg", "face_angle_deg", "head_speed_mps")
_COLUMNS, _PANEL, _ROW = 4, 3.1, 2.75
"""Panels side by side; inches of a panel's width and of a row's height."""


@dataclass(frozen=True)
class _Panel:
    """One figure against the trim: its title and how a row gives it."""

    title: str
    of: Callable[[TrimRow], float | None]


def draw_trims(result: TrimResult) -> Figure:
    """Bench readings, and where the club is swung half-unload and delivery, against the trim in inches.

    Against the tip trim, one line a butt trim; against the butt trim where only that changes.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    rows = [row for row in result.rows if row.bench is not None]
    along = "tip" if len({row.tip for row in rows}) > 1 else "butt"
    panels = _panels(rows)
    count = math.ceil(len(panels) / _COLUMNS)
    with matplotlib.rc_context(STYLE):
        width, height = _PANEL * _COLUMNS, _ROW * count + 0.75
        figure = Figure(figsize=(width, height))
        FigureCanvasAgg(figure)
        grid = figure.add_gridspec(
            count,
            _COLUMNS,
            left=0.62 / width,
            right=1.0 - 0.2 / width,
            bottom=0.55 / height,
            top=1.0 - 0.95 / height,
            wspace=0.34,
            hspace=0.55,
        )
        lines = _lines_of(rows, along)
        for i, panel in enumerate(panels):
            axes = figure.add_subplot(grid[divmod(i, _COLUMNS)])
            _draw_panel(axes, panel, lines, along)
        words = f", golfer {result.golfer}, hands {result.hands}" if result.golfer else ""
        figure.text(
            0.62 / width, 1.0 - 0.3 / height, f"{result.shaft.name} against its {along} trim{words}", fontsize=12
        )
        if len(lines) > 1:
            figure.legend(
                figure.axes[0].get_lines(),
                [f"butt {show(butt, 'in')}" for butt, _ in lines],
                loc="upper right",
                bbox_to_anchor=(1.0 - 0.15 / width, 1.0 - 0.1 / height),
                ncols=min(len(lines), 5),
                frameon=False,
                fontsize=8,
                handlelength=2.6,
            )
    return figure


def write_trim_figure(result: TrimResult, path: str | os.PathLike[str]) -> Path:
    """Write the picture to a new PNG or SVG file.

    Raises
    ------
    InputError
        Another ending, a file that exists already or cannot be written; then nothing is written.
    """
    return write_picture(draw_trims(result), path)


def _panels(rows: Sequence[TrimRow]) -> list[_Panel]:
    by_key = {reading.key: reading for reading in main_readings()}

    def bench(key: str) -> Callable[[TrimRow], float | None]:
        return lambda row: None if row.bench is None else row.bench.readings.get(key)

    def swung(q: Any, record: str) -> Callable[[TrimRow], float | None]:
        return lambda row: None if row.run is None else q.of(getattr(row.run, record))

    panels = [_Panel(_title(by_key[key].label), bench(key)) for key in _BENCH if key in by_key]
    if any(row.run is not None for row in rows):
        records = [(q, "unload") for q in UNLOAD] + [(q, "impact") for q in IMPACT]
        panels += [_Panel(_title(q.label), swung(q, record)) for q, record in records if q.key in _SWING]
    return [panel for panel in panels if any(panel.of(row) is not None for row in rows)]


def _title(label: str) -> str:
    words = label.replace("-\n", "").split("\n")
    return ", ".join(word for word in words if word)


def _lines_of(rows: Sequence[TrimRow], along: str) -> list[tuple[float, list[TrimRow]]]:
    """(butt trim, rows along the tip trim), or one line along the butt trim."""
    if along == "butt":
        return [(0.0, list(rows))]
    butts = sorted({row.butt for row in rows})
    lines = [(butt, [row for row in rows if row.butt == butt]) for butt in butts]
    # The uncut shaft alone is no line where every trim asked for takes something off the butt.
    return [(butt, line) for butt, line in lines if len(line) > 1 or len(lines) == 1] or lines


def _draw_panel(axes: Axes, panel: _Panel, lines: Sequence[tuple[float, list[TrimRow]]], along: str) -> None:
    for i, ((_, rows), colour) in enumerate(zip(lines, colours_of(len(lines)), strict=True)):
        points = [(to_unit(getattr(row, along), "in"), panel.of(row)) for row in rows]
        known = sorted((x, y) for x, y in points if y is not None)
        axes.plot(
            [x for x, _ in known],
            [y for _, y in known],
            color=colour,
            linestyle=LINES[i % len(LINES)],
            linewidth=1.3,
            marker="o",
            markersize=4,
            markeredgecolor="white",
        )
    axes.set_title(panel.title, loc="left")
    axes.set_xlabel(f"{along} trim, in")
    axes.margins(y=0.12)
