"""The picture: every shaft named, labels apart, nothing overwritten."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from study.made_up import NAMES, ranking
from swingbeam.beam.errors import InputError
from swingbeam.report.figure import draw_ranking, write_figure
from swingbeam.report.style import spread_labels


def test_every_panel_names_every_shaft():
    figure = draw_ranking(ranking())
    panels = figure.get_axes()
    assert len(panels) == 5
    for axes in panels:
        assert {text.get_text() for text in axes.texts} == set(NAMES)


def test_labels_do_not_overlap():
    figure = draw_ranking(ranking())
    figure.canvas.draw()
    for axes in figure.get_axes():
        # The text alone: an annotation's own extent includes its leader line.
        from matplotlib.text import Text

        boxes = sorted((Text.get_window_extent(t) for t in axes.texts), key=lambda box: box.y0)
        for below, above in itertools.pairwise(boxes):
            assert above.y0 - below.y0 >= 0.8 * below.height


def test_spread_keeps_order_and_distance():
    places = spread_labels(np.array([1.0, 1.0, 1.01, 5.0]), 0.5, 0.0, 6.0)
    assert np.all(np.diff(np.sort(places)) >= 0.5 - 1e-6)
    assert places[2] > places[0]
    assert places[3] == pytest.approx(5.0, abs=1e-12)


def test_spread_stays_inside_where_it_fits():
    places = spread_labels(np.array([0.0, 0.0, 0.0]), 1.0, 0.0, 10.0)
    assert places.min() >= -1e-6


def test_written_whole_and_never_over_another(tmp_path):
    path = write_figure(ranking(), tmp_path / "x.png")
    assert path.read_bytes().startswith(b"\x89PNG")
    with pytest.raises(InputError, match="exists already"):
        write_figure(ranking(), path)
    assert list(tmp_path.iterdir()) == [path]


def test_a_ranking_without_a_single_run_still_draws():
    result = ranking()
    object.__setattr__(result, "runs", result.runs[-1:])
    object.__setattr__(result, "reference_run", result.runs[0])
    assert len(draw_ranking(result).get_axes()) == 5
