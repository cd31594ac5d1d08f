"""A left-handed golfer's figures are the right-handed one's, whatever the command."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from swingbeam.files.lookup import library_root
from swingbeam.report.hands_table import hands_json
from swingbeam.report.json import rank_object, run_object
from swingbeam.report.trim_table import trims_object
from swingbeam.study.bench import read_shafts
from swingbeam.study.compare_hands import compare_hands
from swingbeam.study.match import match_customer
from swingbeam.study.rank import rank_scenario
from swingbeam.study.single import swing_club
from swingbeam.study.trim import trim_shaft

EVEN = (library_root() / "swings/even.toml").read_text(encoding="utf-8")
CUSTOMER = (library_root() / "scenarios/customers/first_customer.toml").read_text(encoding="utf-8")
SCENARIO = """
name = "Two"
question = "Which?"
swing = "{swing}"
shafts = ["wick-65-s", "marl-52-l"]
[club]
head = "driver"
finished_length = "45.5 in"
grip_mass = "50 g"
"""


def numbers(value, path=""):
    """Every number of a JSON object, by its path."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from numbers(inner, f"{path}.{key}")
    elif isinstance(value, list | tuple):
        for i, inner in enumerate(value):
            yield from numbers(inner, f"{path}.{i}")
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield path, float(value)


def check_same(one, other):
    first, second = dict(numbers(one)), dict(numbers(other))
    assert len(first) > 20
    assert first.keys() == second.keys()
    for path, value in first.items():
        # The golfer is reflected at the door, so the very same numbers are computed.
        assert math.isclose(value, second[path], rel_tol=1e-9, abs_tol=1e-9), path


@pytest.fixture
def both(tmp_path):
    """Paths of one swing, right-handed and left-handed."""
    paths = []
    for hand in ("right", "left"):
        path = tmp_path / f"{hand}.toml"
        path.write_text(EVEN.replace("tee_height", f'handed = "{hand}"\ntee_height', 1), encoding="utf-8")
        paths.append(path)
    return paths


def test_one_swing(both):
    right, left = (run_object(swing_club(path, shaft="bracken-50-r").run, alone=True) for path in both)
    check_same(right, left)


def test_a_ranking(both, tmp_path):
    shown = []
    for path in both:
        scenario = tmp_path / f"ask-{path.name}"
        scenario.write_text(SCENARIO.format(swing=path), encoding="utf-8")
        shown.append(rank_object(rank_scenario(scenario)))
    check_same(*shown)


def test_every_kind_of_hands(both, tmp_path):
    shown = []
    for path in both:
        scenario = tmp_path / f"hands-{path.name}"
        scenario.write_text(SCENARIO.format(swing=path), encoding="utf-8")
        shown.append(json.loads(hands_json(compare_hands(scenario))))
    check_same(*shown)


def test_trims(both):
    trimmed = [trims_object(trim_shaft("wick-65-s", tip=["1 in"], swing=str(path))) for path in both]
    check_same(*trimmed)


def test_a_shaft_and_a_built_club_on_the_bench_know_no_hand(both, tmp_path):
    """The bench holds shafts and clubs; what swings them, and which way round, is nothing to it."""
    shown = []
    for path in both:
        scenario = tmp_path / f"bench-{path.name}"
        scenario.write_text(SCENARIO.format(swing=path), encoding="utf-8")
        found = read_shafts(["bracken-50-r"], scenario=scenario, tests=["balance", "frequency", "torque"])
        shown.append([row.readings for row in found.rows])
    check_same(*shown)


def test_the_motion_that_is_drawn(both):
    """Only drawings are reflected, and they by themselves: what they are drawn from is the same."""
    right, left = (swing_club(path, with_motion=True).motion for path in both)
    assert (right.handed, left.handed) == ("right", "left")
    for key in ("t", "hub", "grip", "shaft", "face", "bend"):
        np.testing.assert_array_equal(getattr(right, key), getattr(left, key))


def test_a_swing_by_torque(tmp_path):
    text = (library_root() / "swings/even-by-torque.toml").read_text(encoding="utf-8")
    shown = []
    for hand in ("right", "left"):
        path = tmp_path / f"{hand}.toml"
        path.write_text(text.replace("tee_height", f'handed = "{hand}"\ntee_height', 1), encoding="utf-8")
        shown.append(run_object(swing_club(path, shaft="bracken-50-r").run, alone=True))
    check_same(*shown)


@pytest.mark.slow
def test_a_match(tmp_path):
    texts = []
    for hand in ("right", "left"):
        path = tmp_path / f"{hand}.toml"
        own = CUSTOMER.replace('handed = "right"', f'handed = "{hand}"') + '\n[hands]\ngrip_firmness = "70 %"\n'
        path.write_text(own, encoding="utf-8")
        texts.append(match_customer(path, searches=1).text)
    assert 'handed = "left"' in texts[1]
    assert 'grip_firmness = "70 %"' in texts[1]  # the customer's grip is his matched swing's
    assert texts[0].replace('handed = "right"', 'handed = "left"') == texts[1]
