"""Bad input at the readers: every slip gives an InputError of a line or two, and nothing else ever."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from swingbeam.bench.kick_point import read_kick_point
from swingbeam.bench.torque import read_torque
from swingbeam.club.build import build_club, load_club
from swingbeam.club.head import head_from_file, load_head
from swingbeam.files.base import decode, parse_toml, read_toml
from swingbeam.files.head_file import HeadFile
from swingbeam.files.layup_file import LayupFile, SwappedLayupFile
from swingbeam.files.lookup import library_root
from swingbeam.files.scenario_file import ScenarioFile
from swingbeam.files.shaft_file import ShaftFile
from swingbeam.files.swing_file import SwingFile
from swingbeam.shaft.layup import layup_from_file, shaft_from_layup
from swingbeam.shaft.load import load_shaft
from swingbeam.shaft.shaft import shaft_from_file
from swingbeam.units import InputError

ROOT = library_root()
DRIVER = load_head(ROOT / "scenarios" / "heads" / "driver.toml")
SHAFT = load_shaft(ROOT / "shafts" / "wick-65-s.toml")


def read_shaft_text(text: str) -> None:
    shaft = shaft_from_file(parse_toml(text, ShaftFile, source="file.toml"))
    read_torque(shaft)
    read_kick_point(shaft)
    build_club(shaft, DRIVER, finished_length=1.1557)


def read_layup_text(text: str) -> None:
    shaft = shaft_from_layup(layup_from_file(parse_toml(text, LayupFile, source="file.toml")))
    read_torque(shaft)
    read_kick_point(shaft)
    build_club(shaft, DRIVER, finished_length=1.1557)


def read_swap_text(text: str) -> None:
    parse_toml(text, SwappedLayupFile, source="file.toml")


def read_head_text(text: str) -> None:
    build_club(SHAFT, head_from_file(parse_toml(text, HeadFile, source="file.toml")), butt_trim=0.04)


def read_scenario_text(text: str) -> None:
    record = parse_toml(text, ScenarioFile, source="file.toml")
    for parts in record.all_clubs()[:3]:
        load_club(parts)


def read_swing_text(text: str) -> None:
    parse_toml(text, SwingFile, source="file.toml")


READERS: dict[str, tuple[str, Callable[[str], None]]] = {
    "shafts/wick-65-s.toml": ("shaft", read_shaft_text),
    "shafts/ballast-115-s.toml": ("shaft", read_shaft_text),
    "layups/cairn-66-s.toml": ("layup", read_layup_text),
    "layups/cairn-66-s-bias.toml": ("layup", read_swap_text),
    "scenarios/heads/driver.toml": ("head", read_head_text),
    "scenarios/head_cg.toml": ("scenario", read_scenario_text),
    "swings/even.toml": ("swing", read_swing_text),
}
TEXTS = {name: (ROOT / name).read_text(encoding="utf-8") for name in READERS}


def replaced(name: str, old: str, new: str) -> str:
    assert old in TEXTS[name]
    return TEXTS[name].replace(old, new, 1)


WICK, STEEL, HEAD = "shafts/wick-65-s.toml", "shafts/ballast-115-s.toml", "scenarios/heads/driver.toml"
FITTING = "scenarios/head_cg.toml"

SLIPS = [
    # unknown key
    (WICK, "raw_length", "raw_lenght", 'raw_lenght: unknown key; allowed: name, maker'),
    (WICK, "raw_length", "raw_lenght", 'did you mean "raw_length"?'),
    (WICK, "twist =", "torsion =", "damping.torsion: unknown key; allowed: bend, twist"),
    (WICK, '{ at = "0 in", ei', '{ at = "0 in", EI', 'profile.stations #1.EI: unknown key; allowed: at, '
     'ei, gj, mass, diameter, step; did you mean "ei"?'),
    (HEAD, "rearward", "rear", "cg.rear: unknown key"),
    # missing unit
    (WICK, '"46 in"', "46", "raw_length: found 46, a bare number; a unit is needed"),
    (WICK, '"46 in"', '"46"', 'raw_length: found "46", a number without a unit'),
    (FITTING, '"45.5 in"', "45.5", "club.finished_length: found 45.5, a bare number"),
    # wrong dimension
    (WICK, '"46 in"', '"45 kg"', 'raw_length: found "45 kg", a mass; allowed: a length in'),
    (HEAD, '"200 g"', '"200 mm"', 'mass: found "200 mm", a length; allowed: a mass in'),
    # negative, zero, not finite, 1e400
    (WICK, '"46 in"', '"-46 in"', 'raw_length: found "-46 in"; allowed: a length of at least'),
    (WICK, '"65 g"', '"0 g"', 'mass: found "0 g"; allowed: a mass above 0'),
    (WICK, '"21.3 N*m^2"', '"-21.3 N*m^2"', "profile.stations #1.ei"),
    (WICK, '"21.3 N*m^2"', '"nan N*m^2"', "does not start with a number"),
    (WICK, '"21.3 N*m^2"', '"inf N*m^2"', "does not start with a number"),
    (WICK, '"21.3 N*m^2"', '"1e400 N*m^2"', "too large to be finite"),
    (WICK, '"21.3 N*m^2"', "nan", "found nan, a bare number"),
    (STEEL, "poisson = 0.29", "poisson = nan", "tube.poisson: found nan; allowed: a finite number"),
    (STEEL, "poisson = 0.29", "poisson = 1e400", "tube.poisson: found inf; allowed: a finite number"),
    (STEEL, "poisson = 0.29", "poisson = 0.5", "allowed: a number below 0.5"),
    # stations not increasing, not reaching the ends
    (WICK, 'at = "10 in"', 'at = "4 in"', "profile.stations #3.at: found 4 in after 5 in; allowed: "
     "distances that increase"),
    (WICK, 'at = "10 in"', 'at = "5 in"', "allowed: distances that increase"),
    (WICK, 'at = "46 in"', 'at = "45 in"', "allowed: the last is at the far end, raw_length 46 in"),
    (WICK, 'at = "46 in"', 'at = "47 in"', "allowed: the last is at the far end, raw_length 46 in"),
    (WICK, 'at = "0 in"', 'at = "1 in"', 'allowed: the first is at "0 in"'),
    (STEEL, 'at = "29.25 in"', 'at = "38.5 in"', "allowed: less than raw_length 38.5 in"),
    (STEEL, 'at = "11.75 in"', 'at = "9 in"', "tube.steps #3.at: found 9 in after 10 in"),
    (STEEL, 'wall = "0.565 mm"', 'wall = "5 mm"', "steps #1: found a wall of 5 mm"),
    # mass that does not fit the profile
    (WICK, 'mass = "65 g"', 'mass = "75 g"', "mass: found 75 g stated and 65"),
    # unphysical inertia
    (HEAD, '"4800 g*cm^2"', '"6000 g*cm^2"', "none larger than the sum of the other two"),
    (HEAD, '"4800 g*cm^2"', '"-4800 g*cm^2"', "allowed: positive"),
    # unreadable TOML
    (WICK, "[damping]", "[damping", "not readable as TOML"),
    (WICK, 'letter = "S"', 'letter = "S', "not readable as TOML"),
    (WICK, 'letter = "S"', 'letter = "S"\nletter = "R"', "not readable as TOML"),
    # unicode minus, decimal comma, compound quantity
    (HEAD, '"0 deg"', '"−5 deg"', 'face_angle: found "−5 deg"; the sign is "−" (U+2212)'),
    (FITTING, '"45.5 in"', '"45,5 in"', 'write a point, "45.5 in"'),
    (FITTING, '"45.5 in"', '"3 ft 9 in"', "sums are not read"),
    # a trim longer than the shaft, an impossible length
    (FITTING, 'finished_length = "45.5 in"', 'butt_trim = "50 in"',
     'club "mid kick": '
     "butt_trim: found 50.00 in off a shaft of 46.00 in"),
    (FITTING, 'grip_mass = "50 g"', 'tip_trim = "47 in"', "tip_trim: found 47.00 in off a shaft of 46.00 in"),
    (FITTING, '"45.5 in"', '"60 in"', "finished_length: found 60.00 in"),
    (FITTING, '"wick-65-s-low"', '"wick-65-s-lo"', 'did you mean "wick-65-s-low"?'),
]  # fmt: skip


@pytest.mark.parametrize(("name", "old", "new", "says"), SLIPS)
def test_each_slip_is_told_in_a_line_or_two(name: str, old: str, new: str, says: str) -> None:
    text = replaced(name, old, new)
    with pytest.raises(InputError) as caught:
        READERS[name][1](text)
    message = str(caught.value)
    assert says in message
    assert 1 <= len(message.splitlines()) <= 2
    assert len(message) < 500


@pytest.mark.parametrize("name", READERS)
def test_the_files_themselves_are_read(name: str) -> None:
    if name != STEEL:
        READERS[name][1](TEXTS[name])
    else:
        with pytest.raises(InputError, match="allowed: two of one kind"):
            READERS[name][1](TEXTS[name])


@pytest.mark.parametrize(("load", "name"), [(load_shaft, WICK), (load_head, HEAD)])
def test_messages_of_files_start_with_the_file(
    load: Callable[[Path], object], name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "thing.toml"
    for old, new in (('mass = "', 'mass = "x'), ("name =", "nam =")):
        path.write_text(replaced(name, old, new), encoding="utf-8")
        with pytest.raises(InputError, match=r"^thing\.toml: "):
            load(path)
    path.write_bytes(b"\xef\xbb\xbf" + TEXTS[name].encode())
    with pytest.raises(InputError, match=r"^thing\.toml: starts with a byte-order mark"):
        load(path)


def check_survives(read: Callable[[str], None], data: bytes | str) -> None:
    """Only InputError, of one or two lines, may come out."""
    message = "read"
    try:
        read(data if isinstance(data, str) else decode(data, "file.toml"))
    except InputError as error:
        message = str(error)
    assert 1 <= len(message.splitlines()) <= 2


NAMES = st.sampled_from(sorted(READERS))
MANY = settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?")
TOKEN = re.compile(r'"[^"\n]*"|[A-Za-z_][A-Za-z_0-9]*|[\[\]{}=,]|\d+(?:\.\d+)?')
ODD_NUMBERS = [
    "0", "-1", "1e400", "-1e400", "1e308", "1e-308", "1e-320", "nan", "inf", "-inf", "1,5", "−5", "1e",
    "0x1", "1_0", "00", "9" * 400, "1." + "3" * 400, "", " ", "1e5", "1e-5", "1e12", "1e-12", "2", "0.5",
    "100", "1000",
]  # fmt: skip
ODD_TOKENS = [
    '"45 kg"', '"1 in"', '"0 in"', "0", "-1", "nan", "inf", "true", "[]", "{}", '""', '"\\u0000"',
    "1979-05-27", "'x'", '"2 ft 3 in"', "[[", "]]", "=", "\n", "#", '"""', '"1e400 m"', '"NaN g"',
    "9" * 5000, '"…"', '"a\\nb"', "mass", "at",
]  # fmt: skip


@MANY
@given(NAMES, st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 255)), min_size=1, max_size=8))
def test_mutated_bytes(name: str, changes: list[tuple[int, int]]) -> None:
    data = bytearray(TEXTS[name].encode())
    for place, value in changes:
        data[place % len(data)] = value
    check_survives(READERS[name][1], bytes(data))


@MANY
@given(NAMES, st.integers(0, 10**6), st.integers(0, 200), st.binary(max_size=20))
def test_cut_and_spliced_bytes(name: str, place: int, length: int, inserted: bytes) -> None:
    data = TEXTS[name].encode()
    start = place % len(data)
    check_survives(READERS[name][1], data[:start] + inserted + data[start + length :])


@MANY
@given(NAMES, st.lists(st.tuples(st.integers(0, 10**6), st.sampled_from(ODD_NUMBERS)), min_size=1, max_size=4))
def test_mutated_numbers(name: str, changes: list[tuple[int, str]]) -> None:
    text = TEXTS[name]
    for place, value in changes:
        found = list(NUMBER.finditer(text))
        if found:
            at = found[place % len(found)]
            text = text[: at.start()] + value + text[at.end() :]
    check_survives(READERS[name][1], text)


@MANY
@given(NAMES, st.lists(st.tuples(st.integers(0, 10**6), st.floats(-1e6, 1e6)), min_size=1, max_size=4))
def test_numbers_drawn_freely(name: str, changes: list[tuple[int, float]]) -> None:
    text = TEXTS[name]
    for place, value in changes:
        found = list(NUMBER.finditer(text))
        at = found[place % len(found)]
        text = text[: at.start()] + repr(value) + text[at.end() :]
    check_survives(READERS[name][1], text)


@MANY
@given(NAMES, st.lists(st.tuples(st.integers(0, 10**6), st.sampled_from(ODD_TOKENS)), min_size=1, max_size=4))
def test_mutated_tokens(name: str, changes: list[tuple[int, str]]) -> None:
    text = TEXTS[name]
    for place, value in changes:
        found = list(TOKEN.finditer(text))
        if found:
            at = found[place % len(found)]
            text = text[: at.start()] + value + text[at.end() :]
    check_survives(READERS[name][1], text)


@MANY
@given(NAMES, st.lists(st.integers(0, 10**6), min_size=1, max_size=3), st.randoms(use_true_random=False))
def test_lines_dropped_doubled_and_swapped(name: str, places: list[int], random: object) -> None:
    lines = TEXTS[name].splitlines()
    for place in places:
        at = place % len(lines)
        lines = lines[:at] + lines[at + 1 :] if place % 3 else lines[: at + 1] + lines[at:]
        if not lines:
            lines = [""]
    random.shuffle(lines) if places[0] % 5 == 0 else None  # type: ignore[attr-defined]
    check_survives(READERS[name][1], "\n".join(lines))


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=200), st.sampled_from([ShaftFile, HeadFile, ScenarioFile, SwingFile]))
def test_any_text(text: str, model: type) -> None:
    check_survives(lambda t: parse_toml(t, model, source="file.toml") and None, text)


def test_a_file_given_for_another_kind(tmp_path: Path) -> None:
    for name, model in ((WICK, HeadFile), (HEAD, ScenarioFile), (FITTING, ShaftFile)):
        with pytest.raises(InputError, match=r"found a \w+ file; allowed: a file with the keys"):
            read_toml(ROOT / name, model)
