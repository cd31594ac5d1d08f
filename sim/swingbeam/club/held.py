"""A heavier or lighter shaft, and what of the club is held: the head's mass, or the swing weight.

Swing weight is the mass moment of the whole club, laid level, about a fulcrum 14 in from the butt end (common
practice, no source), as the balance test of the bench reads it.
"""

from __future__ import annotations

from dataclasses import replace

from swingbeam.beam.errors import InputError
from swingbeam.shaft.shaft import Shaft, integrate, scale
from swingbeam.units import quote, show

from .build import Club, build_club
from .head import Head

FULCRUM = 14.0 * 0.0254
"""m from the butt end; common practice, no source."""
LEAST_HEAD_SHARE, MOST_HEAD_SHARE = 0.5, 1.5
"""Of its own mass: a head made lighter or heavier than that is another head."""
HELD_OF_CLUB = {
    "head mass": "the head stays as it is; the swing weight follows",
    "swing weight": "the head's mass is changed until the mass moment about 14 in from the butt end is as before",
}
"""What of a club may be held while its shaft's mass is changed, in words."""


def rebuilt(club: Club, shaft: Shaft, head: Head) -> Club:
    """The same build (trims, insertion, grip, hold point) with another shaft or head."""
    return build_club(
        shaft,
        head,
        butt_trim=club.butt_trim,
        tip_trim=club.tip_trim,
        insertion=club.insertion,
        grip_mass=club.grip_mass,
        grip_length=club.grip_length,
        hold_point=club.hold_point,
        label=club.label,
    )


def mass_moment(club: Club, fulcrum: float = FULCRUM) -> float:
    """Mass moment of a whole club about a point of its axis, kg·m, head-heavy positive.

    Parameters
    ----------
    fulcrum : m from the butt end
    """
    mouth = _mouth(club)
    mass, centre, _ = integrate(club.shaft, club.butt_trim, club.butt_trim + mouth + club.insertion)
    shaft = mass * (centre - club.butt_trim - fulcrum)
    grip = club.grip_mass * (0.5 * club.grip_length - fulcrum)
    return shaft + grip + club.head.mass * (mouth + float(club.head.cg[0]) - fulcrum)


def _mouth(club: Club) -> float:
    """Hosel mouth, m from the butt end."""
    return club.hold_point + club.length_beyond_hold


def with_head_mass(head: Head, mass: float) -> Head:
    """The same head of another mass, kg: centre of gravity and radii of gyration stay, so its inertia goes along."""
    return replace(head, mass=mass, inertia=head.inertia * (mass / head.mass))


def with_swing_weight(club: Club, moment: float) -> Club:
    """The same club with the head's mass changed until `mass_moment` is `moment`, kg·m.

    Raises
    ------
    InputError
        It would take a head beyond `LEAST_HEAD_SHARE` … `MOST_HEAD_SHARE` of its own mass.
    """
    arm = _mouth(club) + float(club.head.cg[0]) - FULCRUM
    if arm <= 0.0:
        raise InputError("same swing weight: the head lies within 14 in of the butt end; allowed: a longer club")
    mass = club.head.mass + (moment - mass_moment(club)) / arm
    least, most = LEAST_HEAD_SHARE * club.head.mass, MOST_HEAD_SHARE * club.head.mass
    if not least <= mass <= most:
        raise InputError(
            f"same swing weight: found a head of {show(mass, 'g', 1)} that this shaft would need; allowed: "
            f"{show(least, 'g', 0)} to {show(most, 'g', 0)}"
        )
    return rebuilt(club, club.shaft, with_head_mass(club.head, mass))


def with_shaft_mass(club: Club, factor: float, held: str = "head mass") -> Club:
    """The same club with its shaft's mass multiplied everywhere, stiffness and damping ratios as they are.

    Parameters
    ----------
    factor : of the shaft's mass per length; 1 gives the club itself
    held : one of `HELD_OF_CLUB`

    Raises
    ------
    InputError
        Another thing to hold, a factor that is not positive and finite, or a head too far from its own mass.
    """
    if held not in HELD_OF_CLUB:
        raise InputError(f"shaft weight: found {quote(held)} held; allowed: {', '.join(HELD_OF_CLUB)}")
    if factor == 1.0:
        return club
    other = rebuilt(club, scale(club.shaft, mass=factor), club.head)
    return other if held == "head mass" else with_swing_weight(other, mass_moment(club))
