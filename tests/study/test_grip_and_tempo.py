"""Grip firmness and tempo from a file or an option to the figures and the words beside them."""

from __future__ import annotations

import json

import numpy as np
import pytest

from swing.golfers import reference
from swing.recordings import frame_times, pose_recording, pose_rows
from swingbeam.beam import InputError
from swingbeam.club.build import load_club
from swingbeam.files.lookup import library_root
from swingbeam.report.json import rank_object, run_object, single_json
from swingbeam.study.compare_hands import compare_hands
from swingbeam.study.golfer import Golfer, load_golfer
from swingbeam.study.rank import rank_scenario
from swingbeam.study.record import record_swing, write_swing
from swingbeam.study.single import swing_club
from swingbeam.swing.archetype import load_swing
from swingbeam.swing.hands import HOLD, firm
from swingbeam.swing.held import slower
from swingbeam.swing.reference import run_club

EVEN = (library_root() / "swings/even.toml").read_text(encoding="utf-8")
SCENARIO = """
name = "Two"
question = "Which?"
swing = "{swing}"
shafts = ["wick-65-s", "bracken-50-r"]
{more}
[club]
head = "driver"
finished_length = "45.5 in"
"""


def other_club():
    made = load_swing("even")
    return load_club(made.reference_club.model_copy(update={"shaft": "bracken-50-r"}))


def written(folder, words):
    path = folder / "golfer.toml"
    path.write_text(EVEN.replace("[reference_club]", f"{words}\n\n[reference_club]"), encoding="utf-8")
    return path


def test_a_medium_grip_changes_no_bit(tmp_path):
    stated = written(tmp_path, '[hands]\ngrip_firmness = "50 %"')
    plain, medium = (run_object(swing_club(name, shaft="bracken-50-r").run) for name in ("even", stated))
    assert plain == medium
    assert swing_club("even").notes == ()


def test_a_firm_grip_is_the_stiffer_hands(tmp_path):
    made = load_golfer(written(tmp_path, '[hands]\ngrip_firmness = "90 %"'))
    assert made.reference.firmness == pytest.approx(0.9)
    run, place = made.run(other_club(), "hold", "learnt", "curvature")
    own = reference("even")
    by_hand = run_club(other_club(), own, firm(HOLD, made.reference.firmness))
    np.testing.assert_array_equal(run.tip_position, by_hand.tip_position)
    medium = run_club(other_club(), own, HOLD)
    assert np.abs(run.tip_position - medium.tip_position).max() > 1e-4
    assert place.shape == (3,)


def test_the_reference_club_does_not_feel_the_grip():
    """Hands act on the difference to the reference club only."""
    medium = swing_club("even").run.impact
    firmer = swing_club("even", firmness=1.0).run.impact
    # Contact is found to 1e-12 s, and δ stays at the solver's round-off.
    assert firmer.dynamic_loft == pytest.approx(medium.dynamic_loft, abs=1e-9)
    assert firmer.face_angle == pytest.approx(medium.face_angle, abs=1e-9)


def test_hands_yield_less_to_another_club_with_a_firmer_grip():
    """δ of the grip under `hold`, at its largest about the hinge axis, falls as stiffness and damping rise."""
    yields = []
    for firmness in (0.0, 0.5, 1.0):
        made = load_golfer(library_root() / "swings/even.toml", firmness=firmness)
        run = run_club(other_club(), made.reference, HOLD)
        yields.append(np.linalg.norm(run.root_rotation - run.motion_rotation, axis=(1, 2)).max())
    assert yields[0] > yields[1] > yields[2] > 0.0


def test_results_say_what_the_grip_was(tmp_path):
    result = swing_club("even", firmness=0.8, with_motion=True)
    assert result.notes[0].startswith("Grip firmness 80 %")
    assert json.loads(single_json(result))["notes"] == list(result.notes)
    assert result.motion.hands == "hold, grip 80 % firm"


def test_a_ranking_takes_it_from_the_option_the_scenario_or_the_swing(tmp_path):
    firmer = written(tmp_path, '[hands]\ngrip_firmness = "80 %"')
    path = tmp_path / "ask.toml"

    def ranked(swing, more="", **options):
        path.write_text(SCENARIO.format(swing=swing, more=more), encoding="utf-8")
        return rank_scenario(path, repeat=0, **options)

    by_swing = ranked(firmer)
    by_scenario = ranked("even", 'grip_firmness = "80 %"')
    by_option = ranked(firmer, 'grip_firmness = "30 %"', firmness=0.8)
    plain = ranked("even")
    assert by_swing.notes[-1].startswith("Grip firmness 80 %")
    shown = [rank_object(result) for result in (by_swing, by_scenario, by_option, plain)]
    assert shown[0]["runs"] == shown[1]["runs"] == shown[2]["runs"] != shown[3]["runs"]
    assert len({result.digest for result in (by_swing, by_scenario, by_option, plain)}) == 4
    path.write_text(SCENARIO.format(swing="even", more=""), encoding="utf-8")
    compared = compare_hands(path, firmness=0.8)
    assert compared.notes == by_swing.notes[-1:]
    own = {run.shaft: run.impact.dynamic_loft for run in by_swing.runs}
    loft = np.radians(compared.own["dynamic_loft_deg"]["hold"])
    np.testing.assert_allclose(loft, [own[shaft] for shaft in compared.shafts], rtol=1e-12)


def test_another_tempo_says_what_is_held():
    result = swing_club("even", tempo=1.1, same="head speed")
    assert result.notes[0].startswith("Tempo × 1.1, same head speed: ")
    plan, club = load_swing("even").plan, reference("even").club
    made = Golfer(reference("even"), "", load_swing("even").reference_club, ())
    assert made.notes == ()
    assert slower(plan, 1.1, "head speed", club) != plan
    # Aimed to 5e-8 m/s at the planned instant, which is the impact of the reference club.
    assert result.run.impact.head_speed == pytest.approx(45.0, abs=1e-5)
    for given in ({"tempo": 1.1}, {"same": "effort"}):
        with pytest.raises(InputError, match="allowed: both"):
            swing_club("even", **given)


def test_a_recordings_grip_goes_into_its_swing(tmp_path):
    path = pose_recording(tmp_path, pose_rows(frame_times(240.0)), hands={"grip_firmness": "35 %"})
    written_to = write_swing(record_swing(path, draws=2), tmp_path / "own.toml", ())
    assert load_swing(written_to).grip_firmness == pytest.approx(0.35, rel=1e-12)
    assert load_golfer(written_to).reference.firmness == pytest.approx(0.35, rel=1e-12)
