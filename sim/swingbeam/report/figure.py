"""The ranking as one picture: how each shaft bends toward impact, and what it delivers."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np

from swingbeam.study.quantities import IMPACT, UNLOAD, Quantity
from swingbeam.study.result import ClubRun, RankResult

from .caution import IDEALISED
from .style import INK, LINES, STYLE, colours_of, spread_labels, write_picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

BEFORE_IMPACT = 200.0
"""ms shown before impact."""
LEAST_WIDTH, HEIGHT, LEAST_PANEL = 11.0, 10.4, 2.1
"""Inches: the page is as wide as the shafts' names ask for."""
_TICKS, _LABEL_SIZE = 0.72, 7.0
_LEADER: dict[str, Any] = {"shrinkA": 1, "shrinkB": 1, "relpos": (0.0, 0.5)}
_FIGURES: dict[str, Quantity] = {q.key: q for q in (*UNLOAD, *IMPACT)}


@dataclass(frozen=True)
class _Page:
    """Where panels lie, in inches: each keeps room for tick labels at its left and for names at its right."""

    width: float
    names: float

    @staticmethod
    def for_names(names: Sequence[str]) -> _Page:
        # A character of the labels' font is half its size wide, or a little more.
        room = 0.25 + max((len(name) for name in names), default=0) * 0.55 * _LABEL_SIZE / 72.0
        return _Page(max(LEAST_WIDTH, 3.0 * (_TICKS + room + LEAST_PANEL)), room)

    def box(self, i: int, count: int, bottom: float, height: float) -> tuple[float, float, float, float]:
        """Left, bottom, width and height of panel i of a row, as shares of the page."""
        share = self.width / count
        left = i * share + _TICKS
        return (
            left / self.width,
            bottom / HEIGHT,
            (share - _TICKS - self.names) / self.width,
            height / HEIGHT,
        )


def draw_ranking(result: RankResult) -> Figure:
    """In-plane bend, droop and twist against ms to impact; face and loft against half-unload.

    Colours run from dark to light by rank along a map made for colour-blind readers (cividis: Nuñez, Anderton
    & Renslow 2018, PLoS ONE 13:e0199239) and stay apart in grey; line styles alternate; every line and point
    carries its name.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    runs = [run for run in result.runs if run.curves is not None and run.impact is not None]
    if result.reference_run.curves is not None and all(run.shaft != result.reference for run in runs):
        runs.append(result.reference_run)
    with matplotlib.rc_context(STYLE):
        page = _Page.for_names([run.shaft for run in runs])
        figure = Figure(figsize=(page.width, HEIGHT))
        FigureCanvasAgg(figure)
        colours = colours_of(len(runs))
        panels = (
            ("in_plane", 100.0, "In-plane bend, cm", "lag −      lead +"),
            ("droop", 100.0, "Droop, cm", "toe-down +"),
            ("twist", 180.0 / np.pi, "Twist of the tip, °", "opens the face +"),
        )
        for i, (attribute, scale, title, signs) in enumerate(panels):
            axes = figure.add_axes(page.box(i, len(panels), 5.55, 4.15))
            _draw_curves(axes, runs, colours, attribute, scale, result.reference)
            axes.set_title(title, loc="left")
            axes.set_ylabel(signs)
        points = (("face_angle_deg", "Face angle, ° (open +)"), ("dynamic_loft_deg", "Dynamic loft, °"))
        for i, (key, title) in enumerate(points):
            axes = figure.add_axes(page.box(i, len(points), 0.75, 3.85))
            _draw_points(axes, runs, colours, key, result.reference)
            axes.set_title(title, loc="left")
        figure.text(
            0.5,
            1.0 - 0.25 / HEIGHT,
            f"{result.scenario}: golfer {result.golfer}, hands {result.hands}, ball {result.ball}. "
            f"Reference club in black: {result.reference}",
            fontsize=11,
            ha="center",
            va="center",
        )
        figure.text(0.5, 0.12 / HEIGHT, IDEALISED, fontsize=7, color="#555555", ha="center", va="center")
    return figure


def write_figure(result: RankResult, path: str | os.PathLike[str]) -> Path:
    """Write the picture of a ranking to a new PNG file.

    Raises
    ------
    InputError
        The file exists already, or cannot be written; then nothing is written.
    """
    return write_picture(draw_ranking(result), path)


def _look(run: ClubRun, i: int, colours: Sequence[Any], reference: str) -> dict[str, Any]:
    if run.shaft == reference:
        return {"color": "black", "linestyle": "-", "linewidth": 2.0, "zorder": 3}
    return {"color": colours[i], "linestyle": LINES[i % len(LINES)], "linewidth": 1.2, "zorder": 2}


def _draw_curves(
    axes: Axes, runs: Sequence[ClubRun], colours: Sequence[Any], attribute: str, scale: float, reference: str
) -> None:
    ends, looks = [], []
    for i, run in enumerate(runs):
        if run.curves is None:
            continue
        t = 1e3 * run.curves.t
        seen = t >= -BEFORE_IMPACT
        look = _look(run, i, colours, reference)
        values = scale * getattr(run.curves, attribute)
        axes.plot(t[seen], values[seen], **look)
        ends.append(values[-1])
        looks.append((run.shaft, look["color"]))
    axes.axhline(0.0, color=INK, linewidth=0.6)
    axes.set_xlim(-BEFORE_IMPACT, 0.0)
    axes.set_xlabel("ms to impact")
    if not ends:
        return
    low, high = axes.get_ylim()
    places = spread_labels(np.array(ends), 0.042 * (high - low), low, high)
    for (name, colour), end, place in zip(looks, ends, places, strict=True):
        axes.annotate(
            name,
            xy=(0.0, end),
            xytext=(0.04 * BEFORE_IMPACT, place),
            textcoords="data",
            fontsize=_LABEL_SIZE,
            color=colour,
            va="center",
            annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": colour, "linewidth": 0.5, **_LEADER},
        )


def _draw_points(axes: Axes, runs: Sequence[ClubRun], colours: Sequence[Any], key: str, reference: str) -> None:
    half, figure = _FIGURES["half_ms"], _FIGURES[key]
    points = []
    for i, run in enumerate(runs):
        x, y = half.of(run.unload), figure.of(run.impact)
        if x is None or y is None:
            continue
        colour = _look(run, i, colours, reference)["color"]
        axes.plot([x], [y], marker="o", markersize=6, color=colour, markeredgecolor="white", zorder=3)
        if run.resolution is not None:
            axes.plot([x - 1e3 * run.resolution, x + 1e3 * run.resolution], [y, y], color=colour, linewidth=0.8)
        points.append((x, y, run.shaft, colour))
    axes.set_xlabel("half-unload, ms to impact (left unloads first; bars: resolution)")
    if not points:
        return
    axes.margins(x=0.08, y=0.12)
    axes.autoscale_view()
    low, high = axes.get_ylim()
    right = axes.get_xlim()[1]
    places = spread_labels(np.array([y for _, y, _, _ in points]), 0.055 * (high - low), low, high)
    span = right - axes.get_xlim()[0]
    for (x, y, name, colour), place in zip(points, places, strict=True):
        axes.annotate(
            name,
            xy=(x, y),
            xytext=(right + 0.02 * span, place),
            fontsize=_LABEL_SIZE,
            color=colour,
            va="center",
            annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": colour, "linewidth": 0.4, **_LEADER},
        )
