"""Expected values worked out apart from the package: Ritz series, elliptic integrals, shooting, boundary values.

Nothing here imports the package. Everything is small enough to be checked by eye against the source it names.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.polynomial import chebyshev
from numpy.polynomial.legendre import leggauss
from scipy.integrate import solve_bvp, solve_ivp
from scipy.linalg import eigh
from scipy.optimize import brentq
from scipy.special import ellipe, ellipeinc, ellipk, ellipkinc

Along = Callable[[np.ndarray], np.ndarray]
"""A property along the axis, of the distance from the root."""


def constant(value: float) -> Along:
    """A property that does not change along the axis."""
    return lambda s: np.full_like(s, value)


# -- small bending under static loads -----------------------------------------------------------------------------
def tip_deflection(ei: Along, length: float, moment: Along) -> float:
    """Deflection of a cantilever's tip, m, by the unit load theorem: ∫ M(s) (L − s)/EI(s) ds."""
    x, w = leggauss(60)
    s = 0.5 * length * (x + 1.0)
    return float(0.5 * length * w @ (moment(s) * (length - s) / ei(s)))


# -- vibration: Ritz ----------------------------------------------------------------------------------------------
@dataclass(frozen=True)
class PlaneTip:
    """A rigid body at the tip, vibrating in one plane: CG `ahead` of the tip along the axis, inertia about the CG."""

    mass: float = 0.0
    inertia: float = 0.0
    ahead: float = 0.0


@dataclass
class RitzBeam:
    """Bending of a clamped beam in one plane by w = s² Σ q_k T_k(2s/L − 1), which converges like a Chebyshev series.

    Rotary inertia of the beam, axial tension of a steady spin (flap and lag) and a rigid body at the tip included.
    Rayleigh–Ritz: Meirovitch, Fundamentals of Vibrations, ch. 9; tension term ∫ T w'²/2: Wright, Smith, Thresher &
    Wang 1982, J. Appl. Mech. 49:197.
    """

    ei: Along
    mass: Along
    length: float = 1.0
    rotary: Along = field(default_factory=lambda: constant(0.0))
    tip: PlaneTip = field(default_factory=PlaneTip)
    terms: int = 14

    def __post_init__(self) -> None:
        x, w = leggauss(80)
        self.s = 0.5 * self.length * (x + 1.0)
        self.weight = 0.5 * self.length * w
        self.w, self.slope, self.bend = self.shapes(self.s)
        self.w_tip, self.slope_tip, _ = (a[0] for a in self.shapes(np.array([self.length])))

    def shapes(self, s: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """w, w', w'' of every term at s, (n, terms) each."""
        x = 2.0 * s / self.length - 1.0
        eye = np.eye(self.terms)
        t = chebyshev.chebval(x, eye).T
        t1 = chebyshev.chebval(x, np.vstack([chebyshev.chebder(eye), np.zeros(self.terms)])).T * 2.0 / self.length
        t2 = (
            chebyshev.chebval(x, np.vstack([chebyshev.chebder(eye, 2), np.zeros((2, self.terms))])).T
            * (2.0 / self.length) ** 2
        )
        s = s[:, None]
        return s**2 * t, 2 * s * t + s**2 * t1, 2 * t + 4 * s * t1 + s**2 * t2

    def inertia_matrix(self) -> np.ndarray:
        m = (self.w * (self.weight * self.mass(self.s))[:, None]).T @ self.w
        m += (self.slope * (self.weight * self.rotary(self.s))[:, None]).T @ self.slope
        at_cg = self.w_tip + self.tip.ahead * self.slope_tip
        m += self.tip.mass * np.outer(at_cg, at_cg) + self.tip.inertia * np.outer(self.slope_tip, self.slope_tip)
        return m

    def stiffness_matrix(self) -> np.ndarray:
        return (self.bend * (self.weight * self.ei(self.s))[:, None]).T @ self.bend

    def tension_matrix(self, hub: float = 0.0) -> np.ndarray:
        """Stiffening per Ω²: ∫ T/Ω² w'² ds with the beam's and a point mass's pull (the CG on the tip)."""
        below = np.array([self._mass_moment(s, hub) for s in self.s])
        return (self.slope * (self.weight * below)[:, None]).T @ self.slope

    def _mass_moment(self, s: float, hub: float) -> float:
        x, w = leggauss(40)
        outer = s + 0.5 * (self.length - s) * (x + 1.0)
        beam = 0.5 * (self.length - s) * float(w @ (self.mass(outer) * (hub + outer)))
        return beam + self.tip.mass * (hub + self.length + self.tip.ahead)

    def frequencies(self, count: int, spin: float = 0.0, hub: float = 0.0) -> np.ndarray:
        """Flapping (out of the plane of rotation), rad/s."""
        k = self.stiffness_matrix()
        if spin:
            k = k + spin**2 * self.tension_matrix(hub)
        squares = eigh(k, self.inertia_matrix(), eigvals_only=True)
        return np.sqrt(squares[:count])


def offset_tip_frequencies(
    beam: RitzBeam, gj: float, polar: float, side: float, tip_polar: float, terms: int = 12
) -> np.ndarray:
    """Bending with twist, rad/s: the tip body's CG lies `side` off the axis, square to the plane of bending.

    Bending as `RitzBeam`, twist φ = s Σ p_k T_k. The CG moves by w + ahead·w' + side·φ. Problem: Oguamanam 2003,
    Int. J. Mech. Sci. 45:963.
    """
    x = 2.0 * beam.s / beam.length - 1.0
    eye = np.eye(terms)
    t = chebyshev.chebval(x, eye).T
    t1 = chebyshev.chebval(x, np.vstack([chebyshev.chebder(eye), np.zeros(terms)])).T * 2.0 / beam.length
    phi, rate = beam.s[:, None] * t, t + beam.s[:, None] * t1
    phi_tip = beam.length * np.ones(terms)
    n = beam.terms
    mass, stiffness = np.zeros((n + terms, n + terms)), np.zeros((n + terms, n + terms))
    stiffness[:n, :n] = beam.stiffness_matrix()
    stiffness[n:, n:] = gj * (rate * beam.weight[:, None]).T @ rate
    light = RitzBeam(beam.ei, beam.mass, beam.length, beam.rotary, terms=n)
    mass[:n, :n] = light.inertia_matrix() + beam.tip.inertia * np.outer(beam.slope_tip, beam.slope_tip)
    mass[n:, n:] = polar * (phi * beam.weight[:, None]).T @ phi + tip_polar * np.outer(phi_tip, phi_tip)
    at_cg = np.concatenate([beam.w_tip + beam.tip.ahead * beam.slope_tip, side * phi_tip])
    mass += beam.tip.mass * np.outer(at_cg, at_cg)
    return np.sqrt(eigh(stiffness, mass, eigvals_only=True))


def torsion_factor(inertia_ratio: float) -> float:
    """b of ω = b/L √(GJ/ip): b tan b = 1/μ_J (Blevins, Formulas for Natural Frequency and Mode Shape)."""
    return brentq(lambda b: b * np.sin(b) * inertia_ratio - np.cos(b), 1e-6, 0.5 * np.pi, xtol=1e-14)


def tip_mass_factor(mass_ratio: float) -> float:
    """β1 of ω = β²√(EI/mL⁴) for a uniform cantilever with a point mass at the tip.

    1 + cos β cosh β + μ β (cos β sinh β − sin β cosh β) = 0 (Laura, Pombo & Susemihl 1974, J. Sound Vib. 37:161).
    """

    def characteristic(b: float) -> float:
        return 1.0 + np.cos(b) * np.cosh(b) + mass_ratio * b * (np.cos(b) * np.sinh(b) - np.sin(b) * np.cosh(b))

    return brentq(characteristic, 1e-3, 1.9, xtol=1e-14)


# -- large deflection ---------------------------------------------------------------------------------------------
def elastica(alpha: float) -> tuple[float, float, float]:
    """w/L, u/L and the tip's angle of a cantilever under a dead tip load, α = PL²/EI.

    Bisshopp & Drucker 1945, Q. Appl. Math. 3:272, in elliptic integrals of modulus k² = (1 + sin θ)/2.
    """

    def root_alpha(theta: float) -> float:
        m = 0.5 * (1.0 + np.sin(theta))
        return float(ellipk(m) - ellipkinc(np.arcsin(np.sqrt(0.5 / m)), m))

    theta = brentq(lambda a: root_alpha(a) - np.sqrt(alpha), 1e-6, 0.5 * np.pi - 1e-9, xtol=1e-14)
    m = 0.5 * (1.0 + np.sin(theta))
    partial = ellipeinc(np.arcsin(np.sqrt(0.5 / m)), m)
    w = 1.0 - 2.0 / np.sqrt(alpha) * (ellipe(m) - partial)
    return float(w), float(1.0 - np.sqrt(2.0 * np.sin(theta) / alpha)), theta


# -- rods in space ------------------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Rod:
    """A uniform rod for `rod_equilibrium`: Reissner's, or Kirchhoff's where ea and ga are infinite."""

    length: float
    ei_y: float
    """N·m²: bending that moves the tip along y (about section z)"""
    ei_z: float
    """N·m²: bending that moves the tip along z (about section −y)"""
    gj: float
    ea: float = np.inf
    ga: float = np.inf
    mass: float = 0.0
    """kg/m"""
    reference: tuple[float, float, float] = (0.0, 0.0, 0.0)
    """1/m: twist and curvatures of the unloaded rod"""


@dataclass(frozen=True)
class RodLoads:
    """Dead tip force and moment, a field of gravity, steady spin and a body at the tip; frame of the clamp."""

    force: np.ndarray = field(default_factory=lambda: np.zeros(3))
    moment: np.ndarray = field(default_factory=lambda: np.zeros(3))
    gravity: np.ndarray = field(default_factory=lambda: np.zeros(3))
    spin: np.ndarray = field(default_factory=lambda: np.zeros(3))
    hub: np.ndarray = field(default_factory=lambda: np.zeros(3))
    body_mass: float = 0.0
    body_offset: np.ndarray = field(default_factory=lambda: np.zeros(3))
    body_inertia: np.ndarray = field(default_factory=lambda: np.zeros((3, 3)))


def rod_equilibrium(rod: Rod, loads: RodLoads, steps: int = 8) -> tuple[np.ndarray, np.ndarray]:
    """Tip position (3,) and rotation (3, 3) of a clamped rod by collocation of its field equations.

    r' = R (e_x + C⁻¹ Rᵀn), q' = q∘(0, κ)/2, n' = −m (g + Ω × ((hub + r) × Ω)), m' = n × r' (Antman, Nonlinear
    Problems of Elasticity, ch. 8); the load is raised in `steps`. Lengths are counted in L and forces in
    max(EI)/L², so that scipy's solve_bvp weighs all residuals alike; its tolerance is 1e-8.
    """
    length, force_unit = rod.length, max(rod.ei_y, rod.ei_z) / rod.length**2
    moment_unit = force_unit * length
    soft = force_unit * np.array([1 / rod.ea, 1 / rod.ga, 1 / rod.ga])
    bend = moment_unit * length * np.array([1 / rod.gj, 1 / rod.ei_z, 1 / rod.ei_y])
    reference = np.array(rod.reference) * length

    def inertial(place: np.ndarray, share: float) -> np.ndarray:
        """(3, n) m/s² felt at places (3, n) m."""
        spin = loads.spin * np.sqrt(share)
        arm = (place + loads.hub[:, None]).T
        return share * loads.gravity[:, None] - np.cross(spin, np.cross(spin, arm)).T

    def slopes(s: np.ndarray, y: np.ndarray, share: float) -> np.ndarray:
        r, q, n, m = y[:3], y[3:7], y[7:10], y[10:13]
        rotation = _turn(q)
        strain = soft[:, None] * np.einsum("ijk,ik->jk", rotation, n)
        strain[0] += 1.0
        kappa = reference[:, None] + bend[:, None] * np.einsum("ijk,ik->jk", rotation, m)
        tangent = np.einsum("ijk,jk->ik", rotation, strain)
        q_slope = 0.5 * np.vstack([-np.sum(q[1:] * kappa, axis=0), q[0] * kappa + np.cross(q[1:].T, kappa.T).T])
        n_slope = -rod.mass * inertial(r * length, share) * length / force_unit
        return np.vstack([tangent, q_slope, n_slope, np.cross(n.T, tangent.T).T])

    def gap(a: np.ndarray, b: np.ndarray, share: float) -> np.ndarray:
        rotation = _turn(b[3:7, None])[:, :, 0]
        arm = rotation @ loads.body_offset
        pull = loads.body_mass * inertial((b[:3] * length + arm)[:, None], share)[:, 0]
        spin = loads.spin * np.sqrt(share)
        tensor = rotation @ loads.body_inertia @ rotation.T
        force = (share * loads.force + pull) / force_unit
        moment = (share * loads.moment + np.cross(arm, pull) - np.cross(spin, tensor @ spin)) / moment_unit
        return np.concatenate([a[:3], a[3:7] - [1, 0, 0, 0], b[7:10] - force, b[10:13] - moment])

    s = np.linspace(0.0, 1.0, 41)
    half = 0.5 * s * np.linalg.norm(reference)
    axis = reference / max(float(np.linalg.norm(reference)), 1e-300)
    y = np.zeros((13, s.size))
    y[0], y[3], y[4:7] = s, np.cos(half), axis[:, None] * np.sin(half)
    for share in np.linspace(0.0, 1.0, steps + 1)[1:]:
        found = solve_bvp(
            lambda x, v, share=share: slopes(x, v, share),
            lambda a, b, share=share: gap(a, b, share),
            s, y, tol=1e-8 if share == 1.0 else 1e-4, max_nodes=20000,
        )  # fmt: skip
        if not found.success:
            raise RuntimeError(f"no equilibrium of the rod: {found.message}")
        s, y = found.x, found.y
    return y[:3, -1] * length, _turn(y[3:7, -1:])[:, :, 0]


def _turn(q: np.ndarray) -> np.ndarray:
    """(3, 3, n) rotations of quaternions (4, n), scalar first."""
    w, x, y, z = q / np.linalg.norm(q, axis=0)
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )


# -- spin-up of a flexible bar ------------------------------------------------------------------------------------
def spin_up_angle(t: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """ψ, ψ̇, ψ̈ of the smooth run-up to 6 rad/s in 15 s (Simo & Vu-Quoc 1987, J. Sound Vib. 119:487)."""
    t = np.asarray(t, dtype=float)
    w = 2.0 * np.pi / 15.0
    up = t < 15.0
    angle = np.where(up, 0.4 * (0.5 * t**2 + (np.cos(w * t) - 1.0) / w**2), 6.0 * t - 45.0)
    rate = np.where(up, 0.4 * (t - np.sin(w * t) / w), 6.0)
    accel = np.where(up, 0.4 * (1.0 - np.cos(w * t)), 0.0)
    return angle, rate, accel


def spin_up_lag(t: np.ndarray, *, stiffening: bool = True) -> np.ndarray:
    """Tip deflection (n,) m of the bar of Simo & Vu-Quoc by a Ritz series that follows ψ(t), first order in w.

    M q̈ + (K + ψ̇² (K_T − M)) q = −ψ̈ ∫ m s w ds; without K_T the centrifugal stiffening is left out (Kane, Ryan &
    Banerjee 1987, J. Guidance 10:139).
    """
    bar = RitzBeam(constant(1.4e4), constant(1.2), 10.0, rotary=constant(6e-4), terms=6)
    mass, stiffness, tension = bar.inertia_matrix(), bar.stiffness_matrix(), bar.tension_matrix()
    softening = (bar.w * (bar.weight * 1.2)[:, None]).T @ bar.w
    drive = (bar.weight * 1.2 * bar.s) @ bar.w + (bar.weight * 6e-4) @ bar.slope
    inverse = np.linalg.inv(mass)
    n = bar.terms

    def rate(time: float, y: np.ndarray) -> np.ndarray:
        _, spin, accel = spin_up_angle(np.array(time))
        k = stiffness + spin**2 * ((tension if stiffening else 0.0) - softening)
        return np.concatenate([y[n:], inverse @ (-accel * drive - k @ y[:n])])

    run = solve_ivp(rate, (0.0, float(t[-1])), np.zeros(2 * n), method="LSODA", t_eval=t, rtol=1e-9, atol=1e-11)
    return bar.w_tip @ run.y[:n]
