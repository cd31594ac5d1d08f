"""Readings somebody took: which test, under which set-up, what was read and how sure it is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.shaft.shaft import Shaft
from swingbeam.units import show

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Wanted:
    """A figure of a test under a set-up.

    Attributes
    ----------
    test : the bench test
    setup : its set-up
    reading : which of the test's figures
    index : which of a scan's values; None for a single figure
    label : how a message names it, such as "reading #3"
    """

    test: BenchTest
    setup: Any
    reading: Reading
    index: int | None = None
    label: str = ""

    @property
    def is_main(self) -> bool:
        """Whether it is the figure the test is made for."""
        return self.reading is main_reading(self.test)

    def describe(self) -> str:
        """Test, figure and set-up in words."""
        key = "" if self.is_main else f" {self.reading.attribute}"
        place = "" if self.index is None else f" (station {self.index + 1})"
        return f"{self.test.name}{key}{place}: {self.setup}"

    def shown(self, value: float, decimals: int | None = None) -> str:
        """A value (SI) in the unit people use."""
        places = self.reading.decimals if decimals is None else decimals
        if self.reading.factor is not None:
            return f"{self.reading.factor * value:.{places}f} {self.reading.unit}"
        return show(value, self.reading.unit, places)

    def shown_error(self, error: float) -> str:
        """A standard deviation (SI) in the unit people use, with one decimal more than a value has."""
        return self.shown(error, self.reading.decimals + 1)


@dataclass(frozen=True)
class Measured:
    """A reading: `value` and its standard deviation `error`, SI."""

    wanted: Wanted
    value: float
    error: float

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise InputError(f"{self.wanted.label}: found a value that is not finite; allowed: a finite value")
        if not (math.isfinite(self.error) and self.error > 0.0):
            raise InputError(f"{self.wanted.label}: found an error of {self.error!r}; allowed: above 0")


PLACES = ("from_tip", "free_length")
"""Figures of scans and curves that say where a value belongs, not what was read."""


def main_reading(test: BenchTest) -> Reading:
    """The figure a test is made for: the first that is not a place."""
    return next(reading for reading in test.readings if reading.attribute not in PLACES)


def usual_error(reading: Reading) -> float:
    """Standard deviation of one careful reading, SI (common practice, no source)."""
    return reading.usual_error / reading.scale


def predict(shaft: Shaft, wanted: Sequence[Wanted], known: dict[Any, Any] | None = None) -> Array:
    """(n,) SI: what a shaft would read; a test under one set-up is run once for all its figures.

    Raises
    ------
    InputError, SimulationError
        A set-up the shaft does not allow, a figure that does not exist for it; the message names the reading.
    """
    records: dict[Any, Any] = {} if known is None else known
    out = np.empty(len(wanted))
    for i, one in enumerate(wanted):
        key = (one.test.name, one.setup)
        try:
            if key not in records:
                records[key] = one.test.read(shaft, one.setup)
            out[i] = _pick(one, records[key])
        except (InputError, SimulationError) as error:
            message = str(error)
            prefix = f"{one.label}: " if one.label and not message.startswith(one.label) else ""
            raise type(error)(f"{prefix}{message}") from None
    return out


def _pick(one: Wanted, record: Any) -> float:
    values = np.atleast_1d(one.reading.si(record))
    index = 0 if one.index is None else one.index
    if index >= values.size or (one.index is None and values.size > 1):
        raise InputError(f"found a value for station {index + 1}; the scan of this set-up has {values.size}")
    value = float(values[index])
    if not math.isfinite(value):
        raise InputError(f"{one.reading.key}: does not exist for this set-up")
    return value
