"""Sentences from numbers: what they say, and what they must not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from report.pages import parsed
from study.made_up import NAMES, ranking
from swingbeam.report.page.choose import choose
from swingbeam.report.page.sentences import answers, bench_sentence, carry_sentence, order_sentence, pair_sentence
from swingbeam.study.repeated import Repeated

DEGREE = np.pi / 180.0


def words(sentence, units="metric"):
    return parsed(str(sentence)).text(units)


def two(*, apart=0.003, loft=-0.4, face=0.0, turned=(), none=(), resolution=0.0001, ranks=(1, 2)):
    """Two clubs: the first unloads `apart` s before the second, with a difference of loft and face (first − second, °)
    that has its own sign under all hands but those of `turned`, and is none under those of `none`."""
    result = ranking(failing=False)
    a, b = result.runs[0], result.runs[1]
    modes = ("vice", "hold", "effort")
    signs = {mode: -1.0 if mode in turned else 0.0 if mode in none else 1.0 for mode in modes}
    zero = {"half_ms": 0.0, "dynamic_loft_deg": 0.0, "face_angle_deg": 0.0}
    under = {
        mode: {"half_ms": -1e3 * apart, "dynamic_loft_deg": sign * loft, "face_angle_deg": sign * face}
        for mode, sign in signs.items()
    }
    first = replace(
        a,
        rank=ranks[0],
        resolution=resolution,
        unload=replace(a.unload, half=-0.050),
        impact=replace(a.impact, dynamic_loft=(14.0 + loft) * DEGREE, face_angle=face * DEGREE),
        under=under,
    )
    second = replace(
        b,
        rank=ranks[1],
        resolution=resolution,
        unload=replace(b.unload, half=-0.050 + apart),
        impact=replace(b.impact, dynamic_loft=14.0 * DEGREE, face_angle=0.0),
        under=dict.fromkeys(modes, zero),
    )
    return replace(result, runs=(first, second)), first, second


def repeated(result, share):
    clubs = tuple(run.shaft for run in result.runs)
    before = np.array([[np.nan, share], [1.0 - share, np.nan]])
    place = np.array([[share, 1.0 - share], [1.0 - share, share]])
    return replace(
        result,
        repeated=Repeated(clubs, 300, 0, 1, False, "made up", (300, 300), {}, {}, place, before, before, (1, 2), {}),
    )


def test_unloads_before_and_delivers_more():
    result, a, b = two(loft=0.4)
    assert words(pair_sentence(result, a, b)) == (
        f"{NAMES[0]} unloads 3.0 ms before {NAMES[1]} for this golfer (with all three kinds of hands) and delivers "
        "0.4° more loft and the same face angle within 0.05°, before the golfer adapts."
    )


def test_less_loft_and_a_closed_face():
    result, a, b = two(loft=-1.2, face=-0.3)
    text = words(pair_sentence(result, a, b))
    assert "delivers 1.2° less loft and a face 0.3° more closed, before the golfer adapts." in text


@pytest.mark.parametrize(
    "case", [{"apart": 0.00008, "resolution": 0.0001}, {"apart": 0.0003, "resolution": 0.0005}, {"ranks": (1, 1)}]
)
def test_what_is_not_told_apart_is_not_ordered(case):
    text = words(pair_sentence(*two(**case)))
    assert "unload too close together to be told apart" in text
    assert "before the golfer adapts" in text
    assert "ms before" not in text


def test_without_a_resolution_nothing_is_ordered():
    text = words(pair_sentence(*two(resolution=None)))
    assert "no resolution is known" in text
    assert "ms before" not in text


def test_loft_that_turns_with_the_hands_is_not_resolved():
    assert "0.4° less loft (not resolved)" in words(pair_sentence(*two(turned=("effort",))))
    assert "0.4° less loft (not with all hands)" in words(pair_sentence(*two(none=("vice",))))


def test_timing_that_turns_with_the_hands_says_so():
    result, a, b = two()
    turned = {**a.under, "vice": {**a.under["vice"], "half_ms": 2.0}}
    text = words(pair_sentence(result, replace(a, under=turned), b))
    assert "(with “hold” hands; after it with others)" in text


def test_repeated_swings_are_counted():
    result, a, b = two()
    text = words(pair_sentence(repeated(result, 0.97), a, b))
    assert text.endswith("; on 300 of this golfer’s swings the order of unloading held 97 times in 100.")
    text = words(pair_sentence(repeated(result, 0.61), a, b))
    assert text.endswith("held 61 times in 100: not resolved.")


def test_repeated_swings_make_no_order_where_there_is_none():
    result, a, b = two(ranks=(1, 1))
    assert "times in 100" not in words(pair_sentence(repeated(result, 0.97), a, b))


def test_the_order():
    text = words(order_sentence(ranking(failing=False)))
    # The made-up half-unloads are −48.0 ms and 0.2 ms later for each next club.
    assert text == (
        f"Of twelve shafts swung by nobody, {NAMES[0]} unloads first, 48.0 ms before impact; {NAMES[11]} last, 45.8 ms "
        "before."
    )


def test_shafts_of_one_rank_are_named_together():
    result = ranking(failing=False)
    shared = replace(
        result, runs=tuple(replace(run, rank=1 if i < 2 else run.rank) for i, run in enumerate(result.runs))
    )
    text = words(order_sentence(shared))
    assert (
        f"{NAMES[0]} and {NAMES[1]} unload first, too close together to be told apart, 48.0 to 47.8 ms before" in text
    )
    all_one = replace(result, runs=tuple(replace(run, rank=1) for run in result.runs))
    assert "too close together to be told apart" in words(order_sentence(all_one))
    none = replace(result, runs=tuple(replace(run, rank=None) for run in result.runs))
    assert "cannot be ranked" in words(order_sentence(none))


def test_carry_counts_only_what_is_resolved():
    # The made-up carry changes are 3 k/11 m, k = 0 … 11, each with an error of 0.4 m: 0 and 0.27 m are below it. The
    # reference club, the fourth, is not counted: nine of eleven.
    text = words(carry_sentence(ranking(failing=False)))
    assert text == (
        f"Carry changes against {NAMES[3]} are resolved for nine of eleven shafts: {NAMES[11]} 3.0 m longer; "
        f"{NAMES[2]} 0.5 m longer."
    )
    assert "3.3 yd longer" in words(carry_sentence(ranking(failing=False)), "trade")  # 3 m / 0.9144 m


def test_the_bench_is_said_to_hold_for_these_shafts_only():
    text = words(bench_sentence(ranking(failing=False)))
    assert "By weight alone" in text
    assert "these shafts, this golfer and “hold” hands" in text


def test_no_verdict_without_numbers():
    result = ranking(failing=False)
    empty = replace(result, runs=tuple(replace(run, unload=None, rank=None, flight=None) for run in result.runs))
    text = " ".join(words(answer) for answer in answers(empty, choose(empty)))
    assert "cannot be ranked" in text
    assert "carry" not in text.lower()
