"""A swing's spread: what is drawn from it has its covariance, and keeps to what a swing can be."""

from __future__ import annotations

from itertools import islice

import numpy as np
import pytest

from swingbeam.beam import InputError
from swingbeam.swing.archetype import load_swing
from swingbeam.swing.parameters import BY_KEY, value_of
from swingbeam.swing.spread import Spread

KEYS = ("arms.rate_at_impact", "wrists.couple_at_impact", "delivery.dynamic_loft")
DEVIATIONS = np.array([0.1, 1.0, 0.002])
CORRELATIONS = np.array([[1.0, 0.6, -0.3], [0.6, 1.0, 0.2], [-0.3, 0.2, 1.0]])


def drawn(spread, count, seed=3):
    plan = load_swing("even").plan
    return np.array([[value_of(p, key) for key in spread.keys] for p in islice(spread.draws(plan, seed), count)])


def test_draws_have_mean_and_covariance():
    plan, count = load_swing("even").plan, 4000
    values = drawn(Spread(KEYS, DEVIATIONS, CORRELATIONS), count)
    scaled = (values - [value_of(plan, key) for key in KEYS]) / DEVIATIONS
    # Standard errors of a mean and of a correlation over 4000 draws are below 1/63; four of them.
    np.testing.assert_allclose(scaled.mean(axis=0), 0.0, atol=4 / 63)
    np.testing.assert_allclose(np.cov(scaled.T), CORRELATIONS, atol=4 * np.sqrt(2.0) / 63)


def test_what_is_pinned_down_together_stays_so():
    """Two parameters whose sum is known: a matrix of correlations without full rank."""
    spread = Spread(KEYS[:2], DEVIATIONS[:2], np.array([[1.0, -1.0], [-1.0, 1.0]]))
    values = drawn(spread, 50)
    total = values[:, 0] / DEVIATIONS[0] + values[:, 1] / DEVIATIONS[1]
    np.testing.assert_allclose(total, total[0], rtol=1e-12)


def test_draws_depend_on_the_seed_alone_and_keep_to_the_bounds():
    wide = Spread(("wrists.couple_at_impact",), np.array([40.0]), np.eye(1))
    values = drawn(wide, 100)
    np.testing.assert_array_equal(values, drawn(wide, 100))
    assert not np.array_equal(values, drawn(wide, 100, seed=4))
    bound = BY_KEY["wrists.couple_at_impact"]
    assert values.min() >= bound.least
    assert values.max() <= bound.most


@pytest.mark.parametrize(
    ("keys", "deviations", "correlations", "words"),
    [
        (("arms.plan",), [1.0], np.eye(1), "allowed: each once"),
        (("arms.plane", "arms.plane"), [1.0, 1.0], np.eye(2), "twice"),
        (("arms.plane",), [0.0], np.eye(1), "above 0"),
        (("arms.plane",), [1.0, 1.0], np.eye(1), "one for each"),
        (KEYS[:2], [1.0, 1.0], np.array([[1.0, 0.5], [0.4, 1.0]]), "the same both ways"),
        (KEYS, [1.0, 1.0, 1.0], np.array([[1.0, 0.9, -0.9], [0.9, 1.0, 0.9], [-0.9, 0.9, 1.0]]), "contradict"),
    ],
)
def test_what_is_no_spread_is_refused(keys, deviations, correlations, words):
    with pytest.raises(InputError, match=words):
        Spread(keys, np.array(deviations), correlations)
