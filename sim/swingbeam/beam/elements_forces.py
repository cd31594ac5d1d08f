# mypy: disable-error-code="no-untyped-def"
"""Nodal forces of the beam elements: inertia, elasticity, viscosity. Compiled.

Node i has a pose H_i (quaternion q[i]; the gaps between nodes are gap[e]), the body velocity v[i] =
(U, W), Ḣ = H v^, its rate vd[i] and a force screw force[i] in body axes that d'Alembert's principle
makes zero at a free node.

Element e between the nodes A = e and B = e + 1 has the constant strain (f − f_0)/h with
f = log(H_A⁻¹ H_B) and the stress σ = stiffness · (f − f_0)/h (Sonneville, Cardona & Brüls 2014).
Its internal forces are F_B = T⁻ᵀ(f) σ and F_A = −T⁻ᵀ(−f) σ, since h δε = T⁻¹(f) η_B − T⁻¹(−f) η_A for
right increments η. Even and odd parts of T⁻ᵀ give both at once.
"""

from __future__ import annotations

from .compiled import piece
from .elements_pose_kernels import relative_screw, turn_back

BEND, TWIST, STRETCH, DISSIPATED, SCALE_FORCE, SCALE_MOMENT = range(6)


@piece
def node_force(model, i, q, v, vd, force):
    """Inertia and weight of node i in body axes into force[i]: m (U̇ + W × U − Rᵀ g) and the rest.

    With the rigid body of the last node: first moment S and inertia J about the node,
    F = m a + Ẇ × S + W × (W × S),  M = S × a + J Ẇ + W × J W.
    """
    w0 = v[i, 3]
    w1 = v[i, 4]
    w2 = v[i, 5]
    g0, g1, g2 = turn_back(q, i, model.gravity[0], model.gravity[1], model.gravity[2])
    a0 = vd[i, 0] + w1 * v[i, 2] - w2 * v[i, 1] - g0
    a1 = vd[i, 1] + w2 * v[i, 0] - w0 * v[i, 2] - g1
    a2 = vd[i, 2] + w0 * v[i, 1] - w1 * v[i, 0] - g2
    p = model.node_polar[i]
    m = model.node_mass[i]
    # diag(p, p/2, p/2) is the rotary inertia of a node
    force[i, 0] = m * a0
    force[i, 1] = m * a1
    force[i, 2] = m * a2
    force[i, 3] = p * vd[i, 3]
    force[i, 4] = 0.5 * p * (vd[i, 4] + w0 * w2)
    force[i, 5] = 0.5 * p * (vd[i, 5] - w0 * w1)
    if i == model.node_mass.shape[0] - 1:
        s0 = model.tip_first[0]
        s1 = model.tip_first[1]
        s2 = model.tip_first[2]
        j = model.tip_inertia
        d0 = vd[i, 3]
        d1 = vd[i, 4]
        d2 = vd[i, 5]
        ws = w0 * s0 + w1 * s1 + w2 * s2
        ww = w0 * w0 + w1 * w1 + w2 * w2
        m = model.tip_mass
        force[i, 0] += m * a0 + d1 * s2 - d2 * s1 + w0 * ws - s0 * ww
        force[i, 1] += m * a1 + d2 * s0 - d0 * s2 + w1 * ws - s1 * ww
        force[i, 2] += m * a2 + d0 * s1 - d1 * s0 + w2 * ws - s2 * ww
        l0 = j[0, 0] * w0 + j[0, 1] * w1 + j[0, 2] * w2
        l1 = j[1, 0] * w0 + j[1, 1] * w1 + j[1, 2] * w2
        l2 = j[2, 0] * w0 + j[2, 1] * w1 + j[2, 2] * w2
        force[i, 3] += s1 * a2 - s2 * a1 + j[0, 0] * d0 + j[0, 1] * d1 + j[0, 2] * d2 + w1 * l2 - w2 * l1
        force[i, 4] += s2 * a0 - s0 * a2 + j[1, 0] * d0 + j[1, 1] * d1 + j[1, 2] * d2 + w2 * l0 - w0 * l2
        force[i, 5] += s0 * a1 - s1 * a0 + j[2, 0] * d0 + j[2, 1] * d1 + j[2, 2] * d2 + w0 * l1 - w1 * l0


@piece
def curvature_rate(k, w0, w1, w2, v, e):
    """ẇ of element e: T⁻¹(w) W_B − T⁻¹(−w) W_A, zero for any common rotation rate (objective)."""
    d0 = v[e + 1, 3] - v[e, 3]
    d1 = v[e + 1, 4] - v[e, 4]
    d2 = v[e + 1, 5] - v[e, 5]
    s0 = 0.5 * (v[e + 1, 3] + v[e, 3])
    s1 = 0.5 * (v[e + 1, 4] + v[e, 4])
    s2 = 0.5 * (v[e + 1, 5] + v[e, 5])
    c0 = w1 * d2 - w2 * d1
    c1 = w2 * d0 - w0 * d2
    c2 = w0 * d1 - w1 * d0
    r0 = d0 + w1 * s2 - w2 * s1 + k * (w1 * c2 - w2 * c1)
    r1 = d1 + w2 * s0 - w0 * s2 + k * (w2 * c0 - w0 * c2)
    r2 = d2 + w0 * s1 - w1 * s0 + k * (w0 * c1 - w1 * c0)
    return r0, r1, r2


@piece
def element_stress(model, e, q, gap, v):
    """Strain screw f of element e, its stress σ (elastic and viscous), its rate of curvature ẇ, and k,
    k' of T⁻¹."""
    u0, u1, u2, w0, w1, w2, k, k1 = relative_screw(q, gap, e)
    sf = model.stiff_force
    sm = model.stiff_moment
    ref = model.reference_strain
    n0 = sf[e, 0] * (u0 - ref[e, 0])
    n1 = sf[e, 1] * (u1 - ref[e, 1])
    n2 = sf[e, 1] * (u2 - ref[e, 2])
    d0 = w0 - ref[e, 3]
    d1 = w1 - ref[e, 4]
    d2 = w2 - ref[e, 5]
    r0 = 0.0
    r1 = 0.0
    r2 = 0.0
    if model.viscosity[0] > 0.0 or model.viscosity[1] > 0.0:
        r0, r1, r2 = curvature_rate(k, w0, w1, w2, v, e)
        d0 += model.viscosity[1] * r0
        d1 += model.viscosity[0] * r1
        d2 += model.viscosity[0] * r2
    m0 = sm[e, 0] * d0
    m1 = sm[e, 1] * d1 + sm[e, 2] * d2
    m2 = sm[e, 2] * d1 + sm[e, 3] * d2
    return u0, u1, u2, w0, w1, w2, n0, n1, n2, m0, m1, m2, r0, r1, r2, k, k1


@piece
def node_forces(model, q, gap, v, vd, force, stress, totals):
    """force (nodes, 6) of all nodes, stress (elements, 6), and totals: energies, lost power, largest
    stresses."""
    count = model.stiff_force.shape[0]
    for i in range(count + 1):
        node_force(model, i, q, v, vd, force)
    bend = 0.0
    twist = 0.0
    stretch = 0.0
    lost = 0.0
    large_n = 0.0
    large_m = 0.0
    sm = model.stiff_moment
    ref = model.reference_strain
    for e in range(count):
        u0, u1, u2, w0, w1, w2, n0, n1, n2, m0, m1, m2, r0, r1, r2, k, k1 = element_stress(model, e, q, gap, v)
        stress[e, 0] = n0
        stress[e, 1] = n1
        stress[e, 2] = n2
        stress[e, 3] = m0
        stress[e, 4] = m1
        stress[e, 5] = m2
        # w × F, w × (w × F), w × M, w × (w × M)
        a0 = w1 * n2 - w2 * n1
        a1 = w2 * n0 - w0 * n2
        a2 = w0 * n1 - w1 * n0
        b0 = w1 * a2 - w2 * a1
        b1 = w2 * a0 - w0 * a2
        b2 = w0 * a1 - w1 * a0
        c0 = w1 * m2 - w2 * m1
        c1 = w2 * m0 - w0 * m2
        c2 = w0 * m1 - w1 * m0
        d0 = w1 * c2 - w2 * c1
        d1 = w2 * c0 - w0 * c2
        d2 = w0 * c1 - w1 * c0
        # u × F and u × (w × F) + w × (u × F)
        e0 = u1 * n2 - u2 * n1
        e1 = u2 * n0 - u0 * n2
        e2 = u0 * n1 - u1 * n0
        s0 = u1 * a2 - u2 * a1 + w1 * e2 - w2 * e1
        s1 = u2 * a0 - u0 * a2 + w2 * e0 - w0 * e2
        s2 = u0 * a1 - u1 * a0 + w0 * e1 - w1 * e0
        g = 2.0 * k1 * (w0 * u0 + w1 * u1 + w2 * u2)
        # even part of T⁻ᵀ σ, then plus and minus the odd part adᵀ σ / 2
        p0 = n0 + k * b0
        p1 = n1 + k * b1
        p2 = n2 + k * b2
        force[e + 1, 0] += p0 - 0.5 * a0
        force[e + 1, 1] += p1 - 0.5 * a1
        force[e + 1, 2] += p2 - 0.5 * a2
        force[e, 0] -= p0 + 0.5 * a0
        force[e, 1] -= p1 + 0.5 * a1
        force[e, 2] -= p2 + 0.5 * a2
        p0 = m0 + k * (d0 + s0) + g * b0
        p1 = m1 + k * (d1 + s1) + g * b1
        p2 = m2 + k * (d2 + s2) + g * b2
        force[e + 1, 3] += p0 - 0.5 * (e0 + c0)
        force[e + 1, 4] += p1 - 0.5 * (e1 + c1)
        force[e + 1, 5] += p2 - 0.5 * (e2 + c2)
        force[e, 3] -= p0 + 0.5 * (e0 + c0)
        force[e, 4] -= p1 + 0.5 * (e1 + c1)
        force[e, 5] -= p2 + 0.5 * (e2 + c2)
        y0 = w0 - ref[e, 3]
        y1 = w1 - ref[e, 4]
        y2 = w2 - ref[e, 5]
        twist += 0.5 * sm[e, 0] * y0 * y0
        bend += 0.5 * (sm[e, 1] * y1 * y1 + 2.0 * sm[e, 2] * y1 * y2 + sm[e, 3] * y2 * y2)
        stretch += 0.5 * (n0 * (u0 - ref[e, 0]) + n1 * (u1 - ref[e, 1]) + n2 * (u2 - ref[e, 2]))
        lost += model.viscosity[1] * sm[e, 0] * r0 * r0
        lost += model.viscosity[0] * (sm[e, 1] * r1 * r1 + 2.0 * sm[e, 2] * r1 * r2 + sm[e, 3] * r2 * r2)
        large_n = max(large_n, abs(n0), abs(n1), abs(n2))
        large_m = max(large_m, abs(m0), abs(m1), abs(m2))
    totals[BEND] = bend
    totals[TWIST] = twist
    totals[STRETCH] = stretch
    totals[DISSIPATED] = lost
    totals[SCALE_FORCE] = large_n
    totals[SCALE_MOMENT] = large_m


@piece
def kinetic_energy(model, v):
    """Kinetic energy of all nodes and the tip body, J (world velocities)."""
    count = model.node_mass.shape[0]
    energy = 0.0
    for i in range(count):
        p = model.node_polar[i]
        energy += model.node_mass[i] * (v[i, 0] ** 2 + v[i, 1] ** 2 + v[i, 2] ** 2)
        energy += p * (v[i, 3] ** 2 + 0.5 * (v[i, 4] ** 2 + v[i, 5] ** 2))
    i = count - 1
    s = model.tip_first
    for a in range(3):
        energy += model.tip_mass * v[i, a] ** 2
        for b in range(3):
            energy += v[i, 3 + a] * model.tip_inertia[a, b] * v[i, 3 + b]
    # 2 U · (W × S)
    energy += 2.0 * (
        v[i, 0] * (v[i, 4] * s[2] - v[i, 5] * s[1])
        + v[i, 1] * (v[i, 5] * s[0] - v[i, 3] * s[2])
        + v[i, 2] * (v[i, 3] * s[1] - v[i, 4] * s[0])
    )
    return 0.5 * energy
