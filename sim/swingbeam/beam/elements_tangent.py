# mypy: disable-error-code="no-untyped-def"
"""The exact tangent of the element forces, assembled into a band. Compiled.

The unknowns are right increments: of the root's y (the nf free axes), then six of every node 1 … N.
The matrix is w_m ∂r/∂v̇ + w_c ∂r/∂v + ∂r/∂(pose), either

- *moving* (an implicit time step): pose increments are T(move) δ for an increment δ of the step's screw,
  while v and v̇ change by w_c δ and w_m δ (Brüls, Cardona & Arnold 2012, Mech. Mach. Theory 48:121); or
- *steady* (rigid motion with the root): v = Ad(H⁻¹) V changes with the pose by ad_v η, v̇ by ad_v̇ η, and
  small motions about it by η̇ + ad_v η and η̈ + ad_v η̇ + ad_v̇ η.

The derivative of T⁻ᵀ(f) σ follows from the even part P(f) σ, P = I + k w^² with its dual part, and the
odd part adᵀ σ / 2. With D(a, b) = (a·b) I + a bᵀ − 2 b aᵀ, the derivative of a × (a × b) with respect to a,

    ∂(w^² F k)/∂w = k D(w, F) + 2 k' (w^² F) wᵀ

and the moment rows are its derivative along (u, M).
"""

from __future__ import annotations

from .compiled import piece
from .elements_block_kernels import (
    add_block,
    add_outer,
    add_skew,
    add_slope,
    add_viscous,
    multiply,
    multiply_operator,
    multiply_section,
)
from .elements_pose_kernels import inverse_series_curve, relative_screw, screw_operator, turn_back
from .rotations import series, series_slopes

MASS, RATE, WEIGHT, TURN_A, TURN_B, BACK, FRONT, EVEN, SECTION, SIDE_A, SIDE_B, WORK, ADJOINT = range(13)
ROOT_BY_NODE, ROOT_BY_ROOT = 13, 14


@piece
def node_matrices(model, i, q, v, vd, dead, mass, rate, weight):
    """∂/∂v̇, ∂/∂v and ∂/∂(right increment) of `node_force` of node i, each (6, 6).

    dead (nodes, 6): force and moment of fixed direction at the nodes (world), counted as −Rᵀ dead.
    """
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
    add_skew(mass, 0, 3, -1.0, s0, s1, s2)
    add_skew(mass, 3, 0, 1.0, s0, s1, s2)
    u0 = v[i, 0]
    u1 = v[i, 1]
    u2 = v[i, 2]
    w0 = v[i, 3]
    w1 = v[i, 4]
    w2 = v[i, 5]
    add_skew(rate, 0, 0, m, w0, w1, w2)
    add_skew(rate, 0, 3, -m, u0, u1, u2)
    add_slope(rate, 0, 3, 1.0, w0, w1, w2, s0, s1, s2)
    # S^ W^ = W Sᵀ − (S·W) I, and so for −S^ U^
    dot = s0 * w0 + s1 * w1 + s2 * w2
    add_outer(rate, 3, 0, 1.0, w0, w1, w2, s0, s1, s2)
    rate[3, 0] -= dot
    rate[4, 1] -= dot
    rate[5, 2] -= dot
    dot = s0 * u0 + s1 * u1 + s2 * u2
    add_outer(rate, 3, 3, -1.0, u0, u1, u2, s0, s1, s2)
    rate[3, 3] += dot
    rate[4, 4] += dot
    rate[5, 5] += dot
    l0 = mass[3, 3] * w0 + mass[3, 4] * w1 + mass[3, 5] * w2
    l1 = mass[4, 3] * w0 + mass[4, 4] * w1 + mass[4, 5] * w2
    l2 = mass[5, 3] * w0 + mass[5, 4] * w1 + mass[5, 5] * w2
    add_skew(rate, 3, 3, -1.0, l0, l1, l2)
    for b in range(3):
        rate[3, 3 + b] += w1 * mass[5, 3 + b] - w2 * mass[4, 3 + b]
        rate[4, 3 + b] += w2 * mass[3, 3 + b] - w0 * mass[5, 3 + b]
        rate[5, 3 + b] += w0 * mass[4, 3 + b] - w1 * mass[3, 3 + b]
    g0, g1, g2 = turn_back(q, i, model.gravity[0], model.gravity[1], model.gravity[2])
    dot = s0 * g0 + s1 * g1 + s2 * g2
    # −S^ g^ = (S·g) I − g Sᵀ
    add_outer(weight, 3, 3, -1.0, g0, g1, g2, s0, s1, s2)
    weight[3, 3] += dot
    weight[4, 4] += dot
    weight[5, 5] += dot
    f0, f1, f2 = turn_back(q, i, dead[i, 0], dead[i, 1], dead[i, 2])
    add_skew(weight, 0, 3, -1.0, m * g0 + f0, m * g1 + f1, m * g2 + f2)
    f0, f1, f2 = turn_back(q, i, dead[i, 3], dead[i, 4], dead[i, 5])
    add_skew(weight, 3, 3, -1.0, f0, f1, f2)


@piece
def add_adjoint(v, i, out):
    """out (6, 6) = ad_v = [[W^, U^], [0, W^]] of v[i]."""
    for a in range(6):
        for b in range(6):
            out[a, b] = 0.0
    add_skew(out, 0, 0, 1.0, v[i, 3], v[i, 4], v[i, 5])
    add_skew(out, 3, 3, 1.0, v[i, 3], v[i, 4], v[i, 5])
    add_skew(out, 0, 3, 1.0, v[i, 0], v[i, 1], v[i, 2])


@piece
def assemble(model, q, gap, v, vd, move, dead, stress, steady, w_mass, w_rate, w_pose, free, root, blocks, band):
    """Fill band (n, 23) with w_mass ∂r/∂v̇ + w_rate ∂r/∂v + w_pose ∂r/∂(pose), n = free + 6 N.

    stress (elements, 6) is used in the geometric stiffness. The tangent is exact with the stress of
    the pose; away from the solution a better guess serves better: with stiff stretch and shear the
    stress of a trial pose is far off, and Newton's method slow (Magisano, Leonetti & Garcea 2017,
    Comput. Methods Appl. Mech. Engrg. 313:986).
    root (3, 9): columns 0 … free and 3 … 3 + free: the increments of the root's rotation and of its
    rate, w_rate included, for an increment of y. The rows of the root are left, as body moments of the
    first element, in blocks[ROOT_BY_NODE] (columns: node 1) and blocks[ROOT_BY_ROOT] (columns: y);
    `root_rows` of `elements_root_kernels` projects them on y.
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
    # Not a constant: numba would compile `add_block` once more for it.
    six = blocks.shape[1]
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
                move[b, 0],
                move[b, 1],
                move[b, 2],
                move[b, 3],
                move[b, 4],
                move[b, 5],
                -cb,
                cc,
                -db,
                dc,
                turn_b,
            )
            # the weight acts on turns only
            for i in range(6):
                for j in range(3, 6):
                    t = weight[i, 3] * turn_b[3, j] + weight[i, 4] * turn_b[4, j] + weight[i, 5] * turn_b[5, j]
                    work[i, j] += w_pose * t
        add_block(band, free + 6 * e, free + 6 * e, work, six)
        # ---- the element
        u0, u1, u2, w0, w1, w2, k, k1 = relative_screw(q, gap, e)
        n0 = stress[e, 0]
        n1 = stress[e, 1]
        n2 = stress[e, 2]
        m0 = stress[e, 3]
        m1 = stress[e, 4]
        m2 = stress[e, 5]
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
            add_skew(ad, 0, 0, -0.5, v[b, 3] + v[e, 3], v[b, 4] + v[e, 4], v[b, 5] + v[e, 5])
            add_slope(ad, 0, 0, k, w0, w1, w2, d0, d1, d2)
            c0 = w1 * d2 - w2 * d1
            c1 = w2 * d0 - w0 * d2
            c2 = w0 * d1 - w1 * d0
            add_outer(ad, 0, 0, 2.0 * k1, w1 * c2 - w2 * c1, w2 * c0 - w0 * c2, w0 * c1 - w1 * c0, w0, w1, w2)
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
        add_slope(even, 0, 3, k, w0, w1, w2, n0, n1, n2)
        add_outer(even, 0, 3, 2.0 * k1, b0, b1, b2, w0, w1, w2)
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
        add_slope(even, 3, 3, k, w0, w1, w2, m0, m1, m2)
        add_slope(even, 3, 3, k, u0, u1, u2, n0, n1, n2)
        add_slope(even, 3, 3, 2.0 * k1 * wu, w0, w1, w2, n0, n1, n2)
        g = 2.0 * k1
        h = 4.0 * k2 * wu
        add_outer(
            even,
            3,
            3,
            1.0,
            g * (w1 * c2 - w2 * c1 + s0) + h * b0,
            g * (w2 * c0 - w0 * c2 + s1) + h * b1,
            g * (w0 * c1 - w1 * c0 + s2) + h * b2,
            w0,
            w1,
            w2,
        )
        add_outer(even, 3, 3, g, b0, b1, b2, u0, u1, u2)
        # F_B: even + odd + T⁻ᵀ(f) section;  F_A: −even + odd − T⁻ᵀ(−f) section
        g = 0.5 * w_pose
        for i in range(6):
            for j in range(6):
                even[i, j] *= w_pose
        multiply_section(front, section, even, g * n0, g * n1, g * n2, g * m0, g * m1, g * m2, 1.0, side_b)
        multiply_section(back, section, even, g * n0, g * n1, g * n2, g * m0, g * m1, g * m2, -1.0, side_a)
        # columns of node B
        multiply_operator(front, turn_b, ad, 1.0)
        multiply_operator(side_b, ad, even, 1.0)
        multiply_operator(side_a, ad, work, 1.0)
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
        if e > 0:
            multiply_operator(back, turn_a, ad, -1.0)
            multiply_operator(side_b, ad, even, 1.0)
            multiply_operator(side_a, ad, work, 1.0)
            if viscous and w_rate != 0.0:
                add_viscous(even, front, back, -w_rate, z0, z1, z2, z3)
                add_viscous(work, back, back, w_rate, z0, z1, z2, z3)
            add_block(band, free + 6 * e, free + 6 * (e - 1), even, six)
            add_block(band, free + 6 * (e - 1), free + 6 * (e - 1), work, six)
        elif free > 0:
            # the root turns only
            multiply_operator(side_b, back, even, -1.0)
            multiply_operator(side_a, back, work, -1.0)
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
            add_block(band, free, free - free, ad, free)
            for i in range(3):
                for c in range(free):
                    blocks[ROOT_BY_ROOT, i, c] = turn_a[3 + i, c]


@piece
def expect_stress(model, q, gap, right, stress, blocks):
    """stress (elements, 6) expected to first order after the increments in right[12:] of the nodes 1 … N."""
    count = model.stiff_force.shape[0]
    front = blocks[FRONT]
    back = blocks[BACK]
    change = blocks[WORK, 0]
    for e in range(count):
        u0, u1, u2, w0, w1, w2, k, k1 = relative_screw(q, gap, e)
        screw_operator(u0, u1, u2, w0, w1, w2, 0.5, k, 0.0, k1, front)
        screw_operator(u0, u1, u2, w0, w1, w2, -0.5, k, 0.0, k1, back)
        for i in range(6):
            change[i] = 0.0
            for j in range(6):
                change[i] += front[i, j] * right[12 + 6 * e + j]
                if e > 0:
                    change[i] -= back[i, j] * right[6 + 6 * e + j]
        stress[e, 0] += model.stiff_force[e, 0] * change[0]
        stress[e, 1] += model.stiff_force[e, 1] * change[1]
        stress[e, 2] += model.stiff_force[e, 1] * change[2]
        stress[e, 3] += model.stiff_moment[e, 0] * change[3]
        stress[e, 4] += model.stiff_moment[e, 1] * change[4] + model.stiff_moment[e, 2] * change[5]
        stress[e, 5] += model.stiff_moment[e, 2] * change[4] + model.stiff_moment[e, 3] * change[5]
