"""The commands `study plan`, `study run`, …: one file a command, its name in the list below."""

from importlib import import_module

import typer

from ..shell import app

study_app = typer.Typer(
    help="Many swings in one file: plan, run, explain, plot.",
    epilog="For example: swingbeam study plan tempo_sweep",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
app.add_typer(study_app, name="study")

COMMANDS: tuple[str, ...] = ("plan", "run", "check", "explain", "plot")
"""Modules of this package, each of which registers its command."""

for _name in COMMANDS:
    import_module(f"{__name__}.{_name}")
