"""Hold the hands against golfers who swing by torque, and write what came out to docs/hands.md, whatever it is.

    .venv/bin/python benchmarks/hands.py [--output FILE] [--fit] [--shaft NAME] [--head NAME]

Every golfer of `swing.torque_golfers` is aimed with the reference club of the archetype `even`, then swings clubs
in which one thing is changed, by torque and under the three kinds of hands. `--fit` also searches for the
stiffness and damping of the hands that come nearest (some minutes). Tables are generated; every word about what
came out follows from the numbers.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from nearest_hands import Panel, chapter

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.club.build import load_club
from swingbeam.study.torque_trends import CHANGES, FIGURES, Judge, Trends, Verdict, compare, trends
from swingbeam.swing.archetype import load_swing
from swingbeam.swing.hands import MODES, Hands
from swingbeam.swing.plan import DEGREE
from swingbeam.swing.torque_aim import aim_torques
from swingbeam.swing.torque_golfers import GOLFERS

PAGE = Path(__file__).resolve().parents[1] / "docs" / "hands.md"
OPPOSITE = {"rises": "falls", "falls": "rises"}
BOTH, SIGN, SOME, QUIET, ONLY_HANDS, NONE, AGAINST = (
    "sign and size agree",
    "sign agrees, size does not",
    "sign depends on the golfer",
    "hardly moves either way",
    "moves under the hands and not by torque",
    "no agreement",
    "OPPOSITE sign",
)
ADVICE = {
    BOTH: "the order of clubs and about how much may be relied on",
    SIGN: "the order of clubs may be relied on, not how much",
    SOME: "true of some golfers only",
    QUIET: "nothing to choose by",
    ONLY_HANDS: "belongs to the model of the hands: do not choose by it",
    NONE: "do not choose by it",
    AGAINST: "the two models contradict each other: do not choose by it",
}
"""Every conclusion with what a user may do with it."""


def judges(shaft: str | None, head: str | None) -> list[Judge]:
    """The golfers, aimed with the reference club."""
    even = load_swing("even")
    own = {"shaft": shaft, "head": head}
    parts = even.reference_club.model_copy(update={k: v for k, v in own.items() if v is not None})
    club = load_club(parts, beside=even.path)
    return [Judge.of(aim_torques(golfer, club, target), club) for golfer, target in GOLFERS]


def verdicts(found: Sequence[Trends], figure: int, mode: str) -> list[Verdict]:
    """One figure of one change under one kind of hands, golfer by golfer."""
    return [compare(one.torque[:, figure], one.hands[mode][:, figure], FIGURES[figure].least) for one in found]


def summary(found: Sequence[Verdict]) -> str:
    """A cell: how many golfers agree in sign, the middle of Kendall's τ and of the ratios of size."""
    both = [v for v in found if v.torque in OPPOSITE and v.hands in OPPOSITE]
    same = sum(v.agrees for v in both)
    ratios = [v.ratio for v in found if np.isfinite(v.ratio)]
    ranks = [v.rank for v in found if np.isfinite(v.rank)]
    if not ratios:
        return "–"
    order = f", τ {np.median(ranks):+.1f}" if ranks else ""
    return f"{same} of {len(found)}{order}, × {np.median(ratios):.2f}"


def by_torque(found: Sequence[Verdict]) -> str:
    """A cell: which way the figure goes by torque, for how many golfers."""
    words = [v.torque for v in found]
    return ", ".join(f"{words.count(w)} {w}" for w in ("rises", "falls", "turns", "flat", "missing") if w in words)


def conclusion(found: Sequence[Verdict]) -> str:
    """What may be concluded of a figure under one kind of hands; the rules stand in the page."""
    count = len(found)
    flat = sum(v.torque == "flat" for v in found)
    if flat > count / 2:
        quiet = sum(v.hands == "flat" for v in found)
        return QUIET if quiet > count / 2 else ONLY_HANDS
    opposite = sum(v.hands == OPPOSITE.get(v.torque) for v in found)
    same = sum(v.agrees and v.torque in OPPOSITE for v in found)
    ratios = [v.ratio for v in found if np.isfinite(v.ratio)]
    if same == count:
        return BOTH if ratios and all(0.5 <= r <= 2.0 for r in ratios) else SIGN
    if opposite > count / 2:
        return AGAINST
    return SOME if same >= count / 2 else NONE


def tables(all_trends: dict[str, list[Trends]]) -> list[str]:
    lines: list[str] = []
    for change in CHANGES:
        found = all_trends[change.name]
        steps = ", ".join(f"{s:g}" for s in change.steps)
        lines += [f"## {change.name}", "", f"Steps: {change.unit} {steps}.", ""]
        lines += ["| figure | by torque | vice | hold | effort | what `hold` says |", "|---|---|---|---|---|---|"]
        for k, figure in enumerate(FIGURES):
            cells = {mode: verdicts(found, k, mode) for mode in MODES}
            row = [figure.name, by_torque(cells["hold"]), *(summary(cells[m]) for m in ("vice", "hold", "effort"))]
            lines.append("| " + " | ".join([*row, conclusion(cells["hold"])]) + " |")
        lines.append("")
    return lines


def conclusions(all_trends: dict[str, list[Trends]]) -> list[str]:
    """What may be concluded from `hold`, one line for each conclusion, with all it applies to."""
    groups: dict[str, list[str]] = {}
    for change in CHANGES:
        for k, figure in enumerate(FIGURES):
            said = conclusion(verdicts(all_trends[change.name], k, "hold"))
            groups.setdefault(said, []).append(f"{figure.name} with {change.name}")
    order = [said for said in ADVICE if said in groups]
    lines = ["## What may be concluded from `hold`", ""]
    lines += [f"- **{said}** ({ADVICE[said]}): {', '.join(groups[said])}." for said in order]
    return [*lines, ""]


def detail(golfers: Sequence[Judge], all_trends: dict[str, list[Trends]]) -> list[str]:
    """Every figure of every golfer at the first and last step, against the reference club."""
    lines = [
        "## Golfer by golfer",
        "",
        "Change of each figure at the first and last step against the reference club.",
        "",
    ]
    for change in CHANGES:
        middle = len(change.steps) // 2
        ends = f"{change.steps[0]:g} / {change.steps[-1]:g}"
        lines += [f"### {change.name} {change.unit} {ends}", ""]
        lines += ["| golfer | figure | by torque | vice | hold | effort |", "|---|---|---|---|---|---|"]
        for judge, one in zip(golfers, all_trends[change.name], strict=True):
            for k, figure in enumerate(FIGURES):
                cells = []
                for values in (one.torque, *(one.hands[m] for m in ("vice", "hold", "effort"))):
                    first, last = values[0, k] - values[middle, k], values[-1, k] - values[middle, k]
                    cells.append(f"{first:+.2f} / {last:+.2f}")
                lines.append(f"| {judge.golfer.name} | {figure.name}, {figure.unit} | " + " | ".join(cells) + " |")
        lines.append("")
    return lines


def golfer_table(golfers: Sequence[Judge]) -> list[str]:
    lines = ["| golfer | downswing ms | speed m/s | loft ° | " + " | ".join(f"{f.name} {f.unit}" for f in FIGURES[:3])]
    lines[0] += " | half-unload ms | wrist couple at impact N·m | roll rate °/s |"
    lines.append("|" + "---|" * 9)
    for judge in golfers:
        figures = judge.by_torque(judge.club)
        at = judge.shot.run.at(judge.shot.impact)
        speeds = f"{judge.shot.at_impact.head_speed:.1f} | {judge.shot.at_impact.dynamic_loft / DEGREE:.1f}"
        bends = " | ".join(f"{v:.1f}" for v in figures[:3])
        lines.append(
            f"| {judge.golfer.name} | {1e3 * judge.shot.impact:.0f} | {speeds} | {bends} | {figures[5]:.0f} | "
            f"{at.torques[0, 1]:.1f} | {at.rates[0, 2] / DEGREE:.0f} |"
        )
    return [*lines, ""]


INTRODUCTION = """# Hands against torque

Generated by `benchmarks/hands.py`; do not edit. The model of the hands (`vice`, `hold`, `effort`) is held against
golfers who are driven by joint torques alone: shoulders about a hub, wrists and forearms, the flexible club in the
same equations (`swing/torque_golfer.py`). They are invented. Each swings the reference club; that run is the
reference of the hands, so that all four agree for it. Then one thing of the club is changed and all four swing it,
the torques staying as they are. Every club is read when its own face centre comes to the ball's place along the
target line. The torques are functions of time and do not adapt: a club that comes a millisecond later has rolled on by
what the roll rate below says, and its face shows it. That is one extreme, as hands that do not yield are the other.
Where the wrists push late the shaft unloads in two goes, and half-unload can jump from one to the other.

A cell `5 of 7, τ +0.8, × 0.80` says: for 5 of 7 golfers the figure goes the same way under these hands as by torque,
all along; the order of the clubs agrees with Kendall's τ of .8 (1: the same, −1: reversed; median); and the change over
all steps is .80 of that by torque (median). "Turns" is not one way only; "flat" moves less than {least}.

The last column follows these rules for `hold`: *sign and size agree* when all golfers agree in sign and every change is
between half and double; *sign agrees* when all do; *depends on the golfer* when at least half do; *opposite* when more
than half go the other way; *hardly moves* when it is flat for more than half.
"""


def page(golfers: Sequence[Judge], all_trends: dict[str, list[Trends]], fitted: tuple[Hands, float] | None) -> str:
    least = ", ".join(f"{f.least:g} {f.unit} ({f.name})" for f in FIGURES)
    lines = [INTRODUCTION.replace("{least}", least), *golfer_table(golfers)]
    lines += [*conclusions(all_trends), *tables(all_trends)]
    every = [one for found in all_trends.values() for one in found]
    lines += chapter(Panel.of(golfers, all_trends), every, list(MODES.values()), fitted)
    lines += detail(golfers, all_trends)
    return "\n".join(lines) + "\n"


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(description="Hold the hands against golfers who swing by torque.")
    parser.add_argument("--output", type=Path, default=PAGE)
    parser.add_argument("--fit", action="store_true", help="also search for the nearest stiffness and damping")
    parser.add_argument("--shaft", help="another reference shaft")
    parser.add_argument("--head", help="another reference head")
    options = parser.parse_args(arguments)
    began = time.perf_counter()
    try:
        golfers = judges(options.shaft, options.head)
        found = {c.name: [trends(judge, c, list(MODES.values())) for judge in golfers] for c in CHANGES}
        fitted = Panel.of(golfers, found).nearest() if options.fit else None
    except (InputError, SimulationError) as error:
        print(error, file=sys.stderr)
        return 1
    options.output.write_text(page(golfers, found, fitted), encoding="utf-8")
    print(f"{options.output} ({time.perf_counter() - began:.0f} s)")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
