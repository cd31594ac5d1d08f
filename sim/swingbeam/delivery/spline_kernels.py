"""Splines of the compiled figures: the quintic one through a run's rows, cubic ones through samples.

Both are those of the readable path (`beam.motion.spline_through`, scipy's `CubicSpline`): the same knots and end
conditions ("not-a-knot"), so that what is read agrees to round-off. Systems are solved without pivoting: matrices of
spline collocation are totally positive (de Boor 1978, A Practical Guide to Splines, ch. XIII), the cubic one is
dominated by its diagonal.
"""

from __future__ import annotations

import math

from swingbeam.beam.compiled import piece

from .batch_layout import ORDER, POSE_WIDTH

BAND = 4
"""Diagonals beside the main one that the collocation of a quintic spline with these ends can fill."""


@piece
def _knot(t, first, rows, j):
    """Knot j of the quintic spline through the instants t[first : first + rows]."""
    if j < 6:
        return t[first]
    if j >= rows:
        return t[first + rows - 1]
    return t[first + j - 3]


@piece
def first_spline(row, rows):
    """The first of the six B-splines that do not vanish from a row on."""
    return min(max(row - 2, 0), rows - ORDER)


@piece
def _powers(t, first, rows, row, power):
    """The six B-splines from a row on as powers of the time since it: Cox and de Boor's recursion on polynomials."""
    for j in range(ORDER):
        for m in range(ORDER):
            power[j, m] = 0.0
    span = first_spline(row, rows) + 5
    x = t[first + row]
    power[5, 0] = 1.0
    for p in range(1, 6):
        for j in range(5 - p, 6):
            left = span - 5 + j
            rise = 0.0
            fall = 0.0
            start = _knot(t, first, rows, left)
            width = _knot(t, first, rows, left + p) - start
            if width > 0.0:
                rise = 1.0 / width
            end = _knot(t, first, rows, left + p + 1)
            width = end - _knot(t, first, rows, left + 1)
            if width > 0.0 and j < 5:
                fall = 1.0 / width
            follow = j + 1 if j < 5 else j
            for m in range(p, -1, -1):
                value = rise * (x - start) * power[j, m] + fall * (end - x) * power[follow, m]
                if m > 0:
                    value += rise * power[j, m - 1] - fall * power[follow, m - 1]
                power[j, m] = value


@piece
def open_grid(t, first, rows, basis, lower, upper):
    """B-splines and factored collocation matrix of the quintic spline through t[first : first + rows]."""
    for row in range(rows - 1):
        _powers(t, first, rows, row, basis[row])
    for row in range(rows):
        for d in range(BAND + 1):
            lower[row, d] = 0.0
            upper[row, d] = 0.0
        if row == rows - 1:
            upper[row, 0] = 1.0
            continue
        column = first_spline(row, rows)
        for j in range(ORDER):
            beside = column + j - row
            value = basis[row, j, 0]
            if value != 0.0:
                if beside < 0:
                    lower[row, -beside] = value
                else:
                    upper[row, beside] = value
    for row in range(rows):
        for d in range(min(row, BAND), 0, -1):
            other = row - d
            share = lower[row, d] * upper[other, 0]
            lower[row, d] = share
            for e in range(1, BAND + 1):
                value = share * upper[other, e]
                if e < d:
                    lower[row, d - e] -= value
                else:
                    upper[row, e - d] -= value
        # Kept as its inverse: the solutions multiply.
        upper[row, 0] = 1.0 / upper[row, 0]


@piece
def solve_grid(rows, lower, upper, value):
    """Values at the rows turned into the spline's coefficients, in place."""
    for i in range(BAND):
        for d in range(1, i + 1):
            value[i] -= lower[i, d] * value[i - d]
    for i in range(BAND, rows):
        far = lower[i, 4] * value[i - 4] + lower[i, 3] * value[i - 3] + lower[i, 2] * value[i - 2]
        value[i] -= far + lower[i, 1] * value[i - 1]
    for i in range(rows - 1, rows - BAND - 1, -1):
        for d in range(1, rows - i):
            value[i] -= upper[i, d] * value[i + d]
        value[i] *= upper[i, 0]
    for i in range(rows - BAND - 1, -1, -1):
        far = upper[i, 4] * value[i + 4] + upper[i, 3] * value[i + 3] + upper[i, 2] * value[i + 2]
        value[i] = (value[i] - far - upper[i, 1] * value[i + 1]) * upper[i, 0]


@piece
def spline_powers(rows, basis, value, row, power):
    """Coefficients `power` (ORDER,) of powers of the time since a row."""
    column = first_spline(row, rows)
    for m in range(ORDER):
        total = 0.0
        for j in range(ORDER):
            total += value[column + j] * basis[row, j, m]
        power[m] = total


@piece
def horner(power, u):
    """A quintic of six coefficients."""
    return power[0] + u * (power[1] + u * (power[2] + u * (power[3] + u * (power[4] + u * power[5]))))


@piece
def pose_at(breaks, pieces, t, hint, pose):
    """Position and quaternion of a motion at t into `pose`; returns the piece, where the next look may begin."""
    last = breaks.shape[0] - 2
    i = min(max(hint, 0), last)
    while i > 0 and t < breaks[i]:
        i -= 1
    while i < last and t >= breaks[i + 1]:
        i += 1
    u = t - breaks[i]
    p = pieces[i]
    for k in range(POSE_WIDTH):
        pose[k] = p[0, k] + u * (p[1, k] + u * (p[2, k] + u * (p[3, k] + u * (p[4, k] + u * p[5, k]))))
    return i


@piece
def cubic_slopes(count, h, value, gain, slope):
    """Slopes (count,) of the cubic spline through evenly spaced values; `gain` is that of
    `batch_layout.elimination`."""
    third = 3.0 / h
    slope[0] = (5.0 * (value[1] - value[0]) + (value[2] - value[1])) / (2.0 * h)
    last = count - 1
    for i in range(1, last):
        slope[i] = (third * (value[i + 1] - value[i - 1]) - slope[i - 1]) * gain[i]
    end = (5.0 * (value[last] - value[last - 1]) + (value[last - 1] - value[last - 2])) / (2.0 * h)
    slope[last] = (end - 2.0 * slope[last - 1]) / (1.0 - 2.0 * gain[last - 1])
    for i in range(last - 1, 0, -1):
        slope[i] -= gain[i] * slope[i + 1]
    slope[0] -= 2.0 * slope[1]


@piece
def turns_nowhere(h, y0, y1, s0, s1):
    """Whether a cubic piece surely does not turn: its slope, a quadratic, lies within its three Bernstein ordinates."""
    middle = 3.0 * (y1 - y0) - h * (s0 + s1)
    return (s0 > 0.0 and s1 > 0.0 and middle > 0.0) or (s0 < 0.0 and s1 < 0.0 and middle < 0.0)


@piece
def cubic_powers(h, y0, y1, s0, s1):
    """c_0 … c_3 of a piece's powers of the time since its start, from values and slopes at its ends."""
    rise = (y1 - y0) / h
    t = (s0 + s1 - 2.0 * rise) / h
    return y0, s0, (rise - s0) / h - t, t / h


@piece
def turning_points(c1, c2, c3, h):
    """How many turning points a cubic has inside (0, h), and where, rising."""
    end = c1 + h * (2.0 * c2 + 3.0 * h * c3)
    if c1 == 0.0 and c2 == 0.0 and c3 == 0.0:
        return 0, 0.0, 0.0
    # Same sign at both ends and no dip between them: no root of the slope.
    square = c2 * c2 - 3.0 * c1 * c3
    if square < 0.0:
        return 0, 0.0, 0.0
    if c1 * end > 0.0 and (c2 * c1 >= 0.0 or (c2 + 3.0 * h * c3) * c1 <= 0.0):
        return 0, 0.0, 0.0
    root = math.sqrt(square)
    q = -(c2 + root) if c2 >= 0.0 else -(c2 - root)
    a = math.nan
    b = math.nan
    if q != 0.0:
        a = c1 / q
    if c3 != 0.0:
        b = q / (3.0 * c3)
    inside_a = 0.0 < a < h
    inside_b = 0.0 < b < h and b != a
    if inside_a and inside_b:
        return 2, min(a, b), max(a, b)
    if inside_a:
        return 1, a, 0.0
    if inside_b:
        return 1, b, 0.0
    return 0, 0.0, 0.0


@piece
def cubic(c0, c1, c2, c3, u):
    """A cubic of four coefficients."""
    return c0 + u * (c1 + u * (c2 + u * c3))


@piece
def cubic_root(c0, c1, c2, c3, low, high):
    """The root of a cubic between two places where its sign differs and between which it does not turn."""
    at_low = cubic(c0, c1, c2, c3, low)
    at_high = cubic(c0, c1, c2, c3, high)
    if at_low == 0.0:
        return low
    if at_high == 0.0:
        return high
    u = low + (high - low) * at_low / (at_low - at_high)
    for _ in range(100):
        value = cubic(c0, c1, c2, c3, u)
        if value == 0.0:
            return u
        if value * at_low > 0.0:
            low = u
        else:
            high = u
        slope = c1 + u * (2.0 * c2 + 3.0 * u * c3)
        before = u
        u = 0.5 * (low + high)
        if slope != 0.0:
            newton = before - value / slope
            if low < newton < high:
                u = newton
        if abs(u - before) <= 1e-16 + 4e-16 * abs(u):
            return u
    return u
