"""The parameters of a swing one by one: keys, widths, values in and out of a plan."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.made_up_customers import ARCHETYPES as NAMES
from swingbeam.beam import InputError
from swingbeam.files.spread_file import PARAMETER_KINDS
from swingbeam.files.swing_file import SwingFile
from swingbeam.swing.archetype import load_swing
from swingbeam.swing.parameters import ARCHETYPES, MOTION, PARAMETERS, value_of, with_values
from swingbeam.units import show


def test_widths_are_what_two_archetypes_differ_by():
    plans = [load_swing(name).plan for name in NAMES]
    for p in MOTION:
        spread = np.sqrt(2.0) * np.std([value_of(plan, p.key) for plan in plans], ddof=1)
        if p.source == ARCHETYPES:
            # Written with two or three digits.
            assert p.width == pytest.approx(spread, rel=0.02), p.key
        else:
            # Of what all archetypes share nothing can be learnt from them.
            assert spread < 0.5 * p.width, p.key


def test_every_parameter_is_a_key_of_a_swing_file_and_has_a_kind():
    assert list(PARAMETER_KINDS) == [p.key for p in PARAMETERS]
    for p in PARAMETERS:
        table, key = p.key.split(".")
        model = SwingFile.model_fields[table].annotation
        assert key in model.model_fields
        show(1.0, p.unit)


def test_values_go_in_and_come_out():
    plan = load_swing("even").plan
    changed = with_values(plan, {p.key: value_of(plan, p.key) + 0.1 * p.width for p in PARAMETERS})
    for p in PARAMETERS:
        assert value_of(changed, p.key) == pytest.approx(value_of(plan, p.key) + 0.1 * p.width, rel=1e-12)
    assert changed.name == plan.name
    assert changed.target.strike_toe == plan.target.strike_toe


def test_a_head_speed_replaces_a_stated_downswing_time():
    plan = load_swing("even").plan
    timed = replace(plan, tempo=replace(plan.tempo, downswing=0.3), target=replace(plan.target, head_speed=None))
    with pytest.raises(InputError, match=r"delivery\.head_speed is not stated"):
        value_of(timed, "delivery.head_speed")
    again = with_values(timed, {"delivery.head_speed": 44.0})
    assert again.tempo.downswing is None
    assert again.target.head_speed == 44.0


def test_unknown_keys_and_values_that_are_no_numbers_are_refused():
    plan = load_swing("even").plan
    with pytest.raises(InputError, match=r"arms\.plane"):
        value_of(plan, "arms.plan")
    with pytest.raises(InputError, match="finite"):
        with_values(plan, {"arms.plane": float("nan")})
