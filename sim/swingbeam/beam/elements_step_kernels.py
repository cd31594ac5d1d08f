# mypy: disable-error-code="no-untyped-def"
"""What frames a time step: its prediction, its acceptance, its output row. Compiled."""

from __future__ import annotations

from .compiled import piece
from .elements_forces import BEND, DISSIPATED, STRETCH, TWIST, kinetic_energy
from .elements_pose_kernels import matrix_of, turn_out
from .elements_root_kernels import COUPLE, THETA, Y_DDOT, Y_DOT, Y

STEP, AGE, CONTRACTION, EVEN_STEPS, KEEP, WAIT = range(6)
"""Entries of the state's clock: size of the last step, steps since the tangent was built, the
contraction seen with it, steps of that size so far, steps a tangent is kept at present, and steps
before that may grow."""


@piece
def write_row(model, inputs, k, hold, q, x, v, vd, force, totals, row):
    """One output row (the layout of `history`) from a state in balance."""
    last = model.node_mass.shape[0] - 1
    for i in range(3):
        row[i] = x[last, i]
    matrix_of(q, last, row[3:12].reshape((3, 3)))
    row[12], row[13], row[14] = turn_out(q, last, v[last, 0], v[last, 1], v[last, 2])
    w0 = v[last, 3]
    w1 = v[last, 4]
    w2 = v[last, 5]
    row[18], row[19], row[20] = turn_out(
        q,
        last,
        vd[last, 0] + w1 * v[last, 2] - w2 * v[last, 1],
        vd[last, 1] + w2 * v[last, 0] - w0 * v[last, 2],
        vd[last, 2] + w0 * v[last, 1] - w1 * v[last, 0],
    )
    for i in range(3):
        row[15 + i] = v[last, 3 + i]
        row[21 + i] = vd[last, 3 + i]
        row[24 + i] = hold[THETA, i]
        row[27 + i] = hold[THETA + 1, i]
        row[30 + i] = hold[THETA + 2, i]
        row[33 + i] = force[0, i]
        row[36 + i] = force[0, 3 + i]
        row[39 + i] = hold[COUPLE, i]
    row[42] = totals[BEND]
    row[43] = totals[TWIST]
    row[44] = kinetic_energy(model, v)
    row[45] = totals[DISSIPATED]
    row[46] = totals[STRETCH]
    for i in range(47, 50):
        row[i] = 0.0


@piece
def copy_into(out, source):
    """out = source, two dimensions (a slice assignment makes numba compile its broadcasting)."""
    for i in range(source.shape[0]):
        for j in range(source.shape[1]):
            out[i, j] = source[i, j]


@piece
def accept(state, alpha_m, alpha_f, free):
    """Make the trial state of a step the state."""
    share = 1.0 / (1.0 - alpha_m)
    for i in range(state.x.shape[0]):
        for j in range(6):
            state.a[i, j] = share * (
                (1.0 - alpha_f) * state.vd_new[i, j] + alpha_f * state.vd[i, j] - alpha_m * state.a[i, j]
            )
    copy_into(state.vd_before, state.vd)
    copy_into(state.vd, state.vd_new)
    copy_into(state.v, state.v_new)
    copy_into(state.q, state.q_new)
    copy_into(state.x, state.x_new)
    copy_into(state.gap, state.gap_new)
    copy_into(state.stress, state.stress_new)
    for c in range(free):
        state.root[3, c] = share * (
            (1.0 - alpha_f) * state.hold[Y_DDOT, c] + alpha_f * state.root[2, c] - alpha_m * state.root[3, c]
        )
        state.root[4, c] = state.root[2, c]
        state.root[0, c] = state.hold[Y, c]
        state.root[1, c] = state.hold[Y_DOT, c]
        state.root[2, c] = state.hold[Y_DDOT, c]


@piece
def predict(state, h, beta, gamma, alpha_m, alpha_f, free):
    """Trial state: v̇ carried on in a straight line where the last two steps were of this size, else kept."""
    ahead = 1.0 if state.clock[EVEN_STEPS] > 0.0 else 0.0
    share = 1.0 / (1.0 - alpha_m)
    for i in range(1, state.x.shape[0]):
        for j in range(6):
            now = state.vd[i, j]
            guess = now + ahead * (now - state.vd_before[i, j])
            a = share * ((1.0 - alpha_f) * guess + alpha_f * now - alpha_m * state.a[i, j])
            state.move[i, j] = h * state.v[i, j] + h * h * ((0.5 - beta) * state.a[i, j] + beta * a)
            state.v_new[i, j] = state.v[i, j] + h * ((1.0 - gamma) * state.a[i, j] + gamma * a)
            state.vd_new[i, j] = guess
    root = state.root
    for c in range(free):
        guess = root[2, c] + ahead * (root[2, c] - root[4, c])
        a = share * ((1.0 - alpha_f) * guess + alpha_f * root[2, c] - alpha_m * root[3, c])
        state.hold[Y, c] = root[0, c] + h * root[1, c] + h * h * ((0.5 - beta) * root[3, c] + beta * a)
        state.hold[Y_DOT, c] = root[1, c] + h * ((1.0 - gamma) * root[3, c] + gamma * a)
        state.hold[Y_DDOT, c] = guess
