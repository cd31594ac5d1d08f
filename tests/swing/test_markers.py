"""Markers → pose: a template laid over them by least squares."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from swing.recordings import TEMPLATE
from swingbeam.beam.rotations import rotation_from_vector
from swingbeam.swing.markers import fit_template
from swingbeam.units import InputError

NAMES = tuple(TEMPLATE)
POINTS = np.array(list(TEMPLATE.values()))


def placed(n: int = 60, noise: float = 0.0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Positions, rotations and the markers they put the template's points at."""
    rng = np.random.default_rng(3)
    position = rng.uniform(-2.0, 2.0, (n, 3))
    rotation = rotation_from_vector(rng.uniform(-2.0, 2.0, (n, 3)))
    markers = position[:, None] + np.einsum("nij,kj->nki", rotation, POINTS)
    return position, rotation, markers + noise * rng.standard_normal(markers.shape)


def test_exact_markers_give_the_pose() -> None:
    position, rotation, markers = placed()
    fit = fit_template(POINTS, markers, NAMES)
    # Round-off of singular vectors of a 0.1 m template, some 1e-16/0.1 each.
    assert_allclose(fit.position, position, atol=1e-12)
    assert_allclose(fit.rotation, rotation, atol=1e-12)
    assert_allclose(fit.misfit, 0.0, atol=1e-12)


def test_misfit_of_noisy_markers_is_that_of_the_freedoms_left() -> None:
    # k markers have 3k coordinates, a pose takes 6: the sum of squares left is σ²(3k − 6) (linear least squares).
    noise, k = 0.5e-3, len(NAMES)
    fit = fit_template(POINTS, placed(4000, noise)[2], NAMES)
    expected = noise * np.sqrt((3 * k - 6) / k)
    # 4000 frames of 6 freedoms: the mean square is known to √(2/24000) = 1 %.
    assert_allclose(np.sqrt(np.mean(fit.misfit**2)), expected, rtol=0.02)


def test_three_markers_are_enough_and_two_are_not() -> None:
    position, rotation, markers = placed()
    markers[5, 1] = np.nan
    markers[7, :2] = np.nan
    fit = fit_template(POINTS, markers, NAMES)
    assert_allclose(fit.position[5], position[5], atol=1e-12)
    assert_allclose(fit.rotation[5], rotation[5], atol=1e-12)
    assert np.all(np.isnan(fit.position[7]))
    assert any("lack markers" in note for note in fit.notes)


def test_a_frame_with_swapped_markers_is_left_out() -> None:
    markers = placed(noise=1e-4)[2]
    markers[10, [0, 1]] = markers[10, [1, 0]]
    fit = fit_template(POINTS, markers, NAMES)
    assert np.all(np.isnan(fit.rotation[10]))
    assert np.isfinite(fit.misfit).sum() == markers.shape[0] - 1
    assert any("do not fit" in note for note in fit.notes)


@pytest.mark.parametrize(
    ("template", "markers", "words"),
    [
        (POINTS, 1000.0 * placed()[2], "1000 times as far apart"),
        (POINTS, placed()[2] * [1.0, -1.0, 1.0], "mirror image"),
        (POINTS + [[0, 0, 0], [0, 0, 0], [0, 0.018, 0.018], [0, 0, 0]], placed()[2], "miss the template by"),
        (np.outer([0.0, 0.1, 0.2, 0.3], [1.0, 0.2, 0.0]), placed()[2], "in one line"),
        (POINTS, np.full((20, 4, 3), np.nan), "no frame shows three"),
    ],
)
def test_what_does_not_fit_is_refused(template: np.ndarray, markers: np.ndarray, words: str) -> None:
    with pytest.raises(InputError, match=words):
        fit_template(template, markers, NAMES)
