"""The motion kept for looking at: what is drawn is where the run has it."""

import numpy as np
import pytest

from swingbeam.files.lookup import find
from swingbeam.study.golfer import load_golfer
from swingbeam.study.motion import SHAFT_POINTS, axis_between, key_instants, swing_motion


@pytest.fixture(scope="module")
def golfer():
    return load_golfer(find("swing", "even"))


@pytest.fixture(scope="module")
def motion(golfer):
    return swing_motion(golfer, golfer.club, "hold", "re-aimed", "curvature")


def test_the_downswing_ends_with_the_face_at_the_ball(motion, golfer):
    assert motion.t[-1] == 0.0
    assert motion.t[0] == pytest.approx(golfer.reference.top - golfer.reference.planned, abs=2e-3)
    # Contact is when the face meets the ball's surface: its centre is then one ball's radius away (.021335 m).
    assert np.linalg.norm(motion.face[-1] - motion.ball) == pytest.approx(0.021335, abs=2e-4)


def test_hub_hands_and_shaft_hang_together(motion, golfer):
    line = golfer.reference.line
    arm = np.linalg.norm(motion.grip - motion.hub, axis=1)
    np.testing.assert_allclose(arm, line.plan.arms.radius, rtol=1e-6)  # what the swing's file states
    assert motion.shaft.shape == (motion.t.size, SHAFT_POINTS, 3)
    np.testing.assert_allclose(motion.shaft[:, 0], motion.grip, atol=1e-12)
    # The drawn axis is as long as the shaft to a millimetre: the cubic is for looking at.
    drawn = np.linalg.norm(np.diff(motion.shaft, axis=1), axis=2).sum(axis=1)
    np.testing.assert_allclose(drawn, golfer.club.profile.length, atol=1e-3)


def test_a_golfer_by_torque_has_a_hub_and_rates_of_his_arms():
    golfer = load_golfer(find("swing", "even-by-torque"))
    seen = swing_motion(golfer, golfer.club, "hold", "re-aimed", "curvature")
    # His arms are 65 cm long, as his file says; the hands are where the hub and the arms put them.
    np.testing.assert_allclose(np.linalg.norm(seen.grip - seen.hub, axis=1), 0.65, atol=1e-5)
    assert seen.kinetics.arm_rate.max() > 10.0


def test_rates_are_those_of_the_line(motion, golfer):
    line = golfer.reference.line
    seen = motion.kinetics
    # The reference club leaves the line by ψ only, some degrees over tenths of a second.
    assert seen.arm_rate[-1] == pytest.approx(line.arm[1][line.impact], rel=1e-3)
    assert seen.club_rate[-1] == pytest.approx(line.club[1][line.impact], rel=0.15)
    assert np.all(np.diff(seen.arm_rate[: seen.t.size // 2]) > 0.0)


def test_instants_are_in_order_and_those_of_the_ranking(motion, golfer):
    measured = golfer.swing(golfer.club, "hold", "re-aimed", "curvature")
    assert next(iter(motion.instants)) == "top"
    assert list(motion.instants)[-1] == "impact"
    assert list(motion.instants.values()) == sorted(motion.instants.values())
    assert motion.instants["half-unload"] == measured.unload.half
    assert key_instants(measured, -0.3)["straight"] == measured.unload.straight


def test_bend_is_that_of_the_curves(motion, golfer):
    curves = golfer.swing(golfer.club, "hold", "re-aimed", "curvature").curves
    seen = np.interp(curves.t, motion.t, motion.bend)
    # Linear between instants a millisecond apart: 1e-6/8 of the second derivative, which stays below 200 m/s².
    np.testing.assert_allclose(seen[1:], curves.in_plane[1:], atol=3e-5)


def test_the_drawn_axis_is_exact_for_a_parabola():
    class Rows:
        root_position = np.zeros((1, 3))
        tip_position_world = np.array([[1.0, 0.05, 0.0]])
        root_rotation = np.eye(3)[None]
        tip_rotation_world = np.array([[[1.0, 0.0, 0.0], [0.1, 1.0, 0.0], [0.0, 0.0, 1.0]]])

    points = axis_between(Rows, 1.0)[0]  # directions (1, 0) and (1, 0.1): y = 0.05 x²
    np.testing.assert_allclose(points[:, 1], 0.05 * points[:, 0] ** 2, atol=1e-12)
