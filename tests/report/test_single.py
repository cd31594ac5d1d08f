"""One club for people, as JSON and as CSV."""

from __future__ import annotations

import io
import json

import numpy as np
import pytest
from rich.console import Console

from study.made_up import NAMES, ranking
from swingbeam.beam.errors import InputError
from swingbeam.report.caution import IDEALISED
from swingbeam.report.curves import write_curves
from swingbeam.report.json import run_object, single_json
from swingbeam.report.single import print_single
from swingbeam.study.result import ClubRun, SingleResult


def single(run):
    return SingleResult("nobody", NAMES[3], "hold", "re-aimed", "curvature", run, ranking().runs[3])


def printed(result, width=100):
    stream = io.StringIO()
    print_single(result, Console(file=stream, width=width, highlight=False, markup=False))
    return stream.getvalue()


def test_shows_value_reference_change_and_causes():
    text = printed(single(ranking().runs[0]))
    lines = {line.strip()[:20]: line for line in text.splitlines()}
    assert lines["dynamic loft at face"].split()[-4:] == ["14.20", "13.82", "0.00", "°"]
    assert "bending of the shaft" in text
    assert "together" in text
    assert IDEALISED in " ".join(text.split())


def test_causes_shown_sum_to_the_total_shown():
    run = ranking().runs[0]
    assert np.degrees(run.loft.total) == pytest.approx(np.degrees(0.18 + 0.001 + 0.002 + 0.0001 + 0.04 + 0.0002))
    total = next(line for line in printed(single(run)).splitlines() if "together" in line)
    assert float(total.split()[-1]) == pytest.approx(np.degrees(run.loft.total), abs=0.005)


def test_a_club_that_failed_says_why_and_shows_no_number():
    text = printed(single(ClubRun("reed-35-l", "failed", reasons={"status": "no convergence at 0.9 s"})))
    assert "failed: no convergence at 0.9 s" in text
    assert "At impact" not in text


def test_json_of_one_club_is_that_of_its_row():
    run = ranking().runs[2]
    shown = json.loads(single_json(single(run)))
    assert shown["run"] == json.loads(json.dumps(run_object(run)))
    assert shown["golfer"] == "nobody"


def test_json_of_one_club_does_not_blame_its_half_unload_for_the_missing_rank():
    row = ranking().runs[2]
    alone = ClubRun(row.shaft, "ok", unload=row.unload, impact=row.impact, static=row.static)
    reasons = json.loads(single_json(single(alone)))["run"]["reasons"]
    assert {reasons[key] for key in ("rank", "resolution_ms", "vice", "hold", "effort")} == {
        "one club swung alone is not ranked"
    }


def test_curves_as_csv_state_units_and_are_never_written_over(tmp_path):
    run = ranking().runs[0]
    path = write_curves(run, tmp_path / "curves.csv")
    lines = path.read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("time_ms,in_plane_mm,lead_mm,droop_mm,twist_deg,")
    table = np.loadtxt(lines[1:], delimiter=",")
    # Nine digits are written.
    np.testing.assert_allclose(table[:, 0], 1e3 * run.curves.t, rtol=1e-8, atol=1e-9)
    np.testing.assert_allclose(table[:, 1], 1e3 * run.curves.in_plane, rtol=1e-8, atol=1e-9)
    with pytest.raises(InputError, match="exists already"):
        write_curves(run, path)


def test_shows_launch_and_flight_with_errors_and_what_is_not_resolved():
    text = printed(single(ranking().runs[11]), width=160)
    rows = {line.strip()[:12]: line for line in text.split("Launch and flight")[1].splitlines()}
    # The made-up last row: carry 208.0 ± 0.5, reference 205.8, change +3.0 ± 0.4; apex +0.5 ± 0.6.
    assert rows["carry along "].split()[-6:] == ["208.0", "0.5", "205.8", "+3.0", "0.4", "m"]
    assert rows["greatest hei"].endswith("not resolved")
