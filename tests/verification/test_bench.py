"""The bench's public functions against closed forms, published values and another library.

Closed forms of bending: Gere & Timoshenko, Mechanics of Materials, ch. 9 (unit-load method), worked out beside the
assertions; of vibration: Blevins, Formulas for Natural Frequency and Mode Shape.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import quad

from bench.printed import cpm
from shaft.made_up import shaft
from swingbeam.bench.bend_point import BendPointSetup, read_bend_point
from swingbeam.bench.deflection import DeflectionSetup, read_deflection
from swingbeam.bench.frequency import FrequencySetup
from swingbeam.bench.kick_point import KickPointSetup, read_kick_point
from swingbeam.bench.three_point import ThreePointSetup, read_three_point
from swingbeam.bench.torque import TorqueSetup, read_torque
from swingbeam.bench.torsional_frequency import TorsionalFrequencySetup, read_torsional_frequency
from swingbeam.shaft.shaft import Shaft
from swingbeam.units.kinds import STANDARD_GRAVITY
from verification.derived import elastica, tip_mass_factor, torsion_factor

LIGHT = 1e-5
"""kg hung on EI 40 over 1 m: the tip moves 0.8 micrometres, (w/L)² is 7e-13."""
SHEAR = 1e-6
"""rtol of small deflections: functions of curvature have neither stretch nor shear; what is left is round-off of
rotations next to 1, some 1e-10 of a slope of 1e-6, and quadrature."""


def droop(a: Shaft, weight: float = LIGHT, **more: float) -> float:
    return read_deflection(a, DeflectionSetup(clamp=0.0, weight=weight, **more)).deflection


# -- deflection ---------------------------------------------------------------------------------------------------
def test_uniform_cantilever() -> None:
    force = LIGHT * STANDARD_GRAVITY
    found = read_deflection(shaft(s=(0.0, 1.0), ei=40.0), DeflectionSetup(clamp=0.0, weight=LIGHT))
    assert found.deflection == pytest.approx(force / (3.0 * 40.0), rel=SHEAR)
    assert found.slope == pytest.approx(force / (2.0 * 40.0), rel=SHEAR)


def test_weight_at_a_stated_point() -> None:
    # P a²/6EI (3L − a) at the tip, P a³/3EI at the weight, slope P a²/2EI beyond it, a = 0.8 of 1 m.
    force, a = LIGHT * STANDARD_GRAVITY, 0.8
    found = read_deflection(shaft(s=(0.0, 1.0), ei=40.0), DeflectionSetup(clamp=0.0, weight=LIGHT, hung_at=0.2))
    assert found.deflection == pytest.approx(force * a**2 / (6.0 * 40.0) * (3.0 - a), rel=SHEAR)
    assert found.at_weight == pytest.approx(force * a**3 / (3.0 * 40.0), rel=SHEAR)
    assert found.slope == pytest.approx(force * a**2 / (2.0 * 40.0), rel=SHEAR)


def test_own_weight() -> None:
    # q L⁴/8EI at the tip of a uniform cantilever; q = 1e-4 kg/m keeps it small: 3e-6 m. rtol 1e-5: eight functions.
    light = shaft(s=(0.0, 1.0), ei=40.0, mass=1e-4)
    found = droop(light, 0.0, own_weight=True)
    assert found == pytest.approx(1e-4 * STANDARD_GRAVITY / (8.0 * 40.0), rel=1e-5)
    # With the weight 0.3 m from the tip the overhang hangs on as a rigid body: it bends the rest alike, and its own
    # q c⁴/8EI = 0.3⁴ = 0.8 % of the whole is left out, as the docstring says.
    part = droop(light, 0.0, own_weight=True, hung_at=0.3)
    assert part == pytest.approx(found * (1.0 - 0.3**4), rel=1e-5)


def test_solid_cone() -> None:
    # d_clamp = 2 d_tip: δ = PL³/(24 EI_tip). 400 straight pieces of EI: rtol 1e-5.
    s = np.linspace(0.0, 1.0, 401)
    force = LIGHT * STANDARD_GRAVITY
    assert droop(shaft(s=s, ei=2.5 * (2.0 - s) ** 4)) == pytest.approx(force / (24.0 * 2.5), rel=1e-5)


def test_thin_tube_taper() -> None:
    # d_clamp = 2 d_tip, constant wall: EI ~ d³, δ = (ln 2 − 5/8) PL³/EI_tip (0.0681472).
    s = np.linspace(0.0, 1.0, 401)
    force = LIGHT * STANDARD_GRAVITY
    expected = (math.log(2.0) - 0.625) * force / 5.0
    assert droop(shaft(s=s, ei=5.0 * (2.0 - s) ** 3)) == pytest.approx(expected, rel=1e-5)


def test_stepped_cantilever() -> None:
    # EI 1 on the free half, 2 on the clamped one: δ = 0.1875 PL³/EI₁.
    force = LIGHT * STANDARD_GRAVITY
    a = shaft(s=(0.0, 0.5, 0.5, 1.0), ei=(40.0, 40.0, 20.0, 20.0))
    assert droop(a) == pytest.approx(0.1875 * force / 20.0, rel=SHEAR)


@pytest.mark.parametrize(
    ("alpha", "w", "slope"),
    [(1.0, 0.30172, 0.46135), (2.0, 0.49346, 0.78175), (5.0, 0.71379, 1.21537), (10.0, 0.81061, 1.43029)],
)
def test_large_deflection(alpha: float, w: float, slope: float) -> None:
    # α = PL²/EI (Bisshopp & Drucker 1945, Q. Appl. Math. 3:272; Mattiasson 1981, IJNME 17:145, table 1), and the
    # elliptic integrals themselves. abs 1e-4: eight functions of curvature at 80 degrees.
    derived_w, _, derived_slope = elastica(alpha)
    assert (derived_w, derived_slope) == pytest.approx((w, slope), abs=6e-6)
    found = read_deflection(
        shaft(s=(0.0, 1.0), ei=40.0), DeflectionSetup(clamp=0.0, weight=alpha * 40.0 / STANDARD_GRAVITY)
    )
    assert found.deflection == pytest.approx(derived_w, abs=1e-4)
    assert found.slope == pytest.approx(derived_slope, abs=1e-4)


# -- three-point bend ---------------------------------------------------------------------------------------------
def scan(a: Shaft, span: float, from_tip: float, **more: float) -> tuple[float, float, float]:
    setup = ThreePointSetup(span=span, stations=(from_tip,), load=1.0, preload=0.0, **more)
    found = read_three_point(a, setup)
    return float(found.deflection[0]), float(found.apparent_ei[0]), float(found.bias[0])


def test_uniform_three_point() -> None:
    deflection, apparent, bias = scan(shaft(s=(0.0, 1.0), ei=40.0), 0.4, 0.5)
    assert deflection == pytest.approx(0.4**3 / (48.0 * 40.0), rel=1e-12)
    assert apparent == pytest.approx(40.0, rel=1e-12)
    assert bias == pytest.approx(0.0, abs=1e-12)


def test_three_point_stiffer_in_the_middle() -> None:
    # I on the outer quarters, 2I on the middle half: δ = 3PL³/(256 EI) (Gere & Timoshenko §9.9).
    a = shaft(s=(0.0, 0.25, 0.25, 0.75, 0.75, 1.0), ei=(20.0, 20.0, 40.0, 40.0, 20.0, 20.0))
    assert scan(a, 1.0, 0.5)[0] == pytest.approx(3.0 / (256.0 * 20.0), rel=1e-12)


@pytest.mark.parametrize(("b", "published"), [(0.1, 1.001003), (0.2, 1.004046), (0.4, 1.016785)])
def test_bias_of_the_local_formula(b: float, published: float) -> None:
    # EI = EI_mid (1 ± b) at the supports, straight between: δ/δ_uniform = 12 ∫₀¹ ∓ …, by quadrature here.
    def bend(u: float) -> float:
        return min(u, 1.0 - u) ** 2 / (1.0 + b * (2.0 * u - 1.0))

    ratio = 12.0 * (quad(bend, 0.0, 0.5, epsabs=1e-14)[0] + quad(bend, 0.5, 1.0, epsabs=1e-14)[0])
    assert ratio == pytest.approx(published, abs=6e-7)
    deflection, _, bias = scan(shaft(s=(0.0, 1.0), ei=(40.0 * (1.0 - b), 40.0 * (1.0 + b))), 1.0, 0.5)
    assert deflection == pytest.approx(ratio / (48.0 * 40.0), rel=1e-10)
    assert bias == pytest.approx(1.0 / ratio - 1.0, rel=1e-8)


def test_own_weight_of_a_scan() -> None:
    # Uniform, supports at the ends: 5 q s⁴/384 EI more. With overhangs c on both sides the supports' moment −q c²/2
    # lifts the middle by q c² s²/16 EI (Gere & Timoshenko, table of simple beams). rtol 1e-10: quadrature.
    q = 0.05 * STANDARD_GRAVITY
    a = shaft(s=(0.0, 1.0), ei=40.0, mass=0.05)
    bare, weighed = scan(a, 1.0, 0.5)[0], scan(a, 1.0, 0.5, own_weight=True)[0]
    assert weighed - bare == pytest.approx(5.0 * q / (384.0 * 40.0), rel=1e-10)
    s, c = 0.4, 0.3
    bare, weighed = scan(a, s, 0.5)[0], scan(a, s, 0.5, own_weight=True)[0]
    expected = 5.0 * q * s**4 / (384.0 * 40.0) - q * c**2 * s**2 / (16.0 * 40.0)
    assert weighed - bare == pytest.approx(expected, rel=1e-9)


# -- kick point ---------------------------------------------------------------------------------------------------
def test_kick_point_does_not_move_with_a_small_load() -> None:
    # Loads that move the tip by up to 1e-4 of the length, on the geometrically exact shape: what is left of large
    # deflection is (w/L)² = 1e-8. The size is proportional to the load to the same order; rtol 1e-6.
    a = shaft(s=(0.0, 0.6, 0.6, 1.1684), ei=(75.0, 50.0, 45.0, 20.0))
    largest = 1e-4 * (a.raw_length - 0.127) / read_kick_point(a, KickPointSetup(tip_load=1.0)).tip_deflection
    readings = [read_kick_point(a, KickPointSetup(tip_load=k * largest, exact=True)) for k in (1.0, 0.5, 0.1, 0.03)]
    for load, found in zip((1.0, 0.5, 0.1, 0.03), readings, strict=True):
        assert abs(found.tip_deflection) <= 1.0001e-4 * (a.raw_length - 0.127)
        assert found.share_of_free == pytest.approx(readings[0].share_of_free, abs=1e-6)
        assert found.distance / load == pytest.approx(readings[0].distance, rel=1e-6)
    linear = read_kick_point(a, KickPointSetup(tip_load=largest))
    assert readings[0].share_of_free == pytest.approx(linear.share_of_free, abs=1e-6)
    assert readings[0].distance == pytest.approx(linear.distance, rel=1e-5)


@pytest.mark.parametrize(
    ("ratio", "place"), [(1.0, 0.42265), (0.5, 0.44449), (1 / 3, 0.45572), (0.25, 0.46282), (0.1, 0.48020)]
)
def test_kick_point_of_straight_stiffness(ratio: float, place: float) -> None:
    # x/L from the clamp: uniform 1 − 1/√3; the others ∫ (L − x)/EI dx in closed form, apart from this code. On the
    # exact shape under a small load: abs 1e-5, the last figure and the look at half a millimetre.
    setup = KickPointSetup(clamp=0.0, tip_load=1e-4, exact=True)
    found = read_kick_point(shaft(s=(0.0, 1.0), ei=(75.0, 75.0 * ratio)), setup)
    assert 1.0 - found.share_of_free == pytest.approx(place, abs=1e-5)


# -- bend point ---------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("ratio", "place", "factor"),
    [(0.1, 0.5725, 4.6667), (0.3, 0.5427, 6.0693), (0.5, 0.5253, 7.2556), (0.7, 0.5132, 8.3434), (0.9, 0.5039, 9.3716)],
)
def test_bend_point_of_straight_stiffness(ratio: float, place: float, factor: float) -> None:
    # Dinnik; Timoshenko & Gere, Theory of Elastic Stability, §2.14: abs 1e-4, the last figure printed.
    found = read_bend_point(shaft(s=(0.0, 1.0), ei=(50.0, 50.0 * ratio)))
    assert 1.0 - found.share_of_raw == pytest.approx(place, abs=1e-4)
    assert found.force == pytest.approx(factor * 50.0, rel=1e-4)


def test_bend_and_kick_point_are_two_places() -> None:
    # Uniform: the bow of a compressed shaft is half-way, the kick point at 1 − 1/√3 from the clamp.
    a = shaft(s=(0.0, 1.0), ei=50.0)
    assert read_bend_point(a).share_of_raw == pytest.approx(0.5, abs=1e-9)
    kick = read_kick_point(a, KickPointSetup(clamp=0.0)).share_of_raw
    assert kick == pytest.approx(1.0 / math.sqrt(3.0), abs=1e-9)


def test_bend_point_between_pivots_and_at_a_shortening() -> None:
    # A piece between pivots is a column by itself; distances still count from the tip end of the whole shaft.
    a = shaft(s=(0.0, 1.2), ei=(80.0, 20.0))
    piece = shaft(s=(0.0, 1.0), ei=(80.0 - 50.0 * 0.1, 80.0 - 50.0 * 1.1))
    inner, alone = read_bend_point(a, BendPointSetup(butt_pivot=0.1, tip_pivot=0.1)), read_bend_point(piece)
    assert inner.share_of_free == pytest.approx(alone.share_of_free, rel=1e-9)
    assert inner.from_tip == pytest.approx(alone.from_tip + 0.1, rel=1e-9)
    bent = read_bend_point(a, BendPointSetup(shortening=0.02))
    # A sine's bow at this shortening: (2/π)√(s/L) L; within 5 % for a taper (its bow is no sine).
    assert bent.bow == pytest.approx(2.0 / math.pi * math.sqrt(0.02 * 1.2), rel=0.05)
    assert bent.force > read_bend_point(a).force


# -- vibration ----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("ratio", "rounded"), [(0.25, 1.57375), (1.0, 1.24792), (3.0, 0.98123), (10.0, 0.73578)])
def test_frequency_with_a_tip_mass(ratio: float, rounded: float) -> None:
    # β₁, ω = β² √(EI/mL⁴) (Laura et al. 1974; Blevins). rtol 3e-5: rotary inertia of a thin tube is 1e-5.
    assert tip_mass_factor(ratio) == pytest.approx(rounded, abs=6e-6)
    a = shaft(s=(0.0, 1.0), ei=40.0, mass=0.06)
    omega = rounded**2 * math.sqrt(40.0 / 0.06)
    assert cpm(a, FrequencySetup(0.0, ratio * 0.06)) == pytest.approx(60.0 * omega / (2.0 * math.pi), rel=3e-5)


@pytest.mark.parametrize(
    ("ratio", "inertia", "ahead", "expected"),
    [(1.0, 0.01, 0.0, 1.54368), (1.0, 0.0, 0.1, 1.38613), (2.0, 0.02, 0.05, 1.0752)],
)
def test_frequency_with_an_extended_tip_mass(ratio: float, inertia: float, ahead: float, expected: float) -> None:
    # ω₁ √(mL⁴/EI) with rotary inertia j mL³ and CG c L beyond the tip (problem: Bhat & Wagner 1976, J. Sound Vib.
    # 45:304; To 1982; values derived apart from this code). rtol 5e-5: the tube's rotary inertia, figures printed.
    a = shaft(s=(0.0, 1.0), ei=40.0, mass=0.06)
    setup = FrequencySetup(0.0, ratio * 0.06, tip_mass_cg=ahead, tip_mass_inertia=inertia * 0.06)
    assert cpm(a, setup) == pytest.approx(60.0 * expected * math.sqrt(40.0 / 0.06) / (2.0 * math.pi), rel=5e-5)


def test_the_round_figure() -> None:
    # EI 40 N·m², 1 m, 60 g/m, 205 g: 223.446 cpm (Blevins' equation, solved apart from this code).
    assert cpm(shaft(s=(0.0, 1.0), ei=40.0, mass=0.06), FrequencySetup(0.0, 0.205)) == pytest.approx(223.446, rel=3e-5)


@pytest.mark.parametrize(("ratio", "b"), [(0.1, 1.428870), (1.0, 0.860334), (5.0, 0.432841)])
def test_torsional_frequency(ratio: float, b: float) -> None:
    # b tan b = 1/μ_J, ω = b/L √(GJ/i) with i = m D²/4 of a thin tube (Blevins). rtol 1e-5: six twist functions.
    assert torsion_factor(ratio) == pytest.approx(b, abs=6e-7)
    a = shaft(s=(0.0, 1.0), gj=15.0, mass=0.06)
    polar = 0.06 * 0.012**2 / 4.0
    found = read_torsional_frequency(a, TorsionalFrequencySetup(0.0, ratio * polar))
    assert found.frequency == pytest.approx(b * math.sqrt(15.0 / polar) / (2.0 * math.pi), rel=1e-5)


# -- another library ----------------------------------------------------------------------------------------------
STEPS = ((0.0, 0.4, 60.0, 26.0), (0.4, 0.7, 45.0, 20.0), (0.7, 1.0, 30.0, 14.0), (1.0, 1.1, 20.0, 9.0))
"""From, to (m from the butt), EI, GJ (N·m²) of a stepped shaft."""


def stepped_shaft() -> Shaft:
    edges = [place for a, b, _, _ in STEPS for place in (a, b)]
    return shaft(
        s=edges,
        ei=[ei for _, _, ei, _ in STEPS for _ in range(2)],
        gj=[gj for _, _, _, gj in STEPS for _ in range(2)],
        mass=0.06,
    )


def frame(supports: dict[float, str], loads: dict[float, tuple[str, float]]):
    """The stepped shaft along X in PyNite with nodes at its steps, supports and loads; analysed."""
    from Pynite import FEModel3D

    model = FEModel3D()
    model.add_material("unit", 1.0, 1.0, 0.3, 0.0)
    places = sorted({place for a, b, _, _ in STEPS for place in (a, b)} | set(supports) | set(loads))
    for i, place in enumerate(places):
        model.add_node(f"N{i}", place, 0.0, 0.0)
    for k, (_, _, ei, gj) in enumerate(STEPS):
        model.add_section(f"S{k}", 1e7, ei, ei, gj)
    for i, (left, right) in enumerate(itertools.pairwise(places)):
        k = next(k for k, (a, b, _, _) in enumerate(STEPS) if a <= 0.5 * (left + right) < b)
        model.add_member(f"M{i}", f"N{i}", f"N{i + 1}", "unit", f"S{k}")
    name = {place: f"N{i}" for i, place in enumerate(places)}
    for place, kind in supports.items():
        fixed = {"clamp": (True,) * 6, "first": (True, True, True, True, False, False)}.get(
            kind, (False, True, True, False, False, False)
        )
        model.def_support(name[place], *fixed)
    for place, (direction, size) in loads.items():
        model.add_node_load(name[place], direction, size)
    model.analyze_linear(log=False)

    def at(place: float):
        return model.nodes[name[place]]

    return at


def test_a_stepped_shaft_against_a_frame_library() -> None:
    # PyNite (PyNiteFEA, a general library of frames): cantilever, twist and three-point bend. rtol 1e-3 is asked for;
    # both are exact for straight pieces of one stiffness, so that 1e-5 holds: its stretch and ours leave no more.
    a, clamp = stepped_shaft(), 0.127
    bent = frame({0.0: "clamp", clamp: "clamp"}, {1.1: ("FY", -LIGHT * STANDARD_GRAVITY)})
    found = read_deflection(a, DeflectionSetup(clamp=clamp, weight=LIGHT))
    assert found.deflection == pytest.approx(-bent(1.1).DY["Combo 1"], rel=1e-5)
    assert math.tan(found.slope) == pytest.approx(-bent(1.1).RZ["Combo 1"], rel=1e-5)

    twisted = frame({0.0: "clamp", 0.0508: "clamp"}, {1.1 - 0.0254: ("MX", 1.0)})
    reading = read_torque(a, TorqueSetup(moment=1.0))
    assert reading.twist == pytest.approx(twisted(1.1 - 0.0254).RX["Combo 1"], rel=1e-5)

    for from_tip in (0.2, 0.35, 0.52, 0.8):
        middle = 1.1 - from_tip
        first, last = middle - 0.15, middle + 0.15
        pressed = frame({first: "first", last: "roller"}, {middle: ("FY", -1.0)})
        assert scan(a, 0.3, from_tip)[0] == pytest.approx(-pressed(middle).DY["Combo 1"], rel=1e-5)
