"""The picture and the tables of a profile found from readings."""

from io import StringIO
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console

from swingbeam.bench.readings import load_readings
from swingbeam.report.profile_figure import draw_profile, write_profile_figure
from swingbeam.report.profile_table import conversion_json, label_of, print_conversion, print_profile
from swingbeam.study.profile import ConversionResult, ProfileResult, convert_readings
from swingbeam.units import InputError

STEPPED = """
note = "Invented."
[shaft]
name = "Stepped"
kind = "iron"
material = "steel"
raw_length = "38.5 in"
butt_diameter = "15.24 mm"
tip_diameter = "9.4 mm"
parallel_tip = "10.5 in"
steps = ["10.5 in", "20 in", "29 in"]
between_steps = "constant"
poisson = 0.29

[[reading]]
test = "frequency"
csv = "curve.csv"
error = "0.5 cpm"

[[reading]]
test = "balance"
value = "104 g"
"""
CURVE = "clamp (in),frequency (cpm)\n5,340\n8,385.5\n,\n"


@pytest.fixture(scope="module")
def converted(tmp_path_factory: pytest.TempPathFactory) -> ConversionResult:
    folder = tmp_path_factory.mktemp("stepped")
    (folder / "stepped.toml").write_text(STEPPED, encoding="utf-8")
    (folder / "curve.csv").write_text(CURVE, encoding="utf-8")
    (folder / "other.toml").write_text('name = "Other"\n[torque]\ntip_clamp = "2 in"\n', encoding="utf-8")
    return convert_readings(folder / "stepped.toml", folder / "other.toml")


@pytest.fixture
def profile(converted: ConversionResult) -> ProfileResult:
    return converted.profile


def printed(words: object, how: object) -> str:
    stream = StringIO()
    how(words, Console(file=stream, width=160, highlight=False, markup=False, emoji=False))  # type: ignore[operator]
    return stream.getvalue()


def test_a_frequency_curve_comes_from_a_csv(profile: ProfileResult, tmp_path: Path) -> None:
    # An empty row is nothing read.
    clamps = [r.measured.wanted.setup.clamp for r in profile.found.residuals[:2]]
    assert clamps == pytest.approx([0.127, 0.2032], rel=1e-12)
    assert len(profile.found.residuals) == 3
    assert [label_of(r.measured.wanted) for r in profile.found.residuals] == ["frequency", "frequency", "weight"]


def test_the_picture_has_a_band_and_a_strip_for_each_reading(profile: ProfileResult) -> None:
    figure = draw_profile(profile)
    panels = figure.axes
    assert len(panels) == 6
    bands = profile.found.bands()
    for k, scale in ((0, 1.0), (1, 1.0), (2, 1e3)):
        (outline,) = (c.get_paths()[0].vertices for c in panels[2 * k].collections if c.get_label() == "95 % band")
        # rtol 1e-9: the same numbers.
        assert outline[:, 1].max() == pytest.approx(scale * bands[k].max(), rel=1e-9)
        assert outline[:, 1].min() == pytest.approx(scale * bands[k].min(), rel=1e-9)
        (mesh,) = panels[2 * k + 1].collections
        strips = np.asarray(mesh.get_array())
        assert strips.shape[0] == 3
        assert 0.0 <= strips.min() <= strips.max() <= 1.0
    # Weight looks at mass alone, and a frequency at no GJ.
    looks = [np.asarray(panels[2 * k + 1].collections[0].get_array()).max(axis=1) for k in range(3)]
    np.testing.assert_array_equal(looks[1], 0.0)
    assert looks[0][2] == 0.0
    assert looks[2][2] == 1.0


def test_the_tables_say_what_was_read_and_what_is_not_known(
    converted: ConversionResult, profile: ProfileResult
) -> None:
    text = printed(profile, print_profile)
    assert "Stepped: from 3 readings" in text
    assert "340.0 cpm  0.50 cpm" in text
    assert "GJ is EI/(1 + ν) with the stated Poisson's ratio of 0.29" in text
    # What is carried into the clamp is the constant EI of the piece that reaches out of it.
    assert "EI 0.0 in to 5.0 in from the butt: no reading looks there; carried on from its neighbours (±" in text
    text = printed(converted, print_conversion)
    assert "as the bench Other would read the shaft" in text
    assert "butt clamped 2 in, tip clamped 2 in, 1 ft*lbf" in text
    assert '"torque_deg"' in conversion_json(converted)


def test_pictures_end_in_png_or_svg_and_replace_nothing(profile: ProfileResult, tmp_path: Path) -> None:
    path = write_profile_figure(profile, tmp_path / "a.png")
    assert path.read_bytes()[:4] == b"\x89PNG"
    with pytest.raises(InputError, match="exists already"):
        write_profile_figure(profile, path)
    with pytest.raises(InputError, match=r"allowed: a name that ends in \.png or \.svg"):
        write_profile_figure(profile, tmp_path / "a.pdf")


def test_steps_count_from_the_stated_end(tmp_path: Path) -> None:
    (tmp_path / "curve.csv").write_text(CURVE, encoding="utf-8")
    path = tmp_path / "a.toml"
    for end, expected in (("tip", [9.5, 18.5, 28.0]), ("butt", [10.5, 20.0, 29.0])):
        path.write_text(STEPPED.replace("\nsteps =", f'\nmeasured_from = "{end}"\nsteps ='), encoding="utf-8")
        steps = np.array(load_readings(path).facts.steps) / 0.0254
        np.testing.assert_allclose(steps, expected, rtol=1e-12)
