"""Signs and sizes of the figures at impact, on hand-made poses with closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from delivery.flight import PlainFace, flight
from swingbeam.beam.rotations import rotation_from_vector
from swingbeam.delivery.contact import BALL_RADIUS
from swingbeam.delivery.presentation import Impact, present

LIE = np.radians(57.0)
# The grip frame of a club soled at its lie angle, columns x, y, z (DEVELOPERS.md, frames and signs).
SOLED = np.column_stack([(0.0, -np.cos(LIE), -np.sin(LIE)), (1.0, 0.0, 0.0), (0.0, -np.sin(LIE), np.cos(LIE))])
LOFT = np.radians(10.5)
# Closed forms in double precision through a chain of a few rotations.
ROUND = 1e-9


def soled_face(loft=LOFT, **more):
    """A face of a given loft, its axes given in the grip frame of the soled club."""
    normal = np.array([np.cos(loft), 0.0, np.sin(loft)])
    up = np.array([-np.sin(loft), 0.0, np.cos(loft)])
    toe = np.array([0.0, -1.0, 0.0])
    back = SOLED.T
    return PlainFace(normal=back @ normal, toe=back @ toe, up=back @ up, **more)


def shown(turn=None, face=None, *, local=(0.0, 0.0), velocity=(45.0, 0.0, 0.0), omega=(0.0, 0.0, 0.0), **more):
    """Figures of a head that meets the ball at 10 ms with `local` (toe, up) strike on its flat face."""
    face = soled_face() if face is None else face
    rotation = (np.eye(3) if turn is None else turn) @ SOLED
    spun = rotation_from_vector(0.01 * np.asarray(omega, float)).T @ rotation
    run = flight(velocity=velocity, rotation=spun, omega=omega, root_rotation=SOLED, **more)
    at = run.at(0.01)
    place = face.centre + local[0] * face.toe + local[1] * face.up + BALL_RADIUS * face.normal
    ball = at.point_position(place)[0]
    return present(run, face, ball, 0.01, 0.009, np.array([1.0, 0.0, 0.0])), run


def test_soled_and_square_shows_its_own_loft():
    figures, _ = shown()
    assert figures.face_angle == pytest.approx(0.0, abs=ROUND)
    assert figures.dynamic_loft == pytest.approx(LOFT, abs=ROUND)
    assert figures.toe_up == pytest.approx(0.0, abs=ROUND)
    assert figures.arrives == pytest.approx(0.001, abs=ROUND)


def test_turning_about_the_shaft_toward_the_head_opens_the_face():
    angle = np.radians(3.0)
    axis = SOLED[:, 0]
    figures, _ = shown(rotation_from_vector(angle * axis))
    # Rodrigues' formula written out for the normal.
    n = np.array([np.cos(LOFT), 0.0, np.sin(LOFT)])
    turned = n * np.cos(angle) + np.cross(axis, n) * np.sin(angle) + axis * (axis @ n) * (1.0 - np.cos(angle))
    assert figures.face_angle == pytest.approx(np.arctan2(-turned[1], turned[0]), abs=ROUND)
    assert figures.face_angle > 0.0
    assert figures.twist == pytest.approx(angle, abs=ROUND)


def test_twist_ignores_bending_and_bending_ignores_twist():
    # A bend about any axis across the shaft has no twist in the swing–twist split.
    across = SOLED @ np.array([0.0, 0.06, -0.1])
    figures, _ = shown(rotation_from_vector(across))
    assert figures.twist == pytest.approx(0.0, abs=ROUND)
    both, _ = shown(rotation_from_vector(across) @ rotation_from_vector(0.05 * SOLED[:, 0]))
    assert both.twist == pytest.approx(0.05, abs=ROUND)


def test_lifting_the_toe_is_toe_up():
    # Right-handed golfer: the toe points toward −y; turning about the target line by −angle lifts it.
    figures, _ = shown(rotation_from_vector([-0.03, 0.0, 0.0]))
    assert figures.toe_up == pytest.approx(0.03, abs=ROUND)


def test_attack_and_path_are_those_of_the_centre_of_gravity():
    speed, up, out = 45.0, np.radians(-2.0), np.radians(3.0)
    velocity = speed * np.array([np.cos(up) * np.cos(out), -np.cos(up) * np.sin(out), np.sin(up)])
    figures, _ = shown(velocity=velocity, offset=(0.02, -0.02, 0.03))
    assert figures.attack == pytest.approx(up, abs=ROUND)
    assert figures.path == pytest.approx(out, abs=ROUND)
    assert figures.head_speed == pytest.approx(speed, abs=1e-7)


def test_closure_is_the_falling_rate_of_the_face_angle():
    omega = np.array([4.0, 7.0, 40.0])
    figures, run = shown(omega=omega, offset=(0.02, -0.02, 0.03))
    face = soled_face()
    h = 1e-5
    normals = run.at([0.01 - h, 0.01 + h]).tip_rotation_world @ face.normal
    angles = np.arctan2(-normals[:, 1], normals[:, 0])
    # Central difference: h²/6 · ω³ ≈ 1e-6 rad/s.
    assert figures.closure == pytest.approx(-(angles[1] - angles[0]) / (2 * h), abs=1e-4)
    assert figures.closure > 0.0


def test_spinning_about_the_vertical_closes_at_that_rate():
    figures, _ = shown(omega=(0.0, 0.0, 40.0))
    assert figures.closure == pytest.approx(40.0, rel=1e-9)


def test_face_centre_speed_adds_the_spin_on_its_arm():
    face = soled_face(centre=SOLED.T @ np.array([0.0, -0.05, 0.0]))
    figures, _ = shown(face=face, omega=(0.0, 0.0, 40.0))
    # A face centre 50 mm toe-ward (−y) of the axis, turning at 40 rad/s about z: 2 m/s faster.
    assert figures.face_centre_speed == pytest.approx(45.0 + 0.05 * 40.0, abs=1e-7)
    assert figures.head_speed == pytest.approx(45.0, abs=1e-7)


def test_strike_point_comes_back():
    figures, _ = shown(local=(0.013, -0.007))
    assert figures.strike_toe == pytest.approx(0.013, abs=ROUND)
    assert figures.strike_up == pytest.approx(-0.007, abs=ROUND)


def test_a_toe_strike_on_a_bulged_face_starts_out_open():
    face = soled_face(bulge_curvature=1.0 / 0.3, roll_curvature=1.0 / 0.3)
    figures, _ = shown(face=face, local=(0.02, 0.015))
    assert figures.face_angle == pytest.approx(0.0, abs=ROUND)
    # 20 mm on a 300 mm radius is 3.8°, seen level a little more for the loft; 15 mm up adds 2.9° of loft.
    assert np.degrees(figures.face_angle_at_strike) == pytest.approx(3.8, abs=0.4)
    assert np.degrees(figures.dynamic_loft_at_strike - figures.dynamic_loft) == pytest.approx(2.9, abs=0.4)


def test_deflections_are_read_in_the_grip_frame():
    # The tip sits 1 m down the tangent, 30 mm ahead and 20 mm toe-down.
    deflection = np.array([1.0, 0.03, -0.02])
    start = np.array([0.0, 0.0, 1.0]) + SOLED @ deflection
    figures, _ = shown(start=start - np.array([45.0, 0.0, 0.0]) * 0.01)
    assert figures.lead == pytest.approx(0.03, abs=ROUND)
    assert figures.droop == pytest.approx(0.02, abs=ROUND)
    assert figures.in_plane == pytest.approx(0.03, abs=ROUND)


def test_change_against_itself_is_zero():
    figures, _ = shown()
    assert figures.minus(figures) == Impact(*[0.0] * 17)
