"""What readings say nothing of: where along the shaft, and of which property."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swingbeam.bench.inverse import FoundProfile
from swingbeam.bench.measured import Wanted, predict
from swingbeam.bench.sensitivity import PROPERTIES
from swingbeam.bench.unknowns import RATIO_HABIT, shaft_of
from swingbeam.units import show

Array = NDArray[np.float64]

UNTOUCHED = 1e-11
"""Relative change of a reading by a whole unit of the log, below which it does not look at a place: inside a clamp, or
beyond a support, there is none but round-off."""
LOOSE = 0.5
"""Share of the prior standard deviation from which on a band is the prior's rather than the readings'."""
EDGE = 1e-3
"""m to which the edge of what is looked at is found."""


@dataclass(frozen=True)
class Gap:
    """A piece of the shaft of which the readings say nothing, or next to nothing, about a property.

    Attributes
    ----------
    property : "EI", "GJ" or "mass"
    start, end : m from the butt
    touched : False: no reading changes with it there at all; True: the band is more than `LOOSE` of what was
        expected beforehand
    half_width : largest half-width of the 95 % band there, as a share
    """

    property: str
    start: float
    end: float
    touched: bool
    half_width: float

    def describe(self, raw_length: float) -> str:
        """In words, with inches from both ends."""
        why = "loosely known" if self.touched else "no reading looks there; carried on from its neighbours"
        if self.start <= EDGE and self.end >= raw_length - EDGE:
            where = "all along"
        else:
            where = f"{show(self.start, 'in', 1)} to {show(self.end, 'in', 1)} from the butt"
        return f"{self.property} {where}: {why} (±{100.0 * self.half_width:.0f} %)"


def gaps(found: FoundProfile) -> tuple[Gap, ...]:
    """Where the readings leave a property open, property by property, from the butt."""
    unknowns = found.unknowns
    n = unknowns.s.size
    size = np.maximum(np.abs(found.linear.value), 1e-12)
    touched = np.max(np.abs(found.linear.logs) / size[:, None], axis=0).reshape(3, n) > UNTOUCHED
    loose = found.log_sd > LOOSE * found.prior_log_sd
    out = []
    for k in range(3):
        if k == 1 and (not unknowns.has_ratio or not touched[1].any()):
            continue
        out += _runs(found, k, ~touched[k], False)
        out += _runs(found, k, touched[k] & loose[k], True)
    return tuple(sorted(out, key=lambda gap: (PROPERTIES.index(gap.property), gap.start)))


def _runs(found: FoundProfile, k: int, flags: NDArray[np.bool_], touched: bool) -> list[Gap]:
    s = found.unknowns.s
    last_station = s.size - 1
    out = []
    marks = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(int), [0]])))
    for first, after in zip(marks[0::2], marks[1::2], strict=True):
        start, end = float(s[first]), float(s[after - 1])
        if not touched:
            # A station's derivative is nil when the pieces on both its sides are: the edges lie beyond them.
            start = 0.0 if first <= 1 else _edge(found, k, float(s[first - 2]), float(s[first - 1]))
            end = s[-1] if after >= last_station else _edge(found, k, float(s[after + 1]), float(s[after]))
        out.append(_gap(found, k, start, float(end), touched))
    if not touched:
        # A clamp shorter than the first piece leaves no station untouched.
        if not flags[0]:
            out.append(_gap(found, k, 0.0, _edge(found, k, float(s[1]), 0.0), False))
        if not flags[-1]:
            out.append(_gap(found, k, _edge(found, k, float(s[-2]), float(s[-1])), float(s[-1]), False))
    return [gap for gap in out if gap.end - gap.start > 2.0 * EDGE]


def _gap(found: FoundProfile, k: int, start: float, end: float, touched: bool) -> Gap:
    s = found.unknowns.s
    inside = (s >= start - EDGE) & (s <= end + EDGE)
    sd = found.log_sd[k, inside] if inside.any() else np.interp([0.5 * (start + end)], s, found.log_sd[k])
    return Gap(PROPERTIES[k], start, end, touched, float(np.expm1(1.959964 * sd.max())))


def _edge(found: FoundProfile, k: int, seen: float, unseen: float) -> float:
    """Where between two places (m) a reading begins to look: a change of the property up to there shows or not."""
    n = found.unknowns.s.size
    uses = np.any(np.abs(found.linear.logs[:, k * n : (k + 1) * n]) > 0.0, axis=1)
    asked = [r.measured.wanted for r, used in zip(found.residuals, uses, strict=True) if used]
    inside = unseen
    if _shows(found, k, asked, unseen + math.copysign(2.0 * EDGE, seen - unseen), inside):
        return unseen
    while abs(seen - unseen) > EDGE:
        middle = 0.5 * (seen + unseen)
        if _shows(found, k, asked, middle, inside):
            seen = middle
        else:
            unseen = middle
    return unseen


def _shows(found: FoundProfile, k: int, asked: list[Wanted], a: float, b: float) -> bool:
    """Whether a property 5 % higher between two places changes any reading."""
    low, high = min(a, b), max(a, b)
    unknowns = found.unknowns
    s, logs = unknowns.s, unknowns.logs(found.at)
    between = s[(s > low + 1e-6) & (s < high - 1e-6)]
    pieces = (s[s < low - 1e-6], [low], [low], between, [high], [high], s[s > high + 1e-6])
    places = np.concatenate(pieces)
    inside = np.repeat([False, False, True, True, True, False, False], [len(piece) for piece in pieces])
    # A piece that reaches an end of the shaft has no step there.
    kept = np.ones(places.size, dtype=bool)
    kept[0], kept[-1] = places[0] != places[1], places[-1] != places[-2]
    values = np.array([np.interp(places, s, row) for row in logs])
    base = predict(shaft_of(unknowns.facts, places[kept], *np.exp(values[:, kept])), asked)
    values[k, inside] += 0.05
    changed = predict(shaft_of(unknowns.facts, places[kept], *np.exp(values[:, kept])), asked)
    return bool(np.any(np.abs(changed - base) > 0.05 * UNTOUCHED * np.abs(base)))


def remarks(found: FoundProfile) -> tuple[str, ...]:
    """What the readings cannot say at all, in sentences."""
    out = []
    touched = np.any(np.abs(found.linear.logs.reshape(-1, 3, found.unknowns.s.size)) > 0.0, axis=(0, 2))
    poisson = found.unknowns.facts.poisson
    if poisson is not None:
        out.append(f"GJ is EI/(1 + ν) with the stated Poisson's ratio of {poisson:g}: a tube of one metal.")
    elif not touched[1]:
        ratio = np.exp(found.unknowns.logs(found.at)[1] - found.unknowns.logs(found.at)[0])
        words = f"scaled from EI by {float(np.mean(ratio)):.2f}"
        if not found.like:
            low, high = np.exp(RATIO_HABIT.level + np.array([-1.96, 1.96]) * RATIO_HABIT.level_sd)
            words += f" (common practice, {low:.2f} to {high:.2f})"
        else:
            words += f' (as "{found.like}")'
        out.append(f"GJ: no reading determines it: {words}. Add a torque reading.")
    mass_tests = {
        r.measured.wanted.test.name for r, row in zip(found.residuals, found.linear.logs, strict=True) if _has_mass(row)
    }
    if not touched[2]:
        out.append("Mass: no reading determines it: what shafts weigh in common practice. Add a weight.")
    elif "balance" in mass_tests:
        out.append(
            "Mass: weight and balance point fix the whole and where its middle is, MOI its spread; the shape between "
            "is the smoothest that fits."
        )
    return tuple(out)


def _has_mass(row: Array) -> bool:
    return bool(np.any(np.abs(row[2 * row.size // 3 :]) > 0.0))
