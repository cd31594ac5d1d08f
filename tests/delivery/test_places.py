"""Probabilities of places and pairs against made-up golfers of which they are known."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import binom, norm

from swingbeam.delivery.places import LEAST_HOLD, before_probability, groups, place_probability, sampling_interval

MS = 1e-3
NONE = [0.0, 0.0, 0.0]
SWINGS = 4000
FIVE_SIGMA = 5.0 * 0.5 / math.sqrt(SWINGS)
"""A share counted in so many swings is off by more once in two million times (binomial, at its worst, 1/2)."""


def golfer(means, own=MS, common=20 * MS, seed=3):
    """(swings, clubs) normal keys: a common part, as golfers have, and one of each club's own."""
    rng = np.random.default_rng(seed)
    shared = common * rng.standard_normal((SWINGS, 1))
    return shared + np.asarray(means) + own * rng.standard_normal((SWINGS, len(means)))


def test_a_pair_of_normal_keys_has_the_probability_of_their_difference():
    keys = golfer([0.0, 1.0 * MS, 4.0 * MS])
    before = before_probability(keys, NONE)
    # The common part drops out; the difference of two own parts has √2 times their deviation.
    for i, k, apart in ((0, 1, 1.0), (0, 2, 4.0), (1, 2, 3.0)):
        assert before[i, k] == pytest.approx(norm.cdf(apart / math.sqrt(2.0)), abs=FIVE_SIGMA)
    off = ~np.eye(3, dtype=bool)
    np.testing.assert_allclose((before + before.T)[off], 1.0, rtol=0, atol=1e-12)
    assert np.all(np.isnan(np.diag(before)))


def test_three_like_clubs_have_every_place_equally_often():
    place = place_probability(golfer([0.0, 0.0, 0.0]), NONE)
    np.testing.assert_allclose(place, 1.0 / 3.0, rtol=0, atol=FIVE_SIGMA)


def test_places_are_shared_out_completely():
    place = place_probability(golfer([0.0, 0.5 * MS, 1.0 * MS]), [0.3 * MS] * 3)
    np.testing.assert_allclose(place.sum(axis=0), 1.0, rtol=0, atol=1e-12)
    np.testing.assert_allclose(place.sum(axis=1), 1.0, rtol=0, atol=1e-12)
    assert place[0, 0] > place[1, 0] > place[2, 0]


def test_the_same_club_twice_is_a_tie_in_every_swing():
    one = golfer([0.0, 3.0 * MS])
    keys = one[:, [0, 0, 1]]
    assert before_probability(keys, NONE)[0, 1] == 0.5
    np.testing.assert_array_equal(place_probability(keys, NONE)[0], place_probability(keys, NONE)[1])
    assert groups(keys, NONE)[:2] == [1, 1]


def test_what_is_closer_than_the_margin_counts_half():
    keys = np.array([[0.0, 1.0], [0.0, 3.0], [0.0, -1.0], [0.0, -3.0]])
    # A tie, ahead, a tie, behind; the larger margin of the two decides.
    assert before_probability(keys, [0.5, 2.0])[0, 1] == 0.5 * (1 + 2 * 0.5) / 2
    assert before_probability(keys, [0.5, 2.0], ties=0.0)[0, 1] == 0.25
    assert before_probability(keys, [0.5, 0.5])[0, 1] == 0.5


def test_clubs_that_nine_tenths_of_the_swings_tell_apart_are_two_groups():
    # P(first before second) = Φ(Δ/√2): 0.9 lies at Δ = 1.81.
    apart = math.sqrt(2.0) * norm.ppf(LEAST_HOLD)
    assert groups(golfer([0.0, (apart + 0.3) * MS]), NONE[:2]) == [1, 2]
    assert groups(golfer([0.0, (apart - 0.3) * MS]), NONE[:2]) == [1, 1]


def test_a_chain_of_small_steps_does_not_tie_the_first_to_the_last():
    # Steps of 1.2: neighbours hold their order in 80 % of the swings, the first and the third in 95 %.
    keys = golfer([2.4 * MS, 0.0, 1.2 * MS, 3.6 * MS])
    assert groups(keys, NONE + [0.0]) == [2, 1, 1, 2]


def test_a_difference_below_the_resolution_tells_nothing_apart_however_often_it_is_there():
    keys = golfer([0.0, 0.05 * MS], own=0.0)
    assert groups(keys, [0.1 * MS] * 2) == [1, 1]
    assert before_probability(keys, [0.1 * MS] * 2)[0, 1] == 0.5
    assert groups(keys, [0.01 * MS] * 2) == [1, 2]


def test_a_club_that_does_not_unload_comes_last_and_one_that_misses_is_not_counted():
    keys = np.array([[0.0, np.inf, 1.0], [0.0, np.inf, np.nan], [np.inf, np.inf, 1.0]])
    place = place_probability(keys, NONE)
    # Third swing: the two that do not unload share the second and the third place.
    np.testing.assert_allclose(place[0], [2 / 3, 1 / 6, 1 / 6], rtol=0, atol=1e-12)
    np.testing.assert_allclose(place[1], [0.0, 1.5 / 3, 1.5 / 3], rtol=0, atol=1e-12)
    np.testing.assert_allclose(place[2], [0.5, 0.5, 0.0], rtol=0, atol=1e-12)
    before = before_probability(keys, NONE)
    assert before[0, 1] == pytest.approx(2.5 / 3)  # ahead twice, then a tie of two that do not unload
    assert before[0, 2] == 0.5  # of two swings one each
    never = np.array([[0.0, np.nan], [1.0, np.nan]])
    assert groups(never, NONE[:2]) == [1, None]
    assert np.all(np.isnan(place_probability(never, NONE[:2])[1]))


@pytest.mark.parametrize("probability", [0.02, 0.1, 0.5, 0.85])
def test_the_interval_of_a_counted_share_holds_what_it_says(probability):
    # Exact coverage: the binomial weight of the counts whose interval holds the true share. Wilson's holds 95 %
    # within 2 % or so for 300 (Brown, Cai & DasGupta 2001, Statistical Science 16:101, figure 5; from memory).
    swings = 300
    counts = np.arange(swings + 1)
    inside = [a <= probability <= b for a, b in (sampling_interval(k / swings, swings) for k in counts)]
    assert binom.pmf(counts, swings, probability) @ inside == pytest.approx(0.95, abs=0.025)


def test_the_interval_of_never_and_always():
    z2 = 1.959963984540054**2
    low, high = sampling_interval(0.0, 300)
    assert low == 0.0
    assert high == pytest.approx(z2 / (300 + z2), rel=1e-12)  # Wilson's equation with p̂ = 0: p = z²/(n + z²)
    assert sampling_interval(1.0, 300) == pytest.approx((1.0 - high, 1.0), rel=1e-12)
