"""From the values of a case to the things that are swung: a club, hands, a swing and the golfer's reference club."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.club.build import Club, build_club
from swingbeam.club.head import Head
from swingbeam.club.held import HELD_OF_CLUB, with_shaft_mass
from swingbeam.files.club_file import ClubParts
from swingbeam.files.study_file import HoldTable
from swingbeam.shaft.shaft import Shaft
from swingbeam.swing.archetype import Swing
from swingbeam.swing.hands import VICE, Hands, hands_named
from swingbeam.units import AsRead

from .address import Address
from .parts import Library, Numbers, SwingPart
from .scales import HEAD, SHAFT, SHAFT_MASS_SCALE, TEMPO_SCALE
from .variation import Variation

TROUBLE = (InputError, SimulationError, ArithmeticError, ValueError)
"""What a case may fail with; anything else is a defect of the program."""
HAND_AXES = ("hinge", "roll", "third")


@dataclass(frozen=True, eq=False)
class Recipe:
    """What a study's cases are made of.

    Attributes
    ----------
    library : the files
    swing : the study's own swing by name
    club, reference_club : as the study states them, names of the library; the second over the swing's own
    own_clubs : swing's name → its reference club, names of the library
    hands : the study's own, by name
    firmness : of the grip, 0 … 1, instead of what the swing states; None: the swing's
    hold : what is held
    addresses, variations : of the inputs, in the order of a case's values
    """

    library: Library
    swing: str
    club: ClubParts
    reference_club: ClubParts
    own_clubs: Mapping[str, ClubParts]
    hands: str
    firmness: float | None
    hold: HoldTable
    addresses: tuple[Address, ...]
    variations: tuple[Variation, ...]

    def numbers(self, part: str, values: Sequence[float]) -> Numbers:
        """Key path → value, of the inputs that are numbers of a part."""
        return {
            a.path: AsRead(value, v.unit)
            for a, v, value in zip(self.addresses, self.variations, values, strict=True)
            if a.part == part and not a.is_choice and not a.is_scale
        }

    def scale(self, key: str, values: Sequence[float]) -> float | None:
        """The value of a scale, None where it does not vary."""
        return next((v for a, v in zip(self.addresses, values, strict=True) if a.key == key), None)

    def choice(self, key: str, values: Sequence[float], usual: str | None) -> str | None:
        """The name chosen, the usual one where there is no choice."""
        for address, variation, value in zip(self.addresses, self.variations, values, strict=True):
            if address.key == key:
                return variation.names[int(value)]
        return usual

    def swings_used(self) -> tuple[str, ...]:
        """Names of the swings that some case uses."""
        for address, variation in zip(self.addresses, self.variations, strict=True):
            if address.key == "swing":
                return variation.names
        return (self.swing,)

    def places_of(self, of: Iterable[str]) -> tuple[int, ...]:
        """Places of the inputs that belong to some parts, or are these keys."""
        wanted = set(of)
        return tuple(i for i, a in enumerate(self.addresses) if a.key in wanted or a.part in wanted)

    def places(self, slow: Iterable[int]) -> tuple[int, ...]:
        """Places of the inputs that vary so slowly."""
        wanted = set(slow)
        return tuple(i for i, address in enumerate(self.addresses) if address.slow in wanted)


def make_club(recipe: Recipe, values: Sequence[float], *, as_heavy: bool = True) -> Club:
    """The club of a case.

    Parameters
    ----------
    as_heavy : with the scale of the shaft's mass, where that varies

    Raises
    ------
    InputError
        It cannot be built.
    """
    return assemble(recipe, make_shaft(recipe, values), make_head(recipe, values), values, as_heavy=as_heavy)


def make_shaft(recipe: Recipe, values: Sequence[float]) -> Shaft:
    """The raw shaft of a case's club, its mass as stated; InputError when no file could state it."""
    name = recipe.choice("club.shaft", values, recipe.club.shaft)
    if name is None:
        raise InputError("club: found a club without shaft; allowed: one named")
    shaft = recipe.library.shafts[name].shaft(recipe.numbers("shaft", values))
    for change in SHAFT:
        if (number := recipe.scale(change.key, values)) is not None:
            shaft = change(shaft, number)
    return shaft


def make_head(recipe: Recipe, values: Sequence[float]) -> Head:
    """The head of a case's club; InputError when no file could state it."""
    name = recipe.choice("club.head", values, recipe.club.head)
    if name is None:
        raise InputError("club: found a club without head; allowed: one named")
    head = recipe.library.heads[name].head(recipe.numbers("head", values))
    for change in HEAD:
        if (number := recipe.scale(change.key, values)) is not None:
            head = change(head, number)
    return head


def assemble(recipe: Recipe, shaft: Shaft, head: Head, values: Sequence[float], *, as_heavy: bool = True) -> Club:
    """The club of a case, of its shaft and its head; as `make_club`."""
    club = build_club(shaft, head, **_build(recipe.club, recipe.numbers("club", values)))
    factor = recipe.scale(SHAFT_MASS_SCALE, values)
    if factor is None or not as_heavy:
        return club
    held = recipe.hold.shaft_weight or ""
    return with_shaft_mass(club, factor, held if held in HELD_OF_CLUB else "head mass")


def _build(parts: ClubParts, numbers: Numbers) -> dict[str, Any]:
    given = {key: value for key, value in parts if value is not None and key not in ("label", "shaft", "head")}
    for key, other in (("finished_length", "butt_trim"), ("butt_trim", "finished_length")):
        if key in numbers:
            given.pop(other, None)
    return {**given, **{key: float(value) for key, value in numbers.items()}}


def make_hands(recipe: Recipe, values: Sequence[float]) -> Hands:
    """The hands of a case.

    Raises
    ------
    InputError
        No hands give so.
    """
    if recipe.scale(SHAFT_MASS_SCALE, values) is not None and recipe.hold.shaft_weight == "motion":
        return VICE  # which is what repeating a motion means
    name = recipe.choice("hands", values, recipe.hands) or recipe.hands
    hands, numbers = hands_named(name), recipe.numbers("hands", values)
    if not numbers:
        return hands
    changed = {"stiffness": np.array(hands.stiffness), "damping": np.array(hands.damping)}
    for path, value in numbers.items():
        axis, _, what = path.partition("_")
        changed[what][HAND_AXES.index(axis)] = value
    return Hands(f"{name}, changed", changed["stiffness"], changed["damping"])


def chosen_swing(recipe: Recipe, values: Sequence[float]) -> SwingPart:
    """The swing's file of a case."""
    return recipe.library.swings[recipe.choice("swing", values, recipe.swing) or recipe.swing]


def make_swing(recipe: Recipe, values: Sequence[float]) -> Swing:
    """The swing of a case, its tempo as stated.

    Raises
    ------
    InputError
        A number that its file could not state.
    """
    return chosen_swing(recipe, values).swing(recipe.numbers("swing", values))


def make_reference_club(recipe: Recipe, values: Sequence[float]) -> Club:
    """The golfer's reference club of a case.

    Raises
    ------
    InputError
        It cannot be built.
    """
    own = recipe.own_clubs[chosen_swing(recipe, values).name]
    parts = recipe.reference_club.over(own)
    shaft = recipe.choice("reference_club.shaft", values, parts.shaft)
    head = recipe.choice("reference_club.head", values, parts.head)
    if shaft is None or head is None:
        raise InputError("reference_club: found a club without shaft or head; allowed: both named")
    build = _build(parts, recipe.numbers("reference_club", values))
    try:
        # Called what it would be called in a ranking: by the shaft it is made of.
        return build_club(
            recipe.library.shafts[shaft].base, recipe.library.heads[head].base, label=parts.label or shaft, **build
        )
    except InputError as error:
        raise InputError(f"reference_club: {error}") from None


def tempo_scale(recipe: Recipe, values: Sequence[float]) -> float | None:
    """The scale of the tempo, None where it does not vary."""
    return recipe.scale(TEMPO_SCALE, values)
