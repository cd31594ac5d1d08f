"""Is a recording the motion of a golf swing, in the units and axes that are declared?"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ..beam.errors import InputError
from ..club.build import Club
from ..units import KINDS
from .plan import DEGREE
from .pose_smoothing import Poses
from .recorded_swing import LONGEST_BEFORE, RecordedPlan, rigid_head

Array = NDArray[np.float64]

SHORTEST_PATH, LONGEST_PATH = 0.3, 6.0
"""m that the hands travel up to impact."""
LONGEST_RECORDING = 60.0
"""s"""
LEAST_TURN = 60.0 * DEGREE
"""By which the shaft turns at least, from impact to wherever it is farthest from there."""
SLOWEST_HEAD, FASTEST_HEAD = 5.0, 80.0
"""m/s at impact."""
LARGEST_OFF_TARGET = 30.0 * DEGREE
"""Of the head's velocity at impact from the target line."""
AT_REST = 0.3
"""m/s of the rigid club's head below which it is at rest."""
_DECIMATED = 0.02
"""s between the poses that the path is measured over, so that noise does not lengthen it."""


def check_units(poses: Poses, impact: float, source: str) -> None:
    """Refuse hands that travel too little or too far, and a shaft that hardly turns, before anything is smoothed.

    Raises
    ------
    InputError
        It says which units would fit.
    """
    length = float(poses.t[-1] - poses.t[0])
    if length > LONGEST_RECORDING:
        raise InputError(f"{source}: found {length:.4g} s; allowed: up to {LONGEST_RECORDING:g} s around one swing")
    use = (poses.t >= impact - LONGEST_BEFORE) & (poses.t <= impact + 1e-9)
    t = poses.t[use]
    if t.size < 8:
        raise InputError(f"{source}: found {t.size} usable frames before impact ({impact:.4f} s); allowed: at least 8")
    places = np.unique(np.searchsorted(t, np.arange(t[0], t[-1], _DECIMATED)))
    # Five frames at a time: the noise of one of 1000 a second would add up to a path of its own.
    half = 2
    mean = np.array([poses.position[use][max(i - half, 0) : i + half + 1].mean(axis=0) for i in places])
    path = float(np.sum(np.linalg.norm(np.diff(mean, axis=0), axis=1)))
    if not SHORTEST_PATH <= path <= LONGEST_PATH:
        shown = path if path > 1e-9 else 0.0
        raise InputError(
            f"{source}: the hands travel {shown:.4g} m before impact; allowed: {SHORTEST_PATH:g} to {LONGEST_PATH:g} m"
            f"{_other_units(path)}"
        )
    shaft = poses.rotation[use][:, :, 0]
    turn = float(np.arccos(np.clip(shaft @ shaft[-1], -1.0, 1.0)).max())
    if turn < LEAST_TURN:
        raise InputError(
            f"{source}: the shaft turns by no more than {turn / DEGREE:.2g} deg before impact; allowed: at least "
            f"{LEAST_TURN / DEGREE:.0f} deg (are angles in rad read as deg, or is body.shaft_axis another?)"
        )


def _other_units(path: float) -> str:
    """Which slip of a unit would explain a path, m."""
    metres = KINDS["length"].units
    slips = []
    for truly in ("mm", "cm", "in", "ft", "m"):
        for read in ("m", "mm", "cm", "in", "ft"):
            mended = path * metres[truly] / metres[read]
            if truly != read and 0.8 <= mended <= 4.0:
                slips.append((truly, read, mended))
    likely = [s for s in slips if {s[0], s[1]} == {"mm", "m"}] or [s for s in slips if s[1] in ("m", "mm")]
    if not likely:
        return ""
    read = likely[0][1]
    fit = [(truly, mended) for truly, other, mended in likely if other == read]
    lengths = " or ".join(f"{mended:.2g} m" for _, mended in fit)
    return f"; {' or '.join(truly for truly, _ in fit)} read as {read}? It would then be {lengths}"


def check_swing(plan: RecordedPlan, club: Club, handed: str, source: str) -> list[str]:
    """Refuse a head that does not go to the target at impact at a head's speed, and a golfer on the wrong side.

    Returns notes.

    Raises
    ------
    InputError
        It says what to look at.
    """
    motion = plan.motion()
    place, velocity = rigid_head(motion, club)
    speed = float(np.linalg.norm(velocity))
    if not SLOWEST_HEAD <= speed <= FASTEST_HEAD:
        raise InputError(
            f"{source}: the head moves at {speed:.3g} m/s at impact; allowed: {SLOWEST_HEAD:g} to {FASTEST_HEAD:g} m/s "
            "(check the impact time and the units of time, length and angle)"
        )
    off = math.acos(float(velocity[0]) / speed)
    if off > LARGEST_OFF_TARGET:
        raise InputError(
            f"{source}: at impact the head moves {off / DEGREE:.0f} deg off the target line; allowed: up to "
            f"{LARGEST_OFF_TARGET / DEGREE:.0f} deg (check axes.target, axes.up and the impact time)"
        )
    arm = motion.at([0.0]).position[0] - place
    if arm[2] < 0.1:
        raise InputError(f"{source}: at impact the hands are not above the head; check axes.up and body.shaft_axis")
    if arm[1] < 0.1:
        raise InputError(
            f"{source}: at impact the hands are on the side of a {'left' if handed == 'right' else 'right'}-hander; "
            f'check handed (found "{handed}"), axes.up and axes.handedness'
        )
    normal = motion.at([0.0]).rotation[0] @ club.face.normal
    if normal[0] < math.cos(50.0 * DEGREE):
        raise InputError(
            f"{source}: at impact the face looks {math.acos(np.clip(normal[0], -1, 1)) / DEGREE:.0f} deg off the "
            "target; allowed: up to 50 deg (check body.face_axis or the markers' positions: y to the face side)"
        )
    return _start_words(plan, club)


def starts_moving(plan: RecordedPlan, club: Club) -> bool:
    """Whether the club already moves at the first pose: the shaft's state there is then not known."""
    _, velocity = rigid_head(plan.motion(), club, float(plan.t[0]))
    return float(np.linalg.norm(velocity)) > AT_REST


def _start_words(plan: RecordedPlan, club: Club) -> list[str]:
    if not starts_moving(plan, club):
        return []
    return [
        f"the club already moves at the first pose, {-1e3 * plan.t[0]:.0f} ms before impact: its shaft is started as "
        "if it did not swing there; ± contains how figures move when it is started 50 and 100 ms later (record from "
        "address)"
    ]
