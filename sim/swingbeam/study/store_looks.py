"""What a ranking's file holds beyond figures: the downswing, the shafts, what the hands change, the checks."""

from __future__ import annotations

from collections.abc import Sequence

import h5py
import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from .conclusions import FIGURES
from .hdf5 import write_scale, write_text, write_variable
from .quantities import CURVES, FACE_CENTRE_SPEED, IMPACT, LANDING, RESOLUTION, SHOT, STATIC, UNLOAD, Quantity
from .result import HANDS, ClubRun, RankResult, Replay

Array = NDArray[np.float64]

REPLAY: tuple[tuple[str, tuple[str, ...], str, str], ...] = (
    ("axis", ("replay_ms", "axis_point", "xyz"), "m", "points of the shaft's axis, world"),
    ("grip_rotation", ("replay_ms", "wxyz"), "1", "quaternion of the grip, grip frame → world"),
    ("tip_rotation", ("replay_ms", "wxyz"), "1", "quaternion of the tip section → world"),
    ("face", ("replay_ms", "xyz"), "m", "face centre, world"),
    ("ball", ("xyz",), "m", "centre of the ball, world"),
    ("rim", ("rim_point", "xyz"), "m", "points round the face, tip frame"),
    ("head_cg", ("xyz",), "m", "centre of gravity of the bare head, tip frame"),
)
"""What is kept of a replay: attribute, dimensions, unit, words. Right-handed whatever the golfer is."""
LOOK: tuple[tuple[str, float, str, str], ...] = (
    ("from_tip", 1e3, "mm", "distance from the raw tip"),
    ("ei", 1.0, "N m2", "bending stiffness EI"),
    ("gj", 1.0, "N m2", "torsional stiffness GJ"),
    ("mass", 1e3, "g m-1", "mass per length"),
)
"""A raw shaft at its stations: attribute, scale, unit, words."""
CUTS: tuple[tuple[str, str], ...] = (
    ("tip_trim", "cut off the tip"),
    ("butt_trim", "cut off the butt"),
    ("mouth", "hosel mouth from the raw tip"),
    ("hold", "hold point from the raw tip"),
    ("finished_length", "finished length of the club"),
)
"""How a club is made of its shaft, mm: attribute, words."""
PLAIN = np.float32
"""What is only looked at is kept short: seven digits."""


def write_looks(file: h5py.File, result: RankResult) -> None:
    """Everything of the module's title, into a file whose scales `club`, `hands` and `time_ms` exist."""
    file.attrs["question"] = result.question
    file.attrs["handed"] = "left" if result.left_handed else "right"
    _write_agreements(file, result)
    _write_verification(file, result)
    for q in FIGURES:
        table = [[run.under.get(mode, {}).get(q.key, np.nan) for mode in HANDS] for run in result.runs]
        words = f"{q.long_name}, change against the reference club under each hand mode"
        write_variable(file, f"change_under_{q.key}", np.array(table), ("club", "hands"), words, q.unit)
    _write_reference(file, result.reference_run)
    every = [*result.runs, result.reference_run]
    _write_replays(file, result.runs, result.reference_run, next((r.replay for r in every if r.replay), None))
    _write_shafts(file, result.runs, result.reference_run)


def _write_agreements(file: h5py.File, result: RankResult) -> None:
    found = result.agreements
    file.attrs["agreements"] = len(found)
    if not found:  # no dimension without length: other readers take it for an unlimited one
        return
    write_text(file, "agreement", [f"{a.figure} against {a.order}" for a in found], None, "bench figure against order")
    write_text(file, "agreement_figure", [a.figure for a in found], ("agreement",), "the bench figure")
    write_text(file, "agreement_order", [a.order for a in found], ("agreement",), "the order it is compared with")
    write_text(file, "agreement_words", [a.words for a in found], ("agreement",), "sign and strength in words")
    tau = np.array([np.nan if a.tau is None else a.tau for a in found])
    write_variable(file, "agreement_tau", tau, ("agreement",), "Kendall's tau-b", "1")


def _write_verification(file: h5py.File, result: RankResult) -> None:
    found = result.verification
    file.attrs["verified_with"] = "" if found is None else found.solver
    if found is None:
        return
    file.attrs["verified_ranks_changed"] = "\n".join(found.ranks_changed)
    file.attrs["verified_failures"] = "\n".join(f"{shaft}\t{reason}" for shaft, reason in found.failures)
    if not found.differences:
        return
    scales = {q.key: q.scale for q in (*UNLOAD, *IMPACT)}
    write_text(file, "verified", [d.key for d in found.differences], None, "figures compared between two solvers")
    write_text(file, "verified_club", [d.shaft for d in found.differences], ("verified",), "club that differs most")
    sizes = np.array([scales[d.key] * d.size for d in found.differences])
    write_variable(file, "verified_size", sizes, ("verified",), "largest difference, in the figure's unit", None)


def _write_reference(file: h5py.File, run: ClubRun) -> None:
    """The reference club's figures that are not written with the others'."""

    def one(q: Quantity, record: object, prefix: str = "reference_", words: str = "") -> None:
        value = q.of(record)
        words = f"{q.long_name}{words}, of the reference club"
        write_variable(file, prefix + q.key, np.nan if value is None else value, (), words, q.unit)

    for q in UNLOAD:
        one(q, run.unload)
    one(RESOLUTION, run)
    one(FACE_CENTRE_SPEED, run.impact)
    for q in STATIC:
        one(q, run.static)
    file.attrs["reference_letter"] = "" if run.static is None else run.static.letter or ""
    file.attrs["reference_setup"] = "" if run.static is None else run.static.setup
    for q in SHOT:
        one(q, None if run.flight is None else run.flight.error, "reference_error_", ", 1σ of the model")
    for q in LANDING:
        one(q, None if run.flight is None else run.flight.spread)
    if run.curves is None or "time_ms" not in file or run.curves.t.shape != file["time_ms"].shape:
        return
    for q in CURVES:
        values = q.scale * getattr(run.curves, q.attribute)
        words = f"{q.long_name}, of the reference club"
        write_variable(file, f"reference_{q.key}", values, ("time_ms",), words, q.unit)


def _write_replays(file: h5py.File, runs: Sequence[ClubRun], reference: ClubRun, like: Replay | None) -> None:
    if like is None:
        return
    write_scale(file, "replay_ms", 1e3 * like.t, "time to the club's own impact", "ms")
    points = like.axis.shape[1]
    words = "share of the way from the hold point to the hosel mouth"
    write_scale(file, "axis_point", np.linspace(0.0, 1.0, points), words, "1")
    write_scale(file, "rim_point", np.arange(like.rim.shape[0], dtype=np.int32), "points round the face", "1")
    write_text(file, "xyz", ["x", "y", "z"], None, "components")
    write_text(file, "wxyz", ["w", "x", "y", "z"], None, "components of a quaternion")
    for name, axes, unit, words in REPLAY:
        table = np.stack([_plain(run.replay, name, like) for run in runs])
        write_variable(file, f"replay_{name}", table, ("club", *axes), words, unit)
        own = _plain(reference.replay, name, like)
        words = f"{words}, of the reference club"
        write_variable(file, f"reference_replay_{name}", own, axes, words, unit)
    hub = None if reference.replay is None else reference.replay.hub
    if hub is not None:
        words = "hub of the swing, world"
        write_variable(file, "replay_hub", hub.astype(PLAIN), ("replay_ms", "xyz"), words, "m")


def _plain(replay: Replay | None, name: str, like: Replay) -> NDArray[np.float32]:
    """One part of a replay as it is kept; NaN where there is none."""
    values = getattr(like if replay is None else replay, name)
    if name.endswith("rotation"):
        values = quaternions(values)
    kept = np.asarray(values, dtype=PLAIN)
    return np.full_like(kept, np.nan) if replay is None else kept


def quaternions(rotations: Array) -> Array:
    """(k, 4) w, x, y, z of rotations (k, 3, 3), without jumps of sign from one to the next."""
    found = Rotation.from_matrix(rotations).as_quat()[:, [3, 0, 1, 2]]
    turns = np.where(np.sum(found[1:] * found[:-1], axis=1) < 0.0, -1.0, 1.0)
    signs = np.concatenate([[1.0], np.cumprod(turns)])
    return np.asarray(found * signs[:, None])


def _write_shafts(file: h5py.File, runs: Sequence[ClubRun], reference: ClubRun) -> None:
    like = next((run.look for run in (*runs, reference) if run.look is not None), None)
    if like is None:
        return
    write_scale(file, "station", np.arange(like.from_tip.size, dtype=np.int32), "stations from the raw tip", "1")
    for name, scale, unit, words in LOOK:
        empty = np.full(like.from_tip.shape, np.nan)
        rows = [empty if run.look is None else scale * getattr(run.look, name) for run in (*runs, reference)]
        table = np.array(rows, dtype=PLAIN)
        write_variable(file, f"shaft_{name}", table[:-1], ("club", "station"), f"{words}, raw shaft", unit)
        words = f"{words}, raw shaft of the reference club"
        write_variable(file, f"reference_shaft_{name}", table[-1], ("station",), words, unit)
    for name, words in CUTS:
        values = [np.nan if run.look is None else 1e3 * getattr(run.look, name) for run in (*runs, reference)]
        write_variable(file, f"shaft_{name}", np.array(values[:-1]), ("club",), words, "mm")
        write_variable(file, f"reference_shaft_{name}", values[-1], (), f"{words}, of the reference club", "mm")
