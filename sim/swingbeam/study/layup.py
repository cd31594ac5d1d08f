"""A lay-up wound, its shaft read on the bench, and two lay-ups compared."""

from __future__ import annotations

import os
from dataclasses import dataclass
from itertools import count
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.bench.benches import usual_bench
from swingbeam.bench.registry import TESTS
from swingbeam.bench.specimen import specimen
from swingbeam.files.layup_file import SwappedLayupFile, read_layup_file
from swingbeam.files.lookup import find
from swingbeam.files.safe_write import refuse_existing
from swingbeam.files.write_shaft import write_shaft_file
from swingbeam.shaft.layup import PULL, Layup, WoundStations, pull_twist, shaft_from_layup, wind
from swingbeam.shaft.layup_swap import Swap, load_layup, load_swap
from swingbeam.shaft.shaft import Shaft
from swingbeam.units import show
from swingbeam.units.kinds import METRES_PER_INCH

from .bench import BenchRow, read_on_bench

Array = NDArray[np.float64]

RATIO_STEP = 2.0 * METRES_PER_INCH
"""m between the places at which two lay-ups are compared."""


@dataclass(frozen=True, eq=False)
class LayupResult:
    """A lay-up and the shaft it makes.

    Attributes
    ----------
    name : file name, without its ending
    layup, wound, shaft : as wound
    bench : readings under the usual set-ups
    pull_twist : rad of twist of the whole shaft under an axial pull of `shaft.layup.PULL`
    swap : what was solved for, where the lay-up swaps plies of another
    """

    name: str
    layup: Layup
    wound: WoundStations
    shaft: Shaft
    bench: BenchRow
    pull_twist: float
    swap: Swap | None = None


@dataclass(frozen=True, eq=False)
class LayupComparison:
    """Two lay-ups.

    Attributes
    ----------
    first, second : LayupResult
    from_tip : (n,) m
    ei_ratio, gj_ratio, mass_ratio, diameter_ratio : (n,) second over first at those places
    """

    first: LayupResult
    second: LayupResult
    from_tip: Array
    ei_ratio: Array
    gj_ratio: Array
    mass_ratio: Array
    diameter_ratio: Array


def study_layup(name: str | os.PathLike[str]) -> LayupResult:
    """Wind a lay-up and read its shaft on the bench.

    Parameters
    ----------
    name : name or path of a lay-up

    Raises
    ------
    InputError
        A file that cannot be found or read, a lay-up that makes no shaft.
    """
    path = Path(find("layup", name))
    swap = load_swap(path) if isinstance(read_layup_file(path), SwappedLayupFile) else None
    layup = load_layup(path) if swap is None else swap.after
    try:
        shaft, wound = shaft_from_layup(layup), wind(layup)
    except InputError as error:
        raise InputError(f"{name}: {error}") from None
    bench = read_on_bench(path.stem, specimen(shaft), usual_bench(), tuple(TESTS))
    return LayupResult(path.stem, layup, wound, shaft, bench, pull_twist(wound), swap)


def compare_layups(first: LayupResult, second: LayupResult) -> LayupComparison:
    """Ratios along the shaft, at the same distances from the tip, as far as both reach."""
    length = min(first.shaft.raw_length, second.shaft.raw_length)
    from_tip: Array = np.append(np.arange(0.0, length - 1e-6, RATIO_STEP), length)

    def ratio(attribute: str) -> Array:
        values = [
            np.interp(result.shaft.raw_length - from_tip, result.shaft.s, getattr(result.shaft, attribute))
            for result in (first, second)
        ]
        return np.asarray(values[1] / values[0], dtype=np.float64)

    return LayupComparison(
        first, second, from_tip, *(ratio(name) for name in ("ei", "gj", "mass_per_length", "diameter"))
    )


def shaft_paths(wanted: Path | None, name: str, folder: Path) -> tuple[Path, Path]:
    """The shaft file to write and the picture beside it; the first free name in `folder` where none is asked for.

    Raises
    ------
    InputError
        The file asked for, or the picture beside it, exists already or has another ending.
    """
    if wanted is not None:
        if wanted.suffix.lower() != ".toml":
            raise InputError(f'--output: found "{wanted.name}"; allowed: a name that ends in .toml')
        return refuse_existing(wanted), refuse_existing(wanted.with_suffix(".png"))
    names = (name if number == 1 else f"{name}-{number}" for number in count(1))
    pairs = ((folder / f"{stem}.toml", folder / f"{stem}.png") for stem in names)
    data, picture = next(pair for pair in pairs if not any(path.exists() for path in pair))
    return refuse_existing(data), refuse_existing(picture)


def write_layup_shaft(result: LayupResult, path: Path) -> Path:
    """Write the shaft a lay-up makes as a shaft file of its own. Raises InputError as `write_shaft_file`."""
    lines = [f"Made from the lay-up {result.name} by laminated-plate theory; fractional wraps are spread evenly."]
    if result.swap is not None:
        swap = result.swap
        lines.append(
            f"e1 of {swap.material}: {show(swap.e1_before, 'GPa', 1)} before, {show(swap.e1_after, 'GPa', 1)} now, "
            "solved for the bench frequency of the base."
        )
    twist = show(result.pull_twist, "deg", 3)
    lines.append(f"Pulled by {PULL:.0f} N it would twist by {twist} over its length, which no shaft file carries.")
    return write_shaft_file(result.shaft, path, "\n".join(lines))
