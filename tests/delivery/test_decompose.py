"""The causes of face angle and loft: each alone, and their sum."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swingbeam.beam.rotations import rotation_from_vector
from swingbeam.delivery.decompose import decompose, face_angle, loft

LIE = np.radians(57.0)
SOLED = np.column_stack([(0.0, -np.cos(LIE), -np.sin(LIE)), (1.0, 0.0, 0.0), (0.0, -np.sin(LIE), np.cos(LIE))])
NORMAL = SOLED.T @ np.array([np.cos(0.18), 0.0, np.sin(0.18)])
NAMES = ("when", "reference", "hands", "bend", "twist")
# The contract: the parts sum to the angle within 1e-9 degrees.
SUM = np.radians(1e-9)

vectors = st.lists(st.floats(-0.3, 0.3), min_size=3, max_size=3)


@given(vectors, vectors, vectors, vectors)
def test_parts_sum_to_the_angle_at_impact(when, reference, hands, tip):
    line = SOLED @ rotation_from_vector(when)
    ref = line @ rotation_from_vector(reference)
    root = ref @ rotation_from_vector(hands)
    turn = rotation_from_vector(tip)
    face, up = decompose(NORMAL, SOLED, line, ref, root, turn)
    world = root @ turn @ NORMAL
    assert abs(face.total - face_angle(world)) < SUM
    assert abs(up.total - loft(world)) < SUM


@pytest.mark.parametrize("cause", NAMES)
def test_one_cause_alone_fills_its_own_part_only(cause):
    turns = {name: np.eye(3) for name in NAMES}
    # In the grip frame of a soled club: z is across the shaft, x along it.
    turns[cause] = rotation_from_vector([0.02, 0.0, 0.0] if cause == "twist" else [0.0, 0.03, 0.05])
    line = SOLED @ turns["when"]
    ref = line @ turns["reference"]
    root = ref @ turns["hands"]
    for parts in decompose(NORMAL, SOLED, line, ref, root, turns["bend"] @ turns["twist"]):
        for name in NAMES:
            if name == cause:
                assert abs(getattr(parts, name)) > 1e-4
            else:
                assert getattr(parts, name) == pytest.approx(0.0, abs=SUM)


def test_twist_that_opens_shows_as_open_from_twist():
    face, _ = decompose(NORMAL, SOLED, SOLED, SOLED, SOLED, rotation_from_vector([0.01, 0.0, 0.0]))
    assert face.twist > 0.0
    assert face.rigid == pytest.approx(0.0, abs=SUM)


def test_bend_toward_the_target_adds_loft():
    # κ_z > 0 moves the tip along y, toward the target, and turns the face up: the trade's "adds loft".
    _, up = decompose(NORMAL, SOLED, SOLED, SOLED, SOLED, rotation_from_vector([0.0, 0.0, 0.05]))
    assert up.bend > 0.0
    assert up.rigid == pytest.approx(0.18, abs=SUM)
