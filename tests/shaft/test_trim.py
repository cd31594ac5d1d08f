"""What is left when a shaft is cut."""

import numpy as np
import pytest

from shaft.made_up import shaft
from swingbeam.club.damping import viscosity
from swingbeam.shaft.shaft import Spine, cut, integrate
from swingbeam.shaft.trim import SHORTEST, trimmed
from swingbeam.units import InputError

STEPPED = shaft(
    s=(0.0, 0.3, 0.7, 0.7, 1.2),
    ei=(80.0, 70.0, 50.0, 40.0, 20.0),
    gj=(30.0, 28.0, 22.0, 20.0, 8.0),
    mass=(0.06, 0.06, 0.055, 0.05, 0.07),
    diameter=(0.015, 0.014, 0.012, 0.012, 0.0085),
    parallel_tip=0.08,
    spine=Spine(0.02, 0.3),
)


@pytest.mark.parametrize(("tip", "butt"), [(0.03, 0.0), (0.0, 0.05), (0.1, 0.2), (0.5, 0.0), (0.0, 0.7)])
def test_a_piece_is_the_same_beam(tip: float, butt: float) -> None:
    # The piece of the piece equals the piece of the whole; the cuts at 0.7 m fall on the step and must take the
    # side that is left. atol 1e-12: round-off of distances.
    piece = trimmed(STEPPED, tip=tip, butt=butt)
    direct = cut(STEPPED, butt, 1.2 - tip)
    for name in ("s", "ei", "gj", "mass"):
        np.testing.assert_allclose(getattr(piece.profile, name), getattr(direct, name), rtol=1e-12, atol=1e-12)
    assert piece.profile.spine_angle == direct.spine_angle
    assert piece.raw_length == pytest.approx(1.2 - tip - butt, rel=1e-14)
    assert piece.mass == pytest.approx(integrate(STEPPED, butt, 1.2 - tip)[0], rel=1e-13)
    assert piece.mass == pytest.approx(piece.profile.total_mass, rel=1e-12)


def test_lengths_and_diameters_of_a_cut() -> None:
    piece = trimmed(STEPPED, tip=0.03, butt=0.15)
    assert piece.parallel_tip == pytest.approx(0.05, rel=1e-12)
    # Half way from 15 to 14 mm between stations; inside the parallel tip as thick as before.
    assert piece.butt_diameter == pytest.approx(0.0145, rel=1e-12)
    assert piece.tip_diameter == pytest.approx(0.0085, rel=1e-12)
    # Past the parallel tip, straight from there (1.12 m) to 12 mm at 0.7 m: 0.02/0.42 of the way at 1.1 m.
    assert trimmed(STEPPED, tip=0.1).tip_diameter == pytest.approx(0.0085 + 0.0035 * 0.02 / 0.42, rel=1e-12)
    assert trimmed(STEPPED, tip=0.2).parallel_tip == 0.0
    assert trimmed(STEPPED) is STEPPED


def test_two_cuts_are_one() -> None:
    twice = trimmed(trimmed(STEPPED, tip=0.02, butt=0.01), tip=0.03, butt=0.04)
    once = trimmed(STEPPED, tip=0.05, butt=0.05)
    for name in ("s", "ei", "gj", "mass_per_length", "diameter"):
        np.testing.assert_allclose(getattr(twice, name), getattr(once, name), rtol=1e-12, atol=1e-12)
    for name in ("raw_length", "mass", "tip_diameter", "butt_diameter", "parallel_tip", "bend_damping"):
        assert getattr(twice, name) == pytest.approx(getattr(once, name), rel=1e-12)


def test_the_material_keeps_its_viscosity() -> None:
    # Viscosity = 2 ζ/ω (`club.damping`): a cut changes ω, not the material. rtol 1e-12: round-off.
    np.testing.assert_allclose(viscosity(trimmed(STEPPED, tip=0.05, butt=0.1)), viscosity(STEPPED), rtol=1e-12)


def test_impossible_cuts_are_refused() -> None:
    for trim in ({"tip": -0.01}, {"butt": -0.01}, {"tip": float("nan")}, {"butt": 1.2 - SHORTEST + 1e-3}, {"tip": 1.3}):
        with pytest.raises(InputError, match="trim"):
            trimmed(STEPPED, **trim)
