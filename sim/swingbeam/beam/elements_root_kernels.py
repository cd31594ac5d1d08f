# mypy: disable-error-code="no-untyped-def"
"""The root of the beam: prescribed place, yielding rotation R_0 = R_m exp(θ), θ = N y. Compiled.

Balance of the free axes: Nᵀ J_r(θ)ᵀ [M + J Ω̇ + Ω × J Ω − Eᵀ (c − K θ − D θ̇)] = 0 with E = exp(θ), M the
moment the root gives the beam and J the root's own inertia. Variations go by right increments η = J_r δθ:
δΩ = η̇ + Ω × η and δΩ̇ = η̈ + Ω̇ × η + Ω × η̇ (Simo & Vu-Quoc 1988, Comput. Methods Appl. Mech. Engrg. 66:125).
"""

from __future__ import annotations

from .compiled import piece
from .elements_block_kernels import add_outer, add_skew, add_slope
from .elements_pose_kernels import move_pose, quaternion_of, turn_back
from .elements_tangent import ROOT_BY_NODE, ROOT_BY_ROOT
from .rotations import right_jacobian, root_kinematics, series, series_curves, series_slopes

# Rows of `hold` (16, 3): θ and its derivatives; Ω, Ω̇, Eᵀ Rᵀ ṗ and Eᵀ Rᵀ (p̈ − g); E (3 rows); the unbalanced
# moment and the couple on the root from outside, body axes; y and its derivatives; the couple the root needs.
THETA, THETA_DOT, THETA_DDOT, OMEGA, OMEGA_DOT, VELOCITY, ACCELERATION = range(7)
TURN = 7
UNBALANCED, OUTSIDE, Y, Y_DOT, Y_DDOT, COUPLE = range(10, 16)


@piece
def place_root(model, inputs, k, hold, q, x, v, vd):
    """Pose, velocity and acceleration of node 0 from the motion at row k and y in `hold`."""
    free = inputs.free.shape[2]
    for i in range(3):
        hold[THETA, i] = 0.0
        hold[THETA_DOT, i] = 0.0
        hold[THETA_DDOT, i] = 0.0
        for c in range(free):
            n = inputs.free[k, i, c]
            d = inputs.free_dot[k, i, c]
            hold[THETA, i] += n * hold[Y, c]
            hold[THETA_DOT, i] += n * hold[Y_DOT, c] + d * hold[Y, c]
            hold[THETA_DDOT, i] += (
                n * hold[Y_DDOT, c] + 2.0 * d * hold[Y_DOT, c] + inputs.free_ddot[k, i, c] * hold[Y, c]
            )
    root_kinematics(
        inputs.omega[k],
        inputs.omega_dot[k],
        inputs.velocity[k],
        inputs.acceleration[k],
        hold[THETA],
        hold[THETA_DOT],
        hold[THETA_DDOT],
        hold[TURN : TURN + 3],
        hold[OMEGA],
        hold[OMEGA_DOT],
        hold[VELOCITY],
        hold[ACCELERATION],
    )
    quaternion_of(inputs.rotation[k], q, 0)
    if free > 0:
        # A turn about the root: the displacement it writes is zero, and is overwritten.
        move_pose(q, 0, 0.0, 0.0, 0.0, hold[THETA, 0], hold[THETA, 1], hold[THETA, 2], q, x)
    for i in range(3):
        x[0, i] = inputs.position[k, i]
    g0, g1, g2 = turn_back(q, 0, model.gravity[0], model.gravity[1], model.gravity[2])
    for i in range(3):
        v[0, i] = hold[VELOCITY, i]
        v[0, 3 + i] = hold[OMEGA, i]
        vd[0, 3 + i] = hold[OMEGA_DOT, i]
    vd[0, 0] = hold[ACCELERATION, 0] + g0 - v[0, 4] * v[0, 2] + v[0, 5] * v[0, 1]
    vd[0, 1] = hold[ACCELERATION, 1] + g1 - v[0, 5] * v[0, 0] + v[0, 3] * v[0, 2]
    vd[0, 2] = hold[ACCELERATION, 2] + g2 - v[0, 3] * v[0, 1] + v[0, 4] * v[0, 0]


@piece
def root_balance(model, inputs, k, hold, force, residual):
    """residual (3,) of the free axes, and the couple the root needs in hold[COUPLE], from force[0]."""
    j = model.root_inertia
    w0 = hold[OMEGA, 0]
    w1 = hold[OMEGA, 1]
    w2 = hold[OMEGA, 2]
    l0 = j[0, 0] * w0 + j[0, 1] * w1 + j[0, 2] * w2
    l1 = j[1, 0] * w0 + j[1, 1] * w1 + j[1, 2] * w2
    l2 = j[2, 0] * w0 + j[2, 1] * w1 + j[2, 2] * w2
    hold[COUPLE, 0] = force[0, 3] + w1 * l2 - w2 * l1
    hold[COUPLE, 1] = force[0, 4] + w2 * l0 - w0 * l2
    hold[COUPLE, 2] = force[0, 5] + w0 * l1 - w1 * l0
    for i in range(3):
        for m in range(3):
            hold[COUPLE, i] += j[i, m] * hold[OMEGA_DOT, m]
    free = inputs.free.shape[2]
    if free == 0:
        return
    for i in range(3):
        hold[OUTSIDE, i] = 0.0
    for m in range(3):
        given = inputs.couple[k, m]
        for i in range(3):
            given -= inputs.stiffness[k, m, i] * hold[THETA, i] + inputs.damping[k, m, i] * hold[THETA_DOT, i]
        for i in range(3):
            hold[OUTSIDE, i] += hold[TURN + m, i] * given
    for i in range(3):
        hold[UNBALANCED, i] = hold[COUPLE, i] - hold[OUTSIDE, i]
    x = hold[THETA, 0]
    y = hold[THETA, 1]
    z = hold[THETA, 2]
    _, b, c = series(x * x + y * y + z * z)
    p0 = hold[UNBALANCED, 0]
    p1 = hold[UNBALANCED, 1]
    p2 = hold[UNBALANCED, 2]
    s0 = y * p2 - z * p1
    s1 = z * p0 - x * p2
    s2 = x * p1 - y * p0
    p0 += b * s0 + c * (y * s2 - z * s1)
    p1 += b * s1 + c * (z * s0 - x * s2)
    p2 += b * s2 + c * (x * s1 - y * s0)
    for f in range(free):
        residual[f] = inputs.free[k, 0, f] * p0 + inputs.free[k, 1, f] * p1 + inputs.free[k, 2, f] * p2


@piece
def root_increments(inputs, k, hold, w_mass, w_rate, blocks, turns):
    """turns (3, 9): η, δΩ and δΩ̇ for increments of y, with δẏ = w_rate δy and δÿ = w_mass δy."""
    free = inputs.free.shape[2]
    jac = blocks[0]
    dot = blocks[1]
    ddot = blocks[2]
    x = hold[THETA, 0]
    y = hold[THETA, 1]
    z = hold[THETA, 2]
    p0 = hold[THETA_DOT, 0]
    p1 = hold[THETA_DOT, 1]
    p2 = hold[THETA_DOT, 2]
    r0 = hold[THETA_DDOT, 0]
    r1 = hold[THETA_DDOT, 1]
    r2 = hold[THETA_DDOT, 2]
    t = x * x + y * y + z * z
    td = 2.0 * (x * p0 + y * p1 + z * p2)
    tdd = 2.0 * (p0 * p0 + p1 * p1 + p2 * p2 + x * r0 + y * r1 + z * r2)
    _, b, c = series(t)
    b1, c1 = series_slopes(t)
    b2, c2 = series_curves(t)
    bd = b1 * td
    cd = c1 * td
    bdd = b2 * td * td + b1 * tdd
    cdd = c2 * td * td + c1 * tdd
    for i in range(3):
        for m in range(3):
            jac[i, m] = 0.0
            dot[i, m] = 0.0
            ddot[i, m] = 0.0
    right_jacobian(hold[THETA], jac)
    # d/dt of J_r = I − b θ^ + c (θ θᵀ − t I), twice
    add_skew(dot, 0, 0, -bd, x, y, z)
    add_skew(dot, 0, 0, -b, p0, p1, p2)
    add_outer(dot, 0, 0, cd, x, y, z, x, y, z)
    add_outer(dot, 0, 0, c, p0, p1, p2, x, y, z)
    add_outer(dot, 0, 0, c, x, y, z, p0, p1, p2)
    add_skew(ddot, 0, 0, -bdd, x, y, z)
    add_skew(ddot, 0, 0, -2.0 * bd, p0, p1, p2)
    add_skew(ddot, 0, 0, -b, r0, r1, r2)
    add_outer(ddot, 0, 0, cdd, x, y, z, x, y, z)
    add_outer(ddot, 0, 0, 2.0 * cd, p0, p1, p2, x, y, z)
    add_outer(ddot, 0, 0, 2.0 * cd, x, y, z, p0, p1, p2)
    add_outer(ddot, 0, 0, c, r0, r1, r2, x, y, z)
    add_outer(ddot, 0, 0, c, x, y, z, r0, r1, r2)
    add_outer(ddot, 0, 0, 2.0 * c, p0, p1, p2, p0, p1, p2)
    for i in range(3):
        dot[i, i] -= cd * t + c * td
        ddot[i, i] -= cdd * t + 2.0 * cd * td + c * tdd
    for f in range(free):
        for i in range(3):
            turn = 0.0
            rate = 0.0
            accel = 0.0
            for m in range(3):
                n = inputs.free[k, m, f]
                nd = inputs.free_dot[k, m, f]
                d1 = w_rate * n + nd
                d2 = w_mass * n + 2.0 * w_rate * nd + inputs.free_ddot[k, m, f]
                turn += jac[i, m] * n
                rate += jac[i, m] * d1 + dot[i, m] * n
                accel += jac[i, m] * d2 + 2.0 * dot[i, m] * d1 + ddot[i, m] * n
            turns[i, f] = turn
            turns[i, 3 + f] = rate
            turns[i, 6 + f] = accel
        for i in range(3):
            m = (i + 1) % 3
            o = (i + 2) % 3
            turns[i, 6 + f] += (
                hold[OMEGA_DOT, m] * turns[o, f]
                - hold[OMEGA_DOT, o] * turns[m, f]
                + hold[OMEGA, m] * turns[o, 3 + f]
                - hold[OMEGA, o] * turns[m, 3 + f]
            )
        e0 = hold[OMEGA, 1] * turns[2, f] - hold[OMEGA, 2] * turns[1, f]
        e1 = hold[OMEGA, 2] * turns[0, f] - hold[OMEGA, 0] * turns[2, f]
        e2 = hold[OMEGA, 0] * turns[1, f] - hold[OMEGA, 1] * turns[0, f]
        turns[0, 3 + f] += e0
        turns[1, 3 + f] += e1
        turns[2, 3 + f] += e2


@piece
def root_rows(model, inputs, k, hold, w_rate, turns, blocks, band):
    """Rows of the free root axes in the band, from what `assemble` left and the root's own inertia and
    couple."""
    free = inputs.free.shape[2]
    jac = blocks[0]
    own = blocks[1]
    slope = blocks[2]
    total = blocks[3]
    by_node = blocks[ROOT_BY_NODE]
    by_root = blocks[ROOT_BY_ROOT]
    w0 = hold[OMEGA, 0]
    w1 = hold[OMEGA, 1]
    w2 = hold[OMEGA, 2]
    x = hold[THETA, 0]
    y = hold[THETA, 1]
    z = hold[THETA, 2]
    for i in range(3):
        for m in range(3):
            total[i, m] = model.root_inertia[i, m]
            own[i, m] = 0.0
            slope[i, m] = 0.0
    p = model.node_polar[0]
    total[0, 0] += p
    total[1, 1] += 0.5 * p
    total[2, 2] += 0.5 * p
    l0 = total[0, 0] * w0 + total[0, 1] * w1 + total[0, 2] * w2
    l1 = total[1, 0] * w0 + total[1, 1] * w1 + total[1, 2] * w2
    l2 = total[2, 0] * w0 + total[2, 1] * w1 + total[2, 2] * w2
    add_skew(own, 0, 0, -1.0, l0, l1, l2)
    for m in range(3):
        own[0, m] += w1 * total[2, m] - w2 * total[1, m]
        own[1, m] += w2 * total[0, m] - w0 * total[2, m]
        own[2, m] += w0 * total[1, m] - w1 * total[0, m]
    right_jacobian(hold[THETA], jac)
    # slope: ∂(J_rᵀ p)/∂θ of the unbalanced moment p
    t = x * x + y * y + z * z
    _, b, c = series(t)
    b1, c1 = series_slopes(t)
    p0 = hold[UNBALANCED, 0]
    p1 = hold[UNBALANCED, 1]
    p2 = hold[UNBALANCED, 2]
    s0 = y * p2 - z * p1
    s1 = z * p0 - x * p2
    s2 = x * p1 - y * p0
    add_skew(slope, 0, 0, -b, p0, p1, p2)
    add_slope(slope, 0, 0, c, x, y, z, p0, p1, p2)
    add_outer(
        slope,
        0,
        0,
        2.0,
        b1 * s0 + c1 * (y * s2 - z * s1),
        b1 * s1 + c1 * (z * s0 - x * s2),
        b1 * s2 + c1 * (x * s1 - y * s0),
        x,
        y,
        z,
    )
    o = hold[OUTSIDE]
    for f in range(free):
        # given: K δθ + D δθ̇ in motion axes, turned into the root below
        for i in range(3):
            value = by_root[i, f]
            for m in range(3):
                value += total[i, m] * turns[m, 6 + f] + own[i, m] * turns[m, 3 + f]
                given = 0.0
                for r in range(3):
                    n = inputs.free[k, r, f]
                    given += inputs.stiffness[k, m, r] * n
                    given += inputs.damping[k, m, r] * (w_rate * n + inputs.free_dot[k, r, f])
                value += hold[TURN + m, i] * given
            by_root[i, f] = value
        by_root[0, f] -= o[1] * turns[2, f] - o[2] * turns[1, f]
        by_root[1, f] -= o[2] * turns[0, f] - o[0] * turns[2, f]
        by_root[2, f] -= o[0] * turns[1, f] - o[1] * turns[0, f]
    for f in range(free):
        for i in range(3):
            share = 0.0
            for m in range(3):
                share += jac[i, m] * inputs.free[k, m, f]
            for j in range(6):
                band[f, free + j - f + 11] += share * by_node[i, j]
            for c2 in range(free):
                band[f, c2 - f + 11] += share * by_root[i, c2]
        for c2 in range(free):
            for i in range(3):
                for m in range(3):
                    band[f, c2 - f + 11] += inputs.free[k, i, f] * slope[i, m] * inputs.free[k, m, c2]
