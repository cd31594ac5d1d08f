"""A golfer with a heavier shaft: four things that may be held."""

from __future__ import annotations

import pytest

from swing.golfers import reference
from swingbeam.beam import InputError
from swingbeam.bench.balance import read_balance
from swingbeam.study.held import HELD_OF_SHAFT_WEIGHT, with_heavier_shaft
from swingbeam.swing.archetype import load_swing


def heavier(held, factor=1.2, name="even"):
    club = reference(name).club
    return with_heavier_shaft(load_swing(name).plan, club, club, factor, held)


def test_four_things_may_be_held():
    assert list(HELD_OF_SHAFT_WEIGHT) == ["motion", "effort", "head mass", "swing weight"]


def test_each_keeps_what_it_says():
    plan, club = load_swing("even").plan, reference("even").club
    motion, effort, head, weight = (heavier(held) for held in HELD_OF_SHAFT_WEIGHT)
    for each in (motion, effort, head, weight):
        # The shaft of every one is heavier by a fifth of 65 g, the stated mass.
        assert each.club.shaft.mass == pytest.approx(1.2 * club.shaft.mass, rel=1e-14)
    assert (motion.hands, motion.plan, motion.club.head) == ("vice", plan, club.head)
    assert (head.hands, head.plan, head.club.head) == (None, plan, club.head)
    assert (weight.hands, weight.plan) == (None, plan)
    assert read_balance(weight.club).swing_weight == pytest.approx(read_balance(club).swing_weight, rel=1e-12)
    assert weight.club.head.mass < club.head.mass
    assert effort.hands is None
    assert effort.club.head == club.head
    assert effort.plan.target.head_speed < plan.target.head_speed


def test_refusals():
    with pytest.raises(InputError, match='found "balance" held; allowed: motion, effort, head mass, swing weight'):
        heavier("balance")
    with pytest.raises(InputError, match="positive finite"):
        heavier("effort", factor=0.0)
