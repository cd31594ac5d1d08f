"""Recordings made of an archetype's own reference run: the truth is known, noise and faults are put in on purpose."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np

from swing.golfers import reference
from swingbeam.beam.rotations import quaternion_from_rotation

TEMPLATE = {
    "A": (0.10, 0.03, 0.00),
    "B": (0.25, 0.06, 0.02),
    "C": (0.25, -0.05, 0.05),
    "D": (0.12, 0.00, -0.06),
}
"""m, grip frame: a light frame on the grip below the hands, made up."""
NOISE = 0.5e-3
"""m, standard deviation of one coordinate of a marker."""
IMPACT = 1.5
"""s: what the recordings' own clock shows at impact."""
CLUB = {"shaft": "wick-65-s", "head": "driver", "finished_length": "45.5 in"}
"""The reference club of the swing "even"."""


def frame_times(rate: float, end: float = 0.0399, start: float | None = None) -> np.ndarray:
    """(n,) s from impact."""
    first = reference().motion.start if start is None else start
    return np.arange(first, end, 1.0 / rate)


def true_poses(t: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Hold point (n, 3) m and grip rotation (n, 3, 3) of the swing "even"."""
    state = reference().motion.at(t)
    return state.position, state.rotation


def marker_rows(t: np.ndarray, seed: int = 0, noise: float = NOISE) -> np.ndarray:
    """(n, 13): time by the recording's clock and the four markers, m."""
    position, rotation = true_poses(t)
    template = np.array(list(TEMPLATE.values()))
    markers = position[:, None] + np.einsum("nij,kj->nki", rotation, template)
    markers = markers + noise * np.random.default_rng(seed).standard_normal(markers.shape)
    return np.column_stack([t + IMPACT, markers.reshape(t.size, -1)])


MARKER_HEAD = ["time (s)", *(f"{name} {axis} (m)" for name in TEMPLATE for axis in "xyz")]
POSE_HEAD = ["time (s)", "x (m)", "y (m)", "z (m)", "qw", "qx", "qy", "qz"]


def pose_rows(t: np.ndarray) -> np.ndarray:
    """(n, 8): time, hold point, quaternion grip → world, scalar first; without noise."""
    position, rotation = true_poses(t)
    return np.column_stack([t + IMPACT, position, quaternion_from_rotation(rotation)])


def write_csv(path: Path, head: list[str], rows: np.ndarray) -> Path:
    """Numbers to the full, NaN as an empty cell."""
    lines = [",".join(head)]
    lines += [",".join("" if np.isnan(v) else repr(float(v)) for v in row) for row in rows]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def declaration(kind: str = "markers", data: str = "data.csv", **changes: Any) -> dict[str, Any]:
    """The keys of a recording's file; a change of None takes a key out."""
    table: dict[str, Any] = {
        "name": "made up",
        "note": "Made of an archetype by a test.",
        "data": data,
        "handed": "right",
        "ball_struck": False,
        "impact": f"{IMPACT} s",
        "tee_height": "35 mm",
        "axes": {"up": "+z", "target": "+x", "handedness": "right"},
        "reference_club": dict(CLUB),
    }
    if kind == "markers":
        table["markers"] = [
            {"name": name, "position": [f"{1e3 * x:g} mm" for x in place]} for name, place in TEMPLATE.items()
        ]
    else:
        table["position"] = {"columns": ["x", "y", "z"]}
        table["body"] = {"shaft_axis": "+x", "face_axis": "+y", "origin": ["0 mm", "0 mm", "0 mm"]}
    if kind == "quaternion":
        table["quaternion"] = {
            "columns": ["qw", "qx", "qy", "qz"],
            "order": "scalar first",
            "turns": "body to data",
        }
    table.update(changes)
    return {key: value for key, value in table.items() if value is not None}


def write_declaration(path: Path, table: dict[str, Any]) -> Path:
    """A recording's TOML file."""
    path.write_text("\n".join(_toml(table)) + "\n", encoding="utf-8")
    return path


def _toml(table: dict[str, Any], head: str = "") -> list[str]:
    lines = [f"[{head}]"] if head else []
    lines += [f"{key} = {_value(value)}" for key, value in table.items() if not isinstance(value, dict)]
    for key, value in table.items():
        if isinstance(value, dict):
            lines += _toml(value, key)
    return lines


def _value(value: Any) -> str:
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return "[" + ", ".join(_value(v) for v in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {_value(v)}" for k, v in value.items()) + " }"
    return json.dumps(value)


def marker_recording(
    folder: Path, rate: float, seed: int = 0, noise: float = NOISE, rows: np.ndarray | None = None, **changes: Any
) -> Path:
    """A recording of markers, declared; returns its TOML file."""
    data = marker_rows(frame_times(rate), seed, noise) if rows is None else rows
    write_csv(folder / "data.csv", MARKER_HEAD, data)
    return write_declaration(folder / "recording.toml", declaration(**changes))


def pose_recording(folder: Path, rows: np.ndarray, head: list[str] = POSE_HEAD, **changes: Any) -> Path:
    """A recording of positions and quaternions, declared; returns its TOML file."""
    write_csv(folder / "data.csv", head, rows)
    return write_declaration(folder / "recording.toml", declaration("quaternion", **changes))
