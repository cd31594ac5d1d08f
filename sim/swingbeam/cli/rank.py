"""The command `rank`."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from swingbeam.beam.errors import InputError

from .options import OUTPUTS, BallOption, JsonOption, SolverOption, names_of, value
from .shell import app, compiling, console, plain, saved, saved_words, say


class RankHands(StrEnum):
    """How the hands give, or every way in turn."""

    VICE = "vice"
    HOLD = "hold"
    EFFORT = "effort"
    ALL = "all"


def _compare(scenario: str, json: bool, solver: str | None, ball: str | None) -> None:
    with compiling():
        from swingbeam.study.compare_hands import compare_hands

        found = compare_hands(scenario, solver=solver, ball=ball)
    from swingbeam.report.hands_table import hands_json, print_hands

    if json:
        print(hands_json(found))
    else:
        print_hands(found, console())


@app.command()
@plain
def rank(
    scenario: Annotated[str, typer.Argument(help="Name or path of a scenario.", autocompletion=names_of("scenario"))],
    json: JsonOption = False,
    solver: SolverOption = None,
    hands: Annotated[
        RankHands | None,
        typer.Option(help="Hands: a vice, a golfer's hold, the same effort for every club, or all three compared."),
    ] = None,
    ball: BallOption = None,
    verify: Annotated[
        bool, typer.Option("--verify", help="Repeat with the other solver and print the largest differences.")
    ] = False,
    output: Annotated[
        Path | None,
        typer.Option(help="HDF5 file to write; two pictures are written beside it. Default: a free name in outputs/."),
    ] = None,
) -> None:
    """Rank a scenario's shafts by unload timing.

    Writes one HDF5 file and two pictures. With --hands all the clubs are swung under every kind of hands, shown in
    one table, and nothing is written.

    For example: swingbeam rank first_fitting
    """
    if hands is RankHands.ALL:
        if verify or output is not None:
            raise InputError("found --hands all with --verify or --output; allowed: one kind of hands with those")
        _compare(scenario, json, value(solver), value(ball))
        return
    from swingbeam.study.outputs import landing_path, output_paths

    data, picture = output_paths(output, scenario, Path(OUTPUTS))
    with compiling():
        from swingbeam.study.rank import rank_scenario

        result = rank_scenario(scenario, solver=value(solver), hands=value(hands), ball=value(ball), verify=verify)
    from swingbeam.report.figure import write_figure
    from swingbeam.report.landing import write_landing
    from swingbeam.study.store import write_ranking

    saved.append(write_ranking(result, data))
    saved.append(write_figure(result, picture))
    saved.append(write_landing(result, landing_path(picture)))
    if json:
        from swingbeam.report.json import rank_json

        print(rank_json(result))
    else:
        from swingbeam.report.table import print_ranking

        print_ranking(result, console())
    say(saved_words())
