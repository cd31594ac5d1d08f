"""The exact tangent of the element forces, assembled into a band. Compiled.

The unknowns are right increments: of the root's y (the nf free axes), then six of every node 1 … N. The matrix is
w_m ∂r/∂v̇ + w_c ∂r/∂v + ∂r/∂(pose), either

- *moving* (an implicit time step): pose increments are T(move) δ for an increment δ of the step's screw, while
  v and v̇ change by w_c δ and w_m δ (Brüls, Cardona & Arnold 2012, Mech. Mach. Theory 48:121, eq. 24); or
- *steady* (rigid motion with the root): v = Ad(H⁻¹) V changes with the pose by ad_v η, v̇ by ad_v̇ η, and
  small motions about it by η̇ + ad_v η and η̈ + ad_v η̇ + ad_v̇ η.

The derivative of T⁻ᵀ(f) σ follows from the even part P(f) σ, P = I + k w^² with its dual part, and the odd part
adᵀ σ / 2. With D(a, b) = (a·b) I + a bᵀ − 2 b aᵀ, the derivative of a × (a × b) with respect to a,

    ∂(w^² F k)/∂w = k D(w, F) + 2 k' (w^² F) wᵀ

and the moment rows are its derivative along (u, M).
"""

from __future__ import annotations

from numba import njit

from .elements_forces import element_stress
from .elements_pose_kernels import inverse_series_curve, screw_operator, turn_back
from .rotations import series, series_slopes

MASS, RATE, WEIGHT, TURN_A, TURN_B, BACK, FRONT, EVEN, SECTION, SIDE_A, SIDE_B, WORK, ADJOINT = range(13)
ROOT_BY_NODE, ROOT_BY_ROOT = 13, 14


@njit(error_model="numpy")
def add_skew(m, row, column, factor, a0, a1, a2):
    """m[row:row+3, column:column+3] += factor · a^."""
    m[row, column + 1] -= factor * a2
    m[row, column + 2] += factor * a1
    m[row + 1, column] += factor * a2
    m[row + 1, column + 2] -= factor * a0
    m[row + 2, column] -= factor * a1
    m[row + 2, column + 1] += factor * a0


@njit(error_model="numpy")
def add_slope(m, row, column, factor, a0, a1, a2, b0, b1, b2):
    """m[row:row+3, column:column+3] += factor · D(a, b)."""
    dot = factor * (a0 * b0 + a1 * b1 + a2 * b2)
    a0 *= factor
    a1 *= factor
    a2 *= factor
    m[row, column] += dot - a0 * b0
    m[row, column + 1] += a0 * b1 - 2.0 * b0 * a1
    m[row, column + 2] += a0 * b2 - 2.0 * b0 * a2
    m[row + 1, column] += a1 * b0 - 2.0 * b1 * a0
    m[row + 1, column + 1] += dot - a1 * b1
    m[row + 1, column + 2] += a1 * b2 - 2.0 * b1 * a2
    m[row + 2, column] += a2 * b0 - 2.0 * b2 * a0
    m[row + 2, column + 1] += a2 * b1 - 2.0 * b2 * a1
    m[row + 2, column + 2] += dot - a2 * b2


@njit(error_model="numpy")
def add_outer(m, row, column, factor, a0, a1, a2, b0, b1, b2):
    """m[row:row+3, column:column+3] += factor · a bᵀ."""
    a0 *= factor
    a1 *= factor
    a2 *= factor
    m[row, column] += a0 * b0
    m[row, column + 1] += a0 * b1
    m[row, column + 2] += a0 * b2
    m[row + 1, column] += a1 * b0
    m[row + 1, column + 1] += a1 * b1
    m[row + 1, column + 2] += a1 * b2
    m[row + 2, column] += a2 * b0
    m[row + 2, column + 1] += a2 * b1
    m[row + 2, column + 2] += a2 * b2


@njit(error_model="numpy")
def multiply(a, b, out, factor):
    """out += factor · a b, all (6, 6)."""
    for i in range(6):
        for k in range(6):
            t = factor * a[i, k]
            for j in range(6):
                out[i, j] += t * b[k, j]


@njit(error_model="numpy")
def multiply_transposed(a, b, out):
    """out = aᵀ b for a = [[A, B], [0, A]] (6, 6)."""
    for i in range(3):
        for j in range(6):
            out[i, j] = a[0, i] * b[0, j] + a[1, i] * b[1, j] + a[2, i] * b[2, j]
            s = a[0, i + 3] * b[0, j] + a[1, i + 3] * b[1, j] + a[2, i + 3] * b[2, j]
            out[i + 3, j] = s + a[0, i] * b[3, j] + a[1, i] * b[4, j] + a[2, i] * b[5, j]


@njit(error_model="numpy")
def node_matrices(model, i, q, v, vd, dead, mass, rate, weight):
    """∂/∂v̇, ∂/∂v and ∂/∂(right increment) of `node_force` of node i, each (6, 6).

    dead (nodes, 6): force and moment of fixed direction at the nodes (world), counted as −Rᵀ dead.
    """
    low = mass.shape[0] // 2
    top = low - low
    m = model.node_mass[i]
    p = model.node_polar[i]
    s0 = 0.0
    s1 = 0.0
    s2 = 0.0
    for a in range(6):
        for b in range(6):
            mass[a, b] = 0.0
            rate[a, b] = 0.0
            weight[a, b] = 0.0
    mass[3, 3] = p
    mass[4, 4] = 0.5 * p
    mass[5, 5] = 0.5 * p
    if i == model.node_mass.shape[0] - 1:
        m += model.tip_mass
        s0 = model.tip_first[0]
        s1 = model.tip_first[1]
        s2 = model.tip_first[2]
        for a in range(3):
            for b in range(3):
                mass[3 + a, 3 + b] += model.tip_inertia[a, b]
    for a in range(3):
        mass[a, a] = m
    add_skew(mass, top, low, -1.0, s0, s1, s2)
    add_skew(mass, low, top, 1.0, s0, s1, s2)
    u0 = v[i, 0]
    u1 = v[i, 1]
    u2 = v[i, 2]
    w0 = v[i, 3]
    w1 = v[i, 4]
    w2 = v[i, 5]
    add_skew(rate, top, top, m, w0, w1, w2)
    add_skew(rate, top, low, -m, u0, u1, u2)
    add_slope(rate, top, low, 1.0, w0, w1, w2, s0, s1, s2)
    # S^ W^ = W Sᵀ − (S·W) I, and so for −S^ U^
    dot = s0 * w0 + s1 * w1 + s2 * w2
    add_outer(rate, low, top, 1.0, w0, w1, w2, s0, s1, s2)
    rate[3, 0] -= dot
    rate[4, 1] -= dot
    rate[5, 2] -= dot
    dot = s0 * u0 + s1 * u1 + s2 * u2
    add_outer(rate, low, low, -1.0, u0, u1, u2, s0, s1, s2)
    rate[3, 3] += dot
    rate[4, 4] += dot
    rate[5, 5] += dot
    l0 = mass[3, 3] * w0 + mass[3, 4] * w1 + mass[3, 5] * w2
    l1 = mass[4, 3] * w0 + mass[4, 4] * w1 + mass[4, 5] * w2
    l2 = mass[5, 3] * w0 + mass[5, 4] * w1 + mass[5, 5] * w2
    add_skew(rate, low, low, -1.0, l0, l1, l2)
    for b in range(3):
        rate[3, 3 + b] += w1 * mass[5, 3 + b] - w2 * mass[4, 3 + b]
        rate[4, 3 + b] += w2 * mass[3, 3 + b] - w0 * mass[5, 3 + b]
        rate[5, 3 + b] += w0 * mass[4, 3 + b] - w1 * mass[3, 3 + b]
    g0, g1, g2 = turn_back(q, i, model.gravity[0], model.gravity[1], model.gravity[2])
    dot = s0 * g0 + s1 * g1 + s2 * g2
    # −S^ g^ = (S·g) I − g Sᵀ
    add_outer(weight, low, low, -1.0, g0, g1, g2, s0, s1, s2)
    weight[3, 3] += dot
    weight[4, 4] += dot
    weight[5, 5] += dot
    f0, f1, f2 = turn_back(q, i, dead[i, 0], dead[i, 1], dead[i, 2])
    add_skew(weight, top, low, -1.0, m * g0 + f0, m * g1 + f1, m * g2 + f2)
    f0, f1, f2 = turn_back(q, i, dead[i, 3], dead[i, 4], dead[i, 5])
    add_skew(weight, low, low, -1.0, f0, f1, f2)


@njit(error_model="numpy")
def add_adjoint(v, i, out):
    """out (6, 6) = ad_v = [[W^, U^], [0, W^]] of v[i]."""
    low = out.shape[0] // 2
    top = low - low
    for a in range(6):
        for b in range(6):
            out[a, b] = 0.0
    add_skew(out, top, top, 1.0, v[i, 3], v[i, 4], v[i, 5])
    add_skew(out, low, low, 1.0, v[i, 3], v[i, 4], v[i, 5])
    add_skew(out, top, low, 1.0, v[i, 0], v[i, 1], v[i, 2])


@njit(error_model="numpy")
def add_block(band, row, column, block, columns):
    """Add six rows of a block to the band at (row, column)."""
    for a in range(6):
        for b in range(columns):
            band[row + a, column + b - row - a + 11] += block[a, b]


@njit(error_model="numpy")
def assemble(model, q, x, v, vd, move, dead, steady, w_mass, w_rate, w_pose, free, root, blocks, band):
    """Fill band (n, 23) with w_mass ∂r/∂v̇ + w_rate ∂r/∂v + w_pose ∂r/∂(pose), n = free + 6 N.

    root (3, 9): columns 0 … free and 3 … 3 + free: the increments of the root's rotation and of its rate, w_rate
    included, for an increment of y. The rows of the root are left, as body moments of the first element, in
    blocks[ROOT_BY_NODE] (columns: node 1) and blocks[ROOT_BY_ROOT] (columns: y); `root_rows` of
    `elements_root_kernels` projects them on y.
    """
    count = model.stiff_force.shape[0]
    n = free + 6 * count
    for i in range(n):
        for j in range(23):
            band[i, j] = 0.0
    mass = blocks[MASS]
    rate = blocks[RATE]
    weight = blocks[WEIGHT]
    turn_a = blocks[TURN_A]
    turn_b = blocks[TURN_B]
    back = blocks[BACK]
    front = blocks[FRONT]
    even = blocks[EVEN]
    section = blocks[SECTION]
    side_a = blocks[SIDE_A]
    side_b = blocks[SIDE_B]
    work = blocks[WORK]
    ad = blocks[ADJOINT]
    viscous = steady == 0.0 and (model.viscosity[0] > 0.0 or model.viscosity[1] > 0.0)
    # Not constants: numba would compile the helpers once for every constant they are called with.
    six = blocks.shape[1]
    low = six // 2
    top = low - low
    sf = model.stiff_force
    sm = model.stiff_moment
    for e in range(count):
        b = e + 1
        # ---- the node: inertia and weight, and its T(move)
        node_matrices(model, b, q, v, vd, dead, mass, rate, weight)
        for i in range(6):
            for j in range(6):
                turn_a[i, j] = turn_b[i, j]
                work[i, j] = w_mass * mass[i, j] + w_rate * rate[i, j]
        if steady != 0.0:
            add_adjoint(v, b, ad)
            multiply(rate, ad, work, w_pose)
            multiply(mass, ad, work, w_rate)
            add_adjoint(vd, b, ad)
            multiply(mass, ad, work, w_pose)
            for i in range(6):
                for j in range(6):
                    turn_b[i, j] = 1.0 if i == j else 0.0
                    work[i, j] += w_pose * weight[i, j]
        else:
            t = move[b, 3] ** 2 + move[b, 4] ** 2 + move[b, 5] ** 2
            _, cb, cc = series(t)
            db, dc = series_slopes(t)
            screw_operator(
                move[b, 0], move[b, 1], move[b, 2], move[b, 3], move[b, 4], move[b, 5], -cb, cc, -db, dc, turn_b
            )
            multiply(weight, turn_b, work, w_pose)
        add_block(band, free + 6 * e, free + 6 * e, work, six)
        # ---- the element
        u0, u1, u2, w0, w1, w2, n0, n1, n2, m0, m1, m2, r0, r1, r2, k, k1 = element_stress(model, e, q, x, v)
        k2 = inverse_series_curve(w0 * w0 + w1 * w1 + w2 * w2)
        screw_operator(u0, u1, u2, w0, w1, w2, 0.5, k, 0.0, k1, front)
        screw_operator(u0, u1, u2, w0, w1, w2, -0.5, k, 0.0, k1, back)
        for i in range(6):
            for j in range(6):
                section[i, j] = 0.0
                even[i, j] = 0.0
        section[0, 0] = w_pose * sf[e, 0]
        section[1, 1] = w_pose * sf[e, 1]
        section[2, 2] = w_pose * sf[e, 1]
        section[3, 3] = w_pose * sm[e, 0]
        section[4, 4] = w_pose * sm[e, 1]
        section[4, 5] = w_pose * sm[e, 2]
        section[5, 4] = w_pose * sm[e, 2]
        section[5, 5] = w_pose * sm[e, 3]
        z0 = model.viscosity[1] * sm[e, 0]
        z1 = model.viscosity[0] * sm[e, 1]
        z2 = model.viscosity[0] * sm[e, 2]
        z3 = model.viscosity[0] * sm[e, 3]
        if viscous and w_pose != 0.0:
            # ∂ẇ/∂w at given node rates: −(W_A + W_B)^/2 + ∂(k w^² ΔW)/∂w, then times the viscous stiffness
            d0 = v[b, 3] - v[e, 3]
            d1 = v[b, 4] - v[e, 4]
            d2 = v[b, 5] - v[e, 5]
            for i in range(3):
                for j in range(3):
                    ad[i, j] = 0.0
            add_skew(ad, top, top, -0.5, v[b, 3] + v[e, 3], v[b, 4] + v[e, 4], v[b, 5] + v[e, 5])
            add_slope(ad, top, top, k, w0, w1, w2, d0, d1, d2)
            c0 = w1 * d2 - w2 * d1
            c1 = w2 * d0 - w0 * d2
            c2 = w0 * d1 - w1 * d0
            add_outer(
                ad, top, top, 2.0 * k1, w1 * c2 - w2 * c1, w2 * c0 - w0 * c2, w0 * c1 - w1 * c0, w0, w1, w2
            )
            for j in range(3):
                section[3, 3 + j] += w_pose * z0 * ad[0, j]
                section[4, 3 + j] += w_pose * (z1 * ad[1, j] + z2 * ad[2, j])
                section[5, 3 + j] += w_pose * (z2 * ad[1, j] + z3 * ad[2, j])
        # even part of ∂(T⁻ᵀ σ)/∂f at constant σ
        c0 = w1 * n2 - w2 * n1
        c1 = w2 * n0 - w0 * n2
        c2 = w0 * n1 - w1 * n0
        b0 = w1 * c2 - w2 * c1
        b1 = w2 * c0 - w0 * c2
        b2 = w0 * c1 - w1 * c0
        wu = w0 * u0 + w1 * u1 + w2 * u2
        add_slope(even, top, low, k, w0, w1, w2, n0, n1, n2)
        add_outer(even, top, low, 2.0 * k1, b0, b1, b2, w0, w1, w2)
        for i in range(3):
            for j in range(3):
                even[3 + i, j] = even[i, 3 + j]
        e0 = u1 * n2 - u2 * n1
        e1 = u2 * n0 - u0 * n2
        e2 = u0 * n1 - u1 * n0
        # u × (w × F) + w × (u × F)
        s0 = u1 * c2 - u2 * c1 + w1 * e2 - w2 * e1
        s1 = u2 * c0 - u0 * c2 + w2 * e0 - w0 * e2
        s2 = u0 * c1 - u1 * c0 + w0 * e1 - w1 * e0
        c0 = w1 * m2 - w2 * m1
        c1 = w2 * m0 - w0 * m2
        c2 = w0 * m1 - w1 * m0
        add_slope(even, low, low, k, w0, w1, w2, m0, m1, m2)
        add_slope(even, low, low, k, u0, u1, u2, n0, n1, n2)
        add_slope(even, low, low, 2.0 * k1 * wu, w0, w1, w2, n0, n1, n2)
        g = 2.0 * k1
        h = 4.0 * k2 * wu
        add_outer(
            even,
            low,
            low,
            1.0,
            g * (w1 * c2 - w2 * c1 + s0) + h * b0,
            g * (w2 * c0 - w0 * c2 + s1) + h * b1,
            g * (w0 * c1 - w1 * c0 + s2) + h * b2,
            w0,
            w1,
            w2,
        )
        add_outer(even, low, low, g, b0, b1, b2, u0, u1, u2)
        # F_B: even + odd + T⁻ᵀ(f) section;  F_A: −even + odd − T⁻ᵀ(−f) section
        multiply_transposed(front, section, side_b)
        multiply_transposed(back, section, side_a)
        for i in range(6):
            for j in range(6):
                g = w_pose * even[i, j]
                side_b[i, j] = side_b[i, j] + g
                side_a[i, j] = -side_a[i, j] - g
        g = 0.5 * w_pose
        add_skew(side_b, top, low, g, n0, n1, n2)
        add_skew(side_b, low, top, g, n0, n1, n2)
        add_skew(side_b, low, low, g, m0, m1, m2)
        add_skew(side_a, top, low, g, n0, n1, n2)
        add_skew(side_a, low, top, g, n0, n1, n2)
        add_skew(side_a, low, low, g, m0, m1, m2)
        # columns of node B
        for i in range(6):
            for j in range(6):
                ad[i, j] = 0.0
                even[i, j] = 0.0
                work[i, j] = 0.0
        multiply(front, turn_b, ad, 1.0)
        multiply(side_b, ad, even, 1.0)
        multiply(side_a, ad, work, 1.0)
        if viscous and w_rate != 0.0:
            add_viscous(even, front, front, w_rate, z0, z1, z2, z3)
            add_viscous(work, back, front, -w_rate, z0, z1, z2, z3)
        add_block(band, free + 6 * e, free + 6 * e, even, six)
        if e > 0:
            add_block(band, free + 6 * (e - 1), free + 6 * e, work, six)
        else:
            for i in range(3):
                for j in range(6):
                    blocks[ROOT_BY_NODE, i, j] = work[3 + i, j]
        # columns of node A
        for i in range(6):
            for j in range(6):
                ad[i, j] = 0.0
                even[i, j] = 0.0
                work[i, j] = 0.0
        if e > 0:
            multiply(back, turn_a, ad, -1.0)
            multiply(side_b, ad, even, 1.0)
            multiply(side_a, ad, work, 1.0)
            if viscous and w_rate != 0.0:
                add_viscous(even, front, back, -w_rate, z0, z1, z2, z3)
                add_viscous(work, back, back, w_rate, z0, z1, z2, z3)
            add_block(band, free + 6 * e, free + 6 * (e - 1), even, six)
            add_block(band, free + 6 * (e - 1), free + 6 * (e - 1), work, six)
        elif free > 0:
            # the root turns only
            multiply(side_b, back, even, -1.0)
            multiply(side_a, back, work, -1.0)
            for i in range(6):
                for c in range(free):
                    ad[i, c] = even[i, 3] * root[0, c] + even[i, 4] * root[1, c] + even[i, 5] * root[2, c]
                    turn_a[i, c] = work[i, 3] * root[0, c] + work[i, 4] * root[1, c] + work[i, 5] * root[2, c]
            if viscous:
                for i in range(6):
                    for j in range(6):
                        even[i, j] = 0.0
                        work[i, j] = 0.0
                add_viscous(even, front, back, -1.0, z0, z1, z2, z3)
                add_viscous(work, back, back, 1.0, z0, z1, z2, z3)
                for i in range(3, 6):
                    for c in range(free):
                        for j in range(3):
                            ad[i, c] += even[i, 3 + j] * root[j, 3 + c]
                            turn_a[i, c] += work[i, 3 + j] * root[j, 3 + c]
            add_block(band, free, 0, ad, free)
            for i in range(3):
                for c in range(free):
                    blocks[ROOT_BY_ROOT, i, c] = turn_a[3 + i, c]


@njit(error_model="numpy")
def add_viscous(out, outer, inner, factor, z0, z1, z2, z3):
    """out[3:, 3:] += factor · Aᵀ Z A' with the rotation parts A of two operators and the viscous stiffness Z."""
    for j in range(3):
        p0 = factor * z0 * inner[0, j]
        p1 = factor * (z1 * inner[1, j] + z2 * inner[2, j])
        p2 = factor * (z2 * inner[1, j] + z3 * inner[2, j])
        for i in range(3):
            out[3 + i, 3 + j] += outer[0, i] * p0 + outer[1, i] * p1 + outer[2, i] * p2
