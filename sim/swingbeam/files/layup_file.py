"""A lay-up's file: mandrel, materials, and plies in the order they are wound; or another lay-up with plies swapped."""

from __future__ import annotations

import os
from collections.abc import Mapping
from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record, display_path, load_toml, parse_table, read_text
from swingbeam.files.shaft_file import SAME_PLACE, WHY_METAL_HAS_NO_OWN_TORQUE, DampingTable, End
from swingbeam.units import (
    Angle,
    NonNegativeLength,
    PlainNumber,
    PositiveDensity,
    PositiveLength,
    PositiveModulus,
    Quantity,
    nearest,
    show,
)

Wraps = Annotated[float, PlainNumber(at_least=0.0, at_most=100.0)]


class MandrelStation(Record):
    """Diameter (m) of the mandrel at one distance from the stated end."""

    at: NonNegativeLength = Field(description='the distance from the stated end, such as "5 in"')
    diameter: PositiveLength = Field(description='the diameter of the mandrel there, such as "6.2 mm"')


class MaterialTable(Record):
    """A ply's material, as cured: fibres in resin (e1, e2, g12, nu12), or a metal (modulus, poisson). SI once read."""

    e1: PositiveModulus | None = None
    e2: PositiveModulus | None = None
    g12: PositiveModulus | None = None
    nu12: Annotated[float, PlainNumber(above=-1.0, below=10.0)] | None = None
    modulus: PositiveModulus | None = None
    poisson: Annotated[float, PlainNumber(above=-1.0, below=0.5)] | None = None
    density: PositiveDensity = Field(description='the density, such as "1550 kg/m^3"')
    thickness: Annotated[float, Quantity("length", above=0.0, at_most=0.005)] = Field(
        description='the cured thickness of one wrap, such as "0.12 mm"'
    )

    @property
    def is_metal(self) -> bool:
        """Whether it is stated as a homogeneous metal."""
        return self.modulus is not None

    @model_validator(mode="after")
    def _check(self) -> MaterialTable:
        fibre = {key: getattr(self, key) for key in ("e1", "e2", "g12", "nu12")}
        if self.modulus is not None or self.poisson is not None:
            own = [key for key, value in fibre.items() if value is not None]
            if own:
                raise InputError(f"{own[0]}: found beside a metal's modulus or poisson; {WHY_METAL_HAS_NO_OWN_TORQUE}")
            missing = [key for key in ("modulus", "poisson") if getattr(self, key) is None]
            wanted = "modulus and poisson"
        else:
            missing = [key for key, value in fibre.items() if value is None]
            wanted = "e1, e2, g12 and nu12 of plies, or modulus and poisson of a metal"
        if missing:
            raise InputError(f"{missing[0]}: missing key; needed: {wanted}")
        return self


class PlyTable(Record):
    """One sheet, wound on at its turn; SI once read.

    Attributes
    ----------
    angle : of the fibres to the shaft's axis; seen from the butt, + winds clockwise toward the tip
    pair : two sheets, at +angle and at −angle, wound together: they alternate wrap by wrap
    wraps : turns round the shaft; a fraction is spread evenly round it, as a ply of that share of the thickness.
        `start_wraps` and `end_wraps`, straight between them, instead
    start, end : where it lies, from the stated end of the shaft; the whole length if not given
    start_taper, end_taper : length over which the slanted edge of the sheet lets it grow from nothing
    """

    name: str = Field(min_length=1, description="what the ply is called")
    material: str = Field(min_length=1, description="the name of one of the [materials]")
    angle: Angle = Field(description='the angle of the fibres to the shaft, such as "45 deg"')
    pair: bool = False
    wraps: Wraps | None = None
    start_wraps: Wraps | None = None
    end_wraps: Wraps | None = None
    start: NonNegativeLength | None = None
    end: NonNegativeLength | None = None
    start_taper: NonNegativeLength = 0.0
    end_taper: NonNegativeLength = 0.0

    @model_validator(mode="after")
    def _check(self) -> PlyTable:
        ends = (self.start_wraps is not None) + (self.end_wraps is not None)
        if (self.wraps is None) != (ends == 2) or ends == 1:
            raise InputError("allowed: wraps, or start_wraps and end_wraps; found neither or a mixture")
        if max(self.wraps or 0.0, self.start_wraps or 0.0, self.end_wraps or 0.0) == 0.0:
            raise InputError("wraps: found 0; allowed: above 0, such as 1 or 1.5")
        return self


class LayupFile(Record):
    """One lay-up as its file states it, SI once read."""

    name: str = Field(min_length=1, description="what the shaft is called")
    maker: str = Field(description="who makes it")
    kind: Literal["driver", "iron"] = Field(description='"driver" or "iron"')
    material: str = "graphite"
    letter: str = Field(description="the letter flex, a label only: the plies decide")
    raw_length: Annotated[float, Quantity("length", at_least=0.2, at_most=2.0)] = Field(
        description='the uncut length, such as "46 in"'
    )
    parallel_tip: NonNegativeLength = Field(description='the length of parallel tip, such as "3 in"')
    measured_from: End = Field(description='the end distances are measured from, "butt" or "tip"')
    note: str = ""
    damping: DampingTable = DampingTable()
    mandrel: tuple[MandrelStation, ...] = Field(description="a list of tables with at and diameter")
    materials: dict[str, MaterialTable] = Field(description="tables [materials.NAME]")
    plies: tuple[PlyTable, ...] = Field(min_length=1, description="tables [[plies]] in the order they are wound")

    @model_validator(mode="after")
    def _check(self) -> LayupFile:
        if self.parallel_tip >= self.raw_length:
            raise InputError("parallel_tip: found the whole shaft or more; allowed: less than raw_length")
        _check_mandrel(self.mandrel, self.raw_length)
        names = [ply.name for ply in self.plies]
        for number, ply in enumerate(self.plies, 1):
            where = f"plies #{number}"
            if names.count(ply.name) > 1:
                raise InputError(f'{where}.name: found "{ply.name}" twice; allowed: a name of its own for each ply')
            check_ply(ply, where, self.materials, self.raw_length)
        return self


class SwapTable(Record):
    """Plies out, plies in, and whose modulus along the fibres is raised until the bench frequency is back."""

    plies_out: tuple[str, ...] = Field(min_length=1, description="names of plies of the base lay-up")
    plies_in: tuple[PlyTable, ...] = Field(
        min_length=1, description="tables [[swap.plies_in]], wound where the first of plies_out was"
    )
    raise_e1_of: str = Field(min_length=1, description="the name of the material whose e1 is solved for")


class SwappedLayupFile(Record):
    """A lay-up stated as another one and what is swapped in it; what is not stated is the base's."""

    name: str = Field(min_length=1, description="what the shaft is called")
    base: str = Field(min_length=1, description="name or path of the lay-up that is changed")
    note: str = ""
    swap: SwapTable = Field(description="a table [swap] with plies_out, plies_in and raise_e1_of")


_TELLING_KEYS = ("plies", "mandrel", "materials", "base", "swap")
"""Keys that a lay-up's file has and no other."""


def is_layup_file(path: str | os.PathLike[str]) -> bool:
    """Whether a file states a lay-up. Raises InputError when it cannot be read as TOML."""
    table = load_toml(read_text(path), source=display_path(path))
    return any(key in table for key in _TELLING_KEYS)


def read_layup_file(path: str | os.PathLike[str]) -> LayupFile | SwappedLayupFile:
    """Read a lay-up file, of either form. Raises InputError as `read_toml`."""
    source = display_path(path)
    table: dict[str, Any] = load_toml(read_text(path), source=source)
    if "base" in table or "swap" in table:
        return parse_table(table, SwappedLayupFile, source=source)
    return parse_table(table, LayupFile, source=source)


def check_ply(ply: PlyTable, where: str, materials: Mapping[str, MaterialTable], length: float) -> None:
    """Material known, the angle one a material can have, and the sheet on the shaft."""
    material = materials.get(ply.material)
    if material is None:
        guess = nearest(ply.material, list(materials))
        hint = f'; did you mean "{guess}"?' if guess else ""
        raise InputError(
            f'{where}.material: found "{ply.material}"; allowed: one of [materials]: {", ".join(materials)}{hint}'
        )
    if material.is_metal and (ply.pair or ply.angle != 0.0):
        raise InputError(
            f'{where}.angle: found an angle or a pair of "{ply.material}", a metal; allowed: "0 deg", no pair: '
            f"{WHY_METAL_HAS_NO_OWN_TORQUE}"
        )
    start = 0.0 if ply.start is None else ply.start
    end = length if ply.end is None else ply.end
    if end > length + SAME_PLACE:
        raise InputError(f"{where}.end: found {show(end, 'in')}; allowed: at most the raw length, {show(length, 'in')}")
    room = end - start - ply.start_taper - ply.end_taper
    if end - start <= SAME_PLACE or room < -SAME_PLACE:
        raise InputError(
            f"{where}: found {show(start, 'in')} to {show(end, 'in')} with tapers of {show(ply.start_taper, 'in')} "
            f"and {show(ply.end_taper, 'in')}; allowed: an end beyond the start, and tapers that fit between"
        )


def _check_mandrel(stations: tuple[MandrelStation, ...], length: float) -> None:
    if len(stations) < 2:
        raise InputError(f"mandrel: found {len(stations)} stations; allowed: 2 or more")
    if stations[0].at > SAME_PLACE:
        raise InputError(f'mandrel #1.at: found {show(stations[0].at, "in")}; allowed: the first is at "0 in"')
    for number, (before, after) in enumerate(pairwise(stations), 2):
        if after.at - before.at <= SAME_PLACE:
            raise InputError(
                f"mandrel #{number}.at: found {show(after.at, 'in')} after {show(before.at, 'in')}; allowed: "
                "distances that increase"
            )
    if abs(stations[-1].at - length) > SAME_PLACE:
        raise InputError(
            f"mandrel #{len(stations)}.at: found {show(stations[-1].at, 'in')}; allowed: the last is at the far end, "
            f"raw_length {show(length, 'in')}"
        )
