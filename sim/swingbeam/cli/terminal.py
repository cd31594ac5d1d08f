"""What the terminal can show, and how much a person wants to be told."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Sequence
from dataclasses import dataclass

from swingbeam.report.plain import HANDLER, register, speaks_unicode

GLOBAL_OPTIONS = ("--quiet", "--no-color")
"""Options of the whole program: they may stand anywhere on the command line."""


@dataclass
class Wishes:
    """How the program shall speak; set from the command line, once a run."""

    quiet: bool = False
    """Errors only: no table, no progress, no word of what was written. JSON that was asked for is printed."""
    color: bool = True


wishes = Wishes()


def hoisted(arguments: Sequence[str]) -> list[str]:
    """The command line with the options of the whole program before the command, wherever they were written.

    What follows a lone "--" is left as it is.
    """
    end = arguments.index("--") if "--" in arguments else len(arguments)
    mine = [text for text in arguments[:end] if text in GLOBAL_OPTIONS]
    others = [text for text in arguments[:end] if text not in GLOBAL_OPTIONS]
    return [*dict.fromkeys(mine), *others, *arguments[end:]]


def soften_streams() -> None:
    """Let standard streams write ASCII for what they cannot show, instead of failing."""
    register()
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None and not speaks_unicode(stream):
            with contextlib.suppress(OSError, ValueError):
                reconfigure(errors=HANDLER)
