"""Ranks, ties, resolution and Kendall's τ-b on cases counted by hand."""

from __future__ import annotations

import pytest

from swingbeam.delivery.ranking import (
    LEAST_RESOLUTION,
    agreement,
    order_statement,
    rank_by,
    resolution,
    reversals,
)

MS = 1e-3


def test_most_negative_unloads_first_and_ties_share_a_rank():
    keys = [-45.0 * MS, -50.0 * MS, -49.8 * MS, -47.0 * MS]
    assert rank_by(keys, [0.3 * MS] * 4) == [4, 1, 1, 3]


def test_a_club_joins_its_leader_not_its_neighbour():
    # Steps of 0.2 ms with a resolution of 0.3 ms: the third is 0.4 ms from the leader and starts a new group.
    keys = [-50.0 * MS, -49.8 * MS, -49.6 * MS, -49.4 * MS]
    assert rank_by(keys, [0.3 * MS] * 4) == [1, 1, 3, 3]


def test_the_larger_of_the_two_resolutions_counts():
    keys = [-50.0 * MS, -49.6 * MS]
    assert rank_by(keys, [0.1 * MS, 0.1 * MS]) == [1, 2]
    assert rank_by(keys, [0.5 * MS, 0.1 * MS]) == [1, 1]
    assert rank_by(keys, [0.1 * MS, 0.5 * MS]) == [1, 1]


def test_a_club_without_a_key_has_no_rank():
    assert rank_by([None, -40.0 * MS, float("nan"), -41.0 * MS], [None] * 4) == [None, 2, None, 1]


def test_resolution_is_the_largest_change_relative_to_the_reference():
    # Relative to the reference: −2.0 ms; −2.5 halved, −1.2 doubled: changes of 0.5 and 0.8 ms.
    found = resolution(-47.0 * MS, -45.0 * MS, [(-48.0 * MS, -45.5 * MS), (-45.2 * MS, -44.0 * MS)])
    assert found == pytest.approx(0.8 * MS, abs=1e-12)


def test_resolution_is_never_below_the_least_and_none_when_a_run_is_missing():
    same = [(-47.0 * MS, -45.0 * MS)] * 2
    assert resolution(-47.0 * MS, -45.0 * MS, same) == LEAST_RESOLUTION
    assert resolution(-47.0 * MS, -45.0 * MS, [(None, -45.0 * MS), same[0]]) is None


def test_kendall_counts_pairs():
    # Four clubs, one of six pairs reversed: τ = (5 − 1)/6.
    found = agreement("frequency", [1, 2, 3, 4], "timing", [1, 3, 2, 4], "up", "down")
    assert found.tau == pytest.approx(4.0 / 6.0, abs=1e-12)
    assert found.words == "mostly: up"


def test_kendall_allows_for_ties():
    # Ranks 1, 1, 3, 4 against 4, 3, 2, 1: five pairs discordant, one tied in the ranks;
    # τ-b = −5/√((6 − 1)·6) (Kendall 1945).
    found = agreement("weight", [4, 3, 2, 1], "timing", [1, 1, 3, 4], "up", "down")
    assert found.tau == pytest.approx(-5.0 / 30.0**0.5, abs=1e-12)
    assert "down" in found.words


def test_kendall_that_does_not_exist_says_why():
    assert agreement("torque", [1, 2], "timing", [1, 2], "up", "down").tau is None
    equal = agreement("torque", [3, 3, 3], "timing", [1, 2, 3], "up", "down")
    assert equal.tau is None
    assert "equal" in equal.words
    assert agreement("torque", [1, None, 3], "loft", [1, 2, 3], "up", "down").tau is None


def test_reversals_are_strict_and_ties_agree():
    assert reversals([1, 1, 3], [2, 1, 3]) == []
    assert reversals([1, 2, 3], [3, 2, 1]) == [(0, 1), (0, 2), (1, 2)]
    assert reversals([1, 2, None], [2, 1, 3]) == [(0, 1)]


def test_the_statement_names_what_holds_and_what_does_not():
    ranks = {"vice": [3, 2, 1], "hold": [1, 2, 3], "effort": [1, 1, 3]}
    text = order_statement("hold", ranks)
    assert "holds under effort" in text
    assert "under vice 3 of 3 pairs change places" in text
    assert "shaft and hands together" in text
    alone = order_statement("hold", {"hold": [1, 2], "vice": [1, 1]})
    assert alone == "Timing order under hold: it holds under vice."


def test_the_statement_counts_the_order_of_lag_too():
    ranks = {"hold": [1, 2, 3], "vice": [1, 2, 3]}
    # Half a millimetre is no difference in lag; ten are.
    lags = {"hold": [-0.100, -0.110, -0.120], "vice": [-0.1002, -0.130, -0.118]}
    text = order_statement("hold", ranks, lags)
    assert text.endswith("Order of lag under hold: under vice 1 of 3 pairs change places.")
    assert order_statement("hold", ranks, {"hold": [-0.1, -0.1001], "vice": [-0.1001, -0.1]}).endswith(
        "under vice there is nothing to compare."
    )


def test_nothing_to_compare_is_said():
    assert "nothing to compare" in order_statement("hold", {"hold": [1, None], "vice": [None, 1]})
