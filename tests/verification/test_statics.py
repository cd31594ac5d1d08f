"""Statics against closed forms, elliptic integrals and published benchmarks; both solvers.

`curvature` has neither stretch nor shear, so columns that measure those are asked of `elements` only.
"""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam import Profile, TipBody, static_shape
from verification.beams import FUNCTIONS, converged, tapered, uniform
from verification.derived import Rod, RodLoads, elastica, rod_equilibrium, tip_deflection

SMALL = 1e-4
"""Load over EI/L²: deflections of 1e-4 L, where what is left of geometry is a relative 1e-8."""


def tip_y(profile, **loads):
    """A function that measures the tip's deflection along y on a given mesh."""
    return lambda **mesh: static_shape(profile, **loads, **mesh).position[-1, 1]


# -- uniform cantilevers ------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("axis", "ei"), [(1, (2.0, 9.0)), (2, (9.0, 2.0))])
@pytest.mark.parametrize("load", ["force", "moment", "line"])
def test_uniform_cantilever(solver, load, axis, ei):
    """PL³/3EI, ML²/2EI, qL⁴/8EI (Gere & Timoshenko, Mechanics of Materials, table G-1), either plane."""
    length, stiffness, size = 1.3, 2.0, SMALL
    profile = uniform(length, ei, gj=1.0, mass=0.1)
    direction = np.eye(3)[axis]
    # A moment that moves the tip along +y turns about +z, one that moves it along +z turns about −y.
    about = {1: np.array([0.0, 0.0, 1.0]), 2: np.array([0.0, -1.0, 0.0])}[axis]
    loads, expected = {
        "force": ({"tip_force": size * direction}, size * length**3 / (3 * stiffness)),
        "moment": ({"tip_moment": size * about}, size * length**2 / (2 * stiffness)),
        "line": ({"line_load": size * direction}, size * length**4 / (8 * stiffness)),
    }[load]
    shape = converged(solver, lambda **mesh: static_shape(profile, **loads, **mesh).position[-1])
    # 1e-6: the default stiffness to shear leaves 3e-7 in `elements`, geometry 1e-8.
    np.testing.assert_allclose(shape[axis], expected, rtol=1e-6)
    np.testing.assert_allclose(shape[3 - axis], 0.0, atol=1e-9 * length)


def test_uniform_torque(solver):
    """φ = TL/GJ at any size (Gere & Timoshenko §3.3), turning from y toward z."""
    shape = static_shape(uniform(1.3, 2.0, gj=0.7), tip_moment=[1.0, 0.0, 0.0], solver=solver)
    angle = np.arctan2(shape.rotation[-1, 2, 1], shape.rotation[-1, 1, 1])
    np.testing.assert_allclose(angle, 1.3 / 0.7, rtol=1e-9)  # exact for constant twist


def test_a_spine_turns_the_principal_planes(solver):
    """Unsymmetric bending: y = P L³/3 (cos²α/EI₀ + sin²α/EI₁), z = P L³/3 sin α cos α (1/EI₀ − 1/EI₁).

    Gere & Timoshenko §6.5: the load is split along the principal planes.
    """
    alpha = 0.4
    profile = uniform(1.0, (2.0, 5.0), spine_angle=alpha)
    tip = converged(solver, lambda **mesh: static_shape(profile, tip_force=[0, SMALL, 0], **mesh).position[-1])
    c, s = np.cos(alpha), np.sin(alpha)
    expected = SMALL / 3 * np.array([c * c / 2 + s * s / 5, s * c * (1 / 2 - 1 / 5)])
    np.testing.assert_allclose(tip[1:], expected, rtol=1e-6)


# -- tapers -------------------------------------------------------------------------------------------------------
def test_thin_tube_taper(solver):
    """Constant wall, d(fixed) = 2 d(free): δ = (ln 2 − 5/8) PL³/EI_A (Gere & Timoshenko §9.7)."""
    # EI at the free end is 1 when it is 8 at the root; 513 stations follow h³ to 1e-6.
    profile = tapered(3, 1, 0.5, stations=513, root_ei=8.0)
    np.testing.assert_allclose(
        converged(solver, tip_y(profile, tip_force=[0, SMALL, 0])), (np.log(2) - 5 / 8) * SMALL, rtol=1e-4
    )


def test_solid_cone(solver):
    """d(fixed) = 2 d(free): δ = PL³/(24 EI_A) (Gere & Timoshenko §9.7)."""
    profile = tapered(4, 2, 0.5, stations=513, root_ei=16.0)
    np.testing.assert_allclose(converged(solver, tip_y(profile, tip_force=[0, SMALL, 0])), SMALL / 24, rtol=1e-4)


@pytest.mark.parametrize("step_at", [0.5, 0.53])
def test_stepped_cantilever(solver, step_at):
    """I₁ on the free part, 2 I₁ on the fixed part: PL³/3EI₁ ((1 − a)³ + (1 − (1 − a)³)/2), .1875 PL³/EI₁ for a = ½.

    Gere & Timoshenko §9.7. A step off every node shows that quadrature respects steps.
    """
    profile = Profile([0, step_at, step_at, 1], [2, 2, 1, 1], 1.0, 1.0)
    free = (1 - step_at) ** 3
    expected = SMALL / 3 * (free + (1 - free) / 2)
    found = converged(solver, tip_y(profile, tip_force=[0, SMALL, 0]))
    if solver == "elements" and step_at != 0.5:
        # Compliance is averaged over the element that holds the step: second order in its length, but with a
        # constant that depends on where in the element the step falls, which two meshes cannot extrapolate.
        found = static_shape(profile, tip_force=[0, SMALL, 0], elements=800).position[-1, 1]
    np.testing.assert_allclose(found, expected, rtol=1e-6)
    if step_at == 0.5:
        assert expected == pytest.approx(0.1875 * SMALL, rel=1e-12)


@pytest.mark.parametrize(("r", "rounded"), [(1 / 2, 0.386294), (1 / 3, 0.411980), (1 / 4, 0.427599)])
def test_linear_bending_stiffness(solver, r, rounded):
    """EI linear from 1 to r, tip force; the unit load theorem ∫(L − s)²/EI ds."""
    expected = tip_deflection(lambda s: 1 - (1 - r) * s, 1.0, lambda s: 1 - s)
    assert expected == pytest.approx(rounded, abs=1e-6)
    profile = Profile([0, 1], [1, r], 1.0, 1.0)
    found = converged(solver, tip_y(profile, tip_force=[0, SMALL, 0]))
    np.testing.assert_allclose(found, expected * SMALL, rtol=1e-5)


@pytest.mark.parametrize("r", [1 / 2, 1 / 3, 1 / 4])
def test_linear_torsional_stiffness(solver, r):
    """GJ linear from 1 to r: φ = (TL/GJ₀) ln(1/r)/(1 − r), by integration of T/GJ."""
    profile = Profile([0, 1], 10.0, [1, r], 1.0)
    shape = static_shape(profile, tip_moment=[0.3, 0, 0], solver=solver)
    angle = np.arctan2(shape.rotation[-1, 2, 1], shape.rotation[-1, 1, 1])
    # Exact in both: compliance is averaged by element; the twist functions are a polynomial over GJ.
    np.testing.assert_allclose(angle, 0.3 * np.log(1 / r) / (1 - r), rtol=1e-9)


# -- large deflection in a plane ----------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("alpha", "published"),
    [
        # Mattiasson 1981, Int. J. Numer. Methods Eng. 17:145, table 1: w/L, u/L, θ; α = PL²/EI.
        (1.0, (0.30172, 0.05643, 0.46135)),
        (2.0, (0.49346, 0.16064, 0.78175)),
        (5.0, (0.71379, 0.38763, 1.21537)),
        (10.0, (0.81061, 0.55500, 1.43029)),
    ],
)
def test_large_deflection(solver, alpha, published):
    """Cantilever under a dead tip load (Bisshopp & Drucker 1945)."""
    np.testing.assert_allclose(elastica(alpha), published, atol=6e-6)  # five digits are printed

    def measure(**mesh):
        shape = static_shape(uniform(), tip_force=[0, alpha, 0], **mesh)
        x, y, _ = shape.position[-1]
        return [y, 1 - x, np.arctan2(shape.rotation[-1, 1, 0], shape.rotation[-1, 0, 0])]

    # 1e-5 of the elliptic integrals: what is left of extrapolation (fourth order in 1/64).
    np.testing.assert_allclose(converged(solver, measure), elastica(alpha), rtol=1e-5)
    if solver == "elements":
        np.testing.assert_allclose(measure(elements=20), elastica(alpha), rtol=0, atol=1e-3)


@pytest.mark.parametrize("axis", [1, 2])
def test_roll_up(solver, axis):
    """A tip moment 2πEI/L bends a cantilever into a circle whose tip lies on its root (Euler)."""
    moment = np.zeros(3)
    moment[axis] = 2 * np.pi
    stations = np.linspace(0.0, 1.0, 5)
    shape = static_shape(Profile(stations, 1.0, 1.0, 1.0), tip_moment=moment, solver=solver, elements=32)
    np.testing.assert_allclose(shape.position[-1], 0.0, atol=1e-3)
    np.testing.assert_allclose(shape.rotation[-1], np.eye(3), atol=1e-3)
    # Half-way round, the diameter L/π away: +z moment bends toward +y, +y moment toward −z.
    across = {1: (0, 0, -1 / np.pi), 2: (0, 1 / np.pi, 0)}[axis]
    np.testing.assert_allclose(shape.position[2], across, atol=1e-3)


# -- space and finite stretch -------------------------------------------------------------------------------------
def test_cantilever_with_stretch_and_shear():
    """Géradin & Cardona's cantilever: −.5965, −2.1597 m, .6720 rad.

    Figures as Simpson & Palacios 2013 (AIAA SDM conference) give them.

    Asked of `elements` only: shear is .4 % of the deflection and `curvature` has none.
    """
    profile = uniform(5.0, 9.346e6, gj=1e6, mass=1.0, ea=4.8e8, ga=3.231e8)

    def measure(**mesh):
        shape = static_shape(profile, tip_force=[0, 0, -600e3], **mesh)
        x, _, z = shape.position[-1]
        return [x - 5.0, z, np.arctan2(-shape.rotation[-1, 2, 0], shape.rotation[-1, 0, 0])]

    found = converged("elements", measure)
    np.testing.assert_allclose(found, [-0.5965, -2.1597, 0.6720], rtol=1e-3)
    rod = Rod(5.0, 9.346e6, 9.346e6, 1e6, 4.8e8, 3.231e8)
    tip, _ = rod_equilibrium(rod, RodLoads(force=np.array([0, 0, -600e3])))
    np.testing.assert_allclose(found[:2], tip[[0, 2]] - [5.0, 0.0], rtol=1e-5)  # extrapolation at fourth order


@pytest.mark.parametrize(
    ("load", "tip"),
    [(300.0, (58.536, 22.113, 40.480)), (450.0, (51.970, 18.369, 48.705)), (600.0, (46.892, 15.558, 53.607))],
)
def test_bend_of_45_degrees(solver, load, tip):
    """Quarter-right-angle bend, R 100, E 1e7, ν 0, unit square section, dead load out of its plane.

    Bathe & Bolourchi 1979, Int. J. Numer. Methods Eng. 14:961, with St Venant's J = .1406 in place of their .1667.
    """
    length = 100 * np.pi / 4
    s = np.linspace(0.0, length, 3)
    profile = Profile(s, 1e7 / 12, 5e6 * 0.1406, 1.0, ea=1e7, ga=5e6, reference_curvature=np.tile([0, 0, 0.01], (3, 1)))

    def measure(**mesh):
        return static_shape(profile, tip_force=[0, 0, load], **mesh).position[-1]

    found = converged(solver, measure)
    # .1 %: a stretch of 6e-5 and shear that `curvature` leaves out, .01 % here.
    np.testing.assert_allclose(found, tip, rtol=1e-3)
    rod = Rod(length, 1e7 / 12, 1e7 / 12, 5e6 * 0.1406, 1e7, 5e6, reference=(0, 0, 0.01))
    if solver == "curvature":
        rod = Rod(length, 1e7 / 12, 1e7 / 12, 5e6 * 0.1406, reference=(0, 0, 0.01))
    np.testing.assert_allclose(found, rod_equilibrium(rod, RodLoads(force=np.array([0, 0, load])))[0], rtol=2e-5)
    if load == 600.0:
        # Simo & Vu-Quoc 1986, Comput. Methods Appl. Mech. Eng. 58:79, eight linear elements: within 1 % of R.
        np.testing.assert_allclose(found, (47.23, 15.79, 53.37), rtol=0, atol=1.0)


PRINCETON = {"ei": (36.279, 2.4287), "gj": 3.1033}
"""N·m²: 12.377 × 3.2024 mm of aluminium, E 71.7 GPa, ν .31; y along the stiff, z along the soft direction."""


@pytest.mark.parametrize(
    ("angle", "v", "w", "twist", "obrezkov"),
    [
        (15, 0.01063, 0.04213, 0.906, (0.010613, 0.042082)),
        (30, 0.01015, 0.07946, 1.512, (0.010112, 0.079395)),
        (60, 0.00665, 0.12992, 1.381, (0.006605, 0.129888)),
        (90, 0.0, 0.14626, 0.0, (0.0, 0.146246)),
    ],
)
def test_princeton_beam(solver, angle, v, w, twist, obrezkov):
    """A weight of 8.896 N at an angle from the stiff axis (experiment: Dowell & Traybar 1975).

    No torque acts on the tip, and still it twists: the two deflections together do it. Twist is
    atan2(R_zy, R_yy); it and the rounded v and w are the rod's, by collocation below.
    """
    profile = uniform(0.508, PRINCETON["ei"], PRINCETON["gj"], 0.1)
    a = np.radians(angle)
    force = 8.896 * np.array([0.0, np.cos(a), np.sin(a)])

    def measure(**mesh):
        shape = static_shape(profile, tip_force=force, **mesh)
        rotation = shape.rotation[-1]
        return [*shape.position[-1, 1:], np.degrees(np.arctan2(rotation[2, 1], rotation[1, 1]))]

    found = converged(solver, measure)
    tiny = 1e-9
    np.testing.assert_allclose(found[0], v, rtol=0.015, atol=tiny)
    np.testing.assert_allclose(found[1], w, rtol=0.005)
    np.testing.assert_allclose(abs(found[2]), twist, rtol=0.02, atol=1e-6)
    # Published figures: Obrezkov et al. 2022, Nonlinear Dyn. 109:31, continuum beams of a slightly different J.
    np.testing.assert_allclose(found[0], obrezkov[0], rtol=0.015, atol=tiny)
    np.testing.assert_allclose(found[1], obrezkov[1], rtol=0.005)
    tip, rotation = rod_equilibrium(Rod(0.508, *PRINCETON["ei"], PRINCETON["gj"]), RodLoads(force=force))
    turn = np.degrees(np.arctan2(rotation[2, 1], rotation[1, 1]))
    # The same equations by collocation: 1e-5 for the extrapolation and the collocation's own tolerance.
    np.testing.assert_allclose(found, [tip[1], tip[2], turn], rtol=2e-5, atol=1e-6)


# -- the rod in a field -------------------------------------------------------------------------------------------
@pytest.mark.parametrize("hub", [0.0, 0.5])
@pytest.mark.parametrize("plane", ["z", "y"])
def test_steady_spin_of_a_beam_with_mass_and_body(solver, hub, plane):
    """Shape in steady spin with distributed mass, an offset body and its inertia, against collocation."""
    turn = np.eye(3) if plane == "z" else np.array([[1.0, 0, 0], [0, 0, 1.0], [0, -1.0, 0]])
    offset, inertia = turn.T @ [0.02, -0.018, 0.034], turn.T @ np.diag([3e-4, 2.5e-4, 4e-4]) @ turn
    spin, arm = turn.T @ [3.0, 5.0, 40.0], np.array([hub, 0.0, 0.0])
    profile = uniform(1.1, 35.0, 12.0, 0.06)
    body = TipBody(0.2, offset, inertia)

    def measure(**mesh):
        shape = static_shape(profile, body, spin=spin, hub=arm, gravity=[1.0, 2.0, -9.0], **mesh)
        return np.vstack([shape.position[-1], shape.rotation[-1]])

    loads = RodLoads(
        gravity=np.array([1.0, 2.0, -9.0]),
        spin=spin,
        hub=arm,
        body_mass=0.2,
        body_offset=offset,
        body_inertia=inertia,
    )
    tip, rotation = rod_equilibrium(Rod(1.1, 35.0, 35.0, 12.0, mass=0.06), loads)
    found = converged(solver, measure)
    # Pull over the default stiffness to stretch, 352 N · 1.1 m/2.9e8 N, is 1.3 µm; collocation leaves 1e-8.
    atol = {"elements": 5e-6, "curvature": 2e-7}[solver]
    np.testing.assert_allclose(found, np.vstack([tip, rotation]), rtol=0, atol=atol)


def test_stations_of_a_shape(solver):
    """Positions at the profile's stations follow the cubic of a tip load (Gere & Timoshenko, table G-1, case 4)."""
    s = np.array([0.0, 0.2, 0.37, 0.37, 0.8, 1.0])
    shape = static_shape(
        Profile(s, 1.0, 1.0, 1.0), tip_force=[0, SMALL, 0], solver=solver, elements=256, functions=FUNCTIONS
    )
    # 256 elements: 1/4n² = 4e-6 too soft.
    np.testing.assert_allclose(shape.position[:, 1], SMALL * s**2 * (3 - s) / 6, rtol=0, atol=5e-6 * SMALL)
    assert shape.position.shape == (6, 3)
    assert shape.rotation.shape == (6, 3, 3)
