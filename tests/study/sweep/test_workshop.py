"""Clubs made together are those made one by one; a file's changed number is read as if the file stated it."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam.errors import InputError
from swingbeam.club.build import Club
from swingbeam.club.damping import viscosity
from swingbeam.files.base import parse_table
from swingbeam.files.key_path import paths_of, value_at, with_numbers
from swingbeam.files.lookup import list_library
from swingbeam.study.sweep.load import load_study
from swingbeam.study.sweep.makers import make_club
from swingbeam.study.sweep.parts import read_head, read_shaft, read_swing
from swingbeam.study.sweep.workshop import Workshop
from swingbeam.units import AsRead

STUDY = """
name = "Clubs"
question = "Are they the same?"
swing = "even"
[club]
head = "driver"
finished_length = "45 in"
[vary]
"club.shaft" = ["wick-65-s", "bracken-50-r"]
"shaft.ei tilt" = { between = [-0.5, 0.5] }
"shaft.gj scale" = { between = [0.8, 1.2] }
"head.cg.rearward" = { between = ["10 mm", "35 mm"] }
"head.inertia.moments.2" = { between = ["2400 g*cm^2", "2600 g*cm^2"] }
"club.finished_length" = { between = ["44 in", "46.5 in"] }
"club.tip_trim" = { between = ["0 in", "1.2 in"] }
[plan]
kind = "latin-hypercube"
cases = 24
"""
READERS = {"head": read_head, "shaft": read_shaft, "swing": read_swing}


@pytest.fixture(scope="module")
def study(tmp_path_factory):
    path = tmp_path_factory.mktemp("clubs") / "clubs.toml"
    path.write_text(STUDY, encoding="utf-8")
    return load_study(path)


@pytest.fixture(scope="module")
def rows(study):
    return study.values(np.arange(study.count)).tolist()


def outcome(make):
    """What is made, or None and why not."""
    try:
        return make(), ""
    except InputError as error:
        return None, str(error)


def bits(club: Club) -> bytes:
    profile, tip, face = club.profile, club.tip, club.face
    numbers = [profile.s, profile.ei, profile.gj, profile.mass, profile.rotary, tip.mass, tip.offset, tip.inertia]
    numbers += [face.centre, face.normal, face.toe, face.up, club.held_mass, club.held_inertia, club.finished_length]
    return np.concatenate([np.ravel(number) for number in numbers]).tobytes()


def test_clubs_made_together_are_those_made_alone(study, rows):
    together = study.workshop.clubs(rows)
    for club, row in zip(together, rows, strict=True):
        alone, why = outcome(lambda row=row: make_club(study.recipe, row))
        if alone is None:
            assert club == why
            continue
        assert bits(club) == bits(alone)
        # The bench frequency's linearised stiffness is made by differences one way, in closed form the other.
        np.testing.assert_allclose(club.viscosity, alone.viscosity, rtol=1e-10)
    built = [isinstance(club, Club) for club in together]
    assert any(built)
    assert not all(built)  # a long club with much cut off the tip


def test_a_club_is_the_same_to_the_last_bit_whatever_it_is_made_beside(study, rows):
    together = study.workshop.clubs(rows)
    for place in (3, 17):
        (alone,) = Workshop(study.recipe, study.start).clubs(rows[place : place + 1])
        backward = Workshop(study.recipe, study.start).clubs(rows[::-1])[-1 - place]
        for other in (alone, backward):
            assert isinstance(other, Club)
            assert bits(other) == bits(together[place])
            assert other.viscosity == together[place].viscosity


def test_clubs_are_kept_and_share_shafts_and_heads(study, rows):
    shop = Workshop(study.recipe, study.start)
    first, again = shop.clubs(rows), shop.clubs(rows[::2])
    assert all(a is b for a, b in zip(first[::2], again, strict=True))
    lengths = [list(rows[3]) for _ in range(3)]
    place = [one.key for one in study.inputs].index("club.finished_length")
    for row, length in zip(lengths, (1.12, 1.13, 1.14), strict=True):
        row[place] = length
    one, two, three = shop.clubs(lengths)
    assert one.shaft is two.shaft is three.shaft
    assert one.head is two.head is three.head


def test_a_shaft_as_its_file_states_it_is_damped_as_in_a_single_swing(tmp_path):
    path = tmp_path / "own.toml"
    lines = STUDY.splitlines()
    path.write_text("\n".join(line for line in lines if not line.startswith('"shaft.')), encoding="utf-8")
    study = load_study(path)
    club = next(club for club in study.workshop.clubs(study.values(np.arange(24)).tolist()) if isinstance(club, Club))
    assert club.viscosity == viscosity(club.shaft)


@pytest.mark.parametrize("kind", READERS)
def test_a_changed_number_is_read_as_if_the_file_stated_it(kind, tmp_path):
    seen = 0
    for path in list_library(kind).values():
        part = READERS[kind](str(path), path)
        record = parse_table(dict(part.table), part.model)
        for where in paths_of(part.model):
            value = value_at(record, where)
            if value is None:
                continue
            for factor in (1.01, 50.0):
                numbers = {where: AsRead(factor * value, "")}
                stated = with_numbers(part.table, numbers)
                expected, why = outcome(lambda t=stated, p=part: parse_table(t, p.model, source=p.source))
                got, said = outcome(lambda n=numbers, p=part: p.record(n))
                assert said == why, where
                if expected is not None:
                    assert got.model_dump() == expected.model_dump(), where
                    assert got.model_fields_set == expected.model_fields_set
                    seen += 1
    assert seen > 20
