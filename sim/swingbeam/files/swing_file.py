"""A swing's file: an archetype described by what a person can see or feel of it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record
from swingbeam.files.club_file import ClubParts
from swingbeam.files.spread_file import MatchedTable, SpreadTable
from swingbeam.units import Quantity

_DEG = 0.017453292519943295

Backswing = Annotated[float, Quantity("time", at_least=0.4, at_most=3.0)]
Downswing = Annotated[float, Quantity("time", at_least=0.15, at_most=0.6)]
ShortTime = Annotated[float, Quantity("time", at_least=0.01, at_most=0.4)]
Delay = Annotated[float, Quantity("time", at_least=-0.1, at_most=0.2)]
HeadSpeed = Annotated[float, Quantity("speed", at_least=10.0, at_most=80.0)]
PlaneAngle = Annotated[float, Quantity("angle", at_least=30.0 * _DEG, at_most=80.0 * _DEG)]
BackTurn = Annotated[float, Quantity("angle", at_least=60.0 * _DEG, at_most=200.0 * _DEG)]
SetHinge = Annotated[float, Quantity("angle", at_least=40.0 * _DEG, at_most=140.0 * _DEG)]
SmallAngle = Annotated[float, Quantity("angle", at_least=-45.0 * _DEG, at_most=45.0 * _DEG)]
LoftAngle = Annotated[float, Quantity("angle", at_least=0.0, at_most=70.0 * _DEG)]
PathRadius = Annotated[float, Quantity("length", at_least=0.3, at_most=1.0)]
Travel = Annotated[float, Quantity("length", at_least=-0.3, at_most=0.3)]
ArmRate = Annotated[float, Quantity("angular_rate", at_least=2.0, at_most=30.0)]
RollRate = Annotated[float, Quantity("angular_rate", at_least=5.0, at_most=80.0)]
HandCouple = Annotated[float, Quantity("torque", at_least=-40.0, at_most=40.0)]
StrikeOffset = Annotated[float, Quantity("length", at_least=-0.06, at_most=0.06)]
GripFirmness = Annotated[float, Quantity("ratio", at_least=0.0, at_most=1.0)]
Stature = Annotated[float, Quantity("length", at_least=1.0, at_most=2.3)]
TeeHeight = Annotated[float, Quantity("length", at_least=0.0, at_most=0.1)]


class TempoTable(Record):
    """How long things take, s."""

    backswing: Backswing = Field(description='from address to the top, such as "0.95 s"')
    downswing: Downswing | None = None
    transition_delay: Delay = 0.09
    transition_width: ShortTime = 0.25


class ArmsTable(Record):
    """The hands' path: arms that turn about a travelling hub in an inclined plane."""

    plane: PlaneAngle = Field(description='the swing plane above the ground, such as "50 deg"')
    radius: PathRadius = Field(description='hub to hands, such as "65 cm"')
    turn_at_top: BackTurn = Field(description='back from straight down the plane, such as "145 deg"')
    angle_at_impact: SmallAngle = Field(description='past straight down, such as "8 deg"')
    rate_at_impact: ArmRate = Field(description='such as "11 rad/s"')
    peak_before_impact: ShortTime = Field(description='when the arms turn fastest, such as "80 ms"')
    slowing_width: ShortTime = 0.09
    hub_shift: Travel = 0.0
    hub_lift: Travel = 0.0


class WristsTable(Record):
    """The hinge between arms and club."""

    hinge: SetHinge = Field(description='club behind the arms once set, such as "95 deg"')
    couple_at_impact: HandCouple = Field(
        description='of the hands at impact, driving forward positive, such as "-8 N*m"'
    )
    fade: ShortTime = Field(description='over which the couple falls to that, such as "90 ms"')
    push: HandCouple = 0.0
    release_width: ShortTime = 0.08
    set_after_top: ShortTime = 0.155


class ForearmsTable(Record):
    """The roll about the shaft."""

    roll_rate_at_impact: RollRate = Field(description='closing, such as "1400 deg/s"')
    onset_width: ShortTime = 0.06


class DeliveryTable(Record):
    """What the reference club delivers; open, up and in-to-out positive."""

    face_angle: SmallAngle = Field(description='open positive, such as "0 deg"')
    dynamic_loft: LoftAngle = Field(description='such as "14 deg"')
    attack: SmallAngle = Field(description='up positive, such as "2 deg"')
    path: SmallAngle = Field(description='in-to-out positive, such as "0 deg"')
    head_speed: HeadSpeed | None = None
    strike_toe: StrikeOffset = 0.0
    strike_up: StrikeOffset = 0.0


class AimTable(Record):
    """Where the search for what makes the swing deliver starts; `swingbeam match` writes what it has found."""

    yaw: SmallAngle = Field(description='of the whole swing about the vertical, such as "3 deg"')
    pitch: SmallAngle = Field(description='of the whole swing toward the target, such as "-5 deg"')
    lean: SmallAngle = Field(description='of the shaft at impact, hands ahead positive, such as "4 deg"')
    roll: SmallAngle = Field(description='of the forearms at impact, open positive, such as "1 deg"')
    downswing: Downswing = Field(description='from the top to impact, such as "0.31 s"')


class HandsTable(Record):
    """How the golfer holds the club."""

    grip_firmness: GripFirmness = 0.5


class GolferTable(Record):
    """Who swings."""

    stature: Stature | None = None


def check_reference_club(club: ClubParts) -> None:
    """Refuse a reference club without shaft, head or length.

    Raises
    ------
    InputError
    """
    for key in ("shaft", "head"):
        if getattr(club, key) is None:
            raise InputError(f"reference_club: no {key}; allowed: {key} = a name")
    if club.finished_length is None and club.butt_trim is None:
        raise InputError('reference_club: no length; allowed: finished_length = "45.5 in" (or butt_trim)')


class SwingFile(Record):
    """One swing as its file states it; SI once read."""

    name: str = Field(min_length=1, description="what the swing is called")
    note: str = Field(description="what kind of golfer it is, and where it comes from")
    handed: Literal["right", "left"] = "right"
    tee_height: TeeHeight = 0.0
    tempo: TempoTable = Field(description="a table with backswing")
    arms: ArmsTable = Field(description="a table with plane, radius, turn_at_top, and more")
    wrists: WristsTable = Field(description="a table with hinge, couple_at_impact and fade")
    forearms: ForearmsTable = Field(description="a table with roll_rate_at_impact")
    delivery: DeliveryTable = Field(description="a table with face_angle, dynamic_loft, attack, path")
    reference_club: ClubParts = Field(description="a table with shaft, head and finished_length")
    hands: HandsTable = HandsTable()
    golfer: GolferTable = GolferTable()
    aim: AimTable | None = None
    matched: MatchedTable | None = None
    spread: SpreadTable | None = None

    @model_validator(mode="after")
    def _check(self) -> SwingFile:
        if (self.tempo.downswing is None) == (self.delivery.head_speed is None):
            found = "neither" if self.tempo.downswing is None else "both"
            raise InputError(
                f"found {found} of tempo.downswing and delivery.head_speed; allowed: one of the two, the other follows"
            )
        check_reference_club(self.reference_club)
        if self.spread is not None and self.delivery.head_speed is None:
            raise InputError("spread: a swing with a spread states delivery.head_speed; the downswing time follows")
        return self
