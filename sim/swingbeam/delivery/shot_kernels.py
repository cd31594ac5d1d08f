"""Shots of many meetings of head and ball, compiled: `shot.shot_of` on rows of numbers."""

from __future__ import annotations

import math

from swingbeam.beam.compiled import kernel, piece

from .batch_layout import HEAD_MASS, HEIGHT, SHOT_NO_MEETING, SHOT_OK, SHOT_WIDTH
from .blow_kernels import strike_ball
from .flight_kernels import fly


@piece
def _launch(v, w, landing, shot):
    """`shot.shot_after`: the figures of shot.Shot in their order."""
    level = math.hypot(v[0], v[1])
    speed = math.sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
    r0 = v[1] / level
    r1 = -v[0] / level
    # right × v/|v|; right is level
    a0 = r1 * v[2] / speed
    a1 = -r0 * v[2] / speed
    a2 = (r0 * v[1] - r1 * v[0]) / speed
    back = w[0] * r0 + w[1] * r1
    side = -(w[0] * a0 + w[1] * a1 + w[2] * a2)
    shot[0] = speed
    shot[1] = math.atan2(v[2], level)
    shot[2] = math.atan2(-v[1], v[0])
    shot[3] = math.sqrt(w[0] * w[0] + w[1] * w[1] + w[2] * w[2])
    shot[4] = back
    shot[5] = side
    shot[6] = math.atan2(side, back)
    for i in range(5):
        shot[7 + i] = landing[i]


@kernel
def shoot(meetings, laws, air, pair, turns, vectors, flight, stages, landing, shots, codes):
    """Shots (k, SHOT_WIDTH) and codes (k,) of meetings (k, MEETING_WIDTH) under laws (k, LAW_WIDTH).

    pair: coefficients of the flight's method; turns (6, 3, 3), vectors (6, 3), flight (10, 7), stages (16, 7) and
    landing (5,): room.
    """
    for case in range(meetings.shape[0]):
        for i in range(SHOT_WIDTH):
            shots[case, i] = math.nan
        meeting = meetings[case]
        code = SHOT_NO_MEETING
        if math.isfinite(meeting[HEAD_MASS]):
            code = strike_ball(meeting, laws[case], air, turns, vectors)
        if code == SHOT_OK:
            code = fly(
                vectors[0],
                vectors[1],
                meeting[HEIGHT],
                air,
                pair[0],
                pair[1],
                pair[2],
                pair[3],
                pair[4],
                flight[0],
                flight[1],
                stages,
                flight[2],
                flight[3:10],
                landing,
            )
        if code == SHOT_OK:
            _launch(vectors[0], vectors[1], landing, shots[case])
        codes[case] = code
