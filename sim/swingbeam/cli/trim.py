"""The command `trim`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from swingbeam.beam.errors import InputError

from .options import BallOption, HandsOption, JsonOption, SolverOption, names_of, value
from .shell import app, compiling, console, plain, refuse_unwritable, saved, saved_words, say


@app.command()
@plain
def trim(
    shaft: Annotated[
        str, typer.Argument(help="Name or path of a shaft or a lay-up.", autocompletion=names_of("shaft", "layup"))
    ],
    tip: Annotated[
        list[str] | None,
        typer.Option(help='Off the tip, such as "1 in", or a sweep, "0 in:2 in:0.5 in"; may be given several times.'),
    ] = None,
    butt: Annotated[
        list[str] | None, typer.Option(help="Off the butt, likewise; every tip trim is read with every butt trim.")
    ] = None,
    setup: Annotated[
        str | None, typer.Option(help="Name or path of a bench's set-up file; the usual set-ups if not given.")
    ] = None,
    swing: Annotated[str | None, typer.Option(help="Name or path of a swing: delivery and unload too.")] = None,
    head: Annotated[str | None, typer.Option(help="Head; the swing's reference club's if not given.")] = None,
    length: Annotated[
        str | None,
        typer.Option(help="Finished length before the butt trim; the swing's reference club's if not given."),
    ] = None,
    json: JsonOption = False,
    solver: SolverOption = None,
    hands: HandsOption = None,
    ball: BallOption = None,
    picture: Annotated[
        Path | None, typer.Option(help="PNG or SVG file to write: readings and delivery against the trim.")
    ] = None,
) -> None:
    """Cut a shaft: every reading before and after.

    With --swing also delivery and unload timing.

    For example: swingbeam trim wick-65-s --tip "0 in:2 in:1 in" --swing even
    """
    refuse_unwritable(picture=picture)
    if not tip and not butt:
        raise InputError('found no trim; allowed: --tip "1 in", --butt "0.5 in", or a sweep, --tip "0 in:2 in:0.5 in"')
    if swing is None and (hands or ball or solver):
        raise InputError("--hands, --ball and --solver: nothing is swung; allowed: together with --swing")
    with compiling():
        from swingbeam.study.trim import trim_shaft

        result = trim_shaft(
            shaft,
            tip=tip or (),
            butt=butt or (),
            setup=setup,
            head=head,
            length=length,
            swing=swing,
            hands=value(hands),
            ball=value(ball),
            solver=value(solver),
        )
    from swingbeam.report.trim_table import print_trims, trims_json

    if picture is not None:
        from swingbeam.report.trim_figure import write_trim_figure

        saved.append(write_trim_figure(result, picture))
        say(saved_words())
    if json:
        print(trims_json(result))
    else:
        print_trims(result, console())
