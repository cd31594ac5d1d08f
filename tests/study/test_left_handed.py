"""A left-handed golfer's figures are the right-handed one's, whatever the command."""

from __future__ import annotations

import math

import pytest

from swingbeam.files.lookup import library_root
from swingbeam.report.json import rank_object, run_object
from swingbeam.study.match import match_customer
from swingbeam.study.rank import rank_scenario
from swingbeam.study.single import swing_club

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


@pytest.mark.slow
def test_a_match(tmp_path):
    texts = []
    for hand in ("right", "left"):
        path = tmp_path / f"{hand}.toml"
        path.write_text(CUSTOMER.replace('handed = "right"', f'handed = "{hand}"'), encoding="utf-8")
        texts.append(match_customer(path, searches=1).text)
    assert 'handed = "left"' in texts[1]
    assert texts[0].replace('handed = "right"', 'handed = "left"') == texts[1]
