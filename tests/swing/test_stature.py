"""Scaling a swing by stature: published proportions and plane geometry."""

from __future__ import annotations

import math

import pytest

from swing.golfers import plan
from swingbeam.swing.stature import HUB_TO_HANDS, WRIST_HEIGHT, scaled, stature_of, stature_of_wrist


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
