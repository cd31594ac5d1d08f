"""Both solvers against exudyn, an independent general flexible-multibody library, on a severe swing."""

from __future__ import annotations

import numpy as np
import pytest
from verification.exudyn_model import drive
from verification.motions import club_like, severe_swing

from swingbeam.beam import Profile, simulate

pytest.importorskip("exudyn", minversion="1.13")

NEAR = 0.3e-3
"""m"""
TURNED = 0.05
"""deg"""
STEP = 5e-4
"""s: second order, exudyn's own step error is some .05 mm here (its results at 1, .5 and .25 ms)."""


def finite(profile: Profile) -> Profile:
    """The same beam with stretch and shear as a thin tube of carbon has them: exudyn needs them finite."""
    return Profile(
        profile.s, profile.ei, profile.gj, profile.mass, ea=3e6, ga=1e6, rotary=profile.rotary
    )


def apart(run, course):
    """Largest distance, m, and angle, deg, of the tips over the whole course."""
    seen = run.at(np.clip(course.t, run.t[0], run.t[-1]))
    distance = np.linalg.norm(seen.tip_position_world - course.position, axis=1)
    relative = np.swapaxes(seen.tip_rotation_world, 1, 2) @ course.rotation
    vee = 0.5 * np.stack(
        [relative[:, i, j] - relative[:, j, i] for i, j in ((2, 1), (0, 2), (1, 0))], axis=1
    )
    return distance.max(), np.degrees(np.arcsin(np.linalg.norm(vee, axis=1))).max()


def test_elements_at_equal_mesh():
    """Sixteen elements each."""
    profile, body = club_like()
    profile, motion = finite(profile), severe_swing()
    course = drive(profile, body, motion, 16, STEP)
    distance, angle = apart(simulate(profile, body, motion, solver="elements", elements=16, step=STEP), course)
    assert distance < NEAR
    assert angle < TURNED
    # At equal mesh even the errors are nearly alike: a third of what the mesh itself costs (.14 mm, .023°).
    assert course.t[-1] == pytest.approx(motion.end, abs=1e-9)


def test_curvature_against_64_elements():
    """The swing's default of nine unknowns against 64 elements."""
    profile, body = club_like()
    profile, motion = finite(profile), severe_swing()
    course = drive(profile, body, motion, 64, STEP)
    for options in ({}, {"functions": (8, 4), "step": 1e-3}):
        distance, angle = apart(simulate(profile, body, motion, solver="curvature", **options), course)
        assert distance < NEAR
        assert angle < TURNED
    distance, angle = apart(simulate(profile, body, motion, solver="elements", elements=64, step=STEP), course)
    assert distance < NEAR
    assert angle < TURNED
