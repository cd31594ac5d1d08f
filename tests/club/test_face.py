"""The face in the grip frame, against the soled club in the world."""

import numpy as np
import pytest

from club.made_up import head
from swingbeam.club.face import face_axes, face_normal, face_of, surface
from swingbeam.delivery.contact import BALL_RADIUS, nearest_on_face


def in_the_world(vector: np.ndarray, lie: float) -> np.ndarray:
    """Grip frame to world with the club soled: x_G, y_G, z_G as the frames state them."""
    c, s = np.cos(lie), np.sin(lie)
    return vector @ np.array([[0.0, -c, -s], [1.0, 0.0, 0.0], [0.0, -s, c]])


@pytest.mark.parametrize("lie", np.radians([50.0, 58.0, 64.0]))
@pytest.mark.parametrize("loft", np.radians([-2.0, 10.5, 56.0]))
@pytest.mark.parametrize("angle", np.radians([-4.0, 0.0, 3.0]))
def test_loft_and_face_angle_are_read_back_in_the_world(lie: float, loft: float, angle: float) -> None:
    n = in_the_world(face_normal(loft, lie, angle), lie)
    # Elevation is the loft; open turns the normal toward −y (right of the target). atol 1e-14: round-off.
    assert np.arcsin(n[2]) == pytest.approx(loft, abs=1e-14)
    assert np.arctan2(-n[1], n[0]) == pytest.approx(angle, abs=1e-14)
    toe, up = (in_the_world(v, lie) for v in face_axes(loft, lie, angle))
    assert toe[2] == pytest.approx(0.0, abs=1e-15)
    assert toe[1] < 0.0  # away from a golfer who stands on the +y side
    assert up[2] > 0.0
    np.testing.assert_allclose(np.array([n, toe, up]) @ np.array([n, toe, up]).T, np.eye(3), rtol=0.0, atol=1e-15)


def test_square_and_unlofted_is_forward() -> None:
    np.testing.assert_allclose(face_normal(0.0, 1.0, 0.0), [0.0, 1.0, 0.0], rtol=0.0, atol=1e-16)
    toe, up = face_axes(0.0, np.pi / 2, 0.0)
    np.testing.assert_allclose(toe, [0.0, 0.0, 1.0], rtol=0.0, atol=1e-16)
    np.testing.assert_allclose(up, [-1.0, 0.0, 0.0], rtol=0.0, atol=1e-16)


def test_equal_radii_are_a_sphere() -> None:
    face = face_of(head(bulge_radius=0.3, roll_radius=0.3))
    toe, up = np.meshgrid(np.linspace(-0.05, 0.05, 5), np.linspace(-0.03, 0.03, 5))
    points, normals = surface(face, toe, up)
    middle = face.centre - 0.3 * face.normal
    # atol 1e-15 m: round-off.
    np.testing.assert_allclose(np.linalg.norm(points - middle, axis=-1), 0.3, rtol=0.0, atol=1e-15)
    np.testing.assert_allclose(points - middle, 0.3 * normals, rtol=0.0, atol=1e-15)


def test_the_surface_is_the_one_contact_is_found_on() -> None:
    face = face_of(head(bulge_radius=0.28, roll_radius=0.22))
    toe, up = np.meshgrid(np.linspace(-0.05, 0.05, 5), np.linspace(-0.028, 0.028, 5))
    points, normals = surface(face, toe, up)
    for ahead in (0.0, 0.02):
        ball = points + ahead * normals - face.centre
        found = nearest_on_face(
            ball @ face.normal, ball @ face.toe, ball @ face.up, face.bulge_curvature, face.roll_curvature
        )
        # atol 1e-15 m: round-off of two different roads to the same torus.
        np.testing.assert_allclose(found.gap, ahead - BALL_RADIUS, rtol=0.0, atol=1e-15)
        np.testing.assert_allclose(found.toe, (points - face.centre) @ face.toe, rtol=0.0, atol=1e-15)


def test_a_flat_face_is_a_plane() -> None:
    face = face_of(head(bulge_radius=np.inf, roll_radius=np.inf))
    points, normals = surface(face, 0.03, -0.02)
    np.testing.assert_allclose(points, face.centre + 0.03 * face.toe - 0.02 * face.up, rtol=0.0, atol=1e-16)
    np.testing.assert_allclose(normals, face.normal, rtol=0.0, atol=1e-16)


def test_sizes() -> None:
    face = face_of(head(bulge_radius=0.3))
    assert face.bulge_curvature == pytest.approx(1 / 0.3, rel=1e-15)
    assert (face.half_width, face.half_height) == (0.05, 0.028)
