"""Tables of the `curvature` solver against adaptive quadrature and closed forms."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from numpy.polynomial.legendre import Legendre
from scipy.integrate import quad

from swingbeam.beam.curvature import prepare
from swingbeam.beam.curvature_tables import (
    fine_rule,
    interval_moments,
    lagrange_weights,
    mass_rule,
    piecewise_rule,
    stiffness_matrix,
    strain_functions,
    weighted_gauss,
)
from swingbeam.beam.model import Profile, TipBody

LENGTH = 1.05
STATIONS = np.array([0.0, 0.3, 0.3, 0.55, 0.8, LENGTH])
EI_Z = np.array([80.0, 60.0, 45.0, 50.0, 30.0, 8.0])
EI_Y = 1.2 * EI_Z
GJ = np.array([40.0, 32.0, 25.0, 21.0, 20.0, 9.0])
MASS = np.array([0.12, 0.09, 0.07, 0.07, 0.05, 0.06])


@pytest.fixture(scope="module")
def profile() -> Profile:
    return Profile(STATIONS, np.column_stack([EI_Z, EI_Y]), GJ, MASS, rotary=3e-6)


def value(values: np.ndarray, s: float) -> float:
    """Piecewise linear value, the upper side at a step."""
    i = int(np.clip(np.searchsorted(STATIONS, s, side="right") - 1, 0, STATIONS.size - 2))
    part = (s - STATIONS[i]) / (STATIONS[i + 1] - STATIONS[i])
    return float(values[i] + part * (values[i + 1] - values[i]))


def integral(f, a: float, b: float) -> float:
    breaks = [s for s in (0.3, 0.55, 0.8) if a < s < b]
    edges = [a, *breaks, b]
    return sum(quad(f, p, q, epsabs=1e-15, epsrel=1e-13)[0] for p, q in itertools.pairwise(edges))


@pytest.mark.parametrize(("block", "values"), [(0, GJ), (1, EI_Y), (2, EI_Z)])
def test_integrals_of_the_functions_over_intervals(profile: Profile, block: int, values: np.ndarray) -> None:
    ends = np.array([0.0, 0.12, 0.41, 0.77, 1.0, LENGTH])
    fine = fine_rule(profile, ends)
    phi = strain_functions(profile, (3, 3), fine)
    whole, first = interval_moments(fine, ends, phi)
    compliance = integral(lambda s: 1.0 / value(values, s), 0.0, LENGTH)
    for k in range(3):
        shape = Legendre.basis(k)

        def f(s: float, shape=shape) -> float:
            return float(shape(2.0 * s / LENGTH - 1.0)) / (value(values, s) * compliance)

        for j in range(ends.size - 1):
            a, b = ends[j], ends[j + 1]
            expected = integral(f, a, b)
            arm = integral(lambda s, f=f, a=a, b=b: f(s) * (s - 0.5 * (a + b)) / (b - a), a, b)
            # adaptive quadrature to 1e-13 of integrals of order 1
            assert whole[3 * block + k, j] == pytest.approx(expected, abs=1e-12)
            assert first[3 * block + k, j] == pytest.approx(arm, abs=1e-12)


def test_stiffness_is_the_integral_of_products(profile: Profile) -> None:
    fine = fine_rule(profile, np.array([0.0, LENGTH]))
    phi = strain_functions(profile, (3, 2), fine)
    k = stiffness_matrix(profile, (3, 2), fine, phi)
    # ∫ EI φ_a φ_b = ∫ P_a P_b / EI / c²; here the twist block and the κ_z block
    for values, start, count in ((GJ, 0, 2), (EI_Z, 5, 3)):
        c = integral(lambda s, v=values: 1.0 / value(v, s), 0.0, LENGTH)
        for a in range(count):
            for b in range(count):
                pa, pb = Legendre.basis(a), Legendre.basis(b)
                expected = integral(
                    lambda s, v=values, pa=pa, pb=pb: (
                        float(pa(2 * s / LENGTH - 1) * pb(2 * s / LENGTH - 1)) / value(v, s)
                    ),
                    0.0,
                    LENGTH,
                )
                assert k[start + a, start + b] == pytest.approx(expected / c**2, rel=1e-11, abs=1e-11)
    assert np.all(k[:2, 2:] == 0.0)
    assert np.all(k[2:5, 5:] == 0.0)


def test_a_stiffness_that_falls_to_a_fiftieth() -> None:
    # ∫ ds/(a − b s) has the closed form ln(a/(a − b L))/b: the rule must subdivide where 1/EI is steep.
    p = Profile([0.0, 1.0], [50.0, 1.0], [50.0, 1.0], 0.05)
    model = prepare(p, TipBody(0.2), (0.0, 0.0), functions=(2, 1))
    compliance = np.log(50.0) / 49.0
    # q_0's stiffness is ∫ (1/EI)/c² ds = 1/c
    assert model.stiffness[0, 0] == pytest.approx(1.0 / compliance, rel=1e-12)


def test_mass_rule_is_gaussian_for_the_mass(profile: Profile) -> None:
    rule = mass_rule(profile, 6)
    for degree in range(12):  # 2·6 − 1 = 11
        expected = integral(lambda s, d=degree: value(MASS, s) * (s / LENGTH) ** d, 0.0, LENGTH)
        assert rule.mass @ (rule.nodes / LENGTH) ** degree == pytest.approx(expected, rel=1e-12)
    assert np.all(rule.mass[:-1] > 0.0)
    assert rule.mass[-1] == 0.0
    assert rule.nodes[-1] == LENGTH
    beyond = integral(lambda s: value(MASS, s) * (s / LENGTH) ** 12, 0.0, LENGTH)
    assert abs(rule.mass @ (rule.nodes / LENGTH) ** 12 - beyond) > 1e-9 * beyond  # the degree is not higher


def test_uniform_mass_gives_gauss_legendre() -> None:
    x, w = np.polynomial.legendre.leggauss(40)
    nodes, weights = weighted_gauss(0.5 * (x + 1.0), 0.5 * w, 5, 1.0)
    x5, w5 = np.polynomial.legendre.leggauss(5)
    np.testing.assert_allclose(nodes, 0.5 * (x5 + 1.0), rtol=0, atol=1e-14)
    np.testing.assert_allclose(weights, 0.5 * w5, rtol=0, atol=1e-14)


def test_rotary_weights_integrate_polynomials(profile: Profile) -> None:
    fine = fine_rule(profile, np.zeros(0))
    nodes = mass_rule(profile, 5).nodes[:5]
    weights = lagrange_weights(fine, np.full(fine.s.size, 2.0), nodes, LENGTH)
    for degree in range(5):
        expected = 2.0 * LENGTH ** (degree + 1) / (degree + 1)
        assert weights @ nodes**degree == pytest.approx(expected, rel=1e-12)


def test_a_beam_without_mass_has_nodes_and_no_mass() -> None:
    rule = mass_rule(Profile([0.0, 1.0], 40.0, 15.0, 0.0), 6)
    assert np.all(rule.mass == 0.0)
    assert np.all(np.diff(rule.nodes) > 0.0)


def test_long_gaps_without_mass_are_split() -> None:
    # all the mass sits in the first tenth; the rest is one long interval unless it is split
    p = Profile([0.0, 0.1, 0.1, 1.0], 40.0, 15.0, [0.5, 0.5, 0.0, 0.0])
    rule = mass_rule(p, 6)
    assert np.diff(np.concatenate([[0.0], rule.nodes])).max() <= 2.0 / 6.0 + 1e-12
    assert rule.mass.sum() == pytest.approx(0.05, rel=1e-12)


def test_piecewise_rule_has_every_station(profile: Profile) -> None:
    rule, where = piecewise_rule(profile, 20)
    assert set(np.unique(STATIONS)[1:]) <= set(rule.nodes)
    assert where.weight.sum() == pytest.approx(LENGTH, rel=1e-14)
    assert rule.mass.sum() == pytest.approx(profile.total_mass, rel=1e-14)
