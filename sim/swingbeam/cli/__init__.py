"""The command line: parses, calls, prints; one file a command. Everything heavy is imported inside the commands.

A new command is a file beside `rank.py` and its name in the list below; the help shows them in this order.
"""

from importlib import import_module

from .shell import app, main

COMMANDS = ("rank", "page", "swing", "match", "bench", "layup", "trim", "profile", "record", "study", "library")
"""Modules of this package, each of which registers its commands."""

for _name in COMMANDS:
    import_module(f"{__name__}.{_name}")

__all__ = ["app", "main"]
