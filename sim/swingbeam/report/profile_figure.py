"""A profile found from readings as one picture: EI, GJ and mass with their bands, and where each reading looks."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import matplotlib
import numpy as np
from numpy.typing import NDArray

from swingbeam.bench.inverse import BAND
from swingbeam.study.profile import ProfileResult
from swingbeam.units import to_unit

from .profile_table import label_of
from .style import STYLE, write_picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = NDArray[np.float64]
WIDTH, PANEL, ROW = 12.0, 2.7, 0.17
"""Inches: the page, a panel of a property, a reading's strip."""
TOP, BETWEEN, BOTTOM = 0.8, 0.5, 0.75
"""Inches above the panels, between panels and strips, below the strips."""
MOST_STRIPS = 60
"""Readings whose strips are drawn; a scan of more is thinned out."""
TITLES = (("EI", "N·m²", 1.0), ("GJ", "N·m²", 1.0), ("Mass per length", "g/m", 1e3))
_LINE, _BAND = "#1b3a6b", "#b9cbe6"


def draw_profile(result: ProfileResult) -> Figure:
    """EI, GJ and mass against the distance from the tip, with the 95 % band; under them a strip for each reading.

    A strip's darkness is how much the reading changes with the property there, over the most it does with any property
    anywhere. Pieces that no reading looks at are hatched.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    rows = _strips(result)
    strip_height = ROW * max(len(rows), 4)
    height = TOP + PANEL + BETWEEN + strip_height + BOTTOM
    with matplotlib.rc_context(STYLE):
        figure = Figure(figsize=(WIDTH, height))
        FigureCanvasAgg(figure)
        left, gap, right = 1.95, 0.6, 0.3
        width = (WIDTH - left - right - 2.0 * gap) / 3.0
        for k in range(3):
            x = (left + k * (width + gap)) / WIDTH
            top = figure.add_axes((x, (height - TOP - PANEL) / height, width / WIDTH, PANEL / height))
            _draw_property(top, result, k)
            strips = figure.add_axes((x, BOTTOM / height, width / WIDTH, strip_height / height))
            _draw_strips(strips, result, k, rows, named=k == 0)
        found = result.found
        figure.text(
            0.5,
            1.0 - 0.25 / height,
            f"{found.shaft.name}: profile found from {len(found.residuals)} readings, with its 95 % band",
            fontsize=11,
            ha="center",
            va="center",
        )
        figure.text(
            0.5,
            0.15 / height,
            "Strips: how much a reading changes with the property there, over the most it does with any property "
            "anywhere. Hatched: no reading looks there.",
            fontsize=7,
            color="#555555",
            ha="center",
            va="center",
        )
    return figure


def write_profile_figure(result: ProfileResult, path: str | os.PathLike[str]) -> Path:
    """Write the picture of a profile to a new PNG or SVG file.

    Raises
    ------
    InputError
        Another ending; the file exists already, or cannot be written; then nothing is written.
    """
    return write_picture(draw_profile(result), path)


def _from_tip(result: ProfileResult, places: Array) -> Array:
    return np.asarray((result.found.shaft.raw_length - places) * to_unit(1.0, "in"))


def _draw_property(axes: Axes, result: ProfileResult, k: int) -> None:
    found = result.found
    title, unit, scale = TITLES[k]
    logs, sd = found.unknowns.logs(found.at)[k], found.log_sd[k]
    at = _from_tip(result, found.unknowns.s)
    low, high = scale * np.exp(logs - BAND * sd), scale * np.exp(logs + BAND * sd)
    axes.fill_between(at, low, high, color=_BAND, linewidth=0.0, label="95 % band")
    axes.plot(at, scale * np.exp(logs), color=_LINE, linewidth=1.6)
    name = ("EI", "GJ", "mass")[k]
    for gap in result.gaps:
        if gap.property == name and not gap.touched:
            ends = _from_tip(result, np.array([gap.end, gap.start]))
            axes.axvspan(*ends, facecolor="none", edgecolor="#888888", hatch="////", linewidth=0.0)
    axes.set_title(f"{title}, {unit}", loc="left")
    axes.set_xlim(0.0, float(at[0]))
    axes.set_ylim(bottom=0.0)
    axes.tick_params(labelbottom=False)
    axes.grid(color="#e4e4e4", linewidth=0.6)


def _strips(result: ProfileResult) -> list[int]:
    """Which readings have a strip, from the top."""
    count = len(result.found.residuals)
    if count <= MOST_STRIPS:
        return list(range(count))
    return [int(i) for i in np.unique(np.linspace(0, count - 1, MOST_STRIPS).round())]


def _draw_strips(axes: Axes, result: ProfileResult, k: int, rows: list[int], *, named: bool) -> None:
    found = result.found
    s = found.unknowns.s
    size = np.abs(found.linear.logs.reshape(-1, 3, s.size)[rows]) / _widths(s)
    # Over the most of any property: a strip that is pale all along says that the property hardly matters.
    most = size.max(axis=(1, 2))[:, None]
    share = np.divide(size[:, k], most, out=np.zeros_like(size[:, k]), where=most > 0.0)
    edges = np.concatenate([[s[0]], 0.5 * (s[1:] + s[:-1]), [s[-1]]])
    axes.pcolormesh(
        _from_tip(result, edges)[::-1], np.arange(len(rows) + 1), share[:, ::-1], cmap="Blues", vmin=0.0, vmax=1.0
    )
    axes.set_ylim(len(rows), 0)
    axes.set_xlim(0.0, float(_from_tip(result, s)[0]))
    axes.set_xlabel("inches from the tip")
    axes.set_title(f"where readings look at {('EI', 'GJ', 'mass')[k]}", loc="left", fontsize=8, fontweight="normal")
    if named:
        axes.set_yticks(np.arange(len(rows)) + 0.5)
        axes.set_yticklabels([label_of(found.residuals[i].measured.wanted) for i in rows], fontsize=7)
    else:
        axes.set_yticks([])
    axes.tick_params(left=False)
    for i in range(1, len(rows)):
        axes.axhline(i, color="white", linewidth=1.0)


def _widths(s: Array) -> Array:
    """Length of shaft a station stands for, m."""
    ends = np.diff(s)
    return np.asarray(0.5 * (np.append(ends, 0.0) + np.append(0.0, ends)))
