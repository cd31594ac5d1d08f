"""Keep a ranking in one HDF5 file laid out as netCDF-4.

Dimension scales, `units` and `long_name` on every variable, CF flag values for the status: h5py, xarray
(engine "h5netcdf"), MATLAB and R open it alike. The file is new and whole or not there at all. It carries the
text of what made it, the version and a hash of its inputs. The same result gives the same bytes.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import h5py
import numpy as np

from swingbeam.files.safe_write import new_file

from .hdf5 import write_text, write_variable
from .quantities import (
    CAUSES,
    CURVES,
    FACE_CENTRE_SPEED,
    IMPACT,
    LANDING,
    RESOLUTION,
    SHOT,
    STATIC,
    UNLOAD,
    Quantity,
)
from .result import HANDS, RESOLUTIONS, STATUSES, ClubRun, RankResult, ShotRecord
from .store_looks import write_looks
from .store_repeat import write_repeated

CONVENTIONS = "CF-1.11"
FORMAT = "swingbeam rank 2"
NO_RANK = np.int32(-1)
_DEGREE = next(q.scale for q in IMPACT if q.key == "face_angle_deg")


def write_ranking(result: RankResult, path: str | os.PathLike[str]) -> Path:
    """Write a ranking to a new file.

    Raises
    ------
    InputError
        The file exists already, or cannot be written; then nothing is written.
    """
    with new_file(path) as temporary, h5py.File(temporary, "w", libver=("v108", "v110")) as file:
        _write(file, result)
    return Path(path)


def _write(file: h5py.File, result: RankResult) -> None:
    runs = result.runs
    _attributes(file, result)
    write_text(file, "club", [run.shaft for run in runs], None, "shaft of the club, by rank")
    write_text(file, "cause", list(CAUSES), None, "causes of an angle at impact, in order; they sum to it")
    write_text(file, "hands", list(HANDS), None, "hand modes")
    write_text(file, "input", [name for name, _ in result.inputs], None, "files that went in")
    write_text(file, "input_text", [text for _, text in result.inputs], ("input",), "their full text")
    status = np.array([STATUSES.index(run.status) for run in runs], dtype=np.int8)
    variable = write_variable(file, "status", status, ("club",), "whether the club struck the ball", None)
    variable.attrs["flag_values"] = np.arange(len(STATUSES), dtype=np.int8)
    variable.attrs["flag_meanings"] = " ".join(STATUSES)
    write_text(file, "reasons", [_reasons(run) for run in runs], ("club",), "why a figure does not exist")
    _rank(file, "rank", [run.rank for run in runs], ("club",), "rank by half-unload, 1 unloads first")
    under = [[run.order_under.get(mode) for mode in HANDS] for run in runs]
    _rank(file, "order_under", under, ("club", "hands"), "rank by half-unload under each hand mode")
    for quantity in UNLOAD:
        _figure(file, quantity, [run.unload for run in runs])
    _figure(file, RESOLUTION, list(runs))
    for quantity in (*IMPACT, FACE_CENTRE_SPEED):
        _figure(file, quantity, [run.impact for run in runs])
        _figure(file, quantity, [run.change for run in runs], "change_", ", change against the reference club")
    _flights(file, result)
    for quantity in IMPACT:
        value = quantity.of(result.reference_run.impact)
        words = f"{quantity.long_name}, of the reference club"
        name = f"reference_{quantity.key}"
        write_variable(file, name, np.nan if value is None else value, (), words, quantity.unit)
    for name, words in (("face", "face angle"), ("loft", "dynamic loft")):
        records = [getattr(run, name) for run in runs]
        table = [[np.nan if r is None else _DEGREE * getattr(r, c) for c in CAUSES] for r in records]
        write_variable(file, f"{name}_from_deg", np.array(table), ("club", "cause"), f"causes of {words}", "degree")
    write_text(file, "letter", [_static(run, "letter") for run in runs], ("club",), "the maker's flex letter")
    write_text(file, "setup", [_static(run, "setup") for run in runs], ("club",), "set-up of the bench readings")
    for quantity in STATIC:
        _figure(file, quantity, [run.static for run in runs])
    write_repeated(file, result)
    _curves(file, result)
    write_looks(file, result)


def _flights(file: h5py.File, result: RankResult) -> None:
    flights = [run.flight for run in result.runs]
    parts = (
        ("shot", "", ""),
        ("error", "error_", ", 1σ of the model"),
        ("change", "change_", ", change against the reference club"),
        ("change_error", "change_error_", ", 1σ of the change against the reference club"),
    )
    for quantity in SHOT:
        for part, prefix, words in parts:
            _figure(file, quantity, [None if f is None else getattr(f, part) for f in flights], prefix, words)
        known = [-1 if f is None else RESOLUTIONS.index(f.resolution(quantity.attribute)) for f in flights]
        words = f"{quantity.long_name}: is the change larger than its error, and of one sign whatever the hands"
        variable = write_variable(
            file, f"resolved_{quantity.key}", np.array(known, dtype=np.int8), ("club",), words, None
        )
        variable.attrs["flag_values"] = np.arange(-1, len(RESOLUTIONS), dtype=np.int8)
        variable.attrs["flag_meanings"] = " ".join(("no_shot", *(text.replace(" ", "_") for text in RESOLUTIONS)))
        value = None if result.reference_run.flight is None else quantity.of(result.reference_run.flight.shot)
        words = f"{quantity.long_name}, of the reference club"
        write_variable(file, f"reference_{quantity.key}", np.nan if value is None else value, (), words, quantity.unit)
    for quantity in SHOT:
        table = [[_under(flight, mode, quantity) for mode in HANDS] for flight in flights]
        words = f"{quantity.long_name}, change against the reference club under each hand mode"
        write_variable(file, f"change_under_{quantity.key}", np.array(table), ("club", "hands"), words, quantity.unit)
    for quantity in LANDING:
        _figure(file, quantity, [None if f is None else f.spread for f in flights])


def _under(flight: ShotRecord | None, mode: str, quantity: Quantity) -> float:
    value = None if flight is None else quantity.of(flight.change_under.get(mode))
    return np.nan if value is None else value


def _attributes(file: h5py.File, result: RankResult) -> None:
    values = {
        "Conventions": CONVENTIONS,
        "title": f"{result.scenario}: shafts ranked by unload timing",
        "source": f"swingbeam {result.version}",
        "format": FORMAT,
        "scenario": result.scenario,
        "golfer": result.golfer,
        "reference": result.reference,
        "hand_mode": result.hands,
        "ball_rule": result.ball,
        "solver": result.solver,
        "inputs_sha256": result.digest,
        "air": result.air,
        "repeatability": result.repeatability,
        "order_statement": result.statement,
        "notes": "\n".join(result.notes),
        "agreement": "\n".join(
            f"{a.figure} against {a.order}: {'' if a.tau is None else f'tau-b {a.tau:+.3f}, '}{a.words}"
            for a in result.agreements
        ),
    }
    for name, value in values.items():
        file.attrs[name] = value
    file.attrs["downswing_ms"] = 1e3 * result.downswing


def _curves(file: h5py.File, result: RankResult) -> None:
    times = next((run.curves.t for run in result.runs if run.curves is not None), None)
    if times is None:
        return
    scale = file.create_dataset("time_ms", data=1e3 * times)
    scale.attrs["units"], scale.attrs["long_name"] = "ms", "time to the club's own impact"
    scale.make_scale("time_ms")
    for q in CURVES:
        empty = np.full(times.shape, np.nan)
        table = [empty if run.curves is None else q.scale * getattr(run.curves, q.attribute) for run in result.runs]
        write_variable(file, q.key, np.array(table), ("club", "time_ms"), q.long_name, q.unit)


def _figure(file: h5py.File, q: Quantity, records: list[Any], prefix: str = "", words: str = "") -> None:
    values = np.array([np.nan if (v := q.of(record)) is None else v for record in records], dtype=float)
    write_variable(file, prefix + q.key, values, ("club",), q.long_name + words, q.unit)


def _rank(file: h5py.File, name: str, values: list[Any], axes: tuple[str, ...], words: str) -> None:
    table = np.array([[NO_RANK if r is None else r for r in np.atleast_1d(row)] for row in values], dtype=np.int32)
    shape = tuple(file[axis].shape[0] for axis in axes)
    variable = write_variable(file, name, table.reshape(shape), axes, words, "1")
    variable.attrs["_FillValue"] = NO_RANK


def _static(run: ClubRun, name: str) -> str:
    value = None if run.static is None else getattr(run.static, name)
    return "" if value is None else str(value)


def _reasons(run: ClubRun) -> str:
    return "\n".join(f"{key}: {text}" for key, text in run.reasons.items())
