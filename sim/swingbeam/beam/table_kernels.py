"""Tables of the `curvature` solver for many profiles, compiled: `curvature_tables` on rows of numbers.

A profile is a block of stations, rows of (s, EI_0, EI_1, GJ, mass, rotary), linear between them; see `curvature_tables`
for what is computed and why, and for the sources. Sums run in another order here: results agree to round-off.
"""

from __future__ import annotations

import math

from .compiled import kernel, piece

S, EI_0, EI_1, GJ, MASS, ROTARY = range(6)
STATION_WIDTH = 6
DIGITS = 21.0 * math.log(10.0)
"""Sixteen, and some for what a polynomial may grow to at the pole."""
MOST_FUNCTIONS = 32
_AHEAD = tuple((2.0 * k - 1.0) / max(k, 1) for k in range(MOST_FUNCTIONS))
_BACK = tuple((k - 1.0) / max(k, 1) for k in range(MOST_FUNCTIONS))
"""Coefficients of Bonnet's recursion."""


@piece
def parts_of(stations, i):
    """Into how many parts the piece right of station i is cut so that no stiffness more than doubles on one."""
    ratio = 1.0
    for k in range(EI_0, MASS):
        a = stations[i, k]
        b = stations[i + 1, k]
        ratio = max(ratio, a / b, b / a)
    return min(max(math.ceil(ratio - 1.0 + 1e-9), 1), 64)


@piece
def _order(stations, i, low, high, least, most):
    """Gauss points on a part (`low` to `high`) of the piece right of station i, at least `least`, at most `most`.

    1/(linear) has its pole at z half-lengths from the part's middle, where Gauss' rule of n points errs by ρ^(−2n),
    ρ = z + √(z² − 1) (Davis & Rabinowitz 1984, Methods of Numerical Integration, §4.6): as many as reach rounding
    beside a polynomial, which `least` of them integrate exactly.
    """
    a = stations[i, S]
    b = stations[i + 1, S]
    half = 0.5 * (high - low)
    nearest = 1e300
    for k in range(EI_0, MASS):
        change = stations[i + 1, k] - stations[i, k]
        if change != 0.0:
            pole = a - stations[i, k] * (b - a) / change
            nearest = min(nearest, abs(pole - 0.5 * (low + high)) / half)
    if not nearest < 1e9:
        return least
    rho = nearest + math.sqrt(nearest * nearest - 1.0)
    return min(max(math.ceil(DIGITS / (2.0 * math.log(rho))), least), most)


@piece
def _legendre(count, x, out):
    """P_0 … P_{count−1} at x, by Bonnet's recursion."""
    out[0] = 1.0
    if count > 1:
        out[1] = x
    for k in range(2, count):
        out[k] = _AHEAD[k] * x * out[k - 1] - _BACK[k] * out[k - 2]


@piece
def _fine_rule(stations, count, gauss, order, fine):
    """A composite Gauss rule of an order over the stations: rows (x on −1 … 1, weight, mass, rotary per length).

    Nothing here is divided by a stiffness: a rule exact for its polynomials is exact. Returns how many points.
    """
    points = 0
    length = stations[count - 1, S]
    for i in range(count - 1):
        a = stations[i, S]
        b = stations[i + 1, S]
        if b > a:
            half = 0.5 * (b - a)
            for g in range(order):
                s = 0.5 * (b + a) + half * gauss[order, 0, g]
                f = (s - a) / (b - a)
                fine[points, 0] = 2.0 * s / length - 1.0
                fine[points, 1] = half * gauss[order, 1, g]
                fine[points, 2] = stations[i, MASS] + (stations[i + 1, MASS] - stations[i, MASS]) * f
                fine[points, 3] = stations[i, ROTARY] + (stations[i + 1, ROTARY] - stations[i, ROTARY]) * f
                points += 1
    return points


@piece
def _jacobi_nodes(count, diagonal, beside, first):
    """Eigenvalues of a symmetric tridiagonal matrix into `diagonal`, rising, and the first component of every
    eigenvector into `first`: the QL algorithm with implicit shifts (Golub & Welsch 1969). `beside` is spent."""
    for i in range(count):
        first[i] = 1.0 if i == 0 else 0.0
    beside[count - 1] = 0.0
    for low in range(count):
        for _ in range(60):
            m = low
            while m < count - 1 and abs(beside[m]) > 2.3e-16 * (abs(diagonal[m]) + abs(diagonal[m + 1])):
                m += 1
            if m == low:
                break
            g = (diagonal[low + 1] - diagonal[low]) / (2.0 * beside[low])
            r = math.hypot(g, 1.0)
            g = diagonal[m] - diagonal[low] + beside[low] / (g + (r if g >= 0.0 else -r))
            s = 1.0
            c = 1.0
            p = 0.0
            for i in range(m - 1, low - 1, -1):
                f = s * beside[i]
                b = c * beside[i]
                r = math.hypot(f, g)
                beside[i + 1] = r
                if r == 0.0:
                    diagonal[i + 1] -= p
                    beside[m] = 0.0
                    break
                s = f / r
                c = g / r
                g = diagonal[i + 1] - p
                r = (diagonal[i] - g) * s + 2.0 * c * b
                p = s * r
                diagonal[i + 1] = g + p
                g = c * r - b
                f = first[i + 1]
                first[i + 1] = s * first[i] + c * f
                first[i] = c * first[i] - s * f
            else:
                diagonal[low] -= p
                beside[low] = g
                beside[m] = 0.0
    for i in range(1, count):
        value = diagonal[i]
        component = first[i]
        j = i - 1
        while j >= 0 and diagonal[j] > value:
            diagonal[j + 1] = diagonal[j]
            first[j + 1] = first[j]
            j -= 1
        diagonal[j + 1] = value
        first[j + 1] = component


@piece
def _solve_dense(n, matrix, right):
    """right = matrix⁻¹ right, by elimination with the largest pivot of each column; the matrix is spent."""
    for k in range(n):
        pivot = k
        for i in range(k + 1, n):
            if abs(matrix[i, k]) > abs(matrix[pivot, k]):
                pivot = i
        if pivot != k:
            for j in range(n):
                kept = matrix[k, j]
                matrix[k, j] = matrix[pivot, j]
                matrix[pivot, j] = kept
            kept = right[k]
            right[k] = right[pivot]
            right[pivot] = kept
        for i in range(k + 1, n):
            share = matrix[i, k] / matrix[k, k]
            for j in range(k + 1, n):
                matrix[i, j] -= share * matrix[k, j]
            right[i] -= share * right[k]
    for k in range(n - 1, -1, -1):
        for j in range(k + 1, n):
            right[k] -= matrix[k, j] * right[j]
        right[k] /= matrix[k, k]


@piece
def _mass_rule(stations, rows, count, gauss, fine, around, square, rule):
    """`curvature_tables.mass_rule` into rule (nodes, 3): place, mass, rotary. Returns how many nodes.

    Room: fine (points, 6), around (5, …), square (…, …).
    """
    length = stations[rows - 1, S]
    # Polynomials of degree 2 · count − 1 times a mass that is linear between stations.
    points = _fine_rule(stations, rows, gauss, count + 1, fine)
    total_mass = 0.0
    for i in range(rows - 1):
        total_mass += 0.5 * (stations[i, MASS] + stations[i + 1, MASS]) * (stations[i + 1, S] - stations[i, S])
    bare = total_mass <= 0.0
    total = 0.0
    for p in range(points):
        fine[p, 2] = fine[p, 1] * (1.0 if bare else fine[p, 2])
        total += fine[p, 2]
    diagonal = around[0]
    beside = around[1]
    first = around[2]
    # Stieltjes' procedure; columns 4 and 5 hold the polynomial before and the present one.
    start = 1.0 / math.sqrt(total)
    for p in range(points):
        fine[p, 4] = 0.0
        fine[p, 5] = start
    for k in range(count):
        mean = 0.0
        for p in range(points):
            mean += fine[p, 2] * fine[p, 0] * fine[p, 5] * fine[p, 5]
        back = beside[k - 1] if k > 0 else 0.0
        size = 0.0
        for p in range(points):
            following = (fine[p, 0] - mean) * fine[p, 5] - back * fine[p, 4]
            size += fine[p, 2] * following * following
            fine[p, 4] = fine[p, 5]
            fine[p, 5] = following
        diagonal[k] = mean
        beside[k] = math.sqrt(size)
        one_over = 1.0 / beside[k]
        for p in range(points):
            fine[p, 5] *= one_over
    _jacobi_nodes(count, diagonal, beside, first)
    polar = around[3]
    for k in range(count):
        polar[k] = 0.0
    turning = False
    for i in range(rows):
        turning = turning or stations[i, ROTARY] > 0.0
    if turning:
        for p in range(points):
            _legendre(count, fine[p, 0], around[4])
            for k in range(count):
                polar[k] += around[4, k] * fine[p, 1] * fine[p, 3]
        for j in range(count):
            _legendre(count, diagonal[j], around[4])
            for k in range(count):
                square[k, j] = around[4, k]
        _solve_dense(count, square, polar)
    nodes = 0
    before = 0.0
    for k in range(count + 1):
        place = 0.5 * length * (diagonal[k] + 1.0) if k < count else length
        split = max(math.ceil((place - before) * count / (2.0 * length)), 1)
        for part in range(1, split):
            rule[nodes, 0] = before + (place - before) / split * part
            rule[nodes, 1] = 0.0
            rule[nodes, 2] = 0.0
            nodes += 1
        rule[nodes, 0] = place
        rule[nodes, 1] = 0.0
        rule[nodes, 2] = 0.0
        if k < count:
            rule[nodes, 1] = 0.0 if bare else total * first[k] * first[k]
            rule[nodes, 2] = polar[k]
        nodes += 1
        before = place
    return nodes


@piece
def _integrals(stations, rows, rule, nodes, bends, twists, gauss, shapes, sums, moments, stiffness):
    """Moments (2 · nodes, n) of the strain functions over the intervals and their stiffness (n, n).

    Functions: twist, then κ_y, then κ_z. Room: shapes (…,), sums (3,).
    """
    n = twists + 2 * bends
    length = stations[rows - 1, S]
    for j in range(2 * nodes):
        for k in range(n):
            moments[j, k] = 0.0
    for k in range(n):
        for m in range(n):
            stiffness[k, m] = 0.0
    for axis in range(3):
        sums[axis] = 0.0
    most = max(bends, twists)
    # Equal planes are integrated once.
    axes = 2
    for i in range(rows):
        if stations[i, EI_0] != stations[i, EI_1]:
            axes = 3
    station = 0
    interval = 0
    low = 0.0
    while low < length:
        while station < rows - 2 and stations[station + 1, S] <= low:
            station += 1
        while interval < nodes - 1 and rule[interval, 0] <= low:
            interval += 1
        a = stations[station, S]
        b = stations[station + 1, S]
        start = rule[interval - 1, 0] if interval > 0 else 0.0
        end = rule[interval, 0]
        high = min(b, end)
        if high <= low:
            break
        parts = parts_of(stations, station)
        for part in range(parts):
            left = low + (high - low) / parts * part
            right = low + (high - low) / parts * (part + 1) if part < parts - 1 else high
            half = 0.5 * (right - left)
            order = _order(stations, station, left, right, most + 1, gauss.shape[2])
            for g in range(order):
                s = 0.5 * (right + left) + half * gauss[order, 0, g]
                weight = half * gauss[order, 1, g]
                f = (s - a) / (b - a)
                arm = (s - 0.5 * (start + end)) / (end - start)
                _legendre(most, 2.0 * s / length - 1.0, shapes)
                at = 0
                for axis in range(axes):
                    column = GJ if axis == 0 else EI_1 if axis == 1 else EI_0
                    many = twists if axis == 0 else bends
                    value = stations[station, column] + (stations[station + 1, column] - stations[station, column]) * f
                    share = weight / value
                    sums[axis] += share
                    for k in range(many):
                        mine = share * shapes[k]
                        moments[interval, at + k] += mine
                        moments[nodes + interval, at + k] += mine * arm
                        for m in range(k + 1):
                            stiffness[at + k, at + m] += mine * shapes[m]
                    at += many
        low = high
    at = 0
    for axis in range(axes):
        many = twists if axis == 0 else bends
        one_over = 1.0 / sums[axis]
        for k in range(at, at + many):
            for j in range(2 * nodes):
                moments[j, k] *= one_over
            for m in range(at, k + 1):
                stiffness[k, m] *= one_over * one_over
                stiffness[m, k] = stiffness[k, m]
        at += many
    if axes == 2:
        for k in range(twists, twists + bends):
            for j in range(2 * nodes):
                moments[j, k + bends] = moments[j, k]
            for m in range(twists, twists + bends):
                stiffness[k + bends, m + bends] = stiffness[k, m]


@kernel
def fill_tables(stations, first, bends, twists, count, gauss, fine, around, square, rule, nodes, moments, stiffness):
    """Mass rules and integrals of many profiles; profile p has the stations first[p] … first[p + 1].

    rule (profiles, J, 3), moments (profiles, 2 J, n), stiffness (profiles, n, n) with room for the longest, nodes
    (profiles,) are written.
    """
    for p in range(first.shape[0] - 1):
        mine = stations[first[p] : first[p + 1]]
        rows = first[p + 1] - first[p]
        made = _mass_rule(mine, rows, count, gauss, fine, around, square, rule[p])
        nodes[p] = made
        _integrals(mine, rows, rule[p], made, bends, twists, gauss, around[4], around[0], moments[p], stiffness[p])
