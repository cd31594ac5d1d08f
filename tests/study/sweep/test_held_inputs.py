"""Scales that say what is held: the case is what the functions that hold it make."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.club.held import mass_moment, with_shaft_mass
from swingbeam.study.sweep.load import load_study
from swingbeam.study.sweep.makers import make_club, make_hands
from swingbeam.swing.hands import HOLD, VICE
from swingbeam.swing.held import slower

STUDY = """
name = "Held"
question = "What stays?"
swing = "even"
outputs = ["impact", "change"]
[vary]
"{key}" = [1.0, {other}]
[hold]
{entry} = "{held}"
[plan]
kind = "grid"
"""


@pytest.fixture
def load(tmp_path):
    def one(key: str, other: float, entry: str, held: str):
        path = tmp_path / "held.toml"
        path.write_text(STUDY.format(key=key, other=other, entry=entry, held=held), encoding="utf-8")
        return load_study(path)

    return one


@pytest.mark.parametrize("held", ["head mass", "swing weight", "motion", "effort"])
def test_a_heavier_shaft_is_the_one_that_holds_what_is_said(load, held):
    recipe = load("shaft.mass scale", 1.2, "shaft_weight", held).recipe
    plain, heavier = (make_club(recipe, [factor]) for factor in (1.0, 1.2))
    assert heavier.shaft.mass == pytest.approx(1.2 * plain.shaft.mass, rel=1e-12)
    expected = with_shaft_mass(plain, 1.2, held if held in ("head mass", "swing weight") else "head mass")
    assert heavier.tip.mass == expected.tip.mass
    assert heavier.profile.mass.tobytes() == expected.profile.mass.tobytes()
    same = abs(mass_moment(heavier) - mass_moment(plain)) < 1e-12
    assert same == (held == "swing weight")
    # A motion that is repeated whatever the club is that of hands in a vice.
    assert make_hands(recipe, [1.2]) is (VICE if held == "motion" else HOLD)


def test_another_tempo_is_the_plan_that_holds_the_speed_and_is_aimed(load):
    study = load("swing.tempo scale", 1.2, "tempo", "head speed")
    golfers = study.workshop.golfers
    plain, timed = (golfers.get([factor]).golfer for factor in (1.0, 1.2))
    assert plain is not None
    assert timed is not None
    line = timed.reference.line
    assert line is not None
    assert line.plan == slower(plain.reference.line.plan, 1.2, "head speed", plain.club)
    rows = study.evaluate(np.arange(2))
    names = [output.name for output in study.outputs]
    speed = rows.values[:, names.index("head_speed_mps")]
    # The unchanged golfer is aimed to 5e-8 m/s, a changed one to half a thousandth of 1 m/s; then a spline's 1e-5.
    np.testing.assert_allclose(speed, 45.0, atol=1e-3)
    assert "head speed stays" in study.held


def test_a_scale_of_one_is_the_study_without_it(load, tmp_path):
    scaled = load("swing.tempo scale", 1.2, "tempo", "head speed").evaluate(np.array([0]))
    plain = tmp_path / "plain.toml"
    text = STUDY.format(key="shaft.ei scale", other=1.1, entry="tempo", held="head speed")
    plain.write_text(text.replace('[hold]\ntempo = "head speed"\n', ""), encoding="utf-8")
    assert scaled.values.tobytes() == load_study(plain).evaluate(np.array([0])).values.tobytes()
