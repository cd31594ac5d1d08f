"""Which stiffness and damping of the hands come nearest to golfers who swing by torque: a search, for `hands.py`."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from swingbeam.beam.errors import SimulationError
from swingbeam.club.build import Club
from swingbeam.study.torque_trends import CHANGES, FIGURES, Change, Judge, Trends
from swingbeam.swing.hands import DOUBTFUL_ROLL_STIFFNESS, HOLD, Hands

Array = NDArray[np.float64]

FROM_MEMORY = Hands("from memory", np.array([20.0, 10.0, 40.0]), np.array([1.5, 0.1, 2.0]))
"""What `hold` would be without these golfers: two wrists tensed to 10–20 N·m/rad each, forearms to 3–8."""
AXES = ("hinge", "roll", "third")
LEAST = np.array([1.0, DOUBTFUL_ROLL_STIFFNESS, 2.0, 0.05, 0.01, 0.05])
MOST = np.array([100.0, 100.0, 2000.0, 20.0, 2.0, 60.0])
"""Stiffness N·m/rad and damping N·m·s/rad about `AXES` between which is searched."""
START = np.array([2.2, 19.0, 1500.0, 4.1, 0.01, 19.0])
"""Where the search starts: near where one from the values from memory ended after some 150 trials."""
MOST_TRIALS = 40
FAR = 1e3
"""The distance of hands under which a club could not be swung."""


def distances(found: Sequence[Trends], mode: str) -> Array:
    """(7,) for each figure, how far trends under hands are from those by torque: root mean square over golfers, changes
    and steps of the difference of changes from the reference, over the figure's size by torque in all of them."""
    middle = [one.torque.shape[0] // 2 for one in found]
    own = np.array([one.torque - one.torque[m] for one, m in zip(found, middle, strict=True)])
    other = np.array([one.hands[mode] - one.hands[mode][m] for one, m in zip(found, middle, strict=True)])
    size = np.sqrt(np.nanmean(own**2, axis=(0, 1)))
    return np.asarray(np.sqrt(np.nanmean(((other - own) / size) ** 2, axis=(0, 1))))


def distance(found: Sequence[Trends], modes: Sequence[str]) -> dict[str, float]:
    """The root mean square of `distances`, for each kind of hands."""
    return {mode: float(np.sqrt(np.mean(distances(found, mode) ** 2))) for mode in modes}


@dataclass(frozen=True, eq=False)
class Panel:
    """Golfers and the clubs they are judged with, all runs by torque made."""

    golfers: Sequence[Judge]
    clubs: Sequence[tuple[Judge, Change, list[Club]]]
    by_torque: Sequence[Array]
    """(steps, figures) for each of `clubs`"""

    @classmethod
    def of(cls, golfers: Sequence[Judge], all_trends: dict[str, list[Trends]]) -> Panel:
        """From trends that hold the runs by torque already."""
        pairs = [(judge, change, i) for change in CHANGES for i, judge in enumerate(golfers)]
        clubs = [(judge, change, [change.make(judge.club, s) for s in change.steps]) for judge, change, _ in pairs]
        return cls(golfers, clubs, [all_trends[change.name][i].torque for _, change, i in pairs])

    def away(self, hands: Hands) -> float:
        """The distance of hands from the golfers."""

        def swing(task: tuple[Judge, Club]) -> Array:
            return task[0].by_hands(task[1], hands)

        tasks = [(judge, club) for judge, _, clubs in self.clubs for club in clubs]
        try:
            with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
                rows = iter(list(pool.map(swing, tasks)))
        except SimulationError:
            return FAR
        found = [
            Trends(change, torque, {hands.name: np.array([next(rows) for _ in clubs])})
            for (_, change, clubs), torque in zip(self.clubs, self.by_torque, strict=True)
        ]
        return distance(found, [hands.name])[hands.name]

    def nearest(self) -> tuple[Hands, float]:
        """Hands nearest to the golfers: a simplex search (Nelder & Mead 1965, Computer Journal 7:308) in the logarithms
        of the six numbers, from `START`, each kept between `LEAST` and `MOST`."""

        def made(x: Array) -> Hands:
            values = np.clip(np.exp(x), LEAST, MOST)
            return Hands("fitted", values[:3], values[3:])

        start = np.log(START)
        corners = np.vstack([start, start + 0.25 * np.eye(6)])
        # Steps and gains far below what is told apart when the numbers are rounded.
        options = {"initial_simplex": corners, "maxfev": MOST_TRIALS, "xatol": 0.1, "fatol": 1e-3}
        found = minimize(lambda x: self.away(made(x)), start, method="Nelder-Mead", options=options)
        return made(found.x), float(found.fun)

    def around(self, hands: Hands) -> list[tuple[str, float, float]]:
        """Each of the six numbers alone (its name), halved and doubled: the distances."""
        rows = []
        for part in ("stiffness", "damping"):
            for axis, name in enumerate(AXES):
                changed = []
                for factor in (0.5, 2.0):
                    values = getattr(hands, part).copy()
                    values[axis] *= factor
                    changed.append(self.away(replace(hands, name="changed", **{part: values})))
                rows.append((f"{part}, {name}", changed[0], changed[1]))
        return rows


def as_set(hands: Hands) -> str:
    """Stiffness and damping in words."""
    stiffness, damping = (", ".join(f"{v:.3g}" for v in values) for values in (hands.stiffness, hands.damping))
    return f"stiffness {stiffness} N·m/rad and damping {damping} N·m·s/rad"


def chapter(
    panel: Panel, every: Sequence[Trends], hands: Sequence[Hands], fitted: tuple[Hands, float] | None
) -> list[str]:
    """The page's chapter on which hands come nearest; `every` holds the trends under all `hands`."""
    away = distance(every, [h.name for h in hands])
    rows = [(h.name, h, away[h.name]) for h in hands]
    memory = panel.away(FROM_MEMORY)
    rows.append((FROM_MEMORY.name, FROM_MEMORY, memory))
    lines = [
        "## Which hands come nearest",
        "",
        "Root mean square of the difference to the change by torque, each figure over its size in all of them "
        "(0: the same; 1: as far off as saying that nothing changes).",
        "",
        "| hands | stiffness N·m/rad (hinge, roll, third) | damping N·m·s/rad | distance |",
        "|---|---|---|---|",
    ]
    if fitted is not None:
        rows.append(("nearest found", *fitted))
    for name, own, value in rows:
        stiffness = ", ".join(f"{v:.3g}" for v in own.stiffness)
        lines.append(f"| {name} | {stiffness} | {', '.join(f'{v:.3g}' for v in own.damping)} | {value:.2f} |")
    searched = ""
    if fitted is not None:
        third = fitted[0].stiffness[2]
        searched = f": the search goes to {third:.3g} N·m/rad of its limit of {MOST[2]:g},"
    lines += [
        "",
        f"**`hold` was set so**: {as_set(HOLD)}, to agree best with these golfers, rounded to what the distance can "
        f"tell apart. Its distance is {away[HOLD.name]:.2f}; that of hands from memory alone is {memory:.2f}. These "
        f"golfers do not give about the third axis at all{searched} and nothing is learnt of hands there. `hold` stops "
        "at 80 N·m/rad, twice what two tensed wrists give (from memory).",
        "",
        "How flat it is around `hold`, one number changed at a time:",
        "",
        "| number | halved | doubled |",
        "|---|---|---|",
        *(f"| {name} | {half:.2f} | {double:.2f} |" for name, half, double in panel.around(HOLD)),
        "",
        "The distance of each figure by itself:",
        "",
        "| figure | " + " | ".join(h.name for h in hands) + " |",
        "|---|" + "---|" * len(hands),
    ]
    per = [distances(every, h.name) for h in hands]
    lines += [
        f"| {figure.name} | " + " | ".join(f"{values[k]:.2f}" for values in per) + " |"
        for k, figure in enumerate(FIGURES)
    ]
    return [*lines, ""]
