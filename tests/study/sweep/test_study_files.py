"""Studies that are wrong say what is wrong and how to mend it."""

from __future__ import annotations

import re

import numpy as np
import pytest

from swingbeam.beam.errors import InputError
from swingbeam.files.lookup import library_root
from swingbeam.study.scenario import load_scenario
from swingbeam.study.sweep.load import load_study

SOUND = """
name = "A few"
question = "What then?"
swing = "even"

[vary]
"shaft.ei scale" = [0.9, 1.1]

[plan]
kind = "grid"
"""
VARY = '"shaft.ei scale" = [0.9, 1.1]'
GRID = 'kind = "grid"'


def varied(line: str) -> str:
    return SOUND.replace(VARY, line)


def planned(lines: str, line: str = VARY) -> str:
    return SOUND.replace(GRID, lines).replace(VARY, line)


FAULTS = {
    # What varies
    "unknown part": (varied('"shoft.ei scale" = [0.9]'), 'found "shoft.ei scale"; allowed', 'mean "shaft.ei scale"'),
    "unknown path": (
        varied('"swing.tempo.backsving" = ["1 s", "2 s"]'),
        'vary."swing.tempo.backsving": found',
        'did you mean "swing.tempo.backswing"?',
    ),
    "unknown path without quotation marks": (
        varied('swing.tempo.backsving = ["1 s", "2 s"]'),
        'vary."swing.tempo.backsving": found',
        'did you mean "swing.tempo.backswing"?',
    ),
    "table, not a number": (varied('"swing.tempo" = ["1 s"]'), 'found "swing.tempo", no number', ""),
    "list beyond its end": (varied('"head.inertia.moments.4" = ["2000 g*cm^2"]'), 'the list\'s number "4"', "1 to 3"),
    "no unit": (varied('"swing.tempo.backswing" = [1.0, 1.1]'), "#1: found 1.0, a bare number", "a time in s or ms"),
    "wrong unit": (
        varied('"swing.tempo.backswing" = { from = "1 s", to = "3 deg", count = 3 }'),
        'vary."swing.tempo.backswing": to: found "3 deg", an angle',
        "a time",
    ),
    "a unit where there is none": (varied('"shaft.ei scale" = ["90 %"]'), "a plain number without unit", ""),
    "one value": (varied('"shaft.ei scale" = 1.1'), "found 1.1, one value, which does not vary", "from = "),
    "empty list": (varied('"shaft.ei scale" = []'), "found an empty list", ""),
    "value twice": (varied('"shaft.ei scale" = [0.9, 0.9]'), "found a value twice", "each once"),
    "unknown way": (varied('"shaft.ei scale" = { form = 0.9, to = 1.1 }'), "found the keys form, to", 'mean "from"'),
    "count": (varied('"shaft.ei scale" = { from = 0.9, to = 1.1, count = 1 }'), "count: found 1", "from 2 to"),
    "no range": (varied('"shaft.ei scale" = { between = [1.1, 1.1] }'), "ends where it begins", ""),
    "half a range": (varied('"shaft.ei scale" = { between = [1.1] }'), "between: found", "two values"),
    "deviation": (
        planned('kind = "random"\ncases = 10', '"head.mass" = { mean = "200 g", deviation = "0 g" }'),
        'deviation: found "0 g"; allowed: above 0',
        "",
    ),
    "mean out of its bounds": (
        planned('kind = "random"\ncases = 10', '"head.mass" = { mean = "200 g", deviation = "2 g", most = "190 g" }'),
        "found a mean that does not lie between",
        "",
    ),
    "out of the file's bounds": (
        varied('"head.cg.rearward" = { from = "10 mm", to = "400 mm", count = 3 }'),
        'vary."head.cg.rearward"',
        'cg.rearward: found "400 mm"; allowed: a length of at most 300 mm',
    ),
    "a scale out of bounds": (varied('"shaft.ei scale" = [1.0, -1.0]'), 'vary."shaft.ei scale": found -1', "0.05"),
    "a club that cannot be built": (
        varied('"club.tip_trim" = ["0 in", "20 in"]'),
        'vary."club.tip_trim": tip_trim: found 20.00 in',
        "allowed: up to",
    ),
    "unknown shaft": (
        varied('"club.shaft" = ["wick-65-s", "wick-56-s"]'),
        'vary."club.shaft": found "wick-56-s"',
        "mean",
    ),
    "a shaft twice": (varied('"club.shaft" = ["wick-65-s", "wick-65-s"]'), 'found "wick-65-s" twice', ""),
    "names that are none": (varied('"club.shaft" = 3'), "allowed: a list of names", ""),
    "unknown hands": (varied('"hands" = ["hold", "hald"]'), 'found "hald"; allowed: vice, hold, effort', 'mean "hold"'),
    "hands that turn by themselves": (
        varied('"hands.roll_stiffness" = ["1 N*m/rad", "20 N*m/rad"]'),
        'vary."hands.roll_stiffness"',
        "allowed: at least 2",
    ),
    "a driver's shaft in an iron": (varied('"club.head" = ["driver", "iron-5"]'), "driver shaft", "two of one kind"),
    # What is held
    "tempo without a hold": (
        varied('"swing.tempo scale" = [0.9, 1.1]'),
        "hold.tempo: missing key",
        '"head speed", "effort", "motion"',
    ),
    "weight without a hold": (
        varied('"shaft.mass scale" = [0.9, 1.1]'),
        "hold.shaft_weight: missing key",
        '"motion", "effort", "head mass", "swing weight"',
    ),
    "a hold of nothing": (SOUND + '[hold]\ntempo = "effort"\n', 'hold.tempo: found "effort", and nothing that', ""),
    "a hold that is none": (SOUND + '[hold]\ntempo = "speed"\n', 'hold.tempo: found "speed"; allowed', ""),
    # The plan
    "no plan": (SOUND.split("[plan]")[0], "plan: missing key; needed: a table [plan] with kind", ""),
    "unknown kind": (planned('kind = "sobel"'), 'plan.kind: found "sobel"', 'did you mean "sobol"?'),
    "no cases": (planned('kind = "random"'), 'a plan of kind "random" needs it, such as cases = 1000', ""),
    "cases of a grid": (planned('kind = "grid"\ncases = 10'), 'cases: found with kind = "grid"', "latin-hypercube"),
    "cases of a sensitivity plan": (planned('kind = "sensitivity"\ncases = 64'), "a sensitivity plan states rows", ""),
    "no power of two": (planned('kind = "sobol"\ncases = 1000'), "cases: found 1000", "such as 512 or 1024"),
    "no levels for a grid": (
        varied('"shaft.ei scale" = { between = [0.9, 1.1] }'),
        'vary."shaft.ei scale": has no levels for a grid',
        "from, to and count",
    ),
    "correlation": (
        planned(
            'kind = "random"\ncases = 8\n'
            'correlations = [{ of = ["shaft.ei scale", "shaft.gj scale"], correlation = 0.5 }]'
        ),
        'plan.correlations #1.of: found "shaft.gj scale"; allowed: two keys of [vary]',
        "",
    ),
    "correlation of one": (
        planned(
            'kind = "random"\ncases = 8\n'
            'correlations = [{ of = ["shaft.ei scale", "shaft.ei scale"], correlation = 0.5 }]'
        ),
        'of: found "shaft.ei scale" twice',
        "",
    ),
    "too many cases": (
        varied(
            '"shaft.ei scale" = { from = 0.9, to = 1.1, count = 4000 }\n'
            '"shaft.gj scale" = { from = 0.9, to = 1.1, count = 4000 }'
        ),
        "found 16,000,000 cases; allowed: up to 10,000,000",
        "",
    ),
    "nothing varies": (varied(""), "vary: nothing varies", ""),
    "a list that is not there": (planned('kind = "list"\nfile = "none.csv"', ""), "none.csv: no such file", ""),
    "a list and more": (planned('kind = "list"\nfile = "none.csv"'), "vary: found with a list of cases", ""),
    "repeatability of what varies": (
        planned('kind = "repeatability"\ncases = 8', '"swing.delivery.attack" = ["1 deg", "2 deg"]'),
        'vary."swing.delivery.attack": found with a plan of kind "repeatability", which draws it',
        "",
    ),
    "repeatability by torque": (
        planned('kind = "repeatability"\ncases = 8').replace('"even"', '"even-by-torque"'),
        'found "repeatability" with the swing "even-by-torque"',
        "",
    ),
    # The rest of the file
    "unknown swing": (SOUND.replace('"even"', '"evne"'), 'found "evne", no swing of that name', 'mean "even"'),
    "unknown key": ("handz = 1\n" + SOUND, "handz: unknown key", 'did you mean "hands"?'),
    "unknown group": ('outputs = ["impakt"]\n' + SOUND, 'outputs #1: found "impakt"', 'mean "impact"'),
    "no outputs": ("outputs = []\n" + SOUND, "outputs: found none", ""),
    "several swings without a club": (varied('"swing" = ["even", "fast-tempo"]'), "club: no shaft", "in [club]"),
    "not TOML": (SOUND + "\n[[", "not readable as TOML", ""),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_study_that_is_wrong_says_so(tmp_path, name):
    text, found, allowed = FAULTS[name]
    path = tmp_path / "wrong.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_study(path)
    message = str(caught.value)
    assert re.match(r".*(wrong\.toml|none\.csv): ", message)
    assert found in message
    assert allowed in message
    assert message.count("\n") <= 1


LISTS = {
    "an empty cell": ("shaft.ei scale,club.shaft\n1.0,\n", 'line 2, column "club.shaft": found nothing'),
    "no unit": ("head.cg.rearward\n12\n", '"head.cg.rearward": #1: found 12.0, a bare number'),
    "a unit of another kind": ("head.cg.rearward (deg)\n12\n", "an angle; allowed: a length"),
    "no number": ("shaft.ei scale\n1.0\nabc\n", '"shaft.ei scale": #2: found "abc"'),
    "a column that is none": ("shaft.ei scal\n1.0\n", 'did you mean "shaft.ei scale"'),
    "semicolons": ("shaft.ei scale;club.shaft\n1.0;wick-65-s\n", "cells are separated by semicolons"),
    "a row too short": ("shaft.ei scale,shaft.gj scale\n1.0\n", "line 2: found 1 cells; allowed: 2"),
}


@pytest.mark.parametrize("name", LISTS)
def test_a_list_that_is_wrong_says_so(tmp_path, name):
    text, found = LISTS[name]
    (tmp_path / "cases.csv").write_text(text, encoding="utf-8")
    path = tmp_path / "listed.toml"
    path.write_text(planned('kind = "list"\nfile = "cases.csv"', ""), encoding="utf-8")
    with pytest.raises(InputError, match=re.escape(found)) as caught:
        load_study(path)
    assert "cases.csv: " in str(caught.value)


def test_a_list_gives_its_cases_in_its_order(tmp_path):
    (tmp_path / "cases.csv").write_text(
        "head.cg.rearward (mm),club.shaft,shaft.ei scale\n12,wick-65-s,1.0\n20,marl-60-r,0.9\n12,marl-60-r,1.0\n"
    )
    path = tmp_path / "listed.toml"
    path.write_text(planned('kind = "list"\nfile = "cases.csv"', ""), encoding="utf-8")
    study = load_study(path)
    assert study.count == 3
    assert [one.choices for one in study.inputs] == [(), ("wick-65-s", "marl-60-r"), ()]
    expected = [[12 * 1e-3, 0.0, 1.0], [20 * 1e-3, 1.0, 0.9], [12 * 1e-3, 1.0, 1.0]]
    np.testing.assert_array_equal(study.values(np.arange(3)), expected)
    assert [name.rsplit("/", 1)[-1] for name, _ in study.files][:2] == ["listed.toml", "cases.csv"]


def test_key_paths_may_be_written_without_quotation_marks(tmp_path):
    path = tmp_path / "plain.toml"
    path.write_text(
        varied('swing.tempo.backswing = ["1 s", "1.1 s"]\nhead.mass = ["198 g", "200 g"]'), encoding="utf-8"
    )
    assert [one.key for one in load_study(path).inputs] == ["swing.tempo.backswing", "head.mass"]


def test_a_scenario_is_refused_with_the_command_that_runs_it():
    path = library_root() / "scenarios" / "twins.toml"
    with pytest.raises(InputError, match=r"found a scenario.*swingbeam rank .*twins\.toml"):
        load_study(path)


def test_a_study_is_refused_as_a_scenario_with_the_command_that_plans_it():
    with pytest.raises(InputError, match=r"found a study.*swingbeam study plan .*tempo_sweep\.toml"):
        load_scenario(library_root() / "scenarios" / "tempo_sweep.toml")


def test_what_decides_the_figures_decides_the_digest(tmp_path):
    def digest(text: str) -> str:
        path = tmp_path / "study.toml"
        path.write_text(text, encoding="utf-8")
        return load_study(path).digest

    own = digest(SOUND)
    assert own == digest(SOUND)
    assert (
        len({own, digest(varied('"shaft.ei scale" = [0.9, 1.2]')), digest(SOUND.replace('"even"', '"fast-tempo"'))})
        == 3
    )


def test_a_repeatability_plan_draws_what_the_golfer_delivers_and_swings_every_club(tmp_path):
    path = tmp_path / "steady.toml"
    path.write_text(planned('kind = "repeatability"\ncases = 400', '"club.shaft" = ["wick-65-s", "marl-60-r"]'))
    study = load_study(path)
    keys = [one.key for one in study.inputs]
    assert study.count == 800
    assert study.batch % 2 == 0
    values = study.values(np.arange(study.count))
    np.testing.assert_array_equal(values[0::2, :-1], values[1::2, :-1])
    np.testing.assert_array_equal(values[:, -1], np.tile([0.0, 1.0], 400))
    face = values[::2, keys.index("swing.delivery.face_angle")]
    # The usual repeatability, 1.5° about the swing's 0°: standard errors of 400 draws, four of them.
    assert abs(face.mean()) < np.radians(1.5) * 4 / 20
    assert face.std() == pytest.approx(np.radians(1.5), rel=4 / np.sqrt(800))
    speed = values[::2, keys.index("swing.delivery.head_speed")]
    assert speed.mean() == pytest.approx(45.0, abs=0.45 * 4 / 20)
    assert "from swing to swing" in study.held


@pytest.mark.parametrize("name", ["tempo_sweep", "shaft_and_head", "how_steady"])
def test_the_starter_studies_are_sound(name):
    study = load_study(name)
    assert study.count >= 40
    assert study.held
    values = study.values(np.arange(study.count))
    assert np.isfinite(values).all()
