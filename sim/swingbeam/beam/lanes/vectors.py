"""Vectors and rotations of numbers side by side, and the exponential of so(3): see `rotations` for one at a time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from .lane_numbers import Slots


class Vector:
    """Three numbers; plus, minus, times a number."""

    __slots__ = ("x", "y", "z")

    def __init__(self, x: Any, y: Any, z: Any) -> None:
        self.x, self.y, self.z = x, y, z

    def __iter__(self) -> Iterator[Any]:
        return iter((self.x, self.y, self.z))

    def __add__(self, other: Vector) -> Vector:
        return Vector(self.x + other.x, self.y + other.y, self.z + other.z)

    def __sub__(self, other: Vector) -> Vector:
        return Vector(self.x - other.x, self.y - other.y, self.z - other.z)

    def __rmul__(self, factor: Any) -> Vector:
        return Vector(factor * self.x, factor * self.y, factor * self.z)


def vector(slots: Any, first: int) -> Vector:
    """The vector in three slots."""
    return Vector(slots[first], slots[first + 1], slots[first + 2])


def put(slots: Slots, first: int, values: Any) -> None:
    """Store numbers one after another."""
    for k, value in enumerate(values):
        slots[first + k] = value


def dot(a: Vector, b: Vector) -> Any:
    """a · b"""
    return a.x * b.x + a.y * b.y + a.z * b.z


def cross(a: Vector, b: Vector) -> Vector:
    """a × b"""
    return Vector(a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x)


class Matrix:
    """Three rows."""

    __slots__ = ("rows",)

    def __init__(self, rows: Any) -> None:
        self.rows = rows

    def __iter__(self) -> Iterator[Any]:
        return (value for row in self.rows for value in row)

    def __matmul__(self, other: Vector) -> Vector:
        return Vector(*(dot(row, other) for row in self.rows))

    @property
    def turned(self) -> Matrix:
        """The transpose."""
        return Matrix([Vector(*column) for column in zip(*self.rows, strict=True)])


def matrix(slots: Any, first: int) -> Matrix:
    """The matrix in nine slots, row by row."""
    return Matrix([vector(slots, first + 3 * i) for i in range(3)])


LARGEST = 0.25
"""Largest |θ|² (rad²) for which the series over an interval are taken to rounding."""
LARGEST_YIELD = 1.0
"""The same for the root's yield, whose series is longer."""


def exponential_series(t: Any, terms: int) -> tuple[Any, ...]:
    """b = (1 − cos φ)/φ², c = (φ − sin φ)/φ³ and their first two derivatives with respect to t = φ².

    Without branches, by Stumpff's functions c_k(t) = Σ_j (−t)^j/(k + 2j)!, of which b = c₂ and c = c₃: two series,
    for c₆ and c₇, give the others by c_k = 1/k! − t c_{k+2} and the slopes by dc_k/dt = (k c_{k+2} − c_{k+1})/2
    (Stumpff 1959, Himmelsmechanik I, §41; from memory). `terms` of each: 6 reach rounding for t < 0.25, 8 for t < 1.
    """
    c6, c7 = _stumpff(6, t, terms), _stumpff(7, t, terms)
    c5 = 1 / 120 - t * c7
    c4 = 1 / 24 - t * c6
    c = 1 / 6 - t * c5
    b = 1 / 2 - t * c4
    db = c4 - 0.5 * c
    dc = 1.5 * c5 - 0.5 * c4
    slope4 = 2.0 * c6 - 0.5 * c5
    slope5 = 2.5 * c7 - 0.5 * c6
    return b, c, db, dc, slope4 - 0.5 * dc, 1.5 * slope5 - 0.5 * slope4


def _stumpff(k: int, t: Any, terms: int) -> Any:
    last = k + 2 * (terms - 1)
    coefficients = []
    factorial = 1.0
    for n in range(1, last + 1):
        factorial *= n
        if n >= k and (n - k) % 2 == 0:
            coefficients.append(1.0 / factorial)
    value: Any = coefficients[-1]
    for coefficient in coefficients[-2::-1]:
        value = coefficient - t * value
    return value


def exponential(theta: Vector, t: Any, b: Any, c: Any) -> Matrix:
    """exp(θ^) by Rodrigues' formula, from |θ|² and the series."""
    x, y, z = theta
    a = 1.0 - c * t
    bx, by, bz = b * x, b * y, b * z
    ax, ay, az = a * x, a * y, a * z
    xy, xz, yz = bx * y, bx * z, by * z
    return Matrix(
        [
            Vector(1.0 - by * y - bz * z, xy - az, xz + ay),
            Vector(xy + az, 1.0 - bx * x - bz * z, yz - ax),
            Vector(xz - ay, yz + ax, 1.0 - bx * x - by * y),
        ]
    )
