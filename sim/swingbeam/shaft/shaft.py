"""The shaft: stiffness and mass along the raw length, and what is printed on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swingbeam.beam import Profile
from swingbeam.beam.errors import InputError
from swingbeam.files.shaft_file import SAME_PLACE, ProfileTable, ShaftFile, SpineTable, TubeTable
from swingbeam.shaft.tube import tube_stiffness
from swingbeam.units import show

Array = NDArray[np.float64]

MASS_TOLERANCE = 0.05
"""The profile's mass is scaled to the stated one when they differ by up to this share, refused beyond."""
_SNAP = 1e-9
"""m; a cut this close to a station is at the station."""


@dataclass(frozen=True)
class Spine:
    """A shaft's stiff side.

    Attributes
    ----------
    difference : float
        (stiffest EI − softest EI)/mean EI.
    angle : float, rad
        Of the stiff plane about the shaft axis, from the target side toward the toe.
    """

    difference: float
    angle: float


@dataclass(frozen=True, eq=False)
class Shaft:
    """A raw, uncut shaft; SI. Letter flex and material are labels: nothing is computed from them.

    Attributes
    ----------
    name, maker, letter, material, note : str
    kind : "driver" or "iron"
    raw_length, butt_diameter, tip_diameter, parallel_tip : float, m
    mass : float, kg
    s : (n,) m from the butt; a station given twice is a step
    ei, gj : (n,) N·m², linear between stations (`ei` the mean of the principal planes)
    mass_per_length : (n,) kg/m
    diameter : (n,) m, outer
    bend_damping, twist_damping : float
        Damping ratios at the first mode of the bench's frequency test, and in twist (see `club.damping`).
    spine : Spine or None
    """

    name: str
    maker: str
    letter: str
    material: str
    kind: str
    raw_length: float
    butt_diameter: float
    tip_diameter: float
    parallel_tip: float
    mass: float
    s: Array
    ei: Array
    gj: Array
    mass_per_length: Array
    diameter: Array
    bend_damping: float
    twist_damping: float
    spine: Spine | None = None
    note: str = ""

    def __post_init__(self) -> None:
        for name in ("s", "ei", "gj", "mass_per_length", "diameter"):
            array = np.array(getattr(self, name), dtype=float)
            array.setflags(write=False)
            object.__setattr__(self, name, array)

    @property
    def profile(self) -> Profile:
        """The whole raw shaft, butt to tip."""
        return cut(self, 0.0, self.raw_length)


def shaft_from_file(record: ShaftFile) -> Shaft:
    """A shaft from its file's record.

    Raises
    ------
    InputError
        The mass of the profile differs from the stated mass by more than `MASS_TOLERANCE`.
    """
    if record.tube is not None:
        s, ei, gj, mass, diameter = _of_tube(record.tube, record.raw_length)
    elif record.profile is not None:
        s, ei, gj, mass, stated = _of_stations(record.profile, record.raw_length)
        diameter = _tapered_diameter(s, record) if stated is None else stated
    else:
        raise InputError("found neither [profile] nor [tube]")
    return Shaft(
        name=record.name,
        maker=record.maker,
        letter=record.letter,
        material=record.material,
        kind=record.kind,
        raw_length=record.raw_length,
        butt_diameter=record.butt_diameter,
        tip_diameter=record.tip_diameter,
        parallel_tip=record.parallel_tip,
        mass=record.mass,
        s=s,
        ei=ei,
        gj=gj,
        mass_per_length=mass * _mass_factor(s, mass, record.mass),
        diameter=diameter,
        bend_damping=record.damping.bend,
        twist_damping=record.damping.twist,
        spine=_spine(record.spine),
        note=record.note,
    )


def _spine(table: SpineTable | None) -> Spine | None:
    return None if table is None or table.difference == 0.0 else Spine(table.difference, table.angle)


def _mass_factor(s: Array, mass_per_length: Array, stated: float) -> float:
    found = float(np.sum(0.5 * (mass_per_length[1:] + mass_per_length[:-1]) * np.diff(s)))
    factor = stated / found
    if abs(factor - 1.0) > MASS_TOLERANCE:
        raise InputError(
            f"mass: found {show(stated, 'g')} stated and {show(found, 'g', 1)} in the profile; "
            f"allowed: within {MASS_TOLERANCE:.0%} (the profile is then scaled to the stated mass)"
        )
    return factor


def _of_stations(table: ProfileTable, length: float) -> tuple[Array, Array, Array, Array, Array | None]:
    """Stations, EI, GJ, mass per length, and the diameter where the stations state it."""
    rows = np.array([[p.at, p.ei, p.gj, p.mass, p.diameter or 0.0] for p in table.stations])
    for i, station in enumerate(table.stations):
        if station.step:
            rows[i, 0] = rows[i - 1, 0]
    at, values = _laid_out(rows[:, 0], rows[:, 1:], table.shape, table.measured_from, length)
    stated = values[:, 3] if table.stations[0].diameter is not None else None
    return at, values[:, 0], values[:, 1], values[:, 2], stated


def _of_tube(table: TubeTable, length: float) -> tuple[Array, Array, Array, Array, Array]:
    rows = np.array([[p.at, p.diameter, table.wall if p.wall is None else p.wall] for p in table.steps])
    at, values = _laid_out(rows[:, 0], rows[:, 1:], table.shape, table.measured_from, length)
    if table.shape == "linear":
        # EI grows with the third power of the diameter: between closer stations it is nearly straight.
        fine = np.unique(np.concatenate([at, np.linspace(0.0, length, 201)]))
        values = np.column_stack([np.interp(fine, at, column) for column in values.T])
        at = fine
    ei, gj, mass = tube_stiffness(values[:, 0], values[:, 1], table.modulus, table.poisson, table.density)
    return at, ei, gj, mass, values[:, 0]


def _laid_out(at: Array, values: Array, shape: str, measured_from: str, length: float) -> tuple[Array, Array]:
    """Stations from the butt with a value on each side of every step."""
    places = at.copy()
    places[0] = 0.0
    if shape == "linear":
        places[-1] = length
        rows = values
    else:
        ends = np.append(places[1:], length)
        places = np.column_stack([places, ends]).ravel()
        rows = np.repeat(values, 2, axis=0)
    if measured_from == "tip":
        places, rows = length - places[::-1], rows[::-1]
        places[0], places[-1] = 0.0, length
    return places, rows


def _tapered_diameter(s: Array, record: ShaftFile) -> Array:
    """Outer diameter of a shaft given by stations: a straight taper, then the parallel tip."""
    knots = [0.0, record.raw_length - record.parallel_tip, record.raw_length]
    return np.interp(s, knots, [record.butt_diameter, record.tip_diameter, record.tip_diameter])


def outer_diameter(shaft: Shaft, places: ArrayLike) -> Array:
    """Outer diameter (m) at distances (m) from the butt; the tip's along the parallel tip.

    `Shaft.diameter` holds it at the stations, which need not lie where the taper meets the parallel tip.
    """
    knot = shaft.raw_length - shaft.parallel_tip
    before = shaft.s < knot - SAME_PLACE
    s = np.append(shaft.s[before], [knot, shaft.raw_length])
    diameter = np.append(shaft.diameter[before], [shaft.tip_diameter] * 2)
    return np.asarray(np.interp(np.asarray(places, dtype=float), s, diameter))


def cut_rows(s: Array, columns: Array, start: float, end: float) -> tuple[Array, Array]:
    """Rows of a piecewise linear table between two places, with the right side at the start of a step."""
    # The side of a step that lies inside the piece: the last station at the start, the first at the end.
    after, before = int(s.searchsorted(start + _SNAP, side="right")), int(s.searchsorted(end - _SNAP, side="left"))
    inner = max(before - after, 0)
    places, rows = np.empty(inner + 2), np.empty((inner + 2, columns.shape[1]))
    places[0], places[1:-1], places[-1] = start, s[after : after + inner], end
    rows[0] = _between(s, columns, min(after - 1, s.size - 2), start)
    rows[1:-1] = columns[after : after + inner]
    rows[-1] = _between(s, columns, max(before - 1, 0), end)
    return places, rows


def _between(s: Array, columns: Array, i: int, place: float) -> Array:
    share = (place - s[i]) / (s[i + 1] - s[i])
    return np.asarray(columns[i] + share * (columns[i + 1] - columns[i]))


def cut(shaft: Shaft, start: float, end: float) -> Profile:
    """The piece of a shaft between two distances from the butt, as a beam from `start` (root) to `end` (tip).

    Parameters
    ----------
    start, end : float, m from the butt, 0 ≤ start < end ≤ raw length

    Notes
    -----
    Polar rotary inertia per length is that of a thin tube of the outer diameter, m D²/4.

    Raises
    ------
    InputError
        The piece does not lie on the shaft.
    """
    block = cut_stations(shaft, start, end)
    return Profile(
        s=block[:, 0],
        ei=block[:, 1:3],
        gj=block[:, 3],
        mass=block[:, 4],
        rotary=block[:, 5],
        spine_angle=0.0 if shaft.spine is None else shaft.spine.angle,
    )


def cut_stations(shaft: Shaft, start: float, end: float) -> Array:
    """The stations (n, 6) of such a piece: s (m), EI of the stiff and of the soft plane, GJ (N·m²), mass (kg/m), polar
    rotary inertia (kg·m); as of `beam.many.stations_of`.

    Raises
    ------
    InputError
        The piece does not lie on the shaft.
    """
    if not (0.0 <= start < end - 1e-6 and end <= shaft.raw_length + _SNAP):
        raise InputError(
            f"found a piece from {show(start, 'in', 2)} to {show(end, 'in', 2)} of the butt; allowed: within "
            f"the raw length, {show(shaft.raw_length, 'in', 2)}"
        )
    rotary = shaft.mass_per_length * shaft.diameter**2 / 4.0
    half = 0.0 if shaft.spine is None else 0.5 * shaft.spine.difference
    stiff, soft = shaft.ei * (1.0 + half), shaft.ei * (1.0 - half)
    columns = np.column_stack([stiff, soft, shaft.gj, shaft.mass_per_length, rotary])
    places, rows = cut_rows(shaft.s, columns, start, min(end, shaft.raw_length))
    return np.column_stack([places - start, rows])


def integrate(shaft: Shaft, start: float, end: float) -> tuple[float, float, float]:
    """Mass (kg), centre of mass (m from the butt) and second moment about it (kg·m²) of a piece of a shaft.

    Exact for a mass per length linear between stations.
    """
    places, rows = cut_rows(shaft.s, shaft.mass_per_length[:, None], start, end)
    a, m0, m1 = places[:-1], rows[:-1, 0], rows[1:, 0]
    h, change = places[1:] - a, m1 - m0
    half = 0.5 * h
    mass = float((half * (m0 + m1)).sum())
    # ∫ m x dx and ∫ m x² dx over each linear piece by Gauss' two-point rule, exact to the third power.
    g = 0.5 / np.sqrt(3.0)
    first = second = 0.0
    for share in (0.5 - g, 0.5 + g):
        x = a + share * h
        moment = half * (m0 + share * change) * x
        first += float(moment.sum())
        second += float((moment * x).sum())
    centre = first / mass
    return mass, centre, max(second - mass * centre**2, 0.0)


def scale(shaft: Shaft, *, ei: float = 1.0, gj: float = 1.0, mass: float = 1.0) -> Shaft:
    """The same shaft with its bending and torsional stiffness or its mass multiplied everywhere, for studies.

    Raises
    ------
    InputError
        A factor that is not positive and finite.
    """
    for name, factor in (("ei", ei), ("gj", gj), ("mass", mass)):
        if not (np.isfinite(factor) and factor > 0.0):
            raise InputError(f"scale: {name} is {factor!r}; allowed: a positive finite factor")
    return replace(
        shaft,
        ei=shaft.ei * ei,
        gj=shaft.gj * gj,
        mass=shaft.mass * mass,
        mass_per_length=shaft.mass_per_length * mass,
    )
