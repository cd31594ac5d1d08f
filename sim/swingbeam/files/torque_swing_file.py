"""A torque swing's file: a golfer described by the torques of his joints over time."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from swingbeam.files.base import Record
from swingbeam.files.club_file import ClubParts
from swingbeam.files.swing_file import (
    BackTurn,
    DeliveryTable,
    GolferTable,
    HandsTable,
    PathRadius,
    PlaneAngle,
    SetHinge,
    TeeHeight,
    Travel,
    check_reference_club,
)
from swingbeam.units import InputError, PositiveInertia, Quantity

JointTorque = Annotated[float, Quantity("torque", at_least=-400.0, at_most=400.0)]
Strength = Annotated[float, Quantity("torque", at_least=1.0, at_most=1000.0)]
Onset = Annotated[float, Quantity("time", at_least=0.0, at_most=0.6)]
Duration = Annotated[float, Quantity("time", at_least=0.01, at_most=0.6)]
Held = Annotated[float, Quantity("time", at_least=0.0, at_most=10.0)]
Remains = Annotated[float, Quantity("ratio", at_least=0.0, at_most=1.0)]
Rate = Annotated[float, Quantity("angular_rate", at_least=5.0, at_most=1000.0)]
JointDamping = Annotated[float, Quantity("rotational_damping", at_least=0.0, at_most=50.0)]


class EffortTable(Record):
    """The torque of a muscle group: it sets in, rises, is held, and fades to a part of itself."""

    torque: JointTorque = Field(description='with its sign, such as "140 N*m"')
    rise: Duration = Field(description='over which it grows to that, such as "120 ms"')
    onset: Onset = 0.0
    hold: Held = 10.0
    fade: Duration = 0.1
    remains: Remains = 0.0
    fastest: Rate | None = None


class TorqueArmsTable(Record):
    """Arms about a hub in an inclined plane."""

    plane: PlaneAngle = Field(description='the swing plane above the ground, such as "50 deg"')
    radius: PathRadius = Field(description='hub to hands, such as "65 cm"')
    turn_at_top: BackTurn = Field(description='back from straight down the plane, such as "150 deg"')
    inertia: PositiveInertia = 1.15
    strength: Strength = 250.0
    hub_shift: Travel = 0.0
    hub_lift: Travel = 0.0
    hub_travel: Duration = 0.3


class TorqueWristsTable(Record):
    """The hinge between arms and club."""

    hinge: SetHinge = Field(description='club behind the arms at the top, such as "100 deg"')
    damping: JointDamping = 0.3
    strength: Strength = 40.0


class TorqueForearmsTable(Record):
    """The roll about the shaft."""

    damping: JointDamping = 0.05
    strength: Strength = 15.0


class TorqueSwingFile(Record):
    """One swing as its file states it; SI once read."""

    name: str = Field(min_length=1, description="what the swing is called")
    note: str = Field(description="what kind of golfer it is, and where it comes from")
    driven_by: Literal["torque"] = Field(description='driven_by = "torque"')
    handed: Literal["right", "left"] = "right"
    tee_height: TeeHeight = 0.0
    settling: Duration = 0.12
    arms: TorqueArmsTable = Field(description="a table with plane, radius, turn_at_top, and more")
    wrists: TorqueWristsTable = Field(description="a table with hinge, and more")
    forearms: TorqueForearmsTable = TorqueForearmsTable()
    shoulders: EffortTable = Field(description="a table with torque, rise, and more: of the hub on the arms")
    release: EffortTable = Field(description="a table with torque, onset, rise: of the wrists, opening the hinge")
    roll: EffortTable = Field(description="a table with torque, onset, rise: of the forearms, closing negative")
    hold_back: EffortTable | None = None
    hands: HandsTable = HandsTable()
    golfer: GolferTable = GolferTable()
    delivery: DeliveryTable = Field(description="a table with face_angle, dynamic_loft, attack, path, head_speed")
    reference_club: ClubParts = Field(description="a table with shaft, head and finished_length")

    @model_validator(mode="after")
    def _check(self) -> TorqueSwingFile:
        if self.delivery.head_speed is None:
            raise InputError('delivery: no head_speed; allowed: head_speed = "45 m/s"')
        if self.roll.torque >= 0.0 or self.shoulders.torque <= 0.0:
            raise InputError("found a roll that opens or shoulders that pull back; allowed: roll < 0, shoulders > 0")
        check_reference_club(self.reference_club)
        return self
