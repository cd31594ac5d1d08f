"""A swing from its file, and the golfer made ready to swing clubs."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from ..beam.errors import InputError
from ..club.build import load_club
from ..files.base import naming, read_toml
from ..files.club_file import ClubParts
from ..files.lookup import find, list_library
from ..files.swing_file import SwingFile
from .aim import make_reference
from .plan import Arms, Forearms, SwingPlan, Target, Tempo, Wrists
from .reference import Reference


@dataclass(frozen=True)
class Swing:
    """An archetype: the plan, the golfer's hand, and the club he plays.

    Results are those of a right-handed golfer whatever `handed` says; only drawings in the world are
    reflected (`mirror`).
    """

    name: str
    note: str
    plan: SwingPlan
    handed: str
    tee_height: float
    """m"""
    reference_club: ClubParts
    path: Path | None = None
    """The file it was read from."""


def swing_from_file(record: SwingFile, path: Path | None = None) -> Swing:
    """A swing of what its file states."""
    tempo, arms, wrists = record.tempo, record.arms, record.wrists
    plan = SwingPlan(
        name=record.name,
        tempo=Tempo(tempo.backswing, tempo.downswing, tempo.transition_delay, tempo.transition_width),
        arms=Arms(
            plane=arms.plane,
            radius=arms.radius,
            turn_at_top=arms.turn_at_top,
            angle_at_impact=arms.angle_at_impact,
            rate_at_impact=arms.rate_at_impact,
            peak=arms.peak_before_impact,
            slowing_width=arms.slowing_width,
            hub_shift=arms.hub_shift,
            hub_lift=arms.hub_lift,
        ),
        wrists=Wrists(
            hinge=wrists.hinge,
            couple_at_impact=wrists.couple_at_impact,
            fade=wrists.fade,
            push=wrists.push,
            release_width=wrists.release_width,
            set_after_top=wrists.set_after_top,
        ),
        forearms=Forearms(record.forearms.roll_rate_at_impact, record.forearms.onset_width),
        target=Target(
            face_angle=record.delivery.face_angle,
            dynamic_loft=record.delivery.dynamic_loft,
            attack=record.delivery.attack,
            path=record.delivery.path,
            head_speed=record.delivery.head_speed,
        ),
    )
    return Swing(record.name, record.note, plan, record.handed, record.tee_height, record.reference_club, path)


def load_swing(name: str | os.PathLike[str], *, beside: str | os.PathLike[str] | None = None) -> Swing:
    """Read a swing by name or path; `beside` is the file that names it.

    Raises
    ------
    InputError
        A file that cannot be found or read.
    """
    path = find("swing", name, beside=beside)
    record = read_toml(path, SwingFile)
    with naming(path):
        return swing_from_file(record, path)


def library_swings() -> dict[str, Swing]:
    """Every swing that can be named, by name."""
    return {name: load_swing(path) for name, path in list_library("swing").items()}


def prepare(swing: Swing, *, reference_club: ClubParts | None = None) -> Reference:
    """Build the golfer's club, aim the swing with it and make the reference run.

    Parameters
    ----------
    reference_club : keys that replace those of the swing's own reference club

    Raises
    ------
    InputError
        A club that cannot be built, or a swing that is not feasible; the swing's file is named.
    SimulationError
        The solver could not finish.
    """
    parts = swing.reference_club if reference_club is None else reference_club.over(swing.reference_club)
    if swing.path is None:
        return make_reference(swing.plan, load_club(parts), tee_height=swing.tee_height)
    with naming(swing.path):
        try:
            club = load_club(parts, beside=swing.path)
        except InputError as error:
            raise InputError(f"reference_club: {error}") from None
        return make_reference(swing.plan, club, tee_height=swing.tee_height)
