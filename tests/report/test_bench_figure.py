"""The bench's picture: every shaft in every panel, and a file that is written whole or not at all."""

import pytest

from swingbeam.report.bench_figure import draw_bench, write_bench_figure
from swingbeam.study.bench import read_shafts
from swingbeam.units import InputError

TESTS = ["frequency", "kick_point"]


@pytest.fixture(scope="module")
def three():
    return read_shafts(["wick-65-s", "ballast-115-s", "marl-79-x"], tests=TESTS)


def test_five_panels_with_every_shaft(three) -> None:
    figure = draw_bench(three)
    titles = [axes.get_title(loc="left") for axes in figure.axes]
    assert titles == ["EI, N·m²", "GJ, N·m²", "Mass per length, g/m", "Shape under the tip load, mm", "Frequency, cpm"]
    for axes in figure.axes:
        assert len(axes.get_lines()) >= 3
    assert [text.get_text() for text in figure.legends[0].get_texts()] == [row.name for row in three.rows]


def test_nothing_is_drawn_over_the_edge(three) -> None:
    for result in (three, read_shafts(["wick-63-s-loose"], tests=TESTS)):
        figure = draw_bench(result)
        figure.canvas.draw()
        width, height = figure.bbox.width, figure.bbox.height
        renderer = figure.canvas.get_renderer()
        for artist in (*figure.axes, *figure.legends):
            box = artist.get_tightbbox(renderer)
            assert box.x0 >= 0.0
            assert box.y0 >= 0.0
            assert box.x1 <= width
            assert box.y1 <= height


@pytest.mark.parametrize("ending", ["png", "svg"])
def test_the_file(three, tmp_path, ending: str) -> None:
    path = write_bench_figure(three, tmp_path / f"bench.{ending}")
    assert path.stat().st_size > 10_000
    with pytest.raises(InputError, match="exists already"):
        write_bench_figure(three, path)


def test_another_ending_is_refused(three, tmp_path) -> None:
    with pytest.raises(InputError, match=r"\.png or \.svg"):
        write_bench_figure(three, tmp_path / "bench.pdf")
    assert not list(tmp_path.iterdir())
