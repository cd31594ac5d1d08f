"""From a profile and a tip body to the arrays the element kernels work on."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import expm

from .model import Profile, TipBody
from .rotations import skew, vector_from_rotation

Array = NDArray[np.float64]

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(12)
_MAGNUS_STEPS = 16
"""Fourth-order Magnus steps per piece when a reference curvature is integrated: error below (κ h/16)⁴/720."""


class ElementModel(NamedTuple):
    """A beam cut into N elements of equal length between N + 1 nodes; the kernels' view of it."""

    station: Array
    """(N+1,) m: where the nodes are along the axis"""
    stiff_force: Array
    """(N, 2) N/m: section stiffness over element length: stretch, shear"""
    stiff_moment: Array
    """(N, 4) N·m/rad: twist; bending yy, yz, zz"""
    reference_strain: Array
    """(N, 6): log of the unloaded relative pose of an element's nodes"""
    node_mass: Array
    """(N+1,) kg, lumped"""
    node_polar: Array
    """(N+1,) kg·m², lumped polar rotary inertia; the transverse one is half of it"""
    tip_mass: float
    tip_first: Array
    """(3,) kg·m: mass times offset"""
    tip_inertia: Array
    """(3, 3) kg·m² about the last node"""
    root_inertia: Array
    """(3, 3) kg·m² of what turns with the root, root body axes"""
    gravity: Array
    """(3,) m/s², world"""
    viscosity: Array
    """(2,) s: bending, twist"""
    rho: float
    """Spectral radius of the time integration at infinite frequency"""


class ElementState(NamedTuple):
    """Node states at the end of the last step that converged, and the work space of the next."""

    q: Array
    """(N+1, 4) unit quaternions, scalar first, body → world"""
    x: Array
    """(N+1, 3) m, world"""
    gap: Array
    """(N, 3) m, world: x_{e+1} − x_e, kept by itself to fewer digits lost"""
    v: Array
    """(N+1, 6) body velocity: m/s, rad/s"""
    vd: Array
    """(N+1, 6) its rate"""
    a: Array
    """(N+1, 6) the integrator's own acceleration"""
    vd_before: Array
    """(N+1, 6) vd one step earlier"""
    root: Array
    """(5, 3): y, ẏ, ÿ, the integrator's acceleration of y, ÿ one step earlier"""
    q_new: Array
    x_new: Array
    gap_new: Array
    shift: Array
    """(N+1, 3) m, world: displacement of the nodes in the step"""
    v_new: Array
    vd_new: Array
    move: Array
    """(N+1, 6) increment of the step, a screw; row 0 holds the increment of y"""
    force: Array
    """(N+1, 6)"""
    stress: Array
    """(N, 6) of the last step that converged, or as expected by Newton's method"""
    stress_new: Array
    hold: Array
    """(16, 3) kinematics of the root; rows named in `elements_root_kernels`"""
    turns: Array
    """(3, 9) increments of the root's rotation, rate and acceleration for an increment of y"""
    totals: Array
    """(8,)"""
    band: Array
    lower: Array
    upper: Array
    pivot: Array
    right: Array
    blocks: Array
    """(16, 6, 6)"""
    dead: Array
    """(N+1, 6) zeros: no loads of fixed direction in motion"""
    clock: Array
    """(8,): last step, age of the tangent, last contraction, steps since the start or a change of step"""


def _quadrature(profile: Profile, nodes: Array) -> tuple[Array, Array, Array, Array]:
    """Points that respect nodes and stations: s, weight, element, and the left station's index, all (m,)."""
    cuts = np.unique(np.concatenate([nodes, profile.s]))
    middle = 0.5 * (cuts[1:] + cuts[:-1])
    half = 0.5 * np.diff(cuts)
    element = np.clip(np.searchsorted(nodes, middle) - 1, 0, nodes.size - 2)
    left = np.searchsorted(profile.s, middle, side="right") - 1
    s = (middle[:, None] + half[:, None] * _POINTS).ravel()
    weight = (half[:, None] * _WEIGHTS).ravel()
    return s, weight, np.repeat(element, _POINTS.size), np.repeat(left, _POINTS.size)


def _sampler(profile: Profile, s: Array, left: Array) -> Callable[[Array], Array]:
    """Linear interpolation on the piece right of station `left`: a repeated station never mixes its
    two sides."""
    start, end = profile.s[left], profile.s[left + 1]
    part = (s - start) / (end - start)

    def sample(values: Array) -> Array:
        share = part if values.ndim == 1 else part[:, None]
        return np.asarray((1.0 - share) * values[left] + share * values[left + 1])

    return sample


def _symmetric_inverse(a: Array, b: Array, c: Array) -> tuple[Array, Array, Array]:
    """Inverse of [[a, b], [b, c]], element by element."""
    determinant = a * c - b * b
    return c / determinant, -b / determinant, a / determinant


def reference_screws(profile: Profile, nodes: Array) -> Array:
    """(N, 6) log of the unloaded relative pose of neighbouring nodes.

    H' = H (e_x, κ_ref(s))^ is integrated with fourth-order Magnus steps (Blanes, Casas, Oteo & Ros
    2009, Phys. Rep. 470:151) on every piece.
    """
    count = nodes.size - 1
    out = np.zeros((count, 6))
    out[:, 0] = np.diff(nodes)
    if not np.any(profile.reference_curvature):
        return out
    cuts = np.unique(np.concatenate([nodes, profile.s]))
    pose = np.eye(4)
    element = 0
    for a, b in itertools.pairwise(cuts):
        left = int(np.searchsorted(profile.s, 0.5 * (a + b), side="right")) - 1
        edges = np.linspace(a, b, _MAGNUS_STEPS + 1)
        step = (b - a) / _MAGNUS_STEPS
        mid = 0.5 * (edges[1:] + edges[:-1])
        first, second = mid - step * np.sqrt(3.0) / 6.0, mid + step * np.sqrt(3.0) / 6.0
        indices = np.full(mid.size, left)
        k1 = _generator(_sampler(profile, first, indices)(profile.reference_curvature))
        k2 = _generator(_sampler(profile, second, indices)(profile.reference_curvature))
        # For right multiplication (H' = H A) the commutator changes sign against the left form.
        omega = 0.5 * step * (k1 + k2) + np.sqrt(3.0) / 12.0 * step**2 * (k1 @ k2 - k2 @ k1)
        for increment in omega:
            pose = pose @ expm(increment)
        if b >= nodes[element + 1] - 1e-14 * nodes[-1]:
            out[element] = _log(pose)
            pose = np.eye(4)
            element += 1
    return out


def _generator(curvature: Array) -> Array:
    out = np.zeros((curvature.shape[0], 4, 4))
    out[:, :3, :3] = skew(curvature)
    out[:, 0, 3] = 1.0
    return out


def _log(pose: Array) -> Array:
    w = vector_from_rotation(pose[:3, :3])
    t = float(w @ w)
    angle = np.sqrt(t)
    hat = skew(w)
    k = 1.0 / 12.0 + t / 720.0 + t * t / 30240.0
    if t > 1e-3:
        k = (1.0 - 0.5 * angle / np.tan(0.5 * angle)) / t
    return np.concatenate([(np.eye(3) - 0.5 * hat + k * hat @ hat) @ pose[:3, 3], w])


def build_model(
    profile: Profile,
    tip: TipBody,
    viscosity: tuple[float, float],
    elements: int,
    root_inertia: Array,
    gravity: Array,
    rho: float,
) -> ElementModel:
    """Average the profile over elements of equal length; see `elements.prepare`."""
    nodes = np.linspace(0.0, profile.length, elements + 1)
    h = np.diff(nodes)
    s, weight, element, left = _quadrature(profile, nodes)
    sample = _sampler(profile, s, left)

    def mean(values: Array) -> Array:
        return np.bincount(element, weight * values, minlength=elements) / h

    ei = sample(profile.ei)
    cos, sin = np.cos(profile.spine_angle), np.sin(profile.spine_angle)
    # Bending compliance in section axes, Rx(α) diag(1/EI₁ on κ_y, 1/EI₀ on κ_z) Rx(α)ᵀ, then averaged.
    soft_y, soft_z = mean(1.0 / ei[:, 1]), mean(1.0 / ei[:, 0])
    byy = cos * cos * soft_y + sin * sin * soft_z
    bzz = sin * sin * soft_y + cos * cos * soft_z
    byz = cos * sin * (soft_y - soft_z)
    moment = np.column_stack([1.0 / mean(1.0 / sample(profile.gj)), *_symmetric_inverse(byy, byz, bzz)])
    force = np.column_stack([1.0 / mean(1.0 / sample(profile.ea)), 1.0 / mean(1.0 / sample(profile.ga))])

    near = (s - nodes[element]) / h[element]

    def lump(values: Array) -> Array:
        out = np.bincount(element, weight * values * (1.0 - near), minlength=elements + 1)
        return np.asarray(out + np.bincount(element + 1, weight * values * near, minlength=elements + 1))

    return ElementModel(
        nodes,
        force / h[:, None],
        moment / h[:, None],
        reference_screws(profile, nodes),
        lump(sample(profile.mass)),
        lump(sample(profile.rotary)),
        float(tip.mass),
        tip.mass * np.array(tip.offset),
        np.array(tip.inertia_about_tip()),
        np.array(root_inertia, dtype=float),
        np.array(gravity, dtype=float),
        np.array(viscosity, dtype=float),
        float(rho),
    )


def new_state(model: ElementModel, free: int) -> ElementState:
    """Empty arrays for a model with this many free root axes."""
    nodes = model.station.size
    n = 6 * (nodes - 1) + free
    unit = np.zeros((nodes, 4))
    unit[:, 0] = 1.0
    six = [np.zeros((nodes, 6)) for _ in range(8)]
    return ElementState(
        q=unit,
        x=np.zeros((nodes, 3)),
        gap=np.zeros((nodes - 1, 3)),
        v=six[0],
        vd=six[1],
        a=six[2],
        vd_before=six[3],
        root=np.zeros((5, 3)),
        q_new=unit.copy(),
        x_new=np.zeros((nodes, 3)),
        gap_new=np.zeros((nodes - 1, 3)),
        shift=np.zeros((nodes, 3)),
        v_new=six[4],
        vd_new=six[5],
        move=six[6],
        force=six[7],
        stress=np.zeros((nodes - 1, 6)),
        stress_new=np.zeros((nodes - 1, 6)),
        hold=np.zeros((16, 3)),
        turns=np.zeros((3, 9)),
        totals=np.zeros(8),
        band=np.zeros((n, 23)),
        lower=np.zeros((n, 12)),
        upper=np.zeros((n, 12)),
        pivot=np.zeros(n),
        right=np.zeros(n + 24),
        blocks=np.zeros((16, 6, 6)),
        dead=np.zeros((nodes, 6)),
        clock=np.zeros(8),
    )
