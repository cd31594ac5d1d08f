"""Keys of [vary]: which numbers there are, in which unit, and what changing one does."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest

from swingbeam.beam.errors import InputError
from swingbeam.bench.kick_point import read_kick_point
from swingbeam.files.head_file import HeadFile
from swingbeam.files.key_path import PLAIN, kind_at, paths_of, value_at, with_numbers
from swingbeam.files.layup_file import LayupFile
from swingbeam.files.shaft_file import ShaftFile
from swingbeam.files.swing_file import SwingFile
from swingbeam.files.torque_swing_file import TorqueSwingFile
from swingbeam.study.sweep.address import _SIGNS, CLUB, GOLFER, HANDS, NAMES, address_of, cf_unit, input_of
from swingbeam.study.sweep.parts import read_head, read_shaft, read_swing
from swingbeam.study.sweep.scales import HEAD_BY_KEY, SHAFT_BY_KEY, tilt_ei
from swingbeam.study.sweep.variation import read_variation
from swingbeam.units import AsRead

HERE = Path(__file__)
SHAFT, HEAD, SWING = (
    read("wick-65-s" if read is read_shaft else "driver" if read is read_head else "even", HERE)
    for read in (read_shaft, read_head, read_swing)
)
PARTS = {"swing": [SWING], "shaft": [SHAFT], "head": [HEAD]}


@pytest.mark.parametrize(
    ("model", "path", "kind"),
    [
        (SwingFile, "tempo.backswing", "time"),
        (SwingFile, "tempo.downswing", "time"),  # a number or none
        (SwingFile, "reference_club.finished_length", "length"),
        (SwingFile, "wrists", None),
        (SwingFile, "name", None),
        (SwingFile, "tempo.backswing.more", None),
        (HeadFile, "cg.rearward", "length"),
        (HeadFile, "inertia.moments.2", "inertia"),
        (HeadFile, "inertia.moments.0", None),  # lists count from 1
        (HeadFile, "face.restitution", PLAIN),
        (ShaftFile, "profile.stations.3.ei", "stiffness"),
        (ShaftFile, "damping.bend", "ratio"),
        (ShaftFile, "tube.poisson", PLAIN),
    ],
)
def test_the_record_says_which_numbers_there_are(model, path, kind):
    assert kind_at(model, path) == kind


@pytest.mark.parametrize("model", [SwingFile, HeadFile, ShaftFile])
def test_every_path_that_is_listed_leads_to_a_number(model):
    paths = paths_of(model)
    assert len(paths) > 10
    assert all(kind_at(model, path) is not None for path in paths)


def test_a_number_is_put_into_a_file_to_the_last_bit():
    value = 0.1 + 0.2  # no short decimal
    record = HEAD.record({"cg.rearward": value * 0.1, "inertia.moments.2": 3e-4})
    assert value_at(record, "cg.rearward") == value * 0.1
    assert value_at(record, "inertia.moments.2") == 3e-4
    assert value_at(record, "cg.toe") == value_at(HEAD.record({}), "cg.toe")
    before = dict(HEAD.table)
    with_numbers(HEAD.table, {"cg.rearward": 0.01})
    assert HEAD.table == before


def test_every_number_that_a_file_states_can_be_put_back_and_changes_nothing():
    for part in (SHAFT, HEAD, SWING):
        record = part.record({})
        stated = {path: value_at(record, path) for path in paths_of(part.model)}
        back = {path: value for path, value in stated.items() if value is not None and "aim." not in path}
        assert back
        assert part.record(back) == record


def test_a_number_keeps_the_bounds_of_its_place():
    with pytest.raises(
        InputError, match=r'driver\.toml: cg\.rearward: found "500 mm"; allowed: a length of at most 300'
    ):
        HEAD.record({"cg.rearward": AsRead(0.5, "mm")})
    with pytest.raises(InputError, match='found the list\'s number "9"; allowed: 1 to 3'):
        HEAD.record({"inertia.moments.9": 1e-4})


def test_head_speed_and_downswing_time_take_each_others_place():
    swing = SWING.swing({"tempo.downswing": 0.28})
    assert (swing.plan.tempo.downswing, swing.plan.target.head_speed) == (0.28, None)
    swing = SWING.swing({"delivery.head_speed": 40.0})
    assert (swing.plan.tempo.downswing, swing.plan.target.head_speed) == (None, 40.0)


@pytest.mark.parametrize(
    ("key", "part", "kind", "slow"),
    [
        ("swing.tempo.backswing", "swing", "time", GOLFER),
        ("swing", "swing", NAMES, GOLFER),
        ("swing.tempo scale", "swing", PLAIN, GOLFER),
        ("reference_club.tip_trim", "reference_club", "length", GOLFER),
        ("hands", "hands", NAMES, HANDS),
        ("hands.hinge_stiffness", "hands", "rotational_stiffness", HANDS),
        ("club.shaft", "club", NAMES, CLUB),
        ("club.tip_trim", "club", "length", CLUB),
        ("shaft.ei scale", "shaft", PLAIN, CLUB),
        ("shaft.mass scale", "shaft", PLAIN, CLUB),
        ("head.mass", "head", "mass", CLUB),
    ],
)
def test_keys_mean(key, part, kind, slow):
    address = address_of(key, PARTS)
    assert (address.part, address.kind, address.slow) == (part, kind, slow)


@pytest.mark.parametrize(
    ("key", "guess"),
    [
        ("swing.tempo.backsving", "swing.tempo.backswing"),
        ("shaft.ei scala", "shaft.ei scale"),
        ("head.rearward", "head.cg.rearward"),
        ("hands.hinge_stifness", "hands.hinge_stiffness"),
        ("clubs.shaft", "club.shaft"),
        ("club.tiptrim", "club.tip_trim"),
    ],
)
def test_a_key_that_is_none_is_refused_with_the_nearest(key, guess):
    with pytest.raises(InputError, match=f'did you mean "{guess}"'):
        address_of(key, PARTS)


def test_columns_are_shown_in_the_unit_that_was_written():
    address = address_of("head.cg.rearward", PARTS)
    column = input_of(address, read_variation("length", {"from": "0.5 in", "to": "1 in", "count": 3}))
    assert (column.name, column.unit) == ("head_cg_rearward_in", "inch")
    assert column.scale * 0.0254 == pytest.approx(1.0, rel=1e-15)
    speed = input_of(address_of("swing.delivery.head_speed", PARTS), read_variation("speed", ["40 m/s", "42 m/s"]))
    assert (speed.name, speed.unit) == ("swing_delivery_head_speed_mps", "m s-1")
    scale = input_of(address_of("shaft.ei scale", PARTS), read_variation(PLAIN, [0.9, 1.1]))
    assert (scale.name, scale.unit, scale.scale) == ("shaft_ei_scale", "1", 1.0)


@pytest.mark.parametrize(
    ("key", "way", "words"),
    [
        ("head.cg.rearward", ["10 mm", "20 mm"], "head: cg, rearward, behind the shaft axis +"),
        ("swing.wrists.couple_at_impact", ["-8 N*m", "2 N*m"], "couple at impact, driving the head forward +"),
        ("swing.delivery.face_angle", ["-1 deg", "1 deg"], "face angle, open +"),
        ("swing.tempo.backswing", ["0.9 s", "1 s"], "backswing time"),
    ],
)
def test_a_column_says_in_words_which_way_is_positive(key, way, words):
    address = address_of(key, PARTS)
    assert input_of(address, read_variation(address.kind, way)).long_name == words


def test_every_sign_belongs_to_a_number_of_a_file():
    """A key that a file has no longer would go without its sign unseen."""
    models = {"head": [HeadFile], "swing": [SwingFile, TorqueSwingFile], "shaft": [ShaftFile, LayupFile]}
    known = {
        re.sub(r"\.\d+", "", f"{part}.{path}") for part, own in models.items() for one in own for path in paths_of(one)
    }
    assert set(_SIGNS) <= known


@pytest.mark.parametrize(
    ("unit", "cf"),
    [
        ("N*m/rad", "N m rad-1"),
        ("N*m*s/rad", "N m s rad-1"),
        ("g*cm^2", "g cm2"),
        ("kg/m^3", "kg m-3"),
        ("lbf*in^2", "lbf inch2"),
        ("deg/s", "degree s-1"),
        ("1/m", "m-1"),
        ("%", "percent"),
        ("mph", "mile hour-1"),
    ],
)
def test_units_in_cf_notation(unit, cf):
    # UDUNITS: a blank multiplies, a number behind a unit is its power.
    assert cf_unit(unit) == cf


def test_ways_of_varying():
    even = read_variation("time", {"from": "800 ms", "to": "1.2 s", "count": 5})
    np.testing.assert_allclose(even.levels, [0.8, 0.9, 1.0, 1.1, 1.2], rtol=1e-15)
    assert even.unit == "ms"
    np.testing.assert_allclose(even.at(np.array([0.0, 0.25])), [0.8, 0.9], rtol=1e-15)  # drawn: anywhere between
    assert read_variation("time", {"between": ["1 s", "0.8 s"]}).ends() == (0.8, 1.0)
    normal = read_variation("length", {"mean": "18 mm", "deviation": "3 mm", "least": "10 mm"})
    assert (normal.mean, normal.deviation, normal.low, normal.high) == (18 * 1e-3, 3 * 1e-3, 10 * 1e-3, math.inf)
    assert normal.at(np.array([0.0]))[0] >= 0.01
    listed = read_variation(PLAIN, [0.9, 1.0, 1.3])
    assert listed.at(np.array([0.0, 0.5, 0.99])).tolist() == [0.9, 1.0, 1.3]


def test_a_tilt_turns_the_logarithm_of_ei_about_the_middle_and_moves_the_kick_point():
    shaft = SHAFT.base
    stiff_tip = tilt_ei(shaft, 0.4)
    # From the definition: the tip times exp(.2), the butt over it, the product of the two stays.
    assert stiff_tip.ei[-1] / shaft.ei[-1] == pytest.approx(math.exp(0.2), rel=1e-14)
    assert stiff_tip.ei[0] / shaft.ei[0] == pytest.approx(math.exp(-0.2), rel=1e-14)
    np.testing.assert_allclose(tilt_ei(stiff_tip, -0.4).ei, shaft.ei, rtol=1e-14)
    assert stiff_tip.gj is shaft.gj or np.array_equal(stiff_tip.gj, shaft.gj)
    # A stiffer tip bends higher up: farther from the tip.
    kick = [read_kick_point(tilt_ei(shaft, t)).share_of_raw for t in (-0.4, 0.0, 0.4)]
    assert kick[0] < kick[1] < kick[2]


def test_scales():
    shaft, head = SHAFT.base, HEAD.base
    np.testing.assert_array_equal(SHAFT_BY_KEY["shaft.gj scale"](shaft, 1.5).gj, shaft.gj * 1.5)
    heavier = HEAD_BY_KEY["head.mass scale"](head, 1.1)
    assert heavier.mass == head.mass * 1.1
    np.testing.assert_array_equal(heavier.inertia, head.inertia * 1.1)
    np.testing.assert_array_equal(heavier.cg, head.cg)
    assert SHAFT_BY_KEY["shaft.damping scale"](shaft, 2.0).bend_damping == 2.0 * shaft.bend_damping
    with pytest.raises(InputError, match=r'"shaft\.ei scale": found 0; allowed: 0\.05 to 20'):
        SHAFT_BY_KEY["shaft.ei scale"](shaft, 0.0)
