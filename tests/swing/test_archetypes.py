"""Every archetype of the library is plausible; what stiffness does under each hand mode."""

from __future__ import annotations

import runpy
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from swing.golfers import DEGREE, reference
from swingbeam.beam import InputError
from swingbeam.beam.rotations import swing_twist
from swingbeam.delivery.kinetics import demands, read_kinetics
from swingbeam.delivery.unload import bend_direction, in_plane_bend
from swingbeam.files.base import parse_toml
from swingbeam.files.lookup import library_root
from swingbeam.files.swing_file import SwingFile
from swingbeam.swing.archetype import load_swing
from swingbeam.swing.hands import HOLD
from swingbeam.swing.stature import stature_of

FOLDER = library_root() / "swings"
NAMES = sorted(path.stem for path in FOLDER.glob("*.toml"))
TRENDS = Path(__file__).resolve().parents[2] / "benchmarks" / "stiffness_trends.py"


def test_the_library_has_eight_driver_swings_two_for_a_5_iron_and_two_driven_by_torque():
    lines = [reference_kind(name) for name in NAMES if not load_swing(name).by_torque]
    assert lines.count("driver") >= 8
    assert lines.count("iron") >= 2
    assert len(NAMES) - len(lines) >= 2
    assert all("invented" in load_swing(name).note.lower() for name in NAMES)


def test_the_library_reaches_from_juniors_to_long_hitters():
    """25 to 55 m/s with a driver, and irons at either end of it; a stature that is stated is that of the arms."""
    swings = {name: load_swing(name) for name in NAMES}
    speeds = {
        kind: [swings[name].plan.target.head_speed for name in NAMES if reference_kind(name) == kind]
        for kind in ("driver", "iron")
    }
    assert (min(speeds["driver"]), max(speeds["driver"])) == (25.0, 55.0)
    assert min(speeds["iron"]) < 25.0 < 40.0 < max(speeds["iron"])
    for name in NAMES:
        if swings[name].by_torque:
            continue
        record = parse_toml((FOLDER / f"{name}.toml").read_text(encoding="utf-8"), SwingFile)
        if record.golfer.stature is not None:
            # A file is read as it looks: its lengths are those of the stature, to what four digits can say.
            plan = replace(swings[name].plan, arms=replace(swings[name].plan.arms, radius=record.arms.radius))
            assert stature_of(plan) == pytest.approx(record.golfer.stature, rel=2e-3)


USUAL_SPEEDS = {"driver": (40.0, 50.0), "iron": (33.6, 42.0)}
"""m/s that the bands of rates and times below are for; a 5-iron's are those of a driver in the ratio of 38 to 45."""


def pace(name: str) -> tuple[float, float]:
    """(at most 1, at least 1): how much slower or faster a golfer is than the bands are for. His motion is then alike
    in more or less time: rates and speeds go with it, times against it. Bend, force and couple keep their bands."""
    speed = load_swing(name).plan.target.head_speed
    low, high = USUAL_SPEEDS[reference_kind(name)]
    return min(speed / low, 1.0), max(speed / high, 1.0)


def reference_kind(name: str) -> str:
    return "iron" if str(load_swing(name).reference_club.head).startswith("iron") else "driver"


@pytest.mark.parametrize("name", NAMES)
def test_archetypes_are_plausible(name):
    """Bands from memory (peak lag, lead, droop, loft added, closure, forces), but for the downswing: Grober &
    Cholewicki 2006, "Towards a biomechanical understanding of tempo in the golf swing" (0.23–0.33 s, widened
    for a slow player). They are bands a swing must lie in, not values it must reach; the same for swings along a
    line and for those driven by torque, which start at the top and have no backswing. Rates and times are those of
    usual head speeds, `pace` beyond them."""
    slow, fast = pace(name)
    made = reference(name)
    run, club = made.record(), made.club
    rows = run.at(np.linspace(made.top, 0.0, 400))
    bend = in_plane_bend(rows.tip_position, rows.root_rotation, bend_direction(made.normal, rows.motion_rotation))
    last = rows.at(0.0)
    # Bend, lead and droop.
    assert -0.15 <= bend.min() <= -0.04
    assert -0.03 <= last.tip_position[0, 1] <= 0.07
    assert 0.01 <= -last.tip_position[0, 2] <= 0.04
    # Force and couple of the hands.
    assert np.linalg.norm(rows.root_force, axis=1).max() <= 600.0
    couple = np.einsum("nij,nj->ni", rows.root_rotation, rows.root_couple) @ made.normal
    assert 10.0 <= couple.max() <= 35.0
    assert -15.0 <= couple[-1] <= 8.0
    # Tempo and speed.
    assert 0.233 / fast <= made.downswing <= 0.36 / slow
    if reference_kind(name) == "driver":
        assert 24.9 <= np.linalg.norm(last.head_velocity[0]) <= 55.1
    # Face: loft from bend, closure.
    normal = club.face.normal
    grip, tip = last.root_rotation[0], last.tip_rotation_world[0]
    bent, _ = swing_twist(last.tip_rotation_matrix[0])
    added = np.arcsin((grip @ bent @ normal)[2]) - np.arcsin((grip @ normal)[2])
    lowest = 0.0 if couple[-1] > 0.0 else 1.0
    assert lowest <= added / DEGREE <= 6.0
    n, w = tip @ normal, np.cross(tip @ last.tip_omega[0], tip @ normal)
    closure = (n[0] * w[1] - n[1] * w[0]) / (n[0] ** 2 + n[1] ** 2)
    assert 2000.0 * slow <= closure / DEGREE <= 3500.0 * fast
    # The reference pose's hands, and the club's turning in the swing plane, at impact.
    grip_motion = made.motion.at(0.0)
    assert 6.0 * slow <= np.linalg.norm(grip_motion.velocity[0]) <= 9.0 * fast
    assert 30.0 * slow <= grip_motion.rotation[0] @ grip_motion.omega[0] @ made.normal <= 45.0 * fast


FASTER_HANDS = {"fast-tempo"}
"""Its hands reach 12.2 m/s on their way."""


@pytest.mark.parametrize("name", NAMES)
def test_no_archetype_asks_for_more_than_a_golfer_can_give(name):
    made = reference(name)
    beyond = {
        demand.key
        for demand in demands(read_kinetics(made.record(), made.normal, made.top, 0.0))
        if not demand.is_human
    }
    assert beyond == ({"hand_speed"} if name in FASTER_HANDS else set())


@pytest.mark.parametrize("name", [name for name in NAMES if not load_swing(name).by_torque])
def test_no_shaft_rings(name):
    """A shaft that rings swings back and forth about the bend that the couple asks for (u = −C·M), at its clamped
    period of some 0.2 s and faster: turning points of the bend come one upon another. From the top to impact it may
    deepen, ease while the wrists are set, and unload: at most four, of those that are more than a tenth of the lag."""
    made = reference(name)
    rows = made.record().at(np.linspace(made.top, 0.0, 800))
    bend = in_plane_bend(rows.tip_position, rows.root_rotation, bend_direction(made.normal, rows.motion_rotation))
    assert turning_points(bend, 0.1 * -bend.min()) <= 4


def turning_points(values: np.ndarray, least: float) -> int:
    """How often values turn round, by at least so much."""
    count, way, extreme = 0, 0, values[0]
    for value in values:
        if way == 0 and abs(value - extreme) > least:
            way, extreme = int(np.sign(value - extreme)), value
        elif way * (value - extreme) > 0.0:
            extreme = value
        elif way and way * (extreme - value) > least:
            count, way, extreme = count + 1, -way, value
    return count


@pytest.mark.parametrize("name", [name for name in NAMES if not load_swing(name).by_torque])
def test_backswings_are_gentle_and_three_times_as_long_as_downswings(name):
    """About 3:1 (Grober & Cholewicki 2006, as above); a takeaway that hardly bends the shaft (from memory)."""
    made = reference(name)
    run = made.record()
    assert 2.5 <= made.line.plan.tempo.backswing / made.downswing <= 4.0
    before = run.at(np.linspace(run.t[0], made.top - 0.05, 400))
    early = in_plane_bend(
        before.tip_position, before.root_rotation, bend_direction(made.normal, before.motion_rotation)
    )
    assert np.abs(early).max() <= 0.03


NOT_MONOTONE = {("pushes-through-iron", "lead")}
"""Under `hold`. The hands push this club only a little: its lead at impact is next to nothing (3.5 to 3.8 mm of
lag, the stiffest shaft a little less than the last but one), a difference of what the couple bends one way and the
head's offset the other."""


@pytest.mark.parametrize("name", NAMES)
def test_stiffness_moves_lag_droop_and_lead_one_way_under_hold(name):
    trends = runpy.run_path(str(TRENDS))
    found = trends["table"](reference(name), HOLD)
    turning = {
        (name, figure) for figure in trends["FIGURES"] if trends["verdict"](found[figure]) in ("turns", "missed")
    }
    assert turning == {pair for pair in NOT_MONOTONE if pair[0] == name}
    # Lag and droop get smaller with stiffness; lead, where it goes one way, keeps its sign and gets smaller.
    assert found["lag"][0] > found["lag"][-1] > 0.0
    assert found["droop"][0] > found["droop"][-1] > 0.0
    assert (name, "lead") in NOT_MONOTONE or abs(found["lead"][0]) > abs(found["lead"][-1])


def test_a_sound_file_and_what_is_wrong_with_others():
    text = (FOLDER / "even.toml").read_text(encoding="utf-8")
    record = parse_toml(text, SwingFile)
    assert record.arms.plane == pytest.approx(50 * DEGREE)
    for old, new, words in [
        ('backswing = "1.06 s"', 'backswing = "1.06"', "unit"),
        ('backswing = "1.06 s"', 'backswing = "−1.06 s"', "hyphen"),
        ('plane = "50 deg"', 'plain = "50 deg"', 'did you mean "plane"'),
        ('plane = "50 deg"', 'plane = "5 deg"', "at least 30 deg"),
        ('head_speed = "45 m/s"', "", "neither"),
        ("[tempo]\n", '[tempo]\ndownswing = "0.3 s"\n', "both"),
        ('finished_length = "45.5 in"', "", "no length"),
        ('shaft = "wick-65-s"', "", "no shaft"),
    ]:
        assert old in text
        with pytest.raises(InputError, match=words):
            parse_toml(text.replace(old, new), SwingFile)


def test_an_infeasible_file_names_itself(tmp_path):
    text = (FOLDER / "even.toml").read_text(encoding="utf-8")
    path = tmp_path / "odd.toml"
    path.write_text(text.replace('rate_at_impact = "11 rad/s"', 'rate_at_impact = "29 rad/s"'), encoding="utf-8")
    from swingbeam.swing.archetype import prepare

    with pytest.raises(InputError, match=r"odd\.toml.*rate at impact"):
        prepare(load_swing(path))
