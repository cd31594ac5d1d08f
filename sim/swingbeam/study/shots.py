"""From measured runs to shots: what each shaft did to the flight, and how well that is known."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from pathlib import Path

import numpy as np

from swingbeam.beam.errors import SimulationError
from swingbeam.club.build import Club
from swingbeam.delivery.air import Air
from swingbeam.delivery.blow import contact_law
from swingbeam.delivery.doubt import (
    REPEATABILITY,
    Doubted,
    doubted,
    error_of,
    error_of_change,
    landing_spread,
    shaft_part,
)
from swingbeam.delivery.meeting import DeliveryChange
from swingbeam.delivery.shot import Shot, ShotSetting, shot_of
from swingbeam.files.air_file import AirTable
from swingbeam.files.scenario_file import ScenarioFile
from swingbeam.swing import Swing, load_swing

from .measure import Measured
from .quantities import LANDING, SHOT
from .result import ClubRun, ShotRecord

LEAST_SHARE = 0.01
"""Of the usual repeatability: a stated one is taken to be no smaller."""


@dataclass(frozen=True)
class Range:
    """What every shot of a ranking shares.

    Attributes
    ----------
    air : what the balls fly through
    left_handed : reflects the wind
    repeatability : 1σ of the golfer's delivery from swing to swing
    words : where that comes from
    """

    air: Air = field(default_factory=Air)
    left_handed: bool = False
    repeatability: DeliveryChange = REPEATABILITY
    words: str = ""


def range_of(record: ScenarioFile, swing: Path) -> Range:
    """The range a scenario's balls are struck on; the scenario's hand goes before the swing's, where it states one."""
    golfer = load_swing(swing)
    handed = record.golfer.handed if "handed" in record.golfer.model_fields_set else golfer.handed
    repeatability, words = repeatability_of(golfer)
    return Range(air_of(record.air), handed == "left", repeatability, words)


def repeatability_of(swing: Swing) -> tuple[DeliveryChange, str]:
    """A golfer's 1σ from swing to swing: the swing's own where it carries a spread, else the usual; and in words."""
    stated = {} if swing.spread is None else dict(swing.spread.shots)
    if "head_speed" in stated:
        stated["speed"] = stated["head_speed"] / swing.plan.target.head_speed
    own = {f.name: stated[f.name] for f in fields(REPEATABILITY) if f.name in stated}
    if not own:
        return REPEATABILITY, DEFAULT_REPEATABILITY
    # Slopes are taken over these steps: a golfer who never varies still needs one.
    floors = {name: max(value, LEAST_SHARE * getattr(REPEATABILITY, name)) for name, value in own.items()}
    change = replace(REPEATABILITY, **floors)
    source = (
        "his own spread" if len(own) == len(fields(REPEATABILITY)) else "his own spread where stated, else the usual"
    )
    return change, f"{source}: {_in_words(change)}"


def _in_words(change: DeliveryChange) -> str:
    angles = {"face": change.face_angle, "path": change.path, "loft": change.dynamic_loft, "attack": change.attack}
    parts = [f"{name} {math.degrees(value):.1f}°" for name, value in angles.items()]
    across, up = 1e3 * change.strike_toe, 1e3 * change.strike_up
    return (
        f"{', '.join(parts)}, head speed {100.0 * change.speed:.1f} %, strike {across:.0f} mm across and {up:.0f} mm "
        "up the face, each independent of the others"
    )


DEFAULT_REPEATABILITY = f"a repeatability common in practice (no source): {_in_words(REPEATABILITY)}"
"""What the spread of landings rests on where a swing states none."""


def air_of(table: AirTable) -> Air:
    """The air a file states."""
    return Air(
        altitude=table.altitude,
        temperature=table.temperature,
        pressure=table.pressure,
        humidity=table.humidity,
        wind_speed=table.wind_speed,
        wind_from=table.wind_from,
    )


@dataclass(frozen=True, eq=False)
class Flown:
    """One club's shot with its doubts, or why there is none."""

    shot: Doubted | None
    reason: str = ""


def setting_of(club: Club, where: Range) -> ShotSetting:
    """What a club's shot rests on."""
    return ShotSetting(
        law=contact_law(club.head.kind, club.head.restitution), air=where.air, left_handed=where.left_handed
    )


def changes_under(
    modes: Mapping[str, Sequence[Measured]], clubs: Sequence[Club], where: Range
) -> list[dict[str, Shot]]:
    """For each club, hand mode → change of its shot against the reference club's, which is the last.

    Parameters
    ----------
    modes : hand mode → one run a club; a run without a shot is left out
    """
    found: list[dict[str, Shot]] = [{} for _ in clubs]
    for mode, runs in modes.items():
        shots = [_plain_shot(measured, club, where) for measured, club in zip(runs, clubs, strict=True)]
        reference = shots[-1]
        for changes, shot in zip(found, shots, strict=True):
            if shot is not None and reference is not None:
                changes[mode] = shot.minus(reference)
    return found


def _plain_shot(measured: Measured, club: Club, where: Range) -> Shot | None:
    try:
        return None if measured.meeting is None else shot_of(measured.meeting, setting_of(club, where))
    except SimulationError:
        return None


def with_plain_shot(measured: Measured, club: Club, where: Range) -> Measured:
    """A measured run with its shot, where it has one."""
    return replace(measured, shot=_plain_shot(measured, club, where))


def fly_measured(measured: Measured, club: Club, where: Range) -> Flown:
    """The shot of a measured run."""
    if measured.meeting is None:
        return Flown(None, measured.reasons.get("status", "the ball was not struck"))
    setting = setting_of(club, where)
    # A spine makes two stiffnesses; the bound takes the larger.
    tip_ei = float(np.max(club.profile.ei[-1]))
    try:
        shaft = shaft_part(tip_ei, float(club.profile.mass[-1]))
        return Flown(doubted(measured.meeting, setting, shaft, where.repeatability))
    except SimulationError as error:
        return Flown(None, str(error))


def with_shot(run: ClubRun, own: Flown, reference: Flown, under: Mapping[str, Shot] | None = None) -> ClubRun:
    """A club's record with its shot and the change against the reference club's."""
    if own.shot is None or reference.shot is None:
        why = own.reason or f"the reference club's shot: {reference.reason}"
        return replace(run, reasons={**run.reasons, **dict.fromkeys((q.key for q in (*SHOT, *LANDING)), why)})
    record = ShotRecord(
        shot=own.shot.shot,
        error=error_of(own.shot),
        change=own.shot.shot.minus(reference.shot.shot),
        change_error=error_of_change(own.shot, reference.shot),
        spread=landing_spread(own.shot),
        change_under={} if under is None else under,
    )
    return replace(run, flight=record)
