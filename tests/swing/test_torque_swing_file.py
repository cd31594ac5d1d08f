"""A swing's file of the other kind: driven by torque, read, aimed and used like any other."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from swingbeam.beam import InputError
from swingbeam.study.golfer import load_golfer
from swingbeam.study.library import check_file
from swingbeam.study.single import swing_club
from swingbeam.swing.archetype import load_swing
from swingbeam.swing.torque_golfer import TorquePlan
from swingbeam.swing.torque_golfers import GOLFERS

TEXT = """
name = "Even effort"
note = "Invented."
driven_by = "torque"
tee_height = "35 mm"

[arms]
plane = "50 deg"
radius = "65 cm"
turn_at_top = "150 deg"

[wrists]
hinge = "100 deg"
damping = "0.9 N*m*s/rad"

[shoulders]
torque = "138.3 N*m"
rise = "120 ms"
hold = "100 ms"
fade = "90 ms"
remains = "30 %"

[release]
torque = "18 N*m"
onset = "186.8 ms"
rise = "60 ms"

[roll]
torque = "-2.63 N*m"
onset = "190 ms"
rise = "90 ms"

[delivery]
face_angle = "0 deg"
dynamic_loft = "14 deg"
attack = "2 deg"
path = "0 deg"
head_speed = "45 m/s"

[reference_club]
shaft = "wick-65-s"
head = "driver"
finished_length = "45.5 in"
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    file = tmp_path / "even-effort.toml"
    file.write_text(TEXT, encoding="utf-8")
    return file


def test_the_file_says_what_the_golfer_of_the_library_is(path):
    """The same numbers written in a file give the same golfer, but for rounding of units."""
    plan = load_swing(path).plan
    assert isinstance(plan, TorquePlan)
    golfer, target = GOLFERS[0]
    for group in ("shoulders", "release", "roll"):
        np.testing.assert_allclose(
            list(vars(getattr(plan.golfer, group)).values()), list(vars(getattr(golfer, group)).values()), rtol=1e-12
        )
    assert plan.golfer.hinge.behind == pytest.approx(golfer.hinge.behind)
    assert plan.golfer.turn == pytest.approx(golfer.turn)
    assert plan.golfer.wrist_damping == golfer.wrist_damping
    assert vars(plan.target) == pytest.approx(vars(target))


def test_it_is_used_like_any_other(path):
    """Checked, swung and measured: the reference club delivers what the file states, and another club differs."""
    assert "sound swing" in check_file(path)
    golfer = load_golfer(path)
    own = golfer.swing(golfer.club, "hold", "re-aimed", "curvature")
    assert own.status == "ok"
    assert own.impact is not None
    # The grip's pose is a spline through the run's instants: 1 µs, 1e-3 deg.
    assert own.time == pytest.approx(0.0, abs=1e-5)
    assert math.degrees(own.impact.face_angle) == pytest.approx(0.0, abs=0.02)
    assert math.degrees(own.impact.dynamic_loft) == pytest.approx(14.0, abs=0.02)
    assert own.impact.head_speed == pytest.approx(45.0, abs=0.01)
    np.testing.assert_allclose([own.impact.strike_toe, own.impact.strike_up], 0.0, atol=1e-4)
    other = swing_club(path, shaft="wick-59-r")
    assert other.run.status == "ok"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('head_speed = "45 m/s"', "", "head_speed"),
        ('torque = "-2.63 N*m"', 'torque = "2.63 N*m"', "roll"),
        ('driven_by = "torque"', 'driven_by = "hope"', "driven_by"),
        ('onset = "190 ms"', 'onset = "190"', "unit"),
        ("[release]", "[releese]", 'did you mean "release"'),
        ('shaft = "wick-65-s"', "", "no shaft"),
    ],
)
def test_what_is_wrong_is_said(path, old, new, words):
    assert old in TEXT
    path.write_text(TEXT.replace(old, new), encoding="utf-8")
    with pytest.raises(InputError, match=words):
        load_swing(path)
