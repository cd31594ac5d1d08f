"""One swing as something to look at: hub, hands, shaft and head over the downswing, and what drives them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from swingbeam.beam.errors import SimulationError
from swingbeam.beam.history import History
from swingbeam.club.build import Club
from swingbeam.delivery.kinetics import demands, read_kinetics
from swingbeam.delivery.unload import bend_direction, in_plane_bend
from swingbeam.swing.hands import MEDIUM
from swingbeam.swing.power import downswing_instants

from .golfer import Golfer
from .measure import Measured, measure
from .result import SwingMotion

Array = NDArray[np.float64]

SHAFT_POINTS = 25
"""Points of the shaft's axis that are drawn."""


def swing_motion(golfer: Golfer, club: Club, hands: str, ball: str, solver: str) -> SwingMotion:
    """Swing a club and keep its motion.

    Raises
    ------
    SimulationError
        The club did not come to the ball.
    """
    run, place = golfer.run(club, hands, ball, solver)
    measured = measure(run, club.face, place, golfer.frame, timing_only=True)
    if measured.time is None:
        raise SimulationError(measured.reasons.get("status", "the club did not come to the ball"))
    impact, reference = measured.time, golfer.reference
    t = downswing_instants(run, reference.top, impact)
    rows = run.at(t)
    hub, velocity = _hub(golfer, t)
    kinetics = read_kinetics(run, reference.normal, reference.top, impact, hub=hub, hub_velocity=velocity)
    direction = bend_direction(reference.normal, rows.motion_rotation)
    return SwingMotion(
        golfer=reference.name,
        club=club.label,
        hands=hands_words(hands, reference.firmness),
        handed=golfer.handed,
        t=t - impact,
        hub=hub,
        grip=rows.root_position,
        shaft=axis_between(rows, club.profile.length),
        face=rows.point_position(club.face.centre),
        ball=np.asarray(place),
        normal=reference.normal,
        bend=in_plane_bend(rows.tip_position, rows.root_rotation, direction),
        instants=key_instants(measured, reference.top - impact),
        kinetics=kinetics,
        demands=demands(kinetics),
    )


def hands_words(hands: str, firmness: float) -> str:
    """The hand mode, and the firmness of a grip that is not medium."""
    return hands if firmness == MEDIUM or hands == "vice" else f"{hands}, grip {100.0 * firmness:.3g} % firm"


def _hub(golfer: Golfer, t: Array) -> tuple[Array | None, Array | None]:
    """Hub and its velocity at instants t (k,), (k, 3) m and m/s, or None where the swing states none."""
    reference = golfer.reference
    known = reference.hub if reference.line is None else (reference.line.t, reference.line.hub)
    if known is None:
        return None, None
    spline = CubicSpline(*known)
    return spline(t), spline(t, 1)


def axis_between(rows: History, length: float) -> Array:
    """(k, `SHAFT_POINTS`, 3) m: the cubic with the places and directions of both ends of an axis of that length."""
    x = np.linspace(0.0, 1.0, SHAFT_POINTS)[:, None]
    root, tip = rows.root_position[:, None], rows.tip_position_world[:, None]
    leaving, arriving = rows.root_rotation[:, None, :, 0], rows.tip_rotation_world[:, None, :, 0]
    ends = (1 + 2 * x) * (1 - x) ** 2 * root + x**2 * (3 - 2 * x) * tip
    return np.asarray(ends + length * (x * (1 - x) ** 2 * leaving + x**2 * (x - 1) * arriving))


def key_instants(measured: Measured, top: float) -> dict[str, float]:
    """What happens in the downswing, s relative to impact, in the order of time."""
    found: dict[str, float | None] = {"top": top, "impact": 0.0}
    if (seen := measured.unload) is not None:
        found |= {
            "lag peak": seen.lag_peak_at,
            "half-unload": seen.half,
            "straight": seen.straight,
            "peak kick speed": seen.kick_peak_at,
        }
    there = [(name, at) for name, at in found.items() if at is not None]
    return dict(sorted(there, key=lambda pair: pair[1]))
