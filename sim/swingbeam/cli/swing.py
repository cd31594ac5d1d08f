"""The command `swing`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from swingbeam.beam.errors import SimulationError

from .options import BallOption, FirmnessOption, HandsOption, JsonOption, SolverOption, names_of, read_firmness, value
from .shell import app, compiling, console, plain, refuse_unwritable, saved, saved_words, say


@app.command()
@plain
def swing(
    swing: Annotated[str, typer.Argument(help="Name or path of a swing.", autocompletion=names_of("swing"))],
    shaft: Annotated[
        str | None,
        typer.Option(help="Shaft; the reference club's if not given.", autocompletion=names_of("shaft", "layup")),
    ] = None,
    head: Annotated[
        str | None, typer.Option(help="Head; the reference club's if not given.", autocompletion=names_of("head"))
    ] = None,
    length: Annotated[str | None, typer.Option(help='Finished length, such as "45.5 in".')] = None,
    json: JsonOption = False,
    solver: SolverOption = None,
    hands: HandsOption = None,
    ball: BallOption = None,
    firmness: FirmnessOption = None,
    tempo: Annotated[
        float | None, typer.Option(help="Times the swing's own times: 1.1 is a tenth slower. Needs --same.")
    ] = None,
    same: Annotated[str | None, typer.Option(help='What --tempo leaves: "head speed", "effort" or "motion".')] = None,
    output: Annotated[
        Path | None, typer.Option(help="CSV file of the curves to write; none is written if not given.")
    ] = None,
    picture: Annotated[
        Path | None, typer.Option(help="PNG or SVG file to write: the swing, its rates, the couple and the unloading.")
    ] = None,
) -> None:
    """Swing one club: impact, unload, causes of face and loft.

    For example: swingbeam swing even --shaft marl-68-s --picture even.png
    """
    refuse_unwritable(output, picture=picture)
    with compiling():
        from swingbeam.study.single import swing_club

        result = swing_club(
            swing,
            shaft=shaft,
            head=head,
            length=length,
            solver=value(solver),
            hands=value(hands),
            ball=value(ball),
            firmness=read_firmness(firmness),
            tempo=tempo,
            same=same,
            with_motion=True,
        )
    if output is not None:
        from swingbeam.report.curves import write_curves

        saved.append(write_curves(result.run, output))
    if picture is not None and result.motion is not None:
        from swingbeam.report.swing_figure import write_swing_figure

        saved.append(write_swing_figure(result.motion, picture))
    if saved:
        say(saved_words())
    if json:
        from swingbeam.report.json import single_json

        print(single_json(result))
    else:
        from swingbeam.report.single import print_single

        print_single(result, console())
    if result.run.status != "ok":
        raise SimulationError(result.run.reasons.get("status", "not known"))
