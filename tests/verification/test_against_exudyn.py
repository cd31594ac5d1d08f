"""Both solvers against exudyn, an independent general flexible-multibody library, on two swings.

Without viscosity: nothing that dies away hides a difference. Expected agreement is .3 mm and .05°, which is what
stretch and shear of a real tube, a step of .5 ms and a mesh of sixteen elements each cost.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from swingbeam.beam import Profile, simulate
from verification.exudyn_model import drive
from verification.motions import club_like, severe_swing

pytest.importorskip("exudyn", minversion="1.13")

NEAR = 0.3e-3
"""m"""
TURNED = 0.05
"""deg"""
STEP = 5e-4
"""s: second order; exudyn's own step error is some .05 mm here (its results at 1, .5 and .25 ms)."""


def finite(profile: Profile) -> Profile:
    """The same beam with a stiffness to stretch and shear of 10⁷ N, which exudyn's Newton iteration can do with.

    Hand force over that, 40 µm, is what it stretches by; a carbon tube has some 3·10⁶ N.
    """
    return Profile(
        profile.s,
        profile.ei,
        profile.gj,
        profile.mass,
        ea=1e7,
        ga=1e7,
        rotary=profile.rotary,
        spine_angle=profile.spine_angle,
    )


@cache
def case(name):
    """Profile, body, motion and, where a long quiet part leads in, exudyn's coarse steps for it."""
    if name == "severe":
        profile, body = club_like()
        return finite(profile), body, severe_swing(), None
    from swingbeam.swing import load_swing, prepare

    reference = prepare(load_swing("even"))
    club = reference.club
    # The golfer's own club on its reference pose: backswing in steps of 4 ms, .5 ms from the top on.
    return finite(club.profile), club.tip, reference.motion, (reference.top - 0.05, 4e-3)


def apart(run, course):
    """Largest distance, m, and angle, deg, of the tips over the whole course."""
    seen = run.at(np.clip(course.t, run.t[0], run.t[-1]))
    distance = np.linalg.norm(seen.tip_position_world - course.position, axis=1)
    relative = np.swapaxes(seen.tip_rotation_world, 1, 2) @ course.rotation
    vee = 0.5 * np.stack([relative[:, i, j] - relative[:, j, i] for i, j in ((2, 1), (0, 2), (1, 0))], axis=1)
    return distance.max(), np.degrees(np.arcsin(np.linalg.norm(vee, axis=1))).max()


@pytest.mark.parametrize("name", ["severe", "starter driver"])
def test_elements_at_equal_mesh(name):
    """Sixteen elements each: mesh errors are alike and cancel, so what is asked is nearer than the mesh error."""
    profile, body, motion, coarse = case(name)
    course = drive(profile, body, motion, 16, STEP, coarse=coarse)
    run = simulate(profile, body, motion, solver="elements", elements=16, step=STEP)
    distance, angle = apart(run, course)
    assert distance < NEAR / 2
    assert angle < TURNED / 2


@pytest.mark.parametrize("name", [pytest.param("severe", marks=pytest.mark.slow), "starter driver"])
def test_curvature_against_64_elements(name):
    """The swing's default of nine unknowns, and more of them, against 64 elements."""
    profile, body, motion, coarse = case(name)
    course = drive(profile, body, motion, 64, STEP, coarse=coarse)
    for options in (
        {"solver": "curvature"},
        {"solver": "curvature", "functions": (8, 4), "step": 1e-3},
        {"solver": "elements", "elements": 64, "step": STEP},
    ):
        distance, angle = apart(simulate(profile, body, motion, **options), course)
        assert distance < NEAR
        assert angle < TURNED
