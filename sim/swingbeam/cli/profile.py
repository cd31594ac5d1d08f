"""The commands that run bench tests backwards: `profile` and `convert`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from .options import JsonOption
from .shell import app, compiling, console, plain, refuse_unwritable, saved, saved_words, say

ReadingsArgument = Annotated[
    str, typer.Argument(help="Name or path of a readings file, such as scenarios/readings/bench_sheet.toml.")
]
LikeOption = Annotated[
    str | None, typer.Option(help="Name or path of a shaft whose shape this one is expected to share.")
]


@app.command()
@plain
def profile(
    readings: ReadingsArgument,
    output: Annotated[
        Path | None, typer.Option(help="Shaft file (TOML) to write, with the band of every station.")
    ] = None,
    like: LikeOption = None,
    json: JsonOption = False,
    picture: Annotated[
        Path | None, typer.Option(help="PNG or SVG file to write: EI, GJ and mass with bands, and where readings look.")
    ] = None,
) -> None:
    """Find the shaft that explains bench readings.

    EI, GJ and mass along it, how sure that is, and what the readings leave open.

    For example: swingbeam profile bench_sheet --output shafts/bench-sheet.toml
    """
    refuse_unwritable(output, picture=picture)
    with compiling():
        from swingbeam.study.profile import profile_readings, write_profile

        result = profile_readings(readings, like=like)
    if output is not None:
        saved.append(write_profile(result, output))
    if picture is not None:
        from swingbeam.report.profile_figure import write_profile_figure

        saved.append(write_profile_figure(result, picture))
    if saved:
        say(saved_words())
    from swingbeam.report.profile_table import print_profile, profile_json

    if json:
        print(profile_json(result))
    else:
        print_profile(result, console())


@app.command()
@plain
def convert(
    readings: ReadingsArgument,
    to: Annotated[str, typer.Option("--to", help="Name or path of the other bench's set-up file.")],
    like: LikeOption = None,
    json: JsonOption = False,
) -> None:
    """Say what another bench would read of a shaft.

    Of one that was read on this bench, and how sure that is.

    For example: swingbeam convert bench_sheet --to long_clamp
    """
    with compiling():
        from swingbeam.study.profile import convert_readings

        result = convert_readings(readings, to, like=like)
    from swingbeam.report.profile_table import conversion_json, print_conversion

    if json:
        print(conversion_json(result))
    else:
        print_conversion(result, console())
