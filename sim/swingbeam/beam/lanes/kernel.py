"""A group of runs marched side by side: the steps of `curvature_gauss_kernels.march`, one lane a run."""

from __future__ import annotations

import math

import numpy as np

from ..compiled import kernel, piece
from .chain import backward, elastic, forward, tip_body
from .layout import (
    CHANGE,
    COUPLES,
    ENDED,
    FIRST,
    FORCES,
    GROUP,
    INPUTS,
    INTERVAL,
    OWN,
    ROTARY,
    ROW,
    ROW_LENGTH,
    RUNS,
    SECOND,
    TABLES,
    TANGENT,
    WEIGHT,
    N,
)
from .mass import add_mass, add_tip, carry_rates, factor_node, root_rates
from .newton import (
    PLAN,
    begin_iteration,
    end_iteration,
    hands_matrices,
    simplified_change,
    simplified_matrix,
    stage_unknowns,
    take_change,
)
from .node import change_backward, change_forward, solve_node, take_node
from .predict import LEAD, predict, predict_node, remember
from .rest import DIFFERENCE, any_wants, begin_rest, factor_tangent, take_rest_change
from .rest import MOST_PASSES as REST_PASSES
from .root import motion_couple, place_root, root_balance
from .rows import begin_march, begin_row, end_row, extend_row, start_stages

MOST_PASSES = 30
"""A lane that needs more is better off with the scalar solver's true tangent."""


# Slots are given as np.intp: of a literal number numba would compile a kernel piece for each.
@piece
def residual(slots, inputs, row, intervals, unknowns, out):
    """Left side of the equations of motion at the unknowns of some slots, into the slots from `out` on."""
    place_root(slots, inputs, row, 0, unknowns)
    for j in range(intervals):
        forward(slots, inputs, row, 0, unknowns, GROUP + j * INTERVAL)
    tip_body(slots, inputs, row, 0, GROUP + (intervals - 1) * INTERVAL)
    elastic(slots, inputs, row, 0, unknowns, out)
    for j in range(intervals - 1, -1, -1):
        backward(slots, inputs, row, 0, GROUP + j * INTERVAL, out)
    root_balance(slots, inputs, row, 0, out)


@piece
def place_node(slots, inputs, row, intervals, laden):
    """Accelerations of ENDED that satisfy the equations of motion, from a guess; then it is the node.

    laden: intervals up to the last that carries any mass. Leaves the mass matrix there and all that a row of the
    history is written from; see `_solve_node`.
    """
    residual(slots, inputs, row, intervals, np.intp(ENDED), np.intp(FORCES))
    root_rates(slots, inputs, row, 0)
    for j in range(intervals):
        carry_rates(slots, inputs, row, 0, GROUP + j * INTERVAL)
        if j < laden:
            add_mass(slots, inputs, row, 0, GROUP + j * INTERVAL)
    add_tip(slots, inputs, row, 0)
    factor_node(slots, inputs, row, 0)
    solve_node(slots, inputs, row, 0)
    for j in range(intervals):
        change_forward(slots, inputs, row, 0, GROUP + j * INTERVAL)
    tip_body(slots, inputs, row, 0, GROUP + (intervals - 1) * INTERVAL)
    for j in range(intervals - 1, -1, -1):
        change_backward(slots, inputs, row, 0, GROUP + j * INTERVAL)
    root_balance(slots, inputs, row, 0, FORCES)
    take_node(slots, inputs, row, 0)


@piece
def write_row(slots, inputs, row, intervals):
    """ROW from the evaluation at the node."""
    begin_row(slots, inputs, row, 0)
    for j in range(intervals):
        extend_row(slots, inputs, row, 0, GROUP + j * INTERVAL)
    end_row(slots, inputs, row, 0, GROUP + (intervals - 1) * INTERVAL)


@piece
def scatter(plain, width, cases, rows, k, made):
    """ROW of every lane to its run's k-th row."""
    for lane in range(width):
        case = cases[lane]
        for i in range(ROW_LENGTH):
            rows[case, k, i] = plain[(ROW + i) * width + lane]
        if plain[RUNS * width + lane] > 0.5:
            made[case] = k


@piece
def settle(slots, plain, width, inputs, intervals):
    """Unknowns in ENDED of the equilibrium at rest relative to the root, from zero. A lane that finds none fails."""
    for i in range(3 * N * width):
        plain[ENDED * width + i] = 0.0
    begin_rest(slots, inputs, 0, 0)
    for _ in range(REST_PASSES):
        if any_wants(slots, inputs, 0, 0):
            tangent(slots, plain, width, inputs, intervals)
        residual(slots, inputs, np.intp(0), intervals, np.intp(ENDED), np.intp(FORCES))
        if not take_rest_change(slots, inputs, 0, 0):
            return
    end_iteration(slots, inputs, 0, 0)


@piece
def tangent(slots, plain, width, inputs, intervals):
    """Factors of the tangent at ENDED, by differences, into TANGENT."""
    for i in range(N):
        # What is put aside comes back to the last bit.
        at = (ENDED + i) * width
        aside = CHANGE * width
        for lane in range(width):
            plain[aside + lane] = plain[at + lane]
            plain[at + lane] += DIFFERENCE
        residual(slots, inputs, np.intp(0), intervals, np.intp(ENDED), np.intp(FORCES))
        for lane in range(width):
            plain[at + lane] = plain[aside + lane] - DIFFERENCE
        residual(slots, inputs, np.intp(0), intervals, np.intp(ENDED), np.intp(FORCES + N))
        for lane in range(width):
            plain[at + lane] = plain[aside + lane]
        for j in range(N):
            for lane in range(width):
                up = plain[(FORCES + j) * width + lane]
                down = plain[(FORCES + N + j) * width + lane]
                plain[(TANGENT + j * N + i) * width + lane] = (up - down) * (0.5 / DIFFERENCE)
    factor_tangent(slots, inputs, 0, 0)


@piece
def last_laden(plain, width, intervals):
    """Intervals up to the last that carries mass in any lane: those beyond would add nothing, to the last bit."""
    for j in range(intervals, 0, -1):
        at = (GROUP + (j - 1) * INTERVAL) * width
        for lane in range(width):
            # What is not a number counts.
            if not (plain[at + WEIGHT * width + lane] == 0.0 and plain[at + ROTARY * width + lane] == 0.0):
                return j
    return 0


@kernel
def march_groups(slots, plain, width, cases, places, own, along, starts, inputs, plans, rows, couples, made):
    """March groups of runs, one after another, each from its start to the end.

    slots, plain : room of one group, see `pieces.memory`
    cases : (groups, width) which run each lane takes; a lane with nothing to do repeats another's
    places : (groups, width) where in `along` that run's rod is
    own, along : (runs, OWN), (rods, J, TABLES) clubs and hands as packed
    starts : (runs, 2, N) unknowns and rates; (0, ...): in equilibrium at rest relative to the root
    inputs : (1 + 3 steps) · INPUTS numbers, the start, then stages and node of every step
    plans : (LEAD, PLAN) what the steps are told
    rows : (runs, steps + 1, ROW_LENGTH), written; not a number after a step that failed
    couples : (runs, 3 steps, 3), written for the steps that converge; (0, ...) if not wanted
    made : (runs,) steps that converged, written; −1: not even the start
    """
    intervals = along.shape[1]
    steps = rows.shape[1] - 1
    wanted = couples.shape[0] > 0
    for group in range(cases.shape[0]):
        for lane in range(width):
            case = cases[group, lane]
            made[case] = -1
            for i in range(OWN):
                plain[i * width + lane] = own[case, i]
            for j in range(intervals):
                for i in range(TABLES):
                    plain[(GROUP + j * INTERVAL + i) * width + lane] = along[places[group, lane], j, i]
            if starts.shape[0] > 0:
                for i in range(N):
                    plain[(ENDED + i) * width + lane] = starts[case, 0, i]
                    plain[(ENDED + N + i) * width + lane] = starts[case, 1, i]
        laden = last_laden(plain, width, intervals)
        begin_march(slots, inputs, 0, 0)
        if starts.shape[0] == 0:
            settle(slots, plain, width, inputs, intervals)
        place_node(slots, inputs, np.intp(0), intervals, laden)
        start_stages(slots, inputs, 0, 0)
        write_row(slots, inputs, np.intp(0), intervals)
        scatter(plain, width, cases[group], rows, np.intp(0), made)
        for k in range(steps):
            plan = PLAN * min(k, LEAD - 1)
            row = (1 + 3 * k) * INPUTS
            predict(slots, plans, plan, 0)
            hands_matrices(slots, inputs, row, 0)
            simplified_matrix(slots, plans, plan, 0)
            begin_iteration(slots, inputs, row, 0)
            for _ in range(MOST_PASSES):
                stage_unknowns(slots, plans, plan, 0)
                residual(slots, inputs, row, intervals, np.intp(FIRST), np.intp(FORCES))
                residual(slots, inputs, row + INPUTS, intervals, np.intp(SECOND), np.intp(FORCES + N))
                simplified_change(slots, inputs, row, 0)
                if not take_change(slots, plans, plan, 0):
                    break
            if not end_iteration(slots, inputs, row, 0):
                for lane in range(width):
                    for i in range(k + 1, steps + 1):
                        for c in range(ROW_LENGTH):
                            rows[cases[group, lane], i, c] = math.nan
                break
            if wanted:
                # As the stages are now, not as they were before the last change.
                stage_unknowns(slots, plans, plan, 0)
                residual(slots, inputs, row, intervals, np.intp(FIRST), np.intp(FORCES))
                motion_couple(slots, inputs, row, 0, COUPLES)
                residual(slots, inputs, row + INPUTS, intervals, np.intp(SECOND), np.intp(FORCES + N))
                motion_couple(slots, inputs, row, 0, COUPLES + 3)
            remember(slots, inputs, row, 0)
            predict_node(slots, plans, plan, 0)
            place_node(slots, inputs, row + 2 * INPUTS, intervals, laden)
            write_row(slots, inputs, row + 2 * INPUTS, intervals)
            scatter(plain, width, cases[group], rows, k + 1, made)
            if wanted:
                motion_couple(slots, inputs, row, 0, COUPLES + 6)
                for lane in range(width):
                    case = cases[group, lane]
                    if made[case] == k + 1:
                        for i in range(9):
                            couples[case, 3 * k + i // 3, i % 3] = plain[(COUPLES + i) * width + lane]
