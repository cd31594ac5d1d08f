"""Where the balls come down: each shaft's landing, what of it is resolved, and one golfer's swing-to-swing ellipse."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np

from swingbeam.study.result import ClubRun, RankResult, ShotRecord

from .caution import IDEALISED
from .style import STYLE, colours_of, spread_labels, write_picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SHARE = 0.9
"""Of the balls that an ellipse holds."""
SIZE = float(np.sqrt(-2.0 * np.log(1.0 - SHARE)))
"""σ of its half axes: two normal deviates lie inside with probability 1 − exp(−r²/2)."""
_GREY = "#6b6b6b"
_BARS: dict[bool, dict[str, Any]] = {
    True: {"linewidth": 1.0, "linestyle": "-"},
    False: {"linewidth": 0.8, "linestyle": (0, (1, 2))},
}


def draw_landing(result: RankResult) -> Figure:
    """Seen from above: all landings with their ellipses at one scale, and the landings alone, enlarged."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    runs = [run for run in result.runs if run.flight is not None]
    if all(run.shaft != result.reference for run in runs) and result.reference_run.flight is not None:
        runs.append(result.reference_run)
    with matplotlib.rc_context(STYLE):
        figure = Figure(figsize=(12.0, 7.6))
        FigureCanvasAgg(figure)
        wide = figure.add_axes((0.06, 0.21, 0.36, 0.66))
        near = figure.add_axes((0.52, 0.21, 0.31, 0.66))
        colours = colours_of(len(runs))
        looks = ["black" if run.shaft == result.reference else colours[i] for i, run in enumerate(runs)]
        _draw_ellipses(wide, runs, looks, result)
        _draw_landings(near, runs, looks, result)
        figure.text(
            0.5,
            0.955,
            f"{result.scenario}: where the balls of golfer {result.golfer} land. Reference club in black: "
            f"{result.reference}",
            fontsize=11,
            ha="center",
            va="center",
        )
        figure.text(0.5, 0.075, _words(result), fontsize=7, color="#444444", ha="center", va="center", wrap=True)
        figure.text(0.5, 0.018, IDEALISED, fontsize=7, color="#555555", ha="center", va="center")
    return figure


def write_landing(result: RankResult, path: str | os.PathLike[str]) -> Path:
    """Write the picture of the landings to a new PNG file.

    Raises
    ------
    InputError
        The file exists already, or cannot be written; then nothing is written.
    """
    return write_picture(draw_landing(result), path)


def _words(result: RankResult) -> str:
    first, _, rest = result.repeatability.partition(":")
    return (
        f"Ellipses: {100.0 * SHARE:.0f} % of one golfer's balls, from swing to swing, with {first}:\n{rest.strip()}.\n"
        "Crosses: error of the difference to the reference club, 1σ; dotted where the difference is not resolved: "
        "smaller than that,\nor going the other way under other hands. Hollow: resolved neither in carry nor in side. "
        f"Air: {result.air}."
    )


def _place(record: ShotRecord, result: RankResult) -> tuple[float, float]:
    """Right of the target line and along it, m; the world of a left-hander is reflected back."""
    side = record.shot.side
    return (-side if result.left_handed else side), record.shot.carry


def _draw_ellipses(axes: Axes, runs: Sequence[ClubRun], looks: Sequence[Any], result: RankResult) -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 181)
    circle = SIZE * np.vstack([np.cos(turn), np.sin(turn)])
    for run, colour in zip(runs, looks, strict=True):
        if run.flight is None:
            continue
        x, y = _place(run.flight, result)
        spread = run.flight.spread
        along, across = np.linalg.cholesky(spread.covariance + 1e-12 * np.eye(2)) @ circle
        sign = -1.0 if result.left_handed else 1.0
        is_reference = run.shaft == result.reference
        axes.plot(
            x + sign * (spread.mean_side + across),
            y + spread.mean_carry + along,
            color=colour,
            linewidth=2.0 if is_reference else 0.8,
            zorder=3 if is_reference else 2,
        )
        axes.plot([x], [y], marker="o", markersize=3.5, color=colour, zorder=4)
    axes.axvline(0.0, color=_GREY, linewidth=0.8, linestyle="--")
    axes.set_aspect("equal", adjustable="datalim")
    axes.set_title(f"{100.0 * SHARE:.0f} % of the balls, one scale", loc="left")
    axes.set_xlabel("m to the right of the target line")
    axes.set_ylabel("carry, m")


def _draw_landings(axes: Axes, runs: Sequence[ClubRun], looks: Sequence[Any], result: RankResult) -> None:
    points = []
    for run, colour in zip(runs, looks, strict=True):
        if run.flight is None:
            continue
        x, y = _place(run.flight, result)
        error = run.flight.change_error
        is_reference = run.shaft == result.reference
        resolved = is_reference or run.flight.is_resolved("carry") or run.flight.is_resolved("side")
        if not is_reference:
            across, along = (_BARS[run.flight.is_resolved(name)] for name in ("side", "carry"))
            axes.plot([x - error.side, x + error.side], [y, y], color=colour, zorder=2, **across)
            axes.plot([x, x], [y - error.carry, y + error.carry], color=colour, zorder=2, **along)
        face = colour if resolved else "white"
        axes.plot([x], [y], marker="o", markersize=6, color=colour, markerfacecolor=face, linestyle="none", zorder=3)
        points.append((x, y, run.shaft + ("" if resolved else " (not resolved)"), colour))
    axes.set_title("The landings alone, enlarged", loc="left")
    axes.set_xlabel("m to the right of the target line")
    axes.set_ylabel("carry, m")
    if not points:
        return
    axes.margins(0.1)
    axes.autoscale_view()
    low, high = axes.get_ylim()
    left, right = axes.get_xlim()
    places = spread_labels(np.array([y for _, y, _, _ in points]), 0.042 * (high - low), low, high)
    for (x, y, name, colour), place in zip(points, places, strict=True):
        axes.annotate(
            name,
            xy=(x, y),
            xytext=(right + 0.03 * (right - left), place),
            fontsize=7.0,
            color=colour,
            va="center",
            annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": colour, "linewidth": 0.4, "shrinkA": 1, "shrinkB": 2},
        )
