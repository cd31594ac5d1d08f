"""A lay-up: plies wound on a tapered mandrel, and the shaft they make."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.files.layup_file import LayupFile, MaterialTable, PlyTable
from swingbeam.shaft.laminate import PlyMaterial, metal_ply, reduced_stiffness, turned_stiffness
from swingbeam.shaft.shaft import Shaft
from swingbeam.shaft.wound_tube import WoundSections, wound_sections
from swingbeam.units import show

Array = NDArray[np.float64]

STATION_STEP = 0.5 * 0.0254
"""m between stations at most: EI of a shaft's taper bends so little over it that straight lines err by 3e-5."""
PARALLEL_PLAY = 0.1e-3
"""m by which the outer diameter may change along what is called parallel; common practice, no source."""
PULL = 400.0
"""N, about the pull of a 200 g head at 47 m/s on a circle of 1.1 m."""
MOST_PULL_TWIST = math.radians(0.1)
"""rad of twist under `PULL` over the whole shaft beyond which a lay-up is refused."""
_SAME = 1e-9


@dataclass(frozen=True)
class Ply:
    """A sheet wound on at its turn, distances from the butt; SI.

    Attributes
    ----------
    name : str
    material : PlyMaterial
    angle : rad; `pair`: +angle and −angle alternate wrap by wrap
    start, end : m from the butt, start < end
    start_wraps, end_wraps : turns there, straight between
    start_taper, end_taper : m over which the ply grows from nothing at each end
    """

    name: str
    material: PlyMaterial
    angle: float
    pair: bool
    start: float
    end: float
    start_wraps: float
    end_wraps: float
    start_taper: float
    end_taper: float

    def wraps_at(self, s: Array) -> Array:
        """(n,) turns at distances s (m) from the butt that lie on the ply; fractions are spread round the shaft."""
        wraps = np.interp(s, [self.start, self.end], [self.start_wraps, self.end_wraps])
        share = np.ones_like(s)
        if self.start_taper > 0.0:
            share = np.minimum(share, (s - self.start) / self.start_taper)
        if self.end_taper > 0.0:
            share = np.minimum(share, (self.end - s) / self.end_taper)
        return np.asarray(wraps * np.clip(share, 0.0, 1.0))


@dataclass(frozen=True, eq=False)
class Layup:
    """What a shaft is wound of; SI, distances from the butt.

    Attributes
    ----------
    name, maker, kind, letter, material, note : labels, as of a `Shaft`
    raw_length, parallel_tip : m
    mandrel_s, mandrel_diameter : (n,) m, straight between
    plies : from the inside to the outside
    bend_damping, twist_damping : as of a `Shaft`
    """

    name: str
    maker: str
    kind: str
    letter: str
    material: str
    note: str
    raw_length: float
    parallel_tip: float
    mandrel_s: Array
    mandrel_diameter: Array
    plies: tuple[Ply, ...]
    bend_damping: float
    twist_damping: float


def layup_from_file(record: LayupFile) -> Layup:
    """A lay-up from its file's record."""
    length, flip = record.raw_length, record.measured_from == "tip"
    places = np.array([station.at for station in record.mandrel])
    places[0], places[-1] = 0.0, length
    diameters = np.array([station.diameter for station in record.mandrel])
    if flip:
        places, diameters = length - places[::-1], diameters[::-1]
    materials = materials_from_file(record)
    return Layup(
        name=record.name,
        maker=record.maker,
        kind=record.kind,
        letter=record.letter,
        material=record.material,
        note=record.note,
        raw_length=length,
        parallel_tip=record.parallel_tip,
        mandrel_s=places,
        mandrel_diameter=diameters,
        plies=tuple(ply_from_table(ply, materials, length, flip) for ply in record.plies),
        bend_damping=record.damping.bend,
        twist_damping=record.damping.twist,
    )


def materials_from_file(record: LayupFile) -> dict[str, PlyMaterial]:
    """Name → material of a lay-up's file."""
    return {name: _material(name, table) for name, table in record.materials.items()}


def _material(name: str, table: MaterialTable) -> PlyMaterial:
    if table.modulus is not None and table.poisson is not None:
        return metal_ply(name, table.modulus, table.poisson, table.density, table.thickness)
    constants = (table.e1 or 0.0, table.e2 or 0.0, table.g12 or 0.0, table.nu12 or 0.0)
    return PlyMaterial(name, *constants, density=table.density, thickness=table.thickness)


def ply_from_table(table: PlyTable, materials: dict[str, PlyMaterial], length: float, from_tip: bool) -> Ply:
    """A ply, its distances turned to count from the butt."""
    start = 0.0 if table.start is None else table.start
    end = length if table.end is None else min(table.end, length)
    first = table.wraps if table.start_wraps is None else table.start_wraps
    last = table.wraps if table.end_wraps is None else table.end_wraps
    ply = Ply(
        name=table.name,
        material=materials[table.material],
        angle=table.angle,
        pair=table.pair,
        start=start,
        end=end,
        start_wraps=first or 0.0,
        end_wraps=last or 0.0,
        start_taper=table.start_taper,
        end_taper=table.end_taper,
    )
    if not from_tip:
        return ply
    return replace(
        ply,
        start=length - end,
        end=length - start,
        start_wraps=ply.end_wraps,
        end_wraps=ply.start_wraps,
        start_taper=ply.end_taper,
        end_taper=ply.start_taper,
    )


@dataclass(frozen=True, eq=False)
class WoundStations:
    """A lay-up along the shaft: `s` (n,) m from the butt, a place given twice is a step; sections there."""

    s: Array
    sections: WoundSections


def wind(layup: Layup) -> WoundStations:
    """Wind the plies, one after the other, each on what lies beneath it, and take the tube's section everywhere.

    Raises
    ------
    InputError
        A place of the shaft that no ply covers.
    """
    s, thicknesses, stiffnesses, densities = _layers(layup)
    bare = thicknesses.sum(axis=0) <= 0.0
    if np.any(bare):
        place = show(float(layup.raw_length - s[bare][0]), "in", 2)
        raise InputError(f"plies: found none {place} from the tip; allowed: at least one ply everywhere")
    radius = 0.5 * np.interp(s, layup.mandrel_s, layup.mandrel_diameter)
    return WoundStations(s, wound_sections(radius, thicknesses, stiffnesses, densities))


def _stretches(layup: Layup) -> list[tuple[float, float]]:
    """Stretches of the shaft between places where a ply or the mandrel's taper starts, ends or changes."""
    places = [*layup.mandrel_s, *_pair_seams(layup)]
    for ply in layup.plies:
        places += [ply.start, ply.start + ply.start_taper, ply.end - ply.end_taper, ply.end]
    kept = [0.0]
    for place in sorted(places):
        if _SAME < place < layup.raw_length - _SAME and place - kept[-1] > 1e-6:
            kept.append(place)
    return list(zip(kept, [*kept[1:], layup.raw_length], strict=True))


def _pair_seams(layup: Layup) -> list[float]:
    """Places where the turns of a pair pass a whole number: from there a sheet lies on the next."""
    places = []
    for ply in layup.plies:
        low, high = sorted((ply.start_wraps, ply.end_wraps))
        if ply.pair and high > low:
            for whole in range(math.ceil(low), math.floor(high) + 1):
                share = (whole - ply.start_wraps) / (ply.end_wraps - ply.start_wraps)
                places.append(ply.start + share * (ply.end - ply.start))
    return places


def _layers(layup: Layup) -> tuple[Array, Array, Array, Array]:
    """Stations (n,), thickness of every layer there (k, n), Q̄ (k, 3, 3) and density (k,) of the layers."""
    points, owners = [], []
    for a, b in _stretches(layup):
        count = max(math.ceil((b - a) / STATION_STEP), 1) + 1
        points.append(np.linspace(a, b, count))
        owners.append(np.full(count, 0.5 * (a + b)))
    s, middle = np.concatenate(points), np.concatenate(owners)
    rows, stiffnesses, densities = [], [], []
    for ply in layup.plies:
        # At the ends of a stretch a ply is there or not as it is inside the stretch.
        wraps = np.where((ply.start < middle) & (middle < ply.end), ply.wraps_at(s), 0.0)
        plain = reduced_stiffness(ply.material)
        for turn in range(max(math.ceil(float(wraps.max()) - _SAME), 1) if ply.pair else 1):
            thickness = ply.material.thickness * (np.clip(wraps - turn, 0.0, 1.0) if ply.pair else wraps)
            for angle in (ply.angle, -ply.angle) if ply.pair else (ply.angle,):
                rows.append(thickness)
                stiffnesses.append(turned_stiffness(plain, angle))
                densities.append(ply.material.density)
    return _without_doubles(s, np.array(rows), np.array(stiffnesses), np.array(densities))


def _without_doubles(s: Array, rows: Array, stiffnesses: Array, densities: Array) -> tuple[Array, Array, Array, Array]:
    """Stretches meet at a place given twice: once is enough where nothing steps."""
    same = (np.diff(s) <= _SAME) & (np.abs(np.diff(rows, axis=1)).max(axis=0) <= 1e-9 * rows.max())
    kept = np.concatenate([[True], ~same])
    return s[kept], rows[:, kept], stiffnesses, densities


def pull_twist(wound: WoundStations, pull: float = PULL) -> float:
    """Twist of the whole shaft under an axial pull (N), rad, its sizes added along the shaft (see `WoundSections`)."""
    rate = np.abs(wound.sections.pull_twist)
    return float(pull * np.sum(0.5 * (rate[1:] + rate[:-1]) * np.diff(wound.s)))


def shaft_from_layup(layup: Layup) -> Shaft:
    """The shaft a lay-up makes; fractional wraps are smeared, so it has no spine.

    Raises
    ------
    InputError
        A place without plies, a tip that is not parallel where it is said to be, a butt thinner than the tip, or a
        lay-up so unbalanced that the pull of the head would twist it, which the beam of the swing, which does not
        stretch, cannot show.
    """
    wound = wind(layup)
    twist = pull_twist(wound)
    if twist > MOST_PULL_TWIST:
        raise InputError(
            f"plies: found an unbalanced lay-up: pulled by {PULL:.0f} N, as by a driver head, it twists by "
            f"{show(twist, 'deg', 2)} over its length, and the beam of the swing does not carry pull over to twist; "
            f"allowed: up to {show(MOST_PULL_TWIST, 'deg')}: give every +angle its −angle (pair = true)"
        )
    sections, s = wound.sections, wound.s
    _check_diameters(layup, s, sections.diameter)
    mass = float(np.sum(0.5 * (sections.mass_per_length[1:] + sections.mass_per_length[:-1]) * np.diff(s)))
    return Shaft(
        name=layup.name,
        maker=layup.maker,
        letter=layup.letter,
        material=layup.material,
        kind=layup.kind,
        raw_length=layup.raw_length,
        butt_diameter=float(sections.diameter[0]),
        tip_diameter=float(sections.diameter[-1]),
        parallel_tip=layup.parallel_tip,
        mass=mass,
        s=s,
        ei=sections.ei,
        gj=sections.gj,
        mass_per_length=sections.mass_per_length,
        diameter=sections.diameter,
        bend_damping=layup.bend_damping,
        twist_damping=layup.twist_damping,
        note=layup.note,
    )


def _check_diameters(layup: Layup, s: Array, diameter: Array) -> None:
    if diameter[-1] > diameter[0]:
        raise InputError(
            f"plies: found an outer diameter of {show(float(diameter[-1]), 'mm', 2)} at the tip and "
            f"{show(float(diameter[0]), 'mm', 2)} at the butt; allowed: at most the butt's at the tip"
        )
    parallel = diameter[s >= layup.raw_length - layup.parallel_tip - _SAME]
    change = float(parallel.max() - parallel.min())
    if change > PARALLEL_PLAY:
        raise InputError(
            f"parallel_tip: found an outer diameter that changes by {show(change, 'mm', 2)} over "
            f"{show(layup.parallel_tip, 'in')} of the tip; allowed: up to {show(PARALLEL_PLAY, 'mm')} (shorten "
            "parallel_tip, or make mandrel and plies even there)"
        )
