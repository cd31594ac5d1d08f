"""From a swing to shots: the shaft's share in the flight, hands, left-handers, air and a golfer's own spread."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from swingbeam.beam.errors import InputError
from swingbeam.delivery.air import Air
from swingbeam.delivery.doubt import REPEATABILITY
from swingbeam.files.base import parse_toml
from swingbeam.files.lookup import find
from swingbeam.files.scenario_file import ScenarioFile
from swingbeam.report.json import rank_json
from swingbeam.study.golfer import load_golfer
from swingbeam.study.rank import rank_scenario
from swingbeam.study.shots import Range, fly_measured, range_of, repeatability_of
from swingbeam.swing import load_swing

SCENARIO = """
name = "Two shafts"
question = "Which flies farther?"
swing = "even"
shafts = ["wick-65-s", "bracken-46-l"]
{more}
[club]
head = "driver"
finished_length = "45.5 in"
grip_mass = "50 g"
"""


def scenario(folder, name, more=""):
    path = folder / f"{name}.toml"
    path.write_text(SCENARIO.format(more=more), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def result(tmp_path_factory):
    return rank_scenario(scenario(tmp_path_factory.mktemp("still"), "still"))


@pytest.fixture(scope="module")
def struck():
    golfer = load_golfer(find("swing", "even"))
    return golfer.swing(golfer.club, "hold", "re-aimed", "curvature"), golfer.club


def by_name(result):
    return {run.shaft: run for run in result.runs}


def test_every_club_has_a_believable_drive(result):
    # 45 m/s of head speed, 14° of loft, 2° up: bands about common figures for such a drive (from memory).
    for run in result.runs:
        shot = run.flight.shot
        assert 1.40 < shot.ball_speed / run.impact.head_speed < 1.52
        assert 9.0 < np.degrees(shot.launch_angle) < 14.5
        assert 2200.0 < shot.spin_rate * 30.0 / np.pi < 3600.0
        assert 185.0 < shot.carry < 235.0
        # Less than the reach without air.
        assert shot.carry < shot.ball_speed**2 / 9.80665


def test_reference_club_changes_nothing_and_nothing_of_it_is_resolved(result):
    record = by_name(result)["wick-65-s"].flight
    assert max(abs(v) for v in vars(record.change).values()) < 1e-9
    assert not any(record.is_resolved(name) for name in vars(record.change))


def test_change_is_the_difference_and_more_loft_launches_higher(result):
    soft, own = by_name(result)["bracken-46-l"], by_name(result)["wick-65-s"]
    assert soft.change.dynamic_loft > 0.0
    assert soft.flight.change.launch_angle == soft.flight.shot.launch_angle - own.flight.shot.launch_angle > 0.0
    assert soft.flight.change.back_spin > 0.0
    # What both share drops out: the error of the change is far below that of the figure.
    assert soft.flight.change_error.carry < 0.2 * soft.flight.error.carry


def test_changes_under_every_kind_of_hands(result, tmp_path):
    soft = by_name(result)["bracken-46-l"].flight
    assert set(soft.change_under) == {"vice", "hold", "effort"}
    # The same run, the same equations.
    assert soft.change_under["hold"].carry == pytest.approx(soft.change.carry, abs=1e-9)
    other = by_name(rank_scenario(scenario(tmp_path, "effort"), hands="effort"))["bracken-46-l"].flight
    assert other.change.carry == pytest.approx(soft.change_under["effort"].carry, abs=1e-9)


def test_left_hander_in_mirrored_wind_has_the_same_figures(tmp_path):
    wind = '[air]\nwind_speed = "6 m/s"\nwind_from = "{}60 deg"\n'
    right = rank_scenario(scenario(tmp_path, "right", wind.format("")))
    left = rank_scenario(scenario(tmp_path, "left", '[golfer]\nhanded = "left"\n' + wind.format("-")))
    assert left.left_handed
    for a, b in zip(right.runs, left.runs, strict=True):
        for part in ("shot", "error", "change", "change_error"):
            x, y = (getattr(run.flight, part).array() for run in (a, b))
            np.testing.assert_allclose(y, x, rtol=0.0, atol=1e-9)
        np.testing.assert_allclose(b.flight.spread.covariance, a.flight.spread.covariance, rtol=1e-9)


def test_left_hander_in_still_air_differs_in_words_only(struck):
    measured, club = struck
    right, left = (fly_measured(measured, club, Range(left_handed=hand)).shot for hand in (False, True))
    np.testing.assert_array_equal(left.shot.array(), right.shot.array())


def test_air_moves_the_flight_and_not_the_launch(struck):
    measured, club = struck
    plain = fly_measured(measured, club, Range()).shot.shot
    thin = fly_measured(measured, club, Range(air=Air(altitude=1600.0))).shot.shot
    assert thin.carry > plain.carry
    assert (thin.ball_speed, thin.spin_rate) == (plain.ball_speed, plain.spin_rate)


def test_head_s_own_restitution_goes_before_that_of_its_kind(struck):
    measured, club = struck
    cool = replace(club.head, restitution=0.78)
    slow = fly_measured(measured, replace(club, head=cool), Range()).shot.shot
    fast = fly_measured(measured, club, Range()).shot.shot
    # 0.05 less of 1.83 + what the lower speed gives back, along the normal.
    assert slow.ball_speed / fast.ball_speed == pytest.approx(1.0 - 0.05 / 1.84, rel=2e-3)


def test_air_is_read_with_its_units_and_refused_without():
    table = 'altitude = "1000 ft"\ntemperature = "68 degF"\npressure = "29.92 inHg"\nhumidity = "30 %"\n'
    text = SCENARIO.format(more=f"[air]\n{table}") + ""
    air = range_of(parse_toml(text, ScenarioFile, source="s.toml"), find("swing", "even")).air
    assert air.altitude == pytest.approx(304.8, rel=1e-12)
    assert air.temperature == pytest.approx(293.15, rel=1e-12)
    # 1 inHg = 3386.389 Pa (NIST SP 811, appendix B.8).
    assert air.pressure == pytest.approx(101320.8, rel=1e-6)
    assert air.humidity == pytest.approx(0.3, rel=1e-12)
    for slip, says in (
        ('temperature = "20"', "without a unit"),
        ('temperature = "20 C"', 'did you mean "degC"'),
        ('temperature = "200 degC"', "out of all proportion"),
        ('humidity = "120 %"', "at most"),
        ('pressure = "1013"', "without a unit"),
        ('wind = "3 m/s"', "wind_speed"),
    ):
        with pytest.raises(InputError, match="air") as caught:
            parse_toml(SCENARIO.format(more=f"[air]\n{slip}\n"), ScenarioFile, source="s.toml")
        assert says in str(caught.value)


def test_a_swing_s_own_spread_goes_before_the_usual_one():
    swing = load_swing("even")
    assert repeatability_of(swing)[0] == REPEATABILITY
    assert "no source" in repeatability_of(swing)[1]
    from swingbeam.swing.spread import Spread

    spread = Spread((), np.zeros(0), np.zeros((0, 0)), {"face_angle": 0.01, "head_speed": 0.9, "closure": 1.0})
    own, words = repeatability_of(replace(swing, spread=spread))
    assert own.face_angle == 0.01
    assert own.speed == pytest.approx(0.9 / 45.0, rel=1e-9)
    assert own.path == REPEATABILITY.path
    assert words.startswith("his own spread where stated, else the usual")


def test_json_is_whole_and_finite(result):
    runs = json.loads(rank_json(result))["runs"]
    for run in runs:
        assert run["flight"]["shot"]["carry_m"] > 0.0
        assert run["flight"]["error"]["carry_m"] > 0.0
        assert set(run["flight"]["not_resolved"].values()) <= {"below error", "sign depends on hands"}
