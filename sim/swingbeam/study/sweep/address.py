"""What a key of [vary] means: which part it changes, in which unit, and how slowly it should vary."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record
from swingbeam.files.club_file import ClubParts
from swingbeam.files.key_path import PLAIN, kind_at, paths_of, unknown_path
from swingbeam.files.study_file import HandsNumbers, unknown_key
from swingbeam.swing.hands import MODES
from swingbeam.swing.parameters import BY_KEY
from swingbeam.units import KINDS

from .parts import FilePart
from .problem import Input
from .scales import HEAD_BY_KEY, SHAFT_BY_KEY, SHAFT_MASS_SCALE, TEMPO_SCALE
from .variation import Variation, read_names, read_variation

GOLFER, HANDS, CLUB = 0, 1, 2
"""How slowly a thing varies in a grid: a golfer costs most to make, and his hands are the same for many clubs."""
NAMES = "names"
"""The kind of a choice among named things."""
_CHOICES = {
    "swing": GOLFER,
    "reference_club.shaft": GOLFER,
    "reference_club.head": GOLFER,
    "hands": HANDS,
    "club.shaft": CLUB,
    "club.head": CLUB,
}
_SLOW = {"swing": GOLFER, "reference_club": GOLFER, "hands": HANDS, "shaft": CLUB, "head": CLUB, "club": CLUB}


@dataclass(frozen=True)
class Address:
    """One thing that varies.

    Attributes
    ----------
    key : as [vary] writes it
    part : "swing", "reference_club", "hands", "shaft", "head" or "club"
    path : within the part; empty for a scale and for the choice of a whole part
    kind : of quantity, `PLAIN` or `NAMES`
    slow : `GOLFER`, `HANDS` or `CLUB`
    """

    key: str
    part: str
    path: str
    kind: str
    slow: int

    @property
    def is_scale(self) -> bool:
        """Whether it is one of `scales`."""
        return self.path == "" and self.kind == PLAIN

    @property
    def is_choice(self) -> bool:
        """Whether it names things."""
        return self.kind == NAMES


SCALES = (TEMPO_SCALE, SHAFT_MASS_SCALE, *SHAFT_BY_KEY, *HEAD_BY_KEY)


def address_of(key: str, parts: dict[str, Sequence[FilePart]]) -> Address:
    """What a key means.

    Parameters
    ----------
    parts : "swing", "shaft", "head" → every file of that kind that some case uses

    Raises
    ------
    InputError
        None of the keys there are; the nearest is suggested.
    """
    if key in _CHOICES:
        part, _, path = key.partition(".")
        return Address(key, part, path, NAMES, _CHOICES[key])
    if key in SCALES:
        part = key.partition(".")[0]
        return Address(key, part, "", PLAIN, _SLOW[part])
    part, _, path = key.partition(".")
    if part not in _SLOW or not path or " " in path:
        raise unknown_key(key, known_keys(parts))
    return Address(key, part, path, _kind(part, path, parts), _SLOW[part])


def _kind(part: str, path: str, parts: dict[str, Sequence[FilePart]]) -> str:
    models: dict[str, type[Record]] = {"reference_club": ClubParts, "club": ClubParts, "hands": HandsNumbers}
    if part in models:
        kind = kind_at(models[part], path)
        if kind is None:
            raise unknown_path(models[part], path, f"{part}.")
        return kind
    kinds = {own.kind_at(path, f"{part}.") for own in parts[part]}
    if len(kinds) > 1:
        raise InputError(f"found a number that the files of the {part}s state in different units")
    return kinds.pop()


def known_keys(parts: dict[str, Sequence[FilePart]]) -> list[str]:
    """Every key there is for these files."""
    found = [*SCALES, *_CHOICES]
    for part in ("swing", "head", "shaft"):
        found += [f"{part}.{path}" for model in {p.model for p in parts[part]} for path in paths_of(model)]
    for part, model in (("club", ClubParts), ("reference_club", ClubParts), ("hands", HandsNumbers)):
        found += [f"{part}.{path}" for path in paths_of(model)]
    return found


def read_way(address: Address, written: Any) -> Variation:
    """How it varies; InputError as `read_variation`."""
    if address.is_choice:
        return read_names(address.key, written, tuple(MODES) if address.key == "hands" else ())
    return read_variation(address.kind, written)


def input_of(address: Address, variation: Variation) -> Input:
    """Its column in the results, shown in the unit people wrote."""
    stem = re.sub(r"[^A-Za-z0-9]+", "_", address.key).strip("_")
    if address.is_choice:
        return Input(address.key, stem, long_name=_words(address), choices=variation.names)
    if address.kind == PLAIN:
        return Input(address.key, stem, long_name=_words(address))
    unit = variation.unit
    name = f"{stem}_{_SHORT.get(unit) or _letters(unit)}"
    return Input(address.key, name, cf_unit(unit), 1.0 / KINDS[address.kind].units[unit], _words(address))


_SHORT = {"m/s": "mps", "deg/s": "dps", "%": "pct", "N*m": "Nm"}


def _letters(unit: str) -> str:
    return re.sub(r"[^A-Za-z0-9]+", "_", unit.replace("/", "_per_").replace("*", "").replace("^", "")).strip("_")


_SIGNS = {
    **dict.fromkeys(("head.face_angle", "swing.delivery.face_angle", "swing.roll.torque"), "open +"),
    **dict.fromkeys(
        ("head.cg.along", "head.inertia.point.along", "head.face.centre.along"), "down the shaft from the hosel mouth +"
    ),
    **dict.fromkeys(("head.cg.rearward", "head.inertia.point.rearward"), "behind the shaft axis +"),
    **dict.fromkeys(("head.cg.toe", "head.inertia.point.toe", "head.face.centre.toe"), "toward the toe +"),
    "head.face.centre.forward": "in front of the shaft axis +",
    "swing.delivery.dynamic_loft": "face normal above level +",
    "swing.delivery.attack": "up +",
    "swing.delivery.path": "in-to-out +",
    "swing.delivery.strike_toe": "toward the toe +",
    "swing.delivery.strike_up": "up the face +",
    "swing.arms.angle_at_impact": "past straight down, to the target +",
    "swing.arms.hub_shift": "to the target +",
    "swing.arms.hub_lift": "off the ground +",
    "swing.wrists.couple_at_impact": "driving the head forward +",
    "swing.wrists.push": "helping the release +",
    "swing.forearms.roll_rate_at_impact": "closing +",
    "swing.shoulders.torque": "driving +",
    "swing.release.torque": "opening the hinge +",
    "swing.hold_back.torque": "opening the hinge +",
    "shaft.spine.angle": "from the target side to the toe +",
    "shaft.plies.angle": "clockwise toward the tip, seen from the butt +",
}
"""Which way is positive, by key (numbers of lists left out), where a number may have either sign."""


def _words(address: Address) -> str:
    """What it is, with its sign."""
    sign = _SIGNS.get(re.sub(r"\.\d+", "", address.key))
    words = _plain_words(address)
    return f"{words}, {sign}" if sign else words


def _plain_words(address: Address) -> str:
    if address.key in SHAFT_BY_KEY:
        return SHAFT_BY_KEY[address.key].words
    if address.key in HEAD_BY_KEY:
        return HEAD_BY_KEY[address.key].words
    if address.key == TEMPO_SCALE:
        return "all times of the swing over their own"
    if address.key == SHAFT_MASS_SCALE:
        return "mass of the shaft over its own, everywhere alike"
    if address.part == "swing" and address.path in BY_KEY:
        return BY_KEY[address.path].words
    part = address.part.replace("_", " ")
    rest = address.path.replace(".", ", ").replace("_", " ")
    return f"{part}: {rest}" if rest else part


_CF = {
    "in": "inch",
    "deg": "degree",
    "ft": "foot",
    "yd": "yard",
    "mph": "mile hour-1",
    "rpm": "min-1",
    "cpm": "min-1",
    "%": "percent",
    "degC": "degree_Celsius",
    "degF": "degree_Fahrenheit",
    "gr": "grain",
    "h": "hour",
}


def cf_unit(unit: str) -> str:
    """A unit of our lists as CF and UDUNITS write it: "N*m/rad" is "N m rad-1"."""
    if unit in _CF:
        return _CF[unit]
    above, _, below = unit.partition("/")
    words = [_factor(one, 1) for one in above.split("*") if one != "1"]
    words += [_factor(one, -1) for one in below.split("*") if one]
    return " ".join(words) or "1"


def _factor(text: str, sign: int) -> str:
    name, _, power = text.partition("^")
    exponent = sign * int(power or 1)
    base = _CF.get(name, name)
    return base if exponent == 1 else f"{base}{exponent}"
