"""Shafts written as files: they read back as themselves, and nothing is ever overwritten."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from shaft.made_up import shaft
from swingbeam.files.base import parse_toml
from swingbeam.files.lookup import library_root
from swingbeam.files.shaft_file import ShaftFile
from swingbeam.files.write_shaft import ShaftBand, shaft_text, write_shaft_file
from swingbeam.shaft.load import load_shaft
from swingbeam.shaft.shaft import Shaft, Spine
from swingbeam.units import InputError

# Six significant digits are written: 5·10⁻⁶ of a value, twice where two of them are compared.
DIGITS = 1e-5


def same(a: Shaft, b: Shaft) -> None:
    for key in ("name", "maker", "letter", "material", "kind", "note"):
        assert getattr(a, key) == getattr(b, key)
    for key in ("raw_length", "butt_diameter", "tip_diameter", "parallel_tip", "mass", "bend_damping"):
        assert getattr(a, key) == pytest.approx(getattr(b, key), rel=DIGITS)
    # A tenth of the reader's 0.1 mm "same place".
    np.testing.assert_allclose(a.s, b.s, atol=1e-5)
    for key in ("ei", "gj", "mass_per_length"):
        np.testing.assert_allclose(getattr(a, key), getattr(b, key), rtol=DIGITS)


@pytest.mark.parametrize("name", ["wick-65-s", "ballast-104-s"])
def test_a_starter_shaft_reads_back(name: str, tmp_path: Path) -> None:
    a = load_shaft(library_root() / "shafts" / f"{name}.toml")
    path = write_shaft_file(a, tmp_path / "new.toml", "Written by a test.\n\nTwo paragraphs.")
    assert path.read_text().startswith("# Written by a test.\n#\n# Two paragraphs.\n\nname = ")
    assert ('shape = "stepped"' in path.read_text()) is (name == "ballast-104-s")
    same(load_shaft(path), a)


def test_diameters_that_are_no_straight_taper_read_back(tmp_path: Path) -> None:
    a = shaft(s=(0.0, 0.5, 1.1684), diameter=(0.015, 0.014, 0.0085))
    b = load_shaft(write_shaft_file(a, tmp_path / "new.toml"))
    same(b, a)
    np.testing.assert_allclose(b.diameter, a.diameter, rtol=DIGITS)
    text = (tmp_path / "new.toml").read_text()
    assert text.count("diameter = ") == 5
    # All or none: a station without one is refused.
    with pytest.raises(InputError, match="a diameter at every station"):
        parse_toml(text.replace(', diameter = "14 mm"', ""), ShaftFile)
    # A straight taper and the parallel tip are what a file without them means.
    tapered = load_shaft(library_root() / "shafts" / "wick-65-s.toml")
    assert shaft_text(tapered).count("diameter = ") == 2


def test_a_step_in_a_taper_and_a_spine_read_back(tmp_path: Path) -> None:
    a = shaft(s=(0.0, 0.6, 0.6, 1.1684), ei=(75.0, 50.0, 40.0, 20.0), gj=(30.0, 20.0, 19.0, 9.0))
    a = replace(a, spine=Spine(0.02, 0.5))
    path = write_shaft_file(a, tmp_path / "new.toml")
    assert path.read_text().count("step = true") == 1
    b = load_shaft(path)
    same(b, a)
    assert b.spine is not None
    assert (b.spine.difference, b.spine.angle) == pytest.approx((0.02, 0.5), rel=DIGITS)


def test_the_band_is_kept_and_changes_nothing(tmp_path: Path) -> None:
    a = shaft(s=(0.0, 0.5, 1.2), ei=(70.0, 40.0, 20.0))
    ends = np.column_stack([0.9 * a.ei, 1.1 * a.ei])
    band = ShaftBand(a.s, ends, np.column_stack([0.8 * a.gj, 1.2 * a.gj]), np.column_stack([a.mass_per_length] * 2))
    path = write_shaft_file(a, tmp_path / "new.toml", band=band)
    assert '{at = "0 in", ei_low = "18 N*m^2", ei_high = "22 N*m^2"' in path.read_text()
    same(load_shaft(path), a)


def test_what_is_there_stays(tmp_path: Path) -> None:
    path = tmp_path / "old.toml"
    path.write_text("old")
    with pytest.raises(InputError, match="exists already"):
        write_shaft_file(shaft(), path)
    assert path.read_text() == "old"


def test_what_could_not_be_read_is_not_written(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"new\.toml: raw_length: found"):
        write_shaft_file(shaft(s=(0.0, 3.0)), tmp_path / "new.toml")
    with pytest.raises(InputError, match=r"allowed: a name that ends in \.toml"):
        write_shaft_file(shaft(), tmp_path / "new.csv")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("stations", "says"),
    [
        ('{ at = "0 m", step = true }, { at = "1.2 m" }', "#1.step: found true; allowed: at the place"),
        ('{ at = "0 m" }, { at = "0.5 m" }, { at = "0.6 m", step = true }, { at = "1.2 m" }', "#3.step: found true"),
        ('{ at = "0 m" }, { at = "1.2 m" }, { at = "1.2 m", step = true }', "#3.step: found true"),
        ('{ at = "0 m" }, { at = "0.5 m" }, { at = "0.5 m" }, { at = "1.2 m" }', "allowed: distances that increase"),
    ],
)
def test_a_step_is_marked_and_inside(stations: str, says: str, tmp_path: Path) -> None:
    text = shaft_text(shaft())
    head = text[: text.index("stations = [")]
    values = ', ei = "20 N*m^2", gj = "10 N*m^2", mass = "50 g/m"'
    rows = stations.replace(' m"', f' m"{values}')
    path = tmp_path / "a.toml"
    path.write_text(f"{head}stations = [{rows}]\n")
    with pytest.raises(InputError) as caught:
        load_shaft(path)
    assert says in str(caught.value)
