"""A recording's file: where the measured poses are, and everything needed to read them. Nothing is guessed."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record
from swingbeam.files.club_file import ClubParts
from swingbeam.files.swing_file import HandsTable, SmallAngle, TeeHeight, check_reference_club
from swingbeam.units import KINDS, Length, Quantity, Time

SignedAxis = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
Turns = Literal["body to data", "data to body"]
Frequency = Annotated[float, Quantity("frequency", at_least=2.0, at_most=200.0)]
Point = tuple[Length, Length, Length]
_AXES = '"+x", "-x", "+y", "-y", "+z" or "-z"'
_TURNS = '"body to data" if it turns the body\'s axes into the data\'s, "data to body" if the other way'


class AxesTable(Record):
    """How the axes of the data lie in the room."""

    up: SignedAxis = Field(description=f"the data axis that points up: {_AXES}")
    target: SignedAxis = Field(description=f"the data axis that points to the target: {_AXES}")
    handedness: Literal["right", "left"] = Field(
        description='"right" if the data axes are right-handed (z = x × y), "left" if not'
    )

    @model_validator(mode="after")
    def _check(self) -> AxesTable:
        if self.up[1] == self.target[1]:
            raise InputError(f'found up = "{self.up}" and target = "{self.target}"; allowed: two different axes')
        return self


class UnitsTable(Record):
    """Units of columns whose header states none."""

    time: str | None = None
    length: str | None = None
    angle: str | None = None

    @model_validator(mode="after")
    def _check(self) -> UnitsTable:
        for key in ("time", "length", "angle"):
            unit, known = getattr(self, key), KINDS[key].units
            if unit is not None and unit not in known:
                raise InputError(f'{key}: found "{unit}"; allowed: {", ".join(known)}')
        return self


class BodyTable(Record):
    """How the body that was tracked sits on the club."""

    shaft_axis: SignedAxis = Field(description=f"the body's axis that points down the shaft: {_AXES}")
    face_axis: SignedAxis = Field(
        description=f"the body's axis that points to the target when the face is square: {_AXES}"
    )
    origin: Point = Field(
        description="the tracked point in the grip frame (x down the shaft from the hold point, y to the face side), "
        'such as ["0 mm", "0 mm", "0 mm"]'
    )

    @model_validator(mode="after")
    def _check(self) -> BodyTable:
        if self.shaft_axis[1] == self.face_axis[1]:
            raise InputError("found shaft_axis and face_axis along one axis; allowed: two different axes")
        return self


class PositionTable(Record):
    """Where the tracked point is."""

    columns: tuple[str, str, str] = Field(description='the three columns, such as ["x", "y", "z"]')


class QuaternionTable(Record):
    """Rotations as quaternions."""

    columns: tuple[str, str, str, str] = Field(description='the four columns, such as ["qw", "qx", "qy", "qz"]')
    order: Literal["scalar first", "scalar last"] = Field(description='"scalar first" or "scalar last"')
    turns: Turns = Field(description=_TURNS)


class MatrixTable(Record):
    """Rotations as matrices."""

    columns: tuple[str, ...] = Field(description='the nine columns, row by row: ["r11", "r12", "r13", "r21", …]')
    turns: Turns = Field(description=_TURNS)

    @model_validator(mode="after")
    def _check(self) -> MatrixTable:
        if len(self.columns) != 9:
            raise InputError(f"columns: found {len(self.columns)}; allowed: nine, row by row")
        return self


class EulerTable(Record):
    """Rotations as three angles about axes in turn."""

    columns: tuple[str, str, str] = Field(description="the three columns, in the order of turning")
    order: str = Field(description='the axes in the order of turning, such as "zyx"')
    about: Literal["moving axes", "fixed axes"] = Field(
        description='"moving axes" (intrinsic) or "fixed axes" (extrinsic)'
    )
    turns: Turns = Field(description=_TURNS)

    @model_validator(mode="after")
    def _check(self) -> EulerTable:
        letters = self.order
        if len(letters) != 3 or set(letters) - set("xyz") or letters[0] == letters[1] or letters[1] == letters[2]:
            raise InputError(f'order: found "{letters}"; allowed: three of x, y, z, no two neighbours alike, as "zyx"')
        return self


class MarkerEntry(Record):
    """One marker of the template."""

    name: str = Field(min_length=1, description="what the marker is called in the data")
    position: Point = Field(
        description="its place in the grip frame: x down the shaft from the hold point, y to the face side, z = x × y"
    )
    columns: tuple[str, str, str] | None = None


class BallTable(Record):
    """Where the ball lay."""

    centre: Point = Field(description='the centre of the ball in data axes, such as ["0 m", "0 m", "0.04 m"]')


class AskedTable(Record):
    """What the reference club shall deliver instead of what was measured; the swing is turned until it does."""

    face_angle: SmallAngle | None = None
    path: SmallAngle | None = None

    @model_validator(mode="after")
    def _check(self) -> AskedTable:
        if self.face_angle is None and self.path is None:
            raise InputError('found neither face_angle nor path; allowed: at least one, such as face_angle = "0 deg"')
        return self


class SmoothingTable(Record):
    """Cut-off frequencies; those not stated are chosen from the data."""

    position: Frequency | None = None
    rotation: Frequency | None = None


class RecordingFile(Record):
    """One recording as its file states it; SI once read."""

    name: str = Field(min_length=1, description="what the swing is called")
    note: str = Field(description="who measured it, how, and with what")
    data: str = Field(min_length=1, description="the CSV or C3D file, beside this one")
    handed: Literal["right", "left"] = Field(description='the golfer: "right" or "left"')
    ball_struck: bool = Field(
        description="true if a ball was struck (frames after impact are then left out), false if not"
    )
    impact: Time | None = None
    ball: BallTable | None = None
    tee_height: TeeHeight = 0.0
    time_column: str = "time"
    units: UnitsTable = UnitsTable()
    axes: AxesTable = Field(description='a table that says how the data axes lie: up = "+z", target = "+x", handedness')
    body: BodyTable | None = None
    position: PositionTable | None = None
    quaternion: QuaternionTable | None = None
    matrix: MatrixTable | None = None
    euler: EulerTable | None = None
    markers: tuple[MarkerEntry, ...] = ()
    smoothing: SmoothingTable = SmoothingTable()
    delivery: AskedTable | None = None
    hands: HandsTable = HandsTable()
    reference_club: ClubParts = Field(description="the club that was held: a table with shaft, head, finished_length")

    @model_validator(mode="after")
    def _check(self) -> RecordingFile:
        if (self.impact is None) == (self.ball is None):
            found = "neither" if self.impact is None else "both"
            raise InputError(
                f'found {found} of impact and [ball]; allowed: impact = "1.234 s" in the data\'s own time, or [ball] '
                "with its centre, and impact is where the face meets it"
            )
        ways = [key for key in ("quaternion", "matrix", "euler") if getattr(self, key) is not None]
        ways += ["markers"] if self.markers else []
        if len(ways) != 1:
            found = "none" if not ways else " and ".join(ways)
            raise InputError(f"found {found}; allowed: one of [quaternion], [matrix], [euler] and [[markers]]")
        if self.markers:
            self._check_markers()
        else:
            for key, words in (("position", "columns"), ("body", "shaft_axis, face_axis and origin")):
                if getattr(self, key) is None:
                    raise InputError(f"{key}: missing key; needed with [{ways[0]}]: a table with {words}")
            if self.data.lower().endswith(".c3d"):
                raise InputError(f"found [{ways[0]}] with a C3D file; allowed: [[markers]], which is what C3D holds")
        check_reference_club(self.reference_club)
        return self

    def _check_markers(self) -> None:
        if len(self.markers) < 3:
            raise InputError(f"markers: found {len(self.markers)}; allowed: at least three, not in one line")
        for key in ("position", "body"):
            if getattr(self, key) is not None:
                raise InputError(f"{key}: found with markers; allowed: without, the template says where they are")
        names = [marker.name for marker in self.markers]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise InputError(f'markers: found two called "{twice}"; allowed: a name of its own for each')
