"""The command line's shell: one app, and every failure as a line on stderr and an exit code."""

from __future__ import annotations

import contextlib
import functools
import os
import sys
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

from swingbeam import __version__
from swingbeam.beam.errors import InputError, SimulationError

from .terminal import hoisted, soften_streams, wishes

if TYPE_CHECKING:
    from rich.console import Console

USER_ERROR, FAILURE, INTERRUPTED = 2, 1, 130

THE_JOB = """\
swingbeam: when a golf shaft unloads in a swing, and what that does to delivery

  bench, profile  readings from any bench to one comparable shaft: EI, GJ, mass
  trim, layup     cut it, or wind it of plies, and read it again
  match, record   the golfer's swing, from launch figures or a motion recording
  rank, swing     swing every club: delivery, unload timing, and how sure it is
  page, study     a page to hand over; many swings, and what drives the answer

Next: swingbeam rank first_fitting          All commands: swingbeam --help"""
"""What the command alone prints: the job in five lines, and what to type next."""

app = typer.Typer(
    help="How a golf shaft loads and unloads in a swing, and what it does to the delivery of the head.",
    epilog="For example: swingbeam rank first_fitting",
    add_completion=True,
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
        warnings.showwarning = _say_warning
        try:
            result = command(*arguments, **options)
            sys.stdout.flush()
        except InputError as error:
            complain(f"swingbeam: {error}")
            raise typer.Exit(USER_ERROR) from None
        except SimulationError as error:
            complain(f"swingbeam: the simulation failed: {error}")
            raise typer.Exit(FAILURE) from None
        except KeyboardInterrupt:
            kept = saved_words() if saved else "nothing was written"
            complain(f"\nswingbeam: stopped; {kept}")
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
            complain(f"swingbeam: {error.strerror or error}{where}")
            raise typer.Exit(FAILURE) from None
        return result

    return guarded  # type: ignore[return-value]


def main() -> None:
    """Entry point of the `swingbeam` command: what is wrong with the command line is one line, like any mistake."""
    soften_streams()
    try:
        code = app(hoisted(sys.argv[1:]), prog_name="swingbeam", standalone_mode=False)
    except typer.Abort:
        complain("\nswingbeam: stopped; nothing was written")
        code = INTERRUPTED
    except KeyboardInterrupt:  # before a command has begun
        complain("\nswingbeam: stopped; nothing was written")
        code = INTERRUPTED
    except Exception as error:
        # typer's own errors are known by these two only: where their classes live changes between its versions.
        if not (hasattr(error, "format_message") and hasattr(error, "show")):
            raise
        if type(error).__name__ == "NoArgsIsHelpError":  # a group of commands alone: the help is the message
            error.show()
        else:
            context = getattr(error, "ctx", None)
            where = "swingbeam" if context is None else context.command_path
            words = " ".join(error.format_message().split()).replace("Value error, ", "")
            complain(f"swingbeam: {words} (see `{where} --help`)")
        code = USER_ERROR
    sys.exit(code)


def _say_warning(message: Warning | str, *_: Any, **__: Any) -> None:
    """A warning as a line, without the place in the program that it comes from."""
    say(f"swingbeam: warning: {message}")


def say(text: str) -> None:
    """A line of progress or of what was written, on stderr; nothing with --quiet."""
    if not wishes.quiet:
        complain(text)


def complain(text: str) -> None:
    """A line on stderr, whatever was asked for."""
    with contextlib.suppress(OSError, ValueError):
        print(text, file=sys.stderr, flush=True)


def saved_words() -> str:
    return f"saved: {', '.join(str(path) for path in saved)}"


def console() -> Console:
    from swingbeam.report.table import console_for

    return console_for(sys.stdout, color=wishes.color, quiet=wishes.quiet)


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


LANES = "march_groups"
"""The kernel that swings clubs side by side."""


@contextlib.contextmanager
def compiling(kernel: str = "") -> Iterator[None]:
    """Say, once, that the first run on this machine compiles the solver, or a kernel of its own."""
    say_if_cold(kernel)
    yield


def say_if_cold(kernel: str = "") -> None:
    """Say that a kernel, or everything, is compiled first, if it is."""
    from swingbeam.beam.compiled import is_cold

    if is_cold(kernel):
        say("swingbeam: first run on this machine: compiling the solver, once; this takes up to a minute")


def _show_version(wanted: bool) -> None:
    if wanted:
        print(f"swingbeam {__version__}")
        raise typer.Exit(0)


@app.callback(invoke_without_command=True)
def _options(
    context: typer.Context,
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version and exit."),
    ] = False,
    quiet: Annotated[
        bool, typer.Option("--quiet", help="Print errors only, and JSON where it is asked for; may stand anywhere.")
    ] = False,
    no_color: Annotated[bool, typer.Option("--no-color", help="No colours and no bold; may stand anywhere.")] = False,
) -> None:
    """How a golf shaft loads and unloads in a swing, and what it does to the delivery of the head."""
    wishes.quiet, wishes.color = quiet, not no_color
    if context.invoked_subcommand is None:
        print(THE_JOB)
