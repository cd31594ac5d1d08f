"""Read marker positions from a C3D file, through the library ezc3d, which is installed as an extra."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path
from swingbeam.files.c3d_checks import fault_of_c3d
from swingbeam.units import KINDS, nearest, quote

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class MarkerTable:
    """Marker positions over time."""

    source: str
    t: Array
    """(n,) s; the first frame that the file holds has the time of its number"""
    names: tuple[str, ...]
    positions: Array
    """(n, k, 3) m, data axes; NaN where a marker was not seen"""

    def marker(self, name: str) -> Array:
        """(n, 3) m of one marker; InputError when there is none of that name."""
        if name not in self.names:
            guess = nearest(name, self.names)
            hint = f'; did you mean "{guess}"?' if guess else ""
            shown = ", ".join(self.names[:12]) + (", …" if len(self.names) > 12 else "")
            raise InputError(f"{self.source}: no marker {quote(name)}; found: {shown}{hint}")
        return self.positions[:, self.names.index(name)]


def read_c3d(path: str | os.PathLike[str], length_unit: str | None = None) -> MarkerTable:
    """Marker positions of a C3D file (https://www.c3d.org, parameters POINT:LABELS, RATE and UNITS).

    A residual below zero marks a point that was not seen, as the format defines it.

    Parameters
    ----------
    length_unit : where the file states none

    Raises
    ------
    InputError
        ezc3d is not installed, the file cannot be read, or it states no rate or unit.
    """
    source = display_path(path)
    try:
        import ezc3d
    except ImportError:
        raise InputError(
            f'{source}: C3D files need the library ezc3d; install it with: pip install "swingbeam[c3d]"'
        ) from None
    if not Path(path).is_file():
        raise InputError(f"{source}: no such file")
    fault = fault_of_c3d(Path(path).read_bytes())
    if fault is not None:
        raise InputError(f"{source}: not readable as C3D: {fault}; allowed: a whole C3D file")
    try:
        content = ezc3d.c3d(os.fspath(path))
        point = content["parameters"]["POINT"]
        points = np.asarray(content["data"]["points"], dtype=float)
        first = int(content["header"]["points"]["first_frame"])
        residuals = np.asarray(content["data"]["meta_points"]["residuals"], dtype=float).reshape(points.shape[1:])
        rate = float(np.ravel(_value(point, "RATE"))[0])
        labels = tuple(str(name).strip() for name in _value(point, "LABELS"))[: points.shape[1]]
    except Exception as error:  # ezc3d throws what its C++ throws
        raise InputError(f"{source}: not readable as C3D: {quote(' '.join(str(error).split()), 120)}") from None
    if not np.isfinite(rate) or rate <= 0.0:
        raise InputError(f"{source}: states no frame rate (POINT:RATE)")
    if points.shape[1] == 0 or points.shape[2] == 0:
        raise InputError(f"{source}: holds no markers")
    factor = _length_factor(point, length_unit, source)
    points = np.transpose(points[:3], (2, 1, 0)) * factor
    points[np.transpose(residuals < 0.0)] = np.nan
    return MarkerTable(source, (first + np.arange(points.shape[0])) / rate, labels, points)


def _value(point: Any, key: str) -> Any:
    return point[key]["value"]


def _length_factor(point: Any, declared: str | None, source: str) -> float:
    stated = [str(unit).strip() for unit in point.get("UNITS", {}).get("value", [])]
    unit = stated[0] if stated and stated[0] else None
    known = KINDS["length"].units
    if unit is not None and declared is not None and unit != declared:
        raise InputError(f"{source}: the file states {quote(unit)} (POINT:UNITS), and {declared} is declared")
    wanted = unit or declared
    if wanted is None:
        raise InputError(f'{source}: states no unit of length (POINT:UNITS); write length = "mm" in [units]')
    if wanted not in known:
        raise InputError(f"{source}: found the unit {quote(wanted)} (POINT:UNITS); allowed: {', '.join(known)}")
    return known[wanted]
