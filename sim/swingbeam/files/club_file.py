"""The keys that describe how a club is built; scenarios and swings hold such tables."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record
from swingbeam.units import NonNegativeLength, NonNegativeMass, PositiveLength, Quantity

DEFAULT_GRIP_MASS = 0.050
"""kg; common practice, no source."""
DEFAULT_GRIP_LENGTH = 10.5 * 0.0254
"""m; common practice, no source."""
DEFAULT_HOLD_POINT = 3.5 * 0.0254
"""m from the butt end to the point between the two hands; from memory."""


class ClubParts(Record):
    """Some or all keys of a club; what is None is taken from elsewhere (`over`) or from the defaults.

    SI once read. `finished_length` and `butt_trim` are two ways of saying the same: one of them is needed to
    build. `insertion` None: the depth of the head's hosel.
    """

    label: str | None = Field(default=None, description="how the club is called in tables")
    shaft: str | None = Field(default=None, description="name or path of a shaft")
    head: str | None = Field(default=None, description="name or path of a head")
    finished_length: PositiveLength | None = None
    butt_trim: NonNegativeLength | None = None
    tip_trim: NonNegativeLength | None = None
    insertion: Annotated[float, Quantity("length", above=0.0, at_most=0.1)] | None = None
    grip_mass: NonNegativeMass | None = None
    grip_length: PositiveLength | None = None
    hold_point: NonNegativeLength | None = None

    @model_validator(mode="after")
    def _one_length(self) -> ClubParts:
        if self.finished_length is not None and self.butt_trim is not None:
            raise InputError("found finished_length and butt_trim; allowed: one of the two")
        return self

    def over(self, common: ClubParts) -> ClubParts:
        """These keys where given, those of `common` elsewhere; a length here replaces either kind there."""
        own = {k: v for k, v in self if v is not None}
        base = {k: v for k, v in common if v is not None}
        if "finished_length" in own or "butt_trim" in own:
            base.pop("finished_length", None)
            base.pop("butt_trim", None)
        return ClubParts().model_copy(update={**base, **own})
