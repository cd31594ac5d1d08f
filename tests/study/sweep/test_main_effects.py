"""Rank correlations, main effects, bands and cells against hand-made columns."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from swingbeam.study.sweep.bands import bands_of, cells_of
from swingbeam.study.sweep.main_effects import bins_of, main_effect, rank_correlation


def test_rank_correlation_of_a_course_that_only_rises() -> None:
    x = np.linspace(0.1, 3.0, 30)
    found = rank_correlation(x, np.exp(x))
    # Ranks are equal: 1 up to the last digit of a sum of 30 products.
    assert found.value == pytest.approx(1.0, abs=1e-14)
    assert rank_correlation(x, -(x**3)).value == pytest.approx(-1.0, abs=1e-14)


def test_rank_correlation_with_ties_against_scipy_and_by_hand() -> None:
    x, y = np.array([1.0, 2.0, 2.0, 3.0, 4.0]), np.array([3.0, 1.0, 4.0, 4.0, 5.0])
    # Ranks 1, 2½, 2½, 4, 5 and 2, 1, 3½, 3½, 5 about 3: products 2 + 1 − ¼ + ½ + 4 = 7¼; squares 9½ and 9½.
    assert rank_correlation(x, y).value == pytest.approx(7.25 / 9.5, abs=1e-14)
    rng = np.random.default_rng(0)
    x, y = rng.integers(0, 9, 200).astype(float), rng.normal(size=200)
    assert rank_correlation(x, y).value == pytest.approx(stats.spearmanr(x, y).statistic, abs=1e-12)


def test_missing_values_are_left_out_in_pairs() -> None:
    x, y = np.array([1.0, 2.0, np.nan, 4.0, 5.0]), np.array([1.0, np.nan, 100.0, 4.0, 2.0])
    found = rank_correlation(x, y)
    # Left: (1, 1), (4, 4), (5, 2): ranks 1 2 3 and 1 3 2, so 1 − 6·2/(3·8) = ½.
    assert (found.value, found.count) == (pytest.approx(0.5, abs=1e-14), 3)
    assert found.low is None


def test_the_interval_holds_as_often_as_it_says() -> None:
    """Normal pairs of correlation ρ have a rank correlation of 6/π·asin(ρ/2) (Pearson 1907; Kendall & Gibbons 1990)."""
    rng, rho, trials, inside = np.random.default_rng(3), 0.6, 1000, 0
    true = 6.0 / math.pi * math.asin(0.5 * rho)
    for _ in range(trials):
        x = rng.normal(size=60)
        y = rho * x + math.sqrt(1.0 - rho * rho) * rng.normal(size=60)
        found = rank_correlation(x, y)
        inside += found.low <= true <= found.high
    # σ of the share is √(0.95·0.05/1000) = 0.007; the formula itself is good to a per cent or two.
    assert 0.92 < inside / trials < 0.98


def test_columns_that_do_not_vary_say_nothing() -> None:
    x, flat = np.arange(20.0), np.full(20, 0.1) * (1.0 + 1e-16 * np.arange(20))
    assert rank_correlation(x, flat) is None
    assert main_effect(flat, x) is None
    assert main_effect(x, flat) is None
    assert rank_correlation(x[:2], x[:2]) is None


def test_main_effect_of_a_balanced_table() -> None:
    """Two ways without interaction: y = α_i + β_j. The share of a way is its own part of the variance."""
    alpha, beta = np.array([-1.0, 0.0, 4.0]), np.array([0.0, 2.0, 5.0, 7.0])
    i, j = (m.ravel() for m in np.meshgrid(np.arange(3), np.arange(4), indexing="ij"))
    y = alpha[i] + beta[j]
    found = main_effect(i.astype(float), y)
    np.testing.assert_allclose(found.mean, alpha + beta.mean(), rtol=1e-14)
    assert found.levels
    assert found.count.tolist() == [4, 4, 4]
    between = alpha.var() / (alpha.var() + beta.var())
    assert found.ratio == pytest.approx(math.sqrt(between), rel=1e-12)
    # Kelley's correction with 12 cases and 3 levels.
    assert found.share == pytest.approx(1.0 - (1.0 - between) * 11.0 / 9.0, rel=1e-12)


def test_chance_alone_has_no_share() -> None:
    rng = np.random.default_rng(5)
    shares, ratios = [], []
    for _ in range(200):
        found = main_effect(rng.uniform(size=200), rng.normal(size=200))
        shares.append(found.share)
        ratios.append(found.ratio**2)
    # η² of nothing is (B − 1)/(n − 1) = 19/199 on average; the share, cut off at 0, is half the time 0 and 0.02 at most
    # else.
    assert np.mean(ratios) == pytest.approx(19.0 / 199.0, rel=0.1)
    assert np.mean(shares) < 0.02


def test_a_course_that_rises_and_falls_has_a_share_and_no_rank_correlation() -> None:
    x = np.arange(1000.0) - 499.5
    y = x * x  # exact, so that ties are ties
    # In parts of the whole width: 20 bins of equal count; within one of width h about x the variance of x² is some
    # (2x)²h²/12, on average 4·(1/12)·h²/12 = 7e-5 of 1/180: 1.3 %.
    found = main_effect(x, y)
    assert found.share == pytest.approx(1.0 - 4.0 / 12.0 * 0.05**2 / 12.0 * 180.0, abs=2e-3)
    assert abs(rank_correlation(x, y).value) < 1e-12


def test_bins() -> None:
    assert bins_of(np.array([2.0, 1.0, 2.0, 1.0]))[1:] == (2, True)
    place, count, levels = bins_of(np.arange(100.0)[::-1])
    assert (count, levels) == (10, False)
    assert np.bincount(place).tolist() == [10] * 10
    assert place[0] == 9
    assert bins_of(np.arange(7.0))[1] == 2
    assert bins_of(np.arange(7.0), levels_only=True)[1:] == (7, True)


def test_bands_of_known_quantiles() -> None:
    x = np.repeat([1.0, 2.0], 101)
    y = np.concatenate([np.linspace(0.0, 1.0, 101), 5.0 + np.linspace(0.0, 2.0, 101)])
    found = bands_of(x, y)
    assert found.at.tolist() == [1.0, 2.0]
    np.testing.assert_allclose(found.quantiles[0], [0.05, 0.25, 0.5, 0.75, 0.95], atol=1e-12)
    np.testing.assert_allclose(found.quantiles[1], [5.1, 5.5, 6.0, 6.5, 6.9], atol=1e-12)
    few = bands_of(np.array([1.0, 1.0, 2.0, 2.0]), np.array([3.0, 5.0, 1.0, np.nan]))
    assert few.quantiles[:, 2].tolist() == [4.0, 1.0]
    assert np.isnan(few.quantiles[:, [0, 1, 3, 4]]).all()
    assert few.count.tolist() == [2, 1]


def test_cells_are_medians_and_keep_their_holes() -> None:
    x = np.array([0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 0.0, 1.0])
    y = np.array([0.0, 0.0, 0.0, 0.0, 0.0, 5.0, 5.0, 5.0])
    z = np.array([1.0, 9.0, 3.0, 2.0, 4.0, np.nan, 7.0, np.nan])
    found = cells_of(x, y, z)
    np.testing.assert_array_equal(found.x, [0.0, 1.0])
    np.testing.assert_array_equal(found.y, [0.0, 5.0])
    np.testing.assert_array_equal(found.median, [[3.0, 3.0], [7.0, np.nan]])
    assert cells_of(np.arange(9.0), np.arange(9.0), np.arange(9.0)) is None
