"""Torsional frequency out of the beam's matrices."""

import math

import numpy as np
import pytest

from swingbeam.beam import Profile, TipBody, natural_frequencies
from swingbeam.beam.torsion import torsional_frequency
from swingbeam.units import InputError
from verification.derived import torsion_factor

GJ, LENGTH, POLAR = 15.0, 1.1, 2.0e-6


def uniform(polar: float = POLAR) -> Profile:
    return Profile((0.0, LENGTH), 40.0, GJ, 0.06, rotary=polar)


@pytest.mark.parametrize(("ratio", "b"), [(0.1, 1.428870), (1.0, 0.860334), (5.0, 0.432841)])
def test_uniform_shaft_with_an_inertia_at_the_tip(ratio: float, b: float) -> None:
    # b tan b = 1/μ_J, ω = b/L √(GJ/i) (Blevins, Formulas for Natural Frequency and Mode Shape, table 8-19).
    assert torsion_factor(ratio) == pytest.approx(b, abs=6e-7)
    inertia = ratio * POLAR * LENGTH
    body = TipBody(0.0, inertia=(inertia, 0.5 * inertia, 0.5 * inertia))
    frequency, share = torsional_frequency(uniform(), body)
    # rtol 1e-5: six twist functions.
    assert frequency == pytest.approx(b / LENGTH * math.sqrt(GJ / POLAR) / (2 * math.pi), rel=1e-5)
    assert share == pytest.approx(1.0, abs=1e-12)


def test_it_is_one_of_the_beams_frequencies() -> None:
    # A body whose centre of gravity is off the axis mixes bending and twist: the same matrices, the same root.
    # rtol 1e-9: round-off of two ways through them.
    body = TipBody(0.2, (0.01, 0.0, 0.03), (3e-4, 2.5e-4, 3e-4))
    frequency, share = torsional_frequency(uniform(), body, functions=(8, 4))
    all_of_them = natural_frequencies(uniform(), body, solver="curvature", functions=(8, 4))
    assert np.abs(all_of_them / frequency - 1.0).min() < 1e-9
    assert 0.5 < share < 1.0


def test_without_inertia_nothing_swings() -> None:
    with pytest.raises(InputError):
        torsional_frequency(uniform(0.0))
