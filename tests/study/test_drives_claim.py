"""What drives flight: the words follow the numbers, the readings are the bench's, and the scenario states a study."""

from __future__ import annotations

import importlib
import math
import sys
from pathlib import Path

import numpy as np
import pytest

from shaft.made_up import shaft
from study.sweep.toy_results import write_sensitivity
from swingbeam.shaft.shaft import scale
from swingbeam.study.sweep.explain import explain_study
from swingbeam.study.sweep.load import load_study
from swingbeam.study.sweep.main_effects import RankCorrelation
from swingbeam.study.sweep.results import open_results

BENCHMARKS = Path(__file__).resolve().parents[2] / "benchmarks"


@pytest.fixture(scope="module")
def claims():
    """The module of `benchmarks/claims`, which is no part of the package."""
    sys.path.insert(0, str(BENCHMARKS))
    try:
        yield importlib.import_module("claims.drives")
    finally:
        sys.path.remove(str(BENCHMARKS))


@pytest.mark.parametrize(
    ("first", "second", "outcome"),
    [((0.5, 0.7), (0.1, 0.3), True), ((0.1, 0.3), (0.5, 0.7), False), ((0.1, 0.4), (0.3, 0.7), None)],
)
def test_which_outweighs(claims, first, second, outcome) -> None:
    assert claims.outweighs(first, second) is outcome


def test_size_of_a_correlation(claims) -> None:
    assert claims.size_of(RankCorrelation(-0.5, -0.6, -0.4, 50)) == (0.4, 0.6)
    assert claims.size_of(RankCorrelation(0.05, -0.1, 0.2, 50)) == (0.0, 0.2)
    assert claims.size_of(RankCorrelation(0.5, None, None, 5)) == (0.0, 1.0)
    assert claims.size_of(None) == (0.0, 1.0)


def test_a_plane_gives_back_its_slopes(claims) -> None:
    rng = np.random.default_rng(0)
    columns = {"frequency_cpm": rng.uniform(220.0, 280.0, 200), "cg": rng.uniform(10.0, 35.0, 200)}
    y = 14.0 - 0.02 * columns["frequency_cpm"] + 0.09 * columns["cg"]
    y[3] = np.nan
    found = claims.plane(y, columns)
    known = np.isfinite(y)
    # Exactly a plane: round-off of a well-scaled least-squares problem.
    for name, slope in (("frequency_cpm", -0.02), ("cg", 0.09)):
        assert found.over[name] == pytest.approx(slope * np.ptp(columns[name][known]), rel=1e-10)
    assert found.explained == pytest.approx(1.0, abs=1e-12)


def test_readings_are_the_benchs(claims) -> None:
    own = shaft()
    one, two = np.array([0.0, 0.0]), np.array([1.0, 4.0])
    found = claims.bench_columns({"shaft.ei tilt": one, "shaft.ei scale": two, "shaft.gj scale": two}, own)
    # Four times the stiffness, the same mass: twice the frequency of a clamped bar, a quarter of the twist. A tip mass
    # on a real bench changes neither ratio; shear of so slender a bar is worth less than 1e-4.
    assert found["frequency_cpm"][1] == pytest.approx(2.0 * found["frequency_cpm"][0], rel=1e-3)
    assert found["torque_deg"][1] == pytest.approx(0.25 * found["torque_deg"][0], rel=1e-6)
    assert found["kick_point_pct_from_tip"][1] == pytest.approx(found["kick_point_pct_from_tip"][0], rel=1e-6)
    readings = claims.static_readings(scale(own, ei=4.0, gj=4.0))
    # The same reading in another unit: round-off.
    assert found["frequency_cpm"][1] == pytest.approx(60.0 * readings.frequency, rel=1e-12)
    assert found["torque_deg"][1] == pytest.approx(math.degrees(readings.torque), rel=1e-12)
    tilted = claims.bench_columns({"shaft.ei tilt": np.array([-0.5, 0.5])}, own)["kick_point_pct_from_tip"]
    assert tilted[1] > tilted[0]


def test_the_page_follows_the_numbers(claims, tmp_path: Path) -> None:
    """A made-up study in which the tilt alone makes loft, the CG alone face angle, and the fade alone half-unload."""
    keys = [v.key for v in load_study("what_drives_flight").inputs]
    place = {key: k for k, key in enumerate(keys)}
    tilt, cg, fade = (place[key] for key in ("shaft.ei tilt", "head.cg.rearward", "swing.wrists.fade"))
    outputs = {
        "dynamic_loft_deg": lambda x: 14.0 - x[:, tilt],
        "face_angle_deg": lambda x: -x[:, cg],
        "loft_from_bend_deg": lambda x: 4.0 - x[:, tilt],
        "face_from_bend_deg": lambda x: 1.0 - x[:, cg],
        "half_ms": lambda x: -40.0 - 10.0 * x[:, fade],
    }
    path = write_sensitivity(
        tmp_path / "w.h5", outputs, rows=64, low=0.9, high=1.1, inputs=len(keys), keys=keys, sample_rows=64
    )
    explained = explain_study(path, outputs=claims.OUTPUTS, against=["half_ms"], resamples=100)
    with open_results(path) as results:
        findings = claims.find(results, explained, shaft())
    assert findings.release == fade
    outcomes = {what: holds for what, holds, _ in claims.judge(findings)}
    assert outcomes["The head's CG drives it more than the bend point"] == [False, True, False, True]
    # Neither fade nor tilt moves the face.
    assert outcomes["What moves half-unload most drives it more than the bend point"] == [False, None, False, None]
    # The kick point goes with the tilt, one way only, and so does loft.
    assert findings.ranks["dynamic_loft_deg"]["kick_point_pct_from_tip"].value < -0.99
    text = claims.write_page(findings, "w.png", "d" * 64, "w")
    assert "**comes out in part**, in 2 of 4 cases" in text
    assert "common practice, no source; a hypothesis" in text
    assert "`swing.wrists.fade`" in text


def test_the_scenario_varies_what_the_page_speaks_of(claims) -> None:
    study = load_study("what_drives_flight")
    assert study.kind == "sensitivity"
    keys = {v.key for v in study.inputs}
    assert {claims.CG, claims.BEND_POINT, *claims.BY_THE_BENCH} <= keys
    assert set(claims.OUTPUTS) <= {figure.name for figure in study.outputs}
