"""The picture of the landings, and the tables of launch and flight."""

from __future__ import annotations

import dataclasses
import io

import numpy as np
import pytest
from rich.console import Console

from study.made_up import NAMES, ranking
from swingbeam.beam.errors import InputError
from swingbeam.report.landing import SIZE, draw_landing, write_landing
from swingbeam.report.table import print_ranking


def page(result):
    stream = io.StringIO()
    print_ranking(result, Console(file=stream, width=250, highlight=False, markup=False))
    return stream.getvalue()


def test_every_shaft_is_named_once_and_what_is_not_resolved_says_so():
    _, near = draw_landing(ranking()).get_axes()
    texts = {text.get_text() for text in near.texts}
    # The changes of the made-up ranking grow with the row: the first two are below their error, and the fourth is
    # the reference club.
    assert texts == {f"{n} (not resolved)" if i in (0, 1) else n for i, n in enumerate(NAMES)}


def test_ellipses_hold_the_share_they_say():
    # The made-up spread is 5 m of carry and 20 m of side: the ellipse touches ±SIZE σ, and 1 − exp(−SIZE²/2) = 0.9.
    assert 1.0 - np.exp(-0.5 * SIZE**2) == pytest.approx(0.9, abs=1e-12)
    wide, _ = draw_landing(ranking()).get_axes()
    ellipse = next(line for line in wide.lines if len(line.get_xdata()) > 100)
    # 181 points of the circle miss its extremes by 1 − cos(1°).
    assert np.ptp(ellipse.get_xdata()) == pytest.approx(2.0 * SIZE * 20.0, rel=2e-4)
    assert np.ptp(ellipse.get_ydata()) == pytest.approx(2.0 * SIZE * 5.0, rel=2e-4)


def test_a_left_hander_s_picture_is_the_mirror_image():
    right = draw_landing(ranking()).get_axes()[0]
    left = draw_landing(dataclasses.replace(ranking(), left_handed=True)).get_axes()[0]
    for a, b in zip(right.lines, left.lines, strict=True):
        if len(a.get_xdata()) > 100:
            np.testing.assert_allclose(np.asarray(b.get_xdata()), -np.asarray(a.get_xdata()), atol=1e-12)
            np.testing.assert_allclose(b.get_ydata(), a.get_ydata(), atol=1e-12)


def test_written_whole_and_never_over_another(tmp_path):
    path = write_landing(ranking(), tmp_path / "x-landing.png")
    assert path.read_bytes().startswith(b"\x89PNG")
    with pytest.raises(InputError, match="exists already"):
        write_landing(ranking(), path)
    assert list(tmp_path.iterdir()) == [path]


def test_a_ranking_without_a_shot_still_draws():
    result = ranking()
    nothing = dataclasses.replace(
        result, runs=result.runs[-1:], reference_run=dataclasses.replace(result.reference_run, flight=None)
    )
    assert len(draw_landing(nothing).get_axes()) == 2
    assert "Launch and flight" not in page(nothing)


def test_tables_bracket_what_is_not_resolved():
    text = page(ranking())
    change = text.split("Change of launch and flight")[1].split("On the bench")[0]
    row = next(line for line in change.splitlines() if NAMES[11] in line)
    # Last row: carry +3.0 resolved, apex +0.5 below its error of 0.6, side −2.0 the other way under effort.
    assert " +3.0 " in row
    assert "(+0.5)" in row
    assert "[−2.0]" in row
    assert "not resolved" in change.lower()
    assert "20 °C, no wind" in text
    assert "a made-up repeatability" in text


def test_the_reference_club_stands_without_brackets():
    change = page(ranking()).split("Change of launch and flight")[1].split("On the bench")[0]
    row = next(line for line in change.splitlines() if f"{NAMES[3]} *" in line)
    assert "(" not in row
    assert "[" not in row
