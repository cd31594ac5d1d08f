"""Studies from their file to what explains them: spare rows, readings of the bench, either hand, sizes of batches."""

from __future__ import annotations

from dataclasses import dataclass, field

import h5py
import numpy as np
import pytest

from study.sweep.toys import Toy
from swingbeam.files.lookup import library_root
from swingbeam.shaft.load import load_shaft
from swingbeam.study.quantities import STATIC
from swingbeam.study.readings import static_readings
from swingbeam.study.sweep.explain import explain_study
from swingbeam.study.sweep.load import load_study
from swingbeam.study.sweep.problem import STATUSES
from swingbeam.study.sweep.run import run_study

DRIVES = """
name = "Drives"
question = "What drives it?"
swing = "even"
start = "top"
outputs = ["impact"]
[club]
shaft = "wick-65-s"
head = "driver"
[vary]
"club.finished_length" = { between = ["45.4 in", "46.7 in"] }
"club.tip_trim" = { between = ["0 in", "1 in"] }
[plan]
kind = "sensitivity"
rows = 16
spare_rows = 16
"""
BENCH = """
name = "Bench"
question = "What goes with the kick point?"
swing = "{swing}"
start = "top"
outputs = {outputs}
[club]
shaft = "wick-65-s"
head = "driver"
finished_length = "45.5 in"
[vary]
"shaft.ei tilt" = [-0.4, 0.0, 0.4]
"club.finished_length" = ["45 in", "45.5 in"]
[plan]
kind = "grid"
"""


@pytest.fixture
def write(tmp_path):
    def one(name: str, text: str):
        path = tmp_path / f"{name}.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return one


def run(study, path):
    """The file of a study; the other solver has its own tests."""
    study.spot_cases = np.zeros(0, dtype=np.int64)
    return run_study(study, path, workers=1)


def test_spare_rows_stand_in_for_rows_with_a_club_that_cannot_be_built(write, tmp_path):
    study = load_study(write("drives", DRIVES))
    assert (study.sample_rows, study.count) == (16, 32 * 4)
    done = run(study, tmp_path / "drives.h5")
    assert 0 < done.failed < 64
    with h5py.File(done.path) as file:
        assert file.attrs["sample_rows"] == 16
        whole = (file["status"][()].reshape(32, 4) == STATUSES.index("ok")).all(axis=1)
    (speed,) = explain_study(done.path, outputs=["head_speed_mps"], resamples=20).outputs
    left = int((~whole[:16]).sum())
    assert left > 0
    assert (speed.rows.wanted, speed.rows.stated, speed.rows.left_out) == (16, True, left)
    assert speed.rows.spares == min(left, int(whole[16:].sum()))
    assert any(f"{left} of 16 rows are left out" in words for words in speed.words)
    assert any("spare rows stand in" in words for words in speed.words)


def test_no_other_plan_has_rows(write):
    assert load_study(write("bench", BENCH.format(swing="even", outputs='["impact"]'))).sample_rows is None


def test_readings_of_the_bench_stand_beside_the_swing_s_figures(write, tmp_path):
    text = BENCH.format(swing="even", outputs='["bench", "unload"]')
    study = load_study(write("bench", text))
    names = [output.name for output in study.outputs]
    assert names[:4] == [q.key for q in STATIC]
    done = run(study, tmp_path / "bench.h5")
    (half,) = explain_study(done.path, outputs=["half_ms"], against=["kick_point_pct_from_tip"]).outputs
    assert half.count == 6
    assert half.against[0].of.name == "kick_point_pct_from_tip"
    assert half.against[0].rank is not None
    with h5py.File(done.path) as file:
        tilt, read = file["shaft_ei_tilt"][()], {q.key: file[q.key][()] for q in STATIC}
    own = static_readings(load_shaft("wick-65-s"))
    for q in STATIC:
        # A tilt of 0 is the shaft itself; how a club is cut is nothing to its raw shaft.
        np.testing.assert_array_equal(read[q.key][tilt == 0.0], q.scale * getattr(own, q.attribute))
    # A positive tilt softens the butt: the kick point moves away from the tip.
    kick = [read["kick_point_pct_from_tip"][tilt == t][0] for t in (-0.4, 0.0, 0.4)]
    assert kick[0] < kick[1] < kick[2]


def test_a_shaft_is_read_once_and_never_into_a_case_that_failed(write, monkeypatch):
    read = []

    def count(shaft):
        read.append(shaft)
        return static_readings(shaft)

    monkeypatch.setattr("swingbeam.study.sweep.static_figures.static_readings", count)
    text = BENCH.format(swing="even", outputs='["unload", "bench"]').replace('"45.5 in"]', '"46.5 in"]')
    study = load_study(write("bench", text.replace("[vary]", '[vary]\n"club.tip_trim" = ["0 in", "1 in"]')))
    rows = study.evaluate(np.arange(study.count))
    failed = rows.status == STATUSES.index("failed")
    assert failed.sum() == 3  # too long for what is cut off its tip
    assert np.isnan(rows.values[failed]).all()
    assert np.isfinite(rows.values[~failed, -4:]).all()
    assert len(read) == 3
    again = study.evaluate(np.array([8, 0]))
    assert again.values.tobytes() == rows.values[[8, 0]].tobytes()
    assert len(read) == 3


def test_a_left_handed_golfer_s_study_is_the_right_handed_one_s(write):
    own = (library_root() / "swings/even.toml").read_text(encoding="utf-8")
    text = BENCH.format(swing="SWING", outputs='["unload", "impact", "causes", "shot", "change"]')
    found = []
    for hand in ("right", "left"):
        swing = write(f"swing-{hand}", own.replace("tee_height", f'handed = "{hand}"\ntee_height', 1))
        varied = '"swing.delivery.path" = ["-3 deg", "2 deg"]\n"shaft.ei tilt"'
        study = load_study(write(hand, text.replace("SWING", str(swing)).replace('"shaft.ei tilt"', varied)))
        found.append(study.evaluate(np.arange(study.count), "coarse"))
    right, left = found
    assert right.status.tolist() == left.status.tolist() == [0] * 12
    # The golfer is reflected at the door: the very same numbers are computed.
    np.testing.assert_allclose(left.values, right.values, rtol=1e-9, atol=1e-9)
    for name, curve in right.curves.items():
        np.testing.assert_allclose(left.curves[name], curve, rtol=1e-9, atol=1e-9)


@pytest.mark.parametrize(
    ("golfers", "lengths", "ball", "batch"),
    [
        (9, 3, "re-aimed", 30),  # ten golfers
        (9, 20, "re-aimed", 20),
        (9, 300, "re-aimed", 300),
        (9, 1500, "re-aimed", 750),  # half of a golfer's
        (9, 1031, "re-aimed", 1024),  # a prime number of clubs
        (9, 300, "learnt", 150),  # one after another: shorter batches
        (2, 300, "re-aimed", 32),  # too few golfers for each to be one worker's
    ],
)
def test_batches_end_where_a_golfer_s_cases_end(write, golfers, lengths, ball, batch):
    text = BENCH.format(swing="even", outputs='["impact"]')
    text = text.replace('["45 in", "45.5 in"]', f'{{ from = "44 in", to = "45 in", count = {lengths} }}')
    paths = f'"swing.delivery.path" = {{ from = "-3 deg", to = "2 deg", count = {golfers} }}'
    text = text.replace('"shaft.ei tilt" = [-0.4, 0.0, 0.4]', paths).replace("[club]", f'ball = "{ball}"\n[club]', 1)
    study = load_study(write("batch", text))
    assert study.count == golfers * lengths
    assert study.batch == batch


@dataclass
class Checked(Toy):
    """A toy with spot checks that says in which order things happen."""

    order: list[str] = field(default_factory=list)

    def prepare(self):
        self.order.append("prepare")

    def prepare_spots(self):
        self.order.append("prepare spots")

    def evaluate(self, cases, history="none"):
        self.order.append("case")
        return super().evaluate(cases, history)


def test_what_spot_checks_need_is_compiled_before_any_case_runs(tmp_path):
    toy = Checked(count=3, spot_cases=np.array([1]))
    run_study(toy, tmp_path / "toy.h5", workers=1)
    assert toy.order[:3] == ["prepare", "prepare spots", "case"]
    none = Checked(count=3)
    run_study(none, tmp_path / "none.h5", workers=1)
    assert "prepare spots" not in none.order
