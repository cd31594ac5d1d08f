"""What a study makes in one process: golfers, and clubs by the batch, kept while they are wanted."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import TypeVar

from swingbeam.club.build import Club, damp_together
from swingbeam.swing.hands import Hands

from .address import CLUB, HANDS
from .figures import Figure
from .golfers import Golfers
from .kept import Shelf
from .makers import TROUBLE, Recipe, assemble, make_head, make_shaft
from .makers import make_hands as hands_of
from .static_figures import ShaftRead, read_shaft_figures

T = TypeVar("T")
Key = tuple[float, ...]

MOST_CLUBS = 4096
"""Kept at a time."""


class Workshop:
    """Golfers and clubs of a study; any number of threads may ask. A thing depends on a case's values alone."""

    def __init__(self, recipe: Recipe, start: str, figures: Sequence[Figure] = ()) -> None:
        self.recipe, self._figures = recipe, figures
        self.golfers = Golfers(recipe, start)
        self.hand_places = recipe.places((HANDS,))
        self._places = recipe.places((CLUB,))
        self._shaft_places = recipe.places_of(("shaft", "club.shaft"))
        self._head_places = recipe.places_of(("head", "club.head"))
        self._as_read = {id(part.base) for part in recipe.library.shafts.values()}
        self._clubs: Shelf[Club | str] = Shelf(MOST_CLUBS)
        self._read: Shelf[ShaftRead] = Shelf(MOST_CLUBS)

    def hands(self, values: Sequence[float]) -> Hands | str:
        """The hands of a case's values, or why nobody holds a club so."""
        try:
            return hands_of(self.recipe, values)
        except TROUBLE as error:
            return str(error)

    def clubs(self, rows: Sequence[Sequence[float]]) -> list[Club | str]:
        """The clubs of some cases' values, or why they cannot be built: those not kept made together."""
        keys = [_at(row, self._places) for row in rows]
        found = self._clubs.known(keys)
        new = {key: row for key, row in zip(keys, rows, strict=True) if key not in found}
        if new:
            found |= self._clubs.keep(self._build(new))
        return [found[key] for key in keys]

    def shafts_read(self, rows: Sequence[Sequence[float]], clubs: Sequence[Club | str]) -> list[ShaftRead | None]:
        """What the raw shafts of cases read on the bench, each distinct one read once; None without a club."""
        keys = [_at(row, self._shaft_places) for row in rows]
        found = self._read.known(keys)
        for key, club in zip(keys, clubs, strict=True):
            if isinstance(club, Club) and key not in found:
                found |= self._read.keep({key: read_shaft_figures(club.shaft, self._figures)})
        return [None if isinstance(club, str) else found[key] for key, club in zip(keys, clubs, strict=True)]

    def _build(self, rows: Mapping[Key, Sequence[float]]) -> dict[Hashable, Club | str]:
        """Clubs that differ, those of one shaft or head sharing it."""
        shafts: dict[Key, object] = {}
        heads: dict[Key, object] = {}
        made: dict[Hashable, Club | str] = {}
        for key, values in rows.items():
            try:
                shaft = _shared(shafts, _at(values, self._shaft_places), lambda: make_shaft(self.recipe, values))  # noqa: B023
                head = _shared(heads, _at(values, self._head_places), lambda: make_head(self.recipe, values))  # noqa: B023
                made[key] = assemble(self.recipe, shaft, head, values)
            except TROUBLE as error:
                made[key] = str(error) or type(error).__name__
        self._damp(made)
        return made

    def _damp(self, made: dict[Hashable, Club | str]) -> None:
        """Give clubs their viscosity and face before several threads want them.

        A shaft as its file states it is read the readable way, once, as a single swing does; others compiled, together.
        """
        built = [club for club in made.values() if isinstance(club, Club)]
        damp_together([club for club in built if id(club.shaft) not in self._as_read])
        for key, club in made.items():
            if isinstance(club, Club):
                try:
                    _ = club.viscosity, club.face
                except TROUBLE as error:
                    made[key] = str(error) or type(error).__name__


def _at(values: Sequence[float], places: Sequence[int]) -> Key:
    return tuple([float(values[i]) for i in places])


def _shared(made: dict[Key, object], key: Key, make: Callable[[], T]) -> T:
    """One of the things that were made of a key, which may be why it cannot be made."""
    if key not in made:
        try:
            made[key] = make()
        except TROUBLE as error:
            made[key] = error
    found = made[key]
    if isinstance(found, Exception):
        raise found
    return found  # type: ignore[return-value]
