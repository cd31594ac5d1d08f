"""Every starter file, and recordings, spreadsheets and results, mutated: an InputError of a line or two, or sound."""

from __future__ import annotations

import random
import subprocess
import sys
import tempfile
import warnings
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from faults.test_readers import NUMBER, ODD_NUMBERS, ODD_TOKENS, TOKEN
from study.made_up import ranking
from swing.recordings import declaration, frame_times, pose_recording, pose_rows, write_declaration
from swingbeam.bench.benches import load_bench
from swingbeam.bench.readings import load_readings
from swingbeam.club.head import load_head
from swingbeam.files.base import load_toml, read_toml
from swingbeam.files.customer_file import read_customer
from swingbeam.files.file_kinds import telling_kind
from swingbeam.files.lookup import WORKSPACE_FOLDERS, library_root
from swingbeam.files.recording_file import RecordingFile
from swingbeam.files.scenario_file import ScenarioFile
from swingbeam.files.study_file import read_study_file
from swingbeam.shaft.load import load_shaft
from swingbeam.study.read_ranking import read_ranking
from swingbeam.study.store import write_ranking
from swingbeam.swing import load_swing
from swingbeam.swing.recorded_checks import check_units
from swingbeam.swing.recorded_poses import load_recording
from swingbeam.units import InputError

ROOT = library_root()
FILES = sorted(path for folder in WORKSPACE_FOLDERS for path in (ROOT / folder).rglob("*.toml"))
READERS: dict[str, Callable[[Path], object]] = {
    "shaft": load_shaft,
    "layup": load_shaft,
    "head": load_head,
    "swing": load_swing,
    "scenario": lambda path: read_toml(path, ScenarioFile),
    "study": read_study_file,
    "customer": read_customer,
    "bench": load_bench,
    "readings": load_readings,
    "recording": lambda path: read_toml(path, RecordingFile),
}
"""Kind of file → what reads it; what is solved for afterwards has tests of its own."""
ANY = st.integers(0, 10**9)
SOME = settings(
    max_examples=200,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)


@cache
def text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8")


@cache
def reader_of(path: Path) -> Callable[[Path], object]:
    return READERS[telling_kind(load_toml(text_of(path))) or "swing"]


def survives(read: Callable[[], object]) -> None:
    """An InputError of one or two printable lines, or none."""
    message = ""
    try:
        with warnings.catch_warnings():
            # What is doubtful is read with a warning; a numerical one stays an error.
            warnings.simplefilter("ignore", UserWarning)
            read()
    except InputError as error:
        message = str(error)
        assert message
    assert len(message.splitlines()) <= 2, message
    assert all(line.isprintable() and len(line) < 700 for line in message.splitlines()), message


def read_changed(path: Path, data: bytes | str, folder: Path) -> None:
    changed = folder / path.name
    changed.write_bytes(data.encode() if isinstance(data, str) else data)
    survives(lambda: reader_of(path)(changed))


@pytest.mark.parametrize("path", FILES, ids=[str(path.relative_to(ROOT)) for path in FILES])
def test_every_starter_file_is_read_as_it_is(path: Path) -> None:
    reader_of(path)(path)


@SOME
@given(which=ANY, places=st.lists(st.tuples(ANY, st.sampled_from(ODD_NUMBERS)), min_size=1, max_size=3))
def test_odd_numbers(tmp_path: Path, which: int, places: list[tuple[int, str]]) -> None:
    path = FILES[which % len(FILES)]
    text = text_of(path)
    for place, number in places:
        if found := list(NUMBER.finditer(text)):
            at = found[place % len(found)]
            text = text[: at.start()] + number + text[at.end() :]
    read_changed(path, text, tmp_path)


@SOME
@given(which=ANY, places=st.lists(st.tuples(ANY, st.sampled_from(ODD_TOKENS)), min_size=1, max_size=3))
def test_odd_words(tmp_path: Path, which: int, places: list[tuple[int, str]]) -> None:
    path = FILES[which % len(FILES)]
    text = text_of(path)
    for place, word in places:
        if found := list(TOKEN.finditer(text)):
            at = found[place % len(found)]
            text = text[: at.start()] + word + text[at.end() :]
    read_changed(path, text, tmp_path)


@SOME
@given(which=ANY, place=ANY, cut=st.integers(0, 80), new=st.binary(max_size=12))
def test_bytes_cut_and_spliced(tmp_path: Path, which: int, place: int, cut: int, new: bytes) -> None:
    path = FILES[which % len(FILES)]
    data = text_of(path).encode()
    start = place % len(data)
    read_changed(path, data[:start] + new + data[start + cut :], tmp_path)


@SOME
@given(which=ANY, other=ANY, place=ANY)
def test_the_head_of_one_file_and_the_tail_of_another(tmp_path: Path, which: int, other: int, place: int) -> None:
    path = FILES[which % len(FILES)]
    lines, tail = text_of(path).splitlines(), text_of(FILES[other % len(FILES)]).splitlines()
    at = place % len(lines)
    read_changed(path, "\n".join([*lines[:at], *tail[at:]]), tmp_path)


@cache
def recording_text() -> str:
    folder = Path(tempfile.mkdtemp())
    pose_recording(folder, pose_rows(frame_times(240.0)))
    return (folder / "data.csv").read_text()


@settings(SOME, max_examples=30)
@given(
    places=st.lists(st.tuples(ANY, st.sampled_from([*ODD_NUMBERS, ",", "\n", ";", "x"])), min_size=1, max_size=3),
    cut=st.floats(0.0, 1.0),
)
def test_recordings_with_odd_cells(tmp_path: Path, places: list[tuple[int, str]], cut: float) -> None:
    text = recording_text()
    if cut < 0.3:
        text = text[: int(cut / 0.3 * len(text))]
    for place, value in places:
        if found := list(NUMBER.finditer(text)):
            at = found[place % len(found)]
            text = text[: at.start()] + value + text[at.end() :]
    (tmp_path / "data.csv").write_text(text)
    path = write_declaration(tmp_path / "recording.toml", declaration(data="data.csv"))
    survives(lambda: check_units((found := load_recording(path)).poses, found.record.impact, found.data))


def c3d_bytes(folder: Path) -> bytes:
    """A small C3D file of three markers."""
    ezc3d = pytest.importorskip("ezc3d")
    file = ezc3d.c3d()
    file["parameters"]["POINT"]["RATE"]["value"] = [240.0]
    file["parameters"]["POINT"]["UNITS"]["value"] = ["mm"]
    file["parameters"]["POINT"]["LABELS"]["value"] = ["A", "B", "C"]
    points = np.ones((4, 3, 120))
    points[:3] = np.random.default_rng(0).normal(0.0, 300.0, (3, 3, 120))
    file["data"]["points"] = points
    path = folder / "sound.c3d"
    file.write(str(path))
    return path.read_bytes()


READ_C3D = """
import sys
from pathlib import Path
from swingbeam.files.c3d_file import read_c3d
from swingbeam.beam.errors import InputError
for path in sorted(Path(sys.argv[1]).glob("bad-*.c3d")):
    try:
        read_c3d(path)
        print("read")
    except InputError as error:
        assert len(str(error).splitlines()) <= 2
        print("refused")
"""


def test_c3d_files_with_flipped_bits_and_cut_short(tmp_path: Path) -> None:
    data, dice = c3d_bytes(tmp_path), random.Random(3)
    for number in range(60):
        changed = bytearray(data)
        if number % 3 == 0:
            changed = changed[: dice.randrange(len(changed))]
        else:
            # The header and the parameters: what follows is numbers, and any bits are some.
            for _ in range(dice.randrange(1, 5)):
                changed[dice.randrange(min(len(changed), 1600))] ^= 1 << dice.randrange(8)
        (tmp_path / f"bad-{number:02d}.c3d").write_bytes(changed)
    # In a process of its own: the library that reads them is not ours.
    answer = subprocess.run(
        [sys.executable, "-c", READ_C3D, str(tmp_path)], capture_output=True, text=True, timeout=120
    )
    assert answer.returncode == 0, answer.stderr
    assert len(answer.stdout.split()) == 60
    assert answer.stdout.count("refused") >= 10


@cache
def ranking_bytes() -> bytes:
    folder = Path(tempfile.mkdtemp())
    return write_ranking(ranking(), folder / "ranking.h5").read_bytes()


@settings(SOME, max_examples=150)
@given(flips=st.lists(st.tuples(ANY, st.integers(0, 7)), max_size=8), cut=st.floats(0.0, 1.0))
def test_results_with_flipped_bits_and_cut_short(tmp_path: Path, flips: list[tuple[int, int]], cut: float) -> None:
    data = bytearray(ranking_bytes())
    for place, bit in flips:
        data[place % len(data)] ^= 1 << bit
    if cut < 0.3:
        data = data[: int(cut / 0.3 * len(data))]
    path = tmp_path / "ranking.h5"
    path.write_bytes(data)
    survives(lambda: read_ranking(path))


def test_fifty_mutated_files_through_the_real_command(tmp_path: Path) -> None:
    """One process reads them all as `check` does, each through the command's own entry."""
    dice = random.Random(7)
    quick = [path for path in FILES if reader_of(path) in (load_shaft, load_head)]
    for number in range(50):
        path = quick[dice.randrange(len(quick))]
        text = text_of(path)
        found = list(TOKEN.finditer(text))
        at = found[dice.randrange(len(found))]
        text = text[: at.start()] + dice.choice(ODD_TOKENS) + text[at.end() :]
        (tmp_path / f"bad-{number:02d}.toml").write_text(text, encoding="utf-8")
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    codes = []
    for number in range(50):
        answer = subprocess.run(
            [sys.executable, "-m", "swingbeam.cli", "check", f"bad-{number:02d}.toml"],
            cwd=tmp_path,
            capture_output=True,
            text=True,
            timeout=120,
        )
        codes.append(answer.returncode)
        assert answer.returncode in (0, 2), answer.stderr
        assert "Traceback" not in answer.stderr
        if answer.returncode == 2:
            assert answer.stdout == ""
            assert f"bad-{number:02d}.toml" in answer.stderr
            assert len(answer.stderr.strip().splitlines()) <= 2
    assert codes.count(2) >= 25
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before
