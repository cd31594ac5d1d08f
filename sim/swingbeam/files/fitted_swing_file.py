"""Write an archetype that was fitted to a recording as a swing's file."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

import tomlkit

from swingbeam.files.base import display_path, parse_toml
from swingbeam.files.safe_write import refuse_existing, write_new
from swingbeam.files.swing_file import SwingFile


def write_fitted_swing(
    path: str | os.PathLike[str], head: Mapping[str, str], tables: Mapping[str, Mapping[str, str]]
) -> Path:
    """Write a swing's file of keys before the first table, and of tables; values are text.

    Raises
    ------
    InputError
        The file exists already, cannot be written, or would not read back; then nothing is written.
    """
    refuse_existing(path)
    document = tomlkit.document()
    for key, value in head.items():
        document.add(key, value)
    for name, keys in tables.items():
        table = tomlkit.table()
        table.update(keys)
        document.add(name, table)
    text = tomlkit.dumps(document)
    parse_toml(text, SwingFile, source=display_path(path))
    return write_new(path, text)
