"""The command `study run`."""

from __future__ import annotations

import os
import shlex
import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, cast

import typer

from swingbeam.beam.errors import InputError

from ..options import OUTPUTS, value
from ..shell import FAILURE, INTERRUPTED, LANES, compiling, complain, plain, saved, saved_words, say
from ..terminal import wishes
from . import study_app

if TYPE_CHECKING:
    from swingbeam.study.sweep.problem import Problem
    from swingbeam.study.sweep.run import RunSummary


class History(StrEnum):
    """How much of every swing's course is kept."""

    NONE = "none"
    COARSE = "coarse"
    FULL = "full"


@study_app.command("run")
@plain
def run(
    file: Annotated[str, typer.Argument(help="Name or path of a study.")],
    workers: Annotated[int | None, typer.Option(help="Processes that swing; all cores if not given.")] = None,
    out: Annotated[Path | None, typer.Option(help="HDF5 file to write. Default: the study's name in outputs/.")] = None,
    resume: Annotated[
        bool, typer.Option("--resume", help="Go on where an interrupted run stopped, if one did.")
    ] = False,
    history: Annotated[
        History | None, typer.Option(help="How much of every swing's course is kept; none if not given.")
    ] = None,
    scheduler: Annotated[
        str | None, typer.Option(help="Address of a dask scheduler, tcp://…, whose workers swing instead.")
    ] = None,
) -> None:
    """Run a study: many swings into one HDF5 file.

    Stopped at any instant, it goes on there with --resume; the file is the same to the last bit, whatever the number of
    workers. Exit code 0: all done; 1: done, some cases failed; 2: nothing could be run; 130: interrupted.

    For example: swingbeam study run what_drives_flight --workers 2
    """
    if scheduler is not None and "://" not in scheduler:
        raise InputError(f'--scheduler: found "{scheduler}"; allowed: an address such as tcp://head-node:8786')
    # Before numpy is loaded: each worker is one thread, also this process when it is the only one.
    for name in ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS"):
        os.environ.setdefault(name, "1")
    target = out if out is not None else Path(OUTPUTS) / f"{Path(file).stem}.h5"
    again = _again(file, workers, target if out is not None else None, scheduler)
    with compiling(LANES):
        from swingbeam.study.sweep.load import load_study
        from swingbeam.study.sweep.progress import Silent, watch_for
        from swingbeam.study.sweep.run import run_study, stopped_words

        problem = cast("Problem", load_study(file))
        watch = Silent() if wishes.quiet else watch_for(sys.stderr, say)
        try:
            done = run_study(
                problem,
                target,
                workers=workers,
                history=value(history),
                resume=resume,
                scheduler=scheduler,
                watch=watch,
                again=again,
            )
        except KeyboardInterrupt:
            complain(f"\nswingbeam: {stopped_words(target, again)}")
            raise typer.Exit(INTERRUPTED) from None
    saved.append(done.path)
    _tell(done)
    say(saved_words())
    if done.failed:
        raise typer.Exit(FAILURE)


def _again(file: str, workers: int | None, out: Path | None, scheduler: str | None) -> str:
    """The command line that goes on with an interrupted run."""
    words = ["swingbeam", "study", "run", file]
    for option, given in (("--workers", workers), ("--out", out), ("--scheduler", scheduler)):
        if given is not None:
            words += [option, str(given)]
    return shlex.join([*words, "--resume"])


def _tell(done: RunSummary) -> None:
    from swingbeam.study.sweep.progress import duration, rate_words

    if wishes.quiet:
        return
    if done.found == done.count:
        print(f"{done.count:,} cases were there already")
    else:
        rate = rate_words((done.count - done.found) / max(done.seconds, 1e-9))
        print(f"{done.count - done.found:,} cases in {duration(done.seconds)}, {rate}")
    print(", ".join(f"{count:,} {name}" for name, count in done.tally.statuses.items()))
    for reason, count in done.tally.reasons:
        print(f"  {count:,} failed: {reason}")
    if done.tally.doubtful:
        print(f"doubtful: the other solver does not agree: {done.tally.doubtful}")
