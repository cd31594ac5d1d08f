"""Damping ratios of a raw shaft turned into the beam's viscosity."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from swingbeam.shaft.clamped import bench_frequencies, bending_frequency, twist_frequency
from swingbeam.shaft.shaft import Shaft


def viscosity(shaft: Shaft) -> tuple[float, float]:
    """(bend, twist) s of a shaft: stress = stiffness · (strain + viscosity · strain rate).

    2ζ/ω with ζ the shaft's damping ratio and ω its first bench frequency, in bending
    (`shaft.clamped.bending_frequency`, 5 in clamped, 205 g at the tip) and in twist (`twist_frequency`, the
    same clamp, 5·10⁻⁴ kg·m² at the tip) apart. A material with stiffness K and damping ηK has ζ = ηω/2 in a
    mode of frequency ω (stiffness-proportional damping: Clough & Penzien, Dynamics of Structures, §12-5).
    """
    bend = twist = 0.0
    if shaft.bend_damping > 0.0:
        bend = 2.0 * shaft.bend_damping / (2.0 * math.pi * bending_frequency(shaft))
    if shaft.twist_damping > 0.0:
        twist = 2.0 * shaft.twist_damping / (2.0 * math.pi * twist_frequency(shaft))
    return bend, twist


def viscosities(shafts: Sequence[Shaft]) -> NDArray[np.float64]:
    """(k, 2) s: `viscosity` of many shafts, compiled; the same to round-off. A shaft given twice is read once."""
    places = {id(shaft): place for place, shaft in reversed(list(enumerate(shafts)))}
    some = sorted(places.values())
    out = np.zeros((len(shafts), 2))
    if some:
        ratios = np.array([(shafts[i].bend_damping, shafts[i].twist_damping) for i in some])
        out[some] = ratios / (math.pi * np.column_stack(bench_frequencies([shafts[i] for i in some])))
    return out[[places[id(shaft)] for shaft in shafts]]
