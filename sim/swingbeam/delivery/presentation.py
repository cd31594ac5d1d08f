"""How the head is presented to the ball at impact. Frames and signs are those of DEVELOPERS.md."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swingbeam.beam.rotations import swing_twist

from .contact import FaceLike, nearest_on_face
from .decompose import face_angle, loft

if TYPE_CHECKING:
    from swingbeam.beam.history import History

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Impact:
    """Figures of one club at its own impact; SI: rad, m, m/s, rad/s, s.

    Attributes
    ----------
    face_angle, dynamic_loft : of the normal at the face centre: to the target line (open +), above level
    face_angle_at_strike, dynamic_loft_at_strike : the same of the normal at the strike point
    toe_up : elevation of the face's toe-ward axis, toe above the level of the sole line +
    droop : tip deflection toe-down +, from the grip's tangent
    lead : tip deflection toward the face-normal side of the grip, lead +
    in_plane : tip deflection in the swing plane, lead +
    twist : of the tip section about the shaft axis (swing–twist split), opening the face +
    attack, path : of the head's centre of gravity: up +, in-to-out +
    head_speed : of the head's centre of gravity
    face_centre_speed : of the face centre
    closure : rate of the face angle, closing +
    strike_toe, strike_up : strike point from the face centre, toe-ward and up the face
    arrives : own impact minus the planned one
    """

    face_angle: float
    dynamic_loft: float
    face_angle_at_strike: float
    dynamic_loft_at_strike: float
    toe_up: float
    droop: float
    lead: float
    in_plane: float
    twist: float
    attack: float
    path: float
    head_speed: float
    face_centre_speed: float
    closure: float
    strike_toe: float
    strike_up: float
    arrives: float

    def minus(self, other: Impact) -> Impact:
        """The change of every figure against another club's."""
        return Impact(*(getattr(self, f.name) - getattr(other, f.name) for f in fields(self)))


def closure_rate(normal: Array, omega: Array) -> float:
    """Rate of the horizontal angle of a face normal (3,), rad/s, closing +; omega (3,) rad/s; both world.

    With φ = atan2(n_y, n_x) and ṅ = ω × n: φ̇ = (n_x ṅ_y − n_y ṅ_x)/(n_x² + n_y²); a face that closes
    (right-handed golfer, y toward him) turns its normal toward +y.
    """
    rate = np.cross(omega, normal)
    return float((normal[0] * rate[1] - normal[1] * rate[0]) / (normal[0] ** 2 + normal[1] ** 2))


def directions(velocity: Array) -> tuple[float, float]:
    """Attack (up +) and path (in-to-out +), rad, of a velocity (3,) in the world.

    In-to-out is away from the golfer, who stands on the +y side: toward −y.
    """
    level = float(np.hypot(velocity[0], velocity[1]))
    return float(np.arctan2(velocity[2], level)), float(np.arctan2(-velocity[1], velocity[0]))


def present(
    history: History, face: FaceLike, ball: ArrayLike, impact: float, planned: float, direction: Array
) -> Impact:
    """Figures at impact.

    Parameters
    ----------
    history : History
        A run that reaches `impact`.
    face : the face in the tip frame
    ball : (3,) m
        Ball centre, world.
    impact, planned : float, s
        This club's own impact and the planned one.
    direction : (3,)
        e at impact (`unload.bend_direction`), world.
    """
    row = history.at(np.array([impact]))
    turn, root, deflection = row.tip_rotation_world[0], row.root_rotation[0], row.tip_position[0]
    local = turn.T @ (np.asarray(ball, dtype=float) - row.tip_position_world[0]) - face.centre
    where = nearest_on_face(
        local @ face.normal, local @ face.toe, local @ face.up, face.bulge_curvature, face.roll_curvature
    )
    at_strike = (
        np.cos(where.tilt_up) * (np.cos(where.tilt_toe) * face.normal + np.sin(where.tilt_toe) * face.toe)
        + np.sin(where.tilt_up) * face.up
    )
    normal, struck = turn @ face.normal, turn @ at_strike
    velocity = row.head_velocity[0]
    attack, path = directions(velocity)
    _, twist = swing_twist(row.tip_rotation_matrix[0])
    across = root[:, 1] * deflection[1] + root[:, 2] * deflection[2]
    return Impact(
        face_angle=float(face_angle(normal)),
        dynamic_loft=float(loft(normal)),
        face_angle_at_strike=float(face_angle(struck)),
        dynamic_loft_at_strike=float(loft(struck)),
        toe_up=float(np.arcsin(np.clip((turn @ face.toe)[2], -1.0, 1.0))),
        droop=float(-deflection[2]),
        lead=float(deflection[1]),
        in_plane=float(across @ direction),
        twist=float(twist),
        attack=attack,
        path=path,
        head_speed=float(np.linalg.norm(velocity)),
        face_centre_speed=float(np.linalg.norm(row.point_velocity(face.centre)[0])),
        closure=closure_rate(normal, turn @ row.tip_omega[0]),
        strike_toe=float(where.toe),
        strike_up=float(where.up),
        arrives=impact - planned,
    )
