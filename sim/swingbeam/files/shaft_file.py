"""A shaft's file: what is printed on it, and its profile as stations or as a steel tube."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record
from swingbeam.units import (
    Angle,
    NonNegativeLength,
    PlainNumber,
    PositiveDensity,
    PositiveLength,
    PositiveMass,
    PositiveMassPerLength,
    PositiveModulus,
    PositiveStiffness,
    Quantity,
    show,
)

End = Literal["butt", "tip"]
Shape = Literal["linear", "stepped"]
SAME_PLACE = 1e-4
"""m; two positions closer than this are the same place on a shaft."""
WHY_METAL_HAS_NO_OWN_TORQUE = (
    "one homogeneous metal has one shear modulus, E/(2(1 + ν)), so its GJ is EI/(1 + ν) whatever the diameters: its "
    "torque follows from its stiffness and cannot be chosen (only plies at an angle can do that)"
)
_TORQUE_KEYS = ("gj", "torque", "shear_modulus", "g")
DampingRatio = Annotated[float, Quantity("ratio", at_least=0.0, at_most=0.2)]


class Station(Record):
    """Properties at one distance from the stated end, SI: m, N·m², N·m², kg/m."""

    at: NonNegativeLength = Field(description='the distance from the stated end, such as "5 in"')
    ei: PositiveStiffness = Field(description='the bending stiffness EI, such as "42 N*m^2"')
    gj: PositiveStiffness = Field(description='the torsional stiffness GJ, such as "18 N*m^2"')
    mass: PositiveMassPerLength = Field(description='the mass per length, such as "52 g/m"')
    diameter: Annotated[float, Quantity("length", at_least=0.004, at_most=0.04)] | None = None
    """Outer diameter (m), at every station or at none: then a straight taper down to the parallel tip."""
    step: bool = False
    """True: at the place of the station before, on the other side of a step ("linear" only)."""


class ProfileTable(Record):
    """EI, GJ and mass along the shaft, from one end to the other.

    "linear": straight between stations, the last one at the far end; a step is two stations at one place, the
    second marked `step = true`. "stepped": each station's values hold from there to the next one, the last to
    the far end.
    """

    measured_from: End = Field(description='the end distances are measured from, "butt" or "tip"')
    shape: Shape = "linear"
    stations: tuple[Station, ...] = Field(description="a list of tables with at, ei, gj and mass")


class BandStation(Record):
    """The 95 % band of EI, GJ (N·m²) and mass per length (kg/m) at one distance from the stated end."""

    at: NonNegativeLength = Field(description='the distance from the stated end, such as "5 in"')
    ei_low: PositiveStiffness = Field(description='the lower end of the band of EI, such as "40 N*m^2"')
    ei_high: PositiveStiffness = Field(description='the upper end of the band of EI, such as "44 N*m^2"')
    gj_low: PositiveStiffness = Field(description='the lower end of the band of GJ, such as "17 N*m^2"')
    gj_high: PositiveStiffness = Field(description='the upper end of the band of GJ, such as "19 N*m^2"')
    mass_low: PositiveMassPerLength = Field(description='the lower end of the band of mass, such as "50 g/m"')
    mass_high: PositiveMassPerLength = Field(description='the upper end of the band of mass, such as "54 g/m"')

    @model_validator(mode="after")
    def _check(self) -> BandStation:
        for key in ("ei", "gj", "mass"):
            if getattr(self, f"{key}_low") > getattr(self, f"{key}_high"):
                raise InputError(f"{key}_low: found more than {key}_high; allowed: at most that")
        return self


class BandTable(Record):
    """How sure a profile found from readings is: nothing is computed from it."""

    measured_from: End = Field(description='the end distances are measured from, "butt" or "tip"')
    stations: tuple[BandStation, ...] = Field(description="a list of tables with at and the ends of the bands")


def _refuse_own_torque(data: Any) -> Any:
    """A torque of its own, in a metal tube's table or one of its steps, is refused with the reason."""
    own = next((key for key in _TORQUE_KEYS if isinstance(data, dict) and key in data), None)
    if own is not None:
        raise InputError(f"{own}: found in a metal tube; allowed: none: {WHY_METAL_HAS_NO_OWN_TORQUE}")
    return data


class TubeStep(Record):
    """Outer diameter (m) from one distance on; the wall (m) where it differs from the common one."""

    _own_torque = model_validator(mode="before")(_refuse_own_torque)

    at: NonNegativeLength = Field(description='the distance from the stated end, such as "9.5 in"')
    diameter: PositiveLength = Field(description='the outer diameter, such as "10.6 mm"')
    wall: PositiveLength | None = None


class TubeTable(Record):
    """A metal tube: diameters, wall and material give EI, GJ and mass."""

    _own_torque = model_validator(mode="before")(_refuse_own_torque)

    measured_from: End = Field(description='the end distances are measured from, "butt" or "tip"')
    shape: Shape = "stepped"
    wall: PositiveLength = Field(description='the wall thickness, such as "0.35 mm"')
    modulus: PositiveModulus = Field(description='Young\'s modulus, such as "205 GPa"')
    poisson: Annotated[float, PlainNumber(above=-1.0, below=0.5)] = Field(description="Poisson's ratio, such as 0.29")
    density: PositiveDensity = Field(description='the density, such as "7850 kg/m^3"')
    steps: tuple[TubeStep, ...] = Field(description="a list of tables with at and diameter")

    @model_validator(mode="after")
    def _check_walls(self) -> TubeTable:
        for number, step in enumerate(self.steps, 1):
            wall = self.wall if step.wall is None else step.wall
            if not 2.0 * wall < step.diameter:
                raise InputError(
                    f"steps #{number}: found a wall of {show(wall, 'mm')} in a tube of "
                    f"{show(step.diameter, 'mm')}; allowed: less than half the diameter"
                )
        return self


class DampingTable(Record):
    """Damping ratios (shares of critical) at the first mode of the bench's frequency test and in twist."""

    bend: DampingRatio = 0.01
    twist: DampingRatio = 0.01


class SpineTable(Record):
    """A stiff side: (stiffest − softest)/mean EI; angle (rad) of the stiff plane from the target side."""

    difference: Annotated[float, Quantity("ratio", at_least=0.0, at_most=0.5)] = Field(
        description='(stiffest - softest) / mean EI, such as "2 %"'
    )
    angle: Angle = Field(description='the angle of the stiff plane about the shaft, such as "30 deg"')


class ShaftFile(Record):
    """One shaft as its file states it, SI once read."""

    name: str = Field(min_length=1, description="what the shaft is called")
    maker: str = Field(description="who makes it")
    kind: Literal["driver", "iron"] = Field(description='"driver" or "iron"')
    material: str = Field(description="a label only: the profile decides")
    letter: str = Field(description="the letter flex, a label only: the profile decides")
    raw_length: Annotated[float, Quantity("length", at_least=0.2, at_most=2.0)] = Field(
        description='the uncut length, such as "46 in"'
    )
    butt_diameter: Annotated[float, Quantity("length", at_least=0.004, at_most=0.04)] = Field(
        description='the outer diameter of the butt, such as "15.2 mm"'
    )
    tip_diameter: Annotated[float, Quantity("length", at_least=0.004, at_most=0.04)] = Field(
        description='the outer diameter of the tip, such as "8.5 mm"'
    )
    parallel_tip: NonNegativeLength = Field(
        description='the length of parallel tip, such as "3 in" ("0 in": a taper tip)'
    )
    mass: PositiveMass = Field(description='the uncut mass, such as "62 g"')
    note: str = ""
    damping: DampingTable = DampingTable()
    spine: SpineTable | None = None
    profile: ProfileTable | None = None
    band: BandTable | None = None
    tube: TubeTable | None = None

    @model_validator(mode="after")
    def _check(self) -> ShaftFile:
        if (self.profile is None) == (self.tube is None):
            found = "neither" if self.profile is None else "both"
            raise InputError(f"found {found} of [profile] and [tube]; allowed: one of the two")
        if self.tip_diameter > self.butt_diameter:
            raise InputError(
                f"tip_diameter: found {show(self.tip_diameter, 'mm')}; allowed: at most the butt diameter, "
                f"{show(self.butt_diameter, 'mm')}"
            )
        if self.parallel_tip >= self.raw_length:
            raise InputError("parallel_tip: found the whole shaft or more; allowed: less than raw_length")
        if self.profile is not None:
            _check_profile(self.profile, self.raw_length)
        if self.band is not None:
            _check_band(self.band, self.raw_length)
        if self.tube is not None:
            _check_places("tube.steps", [s.at for s in self.tube.steps], self.tube.shape, self.raw_length)
        return self


def _check_profile(table: ProfileTable, length: float) -> None:
    """Distances as `_check_places`, but for a station marked as the other side of a step."""
    where, stations = "profile.stations", table.stations
    bare = [number for number, station in enumerate(stations, 1) if station.diameter is None]
    if bare and len(bare) < len(stations):
        raise InputError(f"{where} #{bare[0]}.diameter: missing key; needed: a diameter at every station, or at none")
    for number, station in enumerate(stations, 1):
        if not station.step:
            continue
        if table.shape == "stepped":
            raise InputError(
                f'{where} #{number}.step: found true in a "stepped" profile; allowed: in a "linear" one (a '
                "stepped profile steps at every station)"
            )
        inside = 1 < number < len(stations) and not stations[number - 2].step
        if not inside or abs(station.at - stations[number - 2].at) > SAME_PLACE:
            raise InputError(
                f"{where} #{number}.step: found true; allowed: at the place of the station before it, inside the "
                "shaft, two stations a step"
            )
    places = [station.at for station in stations if not station.step]
    _check_places(where, places, table.shape, length)


def _check_band(table: BandTable, length: float) -> None:
    """Distances rise and lie on the shaft; a place may come twice (a step)."""
    places = [station.at for station in table.stations]
    for number, (before, after) in enumerate(pairwise(places), 2):
        if after < before:
            raise InputError(
                f"band.stations #{number}.at: found {show(after, 'in')} after {show(before, 'in')}; "
                "allowed: distances that do not decrease"
            )
    if places and places[-1] > length + SAME_PLACE:
        raise InputError(
            f"band.stations #{len(places)}.at: found {show(places[-1], 'in')}; allowed: up to raw_length "
            f"{show(length, 'in')}"
        )


def _check_places(where: str, places: list[float], shape: str, length: float) -> None:
    """Distances start at 0, increase, and reach the far end (linear) or stay short of it (stepped)."""
    least = 2 if shape == "linear" else 1
    if len(places) < least:
        raise InputError(f"{where}: found {len(places)}; allowed: {least} or more")
    if places[0] > SAME_PLACE:
        raise InputError(f'{where} #1.at: found {show(places[0], "in")}; allowed: the first is at "0 in"')
    for number, (before, after) in enumerate(pairwise(places), 2):
        if after - before <= SAME_PLACE:
            raise InputError(
                f"{where} #{number}.at: found {show(after, 'in')} after {show(before, 'in')}; "
                "allowed: distances that increase"
            )
    last = places[-1]
    if shape == "linear" and abs(last - length) > SAME_PLACE:
        raise InputError(
            f"{where} #{len(places)}.at: found {show(last, 'in')}; allowed: the last is at the far end, "
            f"raw_length {show(length, 'in')}"
        )
    if shape == "stepped" and last >= length - SAME_PLACE:
        raise InputError(
            f"{where} #{len(places)}.at: found {show(last, 'in')}; allowed: less than raw_length "
            f"{show(length, 'in')} (each step holds to the next, the last to the end)"
        )
