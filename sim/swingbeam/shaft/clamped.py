"""What a raw shaft does when its butt is clamped: bending frequency, twist compliance, twist frequency."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam import TipBody, natural_frequencies
from swingbeam.shaft.shaft import Shaft, cut, cut_stations

BENCH_CLAMP = 5.0 * 0.0254
"""m of the butt held; common practice, no source."""
BENCH_TIP_MASS = 0.205
"""kg at the tip end; common practice, no source."""
BENCH_TWIST_INERTIA = 5.0e-4
"""kg·m² about the shaft axis at the tip end: about a driver head's (from memory)."""


@lru_cache(maxsize=1024)
def bending_frequency(shaft: Shaft, clamp: float = BENCH_CLAMP, tip_mass: float = BENCH_TIP_MASS) -> float:
    """First bending frequency, Hz: butt held over `clamp` (m), a point mass (kg) at the tip end, no gravity.

    With a spine the softer plane is read: it has the lower frequency. Remembered per shaft: the bench, the
    damping and the tables ask for the same number.
    """
    profile = cut(shaft, clamp, shaft.raw_length)
    # `curvature` has 20 unknowns where `elements` has 200: converged further, and many times quicker.
    return float(natural_frequencies(profile, TipBody(tip_mass), count=1, solver="curvature")[0])


def bench_frequencies(
    shafts: Sequence[Shaft],
    clamp: float = BENCH_CLAMP,
    tip_mass: float = BENCH_TIP_MASS,
    tip_inertia: float = BENCH_TWIST_INERTIA,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(k,) Hz each: `bending_frequency` and `twist_frequency` of many shafts, compiled; the same to round-off."""
    from swingbeam.beam.many import bending_frequencies  # compiles, where studies ask for it

    blocks = [cut_stations(shaft, clamp, shaft.raw_length) for shaft in shafts]
    compliance = np.array([_compliance(block) for block in blocks])
    return bending_frequencies(blocks, tip_mass), 1.0 / (2.0 * math.pi * np.sqrt(compliance * tip_inertia))


def twist_compliance(shaft: Shaft, start: float, end: float) -> float:
    """∫ ds/GJ between two distances (m) from the butt, rad/(N·m); exact for GJ linear between stations.

    A linear piece from a to b over the length h gives h ln(b/a)/(b − a) (elementary integral).
    """
    return _compliance(cut_stations(shaft, start, end))


def _compliance(block: NDArray[np.float64]) -> float:
    """The same of a piece's stations."""
    left, length = block[:-1, 3], np.diff(block[:, 0])
    change = np.diff(block[:, 3]) / left
    nearly_uniform = np.abs(change) < 1e-8
    some = np.where(nearly_uniform, 1.0, change)
    factor = np.where(nearly_uniform, 1.0 - 0.5 * change, np.log1p(some) / some)
    return float(np.sum(length / left * factor))


def twist_frequency(shaft: Shaft, clamp: float = BENCH_CLAMP, tip_inertia: float = BENCH_TWIST_INERTIA) -> float:
    """First torsional frequency, Hz: butt held over `clamp` (m), an inertia (kg·m²) at the tip end.

    One degree of freedom, ω² = 1/(C J) with C the twist compliance: the shaft's own polar inertia is some
    thousandths of the tip's.
    """
    return 1.0 / (2.0 * math.pi * math.sqrt(twist_compliance(shaft, clamp, shaft.raw_length) * tip_inertia))
