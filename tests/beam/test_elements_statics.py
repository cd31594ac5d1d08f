"""Static shapes and small vibrations of the element solver: averaging, order, published references."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam import Profile, TipBody, natural_frequencies, static_shape
from swingbeam.beam.elements import prepare
from swingbeam.beam.rotations import rotation_from_vector, vector_from_rotation


def _uniform(ei=100.0, **more):
    return Profile([0.0, 1.0], ei, 50.0, 0.1, **more)


def _angle(shape):
    """Rotation of the tip about −y (towards +z), rad."""
    tip = shape.rotation[-1]
    return np.arctan2(tip[2, 0], tip[0, 0])


def test_steps_inside_an_element_are_averaged_exactly():
    # Under a tip moment the turn is ∫ M/EI ds, whatever the mesh: three pieces, none ends at a node.
    s = [0.0, 0.23, 0.23, 0.61, 0.61, 1.0]
    ei = np.array([50.0, 50.0, 30.0, 20.0, 10.0, 10.0])
    gj = np.array([40.0, 40.0, 30.0, 30.0, 12.0, 8.0])
    profile = Profile(s, ei, gj, 0.05)
    moment = 0.02
    bend = 0.23 / 50.0 + 0.38 * np.log(30.0 / 20.0) / 10.0 + 0.39 / 10.0
    twist = 0.23 / 40.0 + 0.38 / 30.0 + 0.39 * np.log(12.0 / 8.0) / 4.0
    for elements in (1, 4, 7):
        shape = static_shape(profile, tip_moment=(0.0, 0.0, moment), elements=elements)
        np.testing.assert_allclose(vector_from_rotation(shape.rotation[-1]), [0.0, 0.0, moment * bend], atol=1e-14)
        shape = static_shape(profile, tip_moment=(moment, 0.0, 0.0), elements=elements)
        np.testing.assert_allclose(vector_from_rotation(shape.rotation[-1]), [moment * twist, 0.0, 0.0], atol=1e-14)


def test_mass_and_first_moment_are_kept():
    # (4 + 2 kg/m: step at 0.37; then linear 2 → 1): closed forms of the pieces
    profile = Profile([0.0, 0.37, 0.37, 1.0], 50.0, 40.0, [0.4, 0.4, 0.2, 0.1], rotary=[4e-6, 4e-6, 2e-6, 2e-6])
    mass = 0.4 * 0.37 + 0.15 * 0.63
    first = 0.4 * 0.37**2 / 2.0 + 0.63 * (0.2 * (0.37 / 2 + 1 / 2) - 0.1 * (0.37 / 6 + 1 / 3))
    for elements in (1, 5, 16):
        model = prepare(profile, TipBody.none(), elements=elements)
        assert model.node_mass.sum() == pytest.approx(mass, rel=1e-13)
        assert model.node_mass @ model.station == pytest.approx(first, rel=1e-13)
        assert model.node_polar.sum() == pytest.approx(4e-6 * 0.37 + 2e-6 * 0.63, rel=1e-13)


def test_an_unloaded_curved_beam_lies_on_its_arc():
    radius, angle = 2.0, np.pi / 3.0
    s = np.linspace(0.0, radius * angle, 7)
    profile = Profile(s, 10.0, 10.0, 0.1, reference_curvature=[[0.0, 0.0, 1.0 / radius]] * 7)
    shape = static_shape(profile, elements=4)
    arc = np.stack([radius * np.sin(s / radius), radius * (1.0 - np.cos(s / radius)), 0.0 * s], axis=1)
    # constant curvature is exact in the strain of an element
    np.testing.assert_allclose(shape.position, arc, rtol=0, atol=1e-12)


def test_a_spine_turns_the_principal_planes():
    # Turning spine and load together turns the shape: definition of spine_angle.
    ei = np.array([[30.0, 20.0], [10.0, 8.0]])
    plain = Profile([0.0, 1.0], ei, 20.0, 0.1)
    turned = Profile([0.0, 1.0], ei, 20.0, 0.1, spine_angle=0.7)
    turn = rotation_from_vector([0.7, 0.0, 0.0])
    load = np.array([0.0, 3.0, 5.0])
    expected = static_shape(plain, tip_force=load).position @ turn.T
    # the same arithmetic in turned axes
    np.testing.assert_allclose(static_shape(turned, tip_force=turn @ load).position, expected, rtol=0, atol=1e-10)
    assert np.abs(static_shape(plain, tip_force=turn @ load).position - expected).max() > 1e-2


def test_second_order_under_a_tip_load():
    # PL³/3EI of a small load; the midpoint rule for the moment misses 1/(4 N²) of it.
    load = 1e-4
    exact = load / 300.0
    for elements in (8, 16, 32):
        deflection = -static_shape(_uniform(), tip_force=(0.0, 0.0, -load), elements=elements).position[-1, 2]
        # shear of the default stiffness adds 3e-7, and round-off of stiff shear 1e-9
        assert 1.0 - deflection / exact == pytest.approx(0.25 / elements**2, abs=1e-6)


@pytest.mark.parametrize(
    ("alpha", "down", "inward", "angle"),
    [
        (1.0, 0.30172, 0.05643, 0.46135),
        (2.0, 0.49346, 0.16064, 0.78175),
        (5.0, 0.71379, 0.38763, 1.21537),
        (10.0, 0.81061, 0.55500, 1.43029),
    ],
)
def test_large_deflection_of_a_cantilever(alpha, down, inward, angle):
    # Bisshopp & Drucker 1945, Q. Appl. Math. 3:272; digits of Mattiasson 1981, Int. J. Numer. Methods
    # Eng. 17:145, table 1.
    shape = static_shape(_uniform(), tip_force=(0.0, 0.0, -100.0 * alpha), elements=80)
    got = [-shape.position[-1, 2], 1.0 - shape.position[-1, 0], -_angle(shape)]
    # five digits are printed; 80 elements leave 1e-4 (1/(4·80²) of the linear part and more at large load)
    np.testing.assert_allclose(got, [down, inward, angle], rtol=0, atol=1e-4)


@pytest.mark.parametrize("elements", [16, 20])
def test_a_tip_moment_rolls_the_beam_into_a_circle(elements):
    # Euler: curvature M/EI, a full turn at M = 2π EI/L; exact in this element.
    shape = static_shape(_uniform(), tip_moment=(0.0, 0.0, 2.0 * np.pi * 100.0), elements=elements)
    np.testing.assert_allclose(shape.position[-1], 0.0, rtol=0, atol=1e-10)
    np.testing.assert_allclose(shape.rotation[-1], np.eye(3), rtol=0, atol=1e-10)


def test_forty_five_degree_bend():
    # Bathe & Bolourchi 1979, Int. J. Numer. Methods Eng. 14:961 (the problem); converged values for J
    # = 0.1406 to be met within 0.1 % of R, the spread between published codes being 1 %.
    radius = 100.0
    length = radius * np.pi / 4.0
    profile = Profile(
        [0.0, length],
        1e7 / 12.0,
        0.1406 * 5e6,
        1.0,
        ea=1e7,
        ga=5e6,
        reference_curvature=[[0.0, 0.0, 1.0 / radius]] * 2,
    )
    tip = static_shape(profile, tip_force=(0.0, 0.0, 600.0), elements=32).position[-1]
    np.testing.assert_allclose(tip, [46.892, 15.558, 53.607], rtol=0, atol=0.1)


@pytest.mark.parametrize(
    ("degrees", "stiff_way", "soft_way", "twist"),
    [(15, 0.01063, 0.04213, 0.906), (30, 0.01015, 0.07946, 1.512), (60, 0.00665, 0.12992, 1.381)],
)
def test_princeton_beam(degrees, stiff_way, soft_way, twist):
    # Dowell & Traybar 1975; values as recomputed by Obrezkov et al. 2022, Nonlinear Dyn. 109:31, load
    # P2 = 8.896 N.
    area, shear = 12.377e-3 * 3.2024e-3, 71.7e9 / 2.62
    profile = Profile(
        [0.0, 0.508],
        np.array([[36.279, 2.4287]] * 2),
        3.1033,
        1e-3,
        ea=71.7e9 * area,
        ga=5.0 / 6.0 * shear * area,
    )
    angle = np.radians(degrees)
    shape = static_shape(profile, tip_force=(0.0, 8.896 * np.cos(angle), 8.896 * np.sin(angle)), elements=40)
    _, v, w = shape.position[-1]
    tip = shape.rotation[-1]
    assert v == pytest.approx(stiff_way, rel=0.015)
    assert w == pytest.approx(soft_way, rel=0.005)
    assert abs(np.degrees(np.arctan2(tip[2, 1], tip[1, 1]))) == pytest.approx(twist, rel=0.02)


def test_lowest_frequencies_of_a_cantilever():
    # (β L)² of the uniform cantilever: Blevins 1979, Formulas for Natural Frequency and Mode Shape,
    # table 8-1.
    omega = 2.0 * np.pi * natural_frequencies(_uniform(rotary=1e-9), count=6, elements=64) / np.sqrt(100.0 / 0.1)
    # lumped masses: second order, below 1e-3 at 64 elements
    np.testing.assert_allclose(omega[::2], [3.51602, 22.0345, 61.6972], rtol=1e-3)


def test_directions_without_mass_are_condensed():
    # Rotary inertia far too small to matter and none at all must give the same frequencies.
    none = natural_frequencies(_uniform(), TipBody(0.1), count=4, elements=16)
    little = natural_frequencies(_uniform(rotary=1e-10), TipBody(0.1), count=4, elements=16)
    np.testing.assert_allclose(none, little, rtol=1e-6)


def test_steady_spin_in_plane_and_out_of_plane():
    # ω_in² = ω_out² − Ω² for a straight spinning beam (Wright, Smith, Thresher & Wang 1982, J. Appl.
    # Mech. 49:197).
    eta = 6.0
    spin = eta * np.sqrt(100.0 / 0.1)
    f = natural_frequencies(
        Profile([0.0, 1.0], 100.0, 1e4, 0.1), count=2, spin=(0.0, 0.0, spin), hub=(0.0, 0.0, 0.0), elements=48
    )
    inside, outside = (2.0 * np.pi * f / np.sqrt(100.0 / 0.1)) ** 2
    # the identity itself holds on any mesh, up to the stretch of 1e-6 under the pull
    assert inside == pytest.approx(outside - eta**2, rel=1e-4)
    assert np.sqrt(outside) == pytest.approx(7.3604, rel=1e-3)
