"""The spine: closed forms of a shaft with two stiffnesses, and that one without has none."""

import dataclasses
import math

import numpy as np
import pytest

from bench.printed import cpm
from shaft.made_up import shaft
from swingbeam.bench.deflection import DeflectionSetup, read_deflection
from swingbeam.bench.frequency import FrequencySetup
from swingbeam.bench.spine import SpineSetup, read_spine, sideways, with_spine
from swingbeam.shaft.shaft import Spine, cut
from swingbeam.units import InputError

ROUND = shaft(s=(0.0, 1.1684), ei=(75.0, 20.0), mass=0.055)


def test_a_round_shaft_has_no_spine() -> None:
    # Equipment Rules (R&A/USGA), part 2: it bends the same however it is turned.
    found = read_spine(ROUND)
    assert found.difference == 0.0
    assert math.isnan(found.stiff_plane)
    assert math.isnan(found.soft_plane)
    assert found.largest == pytest.approx(found.smallest, rel=1e-9)
    assert np.ptp(found.frequency) == 0.0
    assert np.ptp(found.deflection) == 0.0


@pytest.mark.parametrize("angle", [0.0, 0.4, 2.0])
@pytest.mark.parametrize("difference", [0.01, 0.1])
def test_what_is_put_in_is_found(angle: float, difference: float) -> None:
    # EI₁,₂ = EI (1 ± d/2) everywhere: f² in proportion (same shape). rtol 1e-6: the eigenvalue solver's round-off.
    found = read_spine(with_spine(ROUND, difference, angle))
    plain = cpm(ROUND) / 60.0
    assert found.difference == pytest.approx(difference, rel=1e-5)
    assert found.stiff_plane == pytest.approx(angle % math.pi, abs=1e-5)
    assert found.soft_plane == pytest.approx((angle + 0.5 * math.pi) % math.pi, abs=1e-5)
    assert found.largest == pytest.approx(plain * math.sqrt(1.0 + 0.5 * difference), rel=1e-6)
    assert found.smallest == pytest.approx(plain * math.sqrt(1.0 - 0.5 * difference), rel=1e-6)
    expected = plain * np.sqrt(1.0 + 0.5 * difference * np.cos(2.0 * (found.angle - angle)))
    np.testing.assert_allclose(found.frequency, expected, rtol=1e-6)


def test_deflection_over_a_turn_is_the_mean_compliance() -> None:
    # Free to move sideways: compliance cos²/EI₁ + sin²/EI₂ along a small load. rtol 1e-6: (w/L)² of 10 g is 4e-7.
    spined = with_spine(ROUND, 0.1, 0.3)
    found = read_spine(spined, SpineSetup(weight=0.01, turns=5))
    plain = read_deflection(ROUND, DeflectionSetup(weight=0.01)).deflection
    turned = np.cos(found.angle - 0.3) ** 2
    np.testing.assert_allclose(found.deflection, plain * (turned / 1.05 + (1.0 - turned) / 0.95), rtol=2e-6)


def test_it_swings_flat_in_two_planes_only() -> None:
    # A plane is flat when a guide there changes nothing: a load in it moves the tip along itself only.
    spined = with_spine(ROUND, 0.1, 0.3)
    for plane, flat in ((0.3, True), (0.3 + 0.5 * math.pi, True), (0.3 + 0.25 * math.pi, False)):
        moved = sideways(spined, DeflectionSetup(weight=0.01, plane=plane))
        assert (abs(moved) < 1e-12) == flat
    assert sideways(ROUND, DeflectionSetup(plane=0.7)) == 0.0


def test_sideways_is_what_the_exact_beam_does() -> None:
    from swingbeam.beam import static_shape
    from swingbeam.units.kinds import STANDARD_GRAVITY

    spined, plane = with_spine(ROUND, 0.1, 0.3), 1.0
    force = 1e-3 * STANDARD_GRAVITY
    down, left = (np.array([0.0, math.cos(a), math.sin(a)]) for a in (plane, plane + 0.5 * math.pi))
    tip = static_shape(cut(spined, 0.127, ROUND.raw_length), tip_force=force * down, solver="curvature").position[-1]
    # The load pulls the shaft toward its soft side: the sign is the beam's. rtol 1e-5: small deflection, round-off.
    assert sideways(spined, DeflectionSetup(weight=1e-3, plane=plane)) == pytest.approx(float(tip @ left), rel=1e-5)


def test_setting_a_spine() -> None:
    assert with_spine(ROUND, 0.0, 0.3).spine is None
    assert with_spine(ROUND, 0.02, 0.3).spine == Spine(0.02, 0.3)
    for difference, angle in ((-0.1, 0.0), (2.0, 0.0), (0.1, math.nan)):
        with pytest.raises(InputError):
            with_spine(ROUND, difference, angle)
    with pytest.raises(InputError, match="turns"):
        read_spine(ROUND, SpineSetup(turns=3))


def test_a_guided_plane_reads_between_the_two() -> None:
    spined = with_spine(ROUND, 0.1, 0.3)
    stiff, soft = (cpm(spined, FrequencySetup(plane=a)) for a in (0.3, 0.3 + 0.5 * math.pi))
    between = cpm(spined, FrequencySetup(plane=0.3 + 0.25 * math.pi))
    assert soft < between < stiff
    # Without a guide the softer plane has the lowest frequency; rtol 1e-6: eigenvalue round-off.
    assert cpm(spined) == pytest.approx(soft, rel=1e-6)
    assert dataclasses.replace(spined, spine=None).spine is None
