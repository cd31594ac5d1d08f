"""The file of results: netCDF-4 laid out in HDF5. What is in it, in which order, and the hashes that tell damage.

The same results give the same bytes: order and place of everything follow from the problem alone. Columns are stored
as they are, one after another, so that reading one reads nothing else; curves are chunked by cases and compressed.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Sequence
from typing import Any

import h5py
import numpy as np
from numpy.typing import NDArray

from swingbeam import __version__

from .problem import STATUSES, Array, Input, Output, Problem
from .units import clean

CONVENTIONS = "CF-1.11"
FORMAT = "swingbeam study"
SCHEMA_VERSION = 1
MATRICES = ("A", "B", "AB")
CURVE_CHUNK_BYTES = 262_144
HASH, CONTENTS = "sha256", "contents_sha256"
TEXT = h5py.string_dtype("utf-8")
NO_REASON = -1
_TEXT_PIECE = 4096
_SCALE_ATTRIBUTES = ("CLASS", "NAME", "REFERENCE_LIST", "DIMENSION_LIST", "_Netcdf4Dimid", "_Netcdf4Coordinates")


class StudyFile:
    """A file of results while it is being written: first what it holds, then block by block what that is."""

    def __init__(self, file: h5py.File, problem: Problem, history: str, reasons: Sequence[str]) -> None:
        self._file = file
        self._problem = problem
        self._hashes: dict[str, Any] = {}
        self.times = problem.times(history)
        self.curve_rows = curve_rows(len(self.times))
        self._attributes(history)
        self._scales(reasons)
        for given in problem.inputs:
            self._input(given)
        for figure in problem.outputs:
            self._output(figure)
        self._status()
        if problem.sample(np.zeros(1, dtype=np.int64)) is not None:
            self._sample()
        if len(self.times):
            for curve in problem.curves:
                self._curve(curve)
        self._texts("file_name", [name for name, _ in problem.files] or [""], "file", "files that went in")
        self._texts("file_text", [text for _, text in problem.files] or [""], "file", "their full text")
        self._texts(
            "reason_text", list(reasons) or [""], "reason_number", "why a case is not ok, or what it lacks and why"
        )

    def _attributes(self, history: str) -> None:
        problem = self._problem
        values: dict[str, Any] = {
            "Conventions": CONVENTIONS,
            "format": FORMAT,
            "schema_version": np.int64(SCHEMA_VERSION),
            "title": problem.name,
            "question": problem.question,
            "plan": problem.kind,
            "held": problem.held,
            "seed": np.int64(problem.seed),
            "digest": problem.digest,
            "version": __version__,
            "curves_kept": history,
            "complete": np.int64(1),
        }
        rows = getattr(problem, "sample_rows", None)
        if rows is not None:
            values["sample_rows"] = np.int64(rows)
        for name, value in values.items():
            self._file.attrs[name] = clean(value) if isinstance(value, str) else value

    def _scales(self, reasons: Sequence[str]) -> None:
        problem = self._problem
        self._scale("case", self._column("case", np.int64, "number of the case", "1"))
        if len(self.times):
            time = self._whole("time", self.times, "time to the club's own impact, before it negative", "s")
            self._scale("time", time)
        for name, size, words in (
            ("file", len(problem.files), "number of the file that went in"),
            ("reason_number", len(reasons), "number of the reason"),
        ):
            numbers = np.arange(max(1, size), dtype=np.int32)
            self._scale(name, self._whole(name, numbers, words, "1"))

    def _scale(self, name: str, variable: h5py.Dataset) -> None:
        variable.make_scale(name)

    def _input(self, given: Input) -> None:
        kind = np.int16 if given.choices else np.float64
        variable = self._column(given.name, kind, given.long_name or given.key, None if given.choices else given.unit)
        variable.attrs["key"], variable.attrs["role"] = given.key, "input"
        if given.choices:
            _flags(variable, np.arange(len(given.choices), dtype=np.int16), given.choices)

    def _output(self, figure: Output) -> None:
        variable = self._column(figure.name, np.float64, figure.long_name, figure.unit, fill=np.nan)
        if figure.frame:
            variable.attrs["frame"] = figure.frame
        variable.attrs["role"] = "output"

    def _status(self) -> None:
        variable = self._column("status", np.int8, "whether the ball was struck", None)
        _flags(variable, np.arange(len(STATUSES), dtype=np.int8), STATUSES)
        words = f"why it is not ok, or what it lacks: place in reason_text, {NO_REASON} where nothing is to be said"
        self._column("reason", np.int32, words, None)

    def _sample(self) -> None:
        self._column("sample_row", np.int64, "base row of the sensitivity sample", "1")
        matrix = self._column("sample_matrix", np.int8, "matrix of the sensitivity sample", None)
        _flags(matrix, np.arange(len(MATRICES), dtype=np.int8), MATRICES)
        words = "number of the input whose column comes from B, from 0; -1 for A and B"
        self._column("sample_column", np.int16, words, "1")

    def _curve(self, curve: Output) -> None:
        rows = min(self.curve_rows, self._problem.count)
        variable = self._file.create_dataset(
            curve.name,
            shape=(self._problem.count, len(self.times)),
            dtype="<f8",
            chunks=(rows, len(self.times)),
            compression="gzip",
            compression_opts=1,
            shuffle=True,
            fillvalue=np.nan,
        )
        self._name(variable, curve.long_name, curve.unit, np.nan, ("case", "time"))
        if curve.frame:
            variable.attrs["frame"] = curve.frame
        variable.attrs["role"] = "curve"
        self._hashes[curve.name] = hashlib.sha256()

    def _column(self, name: str, kind: Any, words: str, unit: str | None, *, fill: float | None = None) -> h5py.Dataset:
        count = self._problem.count
        dtype = np.dtype(kind).newbyteorder("<")
        # Every value is written: filling first would write the file twice.
        made = self._file.create_dataset(name, shape=(count,), dtype=dtype, fillvalue=fill, fill_time="never")
        self._name(made, words, unit, fill, () if name == "case" else ("case",))
        self._hashes[name] = hashlib.sha256()
        return made

    def _whole(self, name: str, data: NDArray[Any], words: str, unit: str) -> h5py.Dataset:
        made = self._file.create_dataset(name, data=data)
        self._name(made, words, unit, None, ())
        self._hashes[name] = hashlib.sha256(np.ascontiguousarray(data).tobytes())
        return made

    def _name(self, made: h5py.Dataset, words: str, unit: str | None, fill: float | None, axes: Sequence[str]) -> None:
        for k, axis in enumerate(axes):
            made.dims[k].attach_scale(self._file[axis])
        made.attrs["long_name"] = clean(words)
        if unit is not None:
            made.attrs["units"] = unit
        if fill is not None:
            made.attrs["_FillValue"] = np.float64(fill)

    def _texts(self, name: str, texts: Sequence[str], axis: str, words: str) -> None:
        made = self._file.create_dataset(name, shape=(len(texts),), dtype=TEXT)
        self._name(made, words, None, None, (axis,))
        digest = hashlib.sha256()
        for start in range(0, len(texts), _TEXT_PIECE):
            piece = [clean(text) for text in texts[start : start + _TEXT_PIECE]]
            made[start : start + len(piece)] = np.array(piece, dtype=object)
            digest.update(text_bytes(piece))
        self._hashes[name] = digest

    def write(self, name: str, start: int, data: NDArray[Any]) -> None:
        """The next rows of a column or of curves, from case `start` on; in order."""
        made = self._file[name]
        data = np.ascontiguousarray(data, dtype=made.dtype)
        made[start : start + len(data)] = data
        self._hashes[name].update(data.tobytes())

    def add_spots(
        self, cases: NDArray[np.int64], differences: Sequence[Array], limits: dict[str, float], words: str
    ) -> None:
        """The spot checks: which cases, how far the other solver lies off, and what that says of the study."""
        problem = self._problem
        numbers = np.arange(len(cases), dtype=np.int32)
        self._scale("spot", self._whole("spot", numbers, "number of the spot check", "1"))
        made = self._whole("spot_case", cases, "number of the case that was run with the other solver as well", "1")
        made.dims[0].attach_scale(self._file["spot"])
        for output, data in zip(problem.outputs, differences, strict=True):
            long = f"{output.long_name}: the other solver's less the study's"
            made = self._whole(f"spot_difference_{output.name}", data, long, output.unit)
            made.dims[0].attach_scale(self._file["spot"])
            made.attrs["_FillValue"] = np.float64(np.nan)
            if output.name in limits:
                made.attrs["limit"] = np.float64(limits[output.name])
        self._file.attrs["doubtful"] = words

    def finish(self) -> None:
        """Put the hashes in; the last of them over everything else that the file says."""
        for name, digest in self._hashes.items():
            self._file[name].attrs[HASH] = digest.hexdigest()
        self._file.attrs[CONTENTS] = contents_hash(self._file)


def curve_rows(times: int) -> int:
    """Cases in one chunk of curves: a power of two, about `CURVE_CHUNK_BYTES`."""
    if times == 0:
        return 1
    return int(2 ** np.floor(np.log2(max(1.0, CURVE_CHUNK_BYTES / (8 * times)))))


def _flags(variable: h5py.Dataset, values: NDArray[Any], meanings: Sequence[str]) -> None:
    variable.attrs["flag_values"] = values
    variable.attrs["flag_meanings"] = " ".join(flag_word(meaning) for meaning in meanings)


def flag_word(meaning: str) -> str:
    """A name as one word of `flag_meanings`: CF allows letters, digits and _ - . + @ in it."""
    return re.sub(r"[^\w\-.+@]+", "_", clean(meaning).strip()) or "_"


def text_bytes(texts: Sequence[str]) -> bytes:
    """What is hashed of texts: each with its length, so that no other division gives the same."""
    encoded = [text.encode("utf-8") for text in texts]
    return b"".join(len(text).to_bytes(8, "little") + text for text in encoded)


def contents_hash(file: h5py.File) -> str:
    """Hash over all that a file says of itself: root attributes, variables with type, shape, axes and attributes.

    The values are in it by the hash each variable carries among its attributes.
    """
    variables = {}
    for name, item in file.items():
        axes = [[scale.name for scale in axis.values()] for axis in item.dims]
        variables[name] = [item.dtype.str, list(item.shape), axes, _plain(item.attrs)]
    root = {name: value for name, value in _plain(file.attrs).items() if name != CONTENTS}
    said = json.dumps([root, variables], sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(said.encode("utf-8", "surrogatepass")).hexdigest()


def _plain(attributes: Any) -> dict[str, Any]:
    found = {}
    for name, value in attributes.items():
        if name in _SCALE_ATTRIBUTES:
            continue
        value = value.tolist() if isinstance(value, np.ndarray | np.generic) else value
        found[name] = value.decode("utf-8", "replace") if isinstance(value, bytes) else value
    # Not a number has no equal in JSON; its name does.
    return {name: repr(value) if isinstance(value, float) else value for name, value in found.items()}
