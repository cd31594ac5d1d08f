"""Heads made up for tests."""

from __future__ import annotations

from typing import Any

import numpy as np

from swingbeam.club.head import Head


def head(**other: Any) -> Head:
    """A driver-like head; any attribute can be given."""
    given: dict[str, Any] = {
        "name": "Made up",
        "kind": "driver",
        "mass": 0.2,
        "cg": np.array([0.05, -0.018, 0.034]),
        "inertia": np.diag([4e-4, 3e-4, 3.5e-4]),
        "loft": np.radians(10.0),
        "lie": np.radians(58.0),
        "face_angle": 0.0,
        "hosel_height": 0.053,
        "insertion": 0.03,
        "face_centre": np.array([0.05, 0.012, 0.035]),
        "bulge_radius": 0.3,
        "roll_radius": 0.25,
        "face_width": 0.1,
        "face_height": 0.056,
    }
    return Head(**{**given, **other})
