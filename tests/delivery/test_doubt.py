"""Errors of shots and of their differences, and the swing-to-swing ellipse."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import cho_factor, cho_solve

from swingbeam.delivery.air import Air
from swingbeam.delivery.blow import ContactLaw, HeadState
from swingbeam.delivery.doubt import (
    DOUBTS,
    REPEATABILITY,
    Doubted,
    doubted,
    error_of,
    error_of_change,
    landing_spread,
    shaft_part,
)
from swingbeam.delivery.meeting import DeliveryChange, Meeting
from swingbeam.delivery.shot import FIGURES, Shot, ShotSetting, shot_of

LOFT = np.radians(12.0)
NORMAL = np.array([np.cos(LOFT), 0.0, np.sin(LOFT)])
SPEED, CARRY, SIDE = (FIGURES.index(name) for name in ("ball_speed", "carry", "side"))
SETTING = ShotSetting(law=ContactLaw(fall=0.0))


def meeting(speed=45.0, arm=None):
    head = HeadState(
        0.2,
        np.diag([2.6e-4, 3.1e-4, 4.8e-4]),
        [speed, 0.0, 0.0],
        [0.0, 0.0, 0.0],
        0.03 * NORMAL if arm is None else arm,
        NORMAL,
    )
    toe = np.array([0.0, -1.0, 0.0])
    return Meeting(head, toe, np.cross(toe, NORMAL), 3.0, 3.0, np.array([0.0, 0.05, 0.03]), 0.03)


@pytest.fixture(scope="module")
def pair():
    return doubted(meeting(), SETTING, 0.008), doubted(meeting(46.0), SETTING, 0.008)


def test_shot_is_the_plain_one(pair):
    assert pair[0].shot == shot_of(meeting(), SETTING)
    assert pair[0].moved.shape == (len(DOUBTS), len(FIGURES))


def test_errors_are_what_the_doubts_move(pair):
    one, _ = pair
    # Normal restitution alone, by the closed form of a blow that does not couple: v = (1+e) V cos λ/(1 + m/M) along
    # the normal, the tangential part stays.
    v = 1.83 * 45.0 * np.cos(LOFT) / (1.0 + 0.04593 / 0.2)
    share = v / one.shot.ball_speed  # the direction of the ball is not that of the normal
    assert one.moved[0, SPEED] == pytest.approx(0.01 / 1.83 * v * share, rel=1e-3)
    assert np.all(error_of(one).array() >= np.abs(one.moved).max(axis=0))


def test_a_doubt_that_both_share_drops_out_of_the_difference(pair):
    slow, fast = pair
    # Ball speed is proportional to head speed: the doubt of restitution moves the difference of 1 m/s in 45 by a
    # 45th of what it moves either.
    moved = fast.moved[0, SPEED] - slow.moved[0, SPEED]
    assert moved == pytest.approx(slow.moved[0, SPEED] / 45.0, rel=1e-6)
    assert error_of_change(fast, slow).ball_speed < 0.2 * error_of(slow).ball_speed
    assert error_of_change(fast, slow).carry < 0.2 * error_of(slow).carry


def test_two_equal_clubs_differ_by_no_more_than_the_solver(pair):
    one, _ = pair
    same = error_of_change(one, one)
    # 0.02 m/s of 45 for each of the two: √2 · 0.02 · smash factor, and a little from strike and angles.
    assert same.ball_speed == pytest.approx(np.sqrt(2.0) * 0.02 * one.shot.ball_speed / 45.0, rel=0.2)
    heavier = error_of_change(replace(one, moved=one.moved * 1.1), one)
    assert heavier.carry > same.carry


def test_shaft_that_takes_more_of_the_blow_is_not_shared():
    light, heavy = (doubted(meeting(), SETTING, mass) for mass in (0.006, 0.010))
    row = next(i for i, doubt in enumerate(DOUBTS) if "mass of the shaft" in doubt.name)
    assert heavy.moved[row, SPEED] > light.moved[row, SPEED] > 0.0
    np.testing.assert_allclose(np.delete(heavy.moved, row, 0), np.delete(light.moved, row, 0), atol=1e-12)


def test_bound_on_the_shaft_against_a_beam_of_finite_elements():
    # A uniform beam, its tip driven at V with the slope held and the far end free: the impulse of the tip's force is
    # the beam's momentum. After 0.45 ms against 8 EI b³ V √(t/π). Hermite elements of 4 mm over 1.6 m, trapezoidal
    # rule of 0.5 µs: the start is a jump, which elements and steps smear over some 1 % of the time.
    ei, rho, v, time, h, count, dt = 20.0, 0.06, 1.0, 0.45e-3, 0.004, 400, 0.5e-6
    k = ei / h**3 * np.array([[12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h],
                              [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h * h, -6 * h, 4 * h * h]])  # fmt: skip
    m = rho * h / 420 * np.array([[156, 22 * h, 54, -13 * h], [22 * h, 4 * h * h, 13 * h, -3 * h * h],
                                  [54, 13 * h, 156, -22 * h], [-13 * h, -3 * h * h, -22 * h, 4 * h * h]])  # fmt: skip
    size = 2 * (count + 1)
    stiffness, mass = np.zeros((size, size)), np.zeros((size, size))
    for i in range(count):
        stiffness[2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += k
        mass[2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += m
    inner = (slice(2, None), slice(2, None))
    factor = cho_factor(mass[inner] + 0.25 * dt * dt * stiffness[inner])
    place, rate, acceleration = np.zeros(size - 2), np.zeros(size - 2), np.zeros(size - 2)
    for i in range(round(time / dt)):
        ahead = place + dt * rate + 0.25 * dt * dt * acceleration
        fast = rate + 0.5 * dt * acceleration
        acceleration = cho_solve(factor, -stiffness[inner] @ ahead - stiffness[2:, 0] * v * dt * (i + 1))
        place, rate = ahead + 0.25 * dt * dt * acceleration, fast + 0.5 * dt * acceleration
    moving = np.concatenate([[v, 0.0], rate])
    momentum = float(np.tile([1.0, 0.0], count + 1) @ mass @ moving)
    assert momentum / v == pytest.approx(shaft_part(ei, rho, time), rel=0.02)


def test_ellipse_is_the_spread_of_a_quadratic_shot():
    rng = np.random.default_rng(3)
    slopes, bends = rng.normal(size=(7, 12)), 0.3 * rng.normal(size=(7, 12))
    shot = Shot(*np.zeros(12))
    spread = landing_spread(Doubted(shot, np.zeros((10, 12)), slopes, bends, REPEATABILITY))
    x = rng.normal(size=(200_000, 7))
    drawn = x @ slopes + (x * x) @ bends
    # 2e5 draws: means to 3/√2e5 of the spread, variances to 1 %.
    found = np.cov(drawn[:, [CARRY, SIDE]].T)
    np.testing.assert_allclose(spread.covariance, found, rtol=0.03, atol=0.03 * found.max())
    mean = drawn[:, [CARRY, SIDE]].mean(axis=0)
    np.testing.assert_allclose([spread.mean_carry, spread.mean_side], mean, atol=0.02 * np.sqrt(found.max()))


def test_a_golfer_who_repeats_better_lands_closer():
    half = DeliveryChange(**{name: 0.5 * value for name, value in vars(REPEATABILITY).items()})
    wide, narrow = (landing_spread(doubted(meeting(), SETTING, 0.008, r)) for r in (REPEATABILITY, half))
    # Side is nearly linear in face and path.
    assert narrow.side == pytest.approx(0.5 * wide.side, rel=0.02)
    assert narrow.carry < 0.6 * wide.carry


def test_wind_is_mirrored_for_a_left_hander():
    right = shot_of(meeting(arm=[0.03, -0.01, 0.0]), replace(SETTING, air=Air(wind_speed=6.0, wind_from=1.0)))
    left = shot_of(
        meeting(arm=[0.03, -0.01, 0.0]), replace(SETTING, air=Air(wind_speed=6.0, wind_from=-1.0), left_handed=True)
    )
    np.testing.assert_allclose(left.array(), right.array(), rtol=0.0, atol=1e-9)
