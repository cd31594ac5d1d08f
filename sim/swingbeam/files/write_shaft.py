"""Write a shaft as a file of its own: a new TOML file that reads back as the same shaft."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import tomlkit
from numpy.typing import NDArray
from tomlkit.items import Array as TomlArray

from swingbeam.files.base import display_path, parse_toml
from swingbeam.files.safe_write import refuse_existing, write_new
from swingbeam.files.shaft_file import SAME_PLACE, ShaftFile
from swingbeam.units import InputError, show

Array = NDArray[np.float64]
_COMMENT_WIDTH = 110
_SAME_DIAMETER = 1e-6
"""m; diameters that differ by less are written as equal."""


class SpineLike(Protocol):
    """A stiff side: (stiffest − softest)/mean EI; angle, rad."""

    @property
    def difference(self) -> float: ...
    @property
    def angle(self) -> float: ...


class ShaftLike(Protocol):
    """What of a shaft is written, SI; `s` (n,) m from the butt, a station given twice is a step."""

    @property
    def name(self) -> str: ...
    @property
    def maker(self) -> str: ...
    @property
    def letter(self) -> str: ...
    @property
    def material(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def raw_length(self) -> float: ...
    @property
    def butt_diameter(self) -> float: ...
    @property
    def tip_diameter(self) -> float: ...
    @property
    def parallel_tip(self) -> float: ...
    @property
    def mass(self) -> float: ...
    @property
    def s(self) -> Array: ...
    @property
    def ei(self) -> Array: ...
    @property
    def gj(self) -> Array: ...
    @property
    def mass_per_length(self) -> Array: ...
    @property
    def diameter(self) -> Array: ...
    @property
    def bend_damping(self) -> float: ...
    @property
    def twist_damping(self) -> float: ...
    @property
    def spine(self) -> SpineLike | None: ...
    @property
    def note(self) -> str: ...


@dataclass(frozen=True, eq=False)
class ShaftBand:
    """The 95 % band of a shaft found from readings.

    Attributes
    ----------
    s : (n,) m from the butt, not decreasing
    ei, gj : (n, 2) N·m², lower and upper end
    mass_per_length : (n, 2) kg/m, lower and upper end
    """

    s: Array
    ei: Array
    gj: Array
    mass_per_length: Array


def write_shaft_file(
    shaft: ShaftLike, path: str | os.PathLike[str], comment: str = "", *, band: ShaftBand | None = None
) -> Path:
    """Write a shaft to a new file, distances from the tip; `comment` goes before its first key, line by line.

    Six significant digits. A profile whose values hold from step to step is written as "stepped"; any other as
    "linear", with `step = true` at the second station of a step.

    Raises
    ------
    InputError
        The file exists already, its folder cannot be written, or the values cannot be a shaft's file; then
        nothing is written.
    """
    refuse_existing(path)
    return write_new(path, shaft_text(shaft, comment, band=band, source=display_path(path)))


def shaft_text(shaft: ShaftLike, comment: str = "", *, band: ShaftBand | None = None, source: str = "shaft") -> str:
    """The text `write_shaft_file` writes; InputError, naming `source`, when it does not read back."""
    if os.path.splitext(source)[1] not in ("", ".toml"):
        raise InputError(f"{source}: a shaft is written as TOML; allowed: a name that ends in .toml")
    document = tomlkit.document()
    _add_comment(document, comment)
    for key in ("name", "maker", "kind", "material", "letter"):
        document.add(key, getattr(shaft, key))
    document.add("raw_length", show(shaft.raw_length, "in"))
    document.add("butt_diameter", show(shaft.butt_diameter, "mm"))
    document.add("tip_diameter", show(shaft.tip_diameter, "mm"))
    document.add("parallel_tip", show(shaft.parallel_tip, "in"))
    document.add("mass", show(shaft.mass, "g"))
    if shaft.note:
        document.add("note", shaft.note)
    document.add("damping", _table(bend=show(shaft.bend_damping, "%"), twist=show(shaft.twist_damping, "%")))
    spine = shaft.spine
    if spine is not None:
        document.add("spine", _table(difference=show(spine.difference, "%"), angle=show(spine.angle, "deg")))
    document.add("profile", _profile_table(shaft))
    if band is not None:
        document.add("band", _band_table(band, shaft.raw_length))
    text = tomlkit.dumps(document)
    parse_toml(text, ShaftFile, source=source)
    return text


def _add_comment(document: tomlkit.TOMLDocument, comment: str) -> None:
    for line in comment.splitlines():
        # A control character would end the comment, or the file's being readable.
        plain = "".join(c if c.isprintable() else " " for c in line).rstrip()
        document.add(tomlkit.comment(plain) if plain else tomlkit.comment(""))
    if comment:
        document.add(tomlkit.nl())


def _table(**values: Any) -> tomlkit.items.Table:
    table = tomlkit.table()
    for key, value in values.items():
        table.add(key, value)
    return table


def _profile_table(shaft: ShaftLike) -> tomlkit.items.Table:
    places = shaft.raw_length - shaft.s[::-1]
    columns = np.column_stack([shaft.ei, shaft.gj, shaft.mass_per_length, shaft.diameter])[::-1]
    tapered = _is_tapered(shaft)
    stepped = _is_stepped(places, columns)
    rows = []
    for i, (place, (ei, gj, mass, diameter)) in enumerate(zip(places, columns, strict=True)):
        if stepped and i % 2:
            continue
        row: dict[str, Any] = {
            "at": _place(place),
            "ei": show(float(ei), "N*m^2"),
            "gj": show(float(gj), "N*m^2"),
            "mass": show(float(mass), "g/m"),
        }
        if not tapered:
            row["diameter"] = show(float(diameter), "mm")
        if not stepped and i > 0 and place - places[i - 1] <= SAME_PLACE:
            row["step"] = True
        rows.append(row)
    table = _table(measured_from="tip", shape="stepped" if stepped else "linear")
    table.add("stations", _rows(rows))
    return table


def _is_tapered(shaft: ShaftLike) -> bool:
    """Whether the diameters are what a reader makes of a file without them: a straight taper, then the parallel tip."""
    knots = [0.0, shaft.raw_length - shaft.parallel_tip, shaft.raw_length]
    taper = np.interp(shaft.s, knots, [shaft.butt_diameter, shaft.tip_diameter, shaft.tip_diameter])
    return bool(np.all(np.abs(shaft.diameter - taper) <= _SAME_DIAMETER))


def _is_stepped(places: Array, columns: Array) -> bool:
    """Whether stations come in pairs of equal values, and each pair but the first starts where one ended."""
    if places.size % 2 or places.size < 4:
        return False
    same = np.all(np.abs(columns[0::2] - columns[1::2]) <= 1e-9 * columns[0::2])
    return bool(same and np.all(np.abs(places[2::2] - places[1:-1:2]) <= SAME_PLACE))


def _band_table(band: ShaftBand, length: float) -> tomlkit.items.Table:
    rows = []
    for i in range(band.s.size - 1, -1, -1):
        row = {"at": _place(length - band.s[i])}
        for key, values, unit in (
            ("ei", band.ei, "N*m^2"),
            ("gj", band.gj, "N*m^2"),
            ("mass", band.mass_per_length, "g/m"),
        ):
            row[f"{key}_low"] = show(float(values[i, 0]), unit)
            row[f"{key}_high"] = show(float(values[i, 1]), unit)
        rows.append(row)
    table = tomlkit.table()
    table.add(tomlkit.comment("The 95 % band of the profile: how sure the readings make it."))
    table.add("measured_from", "tip")
    table.add("stations", _rows(rows))
    return table


def _place(distance: float) -> str:
    return show(max(round(float(distance), 9), 0.0), "in")


def _rows(rows: Sequence[dict[str, Any]]) -> TomlArray:
    array = tomlkit.array()
    for row in rows:
        inline = tomlkit.inline_table()
        inline.update(row)
        array.append(inline)
    return array.multiline(True)
