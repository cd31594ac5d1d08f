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
def hands():
    folder = str(Path(__file__).resolve().parents[2] / "benchmarks")
    sys.path.insert(0, folder)
    try:
        yield importlib.import_module("hands")
    finally:
        sys.path.remove(folder)


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


def test_distance(hands):
    """0 where hands do as torque does, 1 where they say that nothing changes, 2 where they say the opposite."""
    rng = np.random.default_rng(4)
    torque = rng.normal(size=(5, 7))
    middle = torque[2]
    for factor, expected in ((1.0, 0.0), (0.0, 1.0), (-1.0, 2.0)):
        other = middle + factor * (torque - middle)
        found = [Trends(CHANGES[0], torque, {HOLD.name: other})]
        assert hands.distance(found, [HOLD.name])[HOLD.name] == pytest.approx(expected, abs=1e-12)
