"""How the face came to its angle and loft: a fixed order of causes that sums exactly."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.rotations import swing_twist

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Causes:
    """One angle at impact as a sum, rad, in this order.

    Attributes
    ----------
    rigid : this club made rigid, on the line, at the planned impact (an angle; the others are changes)
    when : the line's pose at this club's own impact instead
    reference : how the golfer's reference run differs from the line there
    hands : how the hands yield to this club
    bend : bending of the shaft, and with it the tip's turn other than twist
    twist : twist of the shaft about its own axis
    """

    rigid: float
    when: float
    reference: float
    hands: float
    bend: float
    twist: float

    @property
    def total(self) -> float:
        """The angle at impact, rad."""
        return sum(getattr(self, f.name) for f in fields(self))


def face_angle(normal: Array) -> Array:
    """Horizontal angle of a face normal (..., 3) in the world to the target line, rad, open +."""
    return np.arctan2(-normal[..., 1], normal[..., 0])


def loft(normal: Array) -> Array:
    """Elevation of a face normal (..., 3) in the world, rad."""
    return np.arctan2(normal[..., 2], np.hypot(normal[..., 0], normal[..., 1]))


def decompose(
    normal: Array, planned: Array, line: Array, reference: Array, root: Array, tip: Array
) -> tuple[Causes, Causes]:
    """Split face angle and dynamic loft at the face centre into their causes.

    Parameters
    ----------
    normal : (3,)
        Face normal at the face centre in the tip section frame.
    planned : (3, 3)
        Pose of the grip on the line at the planned impact; all rotations body → world.
    line, reference : (3, 3)
        Pose of the grip on the line, and in the reference run, at this club's own impact.
    root : (3, 3)
        Pose of the grip as it yields, at this club's own impact.
    tip : (3, 3)
        Rotation of the tip section in the yielded grip frame; it is bend · twist (swing–twist split about x).

    Returns
    -------
    face, loft : Causes, rad
        Each the telescoping sum over planned → line → line·exp ψ_ref → ·exp δ → ·bend → ·twist.
    """
    bend, _ = swing_twist(tip)
    poses = np.stack([planned, line, reference, root, root @ bend, root @ tip])
    normals = poses @ normal
    face, up = face_angle(normals), loft(normals)
    return _steps(face), _steps(up)


def _steps(angles: Array) -> Causes:
    changes = np.diff(angles)
    # Neighbouring poses differ by far less than half a turn: a jump of a whole turn is the branch of atan2.
    changes = changes - 2.0 * np.pi * np.round(changes / (2.0 * np.pi))
    return Causes(float(angles[0]), *(float(c) for c in changes))
