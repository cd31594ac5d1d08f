"""Every way to state a pose, and every lie of the axes, gives the same pose."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from swing.recordings import (
    IMPACT,
    MARKER_HEAD,
    POSE_HEAD,
    TEMPLATE,
    declaration,
    frame_times,
    marker_rows,
    pose_rows,
    true_poses,
    write_csv,
    write_declaration,
)
from swingbeam.beam.rotations import rotation_from_vector
from swingbeam.files.recording_file import AxesTable
from swingbeam.swing.recorded_poses import load_recording, world_axes

T = frame_times(120.0)
POSITION, ROTATION = true_poses(T)
ROUND_OFF = 1e-9
"""Of a few products of numbers of order one, written and read to the full; angles go through arc functions."""


def read(folder: Path, head: list[str], rows: np.ndarray, table: dict[str, Any]) -> tuple[np.ndarray, np.ndarray]:
    write_csv(folder / "data.csv", head, rows)
    poses = load_recording(write_declaration(folder / "recording.toml", table)).poses
    assert_allclose(poses.t, T + IMPACT, atol=1e-12)
    return poses.position, poses.rotation


def test_quaternions_of_either_order_sign_and_direction(tmp_path: Path) -> None:
    rows = pose_rows(T)
    rows[::3, 4:] *= -1.0  # the same rotations
    rows[:, 4:] *= 1.02  # normalised at the door
    position, rotation = read(tmp_path, POSE_HEAD, rows, declaration("quaternion"))
    assert_allclose(position, POSITION, atol=ROUND_OFF)
    assert_allclose(rotation, ROTATION, atol=ROUND_OFF)
    inverse = rows.copy()
    inverse[:, 5:] *= -1.0
    table = declaration("quaternion")
    table["quaternion"] = {"columns": ["qx", "qy", "qz", "qw"], "order": "scalar last", "turns": "data to body"}
    assert_allclose(read(tmp_path, POSE_HEAD, inverse, table)[1], ROTATION, atol=ROUND_OFF)


@pytest.mark.parametrize("turns", ["body to data", "data to body"])
def test_matrices_row_by_row(tmp_path: Path, turns: str) -> None:
    names = [f"r{i}{j}" for i in range(3) for j in range(3)]
    given = ROTATION if turns == "body to data" else np.swapaxes(ROTATION, 1, 2)
    rows = np.column_stack([T + IMPACT, POSITION, given.reshape(-1, 9)])
    table = declaration("matrix", matrix={"columns": names, "turns": turns})
    position, rotation = read(tmp_path, [*POSE_HEAD[:4], *names], rows, table)
    assert_allclose(position, POSITION, atol=ROUND_OFF)
    assert_allclose(rotation, ROTATION, atol=ROUND_OFF)


@pytest.mark.parametrize("order", ["zyx", "xyz", "zxz"])
@pytest.mark.parametrize("about", ["moving axes", "fixed axes"])
@pytest.mark.parametrize("unit", ["deg", "rad"])
def test_angles_about_axes_in_turn(tmp_path: Path, order: str, about: str, unit: str) -> None:
    # Turns about moving axes in an order are turns about fixed axes in the reverse order (Goldstein 1980, Classical
    # Mechanics, ch. 4): written here by hand, one matrix for each axis.
    angles = Rotation.from_matrix(ROTATION).as_euler(order.upper() if about == "moving axes" else order)
    product = np.tile(np.eye(3), (T.size, 1, 1))
    for letter, angle in zip(order, angles.T, strict=True):
        one = rotation_from_vector(np.outer(angle, np.eye(3)["xyz".index(letter)]))
        product = product @ one if about == "moving axes" else one @ product
    assert_allclose(product, ROTATION, atol=ROUND_OFF)
    rows = np.column_stack([T + IMPACT, POSITION, np.degrees(angles) if unit == "deg" else angles])
    table = declaration(
        "euler", euler={"columns": ["a", "b", "c"], "order": order, "about": about, "turns": "body to data"}
    )
    head = [*POSE_HEAD[:4], *(f"{name} ({unit})" for name in "abc")]
    assert_allclose(read(tmp_path, head, rows, table)[1], ROTATION, atol=ROUND_OFF)


def test_markers(tmp_path: Path) -> None:
    position, rotation = read(tmp_path, MARKER_HEAD, marker_rows(T, noise=0.0), declaration())
    assert_allclose(position, POSITION, atol=ROUND_OFF)
    assert_allclose(rotation, ROTATION, atol=ROUND_OFF)


@pytest.mark.parametrize(
    ("up", "target", "handedness"),
    [("+y", "+z", "right"), ("-x", "+y", "right"), ("+z", "-y", "left"), ("+y", "+x", "left")],
)
def test_axes_of_the_data(tmp_path: Path, up: str, target: str, handedness: str) -> None:
    # Data along declared axes: component by component, up is z of the world, target its x, and the third is what the
    # handedness makes it. World y = z × x (up × target).
    parts = {"x": 0, "y": 1, "z": 2}
    to_data = np.zeros((3, 3))
    to_data[parts[up[1]], 2] = 1.0 if up[0] == "+" else -1.0
    to_data[parts[target[1]], 0] = 1.0 if target[0] == "+" else -1.0
    third = ({0, 1, 2} - {parts[up[1]], parts[target[1]]}).pop()
    to_data[third, 1] = 1.0
    if np.linalg.det(to_data) * (1.0 if handedness == "right" else -1.0) < 0.0:
        to_data[third, 1] = -1.0
    markers = marker_rows(T, noise=0.0)
    markers[:, 1:] = (markers[:, 1:].reshape(-1, 4, 3) @ to_data.T).reshape(T.size, -1)
    table = declaration(axes={"up": up, "target": target, "handedness": handedness})
    position, rotation = read(tmp_path, MARKER_HEAD, markers, table)
    assert_allclose(position, POSITION, atol=ROUND_OFF)
    assert_allclose(rotation, ROTATION, atol=ROUND_OFF)
    assert_allclose(world_axes(AxesTable(up=up, target=target, handedness=handedness)) @ to_data, np.eye(3))


def test_a_body_that_sits_askew_on_the_club(tmp_path: Path) -> None:
    # The body's −z points down the shaft, its +x to the face side; the tracked point sits 20 cm down the shaft.
    body = np.stack([ROTATION[:, :, 1], np.cross(-ROTATION[:, :, 0], ROTATION[:, :, 1]), -ROTATION[:, :, 0]], axis=2)
    origin = np.array([0.2, -0.03, 0.05])
    place = POSITION + ROTATION @ origin
    names = [f"r{i}{j}" for i in range(3) for j in range(3)]
    table = declaration("matrix", matrix={"columns": names, "turns": "body to data"})
    table["body"] = {"shaft_axis": "-z", "face_axis": "+x", "origin": ["200 mm", "-30 mm", "50 mm"]}
    rows = np.column_stack([T + IMPACT, place, body.reshape(-1, 9)])
    position, rotation = read(tmp_path, [*POSE_HEAD[:4], *names], rows, table)
    assert_allclose(position, POSITION, atol=ROUND_OFF)
    assert_allclose(rotation, ROTATION, atol=ROUND_OFF)


def test_a_left_hander_is_reflected_at_the_door(tmp_path: Path) -> None:
    # His markers are the mirror image of a right-hander's; in his own grip frame z = x × y points to the heel.
    rows = marker_rows(T, noise=0.0)
    rows[:, 1:] = (rows[:, 1:].reshape(-1, 4, 3) * [1.0, -1.0, 1.0]).reshape(T.size, -1)
    template = [
        {"name": name, "position": [f"{x:g} m", f"{y:g} m", f"{-z:g} m"]} for name, (x, y, z) in TEMPLATE.items()
    ]
    position, rotation = read(tmp_path, MARKER_HEAD, rows, declaration(handed="left", markers=template))
    assert_allclose(position, POSITION, atol=ROUND_OFF)
    assert_allclose(rotation, ROTATION, atol=ROUND_OFF)


def test_empty_cells_and_zeros_are_not_known(tmp_path: Path) -> None:
    rows = pose_rows(T)
    rows[20, 1:4] = 0.0
    rows[30, 4:] = 0.0
    rows[40, 2] = np.nan
    write_csv(tmp_path / "data.csv", POSE_HEAD, rows)
    recording = load_recording(write_declaration(tmp_path / "recording.toml", declaration("quaternion")))
    missing = np.setdiff1d(np.round((T + IMPACT) * 1e6), np.round(recording.poses.t * 1e6))
    assert_allclose(missing, np.round((T[[20, 30, 40]] + IMPACT) * 1e6))
    assert any("3 of" in note for note in recording.notes)
