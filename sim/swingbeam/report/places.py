"""How sure a ranking is, as a picture: the probability of every place, and the bands of the changes beside it."""

from __future__ import annotations

import os
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np

from swingbeam.beam.errors import InputError
from swingbeam.study.bands import BANDED
from swingbeam.study.repeated import Repeated, by_group
from swingbeam.study.result import RankResult

from .caution import IDEALISED
from .style import INK, STYLE, write_picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, ROW, ABOVE, BELOW = 11.0, 0.30, 0.75, 0.85
"""Inches: of the page without the clubs' names, a club's row, and the room above and below the rows."""
_CHARACTER = 0.075
"""Inches a character of a name takes."""
CHANGES = (("half_ms", "Half-unload, ms"), ("dynamic_loft_deg", "Loft, °"), ("face_angle_deg", "Face, °"))
LEAST_SHOWN = 0.005
"""A smaller probability is not written into its cell."""
_PANELS = ((0.2, 4.3), (4.9, 1.75), (6.95, 1.75), (9.0, 1.75))
"""Left and width of the panels, inches, from where the names end."""


def draw_places(result: RankResult) -> Figure:
    """Clubs down the page by group and rank, places across it, darker is likelier; bands of the changes beside.

    Lines part the groups that cannot be told apart.

    Raises
    ------
    InputError
        The swing was not repeated.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    found = result.repeated
    if found is None:
        raise InputError("picture of the places: the swing was not repeated")
    names = by_group(found, [run.shaft for run in result.runs])
    room = _CHARACTER * (2 + max(len(name) for name in names))
    width, height = WIDTH + room, ABOVE + BELOW + ROW * len(names)
    with matplotlib.rc_context(STYLE):
        figure = Figure(figsize=(width, height))
        FigureCanvasAgg(figure)
        bottom, high = BELOW / height, ROW * len(names) / height
        panels = [figure.add_axes(((room + left) / width, bottom, wide / width, high)) for left, wide in _PANELS]
        _draw_strips(panels[0], names, found, result.reference)
        for axes, (key, title) in zip(panels[1:], CHANGES, strict=True):
            _draw_bands(axes, names, found, key)
            axes.set_title(title, loc="left")
        for axes in panels:
            _part_groups(axes, names, found)
        figure.text(
            0.5,
            1.0 - 0.22 / height,
            f"{result.scenario}: golfer {result.golfer}, hands {result.hands}; his swing repeated {found.swings} times",
            fontsize=11,
            ha="center",
            va="center",
        )
        figure.text(
            0.5,
            0.32 / height,
            f"Right: change against {result.reference}, median and 90 % band. Lines part groups: of the clubs between "
            "two lines the first cannot be told from the others.",
            fontsize=8,
            ha="center",
            va="center",
        )
        figure.text(0.5, 0.12 / height, IDEALISED, fontsize=7, color="#555555", ha="center", va="center")
    return figure


def write_places(result: RankResult, path: str | os.PathLike[str]) -> Path:
    """Write the picture to a new PNG or SVG file.

    Raises
    ------
    InputError
        The file exists already, or cannot be written, or the swing was not repeated; then nothing is written.
    """
    return write_picture(draw_places(result), path)


def _shades() -> Any:
    """From white to the dark end of the colours of all pictures."""
    from matplotlib.colors import LinearSegmentedColormap, to_hex

    return LinearSegmentedColormap.from_list("places", ["white", to_hex(matplotlib.colormaps["cividis"](0.0))])


def _draw_strips(axes: Axes, names: list[str], found: Repeated, reference: str) -> None:
    count = len(names)
    table = np.array([found.place[found.row(name)] for name in names])
    axes.imshow(
        np.ma.masked_invalid(table),
        cmap=_shades(),
        vmin=0.0,
        vmax=1.0,
        aspect="auto",
        extent=(0.5, count + 0.5, count - 0.5, -0.5),
        interpolation="nearest",
    )
    for i, row in enumerate(table):
        for k, p in enumerate(row):
            if p >= LEAST_SHOWN:
                text = f"{100.0 * p:.0f}"
                axes.text(k + 1, i, text, ha="center", va="center", fontsize=7, color="white" if p > 0.5 else INK)
    axes.set_title("Probability of each place, %", loc="left")
    axes.set_xticks(range(1, count + 1))
    axes.set_xlabel("place by half-unload (1 unloads first)")
    axes.set_yticks(range(count))
    axes.set_yticklabels([name + (" *" if name == reference else "") for name in names])
    axes.tick_params(length=0)
    axes.grid(False)


def _draw_bands(axes: Axes, names: list[str], found: Repeated, key: str) -> None:
    quantity = next(q for _, q in BANDED if q.key == key)
    for i, name in enumerate(names):
        band = found.changes.get(name, {}).get(key)
        if band is None:
            axes.text(0.0, i, "–", ha="center", va="center", color=INK)
            continue
        low, median, high = (quantity.scale * v for v in (band.low, band.median, band.high))
        axes.plot([low, high], [i, i], color=INK, linewidth=1.2, solid_capstyle="butt")
        axes.plot([median], [i], marker="o", markersize=4.5, color=INK, markeredgecolor="white")
    axes.axvline(0.0, color=INK, linewidth=0.6)
    axes.set_ylim(len(names) - 0.5, -0.5)
    axes.set_yticks([])
    axes.grid(True, axis="x")


def _part_groups(axes: Axes, names: list[str], found: Repeated) -> None:
    groups = [found.group[found.row(name)] for name in names]
    for i, (above, below) in enumerate(pairwise(groups)):
        if above != below:
            axes.axhline(i + 0.5, color=INK, linewidth=0.9)
