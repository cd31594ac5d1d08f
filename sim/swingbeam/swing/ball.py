"""Where the ball lies, and what a club delivers at an instant.

Three rules. *Re-aimed* (the default): where the reference club's face centre is at the planned instant, which
is what a golfer has learnt. *Raw*: where the face centre of the rigid reference club is. *Learnt*: for each
club where its own face centre is at the planned instant, the whole swing moved a little, as by a golfer who
has got used to the club; reference pose and reference couple stay, so moving the ball the other way is the
same thing. For a golfer who strikes elsewhere on the face, that point takes the place of the face centre.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..beam import History
from ..beam.errors import InputError
from ..club.build import Club
from ..club.face import Face, surface
from ..units import quote
from .reference import Reference

Array = NDArray[np.float64]

BALL_RADIUS = 0.021335
"""m; half of the smallest diameter the equipment rules allow, 42.67 mm (R&A/USGA Equipment Rules, part 4)."""
RULES = ("re-aimed", "raw", "learnt")


@dataclass(frozen=True)
class Delivered:
    """What a club's face centre and centre of gravity do at an instant; SI, signs of DEVELOPERS.md."""

    face_angle: float
    dynamic_loft: float
    attack: float
    path: float
    head_speed: float


def delivered(run: History, face: Face, t: float = 0.0) -> Delivered:
    """Face angle (open +) and dynamic loft at the face centre; attack (up +), path (in-to-out +) and speed of
    the CG."""
    row = run.at(t)
    normal = row.tip_rotation_world[0] @ face.normal
    velocity = row.head_velocity[0]
    return Delivered(
        math.atan2(-normal[1], normal[0]),
        math.asin(normal[2]),
        math.atan2(velocity[2], math.hypot(velocity[0], velocity[1])),
        math.atan2(-velocity[1], velocity[0]),
        float(np.linalg.norm(velocity)),
    )


def ball_at_face_centre(run: History, face: Face, t: float = 0.0) -> Array:
    """(3,) m, world: the centre of a ball that touches the face centre at instant t, s."""
    row = run.at(t)
    return np.asarray(row.point_position(face.centre)[0] + BALL_RADIUS * (row.tip_rotation_world[0] @ face.normal))


def ball_on_face(run: History, face: Face, toe: float, up: float, t: float = 0.0) -> Array:
    """(3,) m, world: the centre of a ball that touches the curved face at a point (m from its centre,
    toe-ward and up) at instant t, s."""
    row = run.at(t)
    point, normal = surface(face, toe, up)
    return np.asarray(row.point_position(point)[0] + BALL_RADIUS * (row.tip_rotation_world[0] @ normal))


def ball_of_rigid_club(position: Array, rotation: Array, club: Club, toe: float = 0.0, up: float = 0.0) -> Array:
    """(3,) m, world: the same for the club made rigid, its grip at (3,) m and (3, 3)."""
    point, normal = surface(club.face, toe, up)
    from_hold = np.array([club.length_beyond_hold, 0.0, 0.0]) + point + BALL_RADIUS * normal
    return np.asarray(position + rotation @ from_hold)


def ball_centre(rule: str, reference: Reference, club: Club, run: History | None = None) -> Array:
    """(3,) m: the ball's centre for a club, in the world of the reference run.

    Parameters
    ----------
    rule : one of `RULES`
    run : the club's run past the planned impact; needed by "learnt" only

    Raises
    ------
    InputError
        An unknown rule, or "learnt" without a run.
    """
    if rule == "re-aimed":
        return reference.ball
    if rule == "raw":
        return reference.raw_ball
    if rule != "learnt":
        raise InputError(f"ball: found {quote(rule)}; allowed: {', '.join(RULES)}")
    if run is None:
        raise InputError('ball "learnt" needs the club\'s own run')
    return ball_on_face(run, club.face, *reference.strike)
