"""Bad recordings: every slip gives an InputError of a line or two that says what to write, and nothing else ever."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from swing.recordings import (
    CLUB,
    MARKER_HEAD,
    POSE_HEAD,
    TEMPLATE,
    declaration,
    frame_times,
    marker_recording,
    marker_rows,
    pose_recording,
    pose_rows,
    write_csv,
    write_declaration,
)
from swingbeam.files.recorded_swing_file import RecordedSwingFile
from swingbeam.study.record import record_swing
from swingbeam.swing import load_swing
from swingbeam.units import InputError

T = frame_times(240.0)


def refused(path: Path, words: str, **options: Any) -> str:
    """The message; it must hold `words`, be short, and come as an InputError."""
    with pytest.raises(InputError) as caught:
        record_swing(path, draws=2, **options)
    message = str(caught.value)
    assert words in message, message
    assert message.count("\n") <= 1
    assert all(len(line) < 520 for line in message.splitlines()), message
    return message


def body(**changes: Any) -> dict[str, Any]:
    return {"shaft_axis": "+x", "face_axis": "+y", "origin": ["0 mm", "0 mm", "0 mm"], **changes}


AXES = {"up": "+z", "target": "+x", "handedness": "right"}
DECLARATIONS: list[tuple[str, dict[str, Any], str]] = [
    ("no golfer", {"handed": None}, 'handed: missing key; needed: the golfer: "right" or "left"'),
    ("no ball_struck", {"ball_struck": None}, "ball_struck: missing key; needed: true if a ball was struck"),
    ("no axes", {"axes": None}, "axes: missing key"),
    ("no up", {"axes": {k: v for k, v in AXES.items() if k != "up"}}, "axes.up: missing key; needed: the data axis"),
    ("no handedness", {"axes": {k: v for k, v in AXES.items() if k != "handedness"}}, "axes.handedness: missing key"),
    ("up is target", {"axes": {**AXES, "target": "-z"}}, "allowed: two different axes"),
    ("axis without sign", {"axes": {**AXES, "up": "z"}}, 'axes.up: found "z"; allowed: "+x"'),
    ("no impact", {"impact": None}, 'found neither of impact and [ball]; allowed: impact = "1.234 s"'),
    ("impact bare", {"impact": 1.5}, "a unit is needed"),
    ("impact twice", {"ball": {"centre": ["0 m", "0 m", "0 m"]}}, "found both of impact and [ball]"),
    ("no club", {"reference_club": None}, "reference_club: missing key; needed: the club that was held"),
    ("club without head", {"reference_club": {"shaft": "wick-65-s", "finished_length": "45 in"}}, "no head"),
    ("unknown shaft", {"reference_club": {**CLUB, "shaft": "wick-65-z"}}, "did you mean"),
    ("no data", {"data": "other.csv"}, "no such file"),
    ("unknown key", {"smoothin": {}}, 'did you mean "smoothing"'),
    ("one cut-off", {"smoothing": {"position": "20 Hz"}}, "found one of position and rotation"),
    ("cut-off too high", {"smoothing": {"position": "150 Hz", "rotation": "20 Hz"}}, "45 % of the frame rate"),
    ("no template", {"markers": None}, "found none; allowed: one of [quaternion], [matrix], [euler] and [[markers]]"),
    ("template and body", {"body": body()}, "body: found with markers"),
    ("late impact", {"impact": "1.7 s"}, "allowed: frames up to impact"),
    ("early impact", {"impact": "0.2 s"}, "allowed: frames from the top of the swing on"),
    ("impact in the backswing", {"impact": "0.9 s"}, "at impact"),
    ("impact in the downswing", {"impact": "1.35 s"}, "off the target line"),
    ("wrong target", {"axes": {**AXES, "target": "-x"}}, "check axes.target"),
    ("wrong up", {"axes": {"up": "-z", "target": "+x", "handedness": "right"}}, "check axes.up"),
    ("wrong golfer", {"handed": "left"}, "handed"),
    ("wrong axes", {"axes": {**AXES, "handedness": "left"}}, "mirror image"),
    ("no unit known", {"units": {"length": "furlong"}}, 'units: length: found "furlong"; allowed: mm'),
    ("two units", {"units": {"length": "mm"}}, "the header says m, and mm is declared"),
    ("asked for nothing", {"delivery": {}}, "found neither face_angle nor path"),
]


@pytest.mark.parametrize(("changes", "words"), [d[1:] for d in DECLARATIONS], ids=[d[0] for d in DECLARATIONS])
def test_declarations(tmp_path: Path, changes: dict[str, Any], words: str) -> None:
    refused(marker_recording(tmp_path, 240.0, **changes), words)


POSE_DECLARATIONS: list[tuple[str, dict[str, Any], str]] = [
    ("no body", {"body": None}, "body: missing key; needed with [quaternion]: a table with shaft_axis"),
    ("no position", {"position": None}, "position: missing key"),
    ("axes alike", {"body": body(face_axis="-x")}, "found shaft_axis and face_axis along one axis"),
    ("two kinds", {"matrix": {"columns": list("abcdefghi"), "turns": "body to data"}}, "found quaternion and matrix"),
    ("no order", {"quaternion": {"columns": POSE_HEAD[4:], "turns": "body to data"}}, "quaternion.order: missing key"),
    ("no sense", {"quaternion": {"columns": POSE_HEAD[4:], "order": "scalar first"}}, "quaternion.turns: missing key"),
    ("other column", {"position": {"columns": ["x", "y", "zed"]}}, 'no column "zed"'),
    ("c3d", {"data": "data.c3d"}, "allowed: [[markers]], which is what C3D holds"),
    ("inverse", {"quaternion": {"columns": POSE_HEAD[4:], "order": "scalar first", "turns": "data to body"}}, "check"),
    ("face the wrong way", {"body": body(face_axis="-y")}, "check body.face_axis"),
    ("shaft the wrong way", {"body": body(shaft_axis="-x")}, "check"),
    ("order of angles", {"quaternion": None, "euler": {
        "columns": ["qx", "qy", "qz"], "order": "zzy", "about": "moving axes", "turns": "body to data"}}, '"zzy"'),
]  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "words"), [d[1:] for d in POSE_DECLARATIONS], ids=[d[0] for d in POSE_DECLARATIONS]
)
def test_declarations_of_poses(tmp_path: Path, changes: dict[str, Any], words: str) -> None:
    refused(pose_recording(tmp_path, pose_rows(T), **changes), words)


def poses_with(
    change: Callable[[np.ndarray], np.ndarray | None], head: list[str] | None = None
) -> Callable[[Path], Path]:
    """A recording of poses whose rows are changed."""

    def write(folder: Path) -> Path:
        rows = pose_rows(T)
        changed = change(rows)
        return pose_recording(folder, rows if changed is None else changed, head or POSE_HEAD)

    return write


def put(rows: np.ndarray, where: Any, columns: Any, value: Any) -> None:
    rows[where, columns] = value


def euler_in(unit: str, values: np.ndarray) -> Callable[[Path], Path]:
    def write(folder: Path) -> Path:
        rows = np.column_stack([pose_rows(T)[:, :4], values])
        write_csv(folder / "data.csv", [*POSE_HEAD[:4], *(f"{n} ({unit})" for n in "abc")], rows)
        euler = {"columns": list("abc"), "order": "zyx", "about": "moving axes", "turns": "body to data"}
        return write_declaration(folder / "recording.toml", declaration("euler", euler=euler))

    return write


def matrix_of(change: Callable[[np.ndarray], np.ndarray]) -> Callable[[Path], Path]:
    def write(folder: Path) -> Path:
        from swing.recordings import true_poses

        rows = np.column_stack([pose_rows(T)[:, :4], change(true_poses(T)[1]).reshape(-1, 9)])
        names = [f"r{i}" for i in range(9)]
        write_csv(folder / "data.csv", [*POSE_HEAD[:4], *names], rows)
        table = declaration("matrix", matrix={"columns": names, "turns": "body to data"})
        return write_declaration(folder / "recording.toml", table)

    return write


BEFORE = np.searchsorted(T, -0.03)
DATA: list[tuple[str, Callable[[Path], Path], str]] = [
    ("mm as m", poses_with(lambda r: put(r, slice(None), slice(1, 4), 1e3 * r[:, 1:4])), "mm read as m?"),
    (
        "m as mm",
        poses_with(lambda r: None, ["time (s)", "x (mm)", "y (mm)", "z (mm)", *POSE_HEAD[4:]]),
        "m read as mm?",
    ),
    ("inches as m", poses_with(lambda r: put(r, slice(None), slice(1, 4), r[:, 1:4] / 0.0254)), "cm or in read as m?"),
    ("ms as s", poses_with(lambda r: put(r, slice(None), 0, 1e3 * r[:, 0])), "if the time column were in ms"),
    ("s as ms", poses_with(lambda r: None, ["time (ms)", *POSE_HEAD[1:]]), "if the time column were in s"),
    ("no unit", poses_with(lambda r: None, ["time", *POSE_HEAD[1:]]), 'column "time" has no unit'),
    ("unit of another kind", poses_with(lambda r: None, ["time (mm)", *POSE_HEAD[1:]]), 'unit "mm"; allowed: s, ms'),
    ("reversal", poses_with(lambda r: put(r, [100, 101], 0, r[[101, 100], 0])), "time runs backward"),
    ("two at a time", poses_with(lambda r: put(r, 101, 0, r[100, 0])), "two different frames at"),
    ("no stamp", poses_with(lambda r: put(r, 7, 0, np.nan)), "frame 8 has no time stamp"),
    ("few frames", poses_with(lambda r: r[:6]), "at least 8"),
    ("gap at impact", poses_with(lambda r: put(r, BEFORE, 1, np.nan)), "none missing in the last 50 ms before impact"),
    ("zeros at impact", poses_with(lambda r: put(r, BEFORE, slice(1, 4), 0.0)), "none missing in the last 50 ms"),
    ("dropped frames", poses_with(lambda r: np.delete(r, np.s_[BEFORE - 40 : BEFORE - 30], axis=0)), "up to 25 ms"),
    ("long early gap", poses_with(lambda r: put(r, slice(60, 100), 2, np.nan)), "up to 100 ms"),
    ("nothing known", poses_with(lambda r: put(r, slice(None), 2, np.nan)), "found 0 usable frames"),
    ("still", poses_with(lambda r: put(r, slice(None), slice(1, 4), r[0, 1:4])), "the hands travel 0 m"),
    (
        "no turning",
        poses_with(lambda r: put(r, slice(None), slice(4, 8), r[0, 4:8])),
        "the shaft turns by no more than",
    ),
    ("not of length 1", poses_with(lambda r: put(r, 50, slice(4, 8), 1.5 * r[50, 4:8])), "quaternion of length 1.5"),
    ("deg as rad", euler_in("rad", 57.3 * np.outer(np.linspace(0, 3, T.size), [1.0, 0.1, 0.1])), "looks like deg"),
    ("rad as deg", euler_in("deg", np.outer(np.linspace(0, 3, T.size), [1.0, 0.1, 0.1])), "angles in rad read as deg"),
    ("no rotation", matrix_of(lambda m: 1.1 * m), "a matrix that is no rotation"),
    ("mirrored", matrix_of(lambda m: m * [1.0, 1.0, -1.0]), "the rotation matrices mirror"),
    ("jumble", matrix_of(lambda m: m[np.random.default_rng(1).permutation(T.size)]), "one smooth motion"),
]


@pytest.mark.parametrize(("write", "words"), [d[1:] for d in DATA], ids=[d[0] for d in DATA])
def test_data(tmp_path: Path, write: Callable[[Path], Path], words: str) -> None:
    refused(write(tmp_path), words)


def test_millimetres_in_markers_are_named_too(tmp_path: Path) -> None:
    rows = marker_rows(T)
    rows[:, 1:] *= 1e3
    refused(marker_recording(tmp_path, 240.0, rows=rows), "millimetres read as metres give 1000")


def test_markers_that_are_missing_or_do_not_fit(tmp_path: Path) -> None:
    template = [{"name": n, "position": [f"{x} m" for x in p]} for n, p in TEMPLATE.items()]
    refused(marker_recording(tmp_path, 240.0, markers=template[:2]), "found 2; allowed: at least three")
    refused(marker_recording(tmp_path, 240.0, markers=[*template, template[0]]), 'found two called "A"')
    other = [{"name": "E", "position": ["0 m", "0 m", "0 m"]}, *template[1:]]
    refused(marker_recording(tmp_path, 240.0, markers=other), 'no column "E x"')
    off = [template[0], template[1], template[2], {"name": "D", "position": ["120 mm", "30 mm", "-60 mm"]}]
    refused(marker_recording(tmp_path, 240.0, markers=off), "miss the template by")


def test_spreadsheet_faults(tmp_path: Path) -> None:
    path = pose_recording(tmp_path, pose_rows(T))
    data = tmp_path / "data.csv"
    text = data.read_text()
    data.write_text(text.replace(",", ";"))
    refused(path, "separated by semicolons")
    data.write_text(text.replace(",", ";").replace(".", ","))
    refused(path, "allowed: ")
    data.write_bytes(text.encode("utf-16"))
    refused(path, "UTF-16")
    data.write_text("\ufeff" + text, encoding="utf-8")
    assert record_swing(path, draws=2).plan.t.size > 100


def test_c3d_without_its_library_says_how_to_install_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ezc3d", None)
    (tmp_path / "data.c3d").write_bytes(b"x")
    path = write_declaration(tmp_path / "recording.toml", declaration(data="data.c3d"))
    refused(path, 'pip install "swingbeam[c3d]"')


def test_c3d_that_is_none(tmp_path: Path) -> None:
    pytest.importorskip("ezc3d")
    path = write_declaration(tmp_path / "recording.toml", declaration(data="data.c3d"))
    refused(path, "no such file")
    (tmp_path / "data.c3d").write_bytes(b"not a recording" * 100)
    refused(path, "not readable as C3D")


SWING = """
name = "n"
note = "n"
driven_by = "recording"
handed = "right"
[reference_club]
shaft = "wick-65-s"
head = "driver"
finished_length = "45.5 in"
[source]
data = "d"
sha256 = "0"
made_by = "m"
cutoff = "c"
[poses]
columns = ["time (s)", "x (m)", "y (m)", "z (m)", "q0", "qx", "qy", "qz"]
"""


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("[]", "at least 50"),
        ("[[0, 0, 0, 1, 1, 0, 0]]", "rows"),
        (str([[-0.3 + 0.005 * i, 0, 0, 1, 1, 0, 0, 0] for i in range(50)]), "0.02 s after impact or later"),
        (str([[-0.3 + 0.01 * i, 0, 0, 1, 2, 0, 0, 0] for i in range(50)]), "not of length 1"),
        (str([[0.3 - 0.01 * i, 0, 0, 1, 1, 0, 0, 0] for i in range(50)]), "do not increase"),
        (str([[-0.3 + 0.01 * i, 0, 0, 1000.0, 1, 0, 0, 0] for i in range(50)]), "more than 100 m away"),
        ("[1, 2]", "allowed: a list"),
    ],
)
def test_files_of_recorded_swings(tmp_path: Path, rows: str, words: str) -> None:
    path = tmp_path / "swing.toml"
    path.write_text(f"{SWING}rows = {rows}\n")
    with pytest.raises(InputError, match=words):
        load_swing(path)


def test_the_record_of_a_swing_file_is_frozen() -> None:
    assert RecordedSwingFile.model_config["frozen"]
    assert MARKER_HEAD[0] == "time (s)"
