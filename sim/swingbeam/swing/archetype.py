"""A swing from its file, and the golfer made ready to swing clubs."""

from __future__ import annotations

import math
import os
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ..beam.errors import InputError
from ..club.build import Club, load_club
from ..files.base import display_path, load_toml, naming, read_text, read_toml
from ..files.club_file import ClubParts
from ..files.lookup import find, list_library
from ..files.recorded_swing_file import RecordedSwingFile
from ..files.spread_file import SpreadTable
from ..files.swing_file import DeliveryTable, SwingFile
from ..files.torque_swing_file import EffortTable, TorqueSwingFile
from .aim import make_reference
from .effort import Effort
from .hands import MEDIUM
from .plan import Adjustment, Arms, Forearms, SwingPlan, Target, Tempo, Wrists
from .recorded_swing import RecordedPlan, plan_from_file, reference_of_recording
from .reference import Reference
from .spread import Spread
from .stature import scaled, scaled_by_torque
from .torque_aim import aim_torques, reference_of
from .torque_golfer import ArmsAndHub, HingeRange, TorqueGolfer, TorquePlan


@dataclass(frozen=True)
class Swing:
    """An archetype: the plan, the golfer's hand, and the club he plays.

    Results are those of a right-handed golfer whatever `handed` says; only drawings in the world are
    reflected (`mirror`).
    """

    name: str
    note: str
    plan: SwingPlan | TorquePlan | RecordedPlan
    handed: str
    tee_height: float
    """m"""
    reference_club: ClubParts
    path: Path | None = None
    """The file it was read from."""
    spread: Spread | None = None
    """How far the golfer's own swing may be from this one; None: it is taken as it stands."""
    grip_firmness: float = MEDIUM
    """0 … 1 (`hands.firm`)"""

    @property
    def by_torque(self) -> bool:
        """Whether it is driven by torques, not along a line."""
        return isinstance(self.plan, TorquePlan)


def swing_from_file(record: SwingFile, path: Path | None = None) -> Swing:
    """A swing of what its file states, at the stature it states.

    Parameters
    ----------
    path : of the file; beside it the reference club's files are looked for

    Raises
    ------
    InputError
        A stature is stated, and the reference club cannot be built.
    """
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
        target=_target(record.delivery),
        start=None
        if record.aim is None
        else Adjustment(record.aim.yaw, record.aim.pitch, record.aim.lean, record.aim.roll, record.aim.downswing),
    )
    if record.golfer.stature is not None:
        plan = scaled(plan, record.golfer.stature, _reach(record.reference_club, path))
    return Swing(
        record.name,
        record.note,
        plan,
        record.handed,
        record.tee_height,
        record.reference_club,
        path,
        None if record.spread is None else _spread(record.spread),
        record.hands.grip_firmness,
    )


def _reach(parts: ClubParts, path: Path | None) -> float:
    """From the hold point of a swing's own reference club to its head, m."""
    try:
        return load_club(parts, beside=path).length_beyond_hold
    except InputError as error:
        raise InputError(f"reference_club: {error}") from None


def _spread(table: SpreadTable) -> Spread:
    rows = table.parameters
    correlations = np.eye(len(rows))
    for i, row in enumerate(rows):
        correlations[i, : len(row.correlations)] = row.correlations
        correlations[: len(row.correlations), i] = row.correlations
    shots = {key: float(value) for key, value in table.shots if value is not None}
    return Spread(tuple(row.key for row in rows), np.array([row.size for row in rows]), correlations, shots)


def _target(delivery: DeliveryTable) -> Target:
    return Target(
        delivery.face_angle,
        delivery.dynamic_loft,
        delivery.attack,
        delivery.path,
        delivery.head_speed,
        delivery.strike_toe,
        delivery.strike_up,
    )


def _effort(table: EffortTable) -> Effort:
    fastest = math.inf if table.fastest is None else table.fastest
    return Effort(table.torque, table.onset, table.rise, table.hold, table.fade, table.remains, fastest)


def swing_from_torque_file(record: TorqueSwingFile, path: Path | None = None) -> Swing:
    """A swing of what its file states, driven by torque; `path` and raises as of `swing_from_file`."""
    arms, usual = record.arms, ArmsAndHub()
    golfer = TorqueGolfer(
        record.name,
        shoulders=_effort(record.shoulders),
        release=_effort(record.release),
        roll=_effort(record.roll),
        hold_back=Effort(0.0, 0.0, 0.1) if record.hold_back is None else _effort(record.hold_back),
        settling=record.settling,
        wrist_damping=record.wrists.damping,
        roll_damping=record.forearms.damping,
        turn=arms.turn_at_top,
        # Longer or heavier arms are taken to be alike: mass and moment go with their inertia.
        arms=ArmsAndHub(
            plane=arms.plane,
            radius=arms.radius,
            inertia=arms.inertia,
            moment=usual.moment * arms.inertia / usual.inertia,
            mass=usual.mass * arms.inertia / usual.inertia,
            shift=arms.hub_shift,
            lift=arms.hub_lift,
            travel=arms.hub_travel,
        ),
        hinge=HingeRange(behind=-record.wrists.hinge),
        strength=(arms.strength, record.wrists.strength, record.forearms.strength),
    )
    plan = TorquePlan(record.name, golfer, _target(record.delivery))
    if record.golfer.stature is not None:
        plan = scaled_by_torque(plan, record.golfer.stature, _reach(record.reference_club, path))
    return Swing(
        record.name,
        record.note,
        plan,
        record.handed,
        record.tee_height,
        record.reference_club,
        path,
        grip_firmness=record.hands.grip_firmness,
    )


def swing_from_recorded_file(record: RecordedSwingFile, path: Path | None = None) -> Swing:
    """A recorded swing of what its file states."""
    return Swing(
        record.name,
        record.note,
        plan_from_file(record),
        record.handed,
        record.tee_height,
        record.reference_club,
        path,
        grip_firmness=record.hands.grip_firmness,
    )


def load_swing(name: str | os.PathLike[str], *, beside: str | os.PathLike[str] | None = None) -> Swing:
    """Read a swing by name or path; `beside` is the file that names it.

    Raises
    ------
    InputError
        A file that cannot be found or read.
    """
    path = find("swing", name, beside=beside)
    driven_by = load_toml(read_text(path), source=display_path(path)).get("driven_by")
    if driven_by == "recording":
        return swing_from_recorded_file(read_toml(path, RecordedSwingFile), path)
    if driven_by is not None:
        torque = read_toml(path, TorqueSwingFile)
        with naming(path):
            return swing_from_torque_file(torque, path)
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
        return reference_with(swing, load_club(parts))
    with naming(swing.path):
        try:
            club = load_club(parts, beside=swing.path)
        except InputError as error:
            raise InputError(f"reference_club: {error}") from None
        return reference_with(swing, club)


def reference_with(swing: Swing, club: Club) -> Reference:
    """Aim a swing with a club that is built, and make the reference run; raises as `prepare`."""
    plan = swing.plan
    if isinstance(plan, RecordedPlan):
        made = reference_of_recording(plan, club, tee_height=swing.tee_height)
    elif isinstance(plan, TorquePlan):
        made = reference_of(aim_torques(plan.golfer, club, plan.target), club, tee_height=swing.tee_height)
    else:
        made = make_reference(plan, club, tee_height=swing.tee_height)
    return replace(made, firmness=swing.grip_firmness)
