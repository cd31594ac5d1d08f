"""Lighter steel of one letter reads a lower frequency and still plays to its letter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from claims.parts import (
    FACE,
    FREQUENCY,
    HALF,
    HYPOTHESIS,
    LOFT,
    Cases,
    Claim,
    Figures,
    Key,
    Readings,
    change,
    static_table,
    who,
)
from claims.rules import (
    LEAST_CPM,
    LEAST_DEG,
    LEAST_MS,
    UNKNOWN,
    counts,
    dependence,
    falls,
    interval,
    number,
    place,
    plays_to,
    table,
    verdict,
)
from swingbeam.beam.errors import InputError
from swingbeam.club.build import Club

_COLUMNS = (
    (LOFT, "loft °", "dynamic loft", "°"),
    (FACE, "face °", "face angle", "°"),
    (HALF, "half-unload ms", "half-unload", " ms"),
)


def next_letter(steel: Sequence[Club], irons: Sequence[Club]) -> Club:
    """The ruler: the same maker's steel shaft of the next softer letter, R after S.

    Raises
    ------
    InputError
        The irons have none.
    """
    of = steel[0].shaft
    for club in irons:
        if (club.shaft.maker, club.shaft.material, club.shaft.letter) == (of.maker, of.material, "R"):
            return club
    raise InputError(f"irons: no {of.material} R shaft of {of.maker} to compare with")


def lighter_steel(cases: Cases, clubs: Sequence[Club], softer: Club, readings: Readings) -> Claim:
    """The claim's part of the page.

    Parameters
    ----------
    cases : figures of the clubs (scenario `lighter_steel`) and of `softer` (scenario `irons`)
    clubs : steel shafts of one letter
    softer : of `next_letter`
    readings : bench readings of a club's shaft
    """
    ordered = sorted(clubs, key=lambda club: -club.shaft.mass)
    heavy, lighter = ordered[0], ordered[1:]
    frequency = {club.label: readings(club)[FREQUENCY] for club in (*ordered, softer)}
    reads = falls([frequency[club.label] or 0.0 for club in ordered], LEAST_CPM)
    ends = frequency[heavy.label], frequency[softer.label]
    foretold = {club.label: place(frequency[club.label], *ends, LEAST_CPM) for club in lighter}
    at = _Way(heavy, lighter, softer, foretold)
    words = {key: [at.words(found, key) for found in cases.values()] for key, *_ in _COLUMNS}
    golfer_of = [golfer for golfer, _ in cases for _ in lighter]
    hands_of = [hands for _, hands in cases for _ in lighter]
    lightest = _short(ordered[-1])
    cpm = f"{_short(heavy)} {number(ends[0], 1)}, {lightest} {number(frequency[ordered[-1].label], 1)} cpm"
    summary = [("1. Lighter steel of one letter reads a lower frequency", verdict([reads]), cpm)]
    text = []
    for key, _, name, unit in _COLUMNS:
        holds = [None if w == UNKNOWN else w == "letter" for case in words[key] for w in case]
        moved = interval((at.to(found, ordered[-1], key) for found in cases.values()), 2, unit)
        ends_of_letter = f"{_short(heavy)} to {lightest}"
        title = f"1. … and plays to its letter in {name}"
        summary.append((title, verdict(holds), f"{ends_of_letter}: {moved}"))
        text.append(
            f"That the lighter ones play to their letter in {name} {verdict(holds)}. "
            f"{dependence('hands', hands_of, holds)} {dependence('golfer', golfer_of, holds)} "
            f"From {ends_of_letter} it changes by {moved}."
        )
    alone = [at.letter_alone(found, LOFT) for found in cases.values()]
    small = sum(a is not None and abs(a) < LEAST_DEG for a in alone)
    body = [
        f"> Lighter steel of one letter reads a lower frequency and still plays to its letter. ({HYPOTHESIS})",
        f"**How tested.** Scenario `lighter_steel`: {len(ordered)} steel shafts of one maker and one letter, built "
        f"to one length in one 5-iron head; {who(cases, '5-iron')}. The ruler is the same maker's {softer.label} of "
        f"scenario `irons`. On the way from {heavy.label} (0) to {softer.label} (1) each lighter shaft has a place "
        "by its frequency and a place by what it delivers. It plays to its letter if what it delivers lies nearer "
        "to 0 than to the place of its frequency, and to its frequency if not. Where the two foretell less than a "
        "difference apart, it cannot be told.",
        static_table([*ordered, softer], readings),
        f"Places by frequency: {', '.join(f'{_short(c)} {number(foretold[c.label], 2)}' for c in lighter)}. "
        f"Change against {heavy.label}, and what the {len(lighter)} lighter shafts play to:",
        _table(cases, at, words),
        "**What came out.** That a lighter shaft of the letter reads a lower frequency than the one before, by "
        f"{LEAST_CPM:g} cpm or more, {verdict([reads])}. {' '.join(text)} The letter alone, {softer.label} against "
        f"an S of its weight (read between its neighbours), changes loft by {interval(alone, 2, '°')}: no "
        f"difference in {small} of {len(alone)} cases.",
        "Not seen: lighter shafts whose walls and steps change otherwise than in these files, a head weight or a "
        "length chosen to go with the lighter shaft, and feel.",
    ]
    return Claim("1. Lighter steel of one letter", "\n\n".join(body), tuple(summary))


def _short(club: Club) -> str:
    return f"{1e3 * club.shaft.mass:.0f} {club.shaft.letter}"


@dataclass(frozen=True)
class _Way:
    """The way from the heavy shaft of the letter to the softer letter, and the lighter shafts along it."""

    heavy: Club
    lighter: Sequence[Club]
    softer: Club
    foretold: Mapping[str, float | None]

    def of(self, found: Mapping[Key, Figures], club: Club, key: str) -> float | None:
        """One figure of a club in one case."""
        return found["irons" if club is self.softer else "lighter_steel", club.label][key]

    def to(self, found: Mapping[Key, Figures], club: Club, key: str) -> float | None:
        """A figure's change from the heavy shaft."""
        return change(self.of(found, self.heavy, key), self.of(found, club, key))

    def least(self, found: Mapping[Key, Figures], key: str) -> float:
        """The smallest difference that counts."""
        if key != HALF:
            return LEAST_DEG
        sure = [self.of(found, c, "resolution_ms") for c in (self.heavy, self.softer, *self.lighter)]
        return max([LEAST_MS, *(s for s in sure if s is not None)])

    def words(self, found: Mapping[Key, Figures], key: str) -> list[str]:
        """What each lighter shaft plays to."""
        way, least = self.to(found, self.softer, key), self.least(found, key)
        start, end = (self.of(found, club, key) for club in (self.heavy, self.softer))
        places = ((club, place(self.of(found, club, key), start, end, least)) for club in self.lighter)
        return [plays_to(own, self.foretold[club.label], way, least) for club, own in places]

    def letter_alone(self, found: Mapping[Key, Figures], key: str) -> float | None:
        """The softer letter against a shaft of the letter of its weight, read straight between neighbours."""
        shafts = sorted((self.heavy, *self.lighter), key=lambda club: club.shaft.mass)
        values, own = [self.of(found, club, key) for club in shafts], self.of(found, self.softer, key)
        known = [v for v in values if v is not None]
        if own is None or len(known) < len(values):
            return None
        return own - float(np.interp(self.softer.shaft.mass, [c.shaft.mass for c in shafts], known))


def _table(cases: Cases, at: _Way, words: Mapping[str, Sequence[Sequence[str]]]) -> str:
    lightest, head = at.lighter[-1], ["golfer", "hands"]
    for _, label, _, _ in _COLUMNS:
        head += [f"{label}: to {_short(lightest)}", f"to {_short(at.softer)}", "play to"]
    rows = []
    for i, ((golfer, hands), found) in enumerate(cases.items()):
        row = [golfer, hands]
        for key, *_ in _COLUMNS:
            moved = (number(at.to(found, club, key), 2, sign=True) for club in (lightest, at.softer))
            row += [*moved, counts(words[key][i])]
        rows.append(row)
    return table(head, rows, left=2)
