"""A golfer who is not a machine: what is drawn, how it is swung, what follows for the order."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import islice

import numpy as np
import pytest

from swingbeam.beam.errors import InputError
from swingbeam.club.build import load_club
from swingbeam.delivery.doubt import REPEATABILITY
from swingbeam.delivery.meeting import DeliveryChange
from swingbeam.files.base import parse_table
from swingbeam.files.club_file import ClubParts
from swingbeam.study import bands as bands_module
from swingbeam.study.bands import BANDED, FEWEST, figures_of, is_struck, swing_clubs
from swingbeam.study.golfer import load_golfer
from swingbeam.study.many import why_not
from swingbeam.study.repeat import (
    AIM,
    Repetition,
    Setting,
    _foretold,
    check_repeat,
    deviated,
    repeat_swings,
    repetitions,
    swing_once,
    variance_shares,
)
from swingbeam.study.shots import Range, with_plain_shot
from swingbeam.swing import load_swing
from swingbeam.swing.spread import Spread

EVEN = load_swing("even")
DEGREE = math.pi / 180.0
KEYS = [q.key for _, q in BANDED]
SHAFTS = ("wick-65-s", "bracken-46-l", "marl-79-x", "marl-79-x")
LABELS = ("own", "soft", "stiff", "stiff again")
DOZEN = (
    *("bracken-46-l", "bracken-50-r", "bracken-56-s", "bracken-61-x", "marl-52-l", "marl-60-r", "marl-68-s"),
    *("marl-79-x", "wick-54-a", "wick-59-r", "wick-65-s", "wick-72-x"),
)
SWINGS = 20


def club(shaft, label=None):
    parts = {"shaft": shaft, "head": "driver", "finished_length": "45.5 in", "grip_mass": "50 g"}
    return load_club(parse_table(parts | ({} if label is None else {"label": label}), ClubParts))


OWN = club("wick-65-s")


def setting(shafts=SHAFTS, labels=LABELS, swing=EVEN, **changes):
    clubs = tuple(club(shaft, label) for shaft, label in zip(shafts, labels, strict=True))
    return replace(
        Setting(
            swing=swing,
            own=OWN,
            clubs=clubs,
            same=tuple(label == "own" for label in labels),
            hands="hold",
            ball="re-aimed",
            solver="curvature",
            where=Range(),
            resolutions=(0.1e-3,) * len(clubs),
        ),
        **changes,
    )


@pytest.fixture(scope="module")
def repeated():
    return repeat_swings(setting(), SWINGS)


def test_the_same_club_twice_is_the_same_in_every_swing(repeated):
    a, b = repeated.row("stiff"), repeated.row("stiff again")
    assert repeated.figures["stiff"] == repeated.figures["stiff again"]
    assert repeated.before[a, b] == repeated.more_loft[a, b] == 0.5
    np.testing.assert_array_equal(repeated.place[a], repeated.place[b])
    assert repeated.group[a] == repeated.group[b]


def test_the_reference_club_s_own_build_does_not_change_against_itself(repeated):
    for band in repeated.changes["own"].values():
        assert (band.low, band.median, band.high) == (0.0, 0.0, 0.0)


def test_twins_that_differ_in_torque_alone_share_a_group():
    twins = repeat_swings(setting(("wick-63-s-tight", "wick-63-s-loose"), ("tight", "loose")), FEWEST)
    assert twins.group == (1, 1)
    # Nine swings in ten would tell them apart, and 1/2 tells nothing. Torque hardly moves the timing: nearly all
    # swings are ties.
    assert abs(twins.before[0, 1] - 0.5) <= 0.25
    np.testing.assert_allclose(twins.place.sum(axis=1), 1.0, rtol=0, atol=1e-12)


def test_far_from_alike_shafts_are_told_apart(repeated):
    soft, stiff = repeated.row("soft"), repeated.row("stiff")
    assert repeated.before[stiff, soft] > 0.9
    assert repeated.group[stiff] < repeated.group[soft]
    # More flexible, more loft: MacKenzie & Boucher 2016, J. Sports Sci. 35:516.
    assert repeated.more_loft[soft, stiff] == 1.0


def test_what_he_delivers_and_where_he_strikes_differ_from_swing_to_swing(repeated):
    own = repeated.figures["own"]
    for key, size in (("face_angle_deg", REPEATABILITY.face_angle), ("strike_toe_mm", REPEATABILITY.strike_toe)):
        # Of 20 draws the ends are the lowest and the highest: 3.7 σ apart in the mean, σ of that 0.73 (Tippett 1925,
        # Biometrika 17:364; from memory): four of these.
        width = own[key].high - own[key].low
        assert 0.8 * size < width < 6.6 * size
    assert own["face_angle_deg"].draws == repeated.swings == SWINGS
    assert not repeated.mean_is_drawn


def test_number_of_threads_changes_no_bit(repeated, monkeypatch):
    monkeypatch.setattr(bands_module, "MOST_THREADS", 1)
    again = repeat_swings(setting(), SWINGS)
    assert again.figures == repeated.figures
    assert again.changes == repeated.changes
    np.testing.assert_array_equal(again.before, repeated.before)
    np.testing.assert_array_equal(again.place, repeated.place)
    assert again.left_out == repeated.left_out


def test_a_repetition_delivers_what_was_drawn_and_the_ball_stays():
    drawn = DeliveryChange(1.5 * DEGREE, -1.0 * DEGREE, 1.2 * DEGREE, -0.8 * DEGREE, 0.012, 9e-3, -5e-3)
    alone = setting(("bracken-46-l",), ("soft",))
    plan = deviated(EVEN.plan, drawn)
    table = swing_once(alone, plan, _foretold(alone))
    base = dict(zip(KEYS, table[0], strict=True))
    target = EVEN.plan.target
    # Aimed to AIM degrees, and half that many m/s; read with the step of a repetition.
    for key, name in (
        ("face_angle_deg", "face_angle"),
        ("dynamic_loft_deg", "dynamic_loft"),
        ("path_deg", "path"),
        ("attack_deg", "attack"),
    ):
        assert base[key] == pytest.approx(getattr(target, name) + getattr(drawn, name), abs=(AIM + 0.01) * DEGREE)
    assert base["head_speed_mps"] == pytest.approx(1.012 * target.head_speed, abs=0.5 * AIM + 0.001)
    # The ball is where the drawn strike point comes: to what the steps of the pose and of the run leave.
    assert base["strike_toe_mm"] == pytest.approx(9e-3, abs=1e-5)
    assert base["strike_up_mm"] == pytest.approx(-5e-3, abs=1e-5)
    assert base["arrives_ms"] == pytest.approx(0.0, abs=1e-6)


def test_a_repetition_without_deviation_is_the_ranking_s_own_swing():
    alone = setting(("bracken-46-l",), ("soft",))
    table = swing_once(alone, EVEN.plan, _foretold(alone))
    change = dict(zip(KEYS, table[1] - table[0], strict=True))
    golfer = load_golfer(EVEN.path)
    base, soft = (golfer.swing(c, "hold", "re-aimed", "curvature") for c in (golfer.club, alone.clubs[0]))
    # Twice the step: some 0.001° and 0.0001 ms (`repeat.STEP`); the aim, 0.03°, moves changes by less than a hundredth.
    assert change["half_ms"] == pytest.approx(soft.half - base.half, abs=2e-6)
    for key, name in (("face_angle_deg", "face_angle"), ("dynamic_loft_deg", "dynamic_loft")):
        expected = getattr(soft.impact, name) - getattr(base.impact, name)
        assert change[key] == pytest.approx(expected, abs=0.01 * DEGREE)


def in_turn(monkeypatch):
    """Clubs are swung one after another, as a single swing is."""
    monkeypatch.setattr(bands_module, "fits_the_lanes", lambda solver, ball: False)


def assert_same_figures(got, expected):
    """Figures as they are shown: no more apart than what both ways leave open.

    Newton's iteration leaves 1e-9 rad in a step (`lanes.TOLERANCE`); a rate over milliseconds sees it 1e3 times larger,
    and the flight's own steps are chosen to 1e-4 m.
    """
    scale = np.array([q.scale for _, q in BANDED])
    np.testing.assert_allclose(got * scale, expected * scale, rtol=1e-6, atol=1e-4)


def test_side_by_side_and_one_after_another_are_one(monkeypatch):
    dozen = setting(DOZEN, DOZEN)
    plans = [r.plan for r in islice(repetitions(EVEN, REPEATABILITY), 3)]
    foretold = _foretold(dozen)
    together = [swing_once(dozen, plan, foretold) for plan in plans]
    in_turn(monkeypatch)
    for got, plan in zip(together, plans, strict=True):
        assert got.shape == (1 + len(DOZEN), len(BANDED))
        assert np.isfinite(got[:, KEYS.index("carry_m")]).all()
        assert_same_figures(got, swing_once(dozen, plan, foretold))


@pytest.fixture(scope="module")
def golfer():
    return load_golfer(EVEN.path)


WAY = {"hands": "hold", "ball": "re-aimed", "solver": "curvature", "where": Range()}


@pytest.mark.skipif(why_not() is not None, reason="clubs are not swung side by side here")
def test_runs_the_lanes_give_up_are_made_with_the_default_steps_then_one_after_another(golfer, monkeypatch):
    clubs, honest, asked = [OWN, *setting().clubs], bands_module.swing_many, []

    def gives_up(golfer, clubs, *rest, step=None, **way):
        """The second club ends with the default steps only; the fourth never does."""
        asked.append((step, [club.label for club in clubs]))
        many = honest(golfer, clubs, *rest, step=step, **way)
        lost = ("own", "stiff") if step else ("stiff",)
        ended = np.array([club.label not in lost for club in clubs])
        # What was read of a run that did not end is worth nothing.
        figures = np.where(ended[:, None], many.readings.figures, 9.9)
        return replace(many, ended=ended, readings=many.readings._replace(figures=figures))

    expected = swing_clubs(golfer, clubs, **WAY, step=4e-3)
    by_default = swing_clubs(golfer, clubs, **WAY)
    monkeypatch.setattr(bands_module, "swing_many", gives_up)
    got = swing_clubs(golfer, clubs, **WAY, step=4e-3)
    assert asked == [(4e-3, [club.label for club in clubs]), (None, ["own", "stiff"])]
    np.testing.assert_array_equal(got[[0, 2, 4]], expected[[0, 2, 4]])
    np.testing.assert_array_equal(got[1], by_default[1])
    assert_same_figures(got[3], expected[3])


@pytest.mark.parametrize(("ball", "solver"), [("learnt", "curvature"), ("re-aimed", "elements")])
def test_what_the_lanes_do_not_do_is_swung_one_after_another(golfer, monkeypatch, ball, solver):
    monkeypatch.setattr(bands_module, "swing_many", None)
    table = swing_clubs(golfer, [OWN], **WAY | {"ball": ball, "solver": solver})
    np.testing.assert_array_equal(
        table[0], figures_of(with_plain_shot(golfer.swing(OWN, "hold", ball, solver), OWN, Range()))
    )
    assert is_struck(table).all()


@pytest.mark.parametrize("aside", [(0.0, 0.15, 0.0), (0.0, 0.0, -1.0)])
@pytest.mark.parametrize("way", ["one after another", "side by side"])
def test_figures_of_a_ball_that_is_missed_are_none(golfer, monkeypatch, aside, way):
    if way == "one after another":
        in_turn(monkeypatch)
    off = replace(golfer, reference=replace(golfer.reference, ball=golfer.reference.ball + aside), tracks={})
    table = swing_clubs(off, [OWN], **WAY)
    assert np.all(np.isnan(table))
    assert not is_struck(table).any()


def test_draws_are_the_same_whatever_is_done_with_them():
    one, two = (list(islice(repetitions(EVEN, REPEATABILITY), 5)) for _ in range(2))
    assert [r.plan for r in one] == [r.plan for r in two]
    other = next(repetitions(EVEN, REPEATABILITY, seed=7))
    assert other.plan != one[0].plan
    # Without a spread the mean swing is what is stated.
    assert all(r.mean.size == 0 for r in one)
    assert one[0].plan.arms == EVEN.plan.arms


def test_both_spreads_are_drawn_and_independent():
    spread = Spread(("arms.radius", "delivery.face_angle"), np.array([0.01, 0.5 * DEGREE]), np.eye(2), {})
    n = 4000
    made = list(islice(repetitions(replace(EVEN, spread=spread), REPEATABILITY), n))
    mean, deviation = (np.array([getattr(r, name) for r in made]) for name in ("mean", "deviation"))
    # Five times 1/√n of means and correlations, and of deviations 1/√(2n).
    both = np.hstack([mean, deviation])
    assert np.abs(both.mean(axis=0)).max() < 5.0 / math.sqrt(n)
    assert np.abs(both.std(axis=0) - 1.0).max() < 5.0 / math.sqrt(2.0 * n)
    assert np.abs(np.corrcoef(both.T) - np.eye(9)).max() < 5.0 / math.sqrt(n)
    face = np.array([r.plan.target.face_angle for r in made])
    assert face.std() == pytest.approx(math.hypot(0.5, 1.5) * DEGREE, rel=5.0 / math.sqrt(2.0 * n))


def test_a_swing_of_a_stated_length_goes_faster_by_being_shorter():
    plan = replace(
        EVEN.plan, tempo=replace(EVEN.plan.tempo, downswing=0.3), target=replace(EVEN.plan.target, head_speed=None)
    )
    moved = deviated(plan, DeliveryChange(speed=0.02))
    assert moved.tempo.downswing == pytest.approx(0.3 / 1.02, rel=1e-12)
    assert moved.target.head_speed is None


def test_shares_of_the_variance_are_found_again():
    rng = np.random.default_rng(5)
    made = [Repetition(EVEN.plan, rng.standard_normal(10), rng.standard_normal(7)) for _ in range(400)]
    mean, deviation = (np.array([getattr(r, name) for r in made]) for name in ("mean", "deviation"))
    # Variances 4 and 1, and 1 of neither: shares 2/3, 1/6, 1/6. A normal's ranks go with it by 3/π of the variance
    # (correlation √(3/π), 0.977); the rest is sampling, some 3 % (1σ) of 400.
    values = 2.0 * mean[:, 0] + deviation[:, 1] + rng.standard_normal(400)
    changes = np.full((400, 2, len(BANDED)), np.nan)
    for key in ("half_ms", "face_angle_deg", "dynamic_loft_deg"):
        changes[:, 0, KEYS.index(key)] = np.exp(values)  # by rank: whatever is monotone
        changes[:, 1, KEYS.index(key)] = 0.0  # the reference club: nothing to share
    shares = variance_shares(made, changes)["half_ms"]
    assert shares.mean_swing == pytest.approx(2 / 3 * 3 / math.pi, abs=0.09)
    assert shares.swing_to_swing == pytest.approx(1 / 6 * 3 / math.pi, abs=0.09)
    assert shares.rest == pytest.approx(1.0 - shares.mean_swing - shares.swing_to_swing)


@pytest.mark.parametrize("count", [1, FEWEST - 1, -3, 10**6])
def test_a_number_of_repetitions_that_cannot_be_is_refused(count):
    with pytest.raises(InputError, match=f"--repeat: found {count}; allowed: 0, or {FEWEST} to"):
        check_repeat(EVEN, count)


def test_a_swing_that_is_not_aimed_is_refused():
    with pytest.raises(InputError, match="driven by torque; allowed with --repeat"):
        check_repeat(load_swing("even-by-torque"), 300)
