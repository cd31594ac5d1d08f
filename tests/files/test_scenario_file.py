"""Scenarios: common club, changes of it, labels."""

import pytest

from swingbeam.files.base import parse_toml
from swingbeam.files.club_file import ClubParts
from swingbeam.files.scenario_file import ScenarioFile
from swingbeam.units import InputError

TOP = 'name = "A"\nquestion = "B?"\nswing = "c"\n'
CLUB = '[club]\nhead = "driver"\nfinished_length = "1 m"\n'


def read(text: str) -> ScenarioFile:
    return parse_toml(TOP + text, ScenarioFile, source="a.toml")


def test_shafts_share_the_common_club() -> None:
    clubs = read('shafts = ["x", "y"]\n' + CLUB + 'tip_trim = "1 in"\n').all_clubs()
    assert [(c.label, c.shaft, c.head, c.finished_length) for c in clubs] == [
        ("x", "x", "driver", 1.0),
        ("y", "y", "driver", 1.0),
    ]
    assert clubs[0].tip_trim == 0.0254


def test_clubs_change_what_they_say_and_no_more() -> None:
    clubs = read(
        CLUB + 'shaft = "x"\n[[clubs]]\nlabel = "p"\n[[clubs]]\nlabel = "q"\nhead = "other"\nbutt_trim = "0 in"\n'
    ).all_clubs()
    assert (clubs[0].shaft, clubs[0].head, clubs[0].finished_length) == ("x", "driver", 1.0)
    # The trim takes the place of the common length; 0 is a value, not an absence.
    assert (clubs[1].head, clubs[1].finished_length, clubs[1].butt_trim) == ("other", None, 0.0)


def test_changes_of_a_club_are_a_copy() -> None:
    base = ClubParts.model_validate({"shaft": "a", "grip_mass": "50 g"})
    changed = ClubParts.model_validate({"grip_mass": "60 g"}).over(base)
    assert (changed.shaft, changed.grip_mass) == ("a", 0.06)
    assert base.grip_mass == 0.05


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (CLUB, "found no clubs"),
        ('shafts = ["x"]\n', "club #1: no head"),
        ('shafts = ["x"]\n[club]\nhead = "h"\n', "club #1: no length"),
        (CLUB + '[[clubs]]\nlabel = "p"\n', "club #1: no shaft"),
        ('shafts = ["x", "x"]\n' + CLUB, 'two clubs called "x"'),
        ('shafts = ["x"]\nhands = "vise"\n' + CLUB, 'did you mean "vice"?'),
        ('shafts = ["x"]\nball = "aimed"\n' + CLUB, 'did you mean "re-aimed"?'),
        ('shafts = ["x"]\nsolver = "fast"\n' + CLUB, 'allowed: "curvature", "elements"'),
        ('shafts = "x"\n' + CLUB, "shafts: found \"x\"; allowed: a list"),
        ('shafts = ["x"]\n' + CLUB + 'butt_trim = "1 in"\n', "club: found finished_length and butt_trim"),
        ('shafts = ["x"]\n' + CLUB + 'grip_weight = "50 g"\n', "club.grip_weight: unknown key"),
        ('shafts = ["x"]\n' + CLUB + '[golfer]\nhanded = "both"\n', 'golfer.handed: found "both"'),
        ('shafts = ["x"]\n' + CLUB + '[reference]\nshaft = "y"\n', 'reference: unknown key; allowed: name'),
        ('shafts = ["x"]\n' + CLUB + '[reference]\nshaft = "y"\n', 'did you mean "reference_club"?'),
        ('shafts = ["x"]\n' + CLUB + 'tip_trim = "-1 in"\n', "club.tip_trim"),
        ('shafts = ["x"]\n' + CLUB + 'grip_mass = 50\n', "a bare number; a unit is needed"),
    ],
)  # fmt: skip
def test_refusals(text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text)
    assert says in str(caught.value)
    assert len(str(caught.value).splitlines()) <= 2


def test_changes_of_the_reference_club_go_by_the_name_they_have_in_a_swing() -> None:
    changed = read('shafts = ["x"]\n' + CLUB + '[reference_club]\nshaft = "y"\n').reference_club
    assert changed == ClubParts.model_validate({"shaft": "y"})
