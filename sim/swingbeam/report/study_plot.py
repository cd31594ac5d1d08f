"""A study as a picture: over one input medians and bands, over two contours, over many small multiples."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

import matplotlib
import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.study.sweep.main_effects import main_effect
from swingbeam.study.sweep.problem import Array
from swingbeam.study.sweep.results import StudyResults, Variable, open_results

from .study_axes import (
    FOOT,
    NAMES_BELOW,
    are_turned,
    draw_bands,
    draw_failed,
    failed_words,
    label_axis,
    new_page,
    study_lines,
    write_header,
)
from .study_map import draw_map
from .study_words import axis_label
from .style import STYLE, write_picture

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MOST_OUTPUTS, MOST_INPUTS = 4, 7
"""Shown where none is named: rows and columns of the small multiples."""
BANDS = "Line: median; dark: half of the cases; light: 90 %. The bands are what the other inputs do."


def plot_study(
    path: str | os.PathLike[str],
    picture: str | os.PathLike[str],
    *,
    x: str | None = None,
    y: str | None = None,
    outputs: Sequence[str] = (),
) -> Path:
    """Draw a study's file and write the picture, a new PNG or SVG file.

    Raises
    ------
    InputError
        As `draw_study`; a picture that exists or cannot be written. Then nothing is written.
    """
    with open_results(path) as results:
        return write_picture(draw_study(results, x=x, y=y, outputs=outputs), picture)


def free_picture(path: str | os.PathLike[str]) -> Path:
    """The first free of NAME-plot.png, NAME-plot-2.png, … beside a study's file."""
    stem = Path(path).with_suffix("").name
    names = (f"{stem}-plot.png" if number == 1 else f"{stem}-plot-{number}.png" for number in count(1))
    return next(target for target in (Path(path).with_name(name) for name in names) if not target.exists())


def draw_study(
    results: StudyResults, *, x: str | None = None, y: str | None = None, outputs: Sequence[str] = ()
) -> Figure:
    """The picture that fits what varies.

    Parameters
    ----------
    x, y : name or key of a column; with x alone bands over it, with both contours on a grid and else points. Without:
        what the number of inputs asks for
    outputs : what is drawn; the first `MOST_OUTPUTS` where none is named

    Raises
    ------
    InputError
        A column that is not there; y without x; no case that is ok.
    """
    if y is not None and x is None:
        raise InputError("--y: found no --x beside it; allowed: --x alone, or both")
    chosen = [results.find(name, results.outputs, "--output") for name in outputs] or list(
        results.outputs[:MOST_OUTPUTS]
    )
    chosen = list(dict.fromkeys(chosen))
    status, sample = results.status(), results.sample()
    # The rest of a sensitivity sample are rows of A again, one number changed.
    drawn = status >= 0 if sample is None else sample.matrix < 2
    if not (status[drawn] == 0).any():
        raise InputError(f"{results.path}: no case is ok; allowed: a study of which at least some cases ran")
    across = None if x is None else results.find(x, option="--x")
    upward = None if y is None else results.find(y, option="--y")
    if across is None and len(results.inputs) <= 2:
        across = results.inputs[0]
        upward = results.inputs[1] if len(results.inputs) == 2 else None
    with matplotlib.rc_context(STYLE):
        if across is None:
            return _draw_multiples(results, chosen, drawn, status)
        if upward is None:
            return _draw_over_one(results, across, chosen, drawn, status)
        return _draw_over_two(results, (across, upward), chosen, drawn, status)


def _ok_values(results: StudyResults, output: Variable, drawn: NDArray[np.bool_], status: NDArray[np.int8]) -> Array:
    return np.where(status == 0, results.read(output.name), np.nan)[drawn]


def _title(results: StudyResults) -> str:
    return f"{results.title}: {results.question}" if results.question else results.title


def _draw_over_one(
    results: StudyResults, x: Variable, outputs: Sequence[Variable], drawn: NDArray[np.bool_], status: NDArray[np.int8]
) -> Figure:
    columns = min(len(outputs), 2)
    rows = math.ceil(len(outputs) / columns)
    names = NAMES_BELOW if are_turned(x) else 0.0
    width, height = 1.0 + 4.4 * columns, 1.35 + (3.1 + names) * rows
    figure = new_page(width, height)
    alone = len(results.inputs) == 1 and x in results.inputs
    xs = results.read(x.name)[drawn]
    lines = study_lines(results, int(drawn.sum())) + ([] if alone else [BANDS]) + failed_words(status[drawn], xs)
    used = write_header(figure, _title(results), lines)
    grid = figure.add_gridspec(
        rows,
        columns,
        left=0.95 / width,
        right=1.0 - 0.2 / width,
        top=1.0 - (used + 0.15) / height,
        bottom=(FOOT + 0.5 + names) / height,
        hspace=0.32 + 0.35 * names,
        wspace=0.28,
    )
    for k, output in enumerate(outputs):
        axes = figure.add_subplot(grid[divmod(k, columns)])
        draw_bands(axes, x, xs, _ok_values(results, output, drawn, status), alone=alone)
        draw_failed(axes, xs, status[drawn])
        label_axis(axes, x, axis_label(x, 60))
        axes.set_ylabel(axis_label(output, 34))
    return figure


def _draw_over_two(
    results: StudyResults,
    over: tuple[Variable, Variable],
    outputs: Sequence[Variable],
    drawn: NDArray[np.bool_],
    status: NDArray[np.int8],
) -> Figure:
    columns = min(len(outputs), 2)
    rows = math.ceil(len(outputs) / columns)
    names = NAMES_BELOW if are_turned(over[0]) else 0.0
    width, height = 1.0 + 4.9 * columns, 1.2 + (3.9 + names) * rows
    figure = new_page(width, height)
    others = len(results.inputs) > sum(variable in results.inputs for variable in over)
    lines = study_lines(results, int(drawn.sum()))
    if others and results.kind == "grid":
        lines.append("Median over the other inputs.")
    xs, ys = (results.read(variable.name)[drawn] for variable in over)
    used = write_header(figure, _title(results), lines + failed_words(status[drawn], xs, ys))
    grid = figure.add_gridspec(
        rows,
        columns,
        left=0.8 / width,
        right=1.0 - 0.35 / width,
        top=1.0 - (used + 0.35) / height,
        bottom=(FOOT + 0.5 + names) / height,
        hspace=0.32 + 0.2 * names,
        wspace=0.24,
    )
    for k, output in enumerate(outputs):
        axes = figure.add_subplot(grid[divmod(k, columns)])
        draw_map(axes, over, (xs, ys), _ok_values(results, output, drawn, status), status[drawn])
        axes.set_title(axis_label(output, 56), loc="left", fontsize=9)
    return figure


def _draw_multiples(
    results: StudyResults, outputs: Sequence[Variable], drawn: NDArray[np.bool_], status: NDArray[np.int8]
) -> Figure:
    values = [_ok_values(results, output, drawn, status) for output in outputs]
    inputs = _most_telling(results, values, drawn)
    width, height = 0.95 + 1.75 * len(inputs), 1.75 + 1.75 * len(outputs)
    width = max(width, 6.0)
    figure = new_page(width, height)
    left_out = len(results.inputs) - len(inputs)
    lines = study_lines(results, int(drawn.sum())) + [BANDS]
    if left_out:
        lines.append(f"Shown: the {len(inputs)} inputs that tell most; {left_out} more are in the file (--x KEY).")
    used = write_header(figure, _title(results), lines + failed_words(status[drawn]))
    grid = figure.add_gridspec(
        len(outputs),
        len(inputs),
        left=0.9 / width,
        right=1.0 - 0.15 / width,
        top=1.0 - (used + 0.1) / height,
        bottom=(FOOT + 0.6 + (0.55 if any(are_turned(v) for v in inputs) else 0.1)) / height,
        hspace=0.12,
        wspace=0.1,
    )
    for j, variable in enumerate(inputs):
        xs = results.read(variable.name)[drawn]
        for i, output in enumerate(outputs):
            axes = figure.add_subplot(grid[i, j], sharey=figure.axes[i] if j else None)
            draw_bands(axes, variable, xs, values[i], alone=False)
            if i == len(outputs) - 1:
                draw_failed(axes, xs, status[drawn])
                label_axis(axes, variable, axis_label(variable, 24), turn=60.0)
                axes.xaxis.label.set_fontsize(8)
            else:
                label_axis(axes, variable, "")
                axes.tick_params(labelbottom=False)
            if j:
                axes.tick_params(labelleft=False)
            else:
                axes.set_ylabel(axis_label(output, 22), fontsize=8)
            axes.locator_params(axis="y", nbins=5)
            if not variable.choices:
                axes.locator_params(axis="x", nbins=3)
    return figure


def _most_telling(results: StudyResults, values: Sequence[Array], drawn: NDArray[np.bool_]) -> list[Variable]:
    """The inputs that are shown, in the file's order: all, or those with the largest share in any of the outputs."""
    if len(results.inputs) <= MOST_INPUTS:
        return list(results.inputs)
    shares = []
    for variable in results.inputs:
        x = results.read(variable.name)[drawn]
        found = [main_effect(x, y, named=bool(variable.choices)) for y in values]
        known = [effect.share for effect in found if effect is not None and math.isfinite(effect.share)]
        shares.append(max(known, default=0.0))
    most = sorted(np.argsort(-np.array(shares), kind="stable")[:MOST_INPUTS])
    return [results.inputs[k] for k in most]
