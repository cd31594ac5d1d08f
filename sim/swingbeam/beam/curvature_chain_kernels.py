"""The rod of the `curvature` solver as a chain of intervals: recursive Newton–Euler on the strains.

The rod has neither shear nor stretch. Its axis is cut into intervals; over each, the pose changes by the
fourth-order Magnus expansion of g' = g (κ, e₁)^ on SE(3) (Magnus 1954; Iserles & Nørsett 1999, Phil. Trans.
R. Soc. A 357:983; for rods Renda et al. 2020, IEEE RA-L 5:4006): with i = ∫κ ds and
m = ∫κ (s − middle) ds / h,

    θ = i + i × m,   η = h (e₁ + e₁ × m),   E = exp θ,   d = η + b θ×η + c θ×(θ×η),

E the rotation and d the offset from one node to the next, in the axes of the first. Terms linear in κ are
exact for any κ(s). Rates and accelerations are the exact time derivatives of this map, the generalised forces
its exact adjoint: the discrete rod is a mechanical system of its own, whose power balance closes to rounding
whatever the number of nodes.

Forward: angular velocity ω, its rate α and the acceleration a (gravity as an upward acceleration of the root)
from node to node, in the axes of each node. Backward: force f and moment on everything beyond. This is the
recursive Newton–Euler scheme (Featherstone 2008, Rigid Body Dynamics Algorithms, ch. 5) on the strain
coordinates of Boyer, Lebastard, Candelier & Renda 2021 (IEEE Trans. Robotics 37:847).
"""

from __future__ import annotations

from .compiled import piece
from .rotations import exponential_series


@piece
def forward(model, root, strain, chain):
    """Geometry of every interval; ω, α, a, inertial force and moment of every node, in its own axes.

    root gives ω, α and a of the root in its own axes; what is left in `chain` is described at its columns.
    """
    intervals = model.length.shape[0]
    w0 = root[0]
    w1 = root[1]
    w2 = root[2]
    l0 = root[3]
    l1 = root[4]
    l2 = root[5]
    a0 = root[6]
    a1 = root[7]
    a2 = root[8]
    for j in range(intervals):
        row = chain[j]
        j_strain = strain[j]
        k_strain = strain[intervals + j]
        h = model.length[j]
        i0 = j_strain[0]
        i1 = j_strain[1]
        i2 = j_strain[2]
        m0 = k_strain[0]
        m1 = k_strain[1]
        m2 = k_strain[2]
        ir0 = j_strain[3]
        ir1 = j_strain[4]
        ir2 = j_strain[5]
        mr0 = k_strain[3]
        mr1 = k_strain[4]
        mr2 = k_strain[5]
        ia0 = j_strain[6]
        ia1 = j_strain[7]
        ia2 = j_strain[8]
        ma0 = k_strain[6]
        ma1 = k_strain[7]
        ma2 = k_strain[8]
        # θ = i + i × m and its derivatives (x, y, z; rates r, accelerations c)
        x = i0 + (i1 * m2 - i2 * m1)
        y = i1 + (i2 * m0 - i0 * m2)
        z = i2 + (i0 * m1 - i1 * m0)
        xr = ir0 + (ir1 * m2 - ir2 * m1) + (i1 * mr2 - i2 * mr1)
        yr = ir1 + (ir2 * m0 - ir0 * m2) + (i2 * mr0 - i0 * mr2)
        zr = ir2 + (ir0 * m1 - ir1 * m0) + (i0 * mr1 - i1 * mr0)
        xc = ia0 + (ia1 * m2 - ia2 * m1) + 2.0 * (ir1 * mr2 - ir2 * mr1) + (i1 * ma2 - i2 * ma1)
        yc = ia1 + (ia2 * m0 - ia0 * m2) + 2.0 * (ir2 * mr0 - ir0 * mr2) + (i2 * ma0 - i0 * ma2)
        zc = ia2 + (ia0 * m1 - ia1 * m0) + 2.0 * (ir0 * mr1 - ir1 * mr0) + (i0 * ma1 - i1 * ma0)
        # η = h (1, −m_z, m_y)
        e1 = -h * m2
        e2 = h * m1
        er1 = -h * mr2
        er2 = h * mr1
        ea1 = -h * ma2
        ea2 = h * ma1
        t = x * x + y * y + z * z
        b, c, db, dc, ddb, ddc = exponential_series(t)
        a = 1.0 - c * t
        bxy = b * x * y
        bxz = b * x * z
        byz = b * y * z
        t00 = 1.0 - b * (y * y + z * z)
        t11 = 1.0 - b * (x * x + z * z)
        t22 = 1.0 - b * (x * x + y * y)
        t01 = bxy - a * z
        t10 = bxy + a * z
        t02 = bxz + a * y
        t20 = bxz - a * y
        t12 = byz - a * x
        t21 = byz + a * x
        # p = θ×η, s = θ×p and their derivatives
        p0 = y * e2 - z * e1
        p1 = z * h - x * e2
        p2 = x * e1 - y * h
        s0 = y * p2 - z * p1
        s1 = z * p0 - x * p2
        s2 = x * p1 - y * p0
        pr0 = (yr * e2 - zr * e1) + (y * er2 - z * er1)
        pr1 = (zr * h - xr * e2) - x * er2
        pr2 = (xr * e1 - yr * h) + x * er1
        sr0 = (yr * p2 - zr * p1) + (y * pr2 - z * pr1)
        sr1 = (zr * p0 - xr * p2) + (z * pr0 - x * pr2)
        sr2 = (xr * p1 - yr * p0) + (x * pr1 - y * pr0)
        pc0 = (yc * e2 - zc * e1) + 2.0 * (yr * er2 - zr * er1) + (y * ea2 - z * ea1)
        pc1 = (zc * h - xc * e2) - 2.0 * xr * er2 - x * ea2
        pc2 = (xc * e1 - yc * h) + 2.0 * xr * er1 + x * ea1
        sc0 = (yc * p2 - zc * p1) + 2.0 * (yr * pr2 - zr * pr1) + (y * pc2 - z * pc1)
        sc1 = (zc * p0 - xc * p2) + 2.0 * (zr * pr0 - xr * pr2) + (z * pc0 - x * pc2)
        sc2 = (xc * p1 - yc * p0) + 2.0 * (xr * pr1 - yr * pr0) + (x * pc1 - y * pc0)
        tr = 2.0 * (x * xr + y * yr + z * zr)
        tc = 2.0 * (x * xc + y * yc + z * zc + xr * xr + yr * yr + zr * zr)
        br = db * tr
        cr = dc * tr
        bc = db * tc + ddb * tr * tr
        cc = dc * tc + ddc * tr * tr
        d0 = h + b * p0 + c * s0
        d1 = e1 + b * p1 + c * s1
        d2 = e2 + b * p2 + c * s2
        dr0 = b * pr0 + br * p0 + c * sr0 + cr * s0
        dr1 = er1 + b * pr1 + br * p1 + c * sr1 + cr * s1
        dr2 = er2 + b * pr2 + br * p2 + c * sr2 + cr * s2
        da0 = b * pc0 + 2.0 * br * pr0 + bc * p0 + c * sc0 + 2.0 * cr * sr0 + cc * s0
        da1 = ea1 + b * pc1 + 2.0 * br * pr1 + bc * p1 + c * sc1 + 2.0 * cr * sr1 + cc * s1
        da2 = ea2 + b * pc2 + 2.0 * br * pr2 + bc * p2 + c * sc2 + 2.0 * cr * sr2 + cc * s2
        # u = J_r(θ) θ̇ and its rate; g = θ×θ̇
        g0 = y * zr - z * yr
        g1 = z * xr - x * zr
        g2 = x * yr - y * xr
        k0 = y * g2 - z * g1
        k1 = z * g0 - x * g2
        k2 = x * g1 - y * g0
        u0 = xr - b * g0 + c * k0
        u1 = yr - b * g1 + c * k1
        u2 = zr - b * g2 + c * k2
        n0 = y * zc - z * yc
        n1 = z * xc - x * zc
        n2 = x * yc - y * xc
        ud0 = xc - b * n0 - br * g0 + cr * k0 + c * ((yr * g2 - zr * g1) + (y * n2 - z * n1))
        ud1 = yc - b * n1 - br * g1 + cr * k1 + c * ((zr * g0 - xr * g2) + (z * n0 - x * n2))
        ud2 = zc - b * n2 - br * g2 + cr * k2 + c * ((xr * g1 - yr * g0) + (x * n1 - y * n0))
        # a at the far node, still in the near node's axes: a + α×d + ω×(ω×d + 2ḋ) + d̈
        v0 = (w1 * d2 - w2 * d1) + 2.0 * dr0
        v1 = (w2 * d0 - w0 * d2) + 2.0 * dr1
        v2 = (w0 * d1 - w1 * d0) + 2.0 * dr2
        q0 = a0 + (l1 * d2 - l2 * d1) + (w1 * v2 - w2 * v1) + da0
        q1 = a1 + (l2 * d0 - l0 * d2) + (w2 * v0 - w0 * v2) + da1
        q2 = a2 + (l0 * d1 - l1 * d0) + (w0 * v1 - w1 * v0) + da2
        a0 = t00 * q0 + t10 * q1 + t20 * q2
        a1 = t01 * q0 + t11 * q1 + t21 * q2
        a2 = t02 * q0 + t12 * q1 + t22 * q2
        q0 = t00 * w0 + t10 * w1 + t20 * w2
        q1 = t01 * w0 + t11 * w1 + t21 * w2
        q2 = t02 * w0 + t12 * w1 + t22 * w2
        v0 = t00 * l0 + t10 * l1 + t20 * l2
        v1 = t01 * l0 + t11 * l1 + t21 * l2
        v2 = t02 * l0 + t12 * l1 + t22 * l2
        l0 = v0 + (q1 * u2 - q2 * u1) + ud0
        l1 = v1 + (q2 * u0 - q0 * u2) + ud1
        l2 = v2 + (q0 * u1 - q1 * u0) + ud2
        w0 = q0 + u0
        w1 = q1 + u1
        w2 = q2 + u2
        row[0] = t00
        row[1] = t01
        row[2] = t02
        row[3] = t10
        row[4] = t11
        row[5] = t12
        row[6] = t20
        row[7] = t21
        row[8] = t22
        row[9] = d0
        row[10] = d1
        row[11] = d2
        row[12] = dr0
        row[13] = dr1
        row[14] = dr2
        row[15] = x
        row[16] = y
        row[17] = z
        row[18] = i0
        row[19] = i1
        row[20] = i2
        row[21] = m0
        row[22] = m1
        row[23] = m2
        row[24] = b
        row[25] = c
        row[26] = db
        row[27] = dc
        row[28] = p0
        row[29] = p1
        row[30] = p2
        row[31] = s0
        row[32] = s1
        row[33] = s2
        row[34] = w0
        row[35] = w1
        row[36] = w2
        row[37] = l0
        row[38] = l1
        row[39] = l2
        row[40] = a0
        row[41] = a1
        row[42] = a2
        mass = model.mass[j]
        polar = model.rotary[j]
        row[43] = mass * a0
        row[44] = mass * a1
        row[45] = mass * a2
        row[46] = polar * l0
        row[47] = 0.5 * polar * (l1 + w0 * w2)
        row[48] = 0.5 * polar * (l2 - w0 * w1)
    # the body at the tip: f = m a_CG, moment about the tip = I α + ω × I ω + offset × f
    tip = model.tip
    row = chain[intervals - 1]
    mass = tip[0]
    c0 = tip[1]
    c1 = tip[2]
    c2 = tip[3]
    v0 = w1 * c2 - w2 * c1
    v1 = w2 * c0 - w0 * c2
    v2 = w0 * c1 - w1 * c0
    f0 = mass * (a0 + (l1 * c2 - l2 * c1) + (w1 * v2 - w2 * v1))
    f1 = mass * (a1 + (l2 * c0 - l0 * c2) + (w2 * v0 - w0 * v2))
    f2 = mass * (a2 + (l0 * c1 - l1 * c0) + (w0 * v1 - w1 * v0))
    h0 = tip[4] * w0 + tip[5] * w1 + tip[6] * w2
    h1 = tip[7] * w0 + tip[8] * w1 + tip[9] * w2
    h2 = tip[10] * w0 + tip[11] * w1 + tip[12] * w2
    row[43] += f0
    row[44] += f1
    row[45] += f2
    row[46] += tip[4] * l0 + tip[5] * l1 + tip[6] * l2 + (w1 * h2 - w2 * h1) + (c1 * f2 - c2 * f1)
    row[47] += tip[7] * l0 + tip[8] * l1 + tip[9] * l2 + (w2 * h0 - w0 * h2) + (c2 * f0 - c0 * f2)
    row[48] += tip[10] * l0 + tip[11] * l1 + tip[12] * l2 + (w0 * h1 - w1 * h0) + (c0 * f1 - c1 * f0)


@piece
def backward(model, root, chain, general):
    """Nodes' forces added up from the tip: generalised forces on the strains, force and moment at the root.

    The adjoint of the velocity map of `forward`, so that the power of `general` on the strain rates is that
    of the nodes' forces on the nodes' velocities.
    """
    intervals = model.length.shape[0]
    f0 = 0.0
    f1 = 0.0
    f2 = 0.0
    m0 = 0.0
    m1 = 0.0
    m2 = 0.0
    for j in range(intervals - 1, -1, -1):
        row = chain[j]
        h = model.length[j]
        f0 += row[43]
        f1 += row[44]
        f2 += row[45]
        m0 += row[46]
        m1 += row[47]
        m2 += row[48]
        t00 = row[0]
        t01 = row[1]
        t02 = row[2]
        t10 = row[3]
        t11 = row[4]
        t12 = row[5]
        t20 = row[6]
        t21 = row[7]
        t22 = row[8]
        d0 = row[9]
        d1 = row[10]
        d2 = row[11]
        x = row[15]
        y = row[16]
        z = row[17]
        b = row[24]
        c = row[25]
        p0 = row[28]
        p1 = row[29]
        p2 = row[30]
        g0 = t00 * f0 + t01 * f1 + t02 * f2
        g1 = t10 * f0 + t11 * f1 + t12 * f2
        g2 = t20 * f0 + t21 * f1 + t22 * f2
        # on θ: J_rᵀ m + (∂d/∂θ)ᵀ F, with n = θ×m, k = θ×F
        n0 = y * m2 - z * m1
        n1 = z * m0 - x * m2
        n2 = x * m1 - y * m0
        k0 = y * g2 - z * g1
        k1 = z * g0 - x * g2
        k2 = x * g1 - y * g0
        e1 = -h * row[23]
        e2 = h * row[22]
        turn = 2.0 * (row[26] * (p0 * g0 + p1 * g1 + p2 * g2) + row[27] * (row[31] * g0 + row[32] * g1 + row[33] * g2))
        # η×(bF − c k) + c p×F
        v0 = b * g0 - c * k0
        v1 = b * g1 - c * k1
        v2 = b * g2 - c * k2
        r0 = m0 + b * n0 + c * (y * n2 - z * n1) + (e1 * v2 - e2 * v1) + c * (p1 * g2 - p2 * g1) + turn * x
        r1 = m1 + b * n1 + c * (z * n0 - x * n2) + (e2 * v0 - h * v2) + c * (p2 * g0 - p0 * g2) + turn * y
        r2 = m2 + b * n2 + c * (x * n1 - y * n0) + (h * v1 - e1 * v0) + c * (p0 * g1 - p1 * g0) + turn * z
        # on η: F − b k + c θ×k; only its y and z parts do work
        s1 = g1 - b * k1 + c * (z * k0 - x * k2)
        s2 = g2 - b * k2 + c * (x * k1 - y * k0)
        i0 = row[18]
        i1 = row[19]
        i2 = row[20]
        a0 = row[21]
        a1 = row[22]
        a2 = row[23]
        k = intervals + j
        general[j, 0] = r0 + (a1 * r2 - a2 * r1)
        general[j, 1] = r1 + (a2 * r0 - a0 * r2)
        general[j, 2] = r2 + (a0 * r1 - a1 * r0)
        general[k, 0] = r1 * i2 - r2 * i1
        general[k, 1] = r2 * i0 - r0 * i2 + h * s2
        general[k, 2] = r0 * i1 - r1 * i0 - h * s1
        n0 = t00 * m0 + t01 * m1 + t02 * m2 + (d1 * g2 - d2 * g1)
        n1 = t10 * m0 + t11 * m1 + t12 * m2 + (d2 * g0 - d0 * g2)
        n2 = t20 * m0 + t21 * m1 + t22 * m2 + (d0 * g1 - d1 * g0)
        m0 = n0
        m1 = n1
        m2 = n2
        f0 = g0
        f1 = g1
        f2 = g2
    root[30] = f0
    root[31] = f1
    root[32] = f2
    root[33] = m0
    root[34] = m1
    root[35] = m2
