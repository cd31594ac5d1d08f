"""A study of swings: its cases by number, and what they give. `load.load_study` makes one of its file."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.club.build import Club
from swingbeam.study.shots import Range
from swingbeam.swing.hands import HOLD

from .figures import (
    BENCH,
    COARSE_STEP,
    FAILED,
    FULL_STEP,
    Figure,
    Swung,
    Way,
    curve_outputs,
    rows_of,
    spot_limits,
)
from .golfers import ReadyGolfer
from .groups import swing_base, swing_group
from .makers import Recipe
from .problem import HISTORIES, Array, Input, Output, Rows, Sample
from .sampling import Plan, Sensitivity
from .side_by_side import goes_side_by_side
from .static_figures import beside_swings
from .workshop import Workshop

SPOT_SHARE, FEWEST_SPOTS, MOST_SPOTS = 0.01, 5, 200
SMALLEST_BATCH, LARGEST_BATCH, LARGEST_SLOW_BATCH = 32, 1024, 256
"""Cases; the last where clubs are swung one after another. Two workers that share a golfer both make him."""
MANY_GOLFERS = 8


@dataclass(eq=False)
class SwingStudy:
    """A study of swings; attributes as of `Problem`, and

    Attributes
    ----------
    recipe : what its cases are made of
    plan : which cases there are
    figures : its outputs
    ball, solver, start : how every case is swung
    where : what the balls fly through
    approximation : what is left out, in words; empty when nothing is
    """

    name: str
    question: str
    kind: str
    held: str
    seed: int
    digest: str
    inputs: tuple[Input, ...]
    files: tuple[tuple[str, str], ...]
    recipe: Recipe
    plan: Plan
    figures: tuple[Figure, ...]
    ball: str
    solver: str
    start: str
    where: Range
    approximation: str = ""

    def __getstate__(self) -> dict[str, Any]:
        # What was made stays in its process: it holds locks, and is made again from the same recipe.
        return {k: v for k, v in vars(self).items() if k not in ("workshop", "downswing", "_swung")}

    @property
    def count(self) -> int:
        """Number of cases."""
        return self.plan.count

    @property
    def batch(self) -> int:
        """Cases that are best run together: all of a golfer's, or an even part of them, where there are golfers enough
        for every worker; else enough to fill the lanes.
        """
        together = self.plan.run_length
        if together <= SMALLEST_BATCH:
            return together * (SMALLEST_BATCH // together)
        if self.count < MANY_GOLFERS * together:
            return SMALLEST_BATCH
        plain = Way(HOLD, self.ball, self.solver, self.where, self._swung, np.zeros(0))
        largest = LARGEST_BATCH if goes_side_by_side(plain) else LARGEST_SLOW_BATCH
        even = (size for size in range(largest, SMALLEST_BATCH, -1) if together % size == 0)
        return next(even, largest)

    @cached_property
    def outputs(self) -> tuple[Output, ...]:
        """What a case gives."""
        return tuple(figure.output for figure in self.figures)

    @cached_property
    def curves(self) -> tuple[Output, ...]:
        """What can be kept over time."""
        return curve_outputs()

    @cached_property
    def workshop(self) -> Workshop:
        """This process's golfers and clubs."""
        return Workshop(self.recipe, self.start, self.figures)

    @cached_property
    def downswing(self) -> float:
        """Length of the longest downswing among the study's swings as their files state them, s.

        Raises
        ------
        InputError, SimulationError
            One of them cannot be aimed.
        """
        return max(self.workshop.golfers.base(name).frame.downswing for name in self.recipe.swings_used())

    def values(self, cases: NDArray[np.int64]) -> Array:
        """(k, inputs) SI values of some cases."""
        return self.plan.values(np.asarray(cases, dtype=np.int64))

    def sample(self, cases: NDArray[np.int64]) -> Sample | None:
        """How they belong together in a sensitivity plan; None in any other."""
        return self.plan.sample(cases) if isinstance(self.plan, Sensitivity) else None

    @property
    def sample_rows(self) -> int | None:
        """Base rows a sensitivity plan asks for, its spare rows not counted; None in any other."""
        return self.plan.rows if isinstance(self.plan, Sensitivity) else None

    def times(self, history: str) -> Array:
        """(m,) s before impact of the curves, over the base swing's downswing."""
        if history not in HISTORIES:
            raise InputError(f"history: found {history!r}; allowed: {', '.join(HISTORIES)}")
        if history == "none":
            return np.zeros(0)
        step = COARSE_STEP if history == "coarse" else FULL_STEP
        return np.asarray(step * np.arange(-int(np.ceil(self.downswing / step - 1e-9)), 1, dtype=float))

    def prepare(self) -> None:
        """Aim the study's own golfer and swing the first case that can be: compiles whatever the cases need.

        Raises
        ------
        InputError, SimulationError
            The study's own golfer cannot be aimed, with which no case would mean anything.
        """
        _ = self.downswing
        if isinstance(self.plan, Sensitivity):
            _ = self.plan.halves
        self.values(np.zeros(1, dtype=np.int64))
        for case in range(min(self.count, 8)):
            if self.evaluate(np.array([case])).status[0] != FAILED:
                break

    def evaluate(self, cases: NDArray[np.int64], history: str = "none") -> Rows:
        """Swing some cases: the same figures whatever they are swung beside and in whatever order."""
        return self._evaluate(np.asarray(cases, dtype=np.int64), self.solver, self.times(history))

    @cached_property
    def spot_cases(self) -> NDArray[np.int64]:
        """Cases that are swung with the other solver too: a seeded hundredth, 5 to 200."""
        wanted = min(self.count, max(FEWEST_SPOTS, min(MOST_SPOTS, round(SPOT_SHARE * self.count))))
        if self.count <= 100_000:
            drawn = np.random.default_rng(self.seed).choice(self.count, wanted, replace=False)
        else:  # without laying out all the numbers
            drawn = np.unique(np.random.default_rng(self.seed).integers(0, self.count, 2 * wanted))
            drawn = np.random.default_rng(self.seed).permutation(drawn)[:wanted]
        return np.sort(drawn).astype(np.int64)

    def prepare_spots(self) -> None:
        """Swing one of them with the other solver: compiles it."""
        if self.spot_cases.size:
            self.spot_check(self.spot_cases[:1])

    @property
    def spot_limits(self) -> dict[str, float]:
        """How far the solvers may lie apart: output → limit in its shown unit."""
        return spot_limits(self.figures)

    def spot_check(self, cases: NDArray[np.int64]) -> Rows:
        """Differences of some cases: the other solver less the study's; NaN where one of them has no figure."""
        ids = np.asarray(cases, dtype=np.int64)
        own = self._evaluate(ids, self.solver, np.zeros(0))
        other = self._evaluate(ids, "elements" if self.solver == "curvature" else "curvature", np.zeros(0))
        reasons = [
            "" if a == b == 0 else "; ".join(text for text in (why, whose) if text)
            for a, b, why, whose in zip(own.status, other.status, own.reasons, other.reasons, strict=True)
        ]
        return Rows(other.values - own.values, np.maximum(own.status, other.status), reasons)

    def _evaluate(self, cases: NDArray[np.int64], solver: str, times: Array) -> Rows:
        """Group by golfer and hands, swing each group, put the rows back into the order asked for."""
        rows = self.values(cases).tolist()
        shop = self.workshop
        clubs = shop.clubs(rows)
        groups: dict[tuple[float, ...], list[int]] = defaultdict(list)
        key_places = (*shop.golfers.places, *shop.hand_places)
        for place, row in enumerate(rows):
            groups[tuple(row[i] for i in key_places)].append(place)
        found: list[tuple[list[int], Rows]] = []
        for members in groups.values():
            found += self._group(rows[members[0]], [(i, clubs[i]) for i in members], solver, times)
        swung = _in_order(found, len(rows))
        if len(self._swung) == len(self.figures):
            return swung
        return beside_swings(swung, shop.shafts_read(rows, clubs), self.figures)

    @cached_property
    def _swung(self) -> tuple[Figure, ...]:
        """The figures that are swung for."""
        return tuple(figure for figure in self.figures if figure.part != BENCH)

    def _group(
        self, values: Sequence[float], members: list[tuple[int, Club | str]], solver: str, times: Array
    ) -> list[tuple[list[int], Rows]]:
        """Rows of the clubs of one golfer and his hands, with their places."""
        shop = self.workshop

        def failed(places: list[int], reason: str) -> tuple[list[int], Rows]:
            return places, rows_of([Swung(FAILED, reason)] * len(places), self._swung, times)

        everyone = [place for place, _ in members]
        hands = shop.hands(values)
        if isinstance(hands, str):
            return [failed(everyone, f"hands: {hands}")]
        ready = shop.golfers.get(values)
        if ready.golfer is None:
            return [failed(everyone, f"the golfer: {ready.reason}")]
        way = Way(hands, self.ball, solver, self.where, self._swung, times)
        base = self._base(ready, way)
        found: list[tuple[list[int], Rows]] = []
        clubs: list[tuple[int, Club]] = []
        for place, club in members:
            if isinstance(club, str):
                found.append(failed([place], f"the club: {club}"))
            else:
                clubs.append((place, club))
        if clubs:
            found.append(([p for p, _ in clubs], swing_group(ready.golfer, [c for _, c in clubs], way, base)))
        return found

    def _base(self, ready: ReadyGolfer, way: Way) -> Swung | None:
        golfer = ready.golfer
        if golfer is None or not way.wants_base:
            return None
        plain = replace(way, times=np.zeros(0))
        return ready.base(way.hands, way.solver, lambda: swing_base(golfer, plain))


def _in_order(found: list[tuple[list[int], Rows]], count: int) -> Rows:
    """The rows of groups, put back to the places they have."""
    width = found[0][1].values.shape[1] if found else 0
    values, status = np.full((count, width), np.nan), np.full(count, FAILED, dtype=np.int8)
    reasons = [""] * count
    names = found[0][1].curves if found else {}
    curves = {name: np.full((count, curve.shape[1]), np.nan) for name, curve in names.items()}
    for places, rows in found:
        values[places], status[places] = rows.values, rows.status
        for place, reason in zip(places, rows.reasons, strict=True):
            reasons[place] = reason
        for name, curve in rows.curves.items():
            curves[name][places] = curve
    return Rows(values, status, reasons, curves)
