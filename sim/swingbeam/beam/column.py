"""A beam pressed between two pivoted ends: when it first bows, and its bow when the ends come together."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_solve_banded, cholesky_banded
from scipy.optimize import brentq, root

from .bending import Compliance, compliance
from .errors import InputError, SimulationError
from .model import Profile

Array = NDArray[np.float64]

_ELEMENTS = 48
_X, _W = np.polynomial.legendre.leggauss(6)
_X, _W = 0.5 * (_X + 1.0), 0.5 * _W
_BAND = 3
"""Two unknowns a node reach no farther than the next node's second."""
_MOST_PASSES = 60
_STEPS = 256
"""Steps of the fourth-order march along a bowed beam: they leave some 1e-9 of its length."""
MOST_SHORTENING = 0.5
"""Share of the length by which the ends may come together: the bow is then deeper than half of it."""


class Bow(NamedTuple):
    """The bow of a column.

    Attributes
    ----------
    force : N along the line between the ends
    place : m along the beam from its first end, where the bow is farthest from that line
    size : m, that distance; nan at first buckling, where it is any small one
    """

    force: float
    place: float
    size: float


def first_buckling(profile: Profile, plane: float | None = None) -> Bow:
    """Critical force of a column with pivoted ends and where its first bow is largest.

    w'' + P w/EI = 0 with w = 0 at both ends (Timoshenko & Gere, Theory of Elastic Stability, §2.14, varying cross
    section), in the form ∫ w' v' = P ∫ w v/EI: the deflection is smooth where EI steps, so that cubic elements
    between the stations converge with the sixth power of their length. With two stiffnesses the softer one bows,
    unless a plane (rad about x, from y toward z) is asked for.
    """
    beam = compliance(profile, _softer(profile) if plane is None else plane)
    nodes = np.unique(np.concatenate([beam.start, np.linspace(0.0, beam.length, _ELEMENTS + 1)]))
    nodes = nodes[np.concatenate([[True], np.diff(nodes) > 1e-9 * beam.length])]
    stretch, softness = _matrices(beam, nodes)
    held = np.array([0, 2 * (nodes.size - 1)])
    free = np.setdiff1d(np.arange(2 * nodes.size), held)
    force, bow = _lowest(stretch[np.ix_(free, free)], softness[np.ix_(free, free)])
    shape = np.zeros(2 * nodes.size)
    shape[free] = bow
    return Bow(force, _farthest(beam, nodes, shape, force), math.nan)


def _lowest(stretch: Array, softness: Array) -> tuple[float, Array]:
    """Lowest P and vector of K w = P C w by inverse iteration; the second force is about four times the first, so
    that a pass takes what is left of the other shapes to a quarter."""
    n = stretch.shape[0]
    band = np.zeros((_BAND + 1, n))
    for k in range(_BAND + 1):
        band[k, : n - k] = np.diagonal(stretch, -k)
    factor = cholesky_banded(band, lower=True)
    vector = np.ones(n)
    force = math.inf
    for _ in range(_MOST_PASSES):
        moved = cho_solve_banded((factor, True), softness @ vector)
        before, force = force, float(np.linalg.norm(vector) / np.linalg.norm(moved))
        step = moved / np.linalg.norm(moved)
        change = float(np.abs(step - vector).max())
        vector = step
        if change < 1e-13 or (abs(force - before) < 1e-15 * force and change < 1e-11):
            break
    return force, vector


def _softer(profile: Profile) -> float:
    """The principal plane of the smaller stiffness, rad about x."""
    first, second = profile.ei.mean(axis=0)
    return profile.spine_angle + (0.0 if first <= second else 0.5 * math.pi)


def _hermite(t: Array, h: Array) -> tuple[Array, Array]:
    """Cubic shape functions of an element of length h and their slopes, each (4, …): value, slope at both ends."""
    n = np.stack([1 - 3 * t**2 + 2 * t**3, h * (t - 2 * t**2 + t**3), 3 * t**2 - 2 * t**3, h * (t**3 - t**2)])
    d = np.stack([(6 * t**2 - 6 * t) / h, 1 - 4 * t + 3 * t**2, (6 * t - 6 * t**2) / h, 3 * t**2 - 2 * t])
    return n, d


def _matrices(beam: Compliance, nodes: Array) -> tuple[Array, Array]:
    """∫ w' v' and ∫ w v/EI over cubic elements, unknowns deflection and slope of every node."""
    h = np.diff(nodes)
    u = nodes[:-1, None] + h[:, None] * _X
    piece = np.clip(np.searchsorted(beam.start, 0.5 * (nodes[:-1] + nodes[1:]), side="right") - 1, 0, None)
    soft = beam.at(piece, u)
    n, d = _hermite(np.broadcast_to(_X, u.shape), np.broadcast_to(h[:, None], u.shape))
    weight = _W * h[:, None]
    size = 2 * nodes.size
    stretch, softness = np.zeros((size, size)), np.zeros((size, size))
    local_stretch = np.einsum("iep,jep,ep->eij", d, d, weight)
    local_soft = np.einsum("iep,jep,ep->eij", n, n, weight * soft)
    for e in range(h.size):
        part = slice(2 * e, 2 * e + 4)
        stretch[part, part] += local_stretch[e]
        softness[part, part] += local_soft[e]
    return stretch, softness


def _farthest(beam: Compliance, nodes: Array, shape: Array, force: float) -> float:
    """Where a shape of one sign is farthest from zero: where the cubic through the slopes at an element's ends, and
    through the curvatures −P w/EI that the equation gives them, is zero."""
    deflection, slope = shape[0::2], shape[1::2]
    e = int(np.argmax(slope[:-1] * slope[1:] <= 0.0))
    ends = nodes[e : e + 2]
    piece = np.clip(np.searchsorted(beam.start, [ends.mean()], side="right") - 1, 0, None)
    curvature = -force * deflection[e : e + 2] * beam.at(piece, ends[None, :])[0]
    return float(ends[0] + _zero(float(ends[1] - ends[0]), slope[e : e + 2], curvature))


def _zero(h: float, values: Array, slopes: Array) -> float:
    """Where the cubic with these values (2,) and slopes (2,) at the ends of a length h is zero, from its start."""
    part = np.array([values[0], slopes[0], values[1], slopes[1]])
    return h * float(brentq(lambda t: float(_hermite(np.array(t), np.array(h))[0] @ part), 0.0, 1.0, xtol=1e-13))


def bowed(profile: Profile, shortening: float, plane: float | None = None) -> Bow:
    """The bow of a column whose pivoted ends have come together by `shortening` (m); exact for large bows.

    The elastica θ' = −P y/EI, x' = cos θ, y' = sin θ with y = 0 at both ends (Love, Mathematical Theory of
    Elasticity, §262), without stretch; force and the tilt of the first end are found so that the far end lies on
    the line and at its distance.

    Raises
    ------
    InputError
        A shortening that is not positive or is more than `MOST_SHORTENING` of the length.
    SimulationError
        No bow was found.
    """
    length = profile.length
    if not 0.0 < shortening <= MOST_SHORTENING * length:
        raise InputError(f"bowed: shortening is {shortening:g} m; a positive one up to half of {length:g} m is needed")
    own = _softer(profile) if plane is None else plane
    critical = first_buckling(profile, own).force
    soft, h = _march_table(compliance(profile, own))

    def miss(unknown: Array) -> list[float]:
        xs, ys, _ = _elastica(unknown[1] * critical, unknown[0], soft, h)
        return [ys[-1] / length, (length - xs[-1] - shortening) / shortening]

    # A sine of tilt α at its ends is shorter by α²/4 of its length and carries 1 + α²/8 of the critical force.
    tilt = 2.0 * math.sqrt(shortening / length)
    found = root(miss, [tilt, 1.0 + tilt**2 / 8.0], tol=1e-12)
    if not (found.success or np.abs(found.fun).max() < 1e-9):
        raise SimulationError(f"bowed: no bow was found for a shortening of {shortening:g} m")
    force = float(found.x[1]) * critical
    _, ys, angles = _elastica(force, float(found.x[0]), soft, h)
    places = np.concatenate([[0.0], np.cumsum(h)])
    return Bow(force, *_crest(places, np.array(ys), np.array(angles), force, soft))


def _march_table(beam: Compliance) -> tuple[Array, Array]:
    """1/EI at the start, middle and end of every step (n, 3), and the steps' lengths; none spans a station."""
    ends = np.append(beam.start, beam.length)
    inner = np.linspace(0.0, beam.length, _STEPS + 1)
    nodes = np.unique(np.concatenate([ends, inner]))
    h = np.diff(nodes)
    keep = h > 1e-9 * beam.length
    start, h = nodes[:-1][keep], h[keep]
    piece = np.clip(np.searchsorted(beam.start, start + 0.5 * h, side="right") - 1, 0, None)
    return beam.at(piece, start[:, None] + h[:, None] * np.array([0.0, 0.5, 1.0])), h


def _elastica(force: float, tilt: float, soft: Array, steps: Array) -> tuple[list[float], list[float], list[float]]:
    """x, y, θ at the ends of all steps: classical fourth-order Runge–Kutta."""
    x, y, angle = 0.0, 0.0, float(tilt)
    xs, ys, angles = [x], [y], [angle]
    for (c0, c1, c2), h in zip(soft.tolist(), steps.tolist(), strict=True):
        half = 0.5 * h
        x1, y1, a1 = math.cos(angle), math.sin(angle), -force * c0 * y
        t = angle + half * a1
        x2, y2, a2 = math.cos(t), math.sin(t), -force * c1 * (y + half * y1)
        t = angle + half * a2
        x3, y3, a3 = math.cos(t), math.sin(t), -force * c1 * (y + half * y2)
        t = angle + h * a3
        x4, y4, a4 = math.cos(t), math.sin(t), -force * c2 * (y + h * y3)
        x += h * (x1 + 2.0 * (x2 + x3) + x4) / 6.0
        y += h * (y1 + 2.0 * (y2 + y3) + y4) / 6.0
        angle += h * (a1 + 2.0 * (a2 + a3) + a4) / 6.0
        xs.append(x)
        ys.append(y)
        angles.append(angle)
    return xs, ys, angles


def _crest(places: Array, y: Array, angle: Array, force: float, soft: Array) -> tuple[float, float]:
    """Place and size of the bow: where the tangent is parallel to the line between the ends."""
    e = int(np.argmax(angle[1:] <= 0.0))
    h = float(places[e + 1] - places[e])
    along = _zero(h, angle[e : e + 2], -force * soft[e, [0, 2]] * y[e : e + 2])
    heights = np.array([y[e], math.sin(angle[e]), y[e + 1], math.sin(angle[e + 1])])
    return float(places[e] + along), float(_hermite(np.array(along / h), np.array(h))[0] @ heights)
