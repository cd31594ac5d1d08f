"""Small bending of a beam by its compliance: cantilever and three-point bend in closed integrals.

Deflections of a statically determinate beam are moments of 1/EI (unit-load method: Gere & Timoshenko, Mechanics of
Materials, §9.2 and §9.9). EI is linear between stations, so that Gauss' rule on each piece leaves round-off only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .model import Profile

Array = NDArray[np.float64]

_X, _W = np.polynomial.legendre.leggauss(12)
_X, _W = 0.5 * (_X + 1.0), 0.5 * _W


@dataclass(frozen=True, eq=False)
class Compliance:
    """Bending compliance of a beam in one plane.

    Attributes
    ----------
    start, width : (k,) m: the pieces on which EI is linear
    left, slope : (k, 2): EI of the principal planes at a piece's start, N·m², and its change per length
    share : (2,) of the principal planes' compliances in that of the plane; None: the mean of both planes' EI
    sums : (k + 1, 3): ∫ u^j/EI du (j = 0, 1, 2) from the root to the start of each piece and to the tip
    """

    start: Array
    width: Array
    left: Array
    slope: Array
    share: Array | None
    sums: Array

    @property
    def length(self) -> float:
        """Length of the beam, m."""
        return float(self.start[-1] + self.width[-1])

    def at(self, piece: NDArray[np.intp], u: Array) -> Array:
        """1/EI, (m,) or (m, p) 1/(N·m²), at places u on the pieces `piece` (m,)."""
        shape = (-1,) + (1,) * (u.ndim - 1)
        along = u - self.start[piece].reshape(shape)
        first = self.left[piece, 0].reshape(shape) + along * self.slope[piece, 0].reshape(shape)
        second = self.left[piece, 1].reshape(shape) + along * self.slope[piece, 1].reshape(shape)
        if self.share is None:
            return np.asarray(2.0 / (first + second))
        return np.asarray(self.share[0] / first + self.share[1] / second)

    def moments(self, x: ArrayLike) -> Array:
        """∫ u^j/EI du, j = 0, 1, 2, from the root to each of x (m,): (m, 3)."""
        places = np.atleast_1d(np.asarray(x, dtype=float))
        piece = np.clip(np.searchsorted(self.start, places, side="right") - 1, 0, self.start.size - 1)
        return np.asarray(self.sums[piece] + self._part(piece, places))

    def _part(self, piece: NDArray[np.intp], end: Array) -> Array:
        """The same integrals from the start of a piece to a place on it."""
        width = end - self.start[piece]
        u = self.start[piece][:, None] + width[:, None] * _X
        values = self.at(piece, u) * (_W * width[:, None])
        return np.stack([values.sum(axis=1), (values * u).sum(axis=1), (values * u * u).sum(axis=1)], axis=1)


def compliance(profile: Profile, plane: float | None = None) -> Compliance:
    """Bending compliance along a beam.

    Parameters
    ----------
    plane : rad about x, from y toward z, of the load and of the deflection that is read; a beam with two
        stiffnesses bends out of it as well. None: the mean of the two principal EI.
    """
    keep = np.diff(profile.s) > 0.0
    start = profile.s[:-1][keep]
    width = np.diff(profile.s)[keep]
    left = profile.ei[:-1][keep]
    slope = (profile.ei[1:][keep] - left) / width[:, None]
    share = None
    if plane is not None:
        turned = plane - profile.spine_angle
        share = np.array([np.cos(turned) ** 2, np.sin(turned) ** 2])
    empty = Compliance(start, width, left, slope, share, np.zeros((start.size + 1, 3)))
    pieces = np.arange(start.size)
    sums = np.vstack([np.zeros(3), np.cumsum(empty._part(pieces, start + width), axis=0)])
    return Compliance(start, width, left, slope, share, sums)


def cantilever(beam: Compliance, x: ArrayLike) -> tuple[Array, Array]:
    """Slope (m,) rad/N and deflection (m,) m/N at x (m from the clamp) of a beam clamped at its root under a unit
    force across its tip: w'' = (L − u)/EI."""
    places = np.atleast_1d(np.asarray(x, dtype=float))
    zero, one, two = beam.moments(places).T
    length = beam.length
    return length * zero - one, places * length * zero - (places + length) * one + two


def three_point(beam: Compliance, first: ArrayLike, last: ArrayLike) -> Array:
    """Deflection (m,) m/N of the middle between supports at `first` and `last` (m,) under a unit force there.

    ∫ M²/EI with M half of the distance to the nearer support (Gere & Timoshenko, §9.9).
    """
    a, b = np.atleast_1d(np.asarray(first, dtype=float)), np.atleast_1d(np.asarray(last, dtype=float))
    at_a, at_b, at_middle = beam.moments(a), beam.moments(b), beam.moments(0.5 * (a + b))

    def second(moments: Array, place: Array) -> Array:
        return np.asarray(moments[:, 2] - 2.0 * place * moments[:, 1] + place**2 * moments[:, 0])

    return np.asarray(0.25 * (second(at_middle - at_a, a) + second(at_b - at_middle, b)))
