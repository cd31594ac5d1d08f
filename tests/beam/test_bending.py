"""Small bending by compliance, held to the exact beam and to closed forms."""

import numpy as np
import pytest

from swingbeam.beam import Profile, static_shape
from swingbeam.beam.bending import cantilever, compliance, three_point

TAPER = Profile(
    s=(0.0, 0.3, 0.6, 0.6, 1.0),
    ei=np.column_stack([(80.0, 60.0, 50.0, 40.0, 18.0), (76.0, 57.0, 47.5, 38.0, 17.1)]),
    gj=20.0,
    mass=0.05,
    spine_angle=0.4,
)


@pytest.mark.parametrize("plane", [0.0, 0.4, 1.0, 2.2])
def test_a_cantilever_is_the_exact_beam_under_a_small_load(plane: float) -> None:
    # A load of 1 mN moves the tip some 7 micrometres: (w/L)² is 5e-11. rtol 1e-6: the stiff default of shear leaves
    # 3e-7 (`STIFF_SHEAR_RATIO`), 800 elements 4e-7.
    aside = np.array([0.0, np.cos(plane), np.sin(plane)])
    shape = static_shape(TAPER, tip_force=1e-3 * aside)
    slope, deflection = cantilever(compliance(TAPER, plane), TAPER.s)
    np.testing.assert_allclose(1e-3 * deflection, shape.position @ aside, rtol=1e-6, atol=1e-14)
    np.testing.assert_allclose(1e-3 * slope, shape.rotation[:, :, 0] @ aside, rtol=2e-6, atol=1e-12)


def test_without_a_plane_the_mean_of_both_stiffnesses_bends() -> None:
    mean = Profile(TAPER.s, TAPER.ei.mean(axis=1), 20.0, 0.05)
    x = np.linspace(0.0, 1.0, 7)
    # rtol 1e-13: round-off.
    np.testing.assert_allclose(cantilever(compliance(TAPER), x), cantilever(compliance(mean, 0.3), x), rtol=1e-13)


def test_three_points_are_two_cantilevers_of_the_exact_beam() -> None:
    # Cut at the load, each side is a cantilever under half of it as seen from the load's section, tilted so that both
    # supports lie level: the deflection is the mean of the two tips' (supports at equal arms). rtol 1e-6 as above.
    first, last, force = 0.31, 0.83, 1e-3
    middle = 0.5 * (first + last)
    round_one = Profile(TAPER.s, TAPER.ei[:, 0], 20.0, 0.05)

    def side(start: float, end: float) -> float:
        """Tip deflection of the piece clamped at `start`."""
        inner = round_one.s[(round_one.s > min(start, end)) & (round_one.s < max(start, end))]
        places = np.concatenate([[min(start, end)], inner, [max(start, end)]])
        sides = np.interp(places, round_one.s, round_one.ei[:, 0])
        for i in range(1, places.size - 1):
            if places[i] == places[i - 1]:
                sides[i - 1], sides[i] = 50.0, 40.0
        if end < start:
            places, sides = start - places[::-1], sides[::-1]
            return float(static_shape(Profile(places, sides, 20.0, 0.05), tip_force=(0, force / 2, 0)).position[-1, 1])
        return float(
            static_shape(Profile(places - start, sides, 20.0, 0.05), tip_force=(0, force / 2, 0)).position[-1, 1]
        )

    level = 0.5 * (side(middle, first) + side(middle, last))
    assert force * three_point(compliance(round_one), first, last)[0] == pytest.approx(level, rel=1e-6)
