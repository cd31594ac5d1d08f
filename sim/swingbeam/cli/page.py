"""The command `page`."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from .shell import app, plain, saved, saved_words, say


class Units(StrEnum):
    """The units a page opens with."""

    METRIC = "metric"
    TRADE = "trade"


class Paper(StrEnum):
    """What a page is printed on."""

    A4 = "a4"
    LETTER = "letter"


@app.command()
@plain
def page(
    ranking: Annotated[Path, typer.Argument(help="HDF5 file of a ranking, as `swingbeam rank` writes it.")],
    output: Annotated[
        Path | None, typer.Option(help="HTML file to write. Default: the ranking's name with .html, beside it.")
    ] = None,
    shafts: Annotated[
        str | None,
        typer.Option(help='Shafts to draw, such as "a,b"; the first and the last to unload if not given.'),
    ] = None,
    units: Annotated[Units, typer.Option(help="Units shown first; the page can switch.")] = Units.METRIC,
    paper: Annotated[Paper, typer.Option(help="Paper its two printed sheets are made for.")] = Paper.A4,
) -> None:
    """Write a ranking as one page to look at, print or send.

    One HTML file that needs no network: the ranking, its charts, a replay of the shafts bending, and what it all
    rests on. The reference club is always among the shafts drawn.

    For example: swingbeam page outputs/first_fitting.h5 --units trade
    """
    from swingbeam.report.page import write_page
    from swingbeam.study.outputs import page_path

    target = page_path(output, ranking)
    names = None if shafts is None else [name.strip() for name in shafts.split(",")]
    saved.append(write_page(ranking, target, shafts=names, units=units.value, paper=paper.value))
    say(saved_words())
