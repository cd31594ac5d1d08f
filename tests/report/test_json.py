"""The ranking's JSON: its keys, its numbers, and a reason for every null."""

from __future__ import annotations

import json

import numpy as np
import pytest

from study.made_up import ranking
from swingbeam.report.json import rank_json

TOP = {"scenario", "golfer", "reference", "hands", "ball", "solver", "air", "repeatability", "notes", "runs"}
RUN = {"shaft", "rank", "status", "unload", "impact", "change", "flight", "from", "order_under", "static", "reasons"}
UNLOAD = {
    "half_ms", "straight_ms", "crossings", "lag_peak_mm", "lag_peak_ms", "kick_peak_mps", "kick_peak_ms",
    "kick_at_impact_mps", "left_in_shaft", "resolution_ms",
}  # fmt: skip
IMPACT = {
    "face_angle_deg", "dynamic_loft_deg", "face_angle_at_strike_deg", "dynamic_loft_at_strike_deg",
    "toe_up_deg", "droop_mm", "lead_mm", "in_plane_mm", "twist_deg", "attack_deg", "path_deg",
    "head_speed_mps", "closure_dps", "strike_toe_mm", "strike_up_mm", "arrives_ms",
}  # fmt: skip
SHOT = {
    "ball_speed_mps", "launch_angle_deg", "launch_direction_deg", "spin_rpm", "back_spin_rpm", "side_spin_rpm",
    "spin_axis_deg", "carry_m", "side_m", "apex_m", "descent_deg", "flight_time_s",
}  # fmt: skip
LANDING = {
    "landing_sd_carry_m", "landing_sd_side_m", "landing_correlation", "landing_mean_carry_m", "landing_mean_side_m",
}  # fmt: skip
CAUSES = {"rigid", "when", "reference", "hands", "bend", "twist"}
STATIC = {"letter", "frequency_cpm", "torque_deg", "kick_point_pct_from_tip", "mass_g", "setup"}


@pytest.fixture(scope="module")
def shown():
    return json.loads(rank_json(ranking()))


def test_keys_are_the_documented_ones_for_every_club(shown):
    assert set(shown) == TOP
    for run in shown["runs"]:
        assert set(run) == RUN
        assert set(run["unload"]) == UNLOAD
        assert set(run["impact"]) == set(run["change"]) == IMPACT
        assert set(run["from"]) == {"face_angle_deg", "dynamic_loft_deg"}
        assert set(run["from"]["face_angle_deg"]) == set(run["from"]["dynamic_loft_deg"]) == CAUSES
        flight = run["flight"]
        assert set(flight) == {"shot", "error", "change", "change_error", "not_resolved", "change_under", "landing"}
        assert (
            set(flight["shot"]) == set(flight["error"]) == set(flight["change"]) == set(flight["change_error"]) == SHOT
        )
        assert set(flight["landing"]) == LANDING
        assert set(flight["change_under"]) == {"vice", "hold", "effort"}
        assert set(flight["change_under"]["vice"]) == {"carry_m", "side_m"}
        assert set(run["order_under"]) == {"vice", "hold", "effort"}
        assert set(run["static"]) == STATIC


def test_every_null_has_a_reason(shown):
    def nulls(value, key=""):
        if isinstance(value, dict):
            for name, inner in value.items():
                yield from nulls(inner, name)
        elif value is None:
            yield key

    for run in shown["runs"]:
        missing = set(nulls(run)) - set(run["reasons"])
        assert not missing
    failed = shown["runs"][-1]
    assert failed["status"] == "failed"
    assert failed["impact"]["face_angle_deg"] is None
    assert failed["reasons"]["face_angle_deg"] == "no convergence at 0.9 s"


def test_numbers_are_in_the_unit_of_the_key(shown):
    run, record = shown["runs"][0], ranking().runs[0]
    assert run["unload"]["half_ms"] == pytest.approx(-48.0, rel=1e-12)
    assert run["unload"]["lag_peak_mm"] == pytest.approx(-120.0, rel=1e-12)
    assert run["impact"]["face_angle_deg"] == pytest.approx(0.4, rel=1e-12)
    assert run["impact"]["droop_mm"] == pytest.approx(31.0, rel=1e-12)
    assert run["impact"]["closure_dps"] == pytest.approx(2500.0, rel=1e-12)
    assert run["static"]["frequency_cpm"] == pytest.approx(240.0, rel=1e-12)
    assert run["static"]["kick_point_pct_from_tip"] == pytest.approx(46.0, rel=1e-12)
    assert isinstance(run["unload"]["crossings"], int)
    assert isinstance(run["rank"], int)
    causes = run["from"]["dynamic_loft_deg"]
    assert sum(causes.values()) == pytest.approx(np.degrees(record.loft.total), rel=1e-12)


def test_what_is_not_resolved_is_said_with_its_reason(shown):
    first, last = shown["runs"][0]["flight"], shown["runs"][11]["flight"]
    # The made-up changes grow with the row: none in the first; in the last carry is 3 m against an error of 0.4,
    # apex 0.5 m against 0.6, and side turns round under effort.
    assert set(first["not_resolved"]) == SHOT
    assert "carry_m" not in last["not_resolved"]
    assert last["not_resolved"]["apex_m"] == "below error"
    assert last["not_resolved"]["side_m"] == "sign depends on hands"
    assert last["shot"]["spin_rpm"] == pytest.approx(300.0 * 30.0 / np.pi, rel=1e-12)
    assert last["change_under"]["effort"]["side_m"] == pytest.approx(2.0, rel=1e-12)
