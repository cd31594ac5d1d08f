"""Customers whose true swing is known: a perturbed archetype, its figures with one club, three other shafts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from swingbeam.beam import InputError
from swingbeam.club.build import Club, load_club
from swingbeam.files.base import parse_table
from swingbeam.files.club_file import ClubParts
from swingbeam.files.customer_file import CustomerFile
from swingbeam.study.bands import DRAWS, change_bands
from swingbeam.study.golfer import Golfer
from swingbeam.study.match import MatchResult, match
from swingbeam.study.match_figures import Known, figures_of, known
from swingbeam.swing.aim import aim, reference_along
from swingbeam.swing.archetype import Swing, load_swing
from swingbeam.swing.parameters import DELIVERY, MOTION, value_of, with_values

ARCHETYPES = (
    "early-release", "even", "fast-tempo", "late-and-sharp", "late-release", "pushes-through", "slow-tempo",
    "smooth-fade",
)  # fmt: skip
SHAFTS = (
    "bracken-46-l", "bracken-50-r", "bracken-56-s", "bracken-61-x", "marl-52-l", "marl-60-r", "marl-68-s",
    "marl-79-x", "wick-54-a", "wick-59-r", "wick-65-s", "wick-72-x", "wick-65-s-low", "wick-65-s-high",
    "wick-63-s-tight", "wick-63-s-loose",
)  # fmt: skip
MEASURED = ("head_speed", "attack", "path", "face_angle", "dynamic_loft", "tempo")
COUNT = 12
"""Shots the figures are means of, each with the usual spread."""
PERTURBED = 0.5
"""Of the widths."""
FIGURES = ("face_angle", "dynamic_loft", "head_speed", "half")


@dataclass(frozen=True, eq=False)
class Case:
    """A customer, and what he really does with other shafts."""

    start: Swing
    club: Club
    parts: ClubParts
    figures: Mapping[str, Known]
    others: tuple[Club, ...]
    truth: np.ndarray
    """(3, 4) changes against his club: face, loft, speed, half-unload; SI"""

    def matched(self) -> MatchResult:
        customer = parse_table(
            {"name": "made up", "archetype": "even", "club": {"shaft": "x", "head": "x", "finished_length": "45 in"}},
            CustomerFile,
        )
        return match(self.start, self.club, self.parts, self.figures, customer, searches=1)


def parts_of(shaft: str) -> ClubParts:
    return parse_table({"shaft": shaft, "head": "driver", "finished_length": "45.5 in", "grip_mass": "50 g"}, ClubParts)


def changes(golfer: Golfer, clubs: tuple[Club, ...]) -> np.ndarray:
    """(clubs, 4) changes against the golfer's own club."""
    base = golfer.swing(golfer.club, "hold", "re-aimed", "curvature")
    rows = []
    for club in clubs:
        run = golfer.swing(club, "hold", "re-aimed", "curvature")
        change = run.impact.minus(base.impact)
        rows.append([change.face_angle, change.dynamic_loft, change.head_speed, run.half - base.half])
    return np.array(rows)


def case(seed: int) -> Case:
    """A customer drawn by a seed; draws that no golfer can swing are drawn again."""
    rng = np.random.default_rng(seed)
    true, start = rng.choice(len(ARCHETYPES), 2, replace=False)
    shafts = rng.choice(len(SHAFTS), 4, replace=False)
    parts = parts_of(SHAFTS[shafts[0]])
    club = load_club(parts)
    archetype = load_swing(ARCHETYPES[true])
    while True:
        moved = {
            p.key: value_of(archetype.plan, p.key) + PERTURBED * p.width * rng.standard_normal()
            for p in (*MOTION, *DELIVERY)
        }
        plan = with_values(archetype.plan, moved)
        try:
            shot = aim(plan, club)
            break
        except InputError:
            continue
    seen = figures_of(shot, club.face.normal)
    usual = {key: known(key, seen[key], None, COUNT) for key in MEASURED}
    figures = {key: replace(k, value=k.value + k.error * rng.standard_normal()) for key, k in usual.items()}
    golfer = Golfer(reference_along(shot, plan, club, tee_height=archetype.tee_height), "own", parts, ())
    others = tuple(load_club(parts_of(SHAFTS[i])) for i in shafts[1:])
    return Case(load_swing(ARCHETYPES[start]), club, parts, figures, others, changes(golfer, others))


def outcome(made: Case, draws: int = DRAWS) -> dict[str, np.ndarray]:
    """Match and predict: truth, low, median and high, each (clubs, 4)."""
    result = made.matched()
    bands = change_bands(result.swing, made.club, made.others, "hold", "re-aimed", "curvature", draws=draws)
    keys = ("face_angle_deg", "dynamic_loft_deg", "head_speed_mps", "half_ms")
    rows = [[bands.clubs[club.label][key] for key in keys] for club in made.others]
    found = {
        side: np.array([[getattr(band, side) for band in row] for row in rows]) for side in ("low", "median", "high")
    }
    return {"truth": made.truth, **found}
