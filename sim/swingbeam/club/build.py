"""Build a club: trim the shaft, put it into the head, and hold it."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam import Profile, TipBody
from swingbeam.beam.errors import InputError
from swingbeam.club.damping import viscosities, viscosity
from swingbeam.club.face import Face, face_of
from swingbeam.club.head import Head, load_head, move_inertia
from swingbeam.files.club_file import (
    DEFAULT_GRIP_LENGTH,
    DEFAULT_GRIP_MASS,
    DEFAULT_HOLD_POINT,
    ClubParts,
)
from swingbeam.files.lookup import find
from swingbeam.shaft.load import load_shaft
from swingbeam.shaft.shaft import Shaft, cut, integrate
from swingbeam.units import show

Array = NDArray[np.float64]

BEHIND_HOLD_STATEMENT = (
    "Whatever lies behind the hold point (grip, butt, anything put into it) is carried by the hands and has "
    "no effect on the result: read no counterweight into it."
)
LENGTH_METHOD = (
    "Finished length: along the shaft axis from the butt end to the ground, with the club soled so that the "
    "axis stands at 60 degrees to the ground; the thickness of the grip cap is not counted."
)
LENGTH_ANGLE = math.radians(60.0)
"""The angle at which length is measured (R&A/USGA, Equipment Rules, part 2: against a plane of 60°)."""
_BUILD_KEYS = (
    "finished_length",
    "butt_trim",
    "tip_trim",
    "insertion",
    "grip_mass",
    "grip_length",
    "hold_point",
)
_PLAY = 1e-6
"""m; lengths that differ by less are equal."""


@dataclass(frozen=True, eq=False)
class Club:
    """A built club; SI, grip frame (origin at the hold point, x down the shaft, y forward, z toe-ward).

    Attributes
    ----------
    label : str, what it is called in tables
    shaft : Shaft, raw
    head : Head, bare
    tip_trim, butt_trim, insertion, hold_point : float, m; hold point from the butt end
    finished_length : float, m, by `LENGTH_METHOD`
    grip_mass : float, kg
    grip_length : float, m
    profile : Profile, hold point to hosel mouth
    tip : TipBody, head and inserted shaft, from the hosel mouth
    held_mass : float, kg, behind the hold point or grip: carried by the hands
    held_inertia : (3,) kg·m², of what is held, about the hold point, about x, y, z
    """

    label: str
    shaft: Shaft
    head: Head
    tip_trim: float
    butt_trim: float
    insertion: float
    hold_point: float
    finished_length: float
    grip_mass: float
    grip_length: float
    profile: Profile
    tip: TipBody
    held_mass: float
    held_inertia: Array

    @cached_property
    def face(self) -> Face:
        """The face, fixed to the tip section."""
        return face_of(self.head)

    @cached_property
    def viscosity(self) -> tuple[float, float]:
        """(bend, twist) s, from the shaft's damping ratios at its bench frequencies (`club.damping`)."""
        return viscosity(self.shaft)

    @property
    def total_mass(self) -> float:
        """Mass of the whole club, kg."""
        return self.profile.total_mass + self.tip.mass + self.held_mass

    @property
    def length_beyond_hold(self) -> float:
        """Hold point to hosel mouth along the shaft, m."""
        return self.profile.length


def damp_together(clubs: Sequence[Club]) -> None:
    """Give clubs their `viscosity`, of all their shafts together, compiled; the same to round-off as each by itself,
    and to the last bit whatever other clubs there are. What is not finite is left to the readable way.
    """
    wanting = [club for club in clubs if "viscosity" not in vars(club)]
    if not wanting:
        return
    for club, (bend, twist) in zip(wanting, viscosities([club.shaft for club in wanting]).tolist(), strict=True):
        if math.isfinite(bend) and math.isfinite(twist):
            vars(club)["viscosity"] = bend, twist


def axis_to_ground(head: Head, angle: float | None = None) -> float:
    """Distance along the shaft axis from the hosel mouth to the ground, m, the axis at `angle` rad to it.

    Simple geometry: the sole touches the ground below the face centre with the club soled at its lie, and at
    the same point of the sole when it is tilted to another angle (default: its lie).
    """
    c, s = math.cos(head.lie), math.sin(head.lie)
    x, _, z = head.face_centre
    across = -c * x - s * z  # world y of the face centre, club soled, from the hosel mouth
    along, toe = -c * across + s * head.hosel_height, -s * across - c * head.hosel_height
    return float(along - toe / math.tan(head.lie if angle is None else angle))


def build_club(
    shaft: Shaft,
    head: Head,
    *,
    finished_length: float | None = None,
    butt_trim: float | None = None,
    tip_trim: float = 0.0,
    insertion: float | None = None,
    grip_mass: float = DEFAULT_GRIP_MASS,
    grip_length: float = DEFAULT_GRIP_LENGTH,
    hold_point: float = DEFAULT_HOLD_POINT,
    label: str | None = None,
) -> Club:
    """Cut a raw shaft, insert it into the head and take hold of it.

    Parameters
    ----------
    finished_length, butt_trim : m; exactly one of them (`LENGTH_METHOD`)
    tip_trim : m off the tip end
    insertion : m of shaft in the hosel; None: the depth of the head's hosel
    grip_mass : kg
    grip_length, hold_point : m, both from the butt end

    Raises
    ------
    InputError
        A trim, length, insertion or hold point that this shaft and head cannot give.
    """
    depth = head.insertion if insertion is None else insertion
    _check_tip(shaft, head, tip_trim, depth)
    mouth = shaft.raw_length - tip_trim - depth  # place of the hosel mouth on the raw shaft, from its butt
    ground = axis_to_ground(head, LENGTH_ANGLE)
    trim = _butt_trim(shaft, mouth, ground, finished_length, butt_trim)
    if not 0.0 <= hold_point < mouth - trim - 0.05:
        raise InputError(
            f"hold_point: found {show(hold_point, 'in', 2)} of the butt end; allowed: from 0 in to "
            f"{show(mouth - trim - 0.05, 'in', 2)} with this shaft, trim and insertion"
        )
    if not (math.isfinite(grip_mass) and grip_mass >= 0.0 and math.isfinite(grip_length) and grip_length > 0.0):
        raise InputError("grip: found a mass or length that is negative or not finite")
    held_mass, held_inertia = _held(shaft, trim, trim + hold_point, grip_mass, grip_length, hold_point)
    return Club(
        label=label or shaft.name,
        shaft=shaft,
        head=head,
        tip_trim=tip_trim,
        butt_trim=trim,
        insertion=depth,
        hold_point=hold_point,
        finished_length=mouth - trim + ground,
        grip_mass=grip_mass,
        grip_length=grip_length,
        profile=cut(shaft, trim + hold_point, mouth),
        tip=tip_body(shaft, head, mouth, depth),
        held_mass=held_mass,
        held_inertia=held_inertia,
    )


def _check_tip(shaft: Shaft, head: Head, tip_trim: float, insertion: float) -> None:
    if shaft.kind != head.kind:
        raise InputError(
            f'found the {shaft.kind} shaft "{shaft.name}" with the {head.kind} head "{head.name}"; '
            "allowed: two of one kind"
        )
    for name, value in (("tip_trim", tip_trim), ("insertion", insertion)):
        if not (math.isfinite(value) and value >= 0.0):
            raise InputError(f"{name}: found {value!r} m; allowed: a length of at least 0")
    if tip_trim + insertion >= shaft.raw_length:
        raise InputError(
            f"tip_trim: found {show(tip_trim, 'in', 2)} off a shaft of {show(shaft.raw_length, 'in', 2)} "
            f"with {show(insertion, 'in', 2)} of insertion; allowed: less than the shaft"
        )
    if insertion <= 0.0 or insertion > head.insertion + _PLAY:
        raise InputError(
            f"insertion: found {show(insertion, 'mm', 1)}; allowed: above 0 and up to the hosel's depth, "
            f"{show(head.insertion, 'mm', 1)}"
        )
    left = shaft.parallel_tip - tip_trim
    if tip_trim > 0.0 and left < insertion - _PLAY:
        most = max(shaft.parallel_tip - insertion, 0.0)
        raise InputError(
            f"tip_trim: found {show(tip_trim, 'in', 2)}, which leaves too little of the "
            f"{show(shaft.parallel_tip, 'in', 2)} parallel tip for the hosel; allowed: up to "
            f"{show(most, 'in', 2)}"
        )


def _butt_trim(
    shaft: Shaft, mouth: float, ground: float, finished_length: float | None, butt_trim: float | None
) -> float:
    if (finished_length is None) == (butt_trim is None):
        found = "neither" if butt_trim is None else "both"
        raise InputError(f"found {found} of finished_length and butt_trim; allowed: one of the two")
    if butt_trim is not None:
        if not 0.0 <= butt_trim < mouth - 0.05:
            raise InputError(
                f"butt_trim: found {show(butt_trim, 'in', 2)} off a shaft of "
                f"{show(shaft.raw_length, 'in', 2)}; allowed: from 0 in to {show(mouth - 0.05, 'in', 2)}"
            )
        return butt_trim
    length = float(finished_length or 0.0)
    trim = mouth + ground - length
    if not -_PLAY <= trim < mouth - 0.05:
        raise InputError(
            f"finished_length: found {show(length, 'in', 2)}; allowed with this shaft, head, tip trim and "
            f"insertion: up to {show(mouth + ground, 'in', 2)} and more than {show(ground + 0.05, 'in', 2)}"
        )
    return max(trim, 0.0)


def tip_body(shaft: Shaft, head: Head, mouth: float, insertion: float) -> TipBody:
    """Head and inserted piece of shaft as one body, about the common centre of gravity."""
    mass, centre, second = integrate(shaft, mouth, mouth + insertion)
    radius = 0.5 * shaft.tip_diameter
    polar = mass * radius**2  # thin tube
    piece_cg = np.array([centre - mouth, 0.0, 0.0])
    piece = np.diag([polar, second + 0.5 * polar, second + 0.5 * polar])
    total = head.mass + mass
    cg = (head.mass * head.cg + mass * piece_cg) / total
    inertia = move_inertia(head.inertia, head.mass, head.cg - cg) + move_inertia(piece, mass, piece_cg - cg)
    return TipBody(total, cg, inertia)


def _held(
    shaft: Shaft, butt: float, hold: float, grip_mass: float, grip_length: float, hold_point: float
) -> tuple[float, Array]:
    """Mass, and inertia about the hold point, of the shaft behind it and of the whole grip (a thin tube)."""
    radius = 0.5 * shaft.butt_diameter
    centre = hold_point - 0.5 * grip_length
    polar = grip_mass * (1.3 * radius) ** 2  # the rubber lies outside of the butt: from memory
    across = grip_mass * (grip_length**2 / 12.0 + centre**2) + 0.5 * polar
    mass = grip_mass
    if hold - butt > _PLAY:
        piece, middle, second = integrate(shaft, butt, hold)
        mass += piece
        polar += piece * radius**2
        across += second + piece * (hold - middle) ** 2 + 0.5 * piece * radius**2
    return mass, np.array([polar, across, across])


def load_club(parts: ClubParts, *, beside: str | os.PathLike[str] | None = None) -> Club:
    """Find shaft and head by name or path and build.

    Parameters
    ----------
    parts : with at least shaft, head and a length
    beside : the file that names them

    Raises
    ------
    InputError
        A name that is not found, a file that cannot be read, a build that is not possible (the club is
        named).
    """
    if parts.shaft is None or parts.head is None:
        raise InputError("found a club without shaft or head; allowed: both named")
    label = parts.label or parts.shaft
    try:
        shaft_path = find("shaft", parts.shaft, beside=beside)
        head_path = find("head", parts.head, beside=beside)
    except InputError as error:
        raise InputError(f'club "{label}": {error}') from None
    shaft, head = load_shaft(shaft_path), load_head(head_path)
    given = {key: getattr(parts, key) for key in _BUILD_KEYS if getattr(parts, key) is not None}
    try:
        return build_club(shaft, head, label=label, **given)
    except InputError as error:
        raise InputError(f'club "{label}": {error}') from None
