"""A recording's file and data made into poses of the grip in the world of a right-handed golfer."""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from ..beam.errors import InputError
from ..beam.rotations import rotation_from_quaternion
from ..files.base import display_path, naming, read_toml
from ..files.c3d_file import read_c3d
from ..files.csv_table import CsvTable, read_csv_table
from ..files.recording_file import AxesTable, BodyTable, RecordingFile
from .markers import fit_template
from .mirror import mirror_rotations, mirror_vectors
from .pose_smoothing import Poses
from .time_stamps import keep_stamps

Array = NDArray[np.float64]

LENGTH_ALLOWED = 0.05
"""How far a quaternion's length may be from 1."""
SQUARE_ALLOWED = 0.02
"""Largest element by which a rotation matrix may miss orthogonality."""
_AXIS = {"x": 0, "y": 1, "z": 2}


@dataclass(frozen=True, eq=False)
class Recording:
    """A recording as read: poses in the world, a left-hander reflected in y at the door."""

    name: str
    note: str
    record: RecordingFile
    path: Path
    data: str
    """The data file, as messages call it"""
    digest: str
    """SHA-256 of the data file, hexadecimal"""
    poses: Poses
    ball: Array | None
    """(3,) m: the ball's centre where it is declared, world axes"""
    notes: tuple[str, ...]
    """What was found and mended"""
    misfit: float | None
    """m, root mean square, of markers against their template"""


def load_recording(path: str | os.PathLike[str], record: RecordingFile | None = None) -> Recording:
    """Read a recording's file and its data.

    Parameters
    ----------
    path : of the recording's file; of the data if `record` is given
    record : what the file would say

    Raises
    ------
    InputError
        What is wrong and how to mend it.
    """
    where = Path(path)
    own = read_toml(where, RecordingFile) if record is None else record
    data = where.parent / own.data if record is None else where
    with naming(where):
        return _read(own, where, data)


def _read(record: RecordingFile, path: Path, data: Path) -> Recording:
    source = display_path(data)
    t, position, rotation, notes, misfit = _measured(record, data, source)
    known = np.all(np.isfinite(position), axis=1) & np.all(np.isfinite(rotation), axis=(1, 2))
    if np.sum(known) < 8:
        raise InputError(f"{source}: found {np.sum(known)} usable frames; allowed: at least 8")
    if not np.all(known):
        notes.append(f"{np.sum(~known)} of {known.size} frames hold no pose (empty, NaN or all zeros)")
    t, position, rotation = t[known], position[known], rotation[known]
    ball = None if record.ball is None else world_axes(record.axes) @ np.array(record.ball.centre)
    if record.handed == "left":
        position, rotation = mirror_vectors(position), mirror_rotations(rotation)
        ball = None if ball is None else mirror_vectors(ball)
    return Recording(
        record.name,
        record.note,
        record,
        path,
        source,
        hashlib.sha256(data.read_bytes()).hexdigest(),
        Poses(t, position, rotation),
        ball,
        tuple(notes),
        misfit,
    )


def world_axes(axes: AxesTable) -> Array:
    """(3, 3): takes vectors in data axes to the world; a reflection if the data axes are left-handed."""
    target, up = axis_of(axes.target), axis_of(axes.up)
    across = np.cross(up, target)  # of components: in left-handed axes this points the other way
    return np.stack([target, across if axes.handedness == "right" else -across, up])


def axis_of(name: str) -> Array:
    """(3,) unit vector of "+x", "-z", …"""
    vector = np.zeros(3)
    vector[_AXIS[name[1]]] = 1.0 if name[0] == "+" else -1.0
    return vector


def _measured(record: RecordingFile, data: Path, source: str) -> tuple[Array, Array, Array, list[str], float | None]:
    """Time, hold point and grip rotation in world axes (NaN where not known), notes, misfit of the markers."""
    axes = world_axes(record.axes)
    if record.markers:
        t, markers = _marker_columns(record, data)
        keep, notes = keep_stamps(t, markers.reshape(t.size, -1), source)
        seen = _unless_zero(markers[keep]) @ axes.T
        template = np.array([marker.position for marker in record.markers])
        fit = fit_template(template, seen, tuple(marker.name for marker in record.markers))
        misfit = float(np.sqrt(np.nanmean(fit.misfit**2)))
        return t[keep], fit.position, fit.rotation, [*notes, *fit.notes], misfit
    table = read_csv_table(data)
    if record.position is None or record.body is None:
        raise InputError("found no [position] or [body]; both are needed without markers")
    t = table.column(record.time_column, "time", record.units.time)
    point = np.stack([table.column(c, "length", record.units.length) for c in record.position.columns], axis=1)
    turn, more = _rotations(record, table)
    keep, notes = keep_stamps(t, np.concatenate([point, turn.reshape(t.size, 9)], axis=1), source)
    rotation = _grip(turn[keep], axes, record.body)
    position = _unless_zero(point[keep]) @ axes.T - rotation @ np.array(record.body.origin)
    return t[keep], position, rotation, [*notes, *more], None


def _unless_zero(points: Array) -> Array:
    """Points (…, 3) whose three numbers are exactly zero were not seen: NaN."""
    return np.where(np.all(points == 0.0, axis=-1, keepdims=True), np.nan, points)


def _marker_columns(record: RecordingFile, data: Path) -> tuple[Array, Array]:
    if data.suffix.lower() == ".c3d":
        found = read_c3d(data, record.units.length)
        return found.t, np.stack([found.marker(marker.name) for marker in record.markers], axis=1)
    table = read_csv_table(data)
    t = table.column(record.time_column, "time", record.units.time)
    markers = []
    for marker in record.markers:
        columns = marker.columns or tuple(f"{marker.name} {axis}" for axis in "xyz")
        markers.append(np.stack([table.column(c, "length", record.units.length) for c in columns], axis=1))
    return t, np.stack(markers, axis=1)


def _grip(turn: Array, axes: Array, body: BodyTable) -> Array:
    """(n, 3, 3) grip → world from body → data axes: the body's own axes, as directions, are taken to the world."""
    shaft = turn @ axis_of(body.shaft_axis) @ axes.T
    face = turn @ axis_of(body.face_axis) @ axes.T
    return np.stack([shaft, face, np.cross(shaft, face)], axis=2)


def _rotations(record: RecordingFile, table: CsvTable) -> tuple[Array, list[str]]:
    """(n, 3, 3) body → data axes, NaN where not known; notes."""
    if record.quaternion is not None:
        turn, notes, turns = *_from_quaternions(record, table), record.quaternion.turns
    elif record.matrix is not None:
        turn, notes, turns = _from_matrices(record, table), [], record.matrix.turns
    elif record.euler is not None:
        turn, notes, turns = _from_euler(record, table), [], record.euler.turns
    else:
        raise InputError("found no rotations; allowed: one of [quaternion], [matrix], [euler] and [[markers]]")
    return (turn if turns == "body to data" else np.swapaxes(turn, 1, 2)), notes


def _from_quaternions(record: RecordingFile, table: CsvTable) -> tuple[Array, list[str]]:
    declared = record.quaternion
    if declared is None:
        raise InputError("found no [quaternion]")
    q = np.stack([table.plain_column(c) for c in declared.columns], axis=1)
    if declared.order == "scalar last":
        q = q[:, [3, 0, 1, 2]]
    q = np.where(np.all(q == 0.0, axis=1, keepdims=True), np.nan, q)
    known = np.flatnonzero(np.all(np.isfinite(q), axis=1))
    length = np.linalg.norm(q[known], axis=1)
    off = np.abs(length - 1.0)
    if off.size and off.max() > LENGTH_ALLOWED:
        i = int(np.argmax(off))
        raise InputError(
            f"{table.source}: line {table.lines[known[i]]}: found a quaternion of length {length[i]:.3g}; allowed: 1 "
            f"within {100 * LENGTH_ALLOWED:.0f} %: check the columns and their order"
        )
    notes = []
    if off.size and off.max() > 1e-3:
        notes.append(f"quaternions differ from length 1 by up to {100 * off.max():.2g} % and were normalised")
    flips = int(np.sum(np.sum(q[known][1:] * q[known][:-1], axis=1) < 0.0))
    if flips:
        notes.append(f"quaternions change sign {flips} times, which is the same rotation")
    turn = np.full((q.shape[0], 3, 3), np.nan)
    turn[known] = rotation_from_quaternion(q[known])
    return turn, notes


def _from_matrices(record: RecordingFile, table: CsvTable) -> Array:
    declared = record.matrix
    if declared is None:
        raise InputError("found no [matrix]")
    turn = np.stack([table.plain_column(c) for c in declared.columns], axis=1).reshape(-1, 3, 3)
    zero = np.all(turn == 0.0, axis=(1, 2))
    turn[zero] = np.nan
    known = np.flatnonzero(np.all(np.isfinite(turn), axis=(1, 2)))
    turn[np.setdiff1d(np.arange(len(turn)), known)] = np.nan
    if not known.size:
        return turn
    own = turn[known]
    error = np.abs(np.swapaxes(own, 1, 2) @ own - np.eye(3)).max(axis=(1, 2))
    bad = int(np.argmax(error))
    if error[bad] > SQUARE_ALLOWED:
        raise InputError(
            f"{table.source}: line {table.lines[known[bad]]}: found a matrix that is no rotation (its columns miss "
            f"unit length and right angles by {error[bad]:.2g}); allowed: up to {SQUARE_ALLOWED:g}: check the columns"
        )
    if np.any(np.linalg.det(own) < 0.0):
        raise InputError(f"{table.source}: the rotation matrices mirror; allowed: rotations: check the columns' signs")
    u, _, vt = np.linalg.svd(own)
    turn[known] = u @ vt
    return turn


def _from_euler(record: RecordingFile, table: CsvTable) -> Array:
    declared = record.euler
    if declared is None:
        raise InputError("found no [euler]")
    angles = np.stack([table.column(c, "angle", record.units.angle) for c in declared.columns], axis=1)
    known = np.all(np.isfinite(angles), axis=1)
    largest = float(np.abs(angles[known]).max()) if np.any(known) else 0.0
    if largest > 20.0 * np.pi:
        raise InputError(
            f"{table.source}: found an angle of {largest:.4g} rad, ten turns and more; allowed: the unit that the "
            "angles are in, which looks like deg"
        )
    order = declared.order.upper() if declared.about == "moving axes" else declared.order
    turn = np.full((len(angles), 3, 3), np.nan)
    if np.any(known):
        turn[known] = Rotation.from_euler(order, angles[known]).as_matrix()
    return turn
