"""One club's downswing kept for looking at: the shaft's axis, the head and the hands at some instants."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import cumulative_trapezoid
from scipy.interpolate import CubicSpline

from swingbeam.beam import Profile
from swingbeam.beam.history import History
from swingbeam.club.build import Club
from swingbeam.club.face import Face, surface
from swingbeam.shaft.shaft import Shaft, cut_rows
from swingbeam.swing.line import Line

from .result import Replay, ShaftLook

Array = NDArray[np.float64]

INSTANTS = 81
"""Instants of the downswing that are kept, evenly apart; the last is impact."""
AXIS_POINTS = 15
"""Points of the shaft's axis, evenly apart, from the hold point to the hosel mouth."""
RIM_POINTS = 16
"""Points of the rim of the face."""
STATIONS = 93
"""Of a raw shaft, evenly apart: every half inch of one of 46 inches."""
_FINE = 257


def read_replay(
    run: History, club: Club, ball: Array, impact: float, downswing: float, *, line: Line | None = None
) -> Replay:
    """Poses of a run over the last `downswing` s before impact.

    Parameters
    ----------
    run : from the start of the swing to contact
    ball : (3,) m, world, its centre
    impact : s of the run
    line : of the swing, where it has one: its hub is kept
    """
    before = np.linspace(-downswing, 0.0, INSTANTS)
    t = np.maximum(impact + before, run.t[0])
    rows = run.at(t)
    axis = shape_between(rows, club.profile)
    world = rows.root_position[:, None] + np.einsum("nij,nkj->nki", rows.root_rotation, axis)
    return Replay(
        t=before,
        axis=world,
        grip_rotation=rows.root_rotation,
        tip_rotation=rows.tip_rotation_world,
        face=rows.point_position(club.face.centre),
        ball=np.asarray(ball, dtype=float),
        rim=rim_of(club.face),
        head_cg=club.head.cg,
        hub=None if line is None else np.asarray(CubicSpline(line.t, line.hub)(t)),
    )


def shape_between(rows: History, profile: Profile, points: int = AXIS_POINTS) -> Array:
    """(n, points, 3) m, yielded root frame: the axis between root and tip.

    The shape a beam of this EI takes under a force and a couple at its tip that bring the tip to where, and in the
    direction, it is: curvature (a + b s)/EI in each plane, a and b from deflection and slope of the tip
    (Euler–Bernoulli; Gere & Timoshenko, Mechanics of Materials, ch. 9). The inertia of the shaft between its ends,
    which is small beside the head's, is not in it: ends are the run's own, what is between is for looking at.
    """
    s = np.linspace(0.0, profile.length, _FINE)
    ei = np.asarray(profile.ei, dtype=float)
    flexibility = 1.0 / np.interp(s, profile.s, ei if ei.ndim == 1 else ei.mean(axis=1))
    slopes = np.stack([_integral(flexibility, s), _integral(s * flexibility, s)])
    places = np.stack([_integral(one, s) for one in slopes])
    ends = np.array([slopes[:, -1], places[:, -1]])
    tangent, tip = rows.tip_rotation_matrix[:, :, 0], rows.tip_position
    wanted = np.stack([tangent[:, 1:], tip[:, 1:]], axis=1)  # (n, slope | place, plane)
    load = np.linalg.solve(ends, wanted)
    across, slope = np.einsum("ks,nkp->nsp", places, load), np.einsum("ks,nkp->nsp", slopes, load)
    along = _integral(np.sqrt(np.maximum(1.0 - np.sum(slope**2, axis=2), 0.0)), s)
    along *= (tip[:, 0] / along[:, -1])[:, None]
    shape = np.concatenate([along[..., None], across], axis=2)
    pick = np.linspace(0, _FINE - 1, points)
    low = np.minimum(pick.astype(int), _FINE - 2)
    share = (pick - low)[None, :, None]
    return np.asarray((1.0 - share) * shape[:, low] + share * shape[:, low + 1])


def _integral(values: Array, s: Array) -> Array:
    return np.asarray(cumulative_trapezoid(values, s, axis=-1, initial=0.0))


def rim_of(face: Face) -> Array:
    """(`RIM_POINTS`, 3) m, tip frame: points round the face, an ellipse on its curved surface, from the toe up."""
    turn = 2.0 * np.pi * np.arange(RIM_POINTS) / RIM_POINTS
    points, _ = surface(face, face.half_width * np.cos(turn), face.half_height * np.sin(turn))
    return points


def look_of(club: Club) -> ShaftLook:
    """The raw shaft's profile at even stations, and where the club is cut, held and put into the head."""
    shaft = club.shaft
    return ShaftLook(
        from_tip=np.linspace(0.0, shaft.raw_length, STATIONS),
        **_properties(shaft),
        tip_trim=club.tip_trim,
        butt_trim=club.butt_trim,
        mouth=club.tip_trim + club.insertion,
        hold=shaft.raw_length - club.butt_trim - club.hold_point,
        finished_length=club.finished_length,
    )


def _properties(shaft: Shaft) -> dict[str, Array]:
    """EI, GJ and mass per length at `STATIONS` even stations from the tip; at a step, the side nearer the tip."""
    columns = np.column_stack([shaft.ei, shaft.gj, shaft.mass_per_length])
    places, rows = cut_rows(shaft.s, columns, 0.0, shaft.raw_length)
    at = shaft.raw_length - np.linspace(0.0, shaft.raw_length, STATIONS)
    ei, gj, mass = (np.interp(at, places, column) for column in rows.T)
    return {"ei": ei, "gj": gj, "mass": mass}
