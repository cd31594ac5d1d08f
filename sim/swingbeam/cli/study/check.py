"""The command `study check`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from swingbeam.beam.errors import InputError

from ..shell import FAILURE, plain
from ..terminal import wishes
from . import study_app

if TYPE_CHECKING:
    from swingbeam.study.sweep.check import Checked


@study_app.command("check")
@plain
def check(
    file: Annotated[Path, typer.Argument(help="File of a study, or the .parts folder of an interrupted run.")],
) -> None:
    """Say whether a study's file is whole and what was written.

    Structure, hashes, missing and failed cases, and what the spot checks say. Exit code 0: sound; 1: not.

    For example: swingbeam study check outputs/what_drives_flight.h5
    """
    from swingbeam.study.sweep.check import check_study

    if file.suffix.lower() == ".toml":
        raise InputError(f"{file}: found a study's question; allowed: its result, as `swingbeam study run` wrote it")
    found = check_study(file)
    if not wishes.quiet:
        _tell(found)
    if not found.is_sound:
        raise typer.Exit(FAILURE)


def _tell(found: Checked) -> None:
    from swingbeam.files.base import display_path
    from swingbeam.study.sweep.check import ranges_words

    print(f"{display_path(found.path)}: {found.title}, {found.count:,} cases")
    if found.statuses:
        print("  " + ", ".join(f"{count:,} {name}" for name, count in found.statuses.items()))
    for reason, count in found.reasons:
        print(f"    {count:,} failed: {reason}")
    if found.missing:
        print(f"  missing: {found.missing_count:,} cases ({ranges_words(found.missing)}); --resume runs them")
    for problem in found.problems:
        print(f"  {problem}")
    if found.doubtful:
        print(f"  doubtful: the other solver does not agree: {found.doubtful}")
    elif found.spots:
        print(f"  {found.spots:,} spot checks with the other solver")
    print("sound" if found.is_sound else "not sound")
