"""Plain sentences made from a ranking's numbers; none says more than the numbers carry.

A difference of timing smaller than its resolution is said to be none; a difference of face or loft is given with what
the other kinds of hands make of it; a change of flight that is smaller than its error, or turns with the hands, is
called not resolved.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from swingbeam.delivery.places import LEAST_HOLD
from swingbeam.study.conclusions import FLOORS, conclusions_of
from swingbeam.study.quantities import IMPACT, SHOT, UNLOAD, Quantity
from swingbeam.study.result import HANDS, ClubRun, RankResult

from .choose import Chosen
from .units import figure

ADAPTS = "before the golfer adapts"
_KEYS = {q.key: q for q in (*UNLOAD, *IMPACT, *SHOT)}
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def listed(names: Sequence[str]) -> str:
    """Names as a sentence lists them."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def number_word(count: int) -> str:
    """Small whole numbers in words."""
    return _NUMBERS[count] if count < len(_NUMBERS) else str(count)


def answers(result: RankResult, chosen: Sequence[Chosen]) -> list[Markup]:
    """What the page says first, one sentence or two an entry."""
    found = [order_sentence(result)]
    found += [pair_sentence(result, first, second) for first, second in pairs_of(result, chosen)]
    found.append(hands_sentence(result))
    carry = carry_sentence(result)
    return found if carry is None else [*found, carry]


def pairs_of(result: RankResult, chosen: Sequence[Chosen]) -> list[tuple[ClubRun, ClubRun]]:
    """The pairs that are compared: the earliest of the chosen with the latest, and each with the reference club."""
    there = [c.run for c in chosen if c.run.unload is not None and c.run.unload.half is not None]
    there.sort(key=lambda run: run.unload.half if run.unload and run.unload.half is not None else 0.0)
    found = [(there[0], there[-1])] if len(there) > 1 else []
    for run in there:
        for other in there:
            pair = (run, other) if there.index(run) < there.index(other) else (other, run)
            if other.shaft == result.reference and run is not other and pair not in found:
                found.append(pair)
    return found[:3]


def order_sentence(result: RankResult) -> Markup:
    """Who unloads first and last, ties said."""
    ranked = [run for run in result.runs if run.rank is not None and run.unload is not None]
    count, golfer = len(result.runs), result.golfer
    if not ranked:
        return Markup("None of the {} shafts has a half-unload for {}: they cannot be ranked.").format(count, golfer)
    ranks = sorted({run.rank for run in ranked if run.rank is not None})
    first = [run for run in ranked if run.rank == ranks[0]]
    if len(ranks) == 1:
        if len(first) == 1:
            return Markup("{} unloads {} before impact for {}.").format(first[0].shaft, _before(first), golfer)
        text = Markup("For {} the {} shafts unload too close together to be told apart, {} before impact.")
        return text.format(golfer, number_word(len(first)), _before(first))
    last = [run for run in ranked if run.rank == ranks[-1]]
    return Markup("Of {} shafts swung by {}, {} {}, {} before impact; {} {}, {} before.").format(
        number_word(count),
        golfer,
        listed([run.shaft for run in first]),
        "unloads first" if len(first) == 1 else "unload first, too close together to be told apart",
        _before(first),
        listed([run.shaft for run in last]),
        "last" if len(last) == 1 else "last, together",
        _before(last),
    )


def _before(runs: Sequence[ClubRun]) -> str:
    times = [-1e3 * run.unload.half for run in runs if run.unload is not None and run.unload.half is not None]
    texts = [f"{value:.1f}" for value in (max(times), min(times))]
    return f"{texts[0]} ms" if texts[0] == texts[1] else f"{texts[0]} to {texts[1]} ms"


@dataclass(frozen=True)
class Certainty:
    """Of a difference between two clubs under the kinds of hands: how many say more, less, and nothing."""

    more: int
    less: int
    none: int

    @property
    def known(self) -> int:
        return self.more + self.less + self.none


def certainty(result: RankResult, a: ClubRun, b: ClubRun, key: str) -> Certainty:
    """Of the difference a − b of one figure; nothing is known where the file keeps no other kind of hands."""
    more = less = none = 0
    for mode in HANDS:
        x, y = a.under.get(mode, {}).get(key), b.under.get(mode, {}).get(key)
        if x is None and a.shaft == result.reference:
            x = 0.0
        if y is None and b.shaft == result.reference:
            y = 0.0
        if x is None or y is None:
            continue
        if abs(x - y) < FLOORS[key]:
            none += 1
        elif x > y:
            more += 1
        else:
            less += 1
    return Certainty(more, less, none)


def pair_sentence(result: RankResult, a: ClubRun, b: ClubRun) -> Markup:
    """How two clubs compare: the first of them unloads earlier, or as early."""
    text = _timing(result, a, b)
    delivered = [part for part in (_loft(result, a, b), _face(result, a, b)) if part]
    apart = _told_apart(a, b)
    if delivered:
        how = " and delivers" if apart else f"; {a.shaft} delivers"
        text += Markup("{} {}, {}").format(how, Markup(" and ").join(delivered), ADAPTS)
    held = held_in(result, a.shaft, b.shaft)
    if held is not None and apart and result.repeated is not None:
        text += Markup("; on {} of this golfer’s swings the order of unloading held {:.0f} times in 100{}").format(
            result.repeated.swings, 100.0 * held, "" if held >= LEAST_HOLD else ": not resolved"
        )
    return text + Markup(".")


def held_in(result: RankResult, first: str, second: str) -> float | None:
    """In what share of the golfer's repeated swings the first club unloads before the second, ties counted half."""
    found = result.repeated
    if found is None or first not in found.clubs or second not in found.clubs:
        return None
    share = float(found.before[found.row(first), found.row(second)])
    return share if math.isfinite(share) else None


def _told_apart(a: ClubRun, b: ClubRun) -> bool:
    """Whether two clubs' half-unloads differ by more than their resolution and their ranks say so."""
    if a.unload is None or b.unload is None or a.unload.half is None or b.unload.half is None:
        return False
    if a.resolution is None or b.resolution is None:
        return False
    ranked_apart = a.rank != b.rank or a.rank is None
    return ranked_apart and abs(a.unload.half - b.unload.half) > max(a.resolution, b.resolution)


def _timing(result: RankResult, a: ClubRun, b: ClubRun) -> Markup:
    halves = [run.unload.half if run.unload is not None else None for run in (a, b)]
    if halves[0] is None or halves[1] is None:
        return Markup("{} and {} cannot be compared by when they unload").format(a.shaft, b.shaft)
    apart = 1e3 * (halves[1] - halves[0])
    if not _told_apart(a, b):
        known = [run.resolution for run in (a, b) if run.resolution is not None]
        why = f"resolved to {1e3 * max(known):.2f} ms" if len(known) == 2 else "no resolution is known"
        text = Markup("{} and {} unload too close together to be told apart ({:.2f} ms; {})")
        return text.format(a.shaft, b.shaft, abs(apart), why)
    text = Markup("{} unloads {} ms before {} for this golfer").format(a.shaft, f"{apart:.1f}", b.shaft)
    sure = certainty(result, a, b, "half_ms")
    if sure.known == len(HANDS):
        if sure.more:
            text += Markup(" (with “{}” hands; after it with others)").format(result.hands)
        elif sure.less == len(HANDS):
            text += Markup(" (with all three kinds of hands)")
    return text


def _loft(result: RankResult, a: ClubRun, b: ClubRun) -> Markup | None:
    return _delivered(result, a, b, "dynamic_loft_deg", "more loft", "less loft", "the same loft")


def _face(result: RankResult, a: ClubRun, b: ClubRun) -> Markup | None:
    return _delivered(result, a, b, "face_angle_deg", "more open", "more closed", "the same face angle", "a face ")


def _delivered(
    result: RankResult, a: ClubRun, b: ClubRun, key: str, more: str, less: str, same: str, before: str = ""
) -> Markup | None:
    q = _KEYS[key]
    x, y = q.of(a.impact), q.of(b.impact)
    if x is None or y is None:
        return None
    difference = x - y
    if abs(difference) < FLOORS[key]:
        return Markup("{} within {:g}°").format(same, FLOORS[key])
    words = more if difference > 0.0 else less
    text = Markup("{}{}° {}").format(before, f"{abs(difference):.{_places(difference)}f}", words)
    sure = certainty(result, a, b, key)
    against = sure.less if difference > 0.0 else sure.more
    if against:
        return text + Markup(" (not resolved)")
    if sure.none:
        return text + Markup(" (not with all hands)")
    return text


def _places(difference: float) -> int:
    """Decimals of an angle: tenths, hundredths where tenths would round most of it away."""
    return 1 if abs(difference) >= 0.15 else 2


def hands_sentence(result: RankResult) -> Markup:
    """Which orders of shafts hold whatever the hands are."""
    found = {c.key: c for c in conclusions_of(result)}
    half, loft, lag = (found.get(key) for key in ("half_ms", "dynamic_loft_deg", "lag_peak_mm"))
    if half is None or loft is None or lag is None:
        return Markup("{}").format(result.statement)
    parts = []
    for words, c in (("the timing order", half), ("the order of loft", loft), ("the order of lag", lag)):
        if not c.pairs:
            parts.append(f"{words} says nothing: no two shafts differ")
        elif c.holds:
            parts.append(f"{words} is reversed for no pair of shafts")
        else:
            parts.append(f"{words} turns round for {len(c.swapped)} of {c.pairs} pairs")
    text = Markup("With other hands, {}.").format("; ".join(parts))
    if not half.holds:
        text += Markup(" When a shaft unloads belongs to shaft and hands together.")
    return text


def carry_sentence(result: RankResult) -> Markup | None:
    """What of the change of carry is resolved."""
    q = _KEYS["carry_m"]
    others = [run for run in result.runs if run.flight is not None and run.shaft != result.reference]
    if not others:
        return None
    known = [run for run in others if run.flight is not None and run.flight.is_resolved("carry")]
    if not known:
        text = Markup("No shaft changes the carry against {} by more than can be resolved.")
        return text.format(result.reference)
    values = {run.shaft: q.of(run.flight.change) or 0.0 for run in known if run.flight is not None}
    low, high = min(values, key=lambda name: values[name]), max(values, key=lambda name: values[name])
    head = Markup("Carry changes against {} are resolved for {} of {} shafts: ").format(
        result.reference, number_word(len(known)), number_word(len(others))
    )
    ends = [_carried(q, name, values[name]) for name in dict.fromkeys((high, low))]
    return head + Markup("; ").join(ends) + Markup(".")


def _carried(q: Quantity, name: str, value: float) -> Markup:
    words = "longer" if value > 0.0 else "shorter"
    return Markup("{} {} {}").format(name, figure(q, abs(value), unit=True), words)


def bench_sentence(result: RankResult) -> Markup:
    """How the bench would have ordered the shafts by timing."""
    found = [a for a in result.agreements if a.order == "timing" and a.tau is not None]
    if not found:
        reasons = {a.words for a in result.agreements}
        return Markup("The bench's order cannot be compared: {}.").format(
            listed(sorted(reasons)) if reasons else "none"
        )
    best = max(found, key=lambda a: abs(a.tau or 0.0))
    worst = min(found, key=lambda a: abs(a.tau or 0.0))
    text = Markup("By {} alone the bench would have put the shafts nearest to this golfer’s timing order (τ {}: {})")
    text = text.format(best.figure, _tau(best.tau), best.words)
    if worst is not best:
        text += Markup("; by {} farthest from it (τ {})").format(worst.figure, _tau(worst.tau))
    return text + Markup(". It holds for these shafts, this golfer and “{}” hands.").format(result.hands)


def _tau(tau: float | None) -> str:
    return "–" if tau is None else f"{tau:+.2f}".replace("-", "−")
