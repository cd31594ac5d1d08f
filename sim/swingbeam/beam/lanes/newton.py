"""The step's Newton iteration: simplified matrix, changes of both stages, who goes on. Lanes of
`curvature_newton_kernels`.

Every lane decides for itself; a lane that has done keeps its stages while the others go on.
"""

from __future__ import annotations

from typing import Any

from ..curvature_gauss_state import A11, A12, A21, A22, AA11, AA12, AA21, AA22, C1, C2, EIGENVALUE, MIX
from .lane_numbers import Shared, Slots, choose, larger
from .layout import (
    ACCELERATION,
    ACTIVE,
    CHANGE,
    FIRST,
    FORCES,
    FREE,
    HANDS_DAMPING,
    HANDS_STIFFNESS,
    IN_AXES,
    IN_AXES_RATE,
    LAST,
    MASS,
    MASS_BEFORE,
    NODE,
    PAIRS,
    PASSES,
    RATE,
    RATIO,
    REACH,
    RUNS,
    SECOND,
    SIMPLIFIED,
    STEPS_BEHIND,
    TWISTS,
    VISCOSITY,
    N,
    X,
    pair,
)
from .mass import stiffness_pairs
from .pieces import lane_piece
from .vectors import matrix

# -- what a march tells the pieces, plain numbers
H = 0  # s, of the step
TOLERANCE = 1  # rad
ONWARD = 2  # how far the mass matrix is carried on from the last two nodes, steps
NEXT = 3  # weights of the stages behind for either stage ahead
END = NEXT + 4 * STEPS_BEHIND  # and for the node at the step's end
PLAN = END + 2 * STEPS_BEHIND

SMALLEST_RATIO = 0.005
"""A pass is never trusted to shrink the change by more than this before it has been seen to."""
FIRST_RATIO = 0.1
_FADING = 0.6
_DOUBT = 1.1
"""What a lane has seen of its convergence counts for less with every look, and for worse with every step."""
ROUNDING = 1.0e-9
"""rad: as in `curvature_gauss_kernels`."""
_LARGEST_CHANGE = 1e6


class Complex:
    """A complex number of which both parts are numbers side by side."""

    __slots__ = ("im", "re")

    def __init__(self, re: Any, im: Any) -> None:
        self.re, self.im = re, im

    def __sub__(self, other: Complex) -> Complex:
        return Complex(self.re - other.re, self.im - other.im)

    def __mul__(self, other: Complex) -> Complex:
        return Complex(self.re * other.re - self.im * other.im, self.re * other.im + self.im * other.re)

    @property
    def inverse(self) -> Complex:
        """One over it."""
        over = 1.0 / (self.re * self.re + self.im * self.im)
        return Complex(self.re * over, -(self.im * over))


@lane_piece
def simplified_matrix(shared: Shared, group: Slots) -> None:
    """SIMPLIFIED: factors of M + h λ C + h² λ² K, M carried on to the step's middle; see `simplified_matrix`.

    SIMPLIFIED comes with the hands' stiffness and damping of the yield, see `hands_matrices`.
    """
    h = shared[H]
    hh = h * h
    onward = shared[ONWARD]
    first_re, first_im = EIGENVALUE.real * h, EIGENVALUE.imag * h
    square = EIGENVALUE * EIGENVALUE
    second_re, second_im = square.real * hh, square.imag * hh
    viscosities = (group[VISCOSITY + 1], group[VISCOSITY])
    factors = [Complex(second_re + first_re * v, second_im + first_im * v) for v in viscosities]
    stiffness = {(i, j): at for i, j, at in stiffness_pairs()}

    def entry(i: int, j: int) -> Complex:
        mass = group[MASS + pair(i, j)]
        value = mass + onward * (mass - group[MASS_BEFORE + pair(i, j)])
        if j < FREE:
            k, d = group[SIMPLIFIED + pair(i, j)], group[SIMPLIFIED + PAIRS + pair(i, j)]
            return Complex(value + second_re * k + first_re * d, second_im * k + first_im * d)
        if (i, j) in stiffness:
            k = group[stiffness[i, j]]
            by = factors[0] if i < FREE + TWISTS else factors[1]
            return Complex(value + by.re * k, by.im * k)
        return Complex(value, 0.0)

    done: dict[tuple[int, int], Complex] = {}
    for i in range(N):
        for j in range(i, N):
            value = entry(i, j)
            for k in range(i):
                value = value - done[i, k] * done[k, j]
            if j == i:
                inverse = value.inverse
                done[i, i] = inverse
            else:
                done[j, i] = value  # not divided by the pivot
                done[i, j] = value * inverse
            group[SIMPLIFIED + pair(i, j)] = done[i, j].re
            group[SIMPLIFIED + PAIRS + pair(i, j)] = done[i, j].im


@lane_piece
def hands_matrices(shared: Shared, group: Slots) -> None:
    """The hands' stiffness and damping of the yield, in the motion's axes, into the root's part of SIMPLIFIED.

    B K Bᵀ + B D Ḃᵀ, taken symmetric, where the real parts of the factors will be, B D Bᵀ at the imaginary ones.
    """
    rows = [list(row) for row in matrix(shared, IN_AXES).rows]
    rates = [list(row) for row in matrix(shared, IN_AXES_RATE).rows]
    for i in range(FREE):
        for j in range(i, FREE):
            stiffness: Any = 0.0
            damping: Any = 0.0
            for a in range(3):
                k, d = group[HANDS_STIFFNESS + a], group[HANDS_DAMPING + a]
                both = rows[i][a] * rows[j][a]
                slope = 0.5 * (rows[i][a] * rates[j][a] + rows[j][a] * rates[i][a])
                stiffness = both * k + slope * d + stiffness
                damping = both * d + damping
            group[SIMPLIFIED + pair(i, j)] = stiffness
            group[SIMPLIFIED + PAIRS + pair(i, j)] = damping


@lane_piece
def simplified_change(group: Slots) -> None:
    """CHANGE of both stages' accelerations from FORCES by one complex solution; see `simplified_change`."""
    at = SIMPLIFIED
    factor = {
        (i, j): Complex(group[at + pair(i, j)], group[at + PAIRS + pair(i, j)]) for i in range(N) for j in range(i, N)
    }
    x = [Complex(0.5 * group[FORCES + i], (0.5 / MIX) * group[FORCES + N + i]) for i in range(N)]
    for k in range(N):
        for i in range(k + 1, N):
            x[i] = x[i] - factor[k, i] * x[k]
    for k in range(N - 1, -1, -1):
        x[k] = x[k] * factor[k, k]
        for i in range(k + 1, N):
            x[k] = x[k] - factor[k, i] * x[i]
    for i in range(N):
        group[CHANGE + i] = 2.0 * x[i].re
        group[CHANGE + N + i] = (2.0 * MIX) * x[i].im


@lane_piece
def stage_unknowns(shared: Shared, group: Slots) -> None:
    """Unknowns and rates of both stages from their accelerations."""
    h = shared[H]
    hh = h * h
    for i in range(N):
        k1, k2 = group[FIRST + ACCELERATION + i], group[SECOND + ACCELERATION + i]
        x, v = group[NODE + X + i], group[NODE + RATE + i]
        for stage, c, a1, a2, aa1, aa2 in ((FIRST, C1, A11, A12, AA11, AA12), (SECOND, C2, A21, A22, AA21, AA22)):
            group[stage + X + i] = x + h * (c * v) + hh * (aa1 * k1 + aa2 * k2)
            group[stage + RATE + i] = v + h * (a1 * k1 + a2 * k2)


@lane_piece
def begin_iteration(group: Slots) -> None:
    """Every lane whose run goes on iterates."""
    group[ACTIVE] = group[RUNS]
    group[PASSES] = 0.0
    group[LAST] = 0.0


@lane_piece
def take_change(shared: Shared, group: Slots) -> bool:  # type: ignore[return]
    """Take CHANGE from the stages of the lanes that iterate; whether any lane still does.

    A lane has done when the change still to come, its last one times by how much a pass shrinks it, is below the
    tolerance. What a pass does is seen from the second on; for the first, what was seen in the steps before counts.
    """
    h = shared[H]
    changes = [group[CHANGE + i] for i in range(2 * N)]
    largest: Any = abs(changes[0])
    total: Any = abs(changes[0])
    for value in changes[1:]:
        largest = larger(abs(value), largest)
        total = total + abs(value)
    size = (h * h) * largest
    active = group[ACTIVE] > 0.5
    # One that is not a number makes the total none.
    sound = ((h * h) * total < _LARGEST_CHANGE) & (group[REACH] < 1.0)
    taken = active & sound
    for i in range(N):
        for stage, part in ((FIRST, i), (SECOND, N + i)):
            at = stage + ACCELERATION + i
            group[at] = choose(taken, group[at] - changes[part], group[at])
    once = group[PASSES] > 0.5
    before = group[LAST]
    seen = larger(size / choose(once, before, 1.0), SMALLEST_RATIO)
    ratio = choose(once, larger(seen, _FADING * group[RATIO]), _DOUBT * group[RATIO])
    group[RATIO] = choose(taken, ratio, group[RATIO])
    group[LAST] = choose(taken, size, group[LAST])
    group[PASSES] = choose(taken, group[PASSES] + 1.0, group[PASSES])
    group[RUNS] = choose(active & ~sound, 0.0, group[RUNS])
    # One that stalls, and is small, has met rounding.
    stalled = (group[PASSES] > 2.5) & (size > 0.7 * before) & (size < ROUNDING)
    going = taken & ~(size * ratio <= shared[TOLERANCE]) & ~stalled
    group[ACTIVE] = choose(going, 1.0, 0.0)
    return going


@lane_piece
def end_iteration(group: Slots) -> bool:
    """Lanes that have not done by now have failed; whether any run goes on."""
    group[RUNS] = choose(group[ACTIVE] > 0.5, 0.0, group[RUNS])
    return group[RUNS] > 0.5
