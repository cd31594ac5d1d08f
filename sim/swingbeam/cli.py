"""The command line: parses, calls, prints. Everything heavy is imported inside the commands."""

from __future__ import annotations

import contextlib
import functools
import os
import sys
from collections.abc import Callable, Iterator
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

from swingbeam import __version__
from swingbeam.beam.errors import InputError, SimulationError

if TYPE_CHECKING:
    from rich.console import Console

USER_ERROR, FAILURE, INTERRUPTED = 2, 1, 130
OUTPUTS = "outputs"
"""Folder under the working folder for results nobody named."""

app = typer.Typer(
    help="How a golf shaft loads and unloads in a swing, and what it does to the delivery of the head.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

Command = TypeVar("Command", bound=Callable[..., Any])


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
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON and nothing else on stdout.")]

_saved: list[Path] = []
"""What this run has written, for the message when it is stopped."""


def plain(command: Command) -> Command:
    """Turn a user's mistake, a failed simulation and Ctrl-C into a line on stderr and an exit code."""

    @functools.wraps(command)
    def guarded(*arguments: Any, **options: Any) -> Any:
        _saved.clear()
        try:
            result = command(*arguments, **options)
            sys.stdout.flush()
        except InputError as error:
            _say(f"swingbeam: {error}")
            raise typer.Exit(USER_ERROR) from None
        except SimulationError as error:
            _say(f"swingbeam: the simulation failed: {error}")
            raise typer.Exit(FAILURE) from None
        except KeyboardInterrupt:
            kept = _saved_words() if _saved else "nothing was written"
            _say(f"\nswingbeam: stopped; {kept}")
            raise typer.Exit(INTERRUPTED) from None
        except BrokenPipeError:
            # The reader has left: nothing more can be said there, and Python must not try when it ends.
            with contextlib.suppress(OSError, ValueError, AttributeError):
                os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            if _saved:
                _say(_saved_words())
            raise typer.Exit(0) from None
        except OSError as error:
            # The machine's doing, not ours: a full disk, a folder that is gone or may not be read.
            where = f": {error.filename}" if error.filename else ""
            _say(f"swingbeam: {error.strerror or error}{where}")
            raise typer.Exit(FAILURE) from None
        return result

    return guarded  # type: ignore[return-value]


def main() -> None:
    """Entry point of the `swingbeam` command: what is wrong with the command line is one line, like any mistake."""
    try:
        code = app(prog_name="swingbeam", standalone_mode=False)
    except typer.Abort:
        _say("\nswingbeam: stopped; nothing was written")
        code = INTERRUPTED
    except Exception as error:
        # typer's own errors are known by these two only: where their classes live changes between its versions.
        if not (hasattr(error, "format_message") and hasattr(error, "show")):
            raise
        words = " ".join(error.format_message().split())
        if len(sys.argv) == 1:  # the help is the message
            error.show()
        else:
            _say(f"swingbeam: {words} (see `swingbeam --help`)")
        code = USER_ERROR
    sys.exit(code)


def _say(text: str) -> None:
    with contextlib.suppress(OSError, ValueError):
        print(text, file=sys.stderr, flush=True)


def _saved_words() -> str:
    return f"saved: {', '.join(str(path) for path in _saved)}"


def _console() -> Console:
    from swingbeam.report.table import console_for

    return console_for(sys.stdout)


@contextlib.contextmanager
def _compiling() -> Iterator[None]:
    """Say, once, that the first run on this machine compiles the solver."""
    from swingbeam.beam.compiled import is_cold

    if is_cold():
        _say("swingbeam: first run on this machine: compiling the solver, once; this takes up to a minute")
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


@app.command()
@plain
def rank(
    scenario: Annotated[str, typer.Argument(help="Name or path of a scenario.")],
    json: JsonOption = False,
    solver: SolverOption = None,
    hands: HandsOption = None,
    ball: BallOption = None,
    verify: Annotated[
        bool, typer.Option("--verify", help="Repeat with the other solver and print the largest differences.")
    ] = False,
    output: Annotated[
        Path | None,
        typer.Option(help="HDF5 file to write; a picture is written beside it. Default: a free name in outputs/."),
    ] = None,
) -> None:
    """Rank a scenario's shafts by unload timing; writes one HDF5 file and one picture."""
    from swingbeam.study.outputs import output_paths

    data, picture = output_paths(output, scenario, Path(OUTPUTS))
    with _compiling():
        from swingbeam.study.rank import rank_scenario

        result = rank_scenario(scenario, solver=_value(solver), hands=_value(hands), ball=_value(ball), verify=verify)
    from swingbeam.report.figure import write_figure
    from swingbeam.study.store import write_ranking

    _saved.append(write_ranking(result, data))
    _saved.append(write_figure(result, picture))
    if json:
        from swingbeam.report.json import rank_json

        print(rank_json(result))
    else:
        from swingbeam.report.table import print_ranking

        print_ranking(result, _console())
    _say(_saved_words())


@app.command()
@plain
def swing(
    swing: Annotated[str, typer.Argument(help="Name or path of a swing.")],
    shaft: Annotated[str | None, typer.Option(help="Shaft; the reference club's if not given.")] = None,
    head: Annotated[str | None, typer.Option(help="Head; the reference club's if not given.")] = None,
    length: Annotated[str | None, typer.Option(help='Finished length, such as "45.5 in".')] = None,
    json: JsonOption = False,
    solver: SolverOption = None,
    hands: HandsOption = None,
    ball: BallOption = None,
    output: Annotated[
        Path | None, typer.Option(help="CSV file of the curves to write; none is written if not given.")
    ] = None,
) -> None:
    """Swing one club: figures at impact, unload, and how face and loft came about."""
    from swingbeam.files.safe_write import refuse_existing

    if output is not None:
        refuse_existing(output)
    with _compiling():
        from swingbeam.study.single import swing_club

        result = swing_club(
            swing,
            shaft=shaft,
            head=head,
            length=length,
            solver=_value(solver),
            hands=_value(hands),
            ball=_value(ball),
        )
    if output is not None:
        from swingbeam.report.curves import write_curves

        _saved.append(write_curves(result.run, output))
        _say(_saved_words())
    if json:
        from swingbeam.report.json import single_json

        print(single_json(result))
    else:
        from swingbeam.report.single import print_single

        print_single(result, _console())
    if result.run.status != "ok":
        raise SimulationError(result.run.reasons.get("status", "not known"))


class Kind(StrEnum):
    """What the library holds."""

    SHAFTS = "shafts"
    HEADS = "heads"
    SWINGS = "swings"
    SCENARIOS = "scenarios"


@app.command("list")
@plain
def list_library(
    kind: Annotated[Kind | None, typer.Argument(help="One kind only.")] = None,
) -> None:
    """List the shafts, heads, swings and scenarios that can be named."""
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
def check(file: Annotated[Path, typer.Argument(help="A shaft, head, swing or scenario file.")]) -> None:
    """Check a file, and what it names; says what is wrong and how to mend it."""
    from swingbeam.study.library import check_file

    print(f"{file}: {check_file(file)}")


@app.command()
@plain
def init(
    directory: Annotated[Path, typer.Argument(help="A new or an empty folder.")],
) -> None:
    """Write a workspace of your own: copies of the starter shafts, heads, swings and scenarios."""
    from swingbeam.files.lookup import write_workspace

    write_workspace(directory)
    print(f"{directory}: a workspace with shafts, swings and scenarios to copy and change")


def _value(option: StrEnum | None) -> str | None:
    return None if option is None else option.value


if __name__ == "__main__":
    main()
