"""The figures of many runs, compiled: one call reads them all and holds no lock."""

from __future__ import annotations

import math

from swingbeam.beam import history
from swingbeam.beam.compiled import kernel, piece
from swingbeam.beam.rotations import exp_so3

from .batch_layout import (
    CODES_WIDTH,
    DROOP,
    EDGE_FIRST,
    FAILED,
    FIGURES_WIDTH,
    HAND_COUPLE,
    HAND_FORCE,
    IN_PLANE,
    LEAD,
    LEAST_ROWS,
    MEETING_WIDTH,
    MISS_GAP,
    MISS_TOE,
    MISS_UP,
    MISSED,
    NO_REASON,
    NOT_FINITE,
    OK,
    PASSED_BY,
    RUN_NOT_FINITE,
    SOUND_ROWS,
    STATUS,
    TIME,
    TWIST,
    WHY,
)
from .contact_kernels import find_contact, open_step, pose_within
from .presentation_kernels import present, twist_of
from .row_kernels import bend_along, motion_turn, row_before
from .spline_kernels import horner, open_grid, pose_at, solve_grid, spline_powers
from .unload_kernels import read_samples, sample

FORCE = history.ROOT_FORCE.start
COUPLE = history.ROOT_COUPLE.start
BEND_ENERGY = history.BEND_ENERGY
TWIST_ENERGY = history.TWIST_ENERGY
ROW_LENGTH = history.ROW_LENGTH
LAST_READ = history.TWIST_ENERGY + 1


@piece
def _sound(run, first, rows):
    """How many rows from the first on are finite numbers as far as they are read."""
    for i in range(first, rows):
        # Several sums at a time: one after the other would wait for each addition.
        a = 0.0
        b = 0.0
        c = 0.0
        d = 0.0
        for k in range(0, LAST_READ - 3, 4):
            a += abs(run[i, k])
            b += abs(run[i, k + 1])
            c += abs(run[i, k + 2])
            d += abs(run[i, k + 3])
        for k in range(LAST_READ - LAST_READ % 4, LAST_READ):
            a += abs(run[i, k])
        if not a + b + c + d < math.inf:
            return i
    return rows


@piece
def _column(run, first, sound, column, out):
    for i in range(sound):
        out[i] = run[first + i, column]


@piece
def _curves(t, run, rows, first, sound, swing, impact, before, room, curves):
    """The curves of `study.measure.read_curves` at instants `before` (m,) relative to impact into (6, m)."""
    turns = room.turns
    vectors = room.vectors
    for k in range(6):
        _column(run, first, sound, FORCE + k if k < 3 else COUPLE + k - 3, room.spline)
        solve_grid(sound, room.lower, room.upper, room.spline)
        at = 0
        row = -1
        for i in range(before.shape[0]):
            instant = max(impact + before[i], t[first])
            at = row_before(t, rows, instant, max(at, first))
            if at != row:
                row = at
                spline_powers(sound, room.basis, room.spline, row - first, room.power)
            value = horner(room.power, instant - t[row])
            if k < 3:
                # Square of the force, component by component; its root is taken below.
                curves[HAND_FORCE, i] = value * value if k == 0 else curves[HAND_FORCE, i] + value * value
            else:
                # The couple's components wait in rows that are written last.
                curves[k - 3, i] = value
    at = first
    row = -1
    piece_at = 0
    step = 1.0
    for i in range(before.shape[0]):
        instant = max(impact + before[i], t[first])
        at = row_before(t, rows, instant, at)
        if at != row:
            row = at
            step = t[row + 1] - t[row]
            open_step(t, run, row, room)
        x = (instant - t[row]) / step
        pose_within(x, room)
        piece_at = pose_at(swing.breaks, swing.motion, instant, piece_at, room.pose)
        motion_turn(room.pose, turns[1])
        bend_along(swing.normal, turns[1], vectors[5])
        for j in range(3):
            vectors[6, j] = room.here[3 + j]
        exp_so3(vectors[6], turns[2])
        lead = 0.0
        up = 0.0
        in_plane = 0.0
        couple = 0.0
        for j in range(3):
            for k in range(3):
                turns[3, j, k] = (
                    turns[1, j, 0] * turns[2, 0, k] + turns[1, j, 1] * turns[2, 1, k] + turns[1, j, 2] * turns[2, 2, k]
                )
            away = room.here[j] - room.pose[j]
            lead += turns[3, j, 1] * away
            up += turns[3, j, 2] * away
            in_world = turns[3, j, 0] * curves[0, i] + turns[3, j, 1] * curves[1, i] + turns[3, j, 2] * curves[2, i]
            couple += in_world * swing.normal[j]
        for j in range(3):
            in_plane += (turns[3, j, 1] * lead + turns[3, j, 2] * up) * vectors[5, j]
            for k in range(3):
                turns[5, j, k] = (
                    turns[3, 0, j] * turns[4, 0, k] + turns[3, 1, j] * turns[4, 1, k] + turns[3, 2, j] * turns[4, 2, k]
                )
        curves[IN_PLANE, i] = in_plane
        curves[LEAD, i] = lead
        curves[DROOP, i] = -up
        curves[TWIST, i] = twist_of(turns[5])
        curves[HAND_FORCE, i] = math.sqrt(curves[HAND_FORCE, i])
        curves[HAND_COUPLE, i] = couple


@piece
def _fresh(codes, figures, meeting):
    """Nothing is known yet."""
    for i in range(CODES_WIDTH):
        codes[i] = 0
    for i in range(FIGURES_WIDTH):
        figures[i] = math.nan
    for i in range(MEETING_WIDTH):
        meeting[i] = math.nan


@kernel
def read_runs(t, runs, rows, first, swing, law, faces, tips, balls, before, room, figures, codes, meeting, curves):
    """Figures of runs on one grid of instants; see `batch.read_figures` for shapes and units.

    rows (k,): how many rows of each count; law (2,): sampling and late part of `unload`. The room has the samples of
    the longest run. One function, since every level of calls compiles what is below it once more.
    """
    for case in range(runs.shape[0]):
        run = runs[case]
        figure = figures[case]
        code = codes[case]
        _fresh(code, figure, meeting[case])
        for i in range(curves.shape[1]):
            for j in range(curves.shape[2]):
                curves[case, i, j] = math.nan
        sound = _sound(run, first, rows[case])
        through = sound - first
        figure[SOUND_ROWS] = sound
        code[STATUS] = FAILED
        code[WHY] = RUN_NOT_FINITE
        if through < LEAST_ROWS:
            continue
        time, row, why, one, two = find_contact(t, run, first, sound, swing, faces[case], balls[case], room)
        if row < 0:
            if sound == rows[case] or why in (EDGE_FIRST, PASSED_BY):
                code[STATUS] = MISSED
                code[WHY] = why
                if why == PASSED_BY:
                    figure[MISS_TOE] = one
                    figure[MISS_UP] = two
                else:
                    figure[MISS_GAP] = one
            continue
        figure[TIME] = time
        grid = room.grid
        same = grid[0] == through and grid[1] == first and grid[2] == t[first] and grid[3] == t[first + 1]
        if not (same and grid[4] == t[sound - 1]):
            open_grid(t, first, through, room.basis, room.lower, room.upper)
            grid[0] = through
            grid[1] = first
            grid[2] = t[first]
            grid[3] = t[first + 1]
            grid[4] = t[sound - 1]
        for i in range(through):
            room.spline[i] = run[first + i, BEND_ENERGY] + run[first + i, TWIST_ENERGY]
        solve_grid(through, room.lower, room.upper, room.spline)
        count = max(math.ceil((time - swing.top) / law[0]), 8) + 1
        h = (time - swing.top) / (count - 1)
        sample(t, run, sound, first, through, swing, time, count, h, room)
        read_samples(count, h, swing.downswing, law[1], room, figure, code)
        if not present(t, run, row, swing, faces[case], tips[case], balls[case], room, figure, meeting[case]):
            _fresh(code, figure, meeting[case])
            figure[SOUND_ROWS] = sound
            code[STATUS] = FAILED
            code[WHY] = NOT_FINITE
            continue
        code[STATUS] = OK
        code[WHY] = NO_REASON
        if before.shape[0] > 0:
            _curves(t, run, sound, first, through, swing, time, before, room, curves[case])
