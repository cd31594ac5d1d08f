"""Write a matched swing as a file of its own: a new TOML file that reads back as the same swing."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from swingbeam.files.base import parse_toml
from swingbeam.files.swing_file import SwingFile


def swing_text(
    head: Mapping[str, Any], tables: Mapping[str, Mapping[str, Any]], spread: Sequence[Mapping[str, Any]],
    shots: Mapping[str, Any], *, source: str = "swing",
) -> str:  # fmt: skip
    """The text of a swing's file.

    Parameters
    ----------
    head : keys before the first table
    tables : table → its keys; values are text, numbers, or lists of text or of tables
    spread : rows of [spread] parameters
    shots : keys of [spread.shots]

    Raises
    ------
    InputError
        It would not read back.
    """
    lines = [f"{key} = {_value(value)}" for key, value in head.items()]
    for name, table in tables.items():
        lines += ["", f"[{name}]", *(f"{key} = {_value(value)}" for key, value in table.items())]
    lines += [
        "",
        "# How far this swing may be from the golfer's own: standard deviations, each with its correlations with the",
        "# rows before it; and how far he is from himself, from shot to shot.",
        "[spread]",
        f"parameters = {_value(list(spread))}",
        "",
        "[spread.shots]",
        *(f"{key} = {_value(value)}" for key, value in shots.items()),
    ]
    text = "\n".join(lines) + "\n"
    parse_toml(text, SwingFile, source=source)
    return text


def _value(value: Any) -> str:
    if isinstance(value, str):
        # A basic string of TOML escapes as JSON does, but for DEL, which JSON leaves as it is.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_value(v)}" for key, v in value.items()) + " }"
    if isinstance(value, list | tuple):
        rows = [_value(v) for v in value]
        if value and isinstance(value[0], Mapping):
            return "[\n" + "".join(f"    {row},\n" for row in rows) + "]"
        return "[" + ", ".join(rows) + "]"
    return repr(value)
