"""A scenario's file: one question, one golfer, and the clubs it is asked about."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.air_file import AirTable
from swingbeam.files.base import Record
from swingbeam.files.club_file import ClubParts
from swingbeam.files.swing_file import GripFirmness

HandMode = Literal["vice", "hold", "effort"]
BallRule = Literal["re-aimed", "raw", "learnt"]
SolverName = Literal["curvature", "elements"]
MOST_CLUBS = 1000


class GolferTable(Record):
    """The golfer where a swing leaves it open."""

    handed: Literal["right", "left"] = "right"


class ScenarioFile(Record):
    """One scenario as its file states it.

    The clubs are `shafts` (one club each, built as [club] says), or [[clubs]] (each its own changes to
    [club]), or both. [reference_club] changes keys of the one that the swing states, grip_firmness that of its hands.
    """

    name: str = Field(min_length=1, description="what the scenario is called")
    question: str = Field(description="the question it answers, in a sentence")
    swing: str = Field(min_length=1, description="name or path of a swing")
    hands: HandMode = "hold"
    grip_firmness: GripFirmness | None = None
    ball: BallRule = "re-aimed"
    solver: SolverName = "curvature"
    shafts: tuple[str, ...] = ()
    golfer: GolferTable = GolferTable()
    air: AirTable = AirTable()
    club: ClubParts = ClubParts()
    clubs: tuple[ClubParts, ...] = ()
    reference_club: ClubParts | None = None

    @model_validator(mode="after")
    def _check(self) -> ScenarioFile:
        clubs = self.all_clubs()
        if not clubs:
            raise InputError("found no clubs; allowed: shafts = [ ... ] or [[clubs]] tables")
        if len(clubs) > MOST_CLUBS:
            raise InputError(f"found {len(clubs)} clubs; allowed: up to {MOST_CLUBS}")
        for number, parts in enumerate(clubs, 1):
            for key in ("shaft", "head"):
                if getattr(parts, key) is None:
                    raise InputError(f"club #{number}: no {key}; allowed: {key} = a name, there or in [club]")
            if parts.finished_length is None and parts.butt_trim is None:
                raise InputError(
                    f'club #{number}: no length; allowed: finished_length = "45.5 in" (or butt_trim), '
                    "there or in [club]"
                )
        labels = [parts.label for parts in clubs]
        twice = next((label for label in labels if labels.count(label) > 1), None)
        if twice is not None:
            raise InputError(f'found two clubs called "{twice}"; allowed: a label of its own for each')
        return self

    def all_clubs(self) -> tuple[ClubParts, ...]:
        """Every club with the common keys filled in and a label (the shaft's name where none is given)."""
        wanted = [ClubParts.model_validate({"shaft": name}) for name in self.shafts] + list(self.clubs)
        merged = [parts.over(self.club) for parts in wanted]
        return tuple(p if p.label else p.model_copy(update={"label": p.shaft}) for p in merged)
