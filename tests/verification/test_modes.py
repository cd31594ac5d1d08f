"""Natural frequencies at rest and in steady spin against tables, characteristic equations and Ritz series.

Frequencies are in √(EI₀/m₀L⁴) where the beam has EI₀ = m₀ = L = 1. Each test says whether its figures stand in
the source it names, or whether the source poses the problem and the figures are worked out beside it.
"""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam import TipBody, natural_frequencies
from verification.beams import SWING_FUNCTIONS, converged, plane_pairs, tapered, uniform
from verification.derived import (
    PlaneTip,
    RitzBeam,
    constant,
    offset_tip_frequencies,
    tip_mass_factor,
    torsion_factor,
)

MESH = 32
"""Coarse mesh of the extrapolation: what it leaves falls with the fourth power, 1e-5 of a third mode."""
SLENDER = 1e-7
"""kg·m: rotary inertia (in m₀L²) small enough to move no frequency here by 1e-5."""
ONE = constant(1.0)


def beam(**more):
    """EI₀ = m₀ = L = 1, its twist far above the bending of interest."""
    return uniform(gj=1.0, rotary=SLENDER, **more)


def bending(solver, profile, tip=None, count=3, **spin):
    """Converged bending frequencies, rad/s, of a beam that bends alike in both planes."""

    def measure(**mesh):
        return 2 * np.pi * natural_frequencies(profile, tip, count=2 * count, **spin, **mesh)

    return plane_pairs(converged(solver, measure, elements=MESH))


def first_at_swing_default(profile, tip=None, **more):
    """First bending frequency, rad/s, of `curvature` with the few functions it swings with."""
    found = natural_frequencies(profile, tip, count=1, solver="curvature", functions=SWING_FUNCTIONS, **more)
    return 2 * np.pi * found[0]


# -- at rest ------------------------------------------------------------------------------------------------------
def test_uniform_cantilever(solver):
    """Blevins, Formulas for Natural Frequency and Mode Shape, table 8-1: (βL)² of cos β cosh β = −1."""
    np.testing.assert_allclose(bending(solver, beam()), [3.51602, 22.0345, 61.6972], rtol=1e-5)


def test_beam_without_rotary_inertia(solver):
    """The default beam has no rotary inertia of its own; bending is the same as that of a slender one."""
    found = natural_frequencies(uniform(), count=2, solver=solver) * 2 * np.pi
    np.testing.assert_allclose(found, 3.51602, rtol=1e-3)  # 32 elements: second order, 3e-4


@pytest.mark.parametrize(("ratio", "rounded"), [(0.25, 1.57375), (1.0, 1.24792), (3.0, 0.98123), (10.0, 0.73578)])
def test_tip_mass(solver, ratio, rounded):
    """β₁ of ω = β² with a point mass of `ratio` beam masses (Laura et al. 1974; Blevins)."""
    assert tip_mass_factor(ratio) == pytest.approx(rounded, abs=6e-6)
    found = bending(solver, beam(), TipBody(ratio), count=1)
    np.testing.assert_allclose(np.sqrt(found[0]), rounded, rtol=1e-5)
    np.testing.assert_allclose(np.sqrt(first_at_swing_default(beam(), TipBody(ratio))), rounded, rtol=1e-4)


@pytest.mark.parametrize(
    ("ratio", "inertia", "ahead", "expected"),
    [
        (1.0, 0.01, 0.0, (1.54368, 13.2396, 32.0696)),
        (1.0, 0.0, 0.1, (1.38613, 13.5478, 42.8014)),
        (2.0, 0.02, 0.05, (1.0752, 10.8766, 29.0660)),
    ],
)
def test_tip_body_with_rotary_inertia_and_offset(solver, ratio, inertia, ahead, expected):
    """Tip mass ratio, J/mL³ about its CG, CG ahead of the tip.

    Problem: Bhat & Wagner 1976, J. Sound Vib. 45:304; To 1982, J. Sound Vib. 83:445; figures by the series.
    """
    series = RitzBeam(ONE, ONE, tip=PlaneTip(ratio, inertia, ahead))
    np.testing.assert_allclose(series.frequencies(3), expected, rtol=1e-5)
    # A polar inertia beyond the others' sum is no body: equal moments are, and twist is a plane of its own.
    tip = TipBody(ratio, [ahead, 0, 0], [inertia] * 3)
    profile = uniform(gj=1e6, rotary=SLENDER)
    found = bending(solver, profile, tip)
    np.testing.assert_allclose(found, expected, rtol=1e-4)  # extrapolation of the third mode, fourth order
    np.testing.assert_allclose(first_at_swing_default(profile, tip), expected[0], rtol=1e-4)


@pytest.mark.parametrize(
    ("ratio", "tube", "cone"),
    [
        (0.8, (3.6083, 20.621, 56.192), (3.8551, 21.0567, 56.630)),
        (0.5, (3.82379, 18.3173, 47.2648), (4.62515, 19.5476, 48.5789)),
        (0.2, (4.2925, 15.7427, 36.8846), (6.1964, 18.3855, 39.8336)),
    ],
)
@pytest.mark.parametrize("shape", ["tube", "cone"])
def test_tapers(solver, shape, ratio, tube, cone):
    """Thin tube of constant wall (A ~ h, I ~ h³) and cone (h², h⁴) of a tip/root depth.

    Mabie & Rogers 1972, J. Acoust. Soc. Am. 51:1771; Banerjee 2006, J. Sound Vib. 298:1034.
    """
    expected, power = (tube, 3) if shape == "tube" else (cone, 4)
    series = RitzBeam(lambda s: (1 - (1 - ratio) * s) ** power, lambda s: (1 - (1 - ratio) * s) ** (power - 2))
    np.testing.assert_allclose(series.frequencies(3), expected, rtol=2e-5)
    profile = tapered(power, power - 2, ratio, stations=129, rotary=SLENDER)
    found = bending(solver, profile)
    # 1e-3 as the tables are used; stations 1/128 apart leave 1e-4 of the tip's EI at ratio .2.
    np.testing.assert_allclose(found, expected, rtol=1e-3)
    np.testing.assert_allclose(first_at_swing_default(profile), expected[0], rtol=1e-3)


@pytest.mark.parametrize(("ratio", "rounded"), [(0.1, 1.428870), (1.0, 0.860334), (5.0, 0.432841)])
def test_torsion_with_tip_inertia(solver, ratio, rounded):
    """b of ω = b √(GJ/ip)/L with b tan b = 1/μ_J (Blevins); bending is far above."""
    assert torsion_factor(ratio) == pytest.approx(rounded, abs=1e-6)
    profile = uniform(ei=1e6, gj=1.0, mass=1.0, rotary=1.0)
    tip = TipBody(0.0, inertia=np.diag([1.0, 0.5, 0.5]) * ratio)

    def measure(**mesh):
        return 2 * np.pi * natural_frequencies(profile, tip, count=1, **mesh)[0]

    np.testing.assert_allclose(converged(solver, measure, elements=MESH), rounded, rtol=1e-5)
    # One twist function is one of constant torque: exact for a heavy tip, Rayleigh's upper bound otherwise:
    # ω² = 1/(1/3 + μ_J), 4 % high in b² at μ_J = .1.
    swing = 2 * np.pi * natural_frequencies(profile, tip, count=1, solver="curvature", functions=SWING_FUNCTIONS)
    np.testing.assert_allclose(swing[0], 1 / np.sqrt(1 / 3 + ratio), rtol=1e-6)


def test_clamped_beam_with_a_mass_in_cycles_per_minute(solver):
    """EI 40 N·m², 1 m, .06 kg/m, point mass .205 kg: 223.446 cycles per minute, by Ritz series."""
    series = RitzBeam(constant(40.0), constant(0.06), tip=PlaneTip(0.205))
    expected = series.frequencies(1)[0] * 60 / (2 * np.pi)
    assert expected == pytest.approx(223.446, abs=5e-4)
    profile, tip = uniform(1.0, 40.0, 30.0, 0.06), TipBody(0.205)

    def measure(**mesh):
        return 60 * natural_frequencies(profile, tip, count=1, **mesh)[0]

    np.testing.assert_allclose(converged(solver, measure, elements=MESH), expected, rtol=1e-5)
    np.testing.assert_allclose(measure(solver="curvature", functions=SWING_FUNCTIONS), expected, rtol=1e-5)


def test_two_planes_and_their_spine(solver):
    """Frequencies of two unequal planes go with √EI, whatever angle the spine stands at."""
    expected = np.sort(3.51602 * np.sqrt([2.0, 3.0]))
    for angle in (0.0, 0.7):
        profile = uniform(1.0, (2.0, 3.0), rotary=SLENDER, spine_angle=angle)

        def measure(profile=profile, **mesh):
            return 2 * np.pi * natural_frequencies(profile, count=2, **mesh)

        np.testing.assert_allclose(converged(solver, measure, elements=MESH), expected, rtol=1e-5)


# -- an offset tip body: bending with twist -----------------------------------------------------------------------
@pytest.mark.parametrize(
    ("side", "rounded"),
    [(0.0, (3.4710, 31.7604, 54.9884, 150.757)), (0.03, (3.4594, 31.1494, 55.5466, 150.758))],
)
def test_bending_with_twist(solver, side, rounded):
    """EI 35, GJ 12, .06 kg/m, 1 m; body .2 kg, CG .01 m ahead and `side` off the axis, Jx 3e-4, Jy 2.5e-4 kg·m².

    Problem: Oguamanam 2003, Int. J. Mech. Sci. 45:963; figures by the series. The rounded ones leave out the beam's
    transverse rotary inertia; the series here has it. Bending in the other plane is a set of its own.
    """
    polar, tip_y, tip_z = 4e-6, 2.5e-4, 2.5e-4

    def series(rotary):
        plane = RitzBeam(constant(35.0), constant(0.06), rotary=constant(rotary), tip=PlaneTip(0.2, tip_y, 0.01))
        return offset_tip_frequencies(plane, 12.0, polar, side, 3e-4)[:4] / (2 * np.pi)

    np.testing.assert_allclose(series(0.0), rounded, rtol=2e-5)
    # In the other plane the body's CG moves along the axis by −side·v′: as much rotary inertia more.
    across = RitzBeam(
        constant(35.0),
        constant(0.06),
        rotary=constant(polar / 2),
        tip=PlaneTip(0.2, tip_z + 0.2 * side**2, 0.01),
    )
    expected = np.sort(np.concatenate([series(polar / 2), across.frequencies(3) / (2 * np.pi)]))
    profile = uniform(1.0, 35.0, 12.0, 0.06, rotary=polar)
    tip = TipBody(0.2, [0.01, side, 0.0], np.diag([3e-4, tip_y, tip_z]))

    def measure(**mesh):
        return natural_frequencies(profile, tip, count=7, **mesh)

    found = converged(solver, measure, elements=MESH)
    np.testing.assert_allclose(found, expected, rtol=2e-4)  # extrapolation of the fourth bending mode
    for value in rounded:
        # Against the nearest: 1e-3, the transverse rotary inertia left out is 4e-4 at the fourth.
        assert np.min(np.abs(found / value - 1)) < 1e-3
    # With the swing's few functions the first three hold; the fourth, a third bending mode, is that of a Ritz
    # series in the same shapes (four of bending, one of twist), .9 % high.
    swing = natural_frequencies(profile, tip, count=7, solver="curvature", functions=SWING_FUNCTIONS)
    for value in rounded[:3]:
        assert np.min(np.abs(swing / value - 1)) < 1e-3
    few = RitzBeam(constant(35.0), constant(0.06), rotary=constant(polar / 2), tip=PlaneTip(0.2, tip_y, 0.01), terms=4)
    for value in offset_tip_frequencies(few, 12.0, polar, side, 3e-4, terms=1)[:4] / (2 * np.pi):
        assert np.min(np.abs(swing / value - 1)) < 1e-3


# -- in steady spin -----------------------------------------------------------------------------------------------
FLAP = [
    # Wright, Smith, Thresher & Wang 1982, J. Appl. Mech. 49:197; Bir 2009, NREL (verification of BModes).
    (0, 3.5160, 22.0345),
    (2, 4.1373, 22.6149),
    (4, 5.5850, 24.2733),
    (6, 7.3604, 26.8091),
    (8, 9.2568, 29.9954),
    (10, 11.2023, 33.6404),
    (12, 13.1702, 37.6031),
]


SPUN = {"elements": 2e-5, "curvature": 3e-4}
"""Tables of five digits, extrapolated meshes; poses between a dozen mass points, fourth order, for `curvature`."""


def flap(solver, spin, tip=None, hub=0.0, **mesh):
    """First two flapping frequencies, rad/s, in spin about z.

    Planes alike, so that each flapping mode follows its lagging twin (ω_lag² = ω_flap² − spin²) in the list.
    """
    if not mesh:
        return converged(solver, lambda solver, **fine: flap(solver, spin, tip, hub, **fine), elements=32)
    profile = uniform(gj=1e3, rotary=SLENDER)
    found = natural_frequencies(profile, tip, count=4, spin=[0, 0, spin], hub=[hub, 0, 0], solver=solver, **mesh)
    return 2 * np.pi * found[1::2]


@pytest.mark.parametrize(("spin", "first", "second"), FLAP)
def test_flap_of_a_rotating_beam(solver, spin, first, second):
    """ω/√(EI/mL⁴) out of the plane of rotation, hub 0, η = Ω√(mL⁴/EI)."""
    np.testing.assert_allclose(RitzBeam(ONE, ONE).frequencies(2, spin), [first, second], rtol=1e-5)
    np.testing.assert_allclose(flap(solver, spin), [first, second], rtol=SPUN[solver])
    if solver == "curvature":
        # Four functions a plane: the same shapes as a Ritz series of four terms, within 1.3e-3 of the table.
        few = flap(solver, spin, functions=SWING_FUNCTIONS)
        np.testing.assert_allclose(few[0], first, rtol=1e-3)


def test_four_terms_suffice_for_flap():
    """What the swing default can be asked for: a four-term Ritz series is within 1.3e-3 at η = 12."""
    series = RitzBeam(ONE, ONE, terms=4)
    for spin, first, _ in FLAP:
        np.testing.assert_allclose(series.frequencies(1, spin), first, rtol=1.3e-3)


@pytest.mark.parametrize("spin", [2.0, 6.0, 12.0])
def test_lag_is_flap_less_the_square_of_the_spin(solver, spin):
    """ω_lag² = ω_flap² − η² for equal planes: centrifugal force turns with the plane of rotation (textbook)."""
    # Coriolis forces on a stretch lower lag by some 4 ω²/(2.5 EA): EA = 1e9 makes that 3e-7 here.
    profile = uniform(gj=1e3, ea=1e9, ga=1e9)
    mesh = {"functions": (8, 4)} if solver == "curvature" else {"elements": 16}
    found = 2 * np.pi * natural_frequencies(profile, count=4, spin=[0, 0, spin], solver=solver, **mesh)
    lag, out_of_plane = found[0::2], found[1::2]
    np.testing.assert_allclose((out_of_plane**2 - lag**2) / spin**2, 1.0, rtol=1e-6)


@pytest.mark.parametrize(
    ("spin", "first", "second"), [(0, 1.557, 16.25), (4, 4.543, 23.03), (8, 8.495, 36.21), (12, 12.48, 50.86)]
)
def test_flap_with_a_tip_mass(solver, spin, first, second):
    """Tip mass equal to the beam's (Bir 2010, NREL/CP-500-47953, table 5; four digits)."""
    series = RitzBeam(ONE, ONE, tip=PlaneTip(1.0)).frequencies(2, spin)
    np.testing.assert_allclose(series, [first, second], rtol=1e-3)
    found = flap(solver, spin, TipBody(1.0))
    np.testing.assert_allclose(found, [first, second], rtol=1e-3)
    np.testing.assert_allclose(found, series, rtol=SPUN[solver])
    if solver == "curvature":
        # The few functions span the same shapes as the series' first four terms, whose error this is, not less:
        # 3e-3 at η = 12. What is left are the poses between few mass points, fourth order.
        few = flap(solver, spin, TipBody(1.0), functions=SWING_FUNCTIONS)
        four = RitzBeam(ONE, ONE, tip=PlaneTip(1.0), terms=4).frequencies(1, spin)
        np.testing.assert_allclose(few[0], four, rtol=1e-3)


def test_a_hub_stiffens(solver):
    """Hub radius r adds T = Ω² ∫ m (r + x): against the Ritz series at η = 6, r = L/2."""
    expected = RitzBeam(ONE, ONE).frequencies(2, 6.0, 0.5)
    np.testing.assert_allclose(flap(solver, 6.0, hub=0.5), expected, rtol=SPUN[solver])
