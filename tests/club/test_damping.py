"""Damping of shafts: how it scales, and of many at once."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from swingbeam.club.damping import viscosities, viscosity
from swingbeam.shaft.load import load_shaft
from swingbeam.shaft.shaft import scale

SHAFTS = [load_shaft(path) for path in sorted((Path(__file__).parents[2] / "shafts").glob("*.toml"))]


def test_many_shafts_are_read_as_one_is():
    found = viscosities([*SHAFTS, *SHAFTS[:2]])
    # The linearised stiffness of the one way is made by differences; the other has it in closed form.
    np.testing.assert_allclose(found, [viscosity(shaft) for shaft in [*SHAFTS, *SHAFTS[:2]]], rtol=1e-10)


def test_a_factor_on_the_stiffness_divides_the_viscosity_by_its_root():
    """2ζ/ω with the mass unchanged, ω² proportional to the stiffness."""
    base = viscosities(SHAFTS)
    scaled = viscosities([scale(shaft, ei=1.44, gj=0.64) for shaft in SHAFTS])
    np.testing.assert_allclose(scaled, base / [1.2, 0.8], rtol=1e-12)
