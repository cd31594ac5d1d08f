"""Aim a recorded swing, where that is asked for: turn it about the vertical, turn the club in the markers.

A recording's path depends on how exactly the target was laid out, its face angle on how exactly square the
markers were put on the grip. Both can be stated instead; everything else of a recording stays as it is.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..beam.errors import InputError
from ..beam.rotations import rotation_from_vector
from ..club.build import Club
from .ball import delivered
from .plan import DEGREE
from .recorded_swing import RecordedPlan, vice_run

Array = NDArray[np.float64]

TOLERANCE = 1e-7
"""rad"""
MOST_PASSES = 12


def turned(plan: RecordedPlan, yaw: float, roll: float) -> RecordedPlan:
    """The whole swing turned about the vertical by `yaw`, right-handed about +z, and the club about its shaft by
    `roll` in the hands, rad."""
    about_z = rotation_from_vector([0.0, 0.0, yaw])
    about_shaft = rotation_from_vector([roll, 0.0, 0.0])
    return replace(plan, position=plan.position @ about_z.T, rotation=about_z @ plan.rotation @ about_shaft)


def aim_recording(
    plan: RecordedPlan, club: Club, face_angle: float | None, path: float | None
) -> tuple[RecordedPlan, str]:
    """The swing turned so that the reference club delivers the stated face angle and path, rad; and the turns, in
    words.

    Raises
    ------
    InputError
        No turns were found that deliver it.
    SimulationError
        The solver could not finish.
    """
    yaw = roll = 0.0
    slope = 1.0  # of the face angle over the roll
    last: tuple[float, float] | None = None
    for _ in range(MOST_PASSES):
        own = turned(plan, yaw, roll)
        at = delivered(vice_run(own.motion(), club), club.face)
        off_path = 0.0 if path is None else at.path - path
        off_face = 0.0 if face_angle is None else at.face_angle - face_angle
        if max(abs(off_path), abs(off_face)) < TOLERANCE:
            return own, _words(yaw, roll, face_angle is not None, path is not None)
        yaw += off_path  # in-to-out is toward −y
        # The yaw turns the face with the path; what is left of its miss is the roll's.
        miss = off_face - off_path
        if last is not None and abs(roll - last[0]) > 1e-12:
            slope = (miss - last[1]) / (roll - last[0]) if abs(miss - last[1]) > 1e-12 else slope
        last = (roll, miss)
        roll -= miss / slope if abs(slope) > 0.05 else miss
    raise InputError("delivery: the recording cannot be turned so that it delivers this; ask for less of a change")


def _words(yaw: float, roll: float, face: bool, path: bool) -> str:
    parts = []
    if path:
        parts.append(f"the whole swing was turned by {yaw / DEGREE:+.2f} deg about the vertical")
    if face:
        parts.append(f"the club was turned by {roll / DEGREE:+.2f} deg about its shaft")
    return f"aimed as asked: {' and '.join(parts)}"
