"""A shaft by its file, whichever kind of file it is."""

from __future__ import annotations

import os

from swingbeam.files.base import naming, read_toml
from swingbeam.files.layup_file import is_layup_file
from swingbeam.files.lookup import path_of
from swingbeam.files.shaft_file import ShaftFile
from swingbeam.shaft.layup_swap import load_layup_shaft
from swingbeam.shaft.shaft import Shaft, shaft_from_file


def load_shaft(name: str | os.PathLike[str]) -> Shaft:
    """Read a shaft by name or path; a lay-up stands for the shaft it makes.

    Raises
    ------
    InputError
        No such shaft, a file that cannot be read, or what it says cannot be a shaft.
    """
    path = path_of("shaft", name)
    if is_layup_file(path):
        return load_layup_shaft(path)
    record = read_toml(path, ShaftFile)
    with naming(path):
        return shaft_from_file(record)
