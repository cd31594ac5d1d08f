"""A head's file: mass, centre of gravity, inertia with its axes and point, and the face.

Positions are measured from the hosel mouth, where the shaft axis meets it: `along` the shaft (further down is
positive), `forward` (toward the target) or `rearward`, and `toe` (toward the toe), the last two square to the
shaft axis.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record
from swingbeam.units import Inertia, PlainNumber, Quantity

HeadLength = Annotated[float, Quantity("length", at_least=-0.3, at_most=0.3)]
SizeLength = Annotated[float, Quantity("length", above=0.0, at_most=0.3)]


class CentreOfGravity(Record):
    """m from the hosel mouth."""

    along: HeadLength = Field(description='how far down the shaft axis, such as "52 mm"')
    rearward: HeadLength = Field(description='how far behind the shaft axis, such as "18 mm"')
    toe: HeadLength = Field(description='how far toward the toe from the shaft axis, such as "34 mm"')


class FaceCentre(Record):
    """m from the hosel mouth."""

    along: HeadLength = Field(description='how far down the shaft axis, such as "50 mm"')
    forward: HeadLength = Field(description='how far in front of the shaft axis, such as "12 mm"')
    toe: HeadLength = Field(description='how far toward the toe from the shaft axis, such as "35 mm"')


class InertiaTable(Record):
    """Moments or the whole tensor, kg·m².

    `axes` "head": forward, toe, up with the club soled; "shaft": along the shaft, forward, toe.
    `about` "cg" or "hosel mouth", or any point, m from the hosel mouth.
    """

    axes: Literal["head", "shaft"] = Field(description='"head" (forward, toe, up) or "shaft" (along, forward, toe)')
    about: Literal["cg", "hosel mouth"] = "cg"
    point: CentreOfGravity | None = Field(default=None, description="another point, instead of `about`")
    moments: tuple[Inertia, Inertia, Inertia] | None = None
    tensor: (
        tuple[
            tuple[Inertia, Inertia, Inertia],
            tuple[Inertia, Inertia, Inertia],
            tuple[Inertia, Inertia, Inertia],
        ]
        | None
    ) = None

    @model_validator(mode="after")
    def _check(self) -> InertiaTable:
        if (self.moments is None) == (self.tensor is None):
            found = "neither" if self.moments is None else "both"
            raise InputError(f"found {found} of moments and tensor; allowed: one of the two")
        if self.point is not None and "about" in self.model_fields_set:
            raise InputError("found about and point; allowed: one of the two")
        return self


class FaceTable(Record):
    """The face: centre, curvature radii (m; None: flat) and size (m)."""

    centre: FaceCentre = Field(description="a table with along, forward and toe")
    bulge_radius: Annotated[float, Quantity("length", at_least=0.05, at_most=100.0)] | None = None
    roll_radius: Annotated[float, Quantity("length", at_least=0.05, at_most=100.0)] | None = None
    restitution: Annotated[float, PlainNumber(at_least=0.3, at_most=0.95)] | None = Field(
        default=None, description="of a ball struck at 160 ft/s (48.8 m/s), such as 0.82; by default that of its kind"
    )
    width: SizeLength = Field(description='the width of the face, heel to toe, such as "105 mm"')
    height: SizeLength = Field(description='the height of the face, such as "56 mm"')


class HeadFile(Record):
    """One head as its file states it, SI once read."""

    name: str = Field(min_length=1, description="what the head is called")
    kind: Literal["driver", "iron"] = Field(description='"driver" or "iron"')
    note: str = ""
    mass: Annotated[float, Quantity("mass", at_least=0.01, at_most=2.0)] = Field(
        description='the mass of the bare head, such as "200 g"'
    )
    loft: Annotated[float, Quantity("angle", above=-0.2, below=1.4)] = Field(
        description='elevation of the face normal with the club soled, such as "10.5 deg"'
    )
    lie: Annotated[float, Quantity("angle", above=0.5, below=1.55)] = Field(
        description='angle of the shaft to the ground with the club soled, such as "58 deg"'
    )
    face_angle: Annotated[float, Quantity("angle", above=-0.35, below=0.35)] = Field(
        default=0.0, description='with the club soled, open positive, such as "0.5 deg"'
    )
    hosel_height: Annotated[float, Quantity("length", above=0.0, at_most=0.2)] = Field(
        description='the hosel mouth above the ground with the club soled, such as "53 mm"'
    )
    insertion: Annotated[float, Quantity("length", above=0.0, at_most=0.1)] = Field(
        description='how deep the shaft goes in, such as "32 mm"'
    )
    bore: Annotated[float, Quantity("length", at_least=0.004, at_most=0.04)] | None = None
    """Diameter of the hole in the hosel; None: whether a tip fits is not judged."""
    cg: CentreOfGravity = Field(description="a table with along, rearward and toe")
    inertia: InertiaTable = Field(description="a table with axes, about, and moments or tensor")
    face: FaceTable = Field(description="a table with centre, bulge_radius, roll_radius, width and height")
