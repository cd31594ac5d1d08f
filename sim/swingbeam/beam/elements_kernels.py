# mypy: disable-error-code="no-untyped-def"
"""Entry points of the element solver: march through time, settle in a steady state. Compiled.

Time integration: Lie-group generalised-α (Brüls, Cardona & Arnold 2012, Mech. Mach. Theory 48:121),

    H_{n+1} = H_n exp(h v_n + h² ((1/2 − β) a_n + β a_{n+1})),   v_{n+1} = v_n + h ((1 − γ) a_n + γ a_{n+1}),
    (1 − α_m) a_{n+1} + α_m a_n = (1 − α_f) v̇_{n+1} + α_f v̇_n,

with the parameters of Chung & Hulbert 1993 (J. Appl. Mech. 60:371) for a spectral radius ρ at infinite
frequency. The free root unknowns y are ordinary vector unknowns of the same scheme.
"""

from __future__ import annotations

import math

from .banded import factorise, solve
from .compiled import kernel, piece
from .elements_forces import (
    SCALE_FORCE,
    SCALE_MOMENT,
    node_forces,
)
from .elements_pose_kernels import link, move_pose, positions, turn_back, turn_out
from .elements_root_kernels import (
    COUPLE,
    TURN,
    Y_DDOT,
    Y_DOT,
    Y,
    place_root,
    root_balance,
    root_increments,
    root_rows,
)
from .elements_step_kernels import (
    AGE,
    CONTRACTION,
    EVEN_STEPS,
    KEEP,
    STEP,
    WAIT,
    accept,
    copy_into,
    predict,
    write_row,
)
from .elements_tangent import assemble, expect_stress

INCREMENT_TOLERANCE = 5e-13
"""Estimated error of the accepted iterate, rad or parts of the beam's length. An error e leaves a
moment of some m L² e/(β h²) at the root, 10⁶ e N·m, in the couple that is recorded and played back
into another run; its yield adds such moments up, and must stay below 10⁻⁹ rad."""
LEAST_FRESH, LEAST_AGED = 1e-3, 0.1
"""Contractions never counted on to be better than this, by a tangent of this step and by an older one."""
RESIDUAL_TOLERANCE = 1e-7
"""Largest force left at a node over the largest stress in the beam: a guard, the increment decides."""
ROUND_OFF = 1e-14
MOST_PASSES = 12
NEVER = 1e9
"""An age no tangent reaches: build it anew."""
SLOW = 0.2
"""A contraction worse than this rebuilds the tangent within the step."""
AGED = 0.03
"""A kept tangent that contracts worse than this was kept too long."""
FRESH = 0.01
"""A tangent that still contracts better than this may be kept a step longer."""
BACK_OFF = 16.0
"""Steps before a shortened keeping may grow again."""


@piece
def largest_residual(model, state, free):
    """Largest unbalanced force (or moment over length) over the largest stress, round-off allowed for."""
    nodes = state.x.shape[0]
    length = model.station[nodes - 1]
    force = 0.0
    moment = 0.0
    reach = 0.0
    stiff = 0.0
    for i in range(1, nodes):
        for j in range(3):
            force = max(force, abs(state.force[i, j]))
            moment = max(moment, abs(state.force[i, 3 + j]))
            reach = max(reach, abs(state.gap_new[i - 1, j]))
        stiff = max(stiff, model.stiff_force[i - 1, 0], model.stiff_force[i - 1, 1])
    for c in range(free):
        moment = max(moment, abs(state.right[12 + c]))
    scale = state.totals[SCALE_FORCE] + state.totals[SCALE_MOMENT] / length
    scale = RESIDUAL_TOLERANCE * scale + ROUND_OFF * stiff * reach
    return max(force, moment / length) / scale


@kernel
def march(model, state, inputs, h, keep, rows, couples):
    """Take len(inputs.t) steps of size h; returns how many converged. A failing step leaves the state alone.

    The tangent is kept for `keep` steps, built again within a step that contracts slowly, and a step
    that fails is tried once more from its prediction with a tangent of its own.
    """
    rho = model.rho
    alpha_m = (2.0 * rho - 1.0) / (rho + 1.0)
    alpha_f = rho / (rho + 1.0)
    gamma = 0.5 + alpha_f - alpha_m
    beta = 0.25 * (gamma + 0.5) ** 2
    w_mass = (1.0 - alpha_m) / ((1.0 - alpha_f) * beta * h * h)
    w_rate = gamma / (beta * h)
    nodes = state.x.shape[0]
    free = inputs.free.shape[2]
    n = free + 6 * (nodes - 1)
    length = model.station[nodes - 1]
    clock = state.clock
    hold = state.hold
    right = state.right
    move = state.move
    force = state.force
    q = state.q_new
    x = state.x_new
    gap = state.gap_new
    shift = state.shift
    v = state.v_new
    vd = state.vd_new
    steps = inputs.t.shape[0]
    if clock[STEP] != h:
        clock[STEP] = h
        clock[AGE] = NEVER
        clock[EVEN_STEPS] = 0.0
        clock[CONTRACTION] = 1.0
        clock[KEEP] = 1.0
        clock[WAIT] = 0.0
    for k in range(steps):
        attempt = 0
        it = 0
        passes = 0
        rebuild = False
        near = False
        age = 0.0
        before = 0.0
        while True:
            if it == 0:
                predict(state, h, beta, gamma, alpha_m, alpha_f, free)
                rebuild = attempt > 0 or clock[AGE] >= min(clock[KEEP], keep)
                age = 0.0 if rebuild else clock[AGE]
                near = False
            for i in range(1, nodes):
                move_pose(
                    state.q,
                    i,
                    move[i, 0],
                    move[i, 1],
                    move[i, 2],
                    move[i, 3],
                    move[i, 4],
                    move[i, 5],
                    q,
                    shift,
                )
            if it == 0 or free > 0:
                place_root(model, inputs, k, hold, q, x, v, vd)
            if it == 0:
                for j in range(3):
                    shift[0, j] = x[0, j] - state.x[0, j]
            link(state.gap, shift, gap)
            node_forces(model, q, gap, v, vd, force, state.stress_new, state.totals)
            root_balance(model, inputs, k, hold, force, right[12:15])
            if near:
                if largest_residual(model, state, free) <= 1.0:
                    break
                near = False
            size = math.inf
            sound = True
            if rebuild:
                if free > 0:
                    root_increments(inputs, k, hold, w_mass, w_rate, state.blocks, state.turns)
                # The last step's stress is a better guess than that of a predicted pose.
                stress = state.stress if it == 0 else state.stress_new
                assemble(
                    model,
                    q,
                    gap,
                    v,
                    vd,
                    move,
                    state.dead,
                    stress,
                    0.0,
                    w_mass,
                    w_rate,
                    1.0,
                    free,
                    state.turns,
                    state.blocks,
                    state.band,
                )
                if free > 0:
                    root_rows(model, inputs, k, hold, w_rate, state.turns, state.blocks, state.band)
                sound = factorise(state.band, n, state.lower, state.upper, state.pivot) == 0
                clock[AGE] = 0.0
            if sound:
                for c in range(free):
                    right[12 + c] = -right[12 + c]
                for i in range(1, nodes):
                    for j in range(6):
                        right[6 + free + 6 * i + j] = -force[i, j]
                for i in range(12):
                    right[i] = 0.0
                    right[12 + n + i] = 0.0
                solve(n, state.lower, state.upper, state.pivot, right)
                size = 0.0
                for c in range(free):
                    d = right[12 + c]
                    size = max(size, abs(d))
                    hold[Y, c] += d
                    hold[Y_DOT, c] += w_rate * d
                    hold[Y_DDOT, c] += w_mass * d
                # A sum, unlike max, lets no NaN pass.
                total = size
                for i in range(1, nodes):
                    for j in range(6):
                        d = right[6 + free + 6 * i + j]
                        total += d * d
                        size = max(size, abs(d) / length if j < 3 else abs(d))
                        move[i, j] += d
                        v[i, j] += w_rate * d
                        vd[i, j] += w_mass * d
                if not total < 1e6:
                    size = math.inf
            passes += 1
            it += 1
            if size == math.inf or it >= MOST_PASSES:
                clock[AGE] = NEVER
                if attempt > 0:
                    return k
                attempt = 1
                it = 0
                continue
            ratio = clock[CONTRACTION] if it == 1 else size / before
            if it == 2:
                clock[CONTRACTION] = min(ratio, 1.0)
            elif it > 2:
                clock[CONTRACTION] = min(max(ratio, clock[CONTRACTION]), 1.0)
            before = size
            # The first ratio flatters: what is left contracts more slowly, and much so with an aged tangent.
            ratio = max(ratio, LEAST_FRESH if age == 0.0 else LEAST_AGED)
            near = size <= 0.01 * INCREMENT_TOLERANCE or (
                ratio < 0.9 and size * ratio / (1.0 - ratio) <= INCREMENT_TOLERANCE
            )
            rebuild = it > 1 and ratio > SLOW and not near and size > 1e2 * INCREMENT_TOLERANCE
        positions(gap, x)
        accept(state, alpha_m, alpha_f, free)
        clock[AGE] += 1.0
        clock[EVEN_STEPS] += 1.0
        clock[WAIT] -= 1.0
        # Stiff stretch and shear turn with the elements, so how long a tangent serves depends on the motion.
        if age > 0.0 and clock[CONTRACTION] > AGED:
            clock[KEEP] = age
            clock[WAIT] = BACK_OFF
        elif age + 1.0 >= clock[KEEP] and clock[CONTRACTION] < FRESH and clock[WAIT] <= 0.0:
            clock[KEEP] = min(age + 2.0, keep)
        write_row(model, inputs, k, hold, q, x, v, vd, force, state.totals, rows[k])
        rows[k, 47] = passes
        for i in range(3):
            couples[k, i] = (
                hold[TURN + i, 0] * hold[COUPLE, 0]
                + hold[TURN + i, 1] * hold[COUPLE, 1]
                + hold[TURN + i, 2] * hold[COUPLE, 2]
            )
    return steps


@kernel
def describe(model, state, inputs, row, residual):
    """Forces of the state as it is (root from the last row of `inputs` and state.root), its row, the
    root's residual (3,)."""
    hold = state.hold
    for c in range(inputs.free.shape[2]):
        hold[Y, c] = state.root[0, c]
        hold[Y_DOT, c] = state.root[1, c]
        hold[Y_DDOT, c] = state.root[2, c]
    k = inputs.t.shape[0] - 1
    place_root(model, inputs, k, hold, state.q, state.x, state.v, state.vd)
    node_forces(model, state.q, state.gap, state.v, state.vd, state.force, state.stress, state.totals)
    root_balance(model, inputs, k, hold, state.force, residual)
    write_row(model, inputs, k, hold, state.q, state.x, state.v, state.vd, state.force, state.totals, row)


@piece
def carry_along(state, twist, v):
    """v[i] = Ad(H_i⁻¹ H_0) twist for all nodes: the body velocity of a beam that moves rigidly with
    its root."""
    q = state.q
    x = state.x
    u0, u1, u2 = turn_out(q, 0, twist[0], twist[1], twist[2])
    w0, w1, w2 = turn_out(q, 0, twist[3], twist[4], twist[5])
    for i in range(x.shape[0]):
        d0 = x[i, 0] - x[0, 0]
        d1 = x[i, 1] - x[0, 1]
        d2 = x[i, 2] - x[0, 2]
        v[i, 0], v[i, 1], v[i, 2] = turn_back(
            q, i, u0 + w1 * d2 - w2 * d1, u1 + w2 * d0 - w0 * d2, u2 + w0 * d1 - w1 * d0
        )
        v[i, 3], v[i, 4], v[i, 5] = turn_back(q, i, w0, w1, w2)


@kernel
def settle(model, state, twist, dead, limit, passes, weights):
    """Equilibrium of a beam that moves rigidly with its root, by Newton's method on the state's poses.

    twist (2, 6): body velocity of the root and its rate, root axes; dead (nodes, 6): loads of fixed
    direction, world; limit: the largest first increment taken (rad, or parts of the length). With
    passes = 0 nothing is solved: the matrix of small motions with the weights (3,) of v̇, v and pose
    is left in state.band.

    Returns the passes taken; −1 when the first increment exceeds the limit, −2 without convergence.
    """
    nodes = state.x.shape[0]
    n = 6 * (nodes - 1)
    length = model.station[nodes - 1]
    q = state.q
    x = state.x
    gap = state.gap
    shift = state.shift
    right = state.right
    before = 0.0
    for j in range(3):
        shift[0, j] = 0.0
    for it in range(max(passes, 1)):
        carry_along(state, twist[0], state.v)
        carry_along(state, twist[1], state.vd)
        node_forces(model, q, gap, state.v, state.vd, state.force, state.stress_new, state.totals)
        if it == 0:
            copy_into(state.stress, state.stress_new)
        assemble(
            model,
            q,
            gap,
            state.v,
            state.vd,
            state.move,
            dead,
            state.stress,
            1.0,
            weights[0],
            weights[1],
            weights[2],
            nodes - nodes,
            state.turns,
            state.blocks,
            state.band,
        )
        if passes == 0:
            return 0
        factorise(state.band, n, state.lower, state.upper, state.pivot)
        for i in range(1, nodes):
            f0, f1, f2 = turn_back(q, i, dead[i, 0], dead[i, 1], dead[i, 2])
            m0, m1, m2 = turn_back(q, i, dead[i, 3], dead[i, 4], dead[i, 5])
            o = 6 + 6 * i
            right[o] = f0 - state.force[i, 0]
            right[o + 1] = f1 - state.force[i, 1]
            right[o + 2] = f2 - state.force[i, 2]
            right[o + 3] = m0 - state.force[i, 3]
            right[o + 4] = m1 - state.force[i, 4]
            right[o + 5] = m2 - state.force[i, 5]
        for i in range(12):
            right[i] = 0.0
            right[12 + n + i] = 0.0
        solve(n, state.lower, state.upper, state.pivot, right)
        size = 0.0
        for i in range(1, nodes):
            for j in range(6):
                d = abs(right[6 + 6 * i + j])
                size = max(size, d / length if j < 3 else d)
        if not math.isfinite(size):
            return -2
        if it == 0 and size > limit:
            return -1
        copy_into(state.stress, state.stress_new)
        expect_stress(model, q, gap, right, state.stress, state.blocks)
        for i in range(1, nodes):
            o = 6 + 6 * i
            move_pose(q, i, right[o], right[o + 1], right[o + 2], right[o + 3], right[o + 4], right[o + 5], q, shift)
        link(gap, shift, gap)
        positions(gap, x)
        # Quadratic convergence: an increment this small leaves round-off, and none gets below that.
        if size < 1e-9 and (size < 1e-13 or size > 0.1 * before):
            return it + 1
        before = size
    return -2
