"""The page in headless Chromium: no errors, controls that work, two printed sheets, no fault for assistive technology.

Run with `pytest -m browser`. It needs Chromium (`SWINGBEAM_CHROMIUM` or `chromium` on the path), playwright for Python,
poppler's `pdfinfo`, and axe-core: `SWINGBEAM_AXE` names its axe.min.js, or npm fetches it into a temporary folder.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import h5py
import pytest

from report.pages import shown_number
from study.made_up import NAMES, ranking
from swingbeam.report.page import page_html, write_page
from swingbeam.study.store import write_ranking

pytestmark = pytest.mark.browser
playwright = pytest.importorskip("playwright.sync_api")
CHROMIUM = os.environ.get("SWINGBEAM_CHROMIUM") or shutil.which("chromium")
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    if CHROMIUM is None:
        pytest.skip("there is no Chromium")
    folder = tmp_path_factory.mktemp("profile")
    with playwright.sync_playwright() as engine:
        found = engine.chromium.launch_persistent_context(
            folder, executable_path=CHROMIUM, args=FLAGS, headless=True, viewport={"width": 1240, "height": 900}
        )
        yield found
        found.close()


@pytest.fixture(scope="module")
def axe(tmp_path_factory) -> str:
    stated = os.environ.get("SWINGBEAM_AXE")
    if stated:
        return Path(stated).read_text(encoding="utf-8")
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip("there is no npm to fetch axe-core")
    folder = tmp_path_factory.mktemp("axe")
    done = subprocess.run([npm, "install", "--prefix", folder, "axe-core@4"], capture_output=True, text=True)
    if done.returncode:
        pytest.skip(f"axe-core could not be fetched: {done.stderr[-200:]}")
    return (folder / "node_modules" / "axe-core" / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pages")
    data = write_ranking(ranking(), folder / "made_up.h5")
    write_page(data, folder / "a4.html")
    write_page(data, folder / "letter.html", paper="letter", units="trade", shafts=[NAMES[0], NAMES[5], NAMES[9]])
    left = page_html(replace(ranking(failing=False), left_handed=True))
    (folder / "left.html").write_text(left, encoding="utf-8")
    (folder / "crowded.html").write_text(crowded(), encoding="utf-8")
    return folder


def crowded() -> str:
    """More than two sheets hold at the usual size: many shafts of long names, a long question, many notes."""
    result = ranking()
    runs = [
        replace(run, shaft=f"a-shaft-of-a-long-name-{k}-{run.shaft}", rank=run.rank and 12 * k + run.rank)
        for k in range(3)
        for run in result.runs
    ]
    return page_html(
        replace(
            result,
            runs=tuple(runs),
            reference=runs[3].shaft,
            reference_run=replace(result.reference_run, shaft=runs[3].shaft),
            question="Which of these shafts unloads first, and what does it change of face and loft? " * 4,
            notes=("A note that is as long as notes may be, and says a thing that has to be said of it all. " * 2,) * 6,
        ),
        paper="letter",
    )


@pytest.fixture
def opened(browser, files):
    """Opens a page; whatever it says on the console, or asks of a network, is collected."""
    pages = []

    def open_page(name):
        page = browser.new_page()
        page.said = []
        page.on("console", lambda message: page.said.append(message.text))
        page.on("pageerror", lambda error: page.said.append(str(error)))
        page.on("request", lambda request: page.said.append(request.url) if request.url[:5] != "file:" else None)
        page.goto((files / name).as_uri())
        pages.append(page)
        return page

    yield open_page
    for page in pages:
        page.close()


@pytest.mark.parametrize("name", ["a4.html", "letter.html", "left.html", "crowded.html"])
def test_the_page_opens_without_a_word(opened, name):
    page = opened(name)
    page.wait_for_selector("#scene path", state="attached")
    assert page.said == []


def test_the_units_switch(opened):
    page = opened("a4.html")
    head = page.locator("#ranking thead tr").nth(1)
    assert "m/s" in head.inner_text()
    assert "mph" not in head.inner_text()
    page.get_by_label("trade").focus()
    page.keyboard.press("Space")
    assert "mph" in head.inner_text()
    assert "m/s" not in head.inner_text()
    assert page.locator("#readout").inner_text().count(".") == 6
    page.emulate_media(media="print")
    assert "yd" in page.locator("#ranking thead").inner_text()


@pytest.mark.parametrize("units", ["metric", "trade"])
def test_what_is_seen_of_the_ranking_is_the_files(opened, files, units):
    page = opened("a4.html" if units == "metric" else "letter.html")
    with h5py.File(files / "made_up.h5") as file:
        clubs = [name.decode() for name in file["club"][()]]
        for key, per in (("half_ms", 1.0), ("change_carry_m", 0.9144), ("change_lead_mm", 25.4)):
            for i, club in enumerate(clubs[:12]):
                text = page.locator(f'#ranking td[data-key="{key}"][data-club="{club}"] .v').inner_text()
                decimals = len(text.partition(".")[2])
                value = float(file[key][i]) / (per if units == "trade" else 1.0)
                assert shown_number(text) == pytest.approx(value, abs=0.5 * 10.0**-decimals * (1 + 1e-9))


def scene(page):
    return page.locator("#scene").inner_html()


def test_the_scrubber_moves_clubs_cursor_and_figures_together(opened):
    page = opened("a4.html")
    slider = page.locator("#time")
    slider.focus()
    page.keyboard.press("Home")
    assert page.locator("#clock").inner_text() == "−280 ms"
    before, cursor = scene(page), page.locator(".cursor").first.get_attribute("transform")
    page.keyboard.press("End")
    assert page.locator("#clock").inner_text() == "impact"
    assert slider.get_attribute("aria-valuetext") == "impact"
    assert scene(page) != before
    assert page.locator(".cursor").first.get_attribute("transform") != cursor
    # At impact the readout gives what the made-up curves end with: bend 40 mm and 40 − 1.7 · 11 mm, droop 31 mm.
    rows = [row.split("\t") for row in page.locator("#readout").inner_text().splitlines()]
    assert [row[0] for row in rows] == [NAMES[0], NAMES[11]]
    assert [shown_number(row[1]) for row in rows] == pytest.approx([40.0, 21.3], abs=0.051)
    assert shown_number(rows[0][2]) == pytest.approx(31.0, abs=0.051)
    places = {line.get_attribute("transform") for line in page.locator(".cursor").all()}
    assert len(places) == 1


def test_views_enlargement_and_shafts(opened):
    page = opened("a4.html")
    seen = {scene(page)}
    for name, value in (("view", "down-the-line"), ("view", "along"), ("gain", "5"), ("gain", "1")):
        page.locator(f'input[name="{name}"][value="{value}"]').check(force=True)
        seen.add(scene(page))
    assert len(seen) == 4
    page.select_option("#shaft-b", NAMES[0])
    assert len(page.locator("#readout tr").all()) == 1
    assert "True scale." in page.locator("#view-words").inner_text()


def test_true_scale_and_five_times(opened):
    """Down the shaft the tip lies off the hands by the bend in millimetres; enlarged it is five times as far."""
    page = opened("a4.html")
    page.select_option("#shaft-b", NAMES[0])
    page.locator('input[name="view"][value="along"]').check(force=True)
    page.locator("#time").focus()
    page.keyboard.press("End")
    found = []
    for gain in ("1", "5"):
        page.locator(f'input[name="gain"][value="{gain}"]').check(force=True)
        d = page.locator("#scene path[stroke-width='3']").first.get_attribute("d")
        points = [[float(v) for v in p.split()] for p in d[1:].split("L")]
        rule = page.locator("#scene path").last.get_attribute("d")  # 50 mm of the ruler
        long = float(re.search(r"h([\d.]+)v-6", rule)[1])
        found.append(50.0 * abs(points[-1][0] - points[0][0]) / long)
    # The made-up club's tip is 40 mm ahead at impact; paths carry a tenth of a pixel, half a millimetre at most.
    assert found == pytest.approx([40.0, 200.0], abs=1.0)


def test_a_left_hander_is_reflected_in_the_replay(opened):
    texts = []
    for name in ("a4.html", "left.html"):
        page = opened(name)
        page.locator("#time").focus()
        page.keyboard.press("Home")
        drawn = [d.get_attribute("d") for d in page.locator("#scene path[stroke-width='3']").all()]
        shaft = next(d for d in drawn if d.count("L") == 14)  # the axis has 15 points
        texts.append([float(p.split()[0]) for p in shaft[1:].split("L")])
        words = page.locator("#view-words").inner_text()
        assert ("left" if name == "left.html" else "right") in words
    # One view is the other seen in a mirror: the middle of both is that of the drawing, 560 wide.
    assert texts[1] == pytest.approx([560.0 - x for x in texts[0]], abs=0.2)


def test_play_and_pause(opened):
    page = opened("a4.html")
    button = page.locator("#play")
    # Started and paused within the page: on a busy machine the replay may end before the next command arrives.
    pressed = page.evaluate(
        """() => new Promise(done => {
            const play = document.getElementById('play'), time = document.getElementById('time'), seen = [];
            const look = () => {
                if (!(time.value > -279)) return requestAnimationFrame(look);
                seen.push(play.getAttribute('aria-pressed'));
                play.click();
                seen.push(play.getAttribute('aria-pressed'));
                done(seen);
            };
            play.click();
            look();
        })"""
    )
    assert pressed == ["true", "false"]
    page.evaluate("document.getElementById('time').value = -10")
    button.click()
    page.wait_for_function("document.getElementById('clock').value === 'impact'")
    page.wait_for_function("document.getElementById('play').textContent === 'Play'")  # at the next frame


@pytest.mark.parametrize("name", ["a4.html", "letter.html", "left.html", "crowded.html"])
def test_two_printed_sheets(opened, tmp_path, name):
    page = opened(name)
    page.pdf(path=tmp_path / "x.pdf", prefer_css_page_size=True)
    told = subprocess.run(["pdfinfo", tmp_path / "x.pdf"], capture_output=True, text=True, check=True).stdout
    assert int(re.search(r"Pages:\s+(\d+)", told)[1]) == 2
    width, height = (float(v) for v in re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", told).groups())
    expected = (595.3, 841.9) if name in ("a4.html", "left.html") else (612.0, 792.0)  # points of 1/72 in
    assert (width, height) == pytest.approx(expected, abs=1.0)


@pytest.mark.parametrize("width", [1240, 600])
@pytest.mark.parametrize("name", ["a4.html", "letter.html"])
def test_axe_finds_no_serious_fault(opened, axe, name, width):
    page = opened(name)
    page.set_viewport_size({"width": width, "height": 900})
    page.evaluate(axe)
    found = page.evaluate("axe.run()")
    serious = [
        (fault["id"], fault["impact"], [node["html"][:160] for node in fault["nodes"][:4]])
        for fault in found["violations"]
        if fault["impact"] in ("serious", "critical")
    ]
    assert serious == []


def test_focus_is_visible(opened):
    page = opened("a4.html")
    for target in ("#play", "#time", "#shaft-a"):
        page.locator(target).focus()
        page.keyboard.press("Shift+Tab")
        page.keyboard.press("Tab")
        assert page.evaluate(f"getComputedStyle(document.querySelector('{target}')).outlineStyle") == "solid"


def test_a_narrow_screen_does_not_scroll_sideways(opened):
    page = opened("a4.html")
    page.set_viewport_size({"width": 420, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= 420
