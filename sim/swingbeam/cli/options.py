"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from typing import Annotated

import typer

OUTPUTS = "outputs"
"""Folder under the working folder for results nobody named."""


class Solver(StrEnum):
    """The two solvers."""

    CURVATURE = "curvature"
    ELEMENTS = "elements"


class Hands(StrEnum):
    """How the hands give."""

    VICE = "vice"
    HOLD = "hold"
    EFFORT = "effort"


class Ball(StrEnum):
    """Where the ball is."""

    RE_AIMED = "re-aimed"
    RAW = "raw"
    LEARNT = "learnt"


SolverOption = Annotated[Solver | None, typer.Option(help="Solver; the scenario's own if not given.")]
HandsOption = Annotated[
    Hands | None, typer.Option(help="Hands: a vice, a golfer's hold, or the same effort for every club.")
]
BallOption = Annotated[
    Ball | None,
    typer.Option(help="Ball: where the reference club's face comes, where a rigid one's does, or each club's own."),
]
FirmnessOption = Annotated[
    str | None,
    typer.Option(
        "--firmness",
        help='Firmness of the grip, "0 %" to "100 %"; the swing\'s own if not given, "50 %" where it says none.',
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON and nothing else on stdout.")]


def read_firmness(text: str | None) -> float | None:
    """The firmness of a grip, 0 … 1, or None where it is not given; InputError."""
    if text is None:
        return None
    from swingbeam.files.base import naming
    from swingbeam.units import parse_quantity

    with naming("--firmness"):
        return parse_quantity(text, "ratio")


def value(option: StrEnum | None) -> str | None:
    """The word an option stands for."""
    return None if option is None else option.value


def names_of(*kinds: str) -> Callable[[str], list[str]]:
    """Completion of the names that can be given: those of the library of some kinds that begin as typed."""

    def complete(incomplete: str) -> list[str]:
        from swingbeam.files.lookup import list_library

        known = sorted(name for kind in kinds for name in list_library(kind))
        return [name for name in known if name.startswith(incomplete)]

    return complete
