"""Cut a raw shaft at its tip and its butt: what is left is a raw shaft again."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from swingbeam.beam.errors import InputError
from swingbeam.shaft.clamped import BENCH_CLAMP, bending_frequency, twist_frequency
from swingbeam.shaft.shaft import Shaft, cut_rows, integrate, outer_diameter
from swingbeam.units import show

SHORTEST = BENCH_CLAMP + 0.1
"""m; a shorter piece cannot be held and swung on the bench, and is no shaft."""


def trimmed(shaft: Shaft, *, tip: float = 0.0, butt: float = 0.0) -> Shaft:
    """The shaft that is left when `tip` and `butt` (m) are cut off its two ends.

    Distances count from the new butt end. The tip trim shortens the parallel tip; past it, the tip is as thick
    as the shaft is there. Mass, stations and diameters are those of the piece. The damping ratios are stated at
    the bench's frequencies, which a cut raises: they rise with them, so that the material's viscosity stays
    (`club.damping`: ratio = viscosity · ω/2).

    Raises
    ------
    InputError
        A trim that is negative or leaves less than `SHORTEST`.
    """
    for name, value in (("tip", tip), ("butt", butt)):
        if not (math.isfinite(value) and value >= 0.0):
            raise InputError(f"{name} trim: found {value!r} m; allowed: a length of at least 0")
    if tip == 0.0 and butt == 0.0:
        return shaft
    start, end = butt, shaft.raw_length - tip
    if end - start < SHORTEST:
        raise InputError(
            f"trim: found {show(tip, 'in', 2)} off the tip and {show(butt, 'in', 2)} off the butt of a shaft of "
            f"{show(shaft.raw_length, 'in', 2)}; allowed: at least {show(SHORTEST, 'in', 2)} left"
        )
    columns = np.column_stack([shaft.ei, shaft.gj, shaft.mass_per_length, shaft.diameter])
    places, rows = cut_rows(shaft.s, columns, start, end)
    s = places - start
    s[-1] = end - start
    piece = replace(
        shaft,
        raw_length=float(s[-1]),
        butt_diameter=float(rows[0, 3]) if butt > 0.0 else shaft.butt_diameter,
        tip_diameter=float(outer_diameter(shaft, end)) if tip > 0.0 else shaft.tip_diameter,
        parallel_tip=max(shaft.parallel_tip - tip, 0.0),
        mass=integrate(shaft, start, end)[0],
        s=s,
        ei=rows[:, 0],
        gj=rows[:, 1],
        mass_per_length=rows[:, 2],
        diameter=rows[:, 3],
    )
    bend = shaft.bend_damping
    twist = shaft.twist_damping
    if bend > 0.0:
        bend *= bending_frequency(piece) / bending_frequency(shaft)
    if twist > 0.0:
        twist *= twist_frequency(piece) / twist_frequency(shaft)
    return replace(piece, bend_damping=bend, twist_damping=twist)
