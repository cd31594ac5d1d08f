"""Checking a study's file: whatever is changed in it is noticed, and said."""

from __future__ import annotations

import shutil

import h5py
import numpy as np
import pytest

from study.sweep.test_run import Stops
from study.sweep.toys import Toy
from swingbeam.beam.errors import InputError
from swingbeam.study.sweep.check import check_study, ranges_words
from swingbeam.study.sweep.run import run_study
from swingbeam.study.sweep.shards import folder_of
from swingbeam.study.sweep.spots import verdict


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    toy = Toy(kind="sensitivity", spot_cases=np.array([4, 50]), spot_limits={"face_angle_deg": 0.5})
    return run_study(toy, tmp_path_factory.mktemp("check") / "a.h5", workers=1, history="coarse").path


@pytest.fixture
def copy(written, tmp_path):
    return shutil.copy(written, tmp_path / "copy.h5")


def test_a_file_as_it_was_written_is_sound(written):
    found = check_study(written)
    assert found.is_sound
    assert found.statuses == {"ok": 78, "missed": 13, "failed": 9}
    assert found.reasons[0][0].startswith("no convergence at")
    assert found.spots == 2


def _set(name, place, value):
    def change(file):
        file[name][place] = value

    return change


def _attribute(name, attribute, value):
    def change(file):
        (file[name] if name else file).attrs[attribute] = value

    return change


CHANGES = {
    "a figure": (_set("face_angle_deg", 3, 0.0), "face_angle_deg is not what was written"),
    "a curve": (_set("curve_lead_mm", (9, 2), 0.0), "curve_lead_mm is not what was written"),
    "an input": (_set("swing_tempo_ms", 99, 0.0), "swing_tempo_ms is not what was written"),
    "a status": (_set("status", 10, 0), "status is not what was written"),
    "a reason's text": (_set("reason_text", 0, "other"), "reason_text is not what was written"),
    "a text of what went in": (_set("file_text", 0, "other"), "file_text is not what was written"),
    "the number of a case": (_set("case", 5, 50), "not numbered from 0"),
    "a unit": (_attribute("face_angle_deg", "units", "radian"), "names, units or attributes"),
    "the seed": (_attribute("", "seed", 8), "names, units or attributes"),
    "the digest": (_attribute("", "digest", "e" * 64), "names, units or attributes"),
    "no status": (lambda file: file.pop("status"), "status is missing"),
    "no sample": (lambda file: file.pop("sample_row"), "sample_row is missing"),
    "no seed": (lambda file: file.attrs.pop("seed"), "attributes are missing: seed"),
    "no unit": (lambda file: file["face_angle_deg"].attrs.pop("units"), "face_angle_deg has no units"),
    "no axis": (
        lambda file: file["face_angle_deg"].dims[0].detach_scale(file["case"]),
        "face_angle_deg has other dimensions",
    ),
}


@pytest.mark.parametrize("what", CHANGES)
def test_whatever_is_changed_is_noticed(copy, what):
    change, words = CHANGES[what]
    with h5py.File(copy, "r+") as file:
        change(file)
    found = check_study(copy)
    assert not found.is_sound
    assert any(words in problem for problem in found.problems), found.problems


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9, 0.999])
def test_a_file_cut_short_is_not_sound(copy, share):
    data = copy.read_bytes()
    copy.write_bytes(data[: int(share * len(data))])
    found = check_study(copy)
    assert not found.is_sound
    assert "no whole HDF5 file" in found.problems[0]


def test_a_byte_of_the_values_changed_on_the_disk_is_noticed(copy):
    with h5py.File(copy) as file:
        offset = file["half_unload_ms"].id.get_offset()
    data = bytearray(copy.read_bytes())
    data[offset + 17] ^= 1
    copy.write_bytes(data)
    assert any("half_unload_ms is not what was written" in problem for problem in check_study(copy).problems)


def test_spot_checks_beyond_their_limits_make_it_doubtful(tmp_path):
    toy = Toy(spot_error=0.01, spot_cases=np.array([4, 50]), spot_limits={"face_angle_deg": 0.3, "half_unload_ms": 1.0})
    done = run_study(toy, tmp_path / "a.h5", workers=1)
    # The toy's difference is 0.01 a case number: 0.04 and 0.5.
    words = "face_angle_deg differs by 0.5 in case 50 (limit 0.3; beyond it in 1 of 2)"
    assert done.tally.doubtful == words
    found = check_study(done.path)
    assert not found.is_sound
    assert (found.doubtful, found.problems) == (words, ())


def test_the_verdict_names_the_worst_first_and_knows_no_difference():
    cases = np.array([3, 7])
    differences = {"a": np.array([0.0, -2.0]), "b": np.array([9.0, np.nan]), "c": np.array([np.nan, np.nan])}
    assert verdict(cases, differences, {"a": 2.0, "c": 1.0}) == ""
    assert verdict(cases, differences, {"a": 1.0, "b": 1.0, "c": 1.0}).split("; ")[0].startswith("b differs by 9")
    assert "in case 7" in verdict(cases, differences, {"a": 1.0})


def test_the_parts_of_an_interrupted_run_are_checked(tmp_path):
    target = tmp_path / "a.h5"
    with pytest.raises(KeyboardInterrupt):
        run_study(Toy(), target, workers=1, watch=Stops(2))
    for path in (folder_of(target), target):  # by the folder's name, or by that of the file to be
        found = check_study(path)
        assert not found.is_sound
        assert found.problems == ()
        assert found.missing_count == 100 - sum(found.statuses.values())
    next(folder_of(target).glob("case-*")).write_bytes(b"no part")
    assert "damaged" in check_study(target).problems[0]


def test_what_is_no_study_is_said(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        check_study(tmp_path / "a.h5")
    with h5py.File(tmp_path / "other.h5", "w") as file:
        file["x"] = 1
    with pytest.raises(InputError, match="no study's file"):
        check_study(tmp_path / "other.h5")
    (tmp_path / "empty").mkdir()
    with pytest.raises(InputError, match="nothing is in it"):
        check_study(tmp_path / "empty")


def test_a_later_version_is_refused(copy):
    with h5py.File(copy, "r+") as file:
        file.attrs["schema_version"] = 2
    with pytest.raises(InputError, match="reads up to 1"):
        check_study(copy)


def test_ranges_in_words():
    assert ranges_words(((0, 1), (4, 9))) == "0, 4-8"
    assert ranges_words(tuple((10 * k, 10 * k + 2) for k in range(7))).endswith("40-41, …")
