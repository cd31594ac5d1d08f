"""From one run to its figures: contact, impact, causes, unload and curves."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.rotations import swing_twist
from swingbeam.delivery.contact import FaceLike, find_contact
from swingbeam.delivery.decompose import Causes, decompose
from swingbeam.delivery.meeting import Meeting, meeting_of
from swingbeam.delivery.presentation import Impact, present
from swingbeam.delivery.shot import Shot
from swingbeam.delivery.unload import Unload, bend_direction, in_plane_bend, unload

from .result import Curves, Replay

if TYPE_CHECKING:
    from collections.abc import Mapping

    from swingbeam.beam.history import History
    from swingbeam.beam.motion import Motion

Array = NDArray[np.float64]

CURVE_STEP = 1e-3
"""s between the points of the curves that are kept."""


@dataclass(frozen=True, eq=False)
class SwingFrame:
    """What figures are read against, the same for every club of a golfer.

    Attributes
    ----------
    line : the motion of the grip that a rigid reference club would follow
    plane_normal : (3,) unit normal of the swing plane, world
    top, planned : float, s, start of the downswing and planned impact
    """

    line: Motion
    plane_normal: Array
    top: float
    planned: float

    @property
    def downswing(self) -> float:
        """Length of the reference's downswing, s."""
        return self.planned - self.top


@dataclass(frozen=True, eq=False)
class Measured:
    """One club's run in figures; all but status and reasons is None when it did not strike the ball.

    `meeting` is all that blow and flight need; `shot` and `replay` are there only where they were asked for
    (`study.shots`, `study.replay`).
    """

    status: str
    time: float | None = None
    unload: Unload | None = None
    impact: Impact | None = None
    face: Causes | None = None
    loft: Causes | None = None
    curves: Curves | None = None
    meeting: Meeting | None = None
    shot: Shot | None = None
    replay: Replay | None = None
    reasons: Mapping[str, str] = field(default_factory=dict)

    @property
    def half(self) -> float | None:
        """Half-unload, s, or None."""
        return None if self.unload is None else self.unload.half


def measure(
    history: History,
    face: FaceLike,
    ball: Array,
    frame: SwingFrame,
    *,
    timing_only: bool = False,
    with_curves: bool = True,
) -> Measured:
    """Figures of a run.

    Parameters
    ----------
    history : History
        From the start of the swing to contact, or past where contact should have been.
    face : the club's face in the tip frame
    ball : (3,) m, world, ball centre
    frame : SwingFrame
    timing_only : leave out impact, causes and curves; how head and ball meet stays
    with_curves : keep the curves
    """
    contact = find_contact(history, face, ball, frame.top)
    if contact.time is None:
        return Measured("missed", reasons={"status": contact.reason or "not known"})
    impact = contact.time
    unloaded = unload(history, frame.plane_normal, impact, frame.top, frame.downswing)
    meeting = meeting_of(history, face, ball, impact)
    if timing_only:
        return Measured("ok", impact, unloaded, meeting=meeting, reasons=unloaded.reasons)
    row = history.at(np.array([impact]))
    direction = bend_direction(frame.plane_normal, row.motion_rotation)[0]
    line = frame.line.at(np.array([frame.planned, impact])).rotation
    causes = decompose(
        np.asarray(face.normal),
        line[0],
        line[1],
        row.motion_rotation[0],
        row.root_rotation[0],
        row.tip_rotation_matrix[0],
    )
    figures = present(history, face, ball, impact, frame.planned, direction)
    if not all(math.isfinite(value) for value in vars(figures).values()):
        return Measured("failed", reasons={"status": "a figure at impact is not a finite number"})
    curves = read_curves(history, impact, frame) if with_curves else None
    return Measured(
        "ok",
        impact,
        unloaded,
        figures,
        *causes,
        curves=curves,
        meeting=meeting,
        reasons=unloaded.reasons,
    )


def read_curves(history: History, impact: float, frame: SwingFrame) -> Curves:
    """Curves over the length of the reference's downswing, up to this club's own impact."""
    count = math.ceil(frame.downswing / CURVE_STEP)
    return curves_at(history, impact, CURVE_STEP * np.arange(-count, 1, dtype=float), frame)


def curves_at(history: History, impact: float, before: Array, frame: SwingFrame) -> Curves:
    """Curves at instants (k,) s against this club's own impact; what lies before the run's start is as at its start."""
    rows = history.at(np.maximum(impact + before, history.t[0]))
    direction = bend_direction(frame.plane_normal, rows.motion_rotation)
    _, twist = swing_twist(rows.tip_rotation_matrix)
    couple = np.einsum("nij,nj->ni", rows.root_rotation, rows.root_couple)
    return Curves(
        t=before,
        in_plane=in_plane_bend(rows.tip_position, rows.root_rotation, direction),
        lead=rows.tip_position[:, 1].copy(),
        droop=-rows.tip_position[:, 2],
        twist=np.asarray(twist),
        hand_force=np.linalg.norm(rows.root_force, axis=1),
        hand_couple=couple @ frame.plane_normal,
    )
