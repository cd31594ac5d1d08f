"""How repeated swings are shown: groups, probabilities and bands, in a table, as JSON and as a picture."""

from __future__ import annotations

import io
import json
import math
from dataclasses import replace
from itertools import pairwise

import h5py
import numpy as np
import pytest
from rich.console import Console

from study.made_up import NAMES, ranking
from swingbeam.beam.errors import InputError
from swingbeam.report.json import rank_json
from swingbeam.report.places import draw_places, write_places
from swingbeam.report.repeat import order_words, print_repeated, spread_words
from swingbeam.study.bands import BANDED
from swingbeam.study.read_repeat import read_repeated
from swingbeam.study.repeated import Band, Repeated, Shares, by_group
from swingbeam.study.store import write_ranking

COUNT = len(NAMES)


def made_up() -> Repeated:
    """The made-up ranking repeated: neighbours change places, the last club never struck the ball."""
    place = np.zeros((COUNT, COUNT))
    for i in range(COUNT):
        place[i, i] += 0.6
        place[i, min(i + 1, COUNT - 1)] += 0.2
        place[i, max(i - 1, 0)] += 0.2
    before = np.where(np.triu(np.ones((COUNT, COUNT)), 1) > 0, 0.8, 0.2)
    np.fill_diagonal(before, math.nan)
    place[-1], before[-1], before[:, -1] = math.nan, math.nan, math.nan
    bands = {q.key: Band(-0.5 / q.scale, 0.1 / q.scale, 0.9 / q.scale, 300) for _, q in BANDED}
    figures = dict.fromkeys(NAMES[:-1], bands) | {NAMES[-1]: {}}
    return Repeated(
        clubs=NAMES,
        swings=300,
        left_out=7,
        seed=2,
        mean_is_drawn=True,
        deviations="a made-up repeatability: face 1.5°",
        struck=(300,) * (COUNT - 1) + (0,),
        figures=figures,
        changes=figures,
        place=place,
        before=before,
        more_loft=before,
        group=(*(1 + i // 4 for i in range(COUNT - 1)), None),
        shares={"half_ms": Shares(0.7, 0.1), "face_angle_deg": Shares(0.5, 0.2)},
    )


@pytest.fixture(scope="module")
def result():
    return replace(ranking(failing=False), repeated=made_up())


def printed(result, width):
    stream = io.StringIO()
    print_repeated(result, Console(file=stream, width=width, color_system=None, highlight=False, markup=False))
    return stream.getvalue()


def test_the_table_folds_within_eighty_columns_and_loses_no_number(result):
    narrow, wide = printed(result, 80), printed(result, 160)
    assert max(len(line) for line in narrow.splitlines()) <= 80
    assert narrow.count("+0.10 (−0.50 … +0.90)") == wide.count("+0.10 (−0.50 … +0.90)") > 0
    for name in NAMES:
        assert name in narrow
    rows = [line.split() for line in wide.splitlines()]
    first = next(row for row in rows if NAMES[0] in row)
    # Group, shaft, first %, before next %, likeliest place.
    assert first[:7] == ["1", NAMES[0], "80", "80", "1", "(80", "%)"]
    last = next(row for row in rows if NAMES[-1] in row)
    assert last[:5] == ["–", NAMES[-1], "–", "–", "–"]


def test_the_words_tell_the_two_spreads_apart_and_how_well_a_probability_is_known(result):
    words = " ".join(spread_words(result.repeated).split())
    assert "what is not known of the golfer's mean swing" in words
    assert "from swing to swing" in words
    assert "7 more could not be made" in words
    assert "half-unload 70 %, 10 %" in words
    stated = spread_words(replace(result.repeated, mean_is_drawn=False))
    assert stated.startswith("The stated swing is taken to be his mean")
    # 1.96 · √(0.25/300) is 5.7 %; never in 300 swings: z²/(300 + z²) is 1.3 %.
    assert "300 swings know 50 % to ±6, and 0 % means below 1.3 %" in order_words(result.repeated)


def test_nothing_is_printed_where_nothing_was_repeated(result):
    assert printed(replace(result, repeated=None), 80) == ""


def test_json_is_whole_and_finite(result):
    found = json.loads(rank_json(result))["repeat"]
    assert found["swings"] == 300
    club = found["clubs"][NAMES[1]]
    assert club["place_probability"][1] == 0.6
    assert club["first"]["low"] < club["first"]["probability"] < club["first"]["high"]
    assert club["changes"]["half_ms"] == {
        "low": pytest.approx(-0.5), "median": pytest.approx(0.1), "high": pytest.approx(0.9), "draws": 300
    }  # fmt: skip
    assert found["before"][NAMES[0]][NAMES[1]] == 0.8
    assert found["clubs"][NAMES[-1]]["first"] is None
    assert found["variance_of_change_from"]["half_ms"]["mean_swing"] == 0.7


def test_the_file_has_places_pairs_and_groups_over_dimensions(result, tmp_path):
    path = write_ranking(result, tmp_path / "r.h5")
    with h5py.File(path) as file:
        assert file["place_probability"].dims[0][0].name == "/club"
        assert file["place_probability"].dims[1][0].name == "/place"
        assert file["before_probability"].dims[1][0].name == "/other_club"
        assert file["group"][0] == 1
        assert file["group"][-1] == file["group"].attrs["_FillValue"]
        assert file["change_median_half_ms"].attrs["units"] == "ms"
        assert file["change_low_half_ms"][0] == pytest.approx(-0.5)
        assert file.attrs["repeat_swings"] == 300
        back = read_repeated(file, list(NAMES))
    np.testing.assert_array_equal(back.place, result.repeated.place)
    assert back.group == result.repeated.group


def test_the_file_opens_in_xarray(result, tmp_path):
    xarray = pytest.importorskip("xarray")
    path = write_ranking(result, tmp_path / "r.h5")
    with xarray.open_dataset(path, engine="h5netcdf") as data:
        assert data["before_probability"].dims == ("club", "other_club")
        assert float(data["place_probability"].sel(place=1)[0]) == pytest.approx(0.8)


def test_the_picture_has_a_cell_for_every_place_and_a_line_between_groups(result, tmp_path):
    figure = draw_places(result)
    strips = figure.axes[0]
    assert strips.images[0].get_array().shape == (COUNT, COUNT)
    assert [label.get_text().removesuffix(" *") for label in strips.get_yticklabels()] == list(NAMES)
    # Groups 1 1 1 1 | 2 2 2 2 | 3 3 3 | none.
    assert sorted(float(line.get_ydata()[0]) for line in strips.lines) == [3.5, 7.5, 10.5]
    boxes = [axes.get_position() for axes in figure.axes]
    assert boxes[0].x0 > 0.0
    assert boxes[-1].x1 < 0.99
    assert all(a.x1 < b.x0 for a, b in pairwise(boxes))
    assert write_places(result, tmp_path / "places.png").stat().st_size > 10_000
    with pytest.raises(InputError, match="not repeated"):
        draw_places(replace(result, repeated=None))


def test_clubs_are_in_the_order_of_their_groups():
    found = replace(made_up(), group=(*((2, 1) * 6)[: COUNT - 1], None))
    names = by_group(found, list(NAMES))
    assert names[:2] == [NAMES[1], NAMES[3]]
    assert names[-1] == NAMES[-1]
