"""Contact of face and ball against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from delivery.flight import PlainFace, flight
from swingbeam.delivery.contact import (
    BALL_RADIUS,
    ball_event,
    find_contact,
    nearest_on_face,
    penetration,
    strike,
)

SPEED = 45.0
# Contact is solved to 1e-12 s; the Hermite interpolation of a uniform flight is exact to round-off.
TIME = 1e-11
LENGTH = 1e-9


def test_flat_face_flying_straight_touches_after_the_free_distance():
    ball = np.array([0.5, 0.01, 0.005])
    contact = find_contact(flight(velocity=(SPEED, 0.0, 0.0)), PlainFace(), ball, 0.0)
    assert contact.time == pytest.approx((0.5 - BALL_RADIUS) / SPEED, abs=TIME)
    assert contact.reason is None


def test_strike_point_of_a_flat_face_is_the_foot_of_the_perpendicular():
    run = flight(velocity=(SPEED, 0.0, 0.0))
    ball = np.array([0.5, 0.01, 0.005])
    contact = find_contact(run, PlainFace(), ball, 0.0)
    where = strike(run.at(contact.time), PlainFace(), ball)
    # The toe is toward −y: a ball 10 mm toward the golfer is struck 10 mm heel-ward.
    assert where.toe[0] == pytest.approx(-0.01, abs=LENGTH)
    assert where.up[0] == pytest.approx(0.005, abs=LENGTH)
    assert where.gap[0] == pytest.approx(0.0, abs=LENGTH)


def test_closing_face_touches_when_the_plane_reaches_the_ball():
    # Plane through (Vt, 0, 0) with normal (cos ωt, sin ωt, 0): distance (X − Vt) cos ωt + Y sin ωt.
    omega, ball = 40.0, np.array([0.4, -0.015, 0.0])
    run = flight(velocity=(SPEED, 0.0, 0.0), omega=(0.0, 0.0, omega), duration=0.012)

    def gap(t):
        return (ball[0] - SPEED * t) * np.cos(omega * t) + ball[1] * np.sin(omega * t) - BALL_RADIUS

    expected = brentq(gap, 0.0, 0.012, xtol=1e-14)
    # Quintic Hermite of a turn of 0.08 rad a step: error of order 0.08⁶ /46080 rad on 30 mm, below 1e-12 m.
    assert find_contact(run, PlainFace(), ball, 0.0).time == pytest.approx(expected, abs=1e-10)


@pytest.mark.parametrize("across", [(0.0, 0.0), (0.012, -0.009), (-0.02, 0.01)])
def test_spherical_face_touches_at_the_sum_of_radii(across):
    # Equal bulge and face-roll radii make the face a sphere of radius ρ centred ρ behind the face centre.
    radius = 0.3
    face = PlainFace(bulge_curvature=1.0 / radius, roll_curvature=1.0 / radius)
    ball = np.array([0.5, *across])
    reach = np.sqrt((radius + BALL_RADIUS) ** 2 - across[0] ** 2 - across[1] ** 2)
    run = flight(velocity=(SPEED, 0.0, 0.0))
    contact = find_contact(run, face, ball, 0.0)
    assert contact.time == pytest.approx((0.5 - (reach - radius)) / SPEED, abs=TIME)
    where = strike(run.at(contact.time), face, ball)
    # The strike point divides the line of centres in the ratio of the radii.
    share = radius / (radius + BALL_RADIUS)
    assert where.toe[0] == pytest.approx(-share * across[0], abs=LENGTH)
    assert where.up[0] == pytest.approx(share * across[1], abs=LENGTH)


@given(
    st.floats(-0.05, 0.3),
    st.floats(-0.06, 0.06),
    st.floats(-0.04, 0.04),
    st.floats(0.0, 5.0),
    st.floats(0.0, 5.0),
)
def test_nearest_point_lies_on_the_face_along_its_normal(ahead, toe, up, bulge, roll):
    where = nearest_on_face(ahead, toe, up, bulge, roll)
    normal = np.array(
        [
            np.cos(where.tilt_up) * np.cos(where.tilt_toe),
            np.cos(where.tilt_up) * np.sin(where.tilt_toe),
            np.sin(where.tilt_up),
        ]
    )
    point = np.array([ahead, toe, up]) - (where.gap + BALL_RADIUS) * normal
    assert point[1:] == pytest.approx([where.toe, where.up], abs=1e-12)
    # On the torus itself (its own distance is zero), and its normal there is the same.
    again = nearest_on_face(*point, bulge, roll)
    assert again.gap + BALL_RADIUS == pytest.approx(0.0, abs=1e-12)
    assert (again.tilt_toe, again.tilt_up) == pytest.approx((where.tilt_toe, where.tilt_up), abs=1e-10)


def test_bulge_turns_a_toe_strike_open_and_roll_turns_a_high_strike_up():
    where = nearest_on_face(BALL_RADIUS, 0.02, 0.01, 1.0 / 0.3, 1.0 / 0.25)
    assert where.tilt_toe > 0.0
    assert where.tilt_up > 0.0


def test_contact_before_the_downswing_does_not_count():
    # At address the face is at the ball and leaves it; only its return counts.
    run = flight(velocity=(SPEED, 0.0, 0.0), start=(-0.1, 0.0, 0.0))
    ball = np.array([0.0, 0.0, 0.0])
    first = (0.1 - BALL_RADIUS) / SPEED
    assert find_contact(run, PlainFace(), ball, 0.0).time == pytest.approx(first, abs=TIME)
    assert find_contact(run, PlainFace(), ball, first + 0.005).time is None


@pytest.mark.parametrize(
    ("ball", "words"),
    [
        ((0.5, -0.09, 0.0), "toe-ward"),
        ((0.5, 0.09, 0.0), "heel-ward"),
        ((0.5, 0.0, 0.09), "above"),
        ((0.5, 0.0, -0.09), "below"),
        ((5.0, 0.0, 0.0), "before the face reaches"),
    ],
)
def test_a_missed_ball_has_a_reason_and_no_time(ball, words):
    contact = find_contact(flight(velocity=(SPEED, 0.0, 0.0)), PlainFace(), np.array(ball), 0.0)
    assert contact.time is None
    assert words in contact.reason


def test_an_edge_that_comes_first_is_no_contact_of_the_face():
    # The face plane is already past the ball when the head rises to it from below.
    run = flight(velocity=(0.0, 0.0, 20.0), start=(0.0, 0.0, -0.4))
    contact = find_contact(run, PlainFace(), np.array([0.01, 0.0, 0.0]), 0.0)
    assert contact.time is None
    assert "edge" in contact.reason


@pytest.mark.parametrize("up", [-0.035, -0.02, 0.0, 0.02, 0.035])
@pytest.mark.parametrize("shift", [0.0, 0.3, 0.6, 0.9])
def test_a_lofted_face_is_met_wherever_the_solver_steps(up, shift):
    # In 2 ms the face runs 90 mm past the ball, whose foot on a lofted face then lies 25 mm and more from the
    # strike point: near the edge it is off the face at every later instant. The contact counts all the same.
    loft = 0.3
    normal = np.array([np.cos(loft), 0.0, np.sin(loft)])
    face = PlainFace(normal=normal, up=np.array([-np.sin(loft), 0.0, np.cos(loft)]))
    run = flight(velocity=(SPEED, 0.0, 0.0), start=(-SPEED * 2e-3 * shift, 0.0, 0.0))
    ball = np.array([0.5, 0.0, 0.0]) + BALL_RADIUS * normal + up * face.up
    contact = find_contact(run, face, ball, 0.0)
    assert contact.reason is None
    assert strike(run.at(contact.time), face, ball).up[0] == pytest.approx(up, abs=LENGTH)


@pytest.mark.parametrize(("toe", "up"), [(0.01, -0.008), (-0.02, 0.012)])
def test_nearest_point_undoes_the_club_s_own_surface(toe, up):
    # The club floor states the surface by its arcs; a ball a radius off along the normal touches just there.
    from swingbeam.club.face import Face, surface

    plain = PlainFace(bulge_curvature=1.0 / 0.3, roll_curvature=1.0 / 0.25)
    face = Face(
        np.array([0.05, 0.01, 0.03]), plain.normal, plain.toe, plain.up, plain.bulge_curvature,
        plain.roll_curvature, plain.half_width, plain.half_height,
    )  # fmt: skip
    point, normal = surface(face, toe, up)
    offset = point + BALL_RADIUS * normal - face.centre
    where = nearest_on_face(
        offset @ face.normal, offset @ face.toe, offset @ face.up, face.bulge_curvature, face.roll_curvature
    )
    assert where.gap == pytest.approx(0.0, abs=1e-12)
    assert where.toe == pytest.approx((point - face.centre) @ face.toe, abs=1e-12)
    assert where.up == pytest.approx((point - face.centre) @ face.up, abs=1e-12)


def test_event_is_the_same_row_by_row_and_ends_a_run_at_contact():
    run, ball = flight(velocity=(SPEED, 1.0, -2.0), omega=(3.0, 5.0, 30.0)), np.array([0.45, 0.01, -0.01])
    face = PlainFace(bulge_curvature=3.0, roll_curvature=4.0)
    together = penetration(run, face, ball, 0.001)
    single = [ball_event(face, ball, 0.001)(run.at(t))[0] for t in run.t]
    np.testing.assert_allclose(together, single, rtol=0.0, atol=1e-12)
    assert np.all(together[run.t < 0.001] < 0.0)
    whole = find_contact(run, face, ball, 0.001)
    ended = find_contact(run.until(whole.time), face, ball, 0.001)
    assert ended.time == pytest.approx(whole.time, abs=1e-10)


def test_a_ball_on_the_face_between_two_instants_is_not_missed():
    # 45 m/s and 2 ms between instants: 90 mm in front of the face at one, at the next behind it and, the head
    # rising at 20 m/s, 45 mm below the face centre, past the face's edge. Contact is in between, 25 mm in.
    run = flight(velocity=(45.0, 0.0, 20.0), start=(-0.09, 0.0, -0.005))
    contact = find_contact(run, PlainFace(), np.array([0.0, 0.0, 0.02]), 0.0)
    assert contact.reason is None
    assert contact.time == pytest.approx((0.09 - BALL_RADIUS) / 45.0, abs=TIME)
