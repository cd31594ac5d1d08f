"""Pictures of studies: the kind that fits what varies, all within the page, failed cases shown as such."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from matplotlib import colormaps

from study.sweep.toy_results import ishigami, write_results, write_sensitivity
from swingbeam.beam.errors import InputError
from swingbeam.report.study_axes import COLOURS, LINE, NARROW, WIDE
from swingbeam.report.study_figure import draw_explained, order_of, write_explained
from swingbeam.report.study_plot import draw_study, free_picture, plot_study
from swingbeam.report.study_words import axis_label, number, reach, share, unit_words
from swingbeam.study.sweep.explain import explain_study
from swingbeam.study.sweep.results import Variable, open_results

SHAFTS = ["maple-65-s", "ash-79-x", "elm-2", "oak-98-r"]
WORDS = {
    "head__mass": ("g", "mass of the head"),
    "head__cg": ("mm", "head CG from the axis, rearward +"),
    "tempo": ("s", "duration of the backswing"),
    "face_angle_deg": ("degree", "face angle at face centre (open +)"),
    "dynamic_loft_deg": ("degree", "dynamic loft at face centre"),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One file a kind of picture."""
    folder = tmp_path_factory.mktemp("studies")
    mass, cg = (m.ravel() for m in np.meshgrid(np.linspace(180.0, 220.0, 7), np.linspace(-10.0, 40.0, 5)))
    status = np.where((mass > 205.0) & (cg > 30.0), 2, 0)
    status[3] = 1
    ok = status == 0
    grid = {
        "face_angle_deg": np.where(ok, 0.02 * mass + 0.05 * cg - 1e-3 * cg**2, np.nan),
        "dynamic_loft_deg": np.where(ok, 15.0 + 0.1 * cg, np.nan),
    }
    write_results(
        folder / "two.h5", {"head__mass": mass, "head__cg": cg}, grid, kind="grid", status=status, words=WORDS
    )
    x = np.linspace(0.6, 1.2, 25)
    write_results(folder / "one.h5", {"tempo": x}, {"face_angle_deg": np.sin(5.0 * x)}, kind="grid", words=WORDS)
    rng = np.random.default_rng(0)
    n = 500
    reaches = {"head__mass": (180.0, 220.0), "head__cg": (-10.0, 40.0), "tempo": (0.6, 1.2)}
    drawn = {name: rng.uniform(*ends, n) for name, ends in reaches.items()}
    shaft = rng.integers(0, 4, n)
    status = np.where(drawn["tempo"] > 1.15, 2, 0)
    face = np.where(status == 0, 0.05 * drawn["head__cg"] + np.sin(6.0 * drawn["tempo"]), np.nan)
    loft = np.where(status == 0, 15.0 + 0.1 * drawn["head__cg"] - shaft, np.nan)
    write_results(
        folder / "many.h5",
        drawn | {"shaft": shaft},
        {"face_angle_deg": face, "dynamic_loft_deg": loft},
        kind="latin-hypercube",
        status=status,
        choices={"shaft": SHAFTS},
        words=WORDS,
        question="what drives the face?",
        held="finished length and swing weight",
    )
    place, cg = (m.ravel() for m in np.meshgrid(np.arange(4), np.linspace(-10.0, 40.0, 5)))
    write_results(
        folder / "named.h5",
        {"shaft": place, "head__cg": cg},
        {"face_angle_deg": 0.05 * cg + 0.3 * place},
        kind="grid",
        choices={"shaft": SHAFTS},
        words=WORDS,
    )
    write_sensitivity(
        folder / "sensitivity.h5",
        {"y": ishigami, "z": lambda x: x[:, 1]},
        rows=64,
        low=-3.0,
        high=3.0,
        inputs=3,
        failed=(3,),
        sample_rows=62,
    )
    return folder


def drawn_of(path: Path, **asked):
    with open_results(path) as results:
        return draw_study(results, **asked)


def within_page(figure) -> None:
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    width, height = figure.bbox.width, figure.bbox.height
    for artist in (*figure.axes, *figure.texts):
        box = artist.get_tightbbox(renderer)
        # A pixel of 100 an inch is what round-off of boxes can be.
        assert box.x0 >= -1.0
        assert box.y0 >= -1.0
        assert box.x1 <= width + 1.0
        assert box.y1 <= height + 1.0


def plots(figure) -> list:
    """Axes without colour bars."""
    return [axes for axes in figure.axes if axes.get_label() != "<colorbar>"]


@pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("one", {}),
        ("two", {}),
        ("two", {"x": "head.cg"}),
        ("many", {}),
        ("many", {"x": "head.cg", "y": "tempo"}),
        ("many", {"x": "shaft"}),
        ("many", {"x": "shaft", "y": "head.cg"}),
        ("many", {"x": "dynamic_loft_deg", "outputs": ["face_angle_deg"]}),
        ("named", {}),
        ("sensitivity", {}),
        ("sensitivity", {"x": "x1", "y": "x3"}),
    ],
)
def test_nothing_is_drawn_over_the_edge(folder: Path, name: str, asked: dict) -> None:
    within_page(drawn_of(folder / f"{name}.h5", **asked))


def test_one_input_is_its_own_course(folder: Path) -> None:
    (axes,) = plots(drawn_of(folder / "one.h5"))
    (line,) = axes.get_lines()
    np.testing.assert_allclose(line.get_ydata(), np.sin(5.0 * np.linspace(0.6, 1.2, 25)), rtol=1e-12)
    assert axes.get_xlabel().startswith("duration of the backswing")
    assert axes.get_xlabel().endswith("s")
    assert axes.get_ylabel().endswith("°")


def test_two_inputs_on_a_grid_are_contours_with_crosses_where_cases_failed(folder: Path) -> None:
    figure = drawn_of(folder / "two.h5")
    face, loft = plots(figure)
    assert len(figure.axes) == 4
    for axes in (face, loft):
        assert axes.collections
        marks = {line.get_marker(): line.get_xdata().size for line in axes.get_lines()}
        # Masses go by 6⅔ g: 206⅔, 213⅓ and 220 are above 205, at the one CG above 30 mm; and one case missed.
        assert marks == {"x": 3, "^": 1}
    words = " ".join(text.get_text() for text in figure.texts)
    assert "missed: 1" in words
    assert "failed: 3" in words


def test_one_of_two_inputs_has_the_bands_of_the_other(folder: Path) -> None:
    figure = drawn_of(folder / "two.h5", x="head.cg", outputs=["face_angle_deg"])
    (axes,) = plots(figure)
    median = axes.get_lines()[0]
    np.testing.assert_allclose(median.get_xdata(), np.linspace(-10.0, 40.0, 5))
    # At 2.5 mm all masses ran: the median is that of 200 g.
    assert median.get_ydata()[1] == pytest.approx(0.02 * 200.0 + 0.05 * 2.5 - 1e-3 * 2.5**2)
    assert len(axes.collections) == 2


def test_many_inputs_are_small_multiples(folder: Path) -> None:
    figure = drawn_of(folder / "many.h5")
    axes = plots(figure)
    assert len(axes) == 8
    assert [a.get_xlabel() for a in axes if a.get_xlabel()] == [
        "mass of the head,\u00a0g",
        "head CG from the axis,\nrearward\u00a0+,\u00a0mm",
        "duration of the\nbackswing,\u00a0s",
        "shaft",
    ]
    # Panels of a column reach as far as each other, over failed cases too.
    assert axes[4].get_xlim() == axes[5].get_xlim()
    assert axes[4].get_xlim()[1] > 1.19


def test_sampled_pairs_are_coloured_points(folder: Path) -> None:
    figure = drawn_of(folder / "many.h5", x="head.cg", y="tempo", outputs=["face_angle_deg"])
    (axes,) = plots(figure)
    with open_results(folder / "many.h5") as results:
        ok = int((results.status() == 0).sum())
    assert axes.collections[0].get_offsets().shape == (ok, 2)


def test_a_sensitivity_plan_is_drawn_without_its_repeats(folder: Path) -> None:
    figure = drawn_of(folder / "sensitivity.h5", x="x1", y="x2", outputs=["y"])
    # A and B are 128 cases, of which case 3 failed.
    assert plots(figure)[0].collections[0].get_offsets().shape == (127, 2)


def test_very_many_points_become_squares(tmp_path: Path) -> None:
    rng = np.random.default_rng(0)
    x, y = rng.uniform(size=(2, 30_000))
    path = write_results(tmp_path / "h.h5", {"x": x, "y": y}, {"z": x + y}, kind="random")
    (axes,) = plots(drawn_of(path))
    squares = axes.collections[0].get_array()
    assert squares.shape == (60, 60)
    # About 8 points a square of side 1/60: the mean of x + y there is that of its middle within a third of a side each.
    middle = (np.arange(60) + 0.5) / 60.0
    inner = slice(10, 50)
    np.testing.assert_allclose(
        squares.filled(np.nan)[inner, inner], (middle[:, None] + middle)[inner, inner], atol=0.025
    )


def test_failed_cases_without_a_place_are_counted(folder: Path) -> None:
    figure = drawn_of(folder / "many.h5", x="dynamic_loft_deg", outputs=["face_angle_deg"])
    words = " ".join(text.get_text() for text in figure.texts)
    assert "Cases without figures have no place here: × failed:" in words


def test_refusals(folder: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="--y: found no --x"):
        drawn_of(folder / "many.h5", y="tempo")
    with pytest.raises(InputError, match=r'--x: found "temp".*did you mean "tempo"'):
        drawn_of(folder / "many.h5", x="temp")
    with pytest.raises(InputError, match="--output"):
        drawn_of(folder / "many.h5", outputs=["tempo"])
    with pytest.raises(InputError, match=r"\.png or \.svg"):
        plot_study(folder / "one.h5", tmp_path / "p.pdf")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("ending", ["png", "svg"])
def test_the_files(folder: Path, tmp_path: Path, ending: str) -> None:
    one, two = (plot_study(folder / "two.h5", tmp_path / f"{k}.{ending}") for k in (1, 2))
    assert one.read_bytes() == two.read_bytes()
    assert one.stat().st_size > 10_000
    with pytest.raises(InputError, match="exists already"):
        plot_study(folder / "two.h5", one)
    found = explain_study(folder / "sensitivity.h5", against=["z"], resamples=20)
    assert write_explained(found, tmp_path / f"e.{ending}").stat().st_size > 10_000


def test_a_free_name_beside_the_file(tmp_path: Path) -> None:
    assert free_picture(tmp_path / "s.h5") == tmp_path / "s-plot.png"
    (tmp_path / "s-plot.png").touch()
    assert free_picture(tmp_path / "s.h5") == tmp_path / "s-plot-2.png"


def test_the_bars_are_the_indices(folder: Path) -> None:
    found = explain_study(folder / "sensitivity.h5", against=["z"], resamples=50)
    figure = draw_explained(found)
    within_page(figure)
    # An output has no correlation with itself: one panel of the second row is not there.
    shares, against, _ = figure.axes
    total, first = shares.containers[0], shares.containers[1]
    order = order_of(found)
    np.testing.assert_allclose([bar.get_width() for bar in total], found.outputs[0].indices.total[order])
    np.testing.assert_allclose(
        [bar.get_width() for bar in first], np.maximum(found.outputs[0].indices.first[order], 0.0)
    )
    assert [label.get_text().split("\n")[0] for label in shares.get_yticklabels()] == [f"x{k + 1}" for k in order]
    assert against.get_lines()[0].get_xdata()[0] == found.outputs[0].against[0].rank.value


def test_bars_of_other_plans_are_shares(folder: Path) -> None:
    found = explain_study(folder / "many.h5")
    figure = draw_explained(found)
    within_page(figure)
    widths = [bar.get_width() for bar in figure.axes[0].containers[0]]
    assert max(widths) == pytest.approx(max(effect.main.share for effect in found.outputs[0].effects))
    for name in ("one", "two", "named"):
        within_page(draw_explained(explain_study(folder / f"{name}.h5")))


def test_colours_stay_apart_in_grey() -> None:
    """Luminance of what lies on top of each other, and of the map from end to end (weights of sRGB, Rec. 709)."""

    def grey(colour) -> float:
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour[:3]]
        return float(np.dot(linear, (0.2126, 0.7152, 0.0722)))

    levels = [grey(colour) for colour in (LINE, NARROW, WIDE)]
    # WCAG 2.1, 1.4.11: contrast (L₁ + 0.05)/(L₂ + 0.05); neighbours in a picture tell apart well above 1.5.
    assert all((b + 0.05) / (a + 0.05) > 1.5 for a, b in pairwise(levels))
    whole = [grey(COLOURS(k)) for k in np.linspace(0.0, 1.0, 9)]
    assert np.all(np.diff(whole) > 0.0)
    assert COLOURS(0.0) == colormaps["cividis"](0.0)


def test_words() -> None:
    assert unit_words("m s-1") == "m/s"
    assert unit_words("furlong") == "furlong"
    loft = Variable("loft", "loft", "degree", "dynamic loft (up +)")
    assert axis_label(loft) == "dynamic loft (up\u00a0+),\u00a0°"
    assert reach(loft, -2.0, 15.25) == "−2.0 … 15.2 °"
    assert reach(Variable("s", "s", "1", "s", choices=("a", "b")), 0.0, 1.0) == "2 named"
    assert number(0.0123456) == "0.0123"
    assert number(12345.6) == "12346"
    assert number(float("nan")) == "–"
    assert number(-0.0001, like=2.0) == "0.00"
    assert share(-0.001, sign=True) == "0.00"
    assert share(-0.5) == "−0.50"
