"""Sobol' indices against closed forms and against two other programs; intervals that hold as often as they say."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from study.sweep.toy_results import ishigami, saltelli
from swingbeam.study.sweep.problem import Sample
from swingbeam.study.sweep.sensitivity import RowValues, by_rows, sobol_indices, whole_rows


def rows_of(function, rows: int, inputs: int, low: float, high: float, seed: int = 11) -> RowValues:
    unit, sample = saltelli(rows, inputs, seed)
    return by_rows(function(low + (high - low) * unit), Sample(**sample), inputs)


def ishigami_indices(a: float = 7.0, b: float = 0.1) -> tuple[np.ndarray, np.ndarray]:
    """First-order and total indices on −π … π (Ishigami & Homma 1990, Proc. ISUMA; Sobol' & Levitan 1999, Comput. Phys.
    Commun. 117:52), from the parts of the variance: V₁ = ½(1 + bπ⁴/5)², V₂ = a²/8, V₁₃ = b²π⁸(1/18 − 1/50).

    V₁: E[y|x₁] = sin x₁ (1 + b E[x₃⁴]) + const, E[x₃⁴] = π⁴/5, V[sin] = ½. V₂: V[sin²] = 1/8. V₁₃: E[y|x₁, x₃] varies
    by b sin x₁ (x₃⁴ − π⁴/5); E[x₃⁸] = π⁸/9, so ½ b² π⁸ (1/9 − 1/25).
    """
    v1, v2 = 0.5 * (1.0 + b * math.pi**4 / 5.0) ** 2, a * a / 8.0
    v13 = b * b * math.pi**8 * (1.0 / 18.0 - 1.0 / 50.0)
    whole = v1 + v2 + v13
    return np.array([v1, v2, 0.0]) / whole, np.array([v1 + v13, v2, v13]) / whole


def test_ishigami() -> None:
    first, total = ishigami_indices()
    # The parts as they are printed in the literature: 0.3139, 0.4424, 0; 0.5576, 0.4424, 0.2437.
    np.testing.assert_allclose(first, [0.3139, 0.4424, 0.0], atol=5e-5)
    np.testing.assert_allclose(total, [0.5576, 0.4424, 0.2437], atol=5e-5)
    found = sobol_indices(rows_of(ishigami, 4096, 3, -math.pi, math.pi), seed=1)
    assert found is not None
    # Half of a 95 % interval is 1.96 σ for independent draws, and a Sobol' sequence errs by less: twice that is 4 σ.
    for value, low, high, true in (
        (found.first, found.first_low, found.first_high, first),
        (found.total, found.total_low, found.total_high, total),
    ):
        half = 0.5 * (high - low)
        assert np.all(np.abs(value - true) < 2.0 * half + 1e-12)
        # With 4096 rows σ of an index is (some 1.5)/√4096 at most.
        assert np.all(half < 2.0 * 1.5 / 64.0)
        assert np.all((low <= value) & (value <= high))


def test_the_error_falls_with_more_rows() -> None:
    first, total = ishigami_indices()
    error = []
    for rows in (128, 8192):
        found = sobol_indices(rows_of(ishigami, rows, 3, -math.pi, math.pi), seed=1, resamples=10)
        error.append(max(np.abs(found.first - first).max(), np.abs(found.total - total).max()))
    # Draws fall as 1/√64 = 1/8, a Sobol' sequence faster; half of that must be left over for luck.
    assert error[1] < 0.25 * error[0]


def test_a_linear_function() -> None:
    """y = Σ c_i x_i of independent uniform inputs: S_i = T_i = c_i²/Σ c²."""
    c = np.array([3.0, -2.0, 1.0, 0.0])
    found = sobol_indices(rows_of(lambda x: x @ c + 1e4, 2048, 4, 0.0, 1.0), seed=1)
    expected = c * c / (c @ c)
    # f(A) − f(AB_i) is c_i times a difference of two uniform draws: T_i errs by its own sampling, T_i·O(1/√N) at most;
    # S_i by O(1/√N) of the products. A mean of 10⁴ costs nothing, since the outputs are centred.
    np.testing.assert_allclose(found.total, expected, atol=0.02)
    np.testing.assert_allclose(found.first, expected, atol=0.05)
    assert found.total[3] == 0.0
    assert found.first[3] == 0.0


def test_a_shift_and_a_scale_change_no_index() -> None:
    values = rows_of(ishigami, 256, 3, -math.pi, math.pi)
    moved = RowValues(100.0 + 8.0 * values.a, 100.0 + 8.0 * values.b, 100.0 + 8.0 * values.ab)
    one, two = sobol_indices(values, seed=3, resamples=50), sobol_indices(moved, seed=3, resamples=50)
    for name in ("first", "first_low", "first_high", "total", "total_low", "total_high"):
        # 100 in the last place of 1e2 against a spread of 30: some 1e-14, squared sums of 256 rows some ten times that.
        np.testing.assert_allclose(getattr(one, name), getattr(two, name), atol=1e-11)


def test_against_scipy() -> None:
    values = rows_of(ishigami, 512, 3, -math.pi, math.pi)
    ours = sobol_indices(values, seed=1, resamples=10)

    def estimate(a: np.ndarray, b: np.ndarray, ab: np.ndarray):
        return stats.sobol_indices(func={"f_A": a[None], "f_B": b[None], "f_AB": ab[:, None]}, n=a.size)

    theirs = estimate(values.a, values.b, values.ab)
    # The same estimators: round-off.
    np.testing.assert_allclose(ours.first, theirs.first_order, atol=1e-12)
    np.testing.assert_allclose(ours.total, theirs.total_order, atol=1e-12)


def test_against_salib() -> None:
    sobol = pytest.importorskip("SALib.analyze.sobol")
    inputs, rows = 3, 512
    values = rows_of(ishigami, rows, inputs, -math.pi, math.pi)
    ours = sobol_indices(values, seed=1)
    problem = {"num_vars": inputs, "names": ["x1", "x2", "x3"], "bounds": [[-math.pi, math.pi]] * inputs}
    # Its order: A, AB_1 … AB_d, B, row by row.
    y = np.column_stack([values.a, values.ab.T, values.b]).ravel()
    theirs = sobol.analyze(problem, y, calc_second_order=False, num_resamples=1000, seed=5)
    # Same estimators after its own scaling of y (by mean and standard deviation of all cases, ours by mean of A and B):
    # the first-order one depends on the centre, by mean(AB − A)·shift/V, some 1/√512 · 1/√512.
    np.testing.assert_allclose(ours.first, theirs["S1"], atol=0.01)
    np.testing.assert_allclose(ours.total, theirs["ST"], atol=0.01)
    # Bootstraps of 1000: half-widths of 95 % differ by some 5 % of chance, and normal against percentile by as much.
    np.testing.assert_allclose(0.5 * (ours.first_high - ours.first_low), theirs["S1_conf"], rtol=0.2)
    np.testing.assert_allclose(0.5 * (ours.total_high - ours.total_low), theirs["ST_conf"], rtol=0.2)


def test_intervals_hold_as_often_as_they_say() -> None:
    """y = x₁ + x₂ + x₁x₂ of ±1-uniform inputs: V = 1/3 + 1/3 + 1/9, so S = 3/7 and T = 4/7 for both."""
    rng, inside, trials = np.random.default_rng(2), [], 300
    for _ in range(trials):
        a, b = rng.uniform(-1.0, 1.0, (2, 200, 2))

        def f(x: np.ndarray) -> np.ndarray:
            return x[:, 0] + x[:, 1] + x[:, 0] * x[:, 1]

        ab = np.array([f(np.column_stack([b[:, 0], a[:, 1]])), f(np.column_stack([a[:, 0], b[:, 1]]))])
        found = sobol_indices(RowValues(f(a), f(b), ab), seed=4, resamples=300)
        inside.append((found.first_low <= 3.0 / 7.0) & (found.first_high >= 3.0 / 7.0))
        inside.append((found.total_low <= 4.0 / 7.0) & (found.total_high >= 4.0 / 7.0))
    share = np.mean(inside)
    # 1200 answers of 300 independent trials: σ is at most √(0.95·0.05/300) = 0.013. Percentile intervals of ratios hold
    # somewhat less often than they say at 200 rows: 0.91 is allowed below, nothing above 0.98.
    assert 0.91 < share < 0.98


def test_the_same_seed_gives_the_same_bits() -> None:
    values = rows_of(ishigami, 64, 3, -math.pi, math.pi)
    one, two, other = (sobol_indices(values, seed=seed) for seed in (1, 1, 2))
    assert np.array_equal(one.first_low, two.first_low)
    assert np.array_equal(one.total_high, two.total_high)
    assert not np.array_equal(one.first_low, other.first_low)


def test_blocks_of_resamples_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    values = rows_of(ishigami, 64, 3, -math.pi, math.pi)
    whole = sobol_indices(values, seed=1, resamples=101)
    monkeypatch.setattr("swingbeam.study.sweep.sensitivity._AT_ONCE", 64 * 7)
    parts = sobol_indices(values, seed=1, resamples=101)
    # The draws are the same; a product of other shape may round otherwise.
    np.testing.assert_allclose(parts.first_low, whole.first_low, atol=1e-13)


def test_rows_are_kept_whole_and_spares_stand_in_in_order() -> None:
    values = rows_of(ishigami, 32, 3, -math.pi, math.pi).take(np.arange(20))
    values.a[2] = values.ab[1, 5] = values.b[5] = values.ab[0, 17] = np.nan
    kept, rows = whole_rows(values, 16)
    # Rows 2 and 5 are left out of the first 16; 16 stands in, 17 is not whole, 18 stands in.
    assert kept.tolist() == [0, 1, 3, 4, *range(6, 17), 18]
    assert (rows.used, rows.wanted, rows.left_out, rows.spares) == (16, 16, 2, 2)
    kept, rows = whole_rows(values, None)
    assert kept.tolist() == [row for row in range(20) if row not in (2, 5, 17)]
    assert (rows.used, rows.wanted, rows.left_out, rows.spares) == (17, 20, 3, 0)


def test_nothing_to_explain() -> None:
    flat = rows_of(lambda x: np.full(len(x), 0.1) + 1e-17 * x[:, 0], 32, 2, 0.0, 1.0)
    assert sobol_indices(flat, seed=1) is None
    few = rows_of(lambda x: x[:, 0], 4, 2, 0.0, 1.0)
    assert sobol_indices(few, seed=1) is None
