"""Shafts on the bench as one picture: profiles, shape under load with its kick point, frequency over free length."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np

from swingbeam.beam.errors import InputError
from swingbeam.bench.frequency import frequency_curve
from swingbeam.bench.kick_point import kick_shape, read_kick_point
from swingbeam.study.bench import BenchResult, BenchRow
from swingbeam.units.kinds import METRES_PER_INCH

from .style import INK, LINES, STYLE, colours_of, write_picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

MOST_CHORDS = 6
"""More shafts than this are drawn without their chords: only the kick points stay readable."""
_CLAMPS = 16
_LEGEND_ROWS = 26
_ENDS = "from the tip end, in"
_POINT: dict[str, Any] = {"marker": "o", "linestyle": "none", "markersize": 5, "markeredgecolor": "white", "zorder": 3}


def draw_bench(result: BenchResult) -> Figure:
    """EI, GJ and mass per length against the distance from the tip; below, the shape under the kick point's load and
    frequency against free length.

    Colours run from dark to light in the order of the table along a map made for colour-blind readers (cividis: Nuñez,
    Anderton & Renslow 2018, PLoS ONE 13:e0199239); line styles alternate; one key names all.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    rows = result.rows
    with matplotlib.rc_context(STYLE):
        columns = math.ceil(len(rows) / _LEGEND_ROWS)
        name = max(len(row.name) for row in rows)
        side = columns * (0.65 + 0.075 * name)
        width, height = 11.0 + side, 7.6
        figure = Figure(figsize=(width, height))
        FigureCanvasAgg(figure)
        right = 1.0 - (side + 0.15) / width
        top = figure.add_gridspec(1, 3, left=0.65 / width, right=right, bottom=0.59, top=0.91, wspace=0.28)
        low = figure.add_gridspec(1, 2, left=0.65 / width, right=right, bottom=0.085, top=0.45, wspace=0.2)
        looks = _looks(len(rows))
        for i, (attribute, scale, title) in enumerate(
            (("ei", 1.0, "EI, N·m²"), ("gj", 1.0, "GJ, N·m²"), ("mass_per_length", 1e3, "Mass per length, g/m"))
        ):
            _draw_profile(figure.add_subplot(top[0, i]), rows, looks, attribute, scale, title)
        _draw_shape(figure.add_subplot(low[0, 0]), result, looks)
        _draw_frequency(figure.add_subplot(low[0, 1]), result, looks)
        figure.text(0.65 / width, 0.965, f"Bench: {result.bench.name}", fontsize=11, va="center")
        lines = figure.axes[0].get_lines()[: len(rows)]
        figure.legend(
            lines,
            [row.name for row in rows],
            loc="upper left",
            bbox_to_anchor=(right + 0.1 / width, 0.925),
            ncols=columns,
            frameon=False,
            fontsize=8,
            handlelength=2.4,
        )
    return figure


def write_bench_figure(result: BenchResult, path: str | os.PathLike[str]) -> Path:
    """Write the picture to a new PNG or SVG file.

    Raises
    ------
    InputError
        Another ending, a file that exists already or cannot be written; then nothing is written.
    """
    return write_picture(draw_bench(result), path)


def _looks(count: int) -> list[dict[str, Any]]:
    colours = colours_of(count)
    return [{"color": c, "linestyle": LINES[i % len(LINES)], "linewidth": 1.3} for i, c in enumerate(colours)]


def _inches(metres: Any) -> Any:
    return np.asarray(metres) / METRES_PER_INCH


def _draw_profile(
    axes: Axes, rows: Sequence[BenchRow], looks: Sequence[dict[str, Any]], attribute: str, scale: float, title: str
) -> None:
    for row, look in zip(rows, looks, strict=True):
        shaft = row.subject.shaft
        axes.plot(_inches(shaft.raw_length - shaft.s), scale * getattr(shaft, attribute), **look)
    axes.set_title(title, loc="left")
    axes.set_xlabel(_ENDS)
    axes.set_xlim(0.0, None)
    axes.set_ylim(0.0, None)


def _draw_shape(axes: Axes, result: BenchResult, looks: Sequence[dict[str, Any]]) -> None:
    setup = result.bench.setups["kick_point"]
    rows = result.rows
    for row, look in zip(rows, looks, strict=True):
        try:
            found = read_kick_point(row.subject, setup)
        except InputError:
            continue  # the table says why
        along, down = kick_shape(row.subject, setup)
        axes.plot(_inches(along), -1e3 * down, **look)
        place = along[-1] - found.share_of_free * along[-1]
        kick = float(np.interp(place, along, down))
        if len(rows) <= MOST_CHORDS:
            axes.plot(_inches([0.0, along[-1]]), [0.0, -1e3 * down[-1]], color=look["color"], linewidth=0.6)
            chord = down[-1] * place / along[-1]
            axes.plot(_inches([place, place]), [-1e3 * kick, -1e3 * chord], color=look["color"], linewidth=0.6)
        axes.plot(
            _inches(place), -1e3 * kick, "o", color=look["color"], markersize=5, markeredgecolor="white", zorder=3
        )
    axes.set_title("Shape under the tip load, mm", loc="left")
    chords = "; thin: chord" if len(rows) <= MOST_CHORDS else ""
    axes.set_xlabel(f"from the clamp, in (point: kick point{chords})")
    axes.set_xlim(0.0, None)
    axes.axhline(0.0, color=INK, linewidth=0.6)


def _draw_frequency(axes: Axes, result: BenchResult, looks: Sequence[dict[str, Any]]) -> None:
    setup = result.bench.setups["frequency"]
    usual = setup.clamp
    for row, look in zip(result.rows, looks, strict=True):
        clamps = np.linspace(0.5 * usual, 0.45 * row.subject.end, _CLAMPS)
        try:
            curve = frequency_curve(row.subject, clamps, setup)
            at = frequency_curve(row.subject, [usual], setup)
        except InputError:
            continue  # the table says why
        axes.plot(_inches(curve.free_length), 60.0 * curve.frequency, **look)
        axes.plot(_inches(at.free_length), 60.0 * at.frequency, color=look["color"], **_POINT)
    axes.set_title("Frequency, cpm", loc="left")
    axes.set_xlabel("free of the clamp, in (point: as the bench clamps)")
