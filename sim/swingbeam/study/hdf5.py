"""Variables of a result file laid out as netCDF-4: dimension scales, units and names in words; and back."""

from __future__ import annotations

from typing import Any

import h5py
import numpy as np
from numpy.typing import NDArray

LARGEST = 1e12
"""No figure of ours is as large, in any of our units: what is has been damaged."""
_TEXT = h5py.string_dtype("utf-8")


def write_variable(
    file: h5py.File, name: str, data: Any, axes: tuple[str, ...], words: str, unit: str | None
) -> h5py.Dataset:
    """A variable over dimensions whose scales exist already."""
    variable = file.create_dataset(name, data=data)
    for i, axis in enumerate(axes):
        variable.dims[i].attach_scale(file[axis])
    variable.attrs["long_name"] = words
    if unit is not None:
        variable.attrs["units"] = unit
    return variable


def write_scale(file: h5py.File, name: str, values: Any, words: str, unit: str | None) -> None:
    """The scale of a dimension of its own name, of numbers."""
    write_variable(file, name, values, (), words, unit).make_scale(name)


def write_text(file: h5py.File, name: str, values: list[str], axes: tuple[str, ...] | None, words: str) -> None:
    """A text variable; without axes it is the scale of a dimension of its own name."""
    variable = file.create_dataset(name, data=np.array(values, dtype=object), dtype=_TEXT)
    for i, axis in enumerate(axes or ()):
        variable.dims[i].attach_scale(file[axis])
    variable.attrs["long_name"] = words
    if axes is None:
        variable.make_scale(name)


def read_numbers(variable: h5py.Dataset, place: int | None = None) -> NDArray[np.float64]:
    """A variable's numbers, or those of one place along its first dimension.

    Raises
    ------
    ValueError
        It holds no numbers, or one of a size that none has.
    """
    if variable.dtype.kind not in "iuf":
        raise ValueError(f"{variable.name} holds no numbers")
    values = np.asarray(variable[()] if place is None else variable[place], dtype=float)
    if np.any(np.abs(values[np.isfinite(values)]) > LARGEST) or np.any(np.isinf(values)):
        raise ValueError(f"{variable.name} holds a number of a size that none has")
    return values


def read_texts(variable: h5py.Dataset) -> list[str]:
    """A variable's texts.

    Raises
    ------
    ValueError
        It holds no text.
    """
    if h5py.check_string_dtype(variable.dtype) is None:
        raise ValueError(f"{variable.name} holds no text")
    return [v.decode() if isinstance(v, bytes) else str(v) for v in variable[()]]


def read_attribute(file: h5py.File, name: str) -> str:
    """A text among a file's attributes.

    Raises
    ------
    KeyError, ValueError
        It is not there, or is no text.
    """
    value = file.attrs[name]
    if not isinstance(value, (bytes, str)):
        raise ValueError(f"attribute {name} holds no text")
    return value.decode() if isinstance(value, bytes) else value
