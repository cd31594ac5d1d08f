"""Figures of many runs at once, compiled: for studies, where reading a run must not take longer than the run.

The readable statement of every figure is `contact`, `unload`, `presentation`, `decompose` and `meeting`; this reads
the same ones from the same continuous solution. `tests/delivery/test_batch.py` holds the two together.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.beam.history import ROW_LENGTH

from . import batch_layout as at
from .batch_kernels import read_runs
from .blow import HeadState
from .contact import BALL_RADIUS, CONTACT_TOLERANCE, REACH, FaceLike, left_words, passed_words
from .decompose import Causes
from .meeting import Meeting
from .presentation import Impact
from .unload import LATE_PART, SAMPLING, Unload, missing_words, straightness

if TYPE_CHECKING:
    from swingbeam.beam.model import TipBody
    from swingbeam.beam.motion import Motion

Array = NDArray[np.float64]

STATUSES = ("ok", "missed", "failed")
ROWS_BEFORE_TOP = 64
"""Rows before the downswing that splines of force and energy take in. What the end of a quintic spline does to it
fades by 0.43 from one row to the next (the largest root below one of x⁴ + 26x³ + 66x² + 26x + 1, the system's
recurrence on even knots): 10⁻²³ of it is left."""


class Readings(NamedTuple):
    """Figures of k runs; columns and rows are named in `batch_layout`."""

    figures: Array
    """(k, FIGURES_WIDTH) SI, nan where a figure does not exist"""
    codes: NDArray[np.int8]
    """(k, CODES_WIDTH)"""
    meeting: Array
    """(k, MEETING_WIDTH) SI, world"""
    curves: Array
    """(k, CURVES_WIDTH, m) SI; m = 0 when no curves are read"""


@dataclass(frozen=True, eq=False)
class Targets:
    """What k runs are read against.

    Attributes
    ----------
    faces : (k, FACE_WIDTH), rows of `face_row`
    tips : (k, TIP_WIDTH), rows of `tip_row`
    balls : (k, 3) m, world, ball centres
    """

    faces: Array
    tips: Array
    balls: Array


def new_readings(count: int, times: int = 0) -> Readings:
    """Empty readings of `count` runs with curves at `times` instants."""
    return Readings(
        np.full((count, at.FIGURES_WIDTH), np.nan),
        np.zeros((count, at.CODES_WIDTH), dtype=np.int8),
        np.full((count, at.MEETING_WIDTH), np.nan),
        np.full((count, at.CURVES_WIDTH, times), np.nan),
    )


def swing_table(
    motion: Motion, line: Motion, normal: Array, top: float, planned: float, downswing: float | None = None
) -> at.SwingTable:
    """What the figures of a golfer are read against.

    Parameters
    ----------
    motion : the pose of the reference run, which drives every run
    line : the motion that a rigid reference club would follow
    normal : (3,) unit normal of the swing plane, world
    top, planned : s, start of the downswing and planned impact
    downswing : s, the reference's; None: from top to planned
    """
    return at.SwingTable(
        *_padded(motion),
        *_padded(line),
        np.array(normal, dtype=float),
        float(top),
        float(planned),
        float(planned - top if downswing is None else downswing),
        BALL_RADIUS,
        REACH,
        CONTACT_TOLERANCE,
    )


def _padded(motion: Motion) -> tuple[Array, Array]:
    breaks, pieces = motion.pieces()
    wide = np.zeros((pieces.shape[0], at.ORDER, at.POSE_WIDTH))
    wide[:, :, : pieces.shape[2]] = pieces
    return breaks, wide


def face_row(face: FaceLike) -> Array:
    """(FACE_WIDTH,) a face in the tip frame as numbers, SI."""
    ends = [face.bulge_curvature, face.roll_curvature, face.half_width, face.half_height]
    return np.concatenate([face.centre, face.normal, face.toe, face.up, ends])


def tip_row(tip: TipBody) -> Array:
    """(TIP_WIDTH,) mass (kg), centre of gravity (m) and inertia about it (kg·m²) of the body at the tip."""
    return np.concatenate([[tip.mass], tip.offset, tip.inertia.ravel()])


def new_room(t: Array, swing: at.SwingTable) -> at.Room:
    """Room for one thread to read runs in that have the instants t (n,), s."""
    return at.new_room(t.size, samples_of(t, swing))


def samples_of(t: Array, swing: at.SwingTable) -> int:
    """Samples that the longest downswing within the instants t can have."""
    return math.ceil(max(float(t[-1]) - swing.top, 0.0) / SAMPLING) + 12


def read_figures(
    t: Array,
    rows: Array,
    swing: at.SwingTable,
    targets: Targets,
    *,
    count: NDArray[np.int64] | None = None,
    times: Array | None = None,
    room: at.Room | None = None,
    out: Readings | None = None,
) -> Readings:
    """Figures of k runs on one grid of instants. Releases the interpreter's lock while it reads.

    Parameters
    ----------
    t : (n,) s, instants of the rows
    rows : (k, n, ROW_LENGTH) in the layout of `beam.history`, C-contiguous
    swing : of `swing_table`
    targets : face, body and ball of every run
    count : (k,) how many rows each run has; None: n. A row with a value that is not a finite number ends a run, too
    times : (m,) s relative to impact (not positive, increasing) for curves; None: no curves
    room : of `new_room`, one a thread; None: made here
    out : where to write; None: made here

    Raises
    ------
    InputError
        Arrays whose shapes do not belong together.
    """
    before = np.zeros(0) if times is None else np.ascontiguousarray(times, dtype=float)
    k, n = rows.shape[0], t.size
    shapes = {
        "rows": (rows.shape, (k, n, ROW_LENGTH)),
        "faces": (targets.faces.shape, (k, at.FACE_WIDTH)),
        "tips": (targets.tips.shape, (k, at.TIP_WIDTH)),
        "balls": (targets.balls.shape, (k, 3)),
    }
    for name, (found, wanted) in shapes.items():
        if found != wanted:
            raise InputError(f"read_figures: {name} has shape {found}; {wanted} is needed")
    made = new_readings(k, before.size) if out is None else out
    own = new_room(t, swing) if room is None else room
    if own.bend.size < samples_of(t, swing) or own.spline.size < n:
        raise InputError("read_figures: the room was made for shorter runs")
    first = max(int(np.searchsorted(t, swing.top)) - ROWS_BEFORE_TOP, 0)
    read_runs(
        t,
        rows,
        np.full(k, n, dtype=np.int64) if count is None else count,
        first,
        swing,
        np.array([SAMPLING, LATE_PART]),
        targets.faces,
        targets.tips,
        targets.balls,
        before,
        own,
        *made,
    )
    return made


def status_of(readings: Readings, case: int) -> str:
    """ok, missed or failed."""
    return STATUSES[readings.codes[case, at.STATUS]]


def reasons_of(readings: Readings, case: int) -> Mapping[str, str]:
    """In words, why a run is not ok or which figures it lacks; the keys are those of `Unload.reasons`, or "status"."""
    codes, figures = readings.codes[case], readings.figures[case]
    if codes[at.STATUS] != at.OK:
        return {"status": _status_words(int(codes[at.WHY]), figures)}
    return missing_words(
        half=not codes[at.HALF_CODE],
        straight="" if np.isfinite(figures[at.STRAIGHT]) else _state(codes, figures),
        lag=not codes[at.LAG_CODE],
        energy=not codes[at.LEFT_CODE],
    )


def _status_words(why: int, figures: Array) -> str:
    if why == at.EDGE_FIRST:
        return "the edge of the head reaches the ball before the face does"
    if why == at.PASSED_BY:
        return passed_words(float(figures[at.MISS_TOE]), float(figures[at.MISS_UP]))
    if why == at.ENDS_EARLY:
        return left_words(float(figures[at.MISS_GAP]))
    if why == at.ENDS_BEFORE_DOWNSWING:
        return "the run ends before the downswing"
    if why == at.NOT_FINITE:
        return "a figure at impact is not a finite number"
    return f"the run could not be finished: {int(figures[at.SOUND_ROWS])} of its instants are sound"


def _state(codes: NDArray[np.int8], figures: Array) -> str:
    return straightness(float(figures[at.BEND_AT_IMPACT]), bool(figures[at.CROSSINGS] > 0))


def _or_none(value: float) -> float | None:
    return None if math.isnan(value) else float(value)


def unload_of(readings: Readings, case: int) -> Unload:
    """Unload figures of a run that is ok."""
    f = readings.figures[case]
    return Unload(
        half=_or_none(f[at.HALF]),
        straight=_or_none(f[at.STRAIGHT]),
        crossings=int(f[at.CROSSINGS]),
        state=_state(readings.codes[case], f),
        lag_peak=_or_none(f[at.LAG_PEAK]),
        lag_peak_at=_or_none(f[at.LAG_PEAK_AT]),
        kick_peak=float(f[at.KICK_PEAK]),
        kick_peak_at=float(f[at.KICK_PEAK_AT]),
        kick_at_impact=float(f[at.KICK_AT_IMPACT]),
        left_in_shaft=_or_none(f[at.LEFT_IN_SHAFT]),
        reasons=reasons_of(readings, case),
    )


def impact_of(readings: Readings, case: int) -> Impact:
    """Figures at impact of a run that is ok."""
    return Impact(*(float(v) for v in readings.figures[case, at.IMPACT : at.IMPACT + len(fields(Impact))]))


def causes_of(readings: Readings, case: int) -> tuple[Causes, Causes]:
    """Causes of face angle and of loft of a run that is ok."""
    f = readings.figures[case]
    face, loft = f[at.FACE : at.FACE + at.CAUSES_WIDTH], f[at.LOFT : at.LOFT + at.CAUSES_WIDTH]
    return Causes(*map(float, face)), Causes(*map(float, loft))


def meeting_of(readings: Readings, case: int, face: FaceLike) -> Meeting:
    """The meeting of head and ball of a run that is ok, for `shot.shot_of`."""
    m = readings.meeting[case]

    def vector(start: int) -> Array:
        return m[start : start + 3].copy()

    return Meeting(
        head=HeadState(
            mass=float(m[at.HEAD_MASS]),
            inertia=m[at.HEAD_INERTIA : at.HEAD_INERTIA + 9].reshape(3, 3).copy(),
            velocity=vector(at.HEAD_VELOCITY),
            omega=vector(at.HEAD_OMEGA),
            arm=vector(at.HEAD_ARM),
            normal=vector(at.HEAD_NORMAL),
        ),
        toe=vector(at.FACE_TOE),
        up=vector(at.FACE_UP),
        bulge_curvature=face.bulge_curvature,
        roll_curvature=face.roll_curvature,
        hosel=vector(at.HOSEL),
        height=float(m[at.HEIGHT]),
    )
