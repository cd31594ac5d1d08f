"""What repeated swings tell, as variables of a ranking's HDF5 file."""

from __future__ import annotations

from typing import Any

import numpy as np

from swingbeam.delivery.places import LEAST_HOLD

from .bands import BANDED
from .hdf5 import write_text, write_variable
from .repeated import Repeated
from .result import RankResult

NO_GROUP = np.int32(-1)
_SIDES = (("low", "lower end of the 90 % band"), ("median", "median"), ("high", "upper end of the 90 % band"))


def write_repeated(file: Any, result: RankResult) -> None:
    """Bands, probabilities and groups, clubs by rank; nothing where the swing was not repeated."""
    found = result.repeated
    if found is None:
        return
    names = [run.shaft for run in result.runs]
    rows = np.array([found.row(name) for name in names])
    file.attrs["repeat_swings"], file.attrs["repeat_left_out"] = found.swings, found.left_out
    file.attrs["repeat_seed"] = found.seed
    file.attrs["repeat_mean_is_drawn"] = int(found.mean_is_drawn)
    file.attrs["repeat_deviations"] = found.deviations
    file.attrs["repeat_least_hold"] = LEAST_HOLD
    _bands(file, found, names)
    write_variable(
        file, "struck", np.array(found.struck, dtype=np.int32)[rows], ("club",), "repetitions that struck the ball", "1"
    )
    group = np.array([NO_GROUP if g is None else g for g in found.group], dtype=np.int32)[rows]
    variable = write_variable(
        file, "group", group, ("club",), "group that cannot be told apart by half-unload, 1 unloads first", "1"
    )
    variable.attrs["_FillValue"] = NO_GROUP
    scale = file.create_dataset("place", data=np.arange(1, len(names) + 1, dtype=np.int32))
    scale.attrs["long_name"] = "place by half-unload, 1 unloads first"
    scale.make_scale("place")
    write_text(file, "other_club", names, None, "shaft of the club compared with, by rank")
    write_variable(
        file, "place_probability", found.place[rows], ("club", "place"), "probability of each place by half-unload", "1"
    )
    for name, table, words in (
        ("before_probability", found.before, "unloads before the other club, a tie counts half"),
        ("more_loft_probability", found.more_loft, "delivers more dynamic loft than the other club"),
    ):
        write_variable(
            file, name, table[np.ix_(rows, rows)], ("club", "other_club"), f"probability that the club {words}", "1"
        )


def _bands(file: Any, found: Repeated, names: list[str]) -> None:
    for _, quantity in BANDED:
        for prefix, table, of in (
            ("repeat", found.figures, ""),
            ("change", found.changes, ", change against the reference club"),
        ):
            own = [table.get(name, {}).get(quantity.key) for name in names]
            for side, words in _SIDES:
                values = np.array([np.nan if band is None else quantity.scale * getattr(band, side) for band in own])
                words = f"{quantity.long_name}{of}: {words} over the repeated swings"
                write_variable(file, f"{prefix}_{side}_{quantity.key}", values, ("club",), words, quantity.unit)
