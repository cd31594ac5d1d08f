"""What drives a study's figures, as one picture: a bar an input, outputs side by side."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np

from swingbeam.study.sweep.explain import Effect, Explained, OutputExplained

from .study_axes import LINE, WIDE, new_page, write_header
from .study_table import count_words
from .study_words import axis_label, reach, share
from .style import INK, STYLE, write_picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

MOST_ACROSS = 4
"""Outputs side by side."""
_BAR, _PANEL, _NUMBERS, _HEAD = 0.42, 2.0, 0.55, 0.5
"""Inches: of a bar, of a panel's width, for the column of rank correlations, for titles above a row of panels."""
_WHISKER: dict[str, Any] = {"color": INK, "linewidth": 0.9, "zorder": 4}


def draw_explained(explained: Explained) -> Figure:
    """A row of panels, one an output: total and first-order index of every input with their intervals, or on other
    plans its share of variance; rank correlations stand beside the bars. Below, rank correlations with the columns
    asked for.

    Dark and light of one map, and a bar within a bar, so that they stay apart in grey and for colour-blind readers.
    """
    outputs = explained.outputs
    order = order_of(explained)
    names = [_name(outputs[0].effects[k]) for k in order]
    against = [effect.of.key for effect in _columns_against(outputs)]
    across = min(len(outputs), MOST_ACROSS)
    left = 0.35 + 0.076 * max(len(line) for name in (*names, *against) for line in name.split("\n"))
    lines = _lines(explained)
    rows = -(-len(outputs) // across)
    tall, low = _BAR * len(names) + 0.15, _BAR * len(against) + 0.15
    height = 0.75 + 0.17 * (len(lines) + 2) + rows * (tall + 1.05 + (low + 1.0 if against else 0.0))
    width = max(left + across * (_PANEL + _NUMBERS + 0.2) + 0.1, 7.0)
    with matplotlib.rc_context(STYLE):
        figure = new_page(width, height)
        top = write_header(figure, _title(explained), lines) + 0.1
        panel = (width - left - 0.1) / across - _NUMBERS - 0.2
        for k, output in enumerate(outputs):
            row, column = divmod(k, across)
            x = left + column * (panel + _NUMBERS + 0.2)
            y = top + row * (tall + 1.05 + (low + 1.0 if against else 0.0)) + _HEAD
            axes = figure.add_axes(_box(x, y, panel, tall, width, height))
            _draw_shares(axes, output, order, names if column == 0 else None)
            axes.set_title(axis_label(output.output, int(panel / 0.088)), loc="left", fontsize=9)
            if output.against:
                axes = figure.add_axes(_box(x, y + tall + 1.0, panel, low, width, height))
                _draw_against(axes, output, against, column == 0 or not outputs[k - 1].against)
    return figure


def write_explained(explained: Explained, path: str | os.PathLike[str]) -> Path:
    """Write the picture to a new PNG or SVG file.

    Raises
    ------
    InputError
        Another ending, a file that exists already or cannot be written; then nothing is written.
    """
    return write_picture(draw_explained(explained), path)


def order_of(explained: Explained) -> list[int]:
    """Places of the inputs, the same in all panels: the one first that drives most of all outputs together."""
    weights = np.sum([_weights(output) for output in explained.outputs], axis=0)
    return [int(k) for k in np.argsort(-weights, kind="stable")]


def _weights(output: OutputExplained) -> np.ndarray:
    if output.indices is not None:
        return np.nan_to_num(output.indices.total)
    return np.nan_to_num([0.0 if effect.main is None else effect.main.share for effect in output.effects])


def _title(explained: Explained) -> str:
    return f"{explained.title}: {explained.question}" if explained.question else explained.title


def _lines(explained: Explained) -> list[str]:
    lines = [f"plan: {explained.kind} · {count_words(explained)}"]
    if explained.held:
        lines.append(f"held: {explained.held}")
    if any(output.indices is not None for output in explained.outputs):
        lines.append(
            "Light bar: total index, alone and with others; dark: first order, alone; whiskers: "
            f"{100 * explained.level:.0f} % intervals. Shares of the output's variance over this study's ranges."
        )
    else:
        lines.append(
            "Bar: share of the output's variance between levels or bins of the input, over this study's ranges."
        )
    lines.append("Number at the right: rank correlation, + where the output rises with the input.")
    return lines


def _name(effect: Effect) -> str:
    return f"{effect.of.key}\n{reach(effect.of, effect.low, effect.high)}"


def _columns_against(outputs: Sequence[OutputExplained]) -> list[Effect]:
    """The columns asked for, each once: an output lacks itself."""
    found: dict[str, Effect] = {}
    for output in outputs:
        for effect in output.against:
            found.setdefault(effect.of.name, effect)
    return list(found.values())


def _box(x: float, y: float, w: float, h: float, width: float, height: float) -> tuple[float, float, float, float]:
    """Left, bottom, width and height as shares of the page, from inches counted from its top left."""
    return x / width, 1.0 - (y + h) / height, w / width, h / height


def _draw_shares(axes: Axes, output: OutputExplained, order: Sequence[int], names: Sequence[str] | None) -> None:
    places = np.arange(len(order))
    found = output.indices
    if found is not None:
        chosen = np.array(order)
        axes.barh(places, np.maximum(found.total[chosen], 0.0), height=0.72, color=WIDE)
        axes.barh(places, np.maximum(found.first[chosen], 0.0), height=0.34, color=LINE)
        axes.hlines(places + 0.29, found.total_low[chosen], found.total_high[chosen], **_WHISKER)
        # White on the bar, dark beyond it: the whisker of a dark bar is seen on both.
        axes.hlines(places, found.first_low[chosen], found.first_high[chosen], color="white", linewidth=2.4, zorder=3)
        axes.hlines(places, found.first_low[chosen], found.first_high[chosen], **_WHISKER)
        reach = float(max(found.total_high.max(), found.first_high.max()))
    else:
        shares = _weights(output)[order]
        axes.barh(places, shares, height=0.6, color=LINE)
        reach = float(shares.max(initial=0.0))
    axes.set_xlim(0.0, max(1.0, 1.02 * reach))
    _set_names(axes, places, names)
    for place, k in zip(places, order, strict=True):
        rank = output.effects[k].rank
        text = "–" if rank is None else share(rank.value, sign=True)
        axes.annotate(text, (1.0, place), (6, 0), ("axes fraction", "data"), "offset points", va="center", fontsize=8)


def _set_names(axes: Axes, places: np.ndarray, names: Sequence[str] | None) -> None:
    axes.set_axisbelow(True)
    axes.set_ylim(len(places) - 0.5, -0.5)
    axes.set_yticks(places, [""] * len(places) if names is None else list(names))
    axes.tick_params(axis="y", length=0)
    axes.grid(False, axis="y")


def _draw_against(axes: Axes, output: OutputExplained, names: Sequence[str], named: bool) -> None:
    """Rank correlations with other columns, −1 … 1, with their intervals."""
    by_name = {effect.of.key: effect for effect in output.against}
    places = np.arange(len(names))
    for place, name in zip(places, names, strict=True):
        effect = by_name.get(name)
        rank = None if effect is None else effect.rank
        if rank is None:
            continue
        if rank.low is not None and rank.high is not None:
            axes.hlines([place], [rank.low], [rank.high], color=LINE, linewidth=1.6)
        axes.plot([rank.value], [place], "o", color=LINE, markersize=5)
        text = share(rank.value, sign=True)
        axes.annotate(text, (1.0, place), (6, 0), ("axes fraction", "data"), "offset points", va="center", fontsize=8)
    axes.axvline(0.0, color=INK, linewidth=0.7)
    axes.set_xlim(-1.0, 1.0)
    axes.set_title("rank correlation with", loc="left", fontsize=9)
    _set_names(axes, places, names if named else None)
