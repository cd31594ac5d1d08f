"""The command `study explain`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ..options import JsonOption
from ..shell import console, plain, refuse_unwritable, saved, saved_words, say
from . import study_app


@study_app.command("explain")
@plain
def explain(
    file: Annotated[Path, typer.Argument(help="File of a study, as `study run` writes it.")],
    output: Annotated[
        list[str] | None,
        typer.Option(
            help="What to explain, such as face_angle_deg; may be given several times. The first few if not given."
        ),
    ] = None,
    against: Annotated[
        list[str] | None,
        typer.Option(help="Any other column, such as half_ms: rank correlations with it; may be given several times."),
    ] = None,
    json: JsonOption = False,
    picture: Annotated[Path | None, typer.Option(help="PNG or SVG file to write: a bar an input.")] = None,
) -> None:
    """Say what drives the figures of a study, and how sure.

    Sobol' indices on a plan of kind sensitivity, rank correlations and main effects on any; what a plan cannot say is
    said.

    For example: swingbeam study explain outputs/what_drives_flight.h5 --output face_angle_deg
    """
    refuse_unwritable(picture=picture)
    from swingbeam.report.study_table import explained_json, print_explained
    from swingbeam.study.sweep.explain import explain_study

    found = explain_study(file, outputs=output or (), against=against or ())
    if picture is not None:
        from swingbeam.report.study_figure import write_explained

        saved.append(write_explained(found, picture))
        say(saved_words())
    if json:
        print(explained_json(found))
    else:
        print_explained(found, console())
