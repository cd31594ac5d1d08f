"""The command line's shell: one app, and every failure as a line on stderr and an exit code."""

from __future__ import annotations

import contextlib
import functools
import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

from swingbeam import __version__
from swingbeam.beam.errors import InputError, SimulationError

if TYPE_CHECKING:
    from rich.console import Console

USER_ERROR, FAILURE, INTERRUPTED = 2, 1, 130

app = typer.Typer(
    help="How a golf shaft loads and unloads in a swing, and what it does to the delivery of the head.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

Command = TypeVar("Command", bound=Callable[..., Any])

saved: list[Path] = []
"""What this run has written, for the message when it is stopped."""


def plain(command: Command) -> Command:
    """Turn a user's mistake, a failed simulation and Ctrl-C into a line on stderr and an exit code."""

    @functools.wraps(command)
    def guarded(*arguments: Any, **options: Any) -> Any:
        saved.clear()
        try:
            result = command(*arguments, **options)
            sys.stdout.flush()
        except InputError as error:
            say(f"swingbeam: {error}")
            raise typer.Exit(USER_ERROR) from None
        except SimulationError as error:
            say(f"swingbeam: the simulation failed: {error}")
            raise typer.Exit(FAILURE) from None
        except KeyboardInterrupt:
            kept = saved_words() if saved else "nothing was written"
            say(f"\nswingbeam: stopped; {kept}")
            raise typer.Exit(INTERRUPTED) from None
        except BrokenPipeError:
            # The reader has left: nothing more can be said there, and Python must not try when it ends.
            with contextlib.suppress(OSError, ValueError, AttributeError):
                os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            if saved:
                say(saved_words())
            raise typer.Exit(0) from None
        except OSError as error:
            # The machine's doing, not ours: a full disk, a folder that is gone or may not be read.
            where = f": {error.filename}" if error.filename else ""
            say(f"swingbeam: {error.strerror or error}{where}")
            raise typer.Exit(FAILURE) from None
        return result

    return guarded  # type: ignore[return-value]


def main() -> None:
    """Entry point of the `swingbeam` command: what is wrong with the command line is one line, like any mistake."""
    try:
        code = app(prog_name="swingbeam", standalone_mode=False)
    except typer.Abort:
        say("\nswingbeam: stopped; nothing was written")
        code = INTERRUPTED
    except Exception as error:
        # typer's own errors are known by these two only: where their classes live changes between its versions.
        if not (hasattr(error, "format_message") and hasattr(error, "show")):
            raise
        words = " ".join(error.format_message().split())
        if len(sys.argv) == 1:  # the help is the message
            error.show()
        else:
            say(f"swingbeam: {words} (see `swingbeam --help`)")
        code = USER_ERROR
    sys.exit(code)


def say(text: str) -> None:
    with contextlib.suppress(OSError, ValueError):
        print(text, file=sys.stderr, flush=True)


def saved_words() -> str:
    return f"saved: {', '.join(str(path) for path in saved)}"


def console() -> Console:
    from swingbeam.report.table import console_for

    return console_for(sys.stdout)


def refuse_unwritable(*files: Path | None, picture: Path | None = None) -> None:
    """Refuse, before anything runs, files that exist already and a picture of a kind that is not written.

    Raises
    ------
    InputError
        Such a file; None stands for one that was not asked for.
    """
    from swingbeam.files.safe_write import refuse_existing

    if picture is not None:
        from swingbeam.report.style import picture_kind

        picture_kind(picture)
    for path in (*files, picture):
        if path is not None:
            refuse_existing(path)


@contextlib.contextmanager
def compiling() -> Iterator[None]:
    """Say, once, that the first run on this machine compiles the solver."""
    from swingbeam.beam.compiled import is_cold

    if is_cold():
        say("swingbeam: first run on this machine: compiling the solver, once; this takes up to a minute")
    yield


def _show_version(wanted: bool) -> None:
    if wanted:
        print(f"swingbeam {__version__}")
        raise typer.Exit(0)


@app.callback()
def _options(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version and exit."),
    ] = False,
) -> None:
    """How a golf shaft loads and unloads in a swing, and what it does to the delivery of the head."""
