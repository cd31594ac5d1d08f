"""Read what repeated swings told back from a ranking's file."""

from __future__ import annotations

import h5py
import numpy as np
from numpy.typing import NDArray

from .bands import BANDED
from .hdf5 import read_attribute, read_numbers
from .repeated import Band, Repeated
from .store_repeat import NO_GROUP

Array = NDArray[np.float64]


def read_repeated(file: h5py.File, clubs: list[str]) -> Repeated | None:
    """What repeated swings told, clubs by rank; None where the swing was not repeated.

    Shares of the variance are not in the file, and how many swings had a figure is taken to be all.
    """
    if "repeat_swings" not in file.attrs:
        return None
    swings = int(file.attrs["repeat_swings"])
    group = [int(g) for g in file["group"][()]]
    return Repeated(
        clubs=tuple(clubs),
        swings=swings,
        left_out=int(file.attrs["repeat_left_out"]),
        seed=int(file.attrs["repeat_seed"]),
        mean_is_drawn=bool(file.attrs["repeat_mean_is_drawn"]),
        deviations=read_attribute(file, "repeat_deviations"),
        struck=tuple(int(n) for n in file["struck"][()]),
        figures=_bands(file, "repeat", clubs, swings),
        changes=_bands(file, "change", clubs, swings),
        place=_table(file, "place_probability", clubs),
        before=_table(file, "before_probability", clubs),
        more_loft=_table(file, "more_loft_probability", clubs),
        group=tuple(None if g == int(NO_GROUP) else g for g in group),
        shares={},
    )


def _table(file: h5py.File, name: str, clubs: list[str]) -> Array:
    table = read_numbers(file[name])
    if table.shape != (len(clubs), len(clubs)):
        raise ValueError(f"{name} has shape {table.shape}")
    return table


def _bands(file: h5py.File, prefix: str, clubs: list[str], swings: int) -> dict[str, dict[str, Band]]:
    found: dict[str, dict[str, Band]] = {name: {} for name in clubs}
    for _, q in BANDED:
        sides = [read_numbers(file[f"{prefix}_{side}_{q.key}"]) for side in ("low", "median", "high")]
        for i, name in enumerate(clubs):
            ends = [float(values[i]) / q.scale for values in sides]
            if all(np.isfinite(ends)):
                found[name][q.key] = Band(ends[0], ends[1], ends[2], draws=swings)
    return found
