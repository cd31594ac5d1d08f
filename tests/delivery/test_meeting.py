"""How head and ball meet, read off a hand-made run, and small changes of it."""

from __future__ import annotations

import numpy as np
import pytest

from delivery.flight import PlainFace, flight
from swingbeam.beam.rotations import rotation_from_vector
from swingbeam.delivery.contact import BALL_RADIUS
from swingbeam.delivery.decompose import face_angle, loft
from swingbeam.delivery.meeting import DeliveryChange, changed, meeting_of
from swingbeam.delivery.presentation import directions

TURN = rotation_from_vector(np.array([[0.05, -0.2, 0.1]]))[0]
CURVED = PlainFace(centre=np.array([0.01, 0.0, 0.02]), bulge_curvature=1.0 / 0.3, roll_curvature=1.0 / 0.25)
CG = np.array([-0.02, 0.003, 0.015])


def meet(toe=0.0, up=0.0, face=CURVED):
    """A meeting whose ball touches the curved face at arcs `toe` and `up`, made from the surface itself."""
    from swingbeam.club.face import Face, surface

    real = Face(face.centre, face.normal, face.toe, face.up, face.bulge_curvature, face.roll_curvature, 0.06, 0.04)
    point, normal = surface(real, toe, up)
    run = flight(velocity=(45.0, 1.0, 2.0), rotation=TURN, omega=(0.0, -12.0, 40.0), offset=CG, start=(0.0, 0.0, 0.1))
    ball = TURN @ (point + BALL_RADIUS * normal) + np.array([0.0, 0.0, 0.1])
    return meeting_of(run, face, ball, 0.0), point, normal


@pytest.mark.parametrize(("toe", "up"), [(0.0, 0.0), (0.02, 0.0), (-0.015, 0.01)])
def test_strike_point_normal_and_motion(toe, up):
    met, point, normal = meet(toe, up)
    # Rounding of lengths of centimetres.
    np.testing.assert_allclose(met.head.arm, TURN @ (point - CG), atol=1e-14)
    np.testing.assert_allclose(met.head.normal, TURN @ normal, atol=1e-13)
    omega = np.array([0.0, -12.0, 40.0])
    np.testing.assert_allclose(met.head.omega, omega, atol=1e-12)
    np.testing.assert_allclose(met.head.velocity, [45.0, 1.0, 2.0] + np.cross(omega, TURN @ CG), atol=1e-12)
    np.testing.assert_allclose(met.head.inertia, TURN @ np.diag([3e-4, 4e-4, 3e-4]) @ TURN.T, atol=1e-18)
    np.testing.assert_allclose(met.hosel, TURN @ -CG, atol=1e-16)
    axes = np.array([met.head.normal, met.toe, met.up])
    np.testing.assert_allclose(axes @ axes.T, np.eye(3), atol=1e-13)
    assert np.cross(met.toe, met.head.normal) @ met.up == pytest.approx(1.0, abs=1e-13)


def test_changes_are_those_they_say():
    met, _, _ = meet()
    small = 1e-4
    # First order in a change of 1e-4: what is left is 1e-8 and less.
    turned = changed(met, DeliveryChange(face_angle=small))
    assert face_angle(turned.head.normal) - face_angle(met.head.normal) == pytest.approx(small, rel=1e-3)
    assert loft(turned.head.normal) == pytest.approx(loft(met.head.normal), abs=1e-7)
    lofted = changed(met, DeliveryChange(dynamic_loft=small))
    assert loft(lofted.head.normal) - loft(met.head.normal) == pytest.approx(small, rel=1e-3)
    assert face_angle(lofted.head.normal) == pytest.approx(face_angle(met.head.normal), abs=1e-7)
    attack, path = directions(met.head.velocity)
    aimed = changed(met, DeliveryChange(path=small, attack=2.0 * small, speed=0.01)).head.velocity
    assert directions(aimed) == pytest.approx((attack + 2.0 * small, path + small), abs=1e-9)
    assert np.linalg.norm(aimed) == pytest.approx(1.01 * np.linalg.norm(met.head.velocity), rel=1e-12)


def test_a_strike_elsewhere_on_the_face_is_that_of_the_curved_face():
    moved = changed(meet()[0], DeliveryChange(strike_toe=1e-3, strike_up=-5e-4)).head
    there = meet(1e-3, -5e-4)[0].head
    # The arc leaves its tangent by k s²/2 = 2 µm at 1 mm, its normal by (k s)²/2 = 6e-6.
    np.testing.assert_allclose(moved.arm, there.arm, atol=3e-6)
    np.testing.assert_allclose(moved.normal, there.normal, atol=1e-5)


def test_height_is_that_of_the_ball_above_the_ground():
    run = flight(velocity=(45.0, 0.0, 0.0))
    met = meeting_of(run, PlainFace(), [BALL_RADIUS, 0.0, BALL_RADIUS + 0.04], 0.0)
    assert met.height == pytest.approx(0.04, abs=1e-15)
