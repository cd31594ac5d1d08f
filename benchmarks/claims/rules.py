"""The rules by which computed figures become words. No simulation happens here.

Every word on the page about what came out is made by a function of this file from numbers, so that a page
written again after a change can say nothing that the numbers do not.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

LEAST_DEG = 0.1
"""A smaller change of an angle counts as no difference: common practice, no source."""
LEAST_MPS = 0.1
"""The same for head speed, m/s."""
LEAST_MM = 1.0
"""The same for the strike point, mm."""
LEAST_MS = 0.1
"""Half-unloads closer than this, or than their resolution, are equal."""
LEAST_CPM = 1.0
"""Frequencies closer than this are equal."""
LEAST_TAU = 0.2
"""Two τ-b closer than this are alike, and a smaller one has no sign. Between a dozen shafts without any
association τ has a standard deviation of √(2(2n+5)/(9n(n−1))) = 0.22 (Kendall 1938, Biometrika 30:81)."""
CLEAR_TAU = 0.6
"""Orders go together from here on: for eight golfers twice that standard deviation, 0.29; for more it is smaller."""
UNKNOWN = "cannot be told"


def differs(changes: Iterable[tuple[float | None, float]]) -> bool | None:
    """Whether any (change, least) reaches its least size; None when a change is missing and none reaches it."""
    missing = False
    for change, least in changes:
        if change is None or not math.isfinite(change):
            missing = True
        elif abs(change) >= least:
            return True
    return None if missing else False


def span(values: Sequence[float | None]) -> float | None:
    """Largest minus smallest; None when a value is missing or there are fewer than two."""
    known = [v for v in values if v is not None and math.isfinite(v)]
    return max(known) - min(known) if len(known) == len(values) >= 2 else None


def greater(a: float | None, b: float | None, least: float, names: tuple[str, str]) -> str:
    """Which of two sizes is greater by at least `least`: its name, "alike", or that it cannot be told."""
    if a is None or b is None:
        return UNKNOWN
    if abs(a - b) < least:
        return "alike"
    return names[0] if a > b else names[1]


def place(value: float | None, start: float | None, end: float | None, least: float) -> float | None:
    """Where a value lies on the way from `start` (0) to `end` (1); None when those are closer than `least`."""
    if value is None or start is None or end is None or abs(end - start) < least:
        return None
    return (value - start) / (end - start)


def plays_to(place_of_figure: float | None, foretold: float | None, way: float | None, least: float) -> str:
    """Whether a shaft plays to its letter or to its frequency.

    Parameters
    ----------
    place_of_figure : of a delivered figure, on the way from the heavy shaft of the letter (0) to the shaft of the
        next softer letter (1)
    foretold : place of its frequency on the same way
    way : the figure's change over the whole way
    least : the smallest difference that counts; letter (place 0) and frequency must foretell figures that far apart
    """
    if place_of_figure is None or foretold is None or way is None or abs(foretold * way) < least:
        return UNKNOWN
    return "letter" if abs(place_of_figure) < abs(place_of_figure - foretold) else "frequency"


def falls(values: Sequence[float], least: float) -> bool:
    """Whether each value is smaller than the one before by at least `least`."""
    return all(a - b >= least for a, b in pairwise(values))


def verdict(holds: Sequence[bool | None]) -> str:
    """In how many of the cases that can be told a claim comes out."""
    told = [h for h in holds if h is not None]
    if not told:
        return f"**{UNKNOWN}**"
    yes, number_told = sum(told), len(told)
    if yes == number_told:
        words = "**comes out**" + (f" in all {yes} cases" if yes > 1 else "")
    elif yes == 0:
        words = "**does not come out**" + (f" in any of {number_told} cases" if number_told > 1 else "")
    else:
        words = f"**comes out in part**, in {yes} of {number_told} cases"
    untold = len(holds) - number_told
    return f"{words} ({untold} more cannot be told)" if untold else words


def by_group(groups: Sequence[str], holds: Sequence[bool | None]) -> str:
    """How many cases of each group hold: "vice 3 of 8; hold 0 of 8"; groups where nothing can be told say so."""
    parts = []
    for group in dict.fromkeys(groups):
        told = [h for g, h in zip(groups, holds, strict=True) if g == group and h is not None]
        parts.append(f"{group} {sum(told)} of {len(told)}" if told else f"{group} {UNKNOWN}")
    return "; ".join(parts)


def depends(groups: Sequence[str], holds: Sequence[bool | None]) -> bool:
    """Whether the share of cases that hold is not the same in every group that has any."""
    shares = set()
    for group in set(groups):
        told = [h for g, h in zip(groups, holds, strict=True) if g == group and h is not None]
        if told:
            shares.add(sum(told) / len(told))
    return len(shares) > 1


def dependence(name: str, groups: Sequence[str], holds: Sequence[bool | None]) -> str:
    """A sentence on whether the outcome depends on the grouping (hands, golfer)."""
    if all(h is None for h in holds):
        return f"Nothing can be said by {name}."
    if depends(groups, holds):
        return f"It depends on the {name}: {by_group(groups, holds)}."
    return f"It does not depend on the {name}."


def counts(words: Sequence[str]) -> str:
    """How often each word comes, most often first: "CG 20, alike 4"."""
    found: Mapping[str, int] = {w: words.count(w) for w in dict.fromkeys(words)}
    return ", ".join(f"{w} {n}" for w, n in sorted(found.items(), key=lambda item: (-item[1], item[0])))


def signs(taus: Sequence[float | None], least: float = LEAST_TAU) -> str:
    """Whether an association keeps its sign over cases; those smaller than `least` have none."""
    found = {
        "+": sum(tau is not None and tau >= least for tau in taus),
        "−": sum(tau is not None and tau <= -least for tau in taus),
    }
    found["none"] = len(taus) - sum(found.values())
    kept = {word: count for word, count in found.items() if count}
    if len(kept) == 1:
        return f"{next(iter(kept))} in all {len(taus)}"
    words = ", ".join(f"{word} in {count}" for word, count in kept.items())
    return f"turns over ({words})" if found["+"] and found["−"] else words


def goes_with(tau: float | None) -> bool | None:
    """Whether two orders go together, either way; None without a τ-b."""
    return None if tau is None else abs(tau) >= CLEAR_TAU


def interval(values: Iterable[float | None], decimals: int, unit: str = "") -> str:
    """From the least to the greatest, as in 0.01 to 0.35°; a dash when nothing is there."""
    known = [v for v in values if v is not None and math.isfinite(v)]
    if not known:
        return "–"
    low, high = number(min(known), decimals), number(max(known), decimals)
    return f"{low}{unit}" if low == high else f"{low} to {high}{unit}"


def change_of(values: Iterable[float | None], unit: str, decimals: int) -> str:
    """How far changes go and which way, as in +2.0 to +4.5 %: every number with its sign."""
    known = [v for v in values if v is not None and math.isfinite(v)]
    if not known:
        return UNKNOWN
    low, high = (number(v, decimals, sign=True) for v in (min(known), max(known)))
    gap = "" if unit == "°" else " "
    return f"{low}{gap}{unit}" if low == high else f"{low} to {high}{gap}{unit}"


def number(value: float | None, decimals: int, *, sign: bool = False) -> str:
    """A number as the page shows it; a dash where there is none; no minus before zero."""
    if value is None or not math.isfinite(value):
        return "–"
    text = f"{value:{'+' if sign else ''}.{decimals}f}"
    return text.replace("-", "−") if text.strip("+-0.") else text.lstrip("+-")


def table(head: Sequence[str], rows: Sequence[Sequence[str]], left: int = 1) -> str:
    """A Markdown table; the first `left` columns are set left, the others right."""
    rule = [":--" if i < left else "--:" for i in range(len(head))]
    return "\n".join("| " + " | ".join(cells) + " |" for cells in (head, rule, *rows))
