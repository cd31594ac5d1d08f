"""Trends of torque golfers beside those of hands: the reading, the clubs, and the words."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from swingbeam.beam import rigid_body
from swingbeam.club.build import load_club
from swingbeam.study.torque_trends import CHANGES, FIGURES, Judge, compare, trends, word
from swingbeam.swing.archetype import load_swing
from swingbeam.swing.hands import MODES
from swingbeam.swing.torque_aim import take_shot
from swingbeam.swing.torque_golfers import GOLFERS

CHANGE = {change.name: change for change in CHANGES}
NAMES = [figure.name for figure in FIGURES]


@cache
def judge() -> Judge:
    even = load_swing("even")
    club = load_club(even.reference_club, beside=even.path)
    golfer, target = GOLFERS[0]
    return Judge.of(take_shot(golfer, club, target), club)


def test_the_reference_club_is_the_same_by_torque_and_under_all_hands():
    """They start from one run. .1 mm of the spline through the grip's pose, 1600 deg/s of closing over its time."""
    own = judge().by_torque(judge().club)
    least = np.array([figure.least for figure in FIGURES])
    for hands in MODES.values():
        assert np.all(np.abs(judge().by_hands(judge().club, hands) - own) < 0.5 * least)
    assert own[NAMES.index("dynamic loft")] == pytest.approx(np.degrees(judge().shot.at_impact.dynamic_loft), abs=1e-6)
    assert own[NAMES.index("head speed")] == pytest.approx(judge().shot.at_impact.head_speed, abs=1e-6)


def test_what_is_changed_and_nothing_else():
    club = judge().club
    for change in CHANGES:
        same = change.make(club, change.steps[2])
        np.testing.assert_allclose(same.profile.ei, club.profile.ei, rtol=1e-14)
        assert same.finished_length == pytest.approx(club.finished_length, abs=1e-12)
        assert same.total_mass == pytest.approx(club.total_mass, rel=1e-12)
    np.testing.assert_allclose(CHANGE["EI"].make(club, 1.5).profile.ei, 1.5 * club.profile.ei, rtol=1e-12)
    np.testing.assert_allclose(CHANGE["GJ"].make(club, 1.6).profile.gj, 1.6 * club.profile.gj, rtol=1e-12)
    heavy = CHANGE["shaft weight"].make(club, 1.3)
    np.testing.assert_allclose(heavy.profile.mass, 1.3 * club.profile.mass, rtol=1e-12)
    behind = CHANGE["head CG rearward"].make(club, 10.0)
    moved = rigid_body(behind.profile, behind.tip).first_moment - rigid_body(club.profile, club.tip).first_moment
    np.testing.assert_allclose(moved, [0.0, -0.010 * club.head.mass, 0.0], rtol=0, atol=1e-12)


def test_what_does_not_depend_on_the_driving():
    """A couple bends a shaft by M/EI: softer lags more. A centre of gravity farther back is pulled into line: lead."""
    found = trends(judge(), CHANGE["EI"], [MODES["hold"]], steps=(0.8, 1.0, 1.25))
    lag = NAMES.index("lag")
    assert word(found.torque[:, lag], 0.02) == "falls"
    # Half the downswing is quasi-static: the lag goes about as the compliance, .8⁻¹ … 1.25⁻¹.
    ratio = found.torque[0, lag] / found.torque[2, lag]
    assert 1.2 < ratio < 1.8
    back = trends(judge(), CHANGE["head CG rearward"], [MODES["hold"]], steps=(-10.0, 10.0))
    assert np.all(np.diff(back.torque[:, NAMES.index("lead")]) > 0.2)
    assert np.all(np.diff(back.hands["hold"][:, NAMES.index("lead")]) > 0.2)


def test_words():
    assert word(np.array([1.0, 2.0, 3.0]), 0.1) == "rises"
    assert word(np.array([3.0, 2.0, 1.0]), 0.1) == "falls"
    assert word(np.array([1.0, 3.0, 2.0]), 0.1) == "turns"
    assert word(np.array([1.0, 1.05, 1.0]), 0.1) == "flat"
    assert word(np.array([1.0, np.nan, 1.0]), 0.1) == "missing"


def test_verdicts():
    up, down = np.array([0.0, 1.0, 2.0]), np.array([4.0, 2.0, 0.0])
    same, against = compare(up, 2.0 * up, 0.1), compare(up, down, 0.1)
    assert (same.agrees, same.rank, same.ratio) == (True, 1.0, 2.0)
    assert (against.agrees, against.rank, against.ratio) == (False, -1.0, -2.0)
    # Kendall: of three pairs two in order.
    assert compare(up, np.array([0.0, 2.0, 1.0]), 0.1).rank == pytest.approx(1.0 / 3.0)
    flat = compare(np.zeros(3), up, 0.1)
    assert not flat.agrees
    assert np.isnan(flat.rank)
    assert np.isnan(flat.ratio)
