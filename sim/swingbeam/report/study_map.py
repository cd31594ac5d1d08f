"""An output over two columns: contours on a grid, cells where one of them is a named thing, points where it was
sampled."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np
from numpy.typing import NDArray

from swingbeam.study.sweep.bands import Cells, cells_of
from swingbeam.study.sweep.problem import Array
from swingbeam.study.sweep.results import Variable

from .study_axes import COLOURS, FAILED_MARKS, label_axis
from .study_words import axis_label, number
from .style import INK

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LEVELS, MOST_POINTS, SQUARES, MOST_WRITTEN = 9, 20_000, 60, 100
"""Contours; points drawn one by one, and squares a side above that; cells that carry their number."""


def draw_map(
    axes: Axes,
    over: tuple[Variable, Variable],
    at: tuple[Array, Array],
    z: Array,
    status: NDArray[np.int8],
) -> None:
    """Draw z (cases,) over two columns, with a colour bar; cases that missed or failed carry their marks."""
    cells = cells_of(*at, z)
    named = any(variable.choices for variable in over)
    if cells is None:
        _draw_points(axes, at, z)
    elif named or min(cells.median.shape) < 3:
        _draw_cells(axes, over, cells)
    else:
        _draw_contours(axes, cells)
    for code, (_, look) in enumerate(FAILED_MARKS.items(), start=1):
        chosen = (status == code) & np.isfinite(at[0]) & np.isfinite(at[1])
        if chosen.any():
            axes.plot(
                at[0][chosen],
                at[1][chosen],
                linestyle="none",
                color=INK,
                markeredgecolor=INK,
                zorder=4,
                clip_on=False,
                **look,
            )
    for variable, which in zip(over, ("x", "y"), strict=True):
        label_axis(axes, variable, axis_label(variable, 60 if which == "x" else 44), which)


def _draw_contours(axes: Axes, cells: Cells) -> None:
    known = cells.median[np.isfinite(cells.median)]
    if known.size < 4 or np.ptp(known) <= 1e-9 * max(np.abs(known).max(), 1e-300):
        _draw_flat(axes, cells)
        return
    levels = matplotlib.ticker.MaxNLocator(LEVELS).tick_values(known.min(), known.max())
    masked = np.ma.masked_invalid(cells.median)
    axes.grid(False)
    filled = axes.contourf(cells.x, cells.y, masked, levels=levels, cmap=COLOURS)
    lines = axes.contour(cells.x, cells.y, masked, levels=levels, colors="white", linewidths=0.7, linestyles="-")
    axes.clabel(lines, fmt=lambda value: f"{value:g}".replace("-", "−"), fontsize=7.5)
    _colour_bar(axes, filled)


def _draw_flat(axes: Axes, cells: Cells) -> None:
    """One value all over, or too few to draw lines between."""
    x, y = np.meshgrid(cells.x, cells.y)
    drawn = axes.scatter(x, y, c=cells.median, cmap=COLOURS, s=60, marker="s")
    _colour_bar(axes, drawn)


def _draw_cells(axes: Axes, over: tuple[Variable, Variable], cells: Cells) -> None:
    """A square a pair of levels, with its number in it while they are few."""
    edges = [_edges(values) for values in (cells.x, cells.y)]
    masked = np.ma.masked_invalid(cells.median)
    drawn = axes.pcolormesh(*edges, masked, cmap=COLOURS, edgecolors="white", linewidth=1.0)
    axes.grid(False)
    if cells.median.size <= MOST_WRITTEN:
        spread = float(np.ptp(masked.compressed())) if masked.count() else 0.0
        shades = drawn.to_rgba(masked)
        for (j, i), value in np.ndenumerate(cells.median):
            if np.isfinite(value):
                shade = shades[j, i]
                # Luminance of sRGB: dark cells get white numbers.
                dark = 0.2126 * shade[0] + 0.7152 * shade[1] + 0.0722 * shade[2] < 0.5
                words = number(value, like=spread)
                axes.text(
                    float(cells.x[i]),
                    float(cells.y[j]),
                    words,
                    ha="center",
                    va="center",
                    fontsize=8,
                    color="white" if dark else INK,
                )
    _colour_bar(axes, drawn)


def _edges(values: Array) -> Array:
    """Borders half-way between levels."""
    middle = 0.5 * (values[1:] + values[:-1])
    return np.concatenate([[2.0 * values[0] - middle[0]], middle, [2.0 * values[-1] - middle[-1]]])


def _draw_points(axes: Axes, at: tuple[Array, Array], z: Array) -> None:
    x, y = at
    known = np.isfinite(x) & np.isfinite(y) & np.isfinite(z)
    if known.sum() <= MOST_POINTS:
        size = float(np.clip(15000.0 / max(known.sum(), 1), 4.0, 40.0))
        low, high = np.quantile(z[known], [0.01, 0.99]) if known.any() else (0.0, 1.0)
        drawn = axes.scatter(
            x[known], y[known], c=z[known], s=size, cmap=COLOURS, vmin=low, vmax=high, linewidths=0, zorder=2.5
        )
        _colour_bar(axes, drawn, cut=True)
        return
    sums, xs, ys = np.histogram2d(x[known], y[known], bins=SQUARES, weights=z[known])
    counts, _, _ = np.histogram2d(x[known], y[known], bins=(xs, ys))
    mean = np.ma.masked_where(counts == 0, sums / np.maximum(counts, 1))
    _colour_bar(axes, axes.pcolormesh(xs, ys, mean.T, cmap=COLOURS))


def _colour_bar(axes: Axes, drawn: Any, *, cut: bool = False) -> None:
    bar = axes.figure.colorbar(drawn, ax=axes, pad=0.02, fraction=0.06, extend="both" if cut else "neither")
    bar.outline.set_visible(False)
    bar.ax.tick_params(labelsize=8)
