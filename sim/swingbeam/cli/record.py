"""The command `record`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from .options import JsonOption
from .shell import app, compiling, console, plain, saved, saved_words, say

_CSV = "CSV without a file that declares it"


@app.command()
@plain
def record(
    file: Annotated[Path, typer.Argument(help="A recording's TOML file, or a CSV file described by the options.")],
    json: JsonOption = False,
    output: Annotated[Path | None, typer.Option(help="Swing file to write, such as swings/NAME.toml.")] = None,
    cutoff: Annotated[
        str | None, typer.Option(help='Cut-off of the smoothing, such as "20 Hz"; chosen from the data if not given.')
    ] = None,
    fit: Annotated[
        str | None, typer.Option(help="Swing to fit to the recording: the archetype nearest to it is written.")
    ] = None,
    fit_output: Annotated[Path | None, typer.Option(help="Swing file to write the fitted archetype to.")] = None,
    up: Annotated[str | None, typer.Option(help='Data axis that points up: "+z".', rich_help_panel=_CSV)] = None,
    target: Annotated[
        str | None, typer.Option(help='Data axis that points to the target: "+x".', rich_help_panel=_CSV)
    ] = None,
    axes: Annotated[
        str | None, typer.Option(help="Handedness of the data axes: right or left.", rich_help_panel=_CSV)
    ] = None,
    handed: Annotated[str | None, typer.Option(help="The golfer: right or left.", rich_help_panel=_CSV)] = None,
    impact: Annotated[
        str | None, typer.Option(help='Impact in the data\'s time: "1.234 s".', rich_help_panel=_CSV)
    ] = None,
    struck: Annotated[
        bool | None, typer.Option("--struck/--not-struck", help="Was a ball struck?", rich_help_panel=_CSV)
    ] = None,
    shaft_axis: Annotated[
        str | None, typer.Option(help="Axis of the tracked body down the shaft.", rich_help_panel=_CSV)
    ] = None,
    face_axis: Annotated[
        str | None, typer.Option(help="Axis of the body to the target, face square.", rich_help_panel=_CSV)
    ] = None,
    shaft: Annotated[str | None, typer.Option(help="Shaft of the club that was held.", rich_help_panel=_CSV)] = None,
    head: Annotated[str | None, typer.Option(help="Head of the club that was held.", rich_help_panel=_CSV)] = None,
    length: Annotated[
        str | None, typer.Option(help='Its finished length, such as "45.5 in".', rich_help_panel=_CSV)
    ] = None,
) -> None:
    """Make a swing of a motion recording.

    Says what it delivers and how sure that is; writes a swing file for `rank` and `swing`.

    A CSV file described by options has the columns time, x, y, z (the hold point) and qw, qx, qy, qz (the quaternion
    that turns the body's axes into the data's), with units in its header: "time (s),x (mm),y (mm),z (mm),qw,qx,qy,qz".

    For example: swingbeam record swings/recordings/practice-swing.toml
    """
    from swingbeam.study.record_options import check_outputs, cutoff_from_text, declared_by_options

    check_outputs(output, fit, fit_output)
    options = {
        "up": up,
        "target": target,
        "axes": axes,
        "handed": handed,
        "impact": impact,
        "struck": struck,
        "shaft_axis": shaft_axis,
        "face_axis": face_axis,
        "shaft": shaft,
        "head": head,
        "length": length,
    }
    declared = declared_by_options(file, options)
    frequency = cutoff_from_text(cutoff)
    with compiling():
        from swingbeam.study.record import record_swing, write_swing

        result = record_swing(file, record=declared, cutoff=frequency)
    from swingbeam.report.record import bound_words, print_recording, recording_json

    if output is not None:
        saved.append(write_swing(result, output, bound_words(result)))
    fitted = None
    if fit is not None:
        from swingbeam.study.record_fit import fit_archetype, write_fitted

        fitted = fit_archetype(result, fit)
        if fit_output is not None:
            saved.append(write_fitted(fitted, result, fit_output))
    if json:
        print(recording_json(result, fitted))
    else:
        print_recording(result, console(), fitted)
    if saved:
        say(saved_words())
