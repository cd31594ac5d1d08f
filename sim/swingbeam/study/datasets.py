"""Results as labelled arrays for notebooks: `xarray.Dataset`s with units, as the files of results hold them."""

from __future__ import annotations

import math
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from swingbeam.beam.errors import InputError

from .bench import BenchResult
from .quantities import IMPACT, UNLOAD
from .result import RankResult, SingleResult
from .store import write_ranking

if TYPE_CHECKING:
    from xarray import Dataset

_CURVES = {
    "in_plane": ("m", "tip deflection in the swing plane, lead +"),
    "lead": ("m", "tip deflection to the face-normal side, lead +"),
    "droop": ("m", "tip deflection toe-down +"),
    "twist": ("rad", "twist of the tip, opens the face +"),
    "hand_force": ("N", "size of the force of the hands on the club"),
    "hand_couple": ("N m", "couple of the hands about the normal of the swing plane, driving +"),
}


def to_xarray(result: RankResult | SingleResult | BenchResult) -> Dataset:
    """A result as a dataset: variables with `units` and `long_name`, figures over clubs, curves over time.

    A ranking holds what its HDF5 file holds, under the same names.

    Parameters
    ----------
    result : of `rank_scenario`, `swing_club` or `read_shafts`

    Raises
    ------
    InputError
        Another thing, or xarray is not installed.
    """
    _xarray()
    if isinstance(result, RankResult):
        return _of_file(result)
    if isinstance(result, SingleResult):
        return _of_swing(result)
    if isinstance(result, BenchResult):
        return _of_bench(result)
    raise InputError(f"to_xarray: found {type(result).__name__}; allowed: a ranking, one swing or bench readings")


def _xarray() -> Any:
    try:
        import h5netcdf  # noqa: F401
        import xarray
    except ImportError as error:
        raise InputError(
            f'to_xarray: {error.name} is not installed; mend it with: pip install "swingbeam[xarray]"'
        ) from None
    return xarray


def _of_file(result: RankResult) -> Dataset:
    with tempfile.TemporaryDirectory() as folder:
        path = write_ranking(result, Path(folder) / "ranking.h5")
        dataset: Dataset = _xarray().load_dataset(path, engine="h5netcdf", decode_timedelta=False)
    return dataset


def _of_swing(result: SingleResult) -> Dataset:
    run, reference = result.run, result.reference_run
    curves = run.curves
    variables: dict[str, Any] = {}
    for part, quantities in (("unload", UNLOAD), ("impact", IMPACT)):
        for q in quantities:
            values = [q.of(getattr(r, part)) for r in (run, reference)]
            about = {"units": q.unit, "long_name": q.long_name}
            variables[q.key] = ("club", [_number(v) for v in values], about)
    coordinates: dict[str, Any] = {"club": [run.shaft, f"{reference.shaft} (reference)"]}
    if curves is not None:
        coordinates["time"] = ("time", curves.t, {"units": "s", "long_name": "against the club's own impact"})
        variables |= {name: ("time", getattr(curves, name), _about(name)) for name in _CURVES}
    about = {"golfer": result.golfer, "hands": result.hands, "ball": result.ball, "solver": result.solver}
    dataset: Dataset = _xarray().Dataset(variables, coords=coordinates, attrs=about)
    return dataset


def _about(name: str) -> dict[str, str]:
    unit, words = _CURVES[name]
    return {"units": unit, "long_name": words}


def _of_bench(result: BenchResult) -> Dataset:
    variables = {
        reading.key: (
            "shaft",
            [_number(row.readings.get(reading.key)) for row in result.rows],
            {"units": reading.unit, "long_name": reading.long_name},
        )
        for reading in result.columns
    }
    names = [row.name for row in result.rows]
    dataset: Dataset = _xarray().Dataset(variables, coords={"shaft": names}, attrs={"bench": result.bench.name})
    return dataset


def _number(value: float | None) -> float:
    return math.nan if value is None else value
