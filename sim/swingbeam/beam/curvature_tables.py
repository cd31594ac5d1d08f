"""Tables of the `curvature` solver: strain functions, their integrals over intervals, the rule for the mass.

The strains are κ(s) = κ_ref(s) + Φ(s) q. Each function is a polynomial *moment* divided by the stiffness,

    φ_k(s) = P_k(2s/L − 1) / (EI(s) c),   c = ∫ ds / EI   (GJ for twist),

P_k Legendre's polynomials: where the moment is smooth, as it is along a shaft driven at one end and loaded at
the other, few functions do, whatever the stiffness does. c makes the unknowns angles (rad).

The axis is cut into intervals. The solver needs of each function only its integral and its first moment over
every interval (the fourth-order Magnus expansion, see `curvature_chain_kernels`), and these are exact here for any
stiffness that is linear between stations, steps and kinks included: an interval may hold any number of
stations.

Sources: strain-based modes as in Boyer, Lebastard, Candelier & Renda 2021 (IEEE Trans. Robotics 37:847) and
Renda, Armanini, Lebastard, Candelier & Boyer 2020 (IEEE Robotics and Automation Letters 5:4006); Gauss rules
for any weight by Stieltjes' procedure and the Jacobi matrix, Golub & Welsch 1969 (Math. Comp. 23:221),
Gautschi 2004, Orthogonal Polynomials: Computation and Approximation.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.polynomial.legendre import leggauss
from numpy.typing import NDArray

from .model import Profile

Array = NDArray[np.float64]

POINTS_PER_PIECE = 14
"""Gauss points on a piece over which a stiffness at most doubles: 1/(linear) has its pole at 3 half-lengths
from the middle, so the error falls like 5.8^(−2·14), below rounding even beside a polynomial of degree 12."""
_X, _W = leggauss(POINTS_PER_PIECE)


class Fine(NamedTuple):
    """A fine quadrature along the axis that resolves every station and every interval's end."""

    s: Array
    """(m,) m"""
    weight: Array
    """(m,) m"""
    piece: NDArray[np.intp]
    """(m,) index of the station on the left"""
    fraction: Array
    """(m,) place between the stations, 0 … 1"""

    def of(self, values: Array) -> Array:
        """A station property, (n, ...), at the points, (m, ...)."""
        left, right = values[self.piece], values[self.piece + 1]
        fraction = self.fraction.reshape(-1, *(1,) * (values.ndim - 1))
        return left + (right - left) * fraction


def fine_rule(profile: Profile, ends: Array) -> Fine:
    """A composite Gauss rule; its pieces end at stations and `ends`, short where stiffness varies."""
    starts = np.array([a for a, _, _ in profile.pieces()])
    index = np.array([i for _, _, i in profile.pieces()])
    cuts = np.unique(np.concatenate([profile.breaks, ends]))
    cuts = cuts[(cuts >= 0.0) & (cuts <= profile.length)]
    owner = np.searchsorted(starts, 0.5 * (cuts[1:] + cuts[:-1]), side="right") - 1
    left = index[owner]
    stiffness = np.column_stack([profile.ei, profile.gj])
    ratio = np.max(np.maximum(stiffness[left] / stiffness[left + 1], stiffness[left + 1] / stiffness[left]), axis=1)
    parts = np.ceil(ratio - 1.0 + 1e-9).astype(int).clip(1, 64)
    if np.any(parts > 1):
        cuts = np.concatenate(
            [np.linspace(a, b, k, endpoint=False) for a, b, k in zip(cuts[:-1], cuts[1:], parts, strict=True)]
            + [cuts[-1:]]
        )
        owner = np.searchsorted(starts, 0.5 * (cuts[1:] + cuts[:-1]), side="right") - 1
        left = index[owner]
    half = 0.5 * np.diff(cuts)
    s = (0.5 * (cuts[1:] + cuts[:-1]))[:, None] + half[:, None] * _X
    piece = np.repeat(left, _X.size)
    flat = s.ravel()
    fraction = (flat - profile.s[piece]) / (profile.s[piece + 1] - profile.s[piece])
    return Fine(flat, (half[:, None] * _W).ravel(), piece, fraction)


def legendre(count: int, x: Array) -> Array:
    """P_0 … P_{count−1} at x (m,): (count, m), by Bonnet's recursion."""
    out = np.ones((count, x.size))
    if count > 1:
        out[1] = x
    for k in range(2, count):
        out[k] = ((2 * k - 1) * x * out[k - 1] - (k - 1) * out[k - 2]) / k
    return out


def strain_functions(profile: Profile, functions: tuple[int, int], fine: Fine) -> Array:
    """φ at the points of a fine rule, (n, m), 1/m: twist, then κ_y, then κ_z of the principal planes."""
    bends, twists = functions
    shapes = legendre(max(bends, twists), 2.0 * fine.s / profile.length - 1.0)
    out = []
    stiffness = (profile.gj, profile.ei[:, 1], profile.ei[:, 0])
    for values, count in zip(stiffness, (twists, bends, bends), strict=True):
        flexibility = 1.0 / fine.of(values)
        out.append(shapes[:count] * (flexibility / np.sum(fine.weight * flexibility)))
    return np.concatenate(out)


def stiffness_matrix(profile: Profile, functions: tuple[int, int], fine: Fine, phi: Array) -> Array:
    """∫ Φᵀ diag(GJ, EI_y, EI_z) Φ ds, (n, n), N·m/rad; blocks of twist and the two planes."""
    bends, twists = functions
    out = np.zeros((twists + 2 * bends,) * 2)
    edges = (0, twists, twists + bends, twists + 2 * bends)
    for axis, values in enumerate((profile.gj, profile.ei[:, 1], profile.ei[:, 0])):
        part = slice(edges[axis], edges[axis + 1])
        out[part, part] = (phi[part] * (fine.weight * fine.of(values))) @ phi[part].T
    return 0.5 * (out + out.T)


def interval_moments(fine: Fine, ends: Array, values: Array) -> tuple[Array, Array]:
    """∫ v ds and ∫ v (s − middle) ds / length over the intervals between `ends` (J+1,), of values (k, m).

    Returns two arrays (k, J).
    """
    first = np.searchsorted(fine.s, ends[:-1])
    owner = np.searchsorted(ends, fine.s, side="right") - 1
    middle = 0.5 * (ends[1:] + ends[:-1])
    length = np.diff(ends)
    arm = (fine.s - middle[owner]) / length[owner]
    weighted = values * fine.weight
    return np.add.reduceat(weighted, first, axis=1), np.add.reduceat(weighted * arm, first, axis=1)


def weighted_gauss(s: Array, measure: Array, count: int, length: float) -> tuple[Array, Array]:
    """Gauss rule with `count` nodes for a positive measure given by many points s with weights `measure`.

    Exact for measure × any polynomial of degree 2·count − 1. Stieltjes' procedure for the recurrence of the
    orthogonal polynomials, nodes and weights from the Jacobi matrix (Golub & Welsch 1969).
    """
    x = 2.0 * s / length - 1.0
    total = float(measure.sum())
    diagonal, beside = np.zeros(count), np.zeros(count)
    before, now = np.zeros_like(x), np.full_like(x, 1.0 / np.sqrt(total))
    for k in range(count):
        diagonal[k] = np.sum(measure * x * now * now)
        following = (x - diagonal[k]) * now - (beside[k - 1] if k else 0.0) * before
        beside[k] = np.sqrt(np.sum(measure * following * following))
        before, now = now, following / beside[k]
    nodes, vectors = np.linalg.eigh(np.diag(diagonal) + np.diag(beside[:-1], 1) + np.diag(beside[:-1], -1))
    return 0.5 * length * (nodes + 1.0), total * vectors[0] ** 2


def lagrange_weights(fine: Fine, density: Array, nodes: Array, length: float) -> Array:
    """Weights at `nodes` that integrate density × any polynomial of degree len(nodes) − 1 exactly, (N,)."""
    x = 2.0 * fine.s / length - 1.0
    at_nodes = legendre(nodes.size, 2.0 * nodes / length - 1.0)
    moments = legendre(nodes.size, x) @ (fine.weight * density)
    return np.asarray(np.linalg.solve(at_nodes, moments), dtype=np.float64)


class MassRule(NamedTuple):
    """Where the beam's mass sits for the solver: nodes along the axis, the tip last."""

    nodes: Array
    """(J,) m, increasing, the last one the tip"""
    mass: Array
    """(J,) kg"""
    rotary: Array
    """(J,) kg·m², polar"""


def mass_rule(profile: Profile, count: int) -> MassRule:
    """Nodes and masses that integrate mass(s) × polynomials of degree 2·count − 1 exactly.

    Nodes without mass split intervals much longer than the others (where the beam has no mass).
    """
    fine = fine_rule(profile, np.zeros(0))
    density = fine.of(profile.mass)
    bare = profile.total_mass <= 0.0
    nodes, mass = weighted_gauss(fine.s, fine.weight * (1.0 if bare else density), count, profile.length)
    if bare:
        mass = np.zeros(count)
    rotary = np.zeros(count)
    if np.any(profile.rotary > 0.0):
        rotary = lagrange_weights(fine, fine.of(profile.rotary), nodes, profile.length)
    ends = np.concatenate([[0.0], nodes, [profile.length]])
    parts = np.ceil(np.diff(ends) * count / (2.0 * profile.length)).astype(int).clip(1)
    added = [np.linspace(a, b, k + 1)[1:-1] for a, b, k in zip(ends[:-1], ends[1:], parts, strict=True)]
    extra = np.concatenate([*added, [profile.length]])
    places = np.concatenate([nodes, extra])
    order = np.argsort(places, kind="stable")
    none = np.zeros(extra.size)
    return MassRule(places[order], np.concatenate([mass, none])[order], np.concatenate([rotary, none])[order])


def piecewise_rule(profile: Profile, count: int) -> tuple[MassRule, Fine]:
    """Gauss points between every two stations, about `count` in all, and nodes without mass at the stations.

    The second result places the nodes between the stations, with their weights for a load per length.
    """
    places, weights, pieces, fractions = [], [], [], []
    for a, b, i in profile.pieces():
        x, w = leggauss(max(2, int(np.ceil(count * (b - a) / profile.length))))
        part = np.append(0.5 * (1.0 + x), 1.0)
        places.append(np.append(a + (b - a) * part[:-1], b))
        weights.append(np.append(0.5 * (b - a) * w, 0.0))
        pieces.append(np.full(part.size, i))
        fractions.append(part)
    where = Fine(*(np.concatenate(a) for a in (places, weights, pieces, fractions)))
    return MassRule(where.s, where.weight * where.of(profile.mass), where.weight * where.of(profile.rotary)), where


class Tables(NamedTuple):
    """What the solver needs of a profile, in the fields of `curvature_layout.CurvatureModel` of the same names."""

    twist: Array
    bend_y: Array
    bend_z: Array
    rest: Array
    length: Array
    mass: Array
    rotary: Array
    spine: Array
    stiffness: Array


def tables(profile: Profile, rule: MassRule, functions: tuple[int, int]) -> Tables:
    """Strain functions (bending a plane, twist) integrated over the intervals of a rule, with stiffness and mass."""
    bends, twists = functions
    ends = np.concatenate([[0.0], rule.nodes])
    fine = fine_rule(profile, ends)
    phi = strain_functions(profile, functions, fine)
    rest = np.zeros((2 * rule.nodes.size, 3))
    if np.any(profile.reference_curvature != 0.0):
        rest = np.hstack(interval_moments(fine, ends, fine.of(profile.reference_curvature).T)).T
    moments = np.hstack(interval_moments(fine, ends, phi)).T
    twist, bend_y, bend_z = np.split(moments, [twists, twists + bends], axis=1)
    return Tables(
        np.ascontiguousarray(twist),
        np.ascontiguousarray(bend_y),
        np.ascontiguousarray(bend_z),
        np.ascontiguousarray(rest),
        np.diff(ends),
        rule.mass,
        rule.rotary,
        np.array([np.cos(profile.spine_angle), np.sin(profile.spine_angle)]),
        stiffness_matrix(profile, functions, fine, phi),
    )
