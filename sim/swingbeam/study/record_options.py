"""A recording declared by options of the command instead of a file."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from swingbeam.beam.errors import InputError
from swingbeam.files.base import parse_table
from swingbeam.files.lookup import find
from swingbeam.files.recording_file import RecordingFile
from swingbeam.files.safe_write import refuse_existing
from swingbeam.units import parse_quantity

_KEYS = {
    "up": ("axes", "up"),
    "target": ("axes", "target"),
    "axes": ("axes", "handedness"),
    "handed": (None, "handed"),
    "impact": (None, "impact"),
    "struck": (None, "ball_struck"),
    "shaft_axis": ("body", "shaft_axis"),
    "face_axis": ("body", "face_axis"),
    "shaft": ("reference_club", "shaft"),
    "head": ("reference_club", "head"),
    "length": ("reference_club", "finished_length"),
}
"""Option → table and key of a recording's file."""
_FLAGS = {"struck": "--struck or --not-struck"}


def declared_by_options(path: Path, options: Mapping[str, Any]) -> RecordingFile | None:
    """What the options declare of a CSV file; None for a TOML file, which declares itself.

    Raises
    ------
    InputError
        Options with a TOML file, options that lack or are not allowed, a file of another kind.
    """
    given = [name for name, value in options.items() if value is not None]
    suffix = path.suffix.lower()
    if suffix == ".toml":
        if given:
            raise InputError(f"{_flag(given[0])}: found with a TOML file; allowed: the file says it all")
        return None
    if suffix == ".c3d":
        raise InputError(f"{path}: a C3D file needs a TOML file that names it and gives the markers' template")
    if suffix != ".csv":
        raise InputError(f"{path}: found the ending {suffix or 'none'}; allowed: .toml, or .csv with options")
    missing = [_FLAGS.get(name, _flag(name)) for name in options if options[name] is None]
    if missing:
        raise InputError(
            f"{path}: a CSV file alone does not say enough; also needed: {', '.join(missing)}; or a TOML file that "
            "declares it (see swings/recordings)"
        )
    table: dict[str, Any] = {
        "name": path.stem,
        "note": f"Recorded; declared by options of the command, from {path.name}.",
        "data": path.name,
        "position": {"columns": ["x", "y", "z"]},
        "quaternion": {"columns": ["qw", "qx", "qy", "qz"], "order": "scalar first", "turns": "body to data"},
        "body": {"origin": ["0 mm", "0 mm", "0 mm"]},
    }
    for name, value in options.items():
        part, key = _KEYS[name]
        (table if part is None else table.setdefault(part, {}))[key] = value
    return parse_table(table, RecordingFile, source="options")


def _flag(name: str) -> str:
    return f"--{name.replace('_', '-')}"


def check_outputs(output: Path | None, fit: str | None, fit_output: Path | None) -> None:
    """Refuse, before anything is run, files that exist, are no TOML, or have nothing to hold; and an unknown swing.

    Raises
    ------
    InputError
    """
    if fit_output is not None and fit is None:
        raise InputError("--fit-output: found without --fit; allowed: --fit and the name of a swing to start from")
    for path in (output, fit_output):
        if path is not None:
            refuse_existing(path)
            if path.suffix != ".toml":
                raise InputError(f"{path}: a swing is written as TOML; allowed: a name that ends in .toml")
    if fit is not None:
        find("swing", fit)


def cutoff_from_text(text: str | None) -> float | None:
    """Hz; InputError for what is no frequency from 2 to 200 Hz."""
    if text is None:
        return None
    value = parse_quantity(text, "frequency")
    if not 2.0 <= value <= 200.0:
        raise InputError(f"--cutoff: found {text}; allowed: 2 to 200 Hz")
    return value
