"""A heavier shaft: what the club keeps."""

import numpy as np
import pytest

from club.made_up import head
from shaft.made_up import shaft
from swingbeam.bench.balance import read_balance
from swingbeam.club.build import build_club
from swingbeam.club.held import HELD_OF_CLUB, mass_moment, with_head_mass, with_shaft_mass, with_swing_weight
from swingbeam.units import InputError


def club():
    """An untapered shaft of 50 g/m, so that moments can be done by hand."""
    even = shaft(s=(0.0, 1.2), ei=(60.0, 60.0), gj=(20.0, 20.0), mass=(0.05, 0.05))
    return build_club(even, head(), butt_trim=0.05, hold_point=0.09, grip_mass=0.05, grip_length=0.26)


def test_the_mass_moment_is_that_of_the_parts():
    # Shaft: 1.15 m of it left; hosel mouth 1.2 − 0.03 − 0.05 = 1.12 m from the butt end. rtol 1e-12: round-off.
    fulcrum = 14 * 0.0254
    by_hand = 0.05 * 1.15 * (0.575 - fulcrum) + 0.05 * (0.13 - fulcrum) + 0.2 * (1.12 + 0.05 - fulcrum)
    assert mass_moment(club()) == pytest.approx(by_hand, rel=1e-12)
    # The bench's balance test adds up the same club by another route.
    assert mass_moment(club()) == pytest.approx(read_balance(club()).swing_weight, rel=1e-12)


def test_same_head_mass_leaves_the_head():
    own = club()
    other = with_shaft_mass(own, 1.3)
    assert other.head is own.head
    np.testing.assert_allclose(other.profile.mass, 1.3 * own.profile.mass, rtol=1e-14)
    np.testing.assert_array_equal(other.profile.ei, own.profile.ei)
    assert other.shaft.mass == pytest.approx(1.3 * own.shaft.mass, rel=1e-14)
    assert other.finished_length == own.finished_length


@pytest.mark.parametrize("factor", [0.6, 1.4])
def test_same_swing_weight_takes_from_the_head_what_the_shaft_gains(factor):
    own = club()
    other = with_shaft_mass(own, factor, "swing weight")
    # By hand: Δm of the head times its arm is minus the shaft's gain of moment. rtol 1e-9: round-off of differences.
    fulcrum = 14 * 0.0254
    gain = (factor - 1.0) * 0.05 * 1.15 * (0.575 - fulcrum)
    assert other.head.mass - own.head.mass == pytest.approx(-gain / (1.17 - fulcrum), rel=1e-9)
    assert read_balance(other).swing_weight == pytest.approx(read_balance(own).swing_weight, rel=1e-12)
    # A lighter head of the same shape: the radii of gyration stay.
    np.testing.assert_allclose(other.head.inertia / other.head.mass, own.head.inertia / own.head.mass, rtol=1e-14)
    np.testing.assert_array_equal(other.head.cg, own.head.cg)


def test_one_times_the_weight_is_the_club_itself():
    own = club()
    assert all(with_shaft_mass(own, 1.0, held) is own for held in HELD_OF_CLUB)


def test_refusals():
    own = club()
    with pytest.raises(InputError, match='found "balance" held; allowed: head mass, swing weight'):
        with_shaft_mass(own, 1.1, "balance")
    for factor in (0.0, -1.0, float("nan"), float("inf")):
        with pytest.raises(InputError, match="positive finite"):
            with_shaft_mass(own, factor)
    with pytest.raises(InputError, match="same swing weight: found a head of"):
        with_swing_weight(own, 3.0 * mass_moment(own))


def test_a_head_of_another_mass_keeps_its_shape():
    own = head()
    other = with_head_mass(own, 0.25)
    assert other.mass == 0.25
    np.testing.assert_allclose(other.inertia, 1.25 * own.inertia, rtol=1e-15)
