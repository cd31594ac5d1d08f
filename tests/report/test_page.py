"""The page: what stands on it is what the file holds, everything is in the one file, and it can be read by all."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import h5py
import numpy as np
import pytest

from report.pages import parsed, shown_number
from study.made_up import NAMES, ranking
from swingbeam.beam.errors import InputError
from swingbeam.report.caution import IDEALISED, WORKSHOP
from swingbeam.report.page import page_html, write_page
from swingbeam.report.page.motion_drawing import seen
from swingbeam.study.read_ranking import read_ranking
from swingbeam.study.store import write_ranking

# Exact by definition: the inch of 25.4 mm and the yard of 0.9144 m (agreement of 1959), the mile of 1609.344 m an hour.
TRADE = {"_mm": 1.0 / 25.4, "_mps": 3600.0 / 1609.344, "carry_m": 1.0 / 0.9144, "side_m": 1.0 / 0.9144}
"""By the end of a variable's name: trade's units a metric one."""
APEX = 1.0 / 0.3048


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "made_up.h5"
    write_ranking(ranking(), path)
    return path


@pytest.fixture(scope="module")
def html(written):
    return page_html(read_ranking(written))


@pytest.fixture(scope="module")
def page(html):
    return parsed(html)


def by_id(page, name):
    found = [node for node in page.all() if node.attributes.get("id") == name]
    assert len(found) == 1, name
    return found[0]


# -- the tables ----------------------------------------------------------------------------------------------------
def factor(key: str) -> float:
    if key == "apex_m":
        return APEX
    return next((value for end, value in TRADE.items() if key.endswith(end)), 1.0)


@pytest.mark.parametrize("units", ["metric", "trade"])
@pytest.mark.parametrize("table", ["ranking", "bench", "flight"])
def test_every_number_of_a_table_is_the_files(written, page, units, table):
    checked = 0
    with h5py.File(written) as file:
        clubs = [name.decode() for name in file["club"][()]]
        for cell in by_id(page, table).all("td"):
            key, club = cell.attributes.get("data-key", ""), cell.attributes.get("data-club")
            shown = [node for node in cell.all("span") if "v" in node.kinds()]
            if key in ("", "rank", "letter") or not shown:
                continue
            text = shown[0].text(units).split()[0]
            name, _, mode = key.partition(":")
            value = file[name][clubs.index(club)]
            if mode:
                value = value[["vice", "hold", "effort"].index(mode)]
                value = np.nan if value < 0 else value
            if text == "–":
                assert np.isnan(value)
                continue
            decimals = len(text.partition(".")[2])
            scaled = float(value) * (factor(name) if units == "trade" else 1.0)
            # Half of the last place that is shown, and nothing else.
            assert shown_number(text) == pytest.approx(scaled, abs=0.5 * 10.0**-decimals * (1 + 1e-9))
            checked += 1
    assert checked == {"ranking": 12 * 11, "bench": 12 * 4, "flight": 12 * 9}[table]


def test_ranks_are_the_files(written, page):
    with h5py.File(written) as file:
        ranks = dict(zip([name.decode() for name in file["club"][()]], file["rank"][()], strict=True))
    cells = [c for c in by_id(page, "ranking").all("td") if c.attributes.get("data-key") == "rank"]
    assert len(cells) == 13
    for cell in cells:
        text = cell.text().rstrip("=")
        assert (-1 if text == "–" else int(text)) == ranks[cell.attributes["data-club"]]


def test_shafts_of_one_rank_are_marked_as_such():
    result = ranking(failing=False)
    runs = list(result.runs)
    runs[1] = replace(runs[1], rank=1)
    page = parsed(page_html(replace(result, runs=tuple(runs))))
    cells = [c for c in by_id(page, "ranking").all("td") if c.attributes.get("data-key") == "rank"]
    assert [cell.text() for cell in cells[:3]] == ["1=", "1=", "3"]


def test_a_failed_club_is_a_row_with_its_reason(page):
    row = next(row for row in by_id(page, "ranking").all("tr") if "reed-35-l" in row.text())
    assert "failed: no convergence at 0.9 s" in row.text()


def test_what_is_not_resolved_is_marked_and_said(page):
    cells = {(c.attributes.get("data-key"), c.attributes.get("data-club")): c for c in by_id(page, "ranking").all("td")}
    turned = cells["change_side_m", NAMES[11]]  # the made-up change of side turns round under effort
    assert "hands" in turned.kinds()
    assert "†" in turned.text()
    assert "not resolved: the sign turns with the hands" in turned.text()
    assert "sure" in cells["change_carry_m", NAMES[11]].kinds()
    below = cells["change_carry_m", NAMES[1]]  # 0.27 m against an error of 0.4 m
    assert "below" in below.kinds()
    assert "not resolved" in below.text()


# -- one file, for everybody ---------------------------------------------------------------------------------------
def test_nothing_is_fetched_from_anywhere(html, page):
    addresses = set(re.findall(r"\b(?:https?|ftp|wss?|file|data):[^\s\"'<>)]*", html))
    # The name of SVG's namespace, which nothing fetches, in the script that makes its elements.
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert not re.search(r"@import|@font-face|url\(|\bfetch\(|XMLHttpRequest|importScripts|\bimport\(", html)
    for node in page.all():
        assert node.tag not in {"link", "img", "iframe", "object", "embed", "base"}
        assert not {"src", "href", "srcset", "action", "xlink:href"} & set(node.attributes)


def test_the_same_ranking_gives_the_same_page(written, html):
    assert page_html(read_ranking(written)) == html


def test_headings_are_in_order(page):
    levels = [int(node.tag[1]) for node in page.all() if re.fullmatch(r"h[1-6]", node.tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))


def test_every_drawing_says_what_it_shows(page):
    drawings = [node for node in page.all("svg") if node.attributes.get("aria-hidden") != "true"]
    assert len(drawings) >= 11
    for svg in drawings:
        assert svg.attributes["role"] == "img"
        for name in svg.attributes["aria-labelledby"].split():
            assert len(by_id(page, name).text()) > 10


def test_names_of_elements_are_unique(page):
    names = [node.attributes["id"] for node in page.all() if "id" in node.attributes]
    assert len(names) == len(set(names))


def test_tables_have_captions_and_heads_with_scope(page):
    tables = page.all("table")
    assert len(tables) >= 4
    for table in tables:
        assert table.all("caption")[0].text()
        assert all(head.attributes.get("scope") for head in table.all("th"))


def test_every_control_has_a_name(page):
    labels = {node.attributes.get("for") for node in page.all("label")}
    inside = {id(node) for label in page.all("label") for node in label.all()}
    for control in [*page.all("input"), *page.all("select")]:
        assert id(control) in inside or control.attributes.get("id") in labels
    assert by_id(page, "time").attributes["type"] == "range"


def test_says_what_must_be_said(page):
    text = " ".join(page.text("metric").split())
    assert "Which of these made-up shafts unloads first?" in text
    assert text.count("before the golfer adapts") >= 3
    assert IDEALISED in text
    assert WORKSHOP in text
    assert "Everything here is made up." in text
    assert "Repeated with the solver “elements”" in text
    assert "a made-up repeatability" in text
    assert "Pairs of shafts in the same order under vice, hold and effort" in text


def test_says_when_the_solver_was_not_checked():
    text = parsed(page_html(ranking(verified=False))).text()
    assert "was not repeated with the other solver" in " ".join(text.split())


def test_a_name_cannot_break_out_of_the_page():
    result = ranking(failing=False)
    evil = '</script><b onclick="x">&'
    runs = (replace(result.runs[0], shaft=evil), *result.runs[1:])
    html = page_html(replace(result, runs=runs, scenario="<i>a & b</i>"), shafts=[evil])
    page = parsed(html)
    assert not page.all("b") or all("onclick" not in node.attributes for node in page.all("b"))
    assert not page.all("i")
    assert len(page.all("script")) == 2
    assert any(option.text() == evil for option in page.all("option"))


def test_units_shown_first(written):
    page = parsed(page_html(read_ranking(written), units="trade"))
    assert page.all("html")[0].attributes["data-units"] == "trade"
    checked = [n.attributes["value"] for n in page.all("input") if "checked" in n.attributes]
    assert "trade" in checked
    assert "metric" not in checked


@pytest.mark.parametrize(("paper", "size"), [("a4", "210.0mm 297.0mm"), ("letter", "215.9mm 279.4mm")])
def test_paper(written, paper, size):
    assert f"size: {size}" in page_html(read_ranking(written), paper=paper)


def test_without_replay_or_shafts_or_other_hands_the_page_is_whole():
    result = ranking(failing=False)
    bare = [replace(run, replay=None, look=None, under={}) for run in (*result.runs, result.reference_run)]
    page = parsed(page_html(replace(result, runs=tuple(bare[:-1]), reference_run=bare[-1])))
    assert not [node for node in page.all() if node.attributes.get("id") == "stage"]
    assert "The file keeps no motion." in page.text()
    assert "Timing order under hold: it holds under vice." in page.text()


def test_of_many_shafts_the_paper_holds_the_first_the_last_and_the_drawn():
    result = ranking(failing=False)
    many = [
        replace(run, shaft=f"{run.shaft}-{k}", rank=12 * k + (run.rank or 0)) for k in range(3) for run in result.runs
    ]
    chosen = many[17].shaft
    found = replace(result, runs=tuple(many), reference=many[3].shaft)
    page = parsed(page_html(found, shafts=[chosen]))
    rows = [
        row
        for row in by_id(page, "ranking").all("tr")
        if row.all("td") and row.all("th")[0].attributes["scope"] == "row"
    ]
    kept = [row.all("th")[0].text() for row in rows if "screen" not in row.kinds()]
    assert len(rows) == 36
    assert len(kept) == 18
    assert {many[0].shaft, many[35].shaft, chosen} <= {name.split(" ")[0] for name in kept}
    assert "18 more shafts are on the screen only." in " ".join(page.text().split())


# -- left-handed ---------------------------------------------------------------------------------------------------
def test_a_left_hander_has_the_other_side_in_words_and_drawings():
    right, left = ranking(failing=False), replace(ranking(failing=False), left_handed=True)
    pages = [parsed(page_html(result)) for result in (right, left)]
    texts = [" ".join(page.text("metric").split()) for page in pages]
    for text, side, other in zip(texts, ("right", "left"), ("left", "right"), strict=True):
        assert f"{side}-handed" in text
        assert f"Side: {side} of the line +, which is where a fade goes." in text
        assert f"Start, axis and side: {side} of the line +, where a fade goes; draw −." in text
        assert f"{other} of the line +" not in text
    # The landing of the made-up shots is 11 m to the slice side: right of a right-hander, left of a left-hander.
    words = [by_id(page, "chart-landing-words").text() for page in pages]
    assert "11.0 m right of the line" in words[0]
    assert "11.0 m left of the line" in words[1]
    tables = [[cell.text() for cell in by_id(page, "ranking").all("td")] for page in pages]
    assert tables[0] == tables[1]


def test_world_drawings_are_reflected():
    points = np.array([[1.0, 0.5, 0.2], [0.0, -0.3, 1.0]])
    # From in front a right-hander's target is at the right; from behind the ball he stands at the left (y to the left).
    np.testing.assert_array_equal(seen(points, "face-on", False), [[1.0, 0.2], [0.0, 1.0]])
    np.testing.assert_array_equal(seen(points, "down-the-line", False), [[-0.5, 0.2], [0.3, 1.0]])
    np.testing.assert_array_equal(seen(points, "face-on", True), [[-1.0, 0.2], [0.0, 1.0]])
    np.testing.assert_array_equal(seen(points, "down-the-line", True), [[0.5, 0.2], [-0.3, 1.0]])


# -- what cannot be done -------------------------------------------------------------------------------------------
def test_an_existing_page_is_left_alone(written, tmp_path):
    target = tmp_path / "there.html"
    target.write_text("mine")
    with pytest.raises(InputError, match="exists already"):
        write_page(written, target)
    assert target.read_text() == "mine"


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"shafts": ["larch-45-k"]}, "larch-45-l"),
        ({"shafts": list(NAMES)}, "allowed: up to 6"),
        ({"shafts": ["reed-35-l"]}, "no convergence"),
        ({"units": "miles"}, "metric or trade"),
        ({"paper": "a5"}, "a4 or letter"),
    ],
)
def test_options_that_cannot_be(written, tmp_path, options, words):
    with pytest.raises(InputError, match=words):
        write_page(written, tmp_path / "x.html", **options)
    assert list(tmp_path.iterdir()) == []


def test_another_ending_is_refused(written, tmp_path):
    with pytest.raises(InputError, match=r"ends in \.html or \.htm"):
        write_page(written, tmp_path / "x.pdf")
