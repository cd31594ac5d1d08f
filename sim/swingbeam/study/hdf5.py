"""Variables of a result file laid out as netCDF-4: dimension scales, units and names in words."""

from __future__ import annotations

from typing import Any

import h5py
import numpy as np

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
