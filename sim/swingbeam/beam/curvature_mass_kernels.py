"""Mass matrix of the `curvature` solver from velocities for unit rates, and small dense linear algebra.

The mass matrix is Σ J_aᵀ (inertia) J_b over the nodes, J the velocities of a node for unit rates of the
unknowns: the kinetic energy is ½ ẋᵀ M ẋ (composite view of the recursive scheme; Featherstone 2008, ch. 6).
It equals the derivative of the residual with respect to the accelerations, at the cost of two residuals
instead of one for each unknown.
"""

from __future__ import annotations

from .compiled import piece
from .curvature_layout import IN_FREE, ROOT_THETA
from .rotations import series


@piece
def interval_rates(row, h, out):
    """What unit rates of the integrated strains do across an interval.

    row: the interval's row of `chain`. out (6, 6): for unit rates of ∫κ (rows 0–2) and of the first moment
    (3–5), the relative angular velocity in the far node's axes (columns 0–2) and the rate of the offset in
    the near node's (3–5).
    """
    x = row[15]
    y = row[16]
    z = row[17]
    i0 = row[18]
    i1 = row[19]
    i2 = row[20]
    m0 = row[21]
    m1 = row[22]
    m2 = row[23]
    b = row[24]
    c = row[25]
    db = row[26]
    dc = row[27]
    p0 = row[28]
    p1 = row[29]
    p2 = row[30]
    s0 = row[31]
    s1 = row[32]
    s2 = row[33]
    e1 = -h * m2
    e2 = h * m1
    for k in range(6):
        # t: rate of θ = i + i×m; n: rate of η
        n1 = 0.0
        n2 = 0.0
        if k == 0:
            t0 = 1.0
            t1 = -m2
            t2 = m1
        elif k == 1:
            t0 = m2
            t1 = 1.0
            t2 = -m0
        elif k == 2:
            t0 = -m1
            t1 = m0
            t2 = 1.0
        elif k == 3:
            t0 = 0.0
            t1 = i2
            t2 = -i1
        elif k == 4:
            t0 = -i2
            t1 = 0.0
            t2 = i0
            n2 = h
        else:
            t0 = i1
            t1 = -i0
            t2 = 0.0
            n1 = -h
        # J_r t = t − b θ×t + c θ×(θ×t)
        g0 = y * t2 - z * t1
        g1 = z * t0 - x * t2
        g2 = x * t1 - y * t0
        out[k, 0] = t0 - b * g0 + c * (y * g2 - z * g1)
        out[k, 1] = t1 - b * g1 + c * (z * g0 - x * g2)
        out[k, 2] = t2 - b * g2 + c * (x * g1 - y * g0)
        # d = η + b p + c s: rates of p = θ×η, s = θ×p
        r0 = (t1 * e2 - t2 * e1) + (y * n2 - z * n1)
        r1 = (t2 * h - t0 * e2) - x * n2
        r2 = (t0 * e1 - t1 * h) + x * n1
        turn = 2.0 * (x * t0 + y * t1 + z * t2)
        br = db * turn
        cr = dc * turn
        out[k, 3] = b * r0 + br * p0 + cr * s0 + c * ((t1 * p2 - t2 * p1) + (y * r2 - z * r1))
        out[k, 4] = n1 + b * r1 + br * p1 + cr * s1 + c * ((t2 * p0 - t0 * p2) + (z * r0 - x * r2))
        out[k, 5] = n2 + b * r2 + br * p2 + cr * s2 + c * ((t0 * p1 - t1 * p0) + (x * r1 - y * r0))


@piece
def _own_rates(model, j, rates, free, own):
    """own (n, 6): relative angular velocity and offset rate across interval j for unit rates."""
    twists = model.twist.shape[1]
    bends = model.bend_y.shape[1]
    k = model.length.shape[0] + j
    cosine = model.spine[0]
    sine = model.spine[1]
    for a in range(twists):
        whole = model.twist[j, a]
        first = model.twist[k, a]
        row = own[free + a]
        for i in range(6):
            row[i] = whole * rates[0, i] + first * rates[3, i]
    for a in range(bends):
        row_y = own[free + twists + a]
        row_z = own[free + twists + bends + a]
        whole_y = model.bend_y[j, a]
        first_y = model.bend_y[k, a]
        whole_z = model.bend_z[j, a]
        first_z = model.bend_z[k, a]
        for i in range(6):
            y = cosine * rates[1, i] + sine * rates[2, i]
            z = cosine * rates[2, i] - sine * rates[1, i]
            y_first = cosine * rates[4, i] + sine * rates[5, i]
            z_first = cosine * rates[5, i] - sine * rates[4, i]
            row_y[i] = whole_y * y + first_y * y_first
            row_z[i] = whole_z * z + first_z * z_first


@piece
def mass_matrix(model, inputs, free, root, chain, rates, own, jacobian, mass):
    """mass (n, n) at the configuration that `chain` was left at by the forward pass.

    Room: rates (6, 6), own (n, 6), jacobian (n, 6): angular velocity and velocity of a node in its own axes.
    """
    n = mass.shape[0]
    intervals = chain.shape[0]
    for a in range(n):
        for i in range(6):
            jacobian[a, i] = 0.0
        for b in range(n):
            mass[a, b] = 0.0
    if free > 0:
        _root_rates(model, inputs, free, root, jacobian, mass)
    for j in range(intervals):
        row = chain[j]
        interval_rates(row, model.length[j], rates)
        _own_rates(model, j, rates, free, own)
        d0 = row[9]
        d1 = row[10]
        d2 = row[11]
        for a in range(n):
            velocity = jacobian[a]
            w0 = velocity[0]
            w1 = velocity[1]
            w2 = velocity[2]
            v0 = velocity[3] + (w1 * d2 - w2 * d1)
            v1 = velocity[4] + (w2 * d0 - w0 * d2)
            v2 = velocity[5] + (w0 * d1 - w1 * d0)
            u0 = 0.0
            u1 = 0.0
            u2 = 0.0
            if a >= free:
                u0 = own[a, 0]
                u1 = own[a, 1]
                u2 = own[a, 2]
                v0 += own[a, 3]
                v1 += own[a, 4]
                v2 += own[a, 5]
            velocity[0] = row[0] * w0 + row[3] * w1 + row[6] * w2 + u0
            velocity[1] = row[1] * w0 + row[4] * w1 + row[7] * w2 + u1
            velocity[2] = row[2] * w0 + row[5] * w1 + row[8] * w2 + u2
            velocity[3] = row[0] * v0 + row[3] * v1 + row[6] * v2
            velocity[4] = row[1] * v0 + row[4] * v1 + row[7] * v2
            velocity[5] = row[2] * v0 + row[5] * v1 + row[8] * v2
        weight = model.mass[j]
        if weight != 0.0:
            for a in range(n):
                v0 = weight * jacobian[a, 3]
                v1 = weight * jacobian[a, 4]
                v2 = weight * jacobian[a, 5]
                for b in range(a + 1):
                    mass[a, b] += v0 * jacobian[b, 3] + v1 * jacobian[b, 4] + v2 * jacobian[b, 5]
        weight = model.rotary[j]
        if weight != 0.0:
            half = 0.5 * weight
            for a in range(n):
                w0 = weight * jacobian[a, 0]
                w1 = half * jacobian[a, 1]
                w2 = half * jacobian[a, 2]
                for b in range(a + 1):
                    mass[a, b] += w0 * jacobian[b, 0] + w1 * jacobian[b, 1] + w2 * jacobian[b, 2]
    tip = model.tip
    weight = tip[0]
    for a in range(n):
        velocity = jacobian[a]
        w0 = velocity[0]
        w1 = velocity[1]
        w2 = velocity[2]
        velocity[3] += w1 * tip[3] - w2 * tip[2]
        velocity[4] += w2 * tip[1] - w0 * tip[3]
        velocity[5] += w0 * tip[2] - w1 * tip[1]
        v0 = weight * velocity[3]
        v1 = weight * velocity[4]
        v2 = weight * velocity[5]
        h0 = tip[4] * w0 + tip[5] * w1 + tip[6] * w2
        h1 = tip[7] * w0 + tip[8] * w1 + tip[9] * w2
        h2 = tip[10] * w0 + tip[11] * w1 + tip[12] * w2
        for b in range(a + 1):
            other = jacobian[b]
            mass[a, b] += v0 * other[3] + v1 * other[4] + v2 * other[5] + h0 * other[0] + h1 * other[1] + h2 * other[2]
    for a in range(n):
        for b in range(a):
            mass[b, a] = mass[a, b]


@piece
def _root_rates(model, inputs, free, root, jacobian, mass):
    """Angular velocity J_r N of the root for unit rates of its free unknowns, and the root's own inertia."""
    x = root[ROOT_THETA]
    y = root[ROOT_THETA + 1]
    z = root[ROOT_THETA + 2]
    _, b, c = series(x * x + y * y + z * z)
    inertia = model.root_inertia
    for a in range(free):
        t0 = inputs[IN_FREE + a]
        t1 = inputs[IN_FREE + free + a]
        t2 = inputs[IN_FREE + 2 * free + a]
        g0 = y * t2 - z * t1
        g1 = z * t0 - x * t2
        g2 = x * t1 - y * t0
        w0 = t0 - b * g0 + c * (y * g2 - z * g1)
        w1 = t1 - b * g1 + c * (z * g0 - x * g2)
        w2 = t2 - b * g2 + c * (x * g1 - y * g0)
        jacobian[a, 0] = w0
        jacobian[a, 1] = w1
        jacobian[a, 2] = w2
        h0 = inertia[0, 0] * w0 + inertia[0, 1] * w1 + inertia[0, 2] * w2
        h1 = inertia[1, 0] * w0 + inertia[1, 1] * w1 + inertia[1, 2] * w2
        h2 = inertia[2, 0] * w0 + inertia[2, 1] * w1 + inertia[2, 2] * w2
        for e in range(a + 1):
            mass[a, e] += h0 * jacobian[e, 0] + h1 * jacobian[e, 1] + h2 * jacobian[e, 2]


@piece
def factor_symmetric(matrix):
    """L D Lᵀ in place, by columns of the lower triangle, without pivoting; real or complex symmetric.

    Stable where real and imaginary part are positive definite (Higham 1998, Math. Comp. 67:1591), as those of
    a Newton matrix of rod and root are. The upper triangle receives Lᵀ, the diagonal 1/D. Returns False at a
    pivot that is zero or not finite.
    """
    n = matrix.shape[0]
    for k in range(n):
        pivot = matrix[k, k]
        size = abs(pivot)
        if not (size > 0.0 and size < 1e300):
            return False
        inverse = 1.0 / pivot
        matrix[k, k] = inverse
        row = matrix[k]
        for i in range(k + 1, n):
            factor = row[i] * inverse
            below = matrix[i]
            for j in range(i, n):
                below[j] -= factor * row[j]
        for i in range(k + 1, n):
            row[i] *= inverse
    return True


@piece
def solve_symmetric(factors, vector):
    """vector becomes the solution of the factored system; everything runs along the rows of Lᵀ."""
    n = vector.shape[0]
    for k in range(n):
        row = factors[k]
        value = vector[k]
        for i in range(k + 1, n):
            vector[i] -= row[i] * value
    for k in range(n - 1, -1, -1):
        row = factors[k]
        value = vector[k] * row[k]
        for i in range(k + 1, n):
            value -= row[i] * vector[i]
        vector[k] = value


@piece
def invert(matrix, inverse):
    """Gauss–Jordan with row pivoting; `matrix` is destroyed. False: singular or not finite."""
    n = matrix.shape[0]
    for i in range(n):
        for j in range(n):
            inverse[i, j] = 1.0 if i == j else 0.0
    for k in range(n):
        best = k
        largest = abs(matrix[k, k])
        for i in range(k + 1, n):
            if abs(matrix[i, k]) > largest:
                largest = abs(matrix[i, k])
                best = i
        if not (largest > 0.0 and largest < 1e300):
            return False
        if best != k:
            for j in range(n):
                matrix[k, j], matrix[best, j] = matrix[best, j], matrix[k, j]
                inverse[k, j], inverse[best, j] = inverse[best, j], inverse[k, j]
        scale = 1.0 / matrix[k, k]
        for j in range(n):
            matrix[k, j] *= scale
            inverse[k, j] *= scale
        for i in range(n):
            if i != k:
                factor = matrix[i, k]
                if factor != 0.0:
                    for j in range(n):
                        matrix[i, j] -= factor * matrix[k, j]
                        inverse[i, j] -= factor * inverse[k, j]
    return True


@piece
def multiply(matrix, vector, out):
    """out = matrix · vector."""
    n = vector.shape[0]
    for i in range(n):
        value = 0.0
        for j in range(n):
            value += matrix[i, j] * vector[j]
        out[i] = value
