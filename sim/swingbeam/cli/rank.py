"""The command `rank`."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Iterator
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from swingbeam.beam.errors import InputError

from .options import OUTPUTS, BallOption, FirmnessOption, JsonOption, SolverOption, names_of, read_firmness, value
from .shell import LANES, app, compiling, console, plain, saved, saved_words, say, say_if_cold
from .terminal import wishes


class RankHands(StrEnum):
    """How the hands give, or every way in turn."""

    VICE = "vice"
    HOLD = "hold"
    EFFORT = "effort"
    ALL = "all"


def _compare(scenario: str, json: bool, solver: str | None, ball: str | None, firmness: float | None) -> None:
    with compiling():
        from swingbeam.study.compare_hands import compare_hands

        found = compare_hands(scenario, solver=solver, ball=ball, firmness=firmness)
    from swingbeam.report.hands_table import hands_json, print_hands

    if json:
        print(hands_json(found))
    else:
        print_hands(found, console())


@contextlib.contextmanager
def _repeating() -> Iterator[Callable[[int, int], None]]:
    """Tell how far the repeated swings are: a bar on a terminal, lines elsewhere."""
    from swingbeam.study.sweep.progress import Silent, watch_for

    watch = Silent() if wishes.quiet else watch_for(sys.stderr, say)
    told: int | None = None

    def progress(done: int, wanted: int) -> None:
        nonlocal told
        if told is None:
            say_if_cold(LANES)
            watch.begin("swings repeated", wanted, 0)
        watch.advance(done - (told or 0))
        told = done

    try:
        yield progress
    finally:
        watch.end()


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
    firmness: FirmnessOption = None,
    verify: Annotated[
        bool, typer.Option("--verify", help="Repeat with the other solver and print the largest differences.")
    ] = False,
    repeat: Annotated[
        int | None,
        typer.Option(
            metavar="N",
            help="Repeat the swing N times as a golfer does who is not a machine, and say how sure the order is. "
            "Default: 300 where the swing carries a spread, else 0: not at all.",
        ),
    ] = None,
    page: Annotated[
        bool, typer.Option("--page", help="Write the page to look at, print or send too, beside the HDF5 file.")
    ] = False,
    output: Annotated[
        Path | None,
        typer.Option(help="HDF5 file to write; pictures are written beside it. Default: a free name in outputs/."),
    ] = None,
) -> None:
    """Rank a scenario's shafts by unload timing.

    Writes one HDF5 file and two pictures, three where the swing is repeated. With --hands all the clubs are swung
    under every kind of hands, shown in one table, and nothing is written.

    For example: swingbeam rank first_fitting
    """
    if hands is RankHands.ALL:
        if verify or output is not None or repeat or page:
            raise InputError(
                "found --hands all with --verify, --repeat, --page or --output; allowed: one kind of hands with those"
            )
        _compare(scenario, json, value(solver), value(ball), read_firmness(firmness))
        return
    from swingbeam.study.outputs import landing_path, output_paths, page_path, places_path

    data, picture = output_paths(output, scenario, Path(OUTPUTS))
    html = page_path(None, data) if page else None
    with compiling(), _repeating() as progress:
        from swingbeam.study.rank import rank_scenario

        result = rank_scenario(
            scenario,
            solver=value(solver),
            hands=value(hands),
            ball=value(ball),
            firmness=read_firmness(firmness),
            verify=verify,
            repeat=repeat,
            progress=progress,
        )
    from swingbeam.report.figure import write_figure
    from swingbeam.report.landing import write_landing
    from swingbeam.study.store import write_ranking

    saved.append(write_ranking(result, data))
    if html is not None:
        from swingbeam.report.page import write_page

        saved.append(write_page(data, html))
    saved.append(write_figure(result, picture))
    saved.append(write_landing(result, landing_path(picture)))
    if result.repeated is not None:
        from swingbeam.report.places import write_places

        saved.append(write_places(result, places_path(picture)))
    if json:
        from swingbeam.report.json import rank_json

        print(rank_json(result))
    else:
        from swingbeam.report.table import print_ranking

        print_ranking(result, console())
    say(saved_words())
