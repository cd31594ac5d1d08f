"""A swing's file of the other kind: driven by torque, read, aimed and used like any other."""

from __future__ import annotations

import json
import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from swingbeam.beam import InputError
from swingbeam.cli import app
from swingbeam.files.lookup import find, library_root
from swingbeam.study.golfer import Golfer, load_golfer
from swingbeam.study.library import check_file
from swingbeam.study.single import swing_club
from swingbeam.swing.archetype import library_swings, load_swing
from swingbeam.swing.ball import RULES
from swingbeam.swing.effort import Effort
from swingbeam.swing.hands import MODES
from swingbeam.swing.plan import Target
from swingbeam.swing.reference import run_club
from swingbeam.swing.torque_golfer import TorquePlan

FOLDER = library_root() / "swings"
TEXT = (FOLDER / "even-by-torque.toml").read_text(encoding="utf-8")
BY_TORQUE = sorted(name for name, swing in library_swings().items() if swing.by_torque)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    file = tmp_path / "even-by-torque.toml"
    file.write_text(TEXT, encoding="utf-8")
    return file


def test_the_golfer_is_what_the_file_says(path):
    """Every torque, time and angle of the file, but for rounding of units."""
    plan = load_swing(path).plan
    assert isinstance(plan, TorquePlan)
    golfer = plan.golfer
    efforts = {
        golfer.shoulders: Effort(135.9, 0.0, 0.12, hold=0.10, fade=0.14, remains=0.3),
        golfer.release: Effort(20.0, 0.1042, 0.16),
        golfer.roll: Effort(-2.62, 0.19, 0.09),
    }
    for found, stated in efforts.items():
        np.testing.assert_allclose(list(vars(found).values()), list(vars(stated).values()), rtol=1e-12)
    assert golfer.wrist_damping == 1.3
    assert math.degrees(golfer.turn) == pytest.approx(150.0)
    assert math.degrees(golfer.hinge.behind) == pytest.approx(-100.0)
    assert math.degrees(golfer.arms.plane) == pytest.approx(50.0)
    assert golfer.arms.radius == pytest.approx(0.65)
    assert vars(plan.target) == pytest.approx(vars(Target(0.0, math.radians(14.0), math.radians(2.0), 0.0, 45.0)))


def test_it_is_used_like_any_other(path):
    """Checked, swung and measured: the reference club delivers what the file states, and another club differs."""
    assert "driven by torque" in check_file(path)
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


OFF_THE_FACE = {("even-iron-by-torque", "raw")}
"""The bend puts this ball 2 cm toe-ward and 2 cm up: past the edge of an iron's face, and the run says so."""


@cache
def golfer_named(name: str) -> Golfer:
    return load_golfer(find("swing", name))


@pytest.mark.parametrize("name", BY_TORQUE)
@pytest.mark.parametrize("ball", RULES)
@pytest.mark.parametrize("hands", MODES)
def test_the_reference_club_is_the_same_under_all_hands_whatever_the_ball(name, ball, hands):
    golfer = golfer_named(name)
    own = golfer.swing(golfer.club, hands, ball, "curvature")
    if (name, ball) in OFF_THE_FACE:
        assert (own.status, own.impact) == ("missed", None)
        assert "off the face" in own.reasons["status"]
        return
    assert own.status == "ok"
    held = golfer.swing(golfer.club, "vice", ball, "curvature")
    # The hands do not give by more than 1e-9 rad.
    assert vars(own.impact) == pytest.approx(vars(held.impact), rel=1e-6, abs=1e-7)
    strike = np.hypot(own.impact.strike_toe, own.impact.strike_up)
    if ball == "raw":
        # Where the club made rigid would strike: off by what the shaft bends, 1 to 5 cm of lead and droop.
        assert 0.005 < strike < 0.05
    else:
        assert strike < 1e-4  # the spline through the grip's pose


@pytest.mark.parametrize("name", BY_TORQUE)
@pytest.mark.parametrize(("solver", "most"), [("curvature", 1e-9), ("elements", 1e-8)])
def test_the_hands_do_not_give_for_the_reference_club(name, solver, most):
    golfer = golfer_named(name)
    for hands in MODES.values():
        run = run_club(golfer.club, golfer.reference, hands, solver=solver)
        # The couple is kept at the solver's own instants, so only the solver's own tolerance is left: at the top the
        # shaft hangs bent, and the statics of `elements` leave up to some 1e-9 N·m there, over 2 N·m/rad.
        assert np.abs(run.root_yield).max() <= most


def test_ranked_verified_and_written_from_the_command_line(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.toml").write_text(
        'name = "Mine"\nquestion = "Which first?"\nswing = "even-by-torque"\nball = "learnt"\n'
        'shafts = ["wick-65-s", "marl-52-l"]\n'
        '[club]\nhead = "driver"\nfinished_length = "45.5 in"\n[reference_club]\nshaft = "wick-59-r"\n',
        encoding="utf-8",
    )
    answer = CliRunner().invoke(app, ["rank", "mine.toml", "--json", "--verify"])
    assert answer.exit_code == 0, answer.stderr
    shown = json.loads(answer.stdout)
    assert (shown["golfer"], shown["reference"]) == ("Even, by torque", "wick-59-r")
    assert {run["status"] for run in shown["runs"]} == {"ok"}
    assert {path.name for path in (tmp_path / "outputs").iterdir()} == {"mine.h5", "mine.png", "mine-landing.png"}


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('head_speed = "45 m/s"', "", "head_speed"),
        ('torque = "-2.62 N*m"', 'torque = "2.62 N*m"', "roll"),
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
