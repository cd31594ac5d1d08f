"""Read the parts of a ranking's file that are there to be looked at, and the solver's check."""

from __future__ import annotations

import h5py
import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from .hdf5 import read_attribute, read_numbers, read_texts
from .quantities import IMPACT, UNLOAD
from .result import Difference, Replay, ShaftLook, Verification
from .store_looks import CUTS, LOOK

Array = NDArray[np.float64]


def read_replay(file: h5py.File, place: int | None) -> Replay | None:
    """A club's downswing by its place among the clubs (None: the reference club's); None where there is none."""
    if "replay_ms" not in file:
        return None

    def part(name: str) -> Array:
        return _of(file, "replay_", name, place)

    axis = part("axis")
    parts = {name: part(name) for name in ("face", "ball", "rim", "head_cg")}
    turns = {name: part(name) for name in ("grip_rotation", "tip_rotation")}
    if not all(np.all(np.isfinite(values)) for values in (axis, *parts.values(), *turns.values())):
        return None
    hub = None
    if place is None and "replay_hub" in file:
        hub = read_numbers(file["replay_hub"])
    rotations = {name: _rotations(values) for name, values in turns.items()}
    return Replay(t=1e-3 * read_numbers(file["replay_ms"]), axis=axis, **parts, **rotations, hub=hub)


def _of(file: h5py.File, prefix: str, name: str, place: int | None) -> Array:
    return read_numbers(file[f"reference_{prefix}{name}"] if place is None else file[f"{prefix}{name}"], place)


def _rotations(quaternions: Array) -> Array:
    size = np.linalg.norm(quaternions, axis=1)
    if np.any(np.abs(size - 1.0) > 1e-3):
        raise ValueError("a quaternion of the replay is none")
    return np.asarray(Rotation.from_quat(quaternions[:, [1, 2, 3, 0]]).as_matrix())


def read_look(file: h5py.File, place: int | None) -> ShaftLook | None:
    """A club's shaft by its place among the clubs (None: the reference club's); None where there is none."""
    if "station" not in file:
        return None
    columns = {name: _of(file, "shaft_", name, place) / scale for name, scale, _, _ in LOOK}
    cuts = {name: 1e-3 * float(_of(file, "shaft_", name, place)) for name, _ in CUTS}
    there = all(np.all(np.isfinite(values)) for values in columns.values())
    if not (there and np.all(np.isfinite(list(cuts.values())))):
        return None
    return ShaftLook(**columns, **cuts)  # type: ignore[arg-type]


def read_verification(file: h5py.File) -> Verification | None:
    """The largest differences between two solvers, where the ranking was repeated."""
    solver = read_attribute(file, "verified_with")
    if not solver:
        return None
    scales = {q.key: q.scale for q in (*UNLOAD, *IMPACT)}
    rows = []
    if "verified" in file:
        keys, clubs = (read_texts(file[name]) for name in ("verified", "verified_club"))
        sizes = read_numbers(file["verified_size"])
        rows = [Difference(k, c, float(v) / scales[k]) for k, c, v in zip(keys, clubs, sizes, strict=True)]
    failures = [line.split("\t", 1) for line in read_attribute(file, "verified_failures").split("\n") if "\t" in line]
    return Verification(
        solver,
        tuple(rows),
        tuple(name for name in read_attribute(file, "verified_ranks_changed").split("\n") if name),
        tuple((shaft, reason) for shaft, reason in failures),
    )
