"""Which conclusions hold under every kind of hands."""

import pytest

from swingbeam.study.compare_hands import FIGURES, FLOORS, compare_hands, conclude
from swingbeam.study.rank import rank_scenario
from swingbeam.study.result import HANDS

SHAFTS = ("a", "b", "c")


def made_up(vice, hold, effort):
    """The conclusion of three clubs whose changes are given for every kind of hands."""
    return conclude("x", SHAFTS, {"vice": vice, "hold": hold, "effort": effort}, 0.1)


def test_one_order_under_all_holds():
    found = made_up((0.0, 1.0, 2.0), (0.0, 0.5, 0.9), (-3.0, 0.2, 0.4))
    assert (found.pairs, found.agreed, found.swapped) == (3, 3, ())
    assert found.holds
    assert found.signs == {"a": "?", "b": "+", "c": "+"}


def test_a_reversed_pair_is_named():
    found = made_up((0.0, 1.0, 2.0), (0.0, 1.0, 0.5), (0.0, 1.0, 2.0))
    assert found.swapped == (("b", "c"),)
    assert (found.pairs, found.agreed) == (3, 2)
    assert not found.holds


def test_differences_below_the_floor_count_as_none():
    found = made_up((0.0, 0.05, 1.0), (0.0, -0.05, 1.0), (0.0, 0.02, 1.0))
    assert found.swapped == ()
    assert (found.pairs, found.agreed) == (2, 2)  # a and b are the same club to anybody
    assert found.signs == {"a": "0", "b": "0", "c": "+"}
    # Apart under one kind only: counted, not agreed, not reversed.
    found = made_up((0.0, 0.2, 1.0), (0.0, 0.0, 1.0), (0.0, 0.0, 1.0))
    assert (found.pairs, found.agreed, found.swapped) == (3, 2, ())


def test_a_club_without_the_figure_is_left_out():
    found = made_up((0.0, None, 1.0), (0.0, 1.0, 1.0), (0.0, 1.0, 1.0))
    assert set(found.signs) == {"a", "c"}
    assert found.pairs == 1


@pytest.fixture(scope="module")
def scenario(tmp_path_factory):
    path = tmp_path_factory.mktemp("hands") / "two.toml"
    path.write_text(
        'name = "Two"\nquestion = "Which?"\nswing = "even"\nshafts = ["wick-65-s", "marl-52-l"]\n'
        '[club]\nhead = "driver"\nfinished_length = "45.5 in"\n',
        encoding="utf-8",
    )
    return path


def test_it_is_the_ranking_s_own_figures_under_every_kind_of_hands(scenario):
    found = compare_hands(scenario)
    assert {q.key for q in FIGURES} == set(FLOORS) == set(found.changes)
    assert found.failures == ()
    for mode in HANDS:
        ranked = {run.shaft: run for run in rank_scenario(scenario, hands=mode).runs}
        for q in FIGURES:
            for shaft, value in zip(found.shafts, found.own[q.key][mode], strict=True):
                run = ranked[shaft]
                part = run.unload if hasattr(run.unload, q.attribute) else run.impact
                assert value == q.of(part)  # the same bits: the same function
            reference = found.shafts.index("wick-65-s")  # the club this golfer plays, of the same build
            assert found.changes[q.key][mode][reference] == pytest.approx(0.0, abs=1e-6)
