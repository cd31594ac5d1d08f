"""The rules that turn trends into conclusions, on made-up numbers: each word can come out and can fail to."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import numpy as np
import pytest

from swingbeam.study.torque_trends import CHANGES, Trends, compare
from swingbeam.swing.hands import HOLD

UP = np.array([0.0, 1.0, 2.0])
STILL = np.zeros(3)
TURN = np.array([0.0, 1.0, 0.5])


@pytest.fixture(scope="module")
def script():
    """Imports a script of `benchmarks`, which is no part of the package."""
    folder = str(Path(__file__).resolve().parents[2] / "benchmarks")
    sys.path.insert(0, folder)
    try:
        yield importlib.import_module
    finally:
        sys.path.remove(folder)


@pytest.fixture(scope="module")
def hands(script):
    return script("hands")


@pytest.fixture(scope="module")
def nearest(script):
    return script("nearest_hands")


@pytest.mark.parametrize(
    ("pairs", "expected"),
    [
        ([(UP, UP), (UP, 1.9 * UP), (-UP, -0.6 * UP)], "BOTH"),
        ([(UP, UP), (UP, 2.1 * UP), (-UP, -UP)], "SIGN"),
        ([(UP, UP), (UP, UP), (UP, TURN)], "SOME"),
        ([(UP, UP), (UP, TURN), (UP, TURN)], "NONE"),
        ([(UP, -UP), (UP, -UP), (UP, UP)], "AGAINST"),
        ([(STILL, STILL), (STILL, STILL), (UP, UP)], "QUIET"),
        ([(STILL, UP), (STILL, UP), (UP, UP)], "ONLY_HANDS"),
    ],
)
def test_conclusions(hands, pairs, expected):
    found = [compare(torque, other, 0.1) for torque, other in pairs]
    assert hands.conclusion(found) == getattr(hands, expected)


def test_every_conclusion_has_its_advice(hands):
    words = (hands.BOTH, hands.SIGN, hands.SOME, hands.QUIET, hands.ONLY_HANDS, hands.NONE, hands.AGAINST)
    assert tuple(hands.ADVICE) == words


PAGE = (Path(__file__).resolve().parents[2] / "docs" / "hands.md").read_text(encoding="utf-8")


def test_hold_is_what_the_page_says_it_was_set_to(nearest):
    """The page was written with the stiffness and damping that ship, and they agree better than those from memory."""
    assert f"**`hold` was set so**: {nearest.as_set(HOLD)}, to agree best with these golfers" in PAGE
    rows = {line.split("|")[1].strip(): line.split("|")[2:5] for line in PAGE.splitlines() if line.count("|") == 5}
    stiffness, damping, _ = rows["hold"]
    np.testing.assert_array_equal([float(v) for v in stiffness.split(",")], HOLD.stiffness)
    np.testing.assert_array_equal([float(v) for v in damping.split(",")], HOLD.damping)
    away = {name: float(rows[name][2]) for name in ("vice", "hold", "effort", "from memory", "nearest found")}
    assert away["nearest found"] <= away["hold"] < min(away["vice"], away["effort"], away["from memory"])
    # Half of what could be gained over the values from memory, or more, is.
    assert away["from memory"] - away["hold"] >= 0.5 * (away["from memory"] - away["nearest found"])


def test_distance(nearest):
    """0 where hands do as torque does, 1 where they say that nothing changes, 2 where they say the opposite."""
    rng = np.random.default_rng(4)
    torque = rng.normal(size=(5, 7))
    middle = torque[2]
    for factor, expected in ((1.0, 0.0), (0.0, 1.0), (-1.0, 2.0)):
        other = middle + factor * (torque - middle)
        found = [Trends(CHANGES[0], torque, {HOLD.name: other})]
        assert nearest.distance(found, [HOLD.name])[HOLD.name] == pytest.approx(expected, abs=1e-12)
