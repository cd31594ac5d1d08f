"""The line: kinematics, the release, the couple, the end conditions, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from swing.golfers import ADJUSTMENT, DEGREE, PROFILE, TIP, body, line, plan, root_tensor
from swingbeam.beam import InputError, rigid_couple
from swingbeam.swing.laws import ROLL_AT_TOP
from swingbeam.swing.line import PAST_IMPACT, draw_line, plane_basis, speed_at_impact, swing_turn
from swingbeam.swing.plan import Adjustment, SwingPlan


def test_velocity_and_acceleration_are_the_derivatives_of_the_pose():
    drawn = line()
    t = drawn.t[60:-60:7]
    state = drawn.motion().at(t)
    pick = slice(60, -60, 7)
    # A quintic spline through samples 1 ms apart: its second derivative errs by h⁴ times the sixth
    # derivative, which for changes over 65 ms (ω ≈ 100 1/s) is some 1e12 times the amplitude of the change.
    np.testing.assert_allclose(state.velocity, drawn.velocity[pick], rtol=0, atol=1e-5)
    np.testing.assert_allclose(state.acceleration, drawn.acceleration[pick], rtol=0, atol=5e-3)
    omega = np.einsum("nij,nj->ni", state.rotation, state.omega)
    omega_dot = np.einsum("nij,nj->ni", state.rotation, state.omega_dot)
    np.testing.assert_allclose(omega, drawn.omega[pick], rtol=0, atol=1e-4)
    np.testing.assert_allclose(omega_dot, drawn.omega_dot[pick], rtol=0, atol=5e-2)


def test_the_couple_is_that_of_a_rigid_body_on_this_motion():
    """Euler's equations on the splined pose, which knows nothing of the hinge equation."""
    errors = []
    for step in (2e-3, 1e-3):
        drawn = line(step)
        keep = (drawn.t > drawn.address) & (drawn.t < PAST_IMPACT - 0.01)
        t = drawn.t[keep]
        _, couple = rigid_couple(PROFILE, TIP, drawn.motion(), t, root_inertia=root_tensor())
        world = np.einsum("nij,nj->ni", drawn.rotation[keep], couple)
        errors.append(np.abs(world @ drawn.normal - drawn.couple[keep]).max())
    # The splined acceleration errs by order h⁴; of a couple of 20 N·m the finer step leaves less than 0.02
    # N·m.
    assert errors[1] < 0.02
    assert errors[1] < errors[0] / 8.0


def test_the_release_equation_holds_at_every_sample():
    """Independent of the pose: the angles' own rates, differenced."""
    drawn = line()
    h = drawn.t[1] - drawn.t[0]
    for angle in (drawn.arm, drawn.club, drawn.roll):
        # Fourth-order central differences: h⁴/30 times the fifth derivative (some 1e10 for the release).
        slope = (-angle[0, 4:] + 8 * angle[0, 3:-1] - 8 * angle[0, 1:-3] + angle[0, :-4]) / (12 * h)
        np.testing.assert_allclose(slope, angle[1, 2:-2], rtol=0, atol=2e-3)
        slope = (-angle[1, 4:] + 8 * angle[1, 3:-1] - 8 * angle[1, 1:-3] + angle[1, :-4]) / (12 * h)
        np.testing.assert_allclose(slope, angle[2, 2:-2], rtol=0, atol=0.1)


def test_the_pose_at_impact_is_exact():
    drawn = line()
    i = drawn.impact
    assert drawn.t[i] == 0.0
    # The release instant is solved to 1e-13 s at some 40 rad/s.
    assert drawn.club[0, i] == pytest.approx(-ADJUSTMENT.lean, abs=1e-10)
    assert drawn.arm[0, i] == pytest.approx(8 * DEGREE, abs=1e-10)
    assert drawn.arm[1, i] == pytest.approx(11.0, abs=1e-9)
    assert drawn.roll[0, i] == pytest.approx(ADJUSTMENT.roll, abs=1e-10)
    assert drawn.roll[1, i] == pytest.approx(-25.0, abs=1e-9)
    assert drawn.couple[i] == pytest.approx(-8.0, abs=1e-9)


def test_top_and_peak_of_the_arms_are_where_they_are_stated():
    drawn = line()
    top = np.searchsorted(drawn.t, drawn.top + 1e-9) - 1
    assert drawn.t[top] == pytest.approx(drawn.top, abs=1e-12)
    assert drawn.arm[0, top] == pytest.approx(-140 * DEGREE, abs=1e-10)
    assert drawn.arm[1, top] == pytest.approx(0.0, abs=1e-10)
    peak = drawn.t[np.argmax(drawn.arm[1])]
    assert peak == pytest.approx(-0.07, abs=1.1e-3)  # a sample
    # Set before the release begins: the hinge rests at its angle.
    early = line(set_after_top=0.08, push=6.0)
    held = (early.t > early.top + 0.08) & (early.t < early.release - 0.041)
    assert held.sum() > 10
    # The sum of acceleration steps cancels to round-off, the release equation holds to the march's 1e-8.
    np.testing.assert_allclose(early.hinge[0, held], -96 * DEGREE, rtol=0, atol=1e-6)
    assert drawn.roll[0, top] == pytest.approx(ROLL_AT_TOP, abs=1e-12)


def test_the_club_swings_in_the_plane_and_the_frames_are_those_of_the_frames_page():
    drawn = line(adjustment=Adjustment(0.0, 0.0, 0.0, 0.0, 0.30), hinge=90 * DEGREE)
    i = drawn.impact
    c, s = np.cos(50 * DEGREE), np.sin(50 * DEGREE)
    # Square and without lean: down the plane, face side to the target, toe away from the golfer (who stands
    # at +y).
    np.testing.assert_allclose(drawn.rotation[i], np.column_stack([[0, -c, -s], [1, 0, 0], [0, -s, c]]), atol=1e-9)
    np.testing.assert_allclose(drawn.rotation[:, :, 0] @ drawn.normal, 0.0, atol=1e-12)
    np.testing.assert_allclose(drawn.axes[:, :, 0], np.broadcast_to(drawn.normal, (drawn.t.size, 3)), atol=1e-15)
    np.testing.assert_allclose(drawn.axes[:, :, 2], np.cross(drawn.axes[:, :, 0], drawn.axes[:, :, 1]), atol=1e-12)
    assert drawn.velocity[i, 0] > 5.0  # the hands go to the target
    # The toe trails in the downswing and the face closes: a quarter turn open, the toe axis against the
    # motion.
    k = int(np.searchsorted(drawn.t, -0.15))
    across = drawn.axes[k, :, 2]
    assert drawn.rotation[k, :, 2] @ across == pytest.approx(-1.0, abs=1e-2)


def test_the_hub_travels_and_its_acceleration_is_in_the_couple():
    drawn, still = line(), line(hub_shift=0.0, hub_lift=0.0)
    travel = drawn.hub[-1] - drawn.hub[0]
    turned = swing_turn(ADJUSTMENT.yaw, ADJUSTMENT.pitch) @ np.array([0.08, 0.0, 0.04])
    # Shift ends 60 ms and lift 80 ms after impact, the line 40 ms after it: most of both is done.
    np.testing.assert_allclose(travel, turned, rtol=0, atol=0.01)
    assert np.abs(still.hub).max() == 0.0
    assert abs(drawn.release - still.release) > 1e-4


def test_the_line_runs_on_past_impact_by_the_same_equation():
    drawn = line()
    assert drawn.t[-1] >= PAST_IMPACT - 1e-9
    i = drawn.impact
    # Were it extrapolated or joined, a derivative up to the fourth would jump at impact: compare the change
    # of the fourth difference there with the largest change within 60 ms.
    for values in (drawn.club[0], drawn.position[:, 0], drawn.position[:, 2]):
        fourth = np.diff(values, 4)
        changes = np.abs(np.diff(fourth))
        about = changes[i - 60 : i + 35]
        assert changes[i - 5 : i + 1].max() <= about.max()
        # Round-off of a fourth difference of numbers of order one, and the fifth derivative over one step.
        assert np.abs(fourth[i - 60 : i + 35]).max() < 1e-5
    # And the equation goes on holding: same check as before impact, on the splined pose.
    keep = (drawn.t > 0.0) & (drawn.t < PAST_IMPACT - 0.01)
    _, couple = rigid_couple(PROFILE, TIP, drawn.motion(), drawn.t[keep], root_inertia=root_tensor())
    world = np.einsum("nij,nj->ni", drawn.rotation[keep], couple)
    np.testing.assert_allclose(world @ drawn.normal, -8.0, rtol=0, atol=0.02)


def test_the_step_between_samples_does_not_matter():
    coarse, fine = line(2e-3), line(5e-4)
    # Runge–Kutta of order four over changes of 80 ms: (2/80)⁴ of a radian, and smaller by 256 for the finer
    # step.
    assert coarse.release == pytest.approx(fine.release, abs=1e-6)
    # Both start on a grid that ends at impact, so the coarse samples are among the fine ones.
    i, k = coarse.impact, fine.impact
    back = np.arange(0, 300 // 2)
    np.testing.assert_allclose(coarse.club[0, i - back], fine.club[0, k - 4 * back], rtol=0, atol=1e-6)


def test_a_quicker_downswing_is_a_faster_head():
    head = np.array([1.05, -0.018, 0.034])
    speeds = [
        speed_at_impact(line(adjustment=Adjustment(0.0, 0.0, 4 * DEGREE, 0.0, time)), head)
        for time in (0.28, 0.31, 0.34)
    ]
    assert speeds[0] > speeds[1] > speeds[2]


def test_yaw_and_pitch_turn_the_whole_swing():
    turn = swing_turn(0.2, -0.1)
    np.testing.assert_allclose(turn @ turn.T, np.eye(3), atol=1e-14)
    assert turn[1, 0] > 0.0  # yaw right-handed about +z: x toward +y
    assert turn[2, 0] > 0.0  # pitch right-handed about +y: a negative one lifts x
    basis = plane_basis(50 * DEGREE)
    np.testing.assert_allclose(np.linalg.det(basis), 1.0, rtol=1e-12)


@pytest.mark.parametrize(
    ("changes", "adjustment", "words"),
    [
        ({"rate_at_impact": 29.0}, ADJUSTMENT, "rate at impact"),
        ({"turn_at_top": 60 * DEGREE}, ADJUSTMENT, "turn"),
        ({"roll_rate": 8.0}, ADJUSTMENT, "raise the roll rate"),
        ({"hinge": 130 * DEGREE}, Adjustment(0.0, 0.0, -20 * DEGREE, 0.0, 0.25), "lengthen the downswing"),
        ({"couple_at_impact": -40.0, "fade": 0.3, "push": -20.0}, ADJUSTMENT, "released at the top"),
        ({"hinge": 40 * DEGREE}, Adjustment(0.0, 0.0, 30 * DEGREE, 0.0, 0.30), "set the hinge further"),
        ({}, Adjustment(0.0, 0.0, 0.0, 0.0, 0.45), "arms cannot turn fastest"),
        ({}, Adjustment(0.0, 0.0, 0.0, 0.0, 0.05), "too short"),
    ],
)
def test_infeasible_combinations_are_refused_in_words_that_say_what_to_relax(changes, adjustment, words):
    with pytest.raises(InputError, match=words):
        draw_line(plan(**changes), body(), adjustment)


def test_downswing_and_head_speed_are_two_ways_of_saying_the_same():
    made = plan()
    parts = (made.tempo, made.arms, made.wrists, made.forearms)
    with pytest.raises(InputError, match="either the downswing time or the head speed"):
        SwingPlan("x", *parts, plan(head_speed=None).target)
    with pytest.raises(InputError, match="not both"):
        plan(downswing=0.3)
