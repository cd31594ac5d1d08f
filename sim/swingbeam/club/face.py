"""The face in the grip frame: its normal, its axes and its curved surface."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swingbeam.club.head import Head, soled_axes

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Face:
    """A face fixed to the tip section; SI, grip frame (x down the shaft, y forward, z toe-ward), hosel mouth.

    Attributes
    ----------
    centre : (3,) m
    normal, toe, up : (3,) unit vectors: out of the face at its centre, along the face toward the toe (level
    with
        the club soled), up the face
    bulge_curvature, roll_curvature : float, 1/m; 0 is flat
    half_width, half_height : float, m
    """

    centre: Array
    normal: Array
    toe: Array
    up: Array
    bulge_curvature: float
    roll_curvature: float
    half_width: float
    half_height: float

    def __post_init__(self) -> None:
        for name in ("centre", "normal", "toe", "up"):
            array = np.array(getattr(self, name), dtype=float)
            array.setflags(write=False)
            object.__setattr__(self, name, array)


def face_normal(loft: float, lie: float, face_angle: float) -> Array:
    """(3,) unit normal in the grip frame.

    Parameters
    ----------
    loft, lie, face_angle : rad, with the club soled; face angle open +

    Notes
    -----
    In the world, club soled: (cos ℓ cos φ, −cos ℓ sin φ, sin ℓ): elevated by the loft ℓ, turned by the face
    angle φ to the right of the target. Turned into the grip frame by the lie.
    """
    world = [np.cos(loft) * np.cos(face_angle), -np.cos(loft) * np.sin(face_angle), np.sin(loft)]
    return soled_axes(lie) @ np.array(world)


def face_axes(loft: float, lie: float, face_angle: float) -> tuple[Array, Array]:
    """Toe-ward and up-the-face unit vectors (3,) in the grip frame; with the normal, toe × normal = up."""
    toe = soled_axes(lie) @ np.array([-np.sin(face_angle), -np.cos(face_angle), 0.0])
    return toe, _cross(toe, face_normal(loft, lie, face_angle))


def _cross(a: Array, b: Array) -> Array:
    """a × b; numpy's own takes ten times as long for a single pair."""
    (a0, a1, a2), (b0, b1, b2) = a.tolist(), b.tolist()
    return np.array([a1 * b2 - a2 * b1, a2 * b0 - a0 * b2, a0 * b1 - a1 * b0])


def face_of(head: Head) -> Face:
    """The face of a head."""
    toe, up = face_axes(head.loft, head.lie, head.face_angle)
    return Face(
        centre=head.face_centre,
        normal=face_normal(head.loft, head.lie, head.face_angle),
        toe=toe,
        up=up,
        bulge_curvature=1.0 / head.bulge_radius,
        roll_curvature=1.0 / head.roll_radius,
        half_width=0.5 * head.face_width,
        half_height=0.5 * head.face_height,
    )


def surface(face: Face, toe: ArrayLike, up: ArrayLike) -> tuple[Array, Array]:
    """Points and normals of the curved face.

    Parameters
    ----------
    toe, up : (...) m, angles of the arcs times their radii: how far along the bulge toe-ward and along the
    face
        roll upward from the centre

    Returns
    -------
    points (..., 3) m and unit normals (..., 3), grip frame.

    Notes
    -----
    The arc of the face roll, turned about the axis of the bulge: the outside of a torus. A bulge angle τ and
    a roll angle υ give the normal cos υ (cos τ n + sin τ t) + sin υ u. Elementary geometry.
    """
    along, upward = np.broadcast_arrays(np.asarray(toe, dtype=float), np.asarray(up, dtype=float))
    kb, kr = face.bulge_curvature, face.roll_curvature
    tau, ups = (kb * along)[..., None], (kr * upward)[..., None]
    ring = np.cos(tau) * face.normal + np.sin(tau) * face.toe
    normal = np.cos(ups) * ring + np.sin(ups) * face.up
    # Chords of the arcs, written with sinc so that a flat face is exact: numpy's sinc(x) is sin(πx)/(πx).
    side = along[..., None] * (
        np.sinc(tau / np.pi) * face.toe - np.sin(tau / 2.0) * np.sinc(tau / (2.0 * np.pi)) * face.normal
    )
    rise = upward[..., None] * (
        np.sinc(ups / np.pi) * face.up - np.sin(ups / 2.0) * np.sinc(ups / (2.0 * np.pi)) * ring
    )
    return face.centre + side + rise, normal
