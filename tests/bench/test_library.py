"""The starter library: complete, readable, plausible, and with the cases the trade argues about."""

from pathlib import Path

import numpy as np
import pytest

from bench.printed import cpm, degrees
from swingbeam.bench.kick_point import read_kick_point
from swingbeam.club.build import load_club
from swingbeam.club.head import load_head
from swingbeam.files.base import read_toml
from swingbeam.files.lookup import find, library_root, list_library
from swingbeam.files.scenario_file import ScenarioFile
from swingbeam.files.study_file import is_study_file
from swingbeam.shaft.load import load_shaft
from swingbeam.shaft.shaft import Shaft

ROOT = library_root()
SHAFTS = {path.stem: load_shaft(path) for path in sorted((ROOT / "shafts").glob("*.toml"))}
DRIVERS = {name: a for name, a in SHAFTS.items() if a.kind == "driver"}
IRONS = {name: a for name, a in SHAFTS.items() if a.kind == "iron"}
SCENARIOS = [path for path in sorted((ROOT / "scenarios").glob("*.toml")) if not is_study_file(path)]
LETTERS = "LARSX"


def test_there_are_enough_of_them() -> None:
    assert len(DRIVERS) >= 12
    assert len(IRONS) >= 6
    assert len({a.maker for a in SHAFTS.values()}) == 3
    assert {a.material for a in IRONS.values()} == {"steel", "graphite"}
    assert {a.letter for a in SHAFTS.values()} == set(LETTERS)


@pytest.mark.parametrize("name", SHAFTS)
def test_each_says_that_it_is_invented(name: str) -> None:
    assert "Invented for the starter library" in SHAFTS[name].note


@pytest.mark.parametrize("name", DRIVERS)
def test_driver_shafts_are_plausible(name: str) -> None:
    # Bands from memory and common practice, no source: 45 to 80 g, 46 in; EI butt to tip some 55-110 to 12-60
    # and GJ 20-60 to 7-20 N·m²; 205-290 cpm; 2.5-6.5 degrees of torque.
    a = DRIVERS[name]
    assert 0.045 <= a.mass <= 0.080
    assert a.raw_length == pytest.approx(46 * 0.0254, rel=1e-12)
    assert 50.0 <= a.ei[0] <= 115.0
    assert 12.0 <= a.ei[-1] <= 60.0
    assert 20.0 <= a.gj[0] <= 60.0
    assert 7.0 <= a.gj[-1] <= 20.0
    assert 205.0 <= cpm(a) <= 292.0
    assert 2.5 <= degrees(a) <= 6.5


@pytest.mark.parametrize("name", IRONS)
def test_iron_shafts_are_plausible(name: str) -> None:
    a = IRONS[name]
    low = 0.075 if a.material == "steel" else 0.060
    assert low <= a.mass <= 0.130
    assert 1.5 <= degrees(a) <= 4.0
    assert 270.0 <= cpm(a) <= 380.0


@pytest.mark.parametrize("name", SHAFTS)
def test_the_kick_point_is_tip_side_of_the_middle_of_the_raw_length(name: str) -> None:
    assert read_kick_point(SHAFTS[name]).share_of_raw < 0.5


def steel() -> list[Shaft]:
    return [a for a in IRONS.values() if a.material == "steel"]


def test_steels_gj_follows_from_its_ei() -> None:
    # An isotropic tube: GJ/EI = 1/(1 + ν), ν 0.29 in these files. rtol 1e-12: round-off.
    for a in steel():
        np.testing.assert_allclose(a.gj / a.ei, 1.0 / 1.29, rtol=1e-12)


def test_letters_overlap_between_makers() -> None:
    soft_x = min((a for a in DRIVERS.values() if a.letter == "X"), key=cpm)
    firm_l = max((a for a in DRIVERS.values() if a.letter == "L"), key=cpm)
    assert cpm(soft_x) < cpm(firm_l) - 3.0
    assert soft_x.maker != firm_l.maker


def test_within_a_maker_the_letters_are_in_order() -> None:
    for maker in {a.maker for a in DRIVERS.values()}:
        own = [a for n, a in DRIVERS.items() if a.maker == maker and "65-s-" not in n and "63-s-" not in n]
        by_letter = sorted(own, key=lambda a: LETTERS.index(a.letter))
        readings = [cpm(a) for a in by_letter]
        assert readings == sorted(readings)


def test_four_steel_s_shafts_fall_in_weight_and_frequency() -> None:
    four = sorted((a for a in steel() if a.letter == "S"), key=lambda a: -a.mass)
    assert len(four) == 4
    readings = [cpm(a) for a in four]
    for i in range(3):
        assert four[i].mass - four[i + 1].mass > 0.005
        assert readings[i] - readings[i + 1] > 5.0


def test_the_twins_differ_in_torque_only() -> None:
    tight, loose = SHAFTS["wick-63-s-tight"], SHAFTS["wick-63-s-loose"]
    for name in (
        "mass",
        "letter",
        "raw_length",
        "butt_diameter",
        "tip_diameter",
        "parallel_tip",
        "bend_damping",
    ):
        assert getattr(tight, name) == getattr(loose, name)
    for name in ("s", "ei", "mass_per_length"):
        np.testing.assert_array_equal(getattr(tight, name), getattr(loose, name))
    assert degrees(loose) > degrees(tight) + 2.0


def test_three_shafts_differ_in_kick_point_only() -> None:
    three = [SHAFTS[n] for n in ("wick-65-s-low", "wick-65-s", "wick-65-s-high")]
    kick = [read_kick_point(a).share_of_raw for a in three]
    assert kick[0] < kick[1] - 0.01 < kick[2] - 0.02
    for read, size in ((cpm, 0.5), (degrees, 0.05)):
        readings = [read(a) for a in three]
        assert max(readings) - min(readings) < size
    assert len({a.mass for a in three}) == 1


@pytest.mark.parametrize("path", sorted((ROOT / "scenarios" / "heads").glob("*.toml")), ids=lambda p: p.stem)
def test_heads_are_plausible(path: Path) -> None:
    a = load_head(path)
    assert "Invented" in a.note
    # Equipment Rules (R&A/USGA): MOI about the vertical at most 5900 g·cm² (+100).
    up = np.array([-np.sin(a.lie), 0.0, np.cos(a.lie)])
    assert up @ a.inertia @ up * 1e7 <= 6000.0
    # The centre of gravity lies between sole and hosel mouth, behind the face, roughly abreast of its centre.
    for point in (a.cg, a.face_centre):
        assert 0.015 < a.hosel_height + point @ up < 0.035
    assert a.cg[1] < a.face_centre[1]


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)
def test_every_club_of_every_scenario_can_be_built(path: Path) -> None:
    record = read_toml(path, ScenarioFile)
    clubs = [load_club(parts, beside=path) for parts in record.all_clubs()]
    assert len({c.label for c in clubs}) == len(clubs)
    assert find("swing", record.swing, beside=path).is_file()


def test_the_first_fitting_is_a_dozen_driver_shafts() -> None:
    record = read_toml(ROOT / "scenarios" / "first_fitting.toml", ScenarioFile)
    assert len(record.all_clubs()) == 12
    assert set(record.shafts) <= set(DRIVERS)


def test_names_of_files_are_what_one_types() -> None:
    for kind in ("shaft", "head", "scenario"):
        for name in list_library(kind):
            assert name == name.lower()
            assert " " not in name
