# mypy: disable-error-code="no-untyped-def"
"""Sums and products of the small matrices the element tangent is made of. Compiled."""

from __future__ import annotations

from .compiled import piece


@piece
def add_skew(m, row, column, factor, a0, a1, a2):
    """m[row:row+3, column:column+3] += factor · a^."""
    m[row, column + 1] -= factor * a2
    m[row, column + 2] += factor * a1
    m[row + 1, column] += factor * a2
    m[row + 1, column + 2] -= factor * a0
    m[row + 2, column] -= factor * a1
    m[row + 2, column + 1] += factor * a0


@piece
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


@piece
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


@piece
def multiply(a, b, out, factor):
    """out += factor · a b, all (6, 6)."""
    for i in range(6):
        for k in range(6):
            t = factor * a[i, k]
            for j in range(6):
                out[i, j] += t * b[k, j]


@piece
def multiply_operator(a, b, out, factor):
    """out = factor · a b with b = [[A, B], [0, A]], all (6, 6)."""
    for i in range(6):
        t0 = factor * a[i, 0]
        t1 = factor * a[i, 1]
        t2 = factor * a[i, 2]
        t3 = factor * a[i, 3]
        t4 = factor * a[i, 4]
        t5 = factor * a[i, 5]
        for j in range(3):
            out[i, j] = t0 * b[0, j] + t1 * b[1, j] + t2 * b[2, j]
        for j in range(3, 6):
            s = t0 * b[0, j] + t1 * b[1, j] + t2 * b[2, j]
            out[i, j] = s + t3 * b[3, j] + t4 * b[4, j] + t5 * b[5, j]


@piece
def multiply_section(a, section, even, f0, f1, f2, m0, m1, m2, sign, out):
    """out = sign · (aᵀ section + even) + odd: the derivative of ± (T⁻ᵀ σ) for the operator a = [[A,
    B], [0, A]].

    section = diag(force stiffness, moment stiffness (3, 3)); odd = [[0, F^], [F^, M^]] of (F, M).
    """
    for i in range(3):
        for j in range(3):
            t = section[j, j]
            out[i, j] = sign * (a[j, i] * t + even[i, j])
            out[i + 3, j] = sign * (a[j, i + 3] * t + even[i + 3, j])
            s = a[0, i] * section[3, j + 3] + a[1, i] * section[4, j + 3] + a[2, i] * section[5, j + 3]
            out[i, j + 3] = sign * even[i, j + 3]
            out[i + 3, j + 3] = sign * (s + even[i + 3, j + 3])
    add_skew(out, 0, 3, 1.0, f0, f1, f2)
    add_skew(out, 3, 0, 1.0, f0, f1, f2)
    add_skew(out, 3, 3, 1.0, m0, m1, m2)


@piece
def add_block(band, row, column, block, columns):
    """Add six rows of a block to the band at (row, column)."""
    for a in range(6):
        for b in range(columns):
            band[row + a, column + b - row - a + 11] += block[a, b]


@piece
def add_viscous(out, outer, inner, factor, z0, z1, z2, z3):
    """out[3:, 3:] += factor · Aᵀ Z A' with the rotation parts A of two operators and the viscous
    stiffness Z."""
    for j in range(3):
        p0 = factor * z0 * inner[0, j]
        p1 = factor * (z1 * inner[1, j] + z2 * inner[2, j])
        p2 = factor * (z2 * inner[1, j] + z3 * inner[2, j])
        for i in range(3):
            out[3 + i, 3 + j] += outer[0, i] * p0 + outer[1, i] * p1 + outer[2, i] * p2
