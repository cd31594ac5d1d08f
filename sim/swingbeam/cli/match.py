"""The command `match`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from .options import OUTPUTS, JsonOption, names_of
from .shell import app, compiling, console, plain, saved, saved_words, say


@app.command()
@plain
def match(
    customer: Annotated[
        str,
        typer.Argument(
            help='Name or path of a customer\'s file, such as "first_customer".', autocompletion=names_of("customer")
        ),
    ],
    output: Annotated[Path | None, typer.Option(help="Swing file to write. Default: a free name in outputs/.")] = None,
    json: JsonOption = False,
) -> None:
    """Match a swing to a customer's figures.

    Writes a swing file with its spread, for rank and swing.

    For example: swingbeam match first_customer
    """
    from swingbeam.study.outputs import swing_path

    path = swing_path(output, customer, Path(OUTPUTS))
    with compiling():
        from swingbeam.study.match import match_customer

        result = match_customer(customer)
    from swingbeam.files.safe_write import write_new

    saved.append(write_new(path, result.text))
    if json:
        from swingbeam.report.match import match_json

        print(match_json(result))
    else:
        from swingbeam.report.match import print_match

        print_match(result, console())
    say(saved_words())
