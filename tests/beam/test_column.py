"""A column between pivots: first buckling and its bow, against closed forms, published values and the beam itself."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.special import ellipe, ellipk, j0, j1, y0, y1

from swingbeam.beam import Profile, static_shape
from swingbeam.beam.column import bowed, first_buckling
from swingbeam.units import InputError


def linear(ratio: float) -> Profile:
    return Profile((0.0, 1.0), (1.0, ratio), 1.0, 1.0)


def test_uniform_column() -> None:
    # P = π² EI/L², bow in the middle (Euler). rtol 1e-9: cubic elements of L/48 leave (1/48)^6.
    found = first_buckling(linear(1.0))
    assert found.force == pytest.approx(math.pi**2, rel=1e-9)
    assert found.place == pytest.approx(0.5, rel=1e-9)
    assert math.isnan(found.size)


def linear_column(ratio: float) -> tuple[float, float]:
    """Place of the bow and P L²/EI of a column whose EI falls straight from 1 to `ratio`.

    With z = 1 − (1 − r) x the equation is w'' + λ w/z = 0, λ = P/(1 − r)², solved by √z Z₁(2 √(λ z)), Z₁ a
    combination of Bessel functions of order 1 (Dinnik; Timoshenko & Gere, Theory of Elastic Stability, §2.14).
    """

    def shape(z: float, rate: float) -> float:
        root, end = 2.0 * math.sqrt(rate * z), 2.0 * math.sqrt(rate)
        return math.sqrt(z) * float(j1(root) * y1(end) - y1(root) * j1(end))

    # The uniform columns of the smaller and of the larger stiffness bracket it.
    rate = brentq(lambda x: shape(ratio, x), *(math.pi**2 * ei / (1.0 - ratio) ** 2 for ei in (ratio, 1.0)), xtol=1e-13)

    def slope(z: float) -> float:  # (√z Z₁(2 √(λ z)))' = √λ Z₀
        root, end = 2.0 * math.sqrt(rate * z), 2.0 * math.sqrt(rate)
        return float(j0(root) * y1(end) - y0(root) * j1(end))

    return (1.0 - brentq(slope, ratio, 1.0, xtol=1e-13)) / (1.0 - ratio), rate * (1.0 - ratio) ** 2


@pytest.mark.parametrize(
    ("ratio", "place", "factor"),
    [(0.1, 0.5725, 4.6667), (0.3, 0.5427, 6.0693), (0.5, 0.5253, 7.2556), (0.7, 0.5132, 8.3434), (0.9, 0.5039, 9.3716)],
)
def test_stiffness_linear_along_the_column(ratio: float, place: float, factor: float) -> None:
    found = first_buckling(linear(ratio))
    derived = linear_column(ratio)
    # abs 1e-7, rtol 1e-8: cubic elements of L/48, (1/48)⁴ = 2e-7 times a small factor.
    assert found.place == pytest.approx(derived[0], abs=1e-7)
    assert found.force == pytest.approx(derived[1], rel=1e-8)
    # As published (Dinnik; Timoshenko & Gere): abs 1e-4, the last figure printed.
    assert found.place == pytest.approx(place, abs=1e-4)
    assert found.force == pytest.approx(factor, abs=1e-4)


def test_solid_cone() -> None:
    # EI ~ d⁴, d straight from 2 to 1: P = π² √(I1/I2) EI2/L² with I1 the small end (closed form: with z = 1/d the
    # equation has constant coefficients). rtol 1e-4: 400 straight pieces of EI leave (1/400)² times its curvature.
    s = np.linspace(0.0, 1.0, 401)
    found = first_buckling(Profile(s, (1.0 - 0.5 * s) ** 4, 1.0, 1.0))
    assert found.force == pytest.approx(math.pi**2 * 0.25, rel=1e-4)


def test_two_halves_of_different_stiffness() -> None:
    # EI 2 and 1, halves: k₁ cot(k₁/2) + k₂ cot(k₂/2) = 0 with k = √(P/EI) (slope and deflection match at the step).
    # abs 1e-6: the cubic elements' (1/48)^6 times the slope of this function.
    force = first_buckling(Profile((0.0, 0.5, 0.5, 1.0), (2.0, 2.0, 1.0, 1.0), 1.0, 1.0)).force
    k1, k2 = math.sqrt(force / 2.0), math.sqrt(force)
    assert k1 / math.tan(0.5 * k1) + k2 / math.tan(0.5 * k2) == pytest.approx(0.0, abs=1e-6)


def test_the_softer_plane_bows() -> None:
    both = np.array([[2.0, 1.0], [2.0, 1.0]])
    found = Profile((0.0, 1.0), both, 1.0, 1.0, spine_angle=0.3)
    assert first_buckling(found).force == pytest.approx(math.pi**2, rel=1e-9)
    assert first_buckling(found, plane=0.3).force == pytest.approx(2.0 * math.pi**2, rel=1e-9)


@pytest.mark.parametrize("tilt_degrees", [1.0, 20.0, 60.0, 80.0])
def test_uniform_elastica(tilt_degrees: float) -> None:
    # k = sin(α/2) of the ends' tilt α: P L²/EI = 4 K², bow/L = k/K, distance of the ends/L = 2E/K − 1 (Love,
    # Mathematical Theory of Elasticity, §263; Timoshenko & Gere, §2.7). rtol 1e-7: 256 Runge–Kutta steps leave 1e-9.
    k = math.sin(math.radians(tilt_degrees) / 2.0)
    whole, second = ellipk(k * k), ellipe(k * k)
    found = bowed(linear(1.0), 2.0 - 2.0 * second / whole)
    assert found.force == pytest.approx(4.0 * whole**2, rel=1e-7)
    assert found.size == pytest.approx(k / whole, rel=1e-7)
    assert found.place == pytest.approx(0.5, rel=1e-7)


def test_a_small_bow_is_the_first_buckling() -> None:
    # The place moves with the square of the bow: at a shortening of 1e-6 of the length by about as much.
    taper = Profile((0.0, 0.6, 0.6, 1.0), (80.0, 45.0, 40.0, 20.0), 1.0, 1.0)
    first, small = first_buckling(taper), bowed(taper, 1e-6)
    assert small.place == pytest.approx(first.place, abs=1e-5)
    assert small.force == pytest.approx(first.force, rel=1e-5)


def test_the_bowed_column_is_the_geometrically_exact_beam() -> None:
    # From the bow the elastica is marched here with an adaptive method to the far end, which must lie on the line;
    # then the last part of the column, too short to buckle by itself, is clamped as the elastica says and pressed by
    # the same force: the beam's tip must come to the same place. rtol 1e-6 of the length: stiff shear, 800 elements.
    taper = Profile((0.0, 1.0), (80.0, 20.0), 20.0, 0.05)
    found = bowed(taper, 0.1)

    def bend(s: float, state: np.ndarray) -> list[float]:
        _, y, angle = state
        return [math.cos(angle), math.sin(angle), -found.force * y / (80.0 - 60.0 * s)]

    way = solve_ivp(
        bend, (found.place, 1.0), [0.0, found.size, 0.0], rtol=1e-11, atol=1e-13, dense_output=True, method="DOP853"
    )
    assert way.y[1, -1] == pytest.approx(0.0, abs=1e-7)
    start = found.place + 0.5 * (1.0 - found.place)
    x, y, angle = way.sol(start)
    tail = Profile((0.0, 1.0 - start), (80.0 - 60.0 * start, 20.0), 20.0, 0.05)
    c, s = math.cos(angle), math.sin(angle)
    tip = static_shape(tail, tip_force=(-found.force * c, found.force * s, 0.0)).position[-1]
    np.testing.assert_allclose(
        [x + c * tip[0] - s * tip[1], y + s * tip[0] + c * tip[1]], [way.y[0, -1], way.y[1, -1]], rtol=0.0, atol=1e-6
    )


def test_impossible_shortenings_are_refused() -> None:
    for shortening in (0.0, -0.1, 0.6, math.nan):
        with pytest.raises(InputError):
            bowed(linear(0.5), shortening)
