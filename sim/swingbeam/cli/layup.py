"""The command `layup`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from .options import OUTPUTS, JsonOption, names_of
from .shell import app, compiling, console, plain, saved, saved_words, say


@app.command()
@plain
def layup(
    file: Annotated[str, typer.Argument(help="Name or path of a lay-up.", autocompletion=names_of("layup"))],
    compare: Annotated[
        str | None, typer.Option(help="Name or path of a second lay-up: the first is shown against it.")
    ] = None,
    json: JsonOption = False,
    output: Annotated[
        Path | None,
        typer.Option(help="Shaft file to write; a picture is written beside it. Default: a free name in outputs/."),
    ] = None,
) -> None:
    """Wind plies on a mandrel to a shaft.

    Writes the shaft they make, shows ply map, profiles and bench readings.

    For example: swingbeam layup cairn-66-s-bias --compare cairn-66-s
    """
    with compiling():
        from swingbeam.study.layup import compare_layups, shaft_paths, study_layup, write_layup_shaft

        made = study_layup(file)
        other = None if compare is None else study_layup(compare)
    data, picture = shaft_paths(output, made.name, Path(OUTPUTS))
    from swingbeam.report.layup_figure import write_layup_figure
    from swingbeam.report.layup_table import layups_json, print_layup, print_layups

    comparison = None if other is None else compare_layups(other, made)
    saved.append(write_layup_shaft(made, data))
    saved.append(write_layup_figure([made] if other is None else [other, made], picture))
    if json:
        print(layups_json(made, comparison))
    elif comparison is not None:
        print_layups(comparison, console())
    else:
        print_layup(made, console())
    say(saved_words())
