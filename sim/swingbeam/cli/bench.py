"""The command `bench`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from swingbeam.beam.errors import InputError

from .options import JsonOption, names_of
from .shell import app, compiling, console, plain, refuse_unwritable, saved, saved_words, say


@app.command()
@plain
def bench(
    shafts: Annotated[
        list[str] | None,
        typer.Argument(
            help="Names or paths of shafts; all if none is named.", autocompletion=names_of("shaft", "layup")
        ),
    ] = None,
    setup: Annotated[
        str | None, typer.Option(help="Name or path of a bench's set-up file; the usual set-ups if not given.")
    ] = None,
    test: Annotated[
        list[str] | None, typer.Option(help="One test only; may be given several times. Scans are printed in full.")
    ] = None,
    scenario: Annotated[
        str | None, typer.Option(help="Name or path of a scenario whose clubs are read as they are built.")
    ] = None,
    against: Annotated[
        str | None, typer.Option(help="CSV file of readings taken, put beside the bench's own; names the shafts.")
    ] = None,
    decimal_comma: Annotated[bool, typer.Option("--decimal-comma", help="The CSV file has decimal commas.")] = False,
    swing: Annotated[
        str | None,
        typer.Option(help="Name or path of a swing: face and loft against how each shaft's spine is set in the head."),
    ] = None,
    spine: Annotated[
        str | None, typer.Option(help='With --swing: a spine instead of the shafts\' own, such as "3 %" of EI.')
    ] = None,
    json: JsonOption = False,
    csv: Annotated[Path | None, typer.Option(help="CSV file of the readings to write.")] = None,
    picture: Annotated[
        Path | None, typer.Option(help="PNG or SVG file to write: profiles, kick point, frequency over free length.")
    ] = None,
) -> None:
    """Read shafts on the bench.

    Frequency, deflection, kick and bend point, torque, balance, EI scan, spine.

    For example: swingbeam bench wick-65-s marl-68-s --picture bench.png
    """
    refuse_unwritable(csv, picture=picture)
    named = list(shafts or [])
    if against is not None:
        if named or scenario is not None or test or csv is not None or picture is not None or swing is not None:
            raise InputError("--against: the file names shafts and tests; allowed beside it: --setup, --decimal-comma")
        _compare(against, setup, decimal_comma, json)
        return
    if swing is not None:
        if setup is not None or scenario is not None or test or csv is not None or picture is not None:
            raise InputError("--swing: it swings the shafts' spines only; allowed beside it: shafts, --spine, --json")
        _spines(named, swing, spine, json)
        return
    if spine is not None:
        raise InputError("--spine: a spine is stated for a swing; allowed: together with --swing")
    with compiling():
        from swingbeam.study.bench import read_shafts

        result = read_shafts(named, setup=setup, tests=test or None, scenario=scenario)
    from swingbeam.report.bench_table import bench_json, print_bench, write_bench_csv

    if csv is not None:
        saved.append(write_bench_csv(result, csv))
    if picture is not None:
        from swingbeam.report.bench_figure import write_bench_figure

        saved.append(write_bench_figure(result, picture))
    if saved:
        say(saved_words())
    if json:
        print(bench_json(result))
    else:
        print_bench(result, console())


def _compare(against: str, setup: str | None, decimal_comma: bool, json: bool) -> None:
    with compiling():
        from swingbeam.study.bench import compare_readings

        found = compare_readings(against, setup=setup, decimal="," if decimal_comma else ".")
    from swingbeam.report.bench_table import comparison_json, print_comparison

    if json:
        print(comparison_json(found))
    else:
        print_comparison(found, console())


def _spines(shafts: list[str], swing: str, spine: str | None, json: bool) -> None:
    from swingbeam.files.base import naming
    from swingbeam.units import parse_quantity

    with naming("--spine"):
        difference = None if spine is None else parse_quantity(spine, "ratio")
    with compiling():
        from swingbeam.study.spine import face_against_spine

        found = face_against_spine(shafts, swing, difference=difference)
    from swingbeam.report.spine_table import print_spines, spine_json

    if json:
        print(spine_json(found))
    else:
        print_spines(found, console())
