"""What the pictures of a study share: header, axes of columns, bands over an input, marks of cases that failed."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np
from matplotlib.colors import ListedColormap
from numpy.typing import NDArray

from swingbeam.study.sweep.bands import bands_of
from swingbeam.study.sweep.problem import Array
from swingbeam.study.sweep.results import StudyResults, Variable

from .caution import IDEALISED
from .style import INK, colours_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDE, NARROW, LINE = (matplotlib.colormaps["cividis"](place) for place in (0.78, 0.55, 0.0))
"""90 % band, 50 % band, median: apart in grey too."""
COLOURS = ListedColormap(colours_of(256), name="cividis, dark part")
"""The look's own colours; the light end, on which white lines vanish, is left off."""
NAMES_BELOW = 0.55
"""Inches that turned names ask for below an axis."""
FOOT = 0.32
"""Inches kept free below for the caution."""
FAILED_MARKS: Mapping[str, dict[str, Any]] = {
    "missed": {"marker": "^", "markerfacecolor": "white", "markersize": 4.5},
    "failed": {"marker": "x", "markersize": 4.5},
}
_RUG_MOST = 2000
"""Marks drawn along an axis: more make one black bar of it."""


def new_page(width: float, height: float) -> Figure:
    """An empty page, inches."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width, height))
    FigureCanvasAgg(figure)
    return figure


def write_header(figure: Figure, title: str, lines: list[str]) -> float:
    """Title and what stands under it, at the top; the caution at the foot. Returns the inches used at the top."""
    width, height = figure.get_size_inches()
    # At 9 points a character is about 0.065 in wide; the title is larger.
    head = textwrap.wrap(title, max(20, int((width - 0.4) / 0.088)))
    under = [part for line in lines for part in textwrap.wrap(line, max(30, int((width - 0.4) / 0.066)))]
    y = 0.28
    for k, text in enumerate((*head, *under)):
        large = k < len(head)
        figure.text(0.2 / width, 1.0 - y / height, text, fontsize=11 if large else 8.5, va="center", color=INK)
        y += 0.21 if large else 0.17
    foot = textwrap.wrap(IDEALISED, max(30, int((width - 0.4) / 0.052)))
    for k, text in enumerate(reversed(foot)):
        figure.text(0.2 / width, (0.1 + 0.12 * k) / height, text, fontsize=6.5, color="#555555", va="center")
    return y


def study_lines(results: StudyResults, shown: int) -> list[str]:
    """Plan, cases and what is held, for the header."""
    parts = [f"{count} {status}" for status, count in results.counts().items() if count or status == "ok"]
    words = f"plan: {results.kind} · {results.count} cases: {', '.join(parts)}"
    if results.kind == "sensitivity":
        words += f" · shown: the {shown} of matrices A and B"
    return [words, *([f"held: {results.held}"] if results.held else [])]


def label_axis(axes: Axes, variable: Variable, text: str, which: str = "x", turn: float = 35.0) -> None:
    """Label an axis; a named thing's names stand at its ticks, turned by `turn` degrees where they are long."""
    axis = axes.xaxis if which == "x" else axes.yaxis
    axis.set_label_text(text)
    if variable.choices:
        axis.set_ticks(range(len(variable.choices)))
        turned = which == "x" and are_turned(variable)
        axis.set_ticklabels(
            variable.choices, rotation=turn if turned else 0, ha="right" if turned or which == "y" else "center"
        )
        axis.grid(False)


def are_turned(variable: Variable) -> bool:
    """Whether the names below an axis are too long to stand side by side."""
    return sum(len(name) for name in variable.choices) > 16


def draw_bands(axes: Axes, of: Variable, x: Array, y: Array, *, alone: bool) -> None:
    """Median and bands of y over x. `alone`: nothing else varies, so that the course itself is drawn and no band."""
    axes.set_axisbelow(True)
    _set_reach(axes, of, x)
    if alone and not of.choices:
        known = np.isfinite(x)
        order = np.argsort(x[known], kind="stable")
        few = known.sum() <= 40
        axes.plot(x[known][order], y[known][order], color=LINE, linewidth=1.5, marker="o" if few else "", markersize=4)
        return
    found = bands_of(x, y, named=bool(of.choices))
    q05, q25, q50, q75, q95 = found.quantiles.T
    if of.choices:
        axes.vlines(found.at, q05, q95, color=NARROW, linewidth=2.0)
        axes.vlines(found.at, q25, q75, color=LINE, linewidth=5.0)
        axes.plot(found.at, q50, "o", color="white", markeredgecolor=LINE, markersize=5, zorder=3)
        return
    axes.fill_between(found.at, q05, q95, color=WIDE, linewidth=0)
    axes.fill_between(found.at, q25, q75, color=NARROW, linewidth=0)
    axes.plot(found.at, q50, color=LINE, linewidth=1.6, marker="o" if found.at.size <= 12 else "", markersize=3.5)


def _set_reach(axes: Axes, of: Variable, x: Array) -> None:
    """The whole range of the column, where cases failed too: panels below each other agree."""
    if of.choices:
        axes.set_xlim(-0.5, len(of.choices) - 0.5)
        return
    known = x[np.isfinite(x)]
    low, high = float(known.min()), float(known.max())
    if high > low:
        axes.set_xlim(low - 0.03 * (high - low), high + 0.03 * (high - low))


def draw_failed(axes: Axes, x: Array, status: NDArray[np.int8]) -> None:
    """Marks along the foot of the axes where cases missed or failed."""
    for code, (_, look) in enumerate(FAILED_MARKS.items(), start=1):
        places = np.unique(x[(status == code) & np.isfinite(x)])
        if places.size > _RUG_MOST:
            places = places[:: places.size // _RUG_MOST + 1]
        if places.size:
            axes.plot(
                places,
                np.full(places.size, 0.025 if code == 2 else 0.065),
                linestyle="none",
                color=INK,
                markeredgecolor=INK,
                transform=axes.get_xaxis_transform(),
                zorder=4,
                **look,
            )


def failed_words(status: NDArray[np.int8], *places: Array) -> list[str]:
    """A line that explains the marks; none where every case is ok.

    `places` are the columns (cases,) that marks need: where one of them is an output, such a case has none.
    """
    parts = [
        f"{'△' if word == 'missed' else '×'} {word}: {int((status == code).sum())}"
        for code, word in enumerate(FAILED_MARKS, start=1)
        if (status == code).any()
    ]
    if not parts:
        return []
    known = np.all([np.isfinite(place) for place in places], axis=0)
    drawn = bool(np.all(known | (status <= 0)))
    words = "Marks show where cases have no figures" if drawn else "Cases without figures have no place here"
    return [f"{words}: {', '.join(parts)}"]
