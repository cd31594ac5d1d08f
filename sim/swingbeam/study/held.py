"""A golfer with a heavier or lighter shaft: which of his motion, his effort, the head's mass and the swing weight stay.

The four are different questions. "same motion" asks of the club alone: hands in a vice repeat the reference pose, so
that nothing but the shaft and head on their way differs. "same effort" asks of the golfer: he gives the club the same
mean power, so that a heavier one comes slower (`swing.held.same_effort`). "same head mass" and "same swing weight" ask
of the build, and leave the golfer as he is: his hands give as they do.
"""

from __future__ import annotations

from dataclasses import dataclass

from swingbeam.beam.errors import InputError
from swingbeam.club.build import Club
from swingbeam.club.held import HELD_OF_CLUB, with_shaft_mass
from swingbeam.swing.held import HELD_OF_TEMPO, Plan, same_effort, slower
from swingbeam.units import quote

HELD_OF_SHAFT_WEIGHT = {
    "motion": "the grip repeats the motion it had with the reference club: hands in a vice",
    "effort": "the golfer gives the club as much mean power as his own; the head speed follows",
    **HELD_OF_CLUB,
}
"""What may be held while a shaft's mass changes, in words."""

__all__ = ["HELD_OF_SHAFT_WEIGHT", "HELD_OF_TEMPO", "Weighted", "slower", "with_heavier_shaft"]


@dataclass(frozen=True, eq=False)
class Weighted:
    """A golfer and the club he is to swing.

    Attributes
    ----------
    plan : his swing; it is aimed with his own reference club
    club : with the other shaft
    hands : the hand mode that holding this means; None: whatever is asked for elsewhere
    """

    plan: Plan
    club: Club
    hands: str | None


def with_heavier_shaft(plan: Plan, reference: Club, club: Club, factor: float, held: str) -> Weighted:
    """A club with its shaft's mass multiplied, and the golfer who swings it.

    Parameters
    ----------
    plan, reference : the golfer, and the club he is used to
    club : whose shaft gets heavier; the reference club or another
    factor : of the shaft's mass; below 1 lighter
    held : one of `HELD_OF_SHAFT_WEIGHT`

    Raises
    ------
    InputError
        Another thing to hold, a factor that is not positive and finite, a head too far from its own mass, or a
        recording whose effort is to be held.
    SimulationError
        The solver could not finish.
    """
    if held not in HELD_OF_SHAFT_WEIGHT:
        raise InputError(f"shaft weight: found {quote(held)} held; allowed: {', '.join(HELD_OF_SHAFT_WEIGHT)}")
    if held in HELD_OF_CLUB:
        return Weighted(plan, with_shaft_mass(club, factor, held), None)
    other = with_shaft_mass(club, factor)
    if held == "motion":
        return Weighted(plan, other, "vice")
    return Weighted(same_effort(plan, reference, other, first=club), other, None)
