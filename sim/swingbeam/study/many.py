"""Many clubs swung by one golfer, side by side in the lanes of a core, their figures and shots read compiled.

The readable way is `Golfer.run` with `measure` and `shot_of`, one club after another; tests hold the two together.
What the lanes cannot do (a run that needs shorter steps, a ball placed for each club) is left to that way.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam import ElasticRoot
from swingbeam.beam.history import ROW_LENGTH
from swingbeam.club.build import Club
from swingbeam.delivery import batch, shot_batch
from swingbeam.delivery import batch_layout as at
from swingbeam.delivery.blow import contact_law
from swingbeam.delivery.decompose import Causes
from swingbeam.delivery.presentation import Impact
from swingbeam.delivery.shot import Shot, ShotSetting
from swingbeam.swing.ball import ball_centre
from swingbeam.swing.hands import Hands, firm

from .golfer import Golfer
from .shots import Range
from .track import Track

Array = NDArray[np.float64]

GRAVITY = np.array([0.0, 0.0, -9.80665])
TOGETHER = 16
"""Clubs whose rows are read right after they were made: some megabytes, while they are near the processor."""
FIXED_BALLS = ("re-aimed", "raw")
"""Ball rules for which the ball lies in one place for all clubs."""
_UNLOAD = {
    "half": at.HALF,
    "straight": at.STRAIGHT,
    "crossings": at.CROSSINGS,
    "lag_peak": at.LAG_PEAK,
    "lag_peak_at": at.LAG_PEAK_AT,
    "kick_peak": at.KICK_PEAK,
    "kick_peak_at": at.KICK_PEAK_AT,
    "kick_at_impact": at.KICK_AT_IMPACT,
    "left_in_shaft": at.LEFT_IN_SHAFT,
}
_CAUSES = [field.name for field in fields(Causes)]
COLUMNS = {
    "unload": _UNLOAD,
    "impact": {field.name: at.IMPACT + i for i, field in enumerate(fields(Impact))},
    "face": {name: at.FACE + i for i, name in enumerate(_CAUSES)},
    "loft": {name: at.LOFT + i for i, name in enumerate(_CAUSES)},
    "shot": {field.name: at.FIGURES_WIDTH + i for i, field in enumerate(fields(Shot))},
}
"""Part → attribute → its column in `ManySwings.table`."""


@cache
def why_not() -> str | None:
    """Why clubs are not swung side by side here, in words; None: they are."""
    from swingbeam.beam.lanes import unavailable

    return unavailable()


def fits_the_lanes(solver: str, ball: str) -> bool:
    """Whether clubs are swung side by side on this machine with a solver and a ball rule, by name."""
    return solver == "curvature" and ball in FIXED_BALLS and why_not() is None


@cache
def _tables() -> Any:
    from swingbeam.beam.many import TableStore

    return TableStore()


def track_of(golfer: Golfer, *, held: bool, step: float | None = None) -> Track:
    """A golfer's track: with the reference couple, or with hands that do not give."""
    from swingbeam.beam.curvature import DEFAULT_STEP
    from swingbeam.beam.lanes import stages_of
    from swingbeam.beam.march import nodes_of
    from swingbeam.beam.root import RootPath

    key, reference = (held, step), golfer.reference
    found = golfer.tracks.get(key)
    if found is None or found.reference is not reference:
        frame = golfer.frame
        couple = None if held else reference.record("curvature", step=step)
        stiffness = np.full(3, np.inf) if held else np.ones(3)
        root = ElasticRoot(stiffness, np.zeros(3), reference.inertia, axes=reference.axes, couple=couple)
        path = RootPath(reference.motion, root, GRAVITY)
        stages = stages_of(path, nodes_of(reference.motion, DEFAULT_STEP if step is None else step))
        table = batch.swing_table(reference.motion, frame.line, frame.plane_normal, frame.top, frame.planned)
        found = golfer.tracks[key] = Track(reference, stages, path.inertia_tensor(), table)
    return found


_room = threading.local()


def _rows(count: int, instants: int) -> Array:
    """(count, instants, ROW_LENGTH) room for rows, one a thread: fresh memory costs a tenth of a swing."""
    rows = getattr(_room, "rows", None)
    if rows is None or rows.shape[1] != instants:
        rows = _room.rows = np.empty((TOGETHER, instants, ROW_LENGTH))
    return np.asarray(rows[:count])


@dataclass(frozen=True, eq=False)
class ManySwings:
    """k clubs swung by one golfer.

    Attributes
    ----------
    readings : their figures
    shots : (k, SHOT_WIDTH) in the order of `shot.Shot`; nan where there is none, or none was asked for
    shot_codes : (k,) index into `shot_batch.WORDS`
    ended : (k,) False: the lanes could not finish the run, it must be swung the readable way
    """

    readings: batch.Readings
    shots: Array
    shot_codes: NDArray[np.int8]
    ended: NDArray[np.bool_]

    @property
    def table(self) -> Array:
        """(k, FIGURES_WIDTH + SHOT_WIDTH) figures, then shots, SI; nan where the ball was not struck."""
        table = np.hstack([self.readings.figures, self.shots])
        table[self.readings.codes[:, at.STATUS] != at.OK] = np.nan
        return table


def swing_many(
    golfer: Golfer,
    clubs: Sequence[Club],
    hands: Hands,
    ball: str,
    *,
    times: Array | None = None,
    where: Range | None = None,
    step: float | None = None,
) -> ManySwings:
    """Swing k clubs.

    Parameters
    ----------
    ball : one of `FIXED_BALLS`
    times : (m,) s against impact of the curves that are wanted; None: no curves
    where : what the balls fly through; None: no shots
    step : s of the solver; None: its default
    """
    from swingbeam.beam.lanes import march_lanes
    from swingbeam.beam.many import prepare_many

    hands = firm(hands, golfer.reference.firmness)
    track = track_of(golfer, held=hands.is_held, step=step)
    count, before = len(clubs), np.zeros(0) if times is None else times
    readings = batch.new_readings(count, before.size)
    ended = np.zeros(count, dtype=np.bool_)
    tips = np.array([batch.tip_row(club.tip) for club in clubs])
    faces = np.array([batch.face_row(club.face) for club in clubs])
    viscosities = np.array([club.viscosity for club in clubs])
    place = ball_centre(ball, golfer.reference, golfer.club)
    t, room = track.stages.t, batch.new_room(track.stages.t, track.table)
    stacks = prepare_many(
        [club.profile for club in clubs],
        tips,
        viscosities,
        root_inertia=track.inertia,
        gravity=GRAVITY,
        store=_tables(),
    )
    for stack in stacks:
        for first in range(0, stack.cases.size, TOGETHER):
            part = slice(first, first + TOGETHER)
            cases = stack.cases[part]
            model = type(stack.model)(*(values[part] for values in stack.model))
            rows = _rows(cases.size, t.size)
            runs = march_lanes(model, track.stages, hands.stiffness, hands.damping, into=rows)
            targets = batch.Targets(faces[cases], tips[cases], np.tile(place, (cases.size, 1)))
            made = batch.read_figures(t, runs.rows, track.table, targets, times=before, room=room)
            readings.figures[cases], readings.codes[cases] = made.figures, made.codes
            readings.meeting[cases], readings.curves[cases] = made.meeting, made.curves
            ended[cases] = runs.ended
    shots, codes = np.full((count, at.SHOT_WIDTH), np.nan), np.zeros(count, dtype=np.int8)
    if where is not None:
        laws = np.array([shot_batch.law_row(contact_law(club.head.kind, club.head.restitution)) for club in clubs])
        setting = ShotSetting(air=where.air, left_handed=where.left_handed)
        shots, codes = shot_batch.read_shots(readings.meeting, setting, laws)
    return ManySwings(readings, shots, codes, ended)
