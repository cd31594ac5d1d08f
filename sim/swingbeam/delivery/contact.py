"""First contact of the curved face with the ball, found on the continuous solution.

The face is the outside of a torus: the arc of the face roll (up the face) turned about the axis of the bulge
(heel to toe). Its distance to a point has a closed form, also for a flat face, so contact is the root of one
smooth function of time.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq

from swingbeam.swing.ball import BALL_RADIUS

if TYPE_CHECKING:
    from swingbeam.beam.history import History

Array = NDArray[np.float64]

REACH = 0.25
"""m: contact is looked for while the ball is this near to the face centre, some 5 ms about impact."""
CONTACT_TOLERANCE = 1e-6
"""m: a run ended by `penetration` touches the ball to within this; at 45 m/s it is 20 ns."""


class FaceLike(Protocol):
    """What contact and presentation need of a face, in the tip section frame (x down the shaft axis)."""

    @property
    def centre(self) -> Array: ...
    @property
    def normal(self) -> Array: ...
    @property
    def toe(self) -> Array: ...
    @property
    def up(self) -> Array: ...
    @property
    def bulge_curvature(self) -> float: ...
    @property
    def roll_curvature(self) -> float: ...
    @property
    def half_width(self) -> float: ...
    @property
    def half_height(self) -> float: ...


@dataclass(frozen=True)
class Strike:
    """Where a ball lies against a face.

    Attributes
    ----------
    toe, up : float or (n,), m
        The point of the face nearest to the ball, from the face centre.
    gap : float or (n,), m
        Free distance between face and ball, negative when they overlap.
    tilt_toe, tilt_up : float or (n,), rad
        How far the surface normal at that point is turned toe-ward (bulge) and upward (face roll) from the
        one at the face centre.
    """

    toe: Any
    up: Any
    gap: Any
    tilt_toe: Any
    tilt_up: Any


def nearest_on_face(
    ahead: ArrayLike, toe: ArrayLike, up: ArrayLike, bulge_curvature: float, roll_curvature: float
) -> Strike:
    """The point of the face nearest to a ball centre.

    Parameters
    ----------
    ahead, toe, up : (...), m
        Ball centre from the face centre along the face normal, toe-ward and up the face.
    bulge_curvature, roll_curvature : float, 1/m
        One over the bulge and face-roll radii; 0 is flat.

    Notes
    -----
    The bulge turns about an axis along `up` a distance 1/k behind the face centre: the distance of the ball
    from that arc is √((n + 1/k)² + t²) − 1/k, written without the difference of two large numbers so that
    k = 0 is exact; the same once more for the roll. Elementary geometry of the torus.
    """
    n, t, u = (np.asarray(a, dtype=float) for a in (ahead, toe, up))
    kb, kr = bulge_curvature, roll_curvature
    beyond = _from_arc(n, t, kb)
    distance = _from_arc(beyond, u, kr)
    tilt_toe = np.arctan2(kb * t, 1.0 + kb * n)
    tilt_up = np.arctan2(kr * u, 1.0 + kr * beyond)
    return Strike(
        toe=t - distance * np.cos(tilt_up) * np.sin(tilt_toe),
        up=u - distance * np.sin(tilt_up),
        gap=distance - BALL_RADIUS,
        tilt_toe=tilt_toe,
        tilt_up=tilt_up,
    )


def _from_arc(n: Array, across: Array, curvature: float) -> Array:
    """Signed distance of a point from an arc through the origin, tangent to `across`, centred at n = −1/k."""
    root = np.hypot(1.0 + curvature * n, curvature * across)
    return (2.0 * n + curvature * (n * n + across * across)) / (root + 1.0)


def strike(history: History, face: FaceLike, ball: ArrayLike) -> Strike:
    """Where the ball (centre (3,), m, world) lies against the face at every row of a History."""
    away = np.asarray(ball, dtype=float) - history.tip_position_world
    offset = np.einsum("nji,nj->ni", history.tip_rotation_world, away) - face.centre
    return nearest_on_face(
        offset @ face.normal, offset @ face.toe, offset @ face.up, face.bulge_curvature, face.roll_curvature
    )


def penetration(history: History, face: FaceLike, ball: ArrayLike, after: float) -> Array:
    """An event function for `simulate(stop=...)`: (n,) m, turning positive when the ball is first touched.

    It is the overlap of face surface and ball while the ball is within `REACH` of the face centre; elsewhere,
    and before the instant `after` (s), the surface's extension may pass anywhere, and it is negative. Whether
    the surface is touched on the face or past its edge is for `find_contact` to say: between two instants of
    a run the ball can pass from well in front of the face to well beyond it.
    """
    where = strike(history, face, ball)
    away = np.linalg.norm(np.asarray(ball, dtype=float) - history.point_position(face.centre), axis=1)
    near = (np.asarray(history.t) >= after) & (away < REACH)
    return np.where(near, -where.gap, -1.0)


def ball_event(face: FaceLike, ball: ArrayLike, after: float) -> Callable[[History], Array]:
    """`penetration` with its face, ball and start filled in."""
    return lambda history: penetration(history, face, ball, after)


@dataclass(frozen=True)
class Contact:
    """The first contact, or why there is none.

    Attributes
    ----------
    time : float or None
        Instant of contact, s.
    reason : str or None
        Why there is no contact; None when there is.
    """

    time: float | None
    reason: str | None


def find_contact(history: History, face: FaceLike, ball: ArrayLike, after: float) -> Contact:
    """First contact of face and ball in a History, by root-finding on its continuous solution.

    Parameters
    ----------
    history : History
    face : the face in the tip frame
    ball : (3,) m, world
        Ball centre.
    after : float, s
        Only contact later than this counts (the start of the downswing: at address the face is at the ball).
    """
    value = penetration(history, face, ball, after)
    t = np.asarray(history.t)
    turns = np.flatnonzero((value[:-1] <= 0.0) & (value[1:] > 0.0))
    if turns.size:
        i = int(turns[0])

        def event(instant: float) -> float:
            return float(penetration(history.at(np.array([instant])), face, ball, after)[0])

        low, high = event(t[i]), event(t[i + 1])
        # The rows and the continuous solution agree to round-off only: at an end it may have the other sign.
        time = t[i] if low > 0.0 else t[i + 1] if high <= 0.0 else brentq(event, t[i], t[i + 1], xtol=1e-12)
        row = history.at(np.array([time]))
    elif abs(value[-1]) < CONTACT_TOLERANCE:
        time, row = float(t[-1]), history.at(t[-1:])
    else:
        return Contact(None, _miss(history, face, ball, after))
    where = strike(row, face, ball)
    if abs(float(where.gap[0])) > CONTACT_TOLERANCE:
        return Contact(None, "the edge of the head reaches the ball before the face does")
    toe, up = float(where.toe[0]), float(where.up[0])
    if np.hypot(toe / face.half_width, up / face.half_height) > 1.0:
        return Contact(None, passed_words(toe, up))
    return Contact(float(time), None)


def _miss(history: History, face: FaceLike, ball: ArrayLike, after: float) -> str:
    """How near the face came to the ball, in words."""
    late = np.asarray(history.t) >= after
    gap = strike(history, face, ball).gap[late]
    if not gap.size:
        return "the run ends before the downswing"
    return left_words(float(np.abs(gap).min()))


def left_words(gap: float) -> str:
    """Why there is no contact, in words, when the face came no nearer to the ball than `gap`, m."""
    return f"the run ends before the face reaches the ball; {gap * 1e3:.0f} mm were left"


def passed_words(toe: float, up: float) -> str:
    """The same when the ball is off the face, at (toe, up), m, from its centre."""
    return f"the ball is missed: the face plane passes it {_place(toe, up)}, off the face"


def _place(toe: float, up: float) -> str:
    """A point of the face in words."""
    sides = []
    if abs(toe) >= 0.5e-3:
        sides.append(f"{abs(toe) * 1e3:.0f} mm {'toe' if toe > 0.0 else 'heel'}-ward of")
    if abs(up) >= 0.5e-3:
        sides.append(f"{abs(up) * 1e3:.0f} mm {'above' if up > 0.0 else 'below'}")
    return f"{' and '.join(sides) or 'at'} the face centre"
