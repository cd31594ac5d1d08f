"""Bad customers' files, shots and spreads: every slip is told in a line or two, and nothing is written."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from swingbeam.beam import InputError
from swingbeam.cli import app
from swingbeam.files.base import parse_toml
from swingbeam.files.customer_file import read_customer
from swingbeam.files.lookup import library_root
from swingbeam.files.swing_file import SwingFile
from swingbeam.study.match import check_customer
from swingbeam.swing.archetype import load_swing, swing_from_file

TEXT = (library_root() / "scenarios/customers/first_customer.toml").read_text(encoding="utf-8")
SPEED = 'head_speed = { value = "43.2 m/s", spread = "0.5 m/s" }'

SLIPS = [
    ("archetype = ", "archetpye = ", 'archetpye: unknown key; allowed: name, note, archetype'),
    ("archetype = ", "archetpye = ", 'did you mean "archetype"?'),
    ('archetype = "even"\n', "", "archetype: missing key; needed: name or path of the swing to start from"),
    ('"even"', '"evn"', 'no swing of that name'),
    ('"right"', '"both"', 'handed: found "both"; allowed: "right", "left"'),
    ('"1.80 m"', "1.80", "stature: found 1.8, a bare number; a unit is needed"),
    ('"1.80 m"', '"180 mm"', "stature: found"),
    ('stature = "1.80 m"', 'stature = "1.80 m"\nwrist_to_floor = "88 cm"', "found stature and wrist_to_floor"),
    ("shots = 12", "shots = 0", "shots: found 0; allowed: a number of at least 1"),
    ("shots = 12", "shots = 2.5", "shots: found 2.5; allowed: a whole number"),
    (SPEED, 'headspeed = "43 m/s"', 'figures.headspeed: unknown key'),
    (SPEED, 'head_speed = { value = "43.2 m/s", sprad = "0.5 m/s" }', 'did you mean "spread"?'),
    (SPEED, 'head_speed = { spread = "0.5 m/s" }', "figures.head_speed.value: missing key"),
    (SPEED, "head_speed = 43.2", "figures.head_speed: found 43.2, a bare number; a unit is needed"),
    (SPEED, 'head_speed = "43,2 m/s"', "a decimal comma is not read"),
    (SPEED, 'head_speed = "43.2 deg"', "figures.head_speed: found \"43.2 deg\", an angle; allowed: a speed"),
    (SPEED, 'head_speed = "143 m/s"', "allowed: a speed of at most 80"),
    (SPEED, 'head_speed = { value = "43.2 m/s", spread = "0 m/s" }', "figures.head_speed.spread: found"),
    (SPEED, 'head_speed = { value = "43.2 m/s", shots = 1.5 }', "figures.head_speed.shots: found 1.5"),
    (SPEED, 'head_speed = ["43.2 m/s"]', "figures.head_speed: found a list"),
    ("{ value = 3.3, spread = 0.1 }", '"3.3"', "figures.tempo: found"),
    ("{ value = 3.3, spread = 0.1 }", "33", "figures.tempo: found 33; allowed: a number of at most 8"),
    ('finished_length = "45.5 in"', "", "club: no length; allowed: finished_length"),
    ('shaft = "marl-60-r"', "", "club: no shaft"),
    ('"marl-60-r"', '"marl-60-z"', 'did you mean "marl-60-r"?'),
    ("shots = 12", 'shots = 12\nshots_file = "nowhere.csv"', "nowhere.csv: no such file"),
]  # fmt: skip


def changed(tmp_path: Path, old: str, new: str) -> Path:
    assert old in TEXT
    path = tmp_path / "customer.toml"
    path.write_text(TEXT.replace(old, new, 1), encoding="utf-8")
    return path


@pytest.mark.parametrize(("old", "new", "says"), SLIPS)
def test_each_slip_is_told_in_a_line_or_two(tmp_path: Path, old: str, new: str, says: str) -> None:
    path = changed(tmp_path, old, new)
    with pytest.raises(InputError) as caught:
        check_customer(path)
    message = str(caught.value)
    assert says in message
    assert "customer.toml" in message or "nowhere.csv" in message
    assert len(message.splitlines()) <= 2


def test_a_customer_without_figures_is_refused(tmp_path: Path) -> None:
    head, tail = TEXT.split("[figures]")
    path = tmp_path / "customer.toml"
    path.write_text(head + "[club]" + tail.split("[club]")[1], encoding="utf-8")
    with pytest.raises(InputError, match="figures: found none of the swing; allowed: any of head_speed, attack"):
        check_customer(path)


def test_the_starter_customer_is_sound() -> None:
    path = library_root() / "scenarios/customers/first_customer.toml"
    assert "6 figures with marl-60-r, to start from Even tempo" in check_customer(path)
    assert "Invented" in TEXT


def shots(tmp_path: Path, text: str) -> Path:
    """A customer whose figures are in a file of shots with this text."""
    (tmp_path / "shots.csv").write_text(text, encoding="utf-8")
    head, tail = TEXT.split("[figures]")
    own = head.replace("shots = 12", 'shots_file = "shots.csv"') + "[club]" + tail.split("[club]")[1]
    path = tmp_path / "customer.toml"
    path.write_text(own, encoding="utf-8")
    return path


def test_shots_give_mean_spread_and_count(tmp_path: Path) -> None:
    text = "shot,head_speed (km/h),path (deg),tempo\n1,158.4,-1.0,3.2\n2,162.0,0.5,3.4\n3,165.6,,3.3\n"
    _, figures = read_customer(shots(tmp_path, text))
    # 44, 45 and 46 m/s: mean 45, standard deviation with n − 1: 1. The third path is not known.
    assert figures["head_speed"].value == pytest.approx(45.0, rel=1e-12)
    assert figures["head_speed"].spread == pytest.approx(1.0, rel=1e-12)
    assert figures["head_speed"].shots == 3
    assert figures["path"].shots == 2
    assert figures["tempo"].value == pytest.approx(3.3, rel=1e-12)


CSV_SLIPS = [
    ("head_sped (m/s)\n44\n", 'column "head_sped" is not known; allowed: shot, head_speed'),
    ("head_sped (m/s)\n44\n", 'did you mean "head_speed"?'),
    ("head_speed\n44\n", "has no unit"),
    ("head_speed (deg)\n44\n", "found the unit"),
    ("head_speed (m/s)\n440\n", "line 2: head_speed is out of all proportion"),
    ("head_speed (m/s)\n44,5\n", "customer"),
    ("head_speed (m/s),path (deg)\n,1\n", "holds no number"),
]


@pytest.mark.parametrize(("text", "says"), CSV_SLIPS)
def test_each_slip_in_the_shots_is_told(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        read_customer(shots(tmp_path, text))
    message = str(caught.value)
    assert (says in message) or (says == "customer" and "shots.csv" in message)
    assert len(message.splitlines()) <= 2


def test_a_figure_stated_twice_is_refused(tmp_path: Path) -> None:
    (tmp_path / "shots.csv").write_text("head_speed (m/s)\n44\n45\n", encoding="utf-8")
    path = changed(tmp_path, "shots = 12", 'shots = 12\nshots_file = "shots.csv"')
    with pytest.raises(InputError, match=r"figures\.head_speed: found here and in shots\.csv"):
        read_customer(path)


def test_a_recorded_or_torque_swing_is_refused_as_archetype(tmp_path: Path) -> None:
    text = (library_root() / "swings/even.toml").read_text(encoding="utf-8")
    (tmp_path / "swing.toml").write_text('driven_by = "torque"\n' + text, encoding="utf-8")
    with pytest.raises(InputError):
        check_customer(changed(tmp_path, '"even"', '"swing.toml"'))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.integers(0, len(TEXT) - 1), new=st.sampled_from(['"', "[", "=", "-", "\x00", "9", "x", "\n", "{", "−"]))
def test_a_slip_of_the_pen_never_gives_another_error(tmp_path: Path, at: int, new: str) -> None:
    path = tmp_path / "customer.toml"
    path.write_text(TEXT[:at] + new + TEXT[at + 1 :], encoding="utf-8")
    error = None
    try:
        read_customer(path)
    except InputError as caught:
        error = caught
    assert error is None or 1 <= len(str(error).splitlines()) <= 2


def test_match_of_a_missing_customer_is_a_line_and_writes_nothing(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(app, ["match", "first_custome"])
    assert result.exit_code == 2
    assert 'did you mean "first_customer"?' in result.stderr
    assert len(result.stderr.splitlines()) <= 2
    assert not list(tmp_path.iterdir())


def test_match_overwrites_nothing_and_wants_a_toml(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.toml").write_text("kept", encoding="utf-8")
    for name, words in (("mine.toml", "exists already"), ("mine.h5", "ends in .toml")):
        result = CliRunner().invoke(app, ["match", "first_customer", "--output", name])
        assert result.exit_code == 2
        assert words in result.stderr
    assert (tmp_path / "mine.toml").read_text(encoding="utf-8") == "kept"


SPREAD = """
[spread]
parameters = [
    { key = "arms.radius", deviation = "2 cm", correlations = [] },
    { key = "wrists.couple_at_impact", deviation = "5 N*m", correlations = [0.25] },
]
[spread.shots]
path = "1.2 deg"
"""
EVEN = (library_root() / "swings/even.toml").read_text(encoding="utf-8")


def test_a_spread_is_read() -> None:
    spread = swing_from_file(parse_toml(EVEN + SPREAD, SwingFile)).spread
    assert spread.keys == ("arms.radius", "wrists.couple_at_impact")
    assert list(spread.deviations) == [0.02, 5.0]
    assert spread.correlations[0, 1] == spread.correlations[1, 0] == 0.25
    assert dict(spread.shots) == {"path": pytest.approx(1.2 * 0.017453292519943295)}


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"arms.radius"', '"arms.radios"', 'did you mean "arms.radius"?'),
        ('"2 cm"', '"2 deg"', "an angle; allowed: a length"),
        ('"2 cm"', '"0 cm"', "above 0"),
        ("[0.25]", "[0.25, 0.1]", "found 2; allowed: 1, one for each row before"),
        ("[0.25]", "[1.5]", "allowed: a number of at most 1"),
        ('"wrists.couple_at_impact", deviation = "5 N*m"', '"arms.radius", deviation = "1 cm"', 'found "arms.radius"'),
        ('path = "1.2 deg"', 'pathh = "1.2 deg"', 'did you mean "path"?'),
    ],
)
def test_each_slip_in_a_spread_is_told(tmp_path: Path, old: str, new: str, says: str) -> None:
    path = tmp_path / "swing.toml"
    path.write_text(EVEN + SPREAD.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_swing(path)
    assert says in str(caught.value)
    assert "swing.toml" in str(caught.value)
    assert len(str(caught.value).splitlines()) <= 2
