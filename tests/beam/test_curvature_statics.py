"""Statics and small motions of the `curvature` solver against closed forms and published benchmarks."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import ellipe, ellipeinc, ellipk, ellipkinc

from swingbeam.beam import Profile, SimulationError, TipBody, natural_frequencies, static_shape
from swingbeam.beam.curvature import linearise, prepare


def shape(profile: Profile, **loads):
    return static_shape(profile, solver="curvature", **loads)


def elastica(alpha: float) -> tuple[float, float]:
    """Tip x/L, y/L of an inextensible cantilever under a dead transverse load, α = P L²/EI.

    Bisshopp & Drucker 1945, Quart. Appl. Math. 3:272: with ψ the slope of the tip, m = (1 + sin ψ)/2 and
    sin² φ = 1/(2m):  √α = K(m) − F(φ, m),  y/L = 1 − 2 (E(m) − E(φ, m))/√α,  x/L = √(2 sin ψ/α).
    """

    def lower(psi: float) -> tuple[float, float]:
        m = 0.5 * (1.0 + np.sin(psi))
        return m, np.arcsin(np.sqrt(0.5 / m))

    def excess(psi: float) -> float:
        m, phi = lower(psi)
        return float(ellipk(m) - ellipkinc(phi, m) - np.sqrt(alpha))

    psi = brentq(excess, 1e-3, np.pi / 2 - 1e-9, xtol=1e-14)
    m, phi = lower(psi)
    y = 1.0 - 2.0 * (ellipe(m) - ellipeinc(phi, m)) / np.sqrt(alpha)
    return float(np.sqrt(2.0 * np.sin(psi) / alpha)), float(y)


@pytest.mark.parametrize("alpha", [1.0, 5.0, 10.0])
def test_large_deflection_of_a_cantilever(alpha: float) -> None:
    beam = Profile([0.0, 1.0], 1.0, 0.7, 0.01)
    tip = shape(beam, tip_force=(0.0, alpha, 0.0), functions=(10, 1)).position[-1]
    x, y = elastica(alpha)
    # ten functions leave 1e-5 of a shape that turns by 1.4 rad
    np.testing.assert_allclose(tip, [x, y, 0.0], rtol=0, atol=3e-5)


def test_a_moment_rolls_the_beam_into_a_circle() -> None:
    beam = Profile([0.0, 0.5, 2.0], 3.0, 1.0, 0.01)
    at = shape(beam, tip_moment=(0.0, 0.0, 2.0 * np.pi * 3.0 / 2.0)).position
    radius = 1.0 / np.pi
    # Euler: constant curvature, which the expansion integrates exactly
    np.testing.assert_allclose(at[-1], np.zeros(3), rtol=0, atol=1e-8)
    np.testing.assert_allclose(at[1], [radius, radius, 0.0], rtol=0, atol=1e-8)


def test_droop_and_lead_twist_the_beam() -> None:
    # Princeton beam, tip load 8.896 N at 30° from the stiff axis; twist by the turn of the stiff axis
    # (Dowell & Traybar 1975; Obrezkov et al. 2022, Nonlinear Dyn. 109:31: v 0.010112, w 0.079395 m).
    beam = Profile([0.0, 0.508], [[2.4287, 36.279]] * 2, 3.1033, 1e-6)
    angle = np.deg2rad(30.0)
    at = shape(beam, tip_force=(0.0, 8.896 * np.sin(angle), 8.896 * np.cos(angle)))
    assert at.position[-1, 1] == pytest.approx(0.079395, rel=5e-3)
    assert at.position[-1, 2] == pytest.approx(0.010112, rel=1.5e-2)
    turn = at.rotation[-1]
    twist = np.degrees(np.arctan2(turn[1, 2], turn[2, 2]))
    assert abs(twist) == pytest.approx(1.512, rel=2e-2)


def test_line_load_and_gravity_are_the_same_load() -> None:
    beam = Profile([0.0, 0.4, 1.0], [50.0, 40.0, 20.0], 15.0, [0.1, 0.08, 0.05])
    weight = beam.mass[:, None] * np.array([0.0, 0.0, -9.80665])
    by_line = shape(beam, line_load=weight)
    by_gravity = shape(beam, gravity=(0.0, 0.0, -9.80665))
    np.testing.assert_allclose(by_line.position, by_gravity.position, rtol=0, atol=1e-10)
    # small deflection: δ = ∫ M(s) (L − s)/EI ds
    expected = -quad(
        lambda s: (
            (1.0 - s)
            / np.interp(s, beam.s, beam.ei[:, 0])
            * quad(lambda x: 9.80665 * np.interp(x, beam.s, beam.mass) * (x - s), s, 1.0, points=[max(s, 0.4)])[0]
        ),
        0.0,
        1.0,
        points=[0.4],
    )[0]
    assert by_gravity.position[-1, 2] == pytest.approx(expected, rel=1e-4)


def test_poses_at_every_station_of_a_stepped_curved_beam() -> None:
    # Without loads the beam has its reference shape: two arcs.
    s = [0.0, 0.5, 0.5, 1.0]
    bend = np.array([[0, 0, 1.0], [0, 0, 1.0], [0, -2.0, 0], [0, -2.0, 0]])
    beam = Profile(s, [50.0, 50.0, 30.0, 30.0], 20.0, 0.05, reference_curvature=bend)
    at = shape(beam)
    np.testing.assert_allclose(at.position[1], [np.sin(0.5), 1.0 - np.cos(0.5), 0.0], rtol=0, atol=1e-12)
    np.testing.assert_array_equal(at.position[1], at.position[2])
    turn = at.rotation[1]
    second = turn @ np.array([np.sin(1.0) / 2.0, 0.0, (1.0 - np.cos(1.0)) / 2.0])
    np.testing.assert_allclose(at.position[3], at.position[1] + second, rtol=0, atol=1e-12)


def test_a_spin_that_is_not_finite_is_reported() -> None:
    beam = Profile([0.0, 1.0], 1.0, 0.7, 0.01)
    model = prepare(beam, TipBody(0.1), (0.0, 0.0))
    with pytest.raises(SimulationError):
        linearise(model, np.array([0.0, 0.0, np.nan]), np.zeros(3))


def test_rotating_beam() -> None:
    # Flap frequencies at η = 0, 4, 12: Wright, Smith, Thresher & Wang 1982, J. Appl. Mech. 49:197;
    # in the plane ω² is less by η² (any textbook of rotor dynamics).
    beam = Profile([0.0, 1.0], 1.0, 0.5, 1.0)
    for eta, first, second in ((0.0, 3.5160, 22.0345), (4.0, 5.5850, 24.2733), (12.0, 13.1702, 37.6031)):
        found = 2.0 * np.pi * natural_frequencies(beam, solver="curvature", spin=(0.0, 0.0, eta), count=4)
        flap = [found[1], found[3]]
        np.testing.assert_allclose(flap, [first, second], rtol=1e-3)
        assert found[0] ** 2 == pytest.approx(first**2 - eta**2, rel=3e-3)


def test_linear_matrices_of_a_spinning_beam() -> None:
    beam = Profile([0.0, 1.0], [70.0, 30.0], 15.0, 0.06, rotary=1e-6)
    model = prepare(beam, TipBody(0.2, [0.02, -0.02, 0.03], [3e-4, 3e-4, 4e-4]), (0.0, 0.0))
    mass, gyroscopic, stiffness = linearise(model, np.array([0.0, 3.0, 20.0]), np.array([0.5, 0.0, 0.0]))
    # A conservative system in a steadily turning frame: M and K symmetric, G skew (Meirovitch).
    np.testing.assert_allclose(mass, mass.T, rtol=0, atol=1e-12)
    np.testing.assert_allclose(gyroscopic, -gyroscopic.T, rtol=0, atol=1e-10)
    np.testing.assert_allclose(stiffness, stiffness.T, rtol=0, atol=1e-6 * np.abs(stiffness).max())
    assert np.abs(gyroscopic).max() > 1e-3
