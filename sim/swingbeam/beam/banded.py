# mypy: disable-error-code="no-untyped-def"
"""LU of a banded matrix of half-bandwidth 11: two neighbouring nodes of six unknowns each.

Row i of a matrix A is stored as band[i, j − i + 11] = A[i, j]. No pivoting: the matrices are those of an
implicit time step or of a stable equilibrium, whose diagonal blocks dominate; pivots that have lost their
digits are counted instead, and their directions left out. Golub & Van Loan 2013, Matrix Computations,
4th ed., § 4.3.
"""

from __future__ import annotations

from .compiled import piece

HALF = 11
PAD = 12
"""Zeros in front of and behind a right-hand side, so that the loops of `solve` need no limits."""
LOST_PIVOT = 1e-13


@piece
def factorise(band, n, lower, upper, pivot):
    """Factor the n × n matrix in `band` (n, 23), which is overwritten.

    lower (n, 12): multipliers below the diagonal, by columns; upper (n, 12): U above the diagonal, by
    columns, row j − 12 + m at [j, m]; pivot (n,): reciprocals of U's diagonal, zero where the pivot is lost:
    `solve` then gives that unknown the value zero, as suits a bifurcation whose mode is not loaded.
    Returns how many pivots are lost.
    """
    for k in range(n):
        # After k steps band[k, 11] is the pivot; lower[k, 11] still holds the diagonal as it was assembled.
        lower[k, 11] = band[k, 11]
    lost = 0
    for k in range(n):
        p = band[k, 11]
        if abs(p) > LOST_PIVOT * abs(lower[k, 11]):
            p = 1.0 / p
        else:
            p = 0.0
            lost += 1
        pivot[k] = p
        last = min(n - 1, k + 11)
        for i in range(k + 1, last + 1):
            o = k - i + 11
            m = band[i, o]
            if m != 0.0:
                m *= p
                band[i, o] = m
                for j in range(1, 12):
                    band[i, o + j] -= m * band[k, 11 + j]
    for k in range(n):
        for m in range(12):
            i = k + 1 + m
            lower[k, m] = band[i, k - i + 11] if (m < 11 and i < n) else 0.0
            i = k - 12 + m
            upper[k, m] = band[i, k - i + 11] if (m > 0 and i >= 0) else 0.0
    return lost


@piece
def solve(n, lower, upper, pivot, b):
    """Solve in place: b (n + 24,) holds the right-hand side at [12, 12 + n) and zeros outside."""
    for k in range(n):
        t = b[12 + k]
        for m in range(12):
            b[13 + k + m] -= lower[k, m] * t
    for j in range(n - 1, -1, -1):
        t = b[12 + j] * pivot[j]
        b[12 + j] = t
        for m in range(12):
            b[j + m] -= upper[j, m] * t
