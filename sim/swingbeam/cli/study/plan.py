"""The command `study plan`."""

from __future__ import annotations

import os
import shlex
from typing import Annotated

import typer

from ..options import JsonOption
from ..shell import LANES, compiling, console, plain
from . import study_app


@study_app.command("plan")
@plain
def plan(
    file: Annotated[str, typer.Argument(help="Name or path of a study.")],
    json: JsonOption = False,
) -> None:
    """Say what a study will swing and what it costs; writes nothing.

    A few of its cases are swung and timed on this machine.

    For example: swingbeam study plan tempo_sweep
    """
    # Before numpy is loaded: timed as the workers of `study run` are, one thread each.
    for name in ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS"):
        os.environ.setdefault(name, "1")
    with compiling(LANES):
        from swingbeam.study.sweep.cost import measure_cost
        from swingbeam.study.sweep.load import load_study

        study = load_study(file)
        cost = measure_cost(study)
    from swingbeam.report.plan_table import plan_json, print_plan

    command = shlex.join(["swingbeam", "study", "run", file])
    if json:
        print(plan_json(study, cost, command))
    else:
        print_plan(study, cost, command, console())
