"""Steel's stiffness from its geometry, Young's modulus and Poisson's ratio."""

import numpy as np
import pytest

from swingbeam.shaft.tube import second_moment, section_area, tube_stiffness


def test_pipe_of_the_handbooks() -> None:
    # Steel pipe, nominal 2 in schedule 40: outer diameter 2.375 in, wall 0.154 in, metal area 1.075 in², I =
    # 0.666 in⁴ (tables of dimensions after ASME B36.10M, from memory; four and three figures are printed).
    assert section_area(2.375, 0.154) == pytest.approx(1.075, rel=5e-4)
    assert second_moment(2.375, 0.154) == pytest.approx(0.666, rel=1e-3)


def test_solid_round_is_the_limit() -> None:
    # wall = half the diameter: A = π D²/4, I = π D⁴/64. rtol 1e-14: round-off.
    assert section_area(0.02, 0.01) == pytest.approx(np.pi * 1e-4, rel=1e-14)
    assert second_moment(0.02, 0.01) == pytest.approx(np.pi * 0.01**4 / 4.0, rel=1e-14)


def test_thin_wall_is_the_other_limit() -> None:
    # I → π r³ t and A → 2π r t for a mean radius r; the exact I is π r t (r² + t²/4), rtol 1e-9: round-off of
    # differences of fourth powers.
    r, t = 0.007, 1e-5
    assert second_moment(2 * r + t, t) == pytest.approx(np.pi * r * t * (r**2 + t**2 / 4), rel=1e-9)
    assert section_area(2 * r + t, t) == pytest.approx(2 * np.pi * r * t, rel=1e-11)


def test_steel_tube() -> None:
    # D 15 mm, wall 0.5 mm: 15⁴ − 14⁴ = 12,209, so I = 599.31 mm⁴; E = 205 GPa gives 122.86 N·m²; G =
    # 205/(2·1.29) = 79.457 GPa on J = 2I gives 95.240 N·m²; A = π(225 − 196)/4 = 22.777 mm² at 7,850 kg/m³
    # gives 178.80 g/m. Worked by hand to five figures.
    ei, gj, mass = tube_stiffness([0.015], [0.0005], 205e9, 0.29, 7850.0)
    assert ei[0] == pytest.approx(122.86, rel=1e-4)
    assert gj[0] == pytest.approx(95.240, rel=1e-4)
    assert mass[0] == pytest.approx(0.17880, rel=1e-4)


def test_gj_over_ei_depends_on_poissons_ratio_only() -> None:
    # GJ/EI = 2G/E = 1/(1 + ν) for any circular section; rtol 1e-14: round-off.
    for diameter, wall in ((0.009, 0.0006), (0.0152, 0.00028)):
        for poisson in (0.0, 0.29, 0.33):
            ei, gj, _ = tube_stiffness(diameter, wall, 205e9, poisson, 7850.0)
            assert gj / ei == pytest.approx(1.0 / (1.0 + poisson), rel=1e-14)
