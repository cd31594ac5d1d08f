"""Scaling a swing by stature: published proportions and plane geometry."""

from __future__ import annotations

import math

import pytest

from swing.golfers import plan
from swingbeam.beam import InputError
from swingbeam.club.build import load_club
from swingbeam.files.lookup import library_root
from swingbeam.swing.archetype import load_swing
from swingbeam.swing.stature import HUB_TO_HANDS, WRIST_HEIGHT, scaled, scaled_by_torque, stature_of, stature_of_wrist


def test_proportions_are_the_published_ones():
    # Drillis & Contini 1966: upper arm .186, forearm .146, hand .108, shoulder height .818; shoulder breadth .259
    # (from memory). Arm to the middle of the hand .386, half the breadth .1295: √(.386² − .1295²) = .36363.
    assert pytest.approx(0.36363, abs=1e-5) == HUB_TO_HANDS
    # .818 − .186 − .146: a wrist 85 cm off the floor belongs to a stature of 174.9 cm.
    assert pytest.approx(0.486, abs=1e-12) == WRIST_HEIGHT
    assert stature_of_wrist(0.85) == pytest.approx(0.85 / 0.486, rel=1e-12)
    assert stature_of(plan()) == pytest.approx(0.65 / 0.36363, rel=1e-4)


def test_the_own_stature_changes_nothing():
    made = plan()
    same = scaled(made, stature_of(made), 1.05)
    assert same.arms.plane == pytest.approx(made.arms.plane, rel=1e-14)
    assert same.arms.radius == pytest.approx(made.arms.radius, rel=1e-14)


def test_a_junior_has_shorter_arms_and_a_flatter_plane():
    made, reach = plan(), 0.9
    small = scaled(made, 1.40, reach)
    assert small.arms.radius == pytest.approx(1.40 * HUB_TO_HANDS, rel=1e-14)
    assert small.arms.hub_shift / made.arms.hub_shift == pytest.approx(small.arms.radius / made.arms.radius)
    # The hub's height above the ball goes with the stature.
    height = (made.arms.radius + reach) * math.sin(made.arms.plane)
    assert (small.arms.radius + reach) * math.sin(small.arms.plane) == pytest.approx(
        height * small.arms.radius / made.arms.radius, rel=1e-12
    )
    assert small.arms.plane < made.arms.plane
    assert small.arms.rate_at_impact == made.arms.rate_at_impact
    assert small.tempo == made.tempo


def stated(folder, name, stature):
    """A library swing's file with a stature stated, written to a folder."""
    text = (library_root() / "swings" / f"{name}.toml").read_text(encoding="utf-8")
    path = folder / f"{name}.toml"
    path.write_text(text.replace("[reference_club]", f'[golfer]\nstature = "{stature}"\n\n[reference_club]'), "utf-8")
    return load_swing(path)


@pytest.mark.parametrize("name", ["even", "even-iron", "even-by-torque"])
def test_stating_an_archetypes_own_stature_changes_nothing(name, tmp_path):
    own = load_swing(name)
    same = stated(tmp_path, name, f"{stature_of(own.plan):.17g} m")
    if own.by_torque:
        arms, others = own.plan.golfer.arms, same.plan.golfer.arms
        for key in ("plane", "radius", "inertia", "moment", "mass", "shift", "lift"):
            # Round-off of the scale to its fifth power and of asin(sin(plane)).
            assert getattr(others, key) == pytest.approx(getattr(arms, key), rel=1e-13)
    else:
        for key in ("plane", "radius", "hub_shift", "hub_lift"):
            assert getattr(same.plan.arms, key) == pytest.approx(getattr(own.plan.arms, key), rel=1e-13)
        assert (same.plan.tempo, same.plan.wrists, same.plan.target) == (
            own.plan.tempo,
            own.plan.wrists,
            own.plan.target,
        )


@pytest.mark.parametrize("name", ["even", "even-by-torque"])
def test_a_swings_file_states_a_stature(name, tmp_path):
    own, small = load_swing(name), stated(tmp_path, name, "1.65 m")
    reach = load_club(own.reference_club).length_beyond_hold
    by_hand = (scaled_by_torque if own.by_torque else scaled)(own.plan, 1.65, reach)
    assert small.plan == by_hand
    assert stature_of(small.plan) == pytest.approx(1.65, rel=1e-14)


def test_arms_of_another_stature_are_alike_in_shape():
    # Mass, first and second moment of bodies alike in shape and density: third, fourth and fifth power of length.
    made = load_swing("even-by-torque").plan
    small = scaled_by_torque(made, 0.9 * stature_of(made), 1.05).golfer.arms
    arms = made.golfer.arms
    assert small.mass / arms.mass == pytest.approx(0.9**3, rel=1e-13)
    assert small.moment / arms.moment == pytest.approx(0.9**4, rel=1e-13)
    assert small.inertia / arms.inertia == pytest.approx(0.9**5, rel=1e-13)


def test_statures_that_are_none(tmp_path):
    for wrong, words in (("0.6 m", "at least"), ("1.70", "unit"), ("170 kg", "length")):
        with pytest.raises(InputError, match=words):
            stated(tmp_path, "even", wrong)
