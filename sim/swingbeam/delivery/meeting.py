"""How head and ball meet: all of a run that blow and flight need, and small changes of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swingbeam.swing.ball import BALL_RADIUS

from .blow import HeadState
from .contact import FaceLike, nearest_on_face

if TYPE_CHECKING:
    from swingbeam.beam.history import History

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Meeting:
    """The head as it touches the ball; SI, world.

    Attributes
    ----------
    head : its mass and inertia (with the end of the shaft inside it), motion, strike point and normal there
    toe, up : (3,) unit vectors along the face at the strike point
    bulge_curvature, roll_curvature : 1/m
    hosel : (3,) m, from the centre of gravity to the hosel mouth
    height : m, of the ball's lowest point above the ground
    """

    head: HeadState
    toe: Array
    up: Array
    bulge_curvature: float
    roll_curvature: float
    hosel: Array
    height: float


@dataclass(frozen=True)
class DeliveryChange:
    """A change of delivery; SI, signs of the figures at impact. Speed is a share."""

    face_angle: float = 0.0
    dynamic_loft: float = 0.0
    path: float = 0.0
    attack: float = 0.0
    speed: float = 0.0
    strike_toe: float = 0.0
    strike_up: float = 0.0


def meeting_of(history: History, face: FaceLike, ball: ArrayLike, impact: float) -> Meeting:
    """The meeting of a run's head with the ball.

    Parameters
    ----------
    ball : (3,) m, ball centre, world
    impact : s, this club's own
    """
    row = history.at(np.array([impact]))
    turn, tip = row.tip_rotation_world[0], history.tip
    place = np.asarray(ball, dtype=float)
    local = turn.T @ (place - row.tip_position_world[0]) - face.centre
    where = nearest_on_face(
        local @ face.normal, local @ face.toe, local @ face.up, face.bulge_curvature, face.roll_curvature
    )
    ahead = np.cos(where.tilt_toe) * face.normal + np.sin(where.tilt_toe) * face.toe
    toe = np.cos(where.tilt_toe) * face.toe - np.sin(where.tilt_toe) * face.normal
    normal = np.cos(where.tilt_up) * ahead + np.sin(where.tilt_up) * face.up
    touched = face.centre + local - (where.gap + BALL_RADIUS) * normal
    head = HeadState(
        mass=tip.mass,
        inertia=turn @ tip.inertia @ turn.T,
        velocity=row.head_velocity[0],
        omega=turn @ row.tip_omega[0],
        arm=turn @ (touched - tip.offset),
        normal=turn @ normal,
    )
    return Meeting(
        head=head,
        toe=turn @ toe,
        up=np.cross(turn @ toe, head.normal),
        bulge_curvature=face.bulge_curvature,
        roll_curvature=face.roll_curvature,
        hosel=turn @ -tip.offset,
        height=max(float(place[2]) - BALL_RADIUS, 0.0),
    )


def changed(meeting: Meeting, change: DeliveryChange) -> Meeting:
    """The same meeting with a slightly other delivery: all else, the place of the ball too, stays."""
    head = meeting.head
    velocity = _aimed(head.velocity, change.path, change.attack) * (1.0 + change.speed)
    head = replace(head, velocity=velocity, omega=head.omega * (1.0 + change.speed))
    level = np.cross(head.normal, [0.0, 0.0, 1.0])
    upward = change.dynamic_loft * level / np.linalg.norm(level)
    head = head.turned(upward + np.array([0.0, 0.0, -change.face_angle]))
    tilt = change.strike_toe * meeting.bulge_curvature * meeting.toe
    tilt = tilt + change.strike_up * meeting.roll_curvature * meeting.up
    normal = head.normal + tilt
    head = replace(
        head,
        arm=head.arm + change.strike_toe * meeting.toe + change.strike_up * meeting.up,
        normal=normal / np.linalg.norm(normal),
    )
    return replace(meeting, head=head)


def _aimed(velocity: Array, path: float, attack: float) -> Array:
    """A velocity turned in-to-out (toward −y) by `path` and up by `attack`, rad."""
    x, y, z = velocity
    c, s = np.cos(path), np.sin(path)
    x, y = c * x + s * y, c * y - s * x
    level = np.hypot(x, y)
    c, s = np.cos(attack), np.sin(attack)
    share = (c * level - s * z) / level
    return np.array([x * share, y * share, c * z + s * level])
