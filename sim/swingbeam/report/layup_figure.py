"""A lay-up as one picture: which ply covers which part, and the profiles the plies add up to."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np

from swingbeam.shaft.layup import Ply
from swingbeam.study.layup import LayupResult
from swingbeam.units.kinds import METRES_PER_INCH

from .style import INK, STYLE, write_picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_ROW, _MARGIN, _PROFILES, _GAP = 0.24, 0.75, 2.3, 0.95
"""Inches: a ply's row, above and below panels, height of a row of profiles, room between panels for their labels."""
_WIDTH, _NAMES = 11.0, 1.75
_LOOKS: tuple[dict[str, Any], ...] = (
    {"color": "#00224e", "linestyle": "-", "linewidth": 1.5},
    {"color": "#b08d1e", "linestyle": "--", "linewidth": 1.5},
)
"""Dark and light ends of the map for colour-blind readers (cividis), and two styles of line."""
_HATCHES = ((10.0, "", "#00224e"), (80.0, "////", "#7c7b78"), (91.0, "||", "#c8b45a"))
"""Up to this angle: hatch and colour of a ply; lengthwise, bias, hoop."""


def draw_layups(results: Sequence[LayupResult]) -> Figure:
    """Ply maps of one or two lay-ups, and EI, GJ, mass per length and diameter against the distance from the tip.

    A ply's bar is as high as its turns there, in proportion to the most turns of any ply; the fibre's direction is
    told by colour and hatch and written at its end.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    rows = [len(result.layup.plies) for result in results]
    maps = [_ROW * count + 0.1 for count in rows]
    height = _MARGIN + sum(maps) + _GAP * len(maps) + 2.0 * (_PROFILES + _GAP)
    with matplotlib.rc_context(STYLE):
        figure = Figure(figsize=(_WIDTH, height))
        FigureCanvasAgg(figure)
        most = max(max(ply.start_wraps, ply.end_wraps) for result in results for ply in result.layup.plies)
        top = height - _MARGIN
        for result, size in zip(results, maps, strict=True):
            axes = figure.add_axes((_NAMES / _WIDTH, (top - size) / height, 0.93 - _NAMES / _WIDTH, size / height))
            _draw_plies(axes, result, most)
            top -= size + _GAP
        panels = (
            ("ei", 1.0, "EI, N·m²"),
            ("gj", 1.0, "GJ, N·m²"),
            ("mass_per_length", 1e3, "Mass per length, g/m"),
            ("diameter", 1e3, "Outer diameter, mm (dotted: mandrel)"),
        )
        for i, (attribute, scale, title) in enumerate(panels):
            left, bottom = (0.06, 0.56)[i % 2], top - _PROFILES - (i // 2) * (_PROFILES + _GAP)
            axes = figure.add_axes((left, bottom / height, 0.40, _PROFILES / height))
            _draw_profile(axes, results, attribute, scale, title)
        figure.text(0.06, 1.0 - 0.3 / height, " and ".join(result.shaft.name for result in results), fontsize=12)
    return figure


def write_layup_figure(results: Sequence[LayupResult], path: str | os.PathLike[str]) -> Path:
    """Write the picture to a new PNG file.

    Raises
    ------
    InputError
        The file exists already, or cannot be written; then nothing is written.
    """
    return write_picture(draw_layups(results), path)


def _look(ply: Ply) -> tuple[str, str]:
    degrees = abs(math.degrees(ply.angle)) % 180.0
    degrees = min(degrees, 180.0 - degrees)
    return next((hatch, colour) for limit, hatch, colour in _HATCHES if degrees <= limit)


def _draw_plies(axes: Axes, result: LayupResult, most: float) -> None:
    plies, length = result.layup.plies, result.shaft.raw_length
    for row, ply in enumerate(plies):
        hatch, colour = _look(ply)
        inner = np.linspace(ply.start, ply.end, 201)
        places = np.unique(np.concatenate([inner, [ply.start + ply.start_taper, ply.end - ply.end_taper]]))
        half = 0.42 * ply.wraps_at(places) / most
        x = (length - places) / METRES_PER_INCH
        axes.fill_between(x, row - half, row + half, facecolor=colour, hatch=hatch, edgecolor="white", linewidth=0.4)
        sign = "±" if ply.pair else ""
        turns = " to ".join(dict.fromkeys((f"{ply.end_wraps:g}", f"{ply.start_wraps:g}")))
        angle = math.degrees(ply.angle) + 0.0
        axes.annotate(
            f"{sign}{angle:g}° × {turns}".replace("-", "−"),
            xy=(1.0, row),
            xycoords=("axes fraction", "data"),
            xytext=(5, 0),
            textcoords="offset points",
            fontsize=7.5,
            color=INK,
            va="center",
            annotation_clip=False,
        )
    axes.set_yticks(range(len(plies)), [ply.name for ply in plies])
    axes.tick_params(axis="y", length=0)
    axes.grid(axis="y", visible=False)
    axes.set_ylim(-0.6, len(plies) - 0.4)
    axes.set_xlim(0.0, length / METRES_PER_INCH)
    axes.set_xlabel("from the tip end, in")
    axes.set_title(f"{result.name}: plies, the innermost at the bottom; angle × turns", loc="left")


def _draw_profile(axes: Axes, results: Sequence[LayupResult], attribute: str, scale: float, title: str) -> None:
    for result, look in zip(results, _LOOKS, strict=False):
        shaft, layup = result.shaft, result.layup
        x = (shaft.raw_length - shaft.s) / METRES_PER_INCH
        axes.plot(x, scale * getattr(shaft, attribute), label=result.name, **look)
        if attribute == "diameter":
            mandrel = (layup.raw_length - layup.mandrel_s) / METRES_PER_INCH
            axes.plot(mandrel, 1e3 * layup.mandrel_diameter, color=look["color"], linestyle=":", linewidth=1.1)
    axes.set_xlim(0.0, max(result.shaft.raw_length for result in results) / METRES_PER_INCH)
    axes.set_ylim(bottom=0.0)
    axes.set_xlabel("from the tip end, in")
    axes.set_title(title, loc="left")
    if len(results) > 1 and attribute == "ei":
        axes.legend(frameon=False, fontsize=8, loc="upper left", handlelength=2.6)
