"""The command `study plot`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ..shell import plain, refuse_unwritable, saved, saved_words, say
from . import study_app


@study_app.command("plot")
@plain
def plot(
    file: Annotated[Path, typer.Argument(help="File of a study, as `study run` writes it.")],
    x: Annotated[str | None, typer.Option("--x", help="Column along: medians and bands over it.")] = None,
    y: Annotated[str | None, typer.Option("--y", help="Column upward: contours on a grid, else points.")] = None,
    output: Annotated[
        list[str] | None,
        typer.Option(
            help="What to draw, such as face_angle_deg; may be given several times. The first few if not given."
        ),
    ] = None,
    picture: Annotated[
        Path | None, typer.Option(help="PNG or SVG file to write; beside FILE, FILE's name with -plot, if not given.")
    ] = None,
) -> None:
    """Draw a study over what varies.

    Over one input medians and bands, over two contours or points, over many small multiples.

    For example: swingbeam study plot outputs/tempo_sweep.h5 --x swing.tempo.backswing
    """
    refuse_unwritable(picture=picture)
    from swingbeam.report.study_plot import free_picture, plot_study

    saved.append(plot_study(file, picture or free_picture(file), x=x, y=y, outputs=output or ()))
    say(saved_words())
