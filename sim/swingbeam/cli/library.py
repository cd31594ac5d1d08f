"""The commands that look after files: `list`, `check`, `init`."""

from __future__ import annotations

from contextlib import nullcontext
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from .shell import app, compiling, plain


class Kind(StrEnum):
    """What the library holds."""

    SHAFTS = "shafts"
    LAYUPS = "layups"
    HEADS = "heads"
    SWINGS = "swings"
    SCENARIOS = "scenarios"
    STUDIES = "studies"
    CUSTOMERS = "customers"
    BENCHES = "benches"
    READINGS = "readings"


@app.command("list")
@plain
def list_library(
    kind: Annotated[Kind | None, typer.Argument(help="One kind only.")] = None,
) -> None:
    """List what can be named: shafts, heads, swings, …

    For example: swingbeam list swings
    """
    from swingbeam.study.library import describe_library

    for group in describe_library(None if kind is None else kind.value):
        print(f"{group.title}:")
        width = max((len(name) for name, _ in group.entries), default=0)
        for name, words in group.entries:
            print(f"  {name.ljust(width)}  {words}".rstrip())
        if not group.entries:
            print("  none")


@app.command()
@plain
def check(file: Annotated[Path, typer.Argument(help="A shaft, lay-up, head, swing, scenario or study file.")]) -> None:
    """Check a file and what it names.

    Says what is wrong and how to mend it.

    For example: swingbeam check scenarios/first_fitting.toml
    """
    from swingbeam.study.library import check_file, kind_of_file

    # Swings are aimed, which needs the solver; shafts and heads do not.
    with compiling() if kind_of_file(file) in ("swing", "scenario", "study") else nullcontext():
        words = check_file(file)
    print(f"{file}: {words}")


@app.command()
@plain
def init(
    directory: Annotated[Path, typer.Argument(help="A new or an empty folder.")],
) -> None:
    """Write a workspace of your own.

    Copies of the starter shafts, lay-ups, heads, swings and scenarios.

    For example: swingbeam init my-shop
    """
    from swingbeam.files.lookup import write_workspace

    write_workspace(directory)
    print(f"{directory}: a workspace with shafts, swings and scenarios to copy and change")
