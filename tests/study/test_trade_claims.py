"""The rules that turn the trade's claims into words, on made-up numbers: each word can come out and can fail to.

Every expected word follows from the rule's own statement and the numbers beside it; nothing is simulated.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import pytest

from swingbeam.beam.errors import InputError
from swingbeam.study.scenario import load_scenario

BENCHMARKS = Path(__file__).resolve().parents[2] / "benchmarks"


@pytest.fixture(scope="module")
def claims():
    """Imports a module of `benchmarks/claims`, which is no part of the package."""
    sys.path.insert(0, str(BENCHMARKS))
    try:
        yield lambda name: importlib.import_module(f"claims.{name}")
    finally:
        sys.path.remove(str(BENCHMARKS))


@pytest.fixture(scope="module")
def rules(claims):
    return claims("rules")


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ([(0.09, 0.1), (-0.05, 0.1)], False),
        ([(0.09, 0.1), (-0.11, 0.1)], True),
        ([(0.1, 0.1)], True),
        ([(None, 0.1), (0.05, 0.1)], None),
        ([(None, 0.1), (0.5, 0.1)], True),
        ([(float("nan"), 0.1)], None),
    ],
)
def test_less_than_the_least_size_is_no_difference(rules, changes, expected):
    assert rules.differs(changes) is expected


def test_a_span_needs_every_value(rules):
    assert rules.span([14.0, 13.5, 14.25]) == 0.75
    assert rules.span([14.0, None, 14.25]) is None
    assert rules.span([14.0]) is None


@pytest.mark.parametrize(
    ("cg", "kick_point", "expected"),
    [
        (2.0, 0.5, "CG"),
        (0.5, 2.0, "kick point"),
        (0.55, 0.5, "alike"),
        (0.5, 0.55, "alike"),
        (None, 0.5, "cannot be told"),
    ],
)
def test_the_greater_of_two_is_named_only_beyond_the_least_difference(rules, cg, kick_point, expected):
    assert rules.greater(cg, kick_point, 0.1, ("CG", "kick point")) == expected


def test_place_on_the_way_and_none_where_there_is_no_way(rules):
    # Binary fractions: exact.
    assert rules.place(22.25, 22.0, 23.0, 0.1) == 0.25
    assert rules.place(23.5, 22.0, 23.0, 0.1) == 1.5
    assert rules.place(21.0, 22.0, 20.0, 0.1) == 0.5
    assert rules.place(22.25, 22.0, 22.05, 0.1) is None
    assert rules.place(None, 22.0, 23.0, 0.1) is None


@pytest.mark.parametrize(
    ("place", "foretold", "way", "expected"),
    [
        (0.1, 1.0, 0.5, "letter"),
        (0.9, 1.0, 0.5, "frequency"),
        # As far from the one as from the other is not nearer to the letter.
        (0.5, 1.0, 0.5, "frequency"),
        # The letter foretells no change; a change the other way is still nearer to none.
        (-0.3, 1.0, 0.5, "letter"),
        (1.6, 1.0, -0.5, "frequency"),
        # Letter and frequency foretell figures 0.05 apart.
        (0.1, 0.1, 0.5, "cannot be told"),
        (None, 1.0, 0.05, "cannot be told"),
    ],
)
def test_plays_to_its_letter_or_to_its_frequency(rules, place, foretold, way, expected):
    assert rules.plays_to(place, foretold, way, 0.1) == expected


def test_falls_needs_every_step(rules):
    assert rules.falls([369.0, 352.0, 334.0], 1.0)
    assert not rules.falls([369.0, 352.0, 351.5], 1.0)
    assert not rules.falls([369.0, 370.0, 334.0], 1.0)


@pytest.mark.parametrize(
    ("holds", "expected"),
    [
        ([True, True], "**comes out** in all 2 cases"),
        ([True], "**comes out**"),
        ([False, False, False], "**does not come out** in any of 3 cases"),
        ([False], "**does not come out**"),
        ([True, False, False], "**comes out in part**, in 1 of 3 cases"),
        ([True, None, True], "**comes out** in all 2 cases (1 more cannot be told)"),
        ([None, None], "**cannot be told**"),
        ([], "**cannot be told**"),
    ],
)
def test_the_verdict_counts_cases(rules, holds, expected):
    assert rules.verdict(holds) == expected


def test_dependence_on_a_group_is_said_only_where_shares_differ(rules):
    groups = ["vice", "hold", "vice", "hold"]
    assert rules.dependence("hands", groups, [True, False, True, False]) == (
        "It depends on the hands: vice 2 of 2; hold 0 of 2."
    )
    assert rules.dependence("hands", groups, [True, True, False, False]) == "It does not depend on the hands."
    # A group in which nothing can be told neither makes nor breaks a dependence.
    assert rules.dependence("hands", groups, [True, None, True, None]) == "It does not depend on the hands."
    assert rules.dependence("hands", groups, [None] * 4) == "Nothing can be said by hands."
    assert rules.by_group(groups, [True, None, False, None]) == "vice 1 of 2; hold cannot be told"


def test_an_association_that_changes_its_sign_says_so(rules):
    assert rules.signs([0.8, -0.7, 0.1]) == "turns over (+ in 1, − in 1, none in 1)"
    assert rules.signs([-0.8, -0.7]) == "− in all 2"
    assert rules.signs([0.8, None]) == "+ in 1, none in 1"
    assert rules.signs([0.1, -0.1]) == "none in all 2"


def test_orders_go_together_only_when_clearly(rules):
    assert rules.goes_with(-0.8) is True
    assert rules.goes_with(0.5) is False
    assert rules.goes_with(None) is None


def test_counts_and_numbers_as_shown(rules):
    assert rules.counts(["alike", "CG", "CG"]) == "CG 2, alike 1"
    assert rules.number(-0.004, 2, sign=True) == "0.00"
    assert rules.number(-0.25, 2) == "−0.25"
    assert rules.number(None, 2) == "–"
    assert rules.interval([0.5, None, -0.25], 2, "°") == "−0.25 to 0.50°"
    assert rules.interval([0.001, -0.001], 2) == "0.00"
    assert rules.interval([None], 2) == "–"


FIGURES = (
    "dynamic_loft_deg",
    "face_angle_deg",
    "face_angle_at_strike_deg",
    "dynamic_loft_at_strike_deg",
    "attack_deg",
    "path_deg",
    "head_speed_mps",
    "strike_toe_mm",
    "strike_up_mm",
    "half_ms",
    "resolution_ms",
    "rank",
    "twist_deg",
    "twist_peak_deg",
    "in_plane_mm",
    "loft_from_bend_deg",
    "face_from_bend_deg",
)
HANDS = ("vice", "hold", "effort")


def made_up_cases(keys, change):
    """Two golfers, three kinds of hands, every figure 1 but those that `change` sets from (key, case number)."""
    cases = {}
    for number, (golfer, hands) in enumerate((g, h) for g in ("first", "second") for h in HANDS):
        found = {key: dict.fromkeys(FIGURES, 1.0) | {"resolution_ms": 0.1} for key in keys}
        for key in keys:
            found[key] |= change(key, number)
        cases[golfer, hands] = found
    return cases


def made_up_readings(**by_label):
    """Bench readings, all equal but those named."""
    equal = {"mass_g": 65.0, "frequency_cpm": 250.0, "torque_deg": 4.0, "kick_point_pct_from_tip": 48.0}
    return lambda club: equal | by_label.get(club.label.replace("-", "_").replace(" ", "_"), {})


@pytest.mark.parametrize(
    ("face_of_loose", "expected"),
    [
        (lambda number: 1.2, "**comes out** in all 6 cases"),
        (lambda number: 1.05, "**does not come out** in any of 6 cases"),
        (lambda number: 1.2 if number < 3 else 1.05, "**comes out in part**, in 3 of 6 cases"),
        (lambda number: None, "**cannot be told**"),
    ],
)
def test_the_twins_page_follows_the_numbers(claims, face_of_loose, expected):
    clubs = load_scenario("twins").clubs
    keys = [("twins", club.label) for club in clubs]

    def change(key, number):
        return {"face_angle_at_strike_deg": face_of_loose(number)} if "loose" in key[1] else {}

    readings = made_up_readings(wick_63_s_tight={"torque_deg": 3.0})
    claim = claims("twins").twins(made_up_cases(keys, change), clubs, readings)
    assert claim.summary[0][1] == expected
    assert f"delivered differently {expected}." in claim.text
    assert ("It depends on the golfer: first 3 of 3; second 0 of 3." in claim.text) == ("in part" in expected)


@pytest.mark.parametrize(
    ("share", "expected"),
    [
        # Half-way by what it delivers as foretold by frequency, or nowhere, as foretold by its letter.
        (0.5, "**does not come out** in any of 6 cases (12 more cannot be told)"),
        (0.0, "**comes out** in all 6 cases (12 more cannot be told)"),
    ],
)
def test_the_steel_page_follows_the_numbers(claims, share, expected):
    steel = claims("steel")
    clubs, irons = load_scenario("lighter_steel").clubs, load_scenario("irons").clubs
    softer = steel.next_letter(clubs, irons)
    assert softer.shaft.letter == "R"
    keys = [*(("lighter_steel", club.label) for club in clubs), ("irons", softer.label)]

    def change(key, number):
        if key[0] == "irons":
            return {"dynamic_loft_deg": 2.0}
        return {"dynamic_loft_deg": 1.0 + share} if key[1] == "ballast-115-s" else {}

    # The two lightest read as the heavy one does: letter and frequency foretell the same of them.
    readings = made_up_readings(ballast_115_s={"frequency_cpm": 240.0}, ballast_98_r={"frequency_cpm": 230.0})
    claim = steel.lighter_steel(made_up_cases(keys, change), clubs, softer, readings)
    found = {tested: outcome for tested, outcome, _ in claim.summary}
    assert found["1. … and plays to its letter in dynamic loft"] == expected
    assert found["1. … and plays to its letter in face angle"] == "**cannot be told**"
    # 250, 240, 250, 250 cpm: not each lower than the one before.
    assert found["1. Lighter steel of one letter reads a lower frequency"] == "**does not come out**"
    with pytest.raises(InputError, match="no steel R shaft"):
        steel.next_letter(clubs, clubs)


@pytest.mark.parametrize(
    ("cg", "kick_point", "expected"),
    [
        (2.0, 0.5, "**comes out** in all 6 cases"),
        (0.5, 2.0, "**does not come out** in any of 6 cases"),
        (0.55, 0.5, "**does not come out** in any of 6 cases"),
        (None, 0.5, "**cannot be told**"),
    ],
)
def test_the_bend_point_page_follows_the_numbers(claims, cg, kick_point, expected):
    head_cg, fitting = load_scenario("head_cg").clubs, load_scenario("first_fitting").clubs
    parts = claims("parts")
    place = {club.label: i for i, club in enumerate(fitting)}
    keys = [*(("head_cg", c.label) for c in head_cg), *(("first_fitting", c.label) for c in fitting), parts.REFERENCE]

    def change(key, number):
        scenario, label = key
        if scenario == "first_fitting":
            # Loft falls with the timing order and knows nothing of kick point, which is one for all.
            return {"rank": 1.0 + place[label], "dynamic_loft_deg": 20.0 - place[label]}
        if label == "CG 35 mm back":
            return {"dynamic_loft_deg": None if cg is None else 1.0 + cg}
        return {"dynamic_loft_deg": 1.0 + kick_point} if label == "low kick" else {}

    readings = made_up_readings(low_kick={"kick_point_pct_from_tip": 46.0})
    claim = claims("bend_point").bend_point(made_up_cases(keys, change), head_cg, fitting, readings, [46.0, 48.0])
    found = {tested: outcome for tested, outcome, _ in claim.summary}
    assert found["3. Head CG moves dynamic loft more than bend point does"] == expected
    # No τ-b with a kick point that all share.
    assert found["3. Over shafts, dynamic loft goes with timing more than with bend point"] == "**cannot be told**"
    # Two golfers are too few for an order.
    assert found["3. Over golfers, the shaft's share of loft goes with timing"] == "**cannot be told**"
    page = parts.page([claim], left_out=["nobody: too fast"], by_torque=["somebody"], digest="0" * 64)
    assert "Driven by torque, not along a line: somebody." in page
    assert "Driven by torque" not in parts.page([claim], left_out=[], by_torque=[], digest="0" * 64)
    assert page.count(parts.HYPOTHESIS) == 2
    assert "nobody: too fast" in page
