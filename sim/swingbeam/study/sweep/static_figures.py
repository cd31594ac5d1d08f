"""What a case's raw shaft reads on the usual bench, beside the figures of its swing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from swingbeam.shaft.shaft import Shaft
from swingbeam.study.readings import static_readings

from .figures import BENCH, OK, Figure
from .makers import TROUBLE
from .problem import Array, Rows


@dataclass(frozen=True, eq=False)
class ShaftRead:
    """A shaft's figures in their shown units, NaN where it cannot be read, and why not."""

    values: Array
    why: str = ""


def read_shaft_figures(shaft: Shaft, figures: Sequence[Figure]) -> ShaftRead:
    """The figures of the bench among some figures, in their order."""
    wanted = [figure.quantity for figure in figures if figure.part == BENCH]
    try:
        readings = static_readings(shaft)
    except TROUBLE as error:
        return ShaftRead(np.full(len(wanted), math.nan), str(error) or type(error).__name__)
    return ShaftRead(np.array([q.scale * getattr(readings, q.attribute) for q in wanted]))


def beside_swings(swung: Rows, read: Sequence[ShaftRead | None], figures: Sequence[Figure]) -> Rows:
    """The rows of all figures, of rows of those that are swung, and of what the shafts read; nothing is read into a
    case that is not ok.
    """
    on_bench = np.array([figure.part == BENCH for figure in figures])
    values = np.full((len(read), len(figures)), math.nan)
    values[:, ~on_bench] = swung.values
    reasons = list(swung.reasons)
    names = ", ".join(figure.name for figure in figures if figure.part == BENCH)
    for case, one in enumerate(read):
        if one is not None and swung.status[case] == OK:
            values[case, on_bench] = one.values
            if one.why:
                reasons[case] = "; ".join(text for text in (reasons[case], f"{names}: {one.why}") if text)
    return Rows(values, swung.status, reasons, swung.curves)
