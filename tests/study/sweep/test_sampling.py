"""Plans: which cases there are, by their number."""

from __future__ import annotations

import itertools
import pickle

import numpy as np
import pytest
from scipy.stats import norm, qmc, spearmanr

from swingbeam.beam.errors import InputError
from swingbeam.study.sweep.sampling import (
    AB,
    A,
    B,
    Crossed,
    Drawn,
    Grid,
    Sensitivity,
    correlation_root,
    draw_shares,
    grid_of,
)
from swingbeam.study.sweep.variation import Variation

UNIFORM = (Variation("", None, 2.0, 4.0), Variation("", None, -1.0, 0.0), Variation("", None, 0.0, 10.0))
EVERY = np.arange(10_000)


def test_a_grid_is_the_product_of_its_levels_in_the_order_of_its_slow_inputs():
    levels = ([1.0, 2.0], [10.0, 20.0, 30.0], [100.0, 200.0])
    variations = [Variation("", np.array(own)) for own in levels]
    # The second varies slowest, then the third, then the first.
    grid = grid_of(variations, ("a", "b", "c"), (2, 0, 1))
    expected = [(a, b, c) for b, c, a in itertools.product(levels[1], levels[2], levels[0])]
    np.testing.assert_array_equal(grid.values(np.arange(grid.count)), expected)
    assert grid.count == 12
    assert grid.run_length == 4  # cases that follow each other and share the slowest


def test_a_large_grid_is_not_laid_out():
    grid = Grid(tuple(np.linspace(0.0, 1.0, 100) for _ in range(4)), (0, 1, 2, 3))
    assert grid.count == 10**8
    np.testing.assert_array_equal(grid.values(np.array([10**8 - 1, 0])), [[1.0] * 4, [0.0] * 4])


def test_a_latin_hypercube_has_one_case_in_every_stratum_of_every_input():
    # The definition (McKay, Beckman & Conover 1979).
    n = 50
    values = Drawn("latin-hypercube", UNIFORM, n, 7).values(np.arange(n))
    for column, one in zip(values.T, UNIFORM, strict=True):
        strata = np.floor(n * (column - one.low) / (one.high - one.low)).astype(int)
        assert sorted(strata) == list(range(n))


def test_a_sobol_plan_is_the_sequence_that_scipy_draws_from_the_seed():
    n, seed = 64, 11
    values = Drawn("sobol", UNIFORM, n, seed).values(np.arange(n))
    plain = qmc.Sobol(d=3, scramble=True, seed=np.random.default_rng(seed)).random(n)
    low, high = np.array([[v.low, v.high] for v in UNIFORM]).T
    # Two roundings apart at the most.
    np.testing.assert_allclose(values, low + plain * (high - low), rtol=1e-15, atol=1e-15)


def test_drawn_cases_are_the_same_whichever_are_asked_for_and_in_another_process():
    plan = Drawn("random", UNIFORM, 40, 3)
    every = plan.values(np.arange(40))
    np.testing.assert_array_equal(plan.values(np.array([31, 4])), every[[31, 4]])
    sent = pickle.dumps(plan)
    assert len(sent) < 2000  # the recipe, not the table
    np.testing.assert_array_equal(pickle.loads(sent).values(np.arange(40)), every)


def test_correlations_are_reached():
    n = EVERY.size
    matrix = np.array([[1.0, 0.7, 0.0], [0.7, 1.0, -0.3], [0.0, -0.3, 1.0]])
    normal = (
        Variation("", None, mean=5.0, deviation=2.0),
        Variation("", None, mean=0.0, deviation=0.1),
        Variation("", None, mean=-3.0, deviation=1.0),
    )
    values = Drawn("random", normal, n, 5, matrix).values(EVERY)
    # Fisher: the standard error of a correlation is (1 − ρ²)/√n ≤ .01; four of them.
    np.testing.assert_allclose(np.corrcoef(values.T), matrix, atol=0.04)
    np.testing.assert_allclose(values.mean(axis=0), [5.0, 0.0, -3.0], atol=4 * 2.0 / np.sqrt(n))
    np.testing.assert_allclose(values.std(axis=0), [2.0, 0.1, 1.0], rtol=4 / np.sqrt(2 * n))
    ranks = spearmanr(Drawn("random", UNIFORM, n, 5, matrix).values(EVERY)).statistic
    # Of a normal copula the rank correlation is (6/π)·asin(ρ/2) (Pearson 1907, from memory; derived as the probability
    # of an orthant).
    np.testing.assert_allclose(ranks, 6.0 / np.pi * np.arcsin(matrix / 2.0), atol=0.04)


def test_correlations_that_contradict_each_other_are_refused():
    with pytest.raises(InputError, match="contradict each other"):
        correlation_root(np.array([[1.0, 0.9, -0.9], [0.9, 1.0, 0.9], [-0.9, 0.9, 1.0]]))


def test_a_normal_input_that_is_cut_off_has_the_law_of_what_is_left():
    one = Variation("", None, 0.0, np.inf, 1.0, 2.0)
    share = np.array([0.1, 0.5, 0.9])
    values = one.at(share)
    left = norm.cdf(0.0, 1.0, 2.0)
    np.testing.assert_allclose((norm.cdf(values, 1.0, 2.0) - left) / (1.0 - left), share, rtol=1e-12)
    assert np.isfinite(one.at(np.array([0.0, 1.0]))).all()


def test_levels_and_names_are_drawn_equally_often():
    names = Variation(levels=np.arange(3.0), names=("a", "b", "c"))
    values = names.at(draw_shares("latin-hypercube", 300, 1, 1)[:, 0])
    assert [int(np.sum(values == k)) for k in range(3)] == [100, 100, 100]
    assert names.at(np.array([0.0, 1.0])).tolist() == [0.0, 2.0]


def test_a_sensitivity_sample_is_laid_out_row_by_row():
    rows, spare, n = 8, 2, 3
    plan = Sensitivity(UNIFORM, rows, spare, 4)
    every = np.arange(plan.count)
    values, where = plan.values(every), plan.sample(every)
    assert plan.count == (rows + spare) * (n + 2)
    assert plan.run_length == n + 2
    both = qmc.Sobol(d=2 * n, scramble=True, seed=np.random.default_rng(4)).random(rows)
    low, high = np.array([[v.low, v.high] for v in UNIFORM]).T
    a, b = low + both[:, :n] * (high - low), low + both[:, n:] * (high - low)
    for case in range(rows * (n + 2)):
        row, place = divmod(case, n + 2)
        assert where.row[case] == row
        expected = a[row].copy()
        if place == 0:
            assert (where.matrix[case], where.column[case]) == (A, -1)
        elif place == n + 1:
            expected = b[row]
            assert (where.matrix[case], where.column[case]) == (B, -1)
        else:
            expected[place - 1] = b[row, place - 1]
            assert (where.matrix[case], where.column[case]) == (AB, place - 1)
        np.testing.assert_allclose(values[case], expected, rtol=1e-15, atol=1e-15)
    shuffled = np.random.default_rng(0).permutation(every)
    np.testing.assert_array_equal(plan.values(shuffled), values[shuffled])


def test_spare_rows_leave_the_others_as_they_are():
    few, more = (Sensitivity(UNIFORM, 8, spare, 4) for spare in (0, 5))
    np.testing.assert_array_equal(more.values(np.arange(few.count)), few.values(np.arange(few.count)))


def test_every_draw_meets_every_combination():
    draws = Drawn("random", UNIFORM[:1], 3, 1)
    grid = grid_of([Variation("", np.array([1.0, 2.0]))], ("a",), (2,))
    plan = Crossed(draws, grid)
    drawn = draws.values(np.arange(3))[:, 0]
    expected = [(d, g) for d in drawn for g in (1.0, 2.0)]
    np.testing.assert_array_equal(plan.values(np.arange(plan.count)), expected)
    assert (plan.count, plan.run_length) == (6, 2)
