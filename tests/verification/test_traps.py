"""Simpler models and a careless start must fail the checks: they are what the checks are for.

That leaving out the stiffening by tension blows the spin-up up is in `test_spinning.py`.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from swing.golfers import reference
from swingbeam.beam import Motion, Profile, TipBody, simulate
from swingbeam.beam.statics import Shape
from verification import test_spinning, test_statics
from verification.test_mutations import DROOP, PRINCETON


def straight_linear(
    profile: Profile, tip: TipBody | None = None, *, tip_force: Any = None, spin: Any = None, hub: Any = None, **_: Any
) -> Shape:
    """What a linear model about the straight, unloaded, uniform beam makes of a load at its tip.

    Force P and moment M at the end: deflection PL³/3EI + ML²/2EI in each plane by itself, rotation PL²/2EI +
    ML/EI, twist T L/GJ (Gere & Timoshenko, Mechanics of Materials, table G-1). The loads are those on the
    undeformed body, so neither the tension along the beam nor the droop of its tip enters.
    """
    length = profile.length
    force = np.zeros(3) if tip_force is None else np.asarray(tip_force, dtype=float)
    moment = np.zeros(3)
    if tip is not None and spin is not None:
        rate = np.asarray(spin, dtype=float)
        place = np.array([length, 0.0, 0.0]) + tip.offset + np.asarray(hub, dtype=float)
        pull = -tip.mass * np.cross(rate, np.cross(rate, place))
        force = force + pull
        moment = np.cross(tip.offset, pull)
    along_y, along_z, twist = *profile.ei[0], float(profile.gj[0])
    # Bending that moves the tip along +z turns it about −y.
    position = np.array(
        [
            length,
            force[1] * length**3 / (3 * along_y) + moment[2] * length**2 / (2 * along_y),
            force[2] * length**3 / (3 * along_z) - moment[1] * length**2 / (2 * along_z),
        ]
    )
    turn = np.array(
        [
            moment[0] * length / twist,
            -force[2] * length**2 / (2 * along_z) + moment[1] * length / along_z,
            force[1] * length**2 / (2 * along_y) + moment[2] * length / along_y,
        ]
    )
    rotation = np.eye(3) + np.array([[0, -turn[2], turn[1]], [turn[2], 0, -turn[0]], [-turn[1], turn[0], 0]])
    return Shape(np.array([np.zeros(3), position]), np.array([np.eye(3), rotation]))


def test_a_straight_linear_model_twists_no_princeton_beam(monkeypatch):
    """It has the deflections nearly right and no twist at all, where 1.5 degrees are due."""
    angle = np.radians(PRINCETON[0])
    profile = test_statics.uniform(0.508, test_statics.PRINCETON["ei"], test_statics.PRINCETON["gj"], 0.1)
    shape = straight_linear(profile, tip_force=8.896 * np.array([0.0, np.cos(angle), np.sin(angle)]))
    # Nearly right: geometry takes some (w/L)² = 2.5 % of the soft way and adds to the stiff way.
    np.testing.assert_allclose(shape.position[-1, 1:], PRINCETON[1:3], rtol=0.1)
    assert shape.rotation[-1, 2, 1] == 0.0
    monkeypatch.setattr(test_statics, "static_shape", straight_linear)
    with pytest.raises(AssertionError):
        test_statics.test_princeton_beam("curvature", *PRINCETON)


@pytest.mark.parametrize("plane", ["y", "z"])
def test_a_straight_linear_model_droops_past_the_offset(monkeypatch, plane):
    """T e L²/2EI = 182.5 mm in steady spin, where the pull allows no more than the offset of 30 mm."""
    profile, body, spin, axis = test_spinning.droop_case(plane)
    shape = straight_linear(profile, body, spin=spin, hub=[0.0, 0, 0])
    assert abs(shape.position[-1, axis]) == pytest.approx(0.2 * 40.0**2 * 1.1 * 0.03 * 1.1**2 / (2 * 35.0), rel=1e-12)
    assert abs(shape.position[-1, axis]) == pytest.approx(182.5e-3, rel=1e-3)
    monkeypatch.setattr(test_spinning, "static_shape", straight_linear)
    with pytest.raises(AssertionError):
        test_spinning.test_droop_in_steady_spin("curvature", plane, *DROOP[1:])


def test_starting_from_a_straight_shaft_moves_the_delivery():
    """The starter driver from the top: straight instead of bent by what it carries, and the ball meets another face.

    It rings with what it was not bent by at the top; of damping of about 1 % a third of a second leaves most.
    """
    made = reference()
    club, whole = made.club, made.motion
    late = whole.t[whole.t >= made.top]
    pose = whole.at(late)
    downswing = Motion.from_samples(late, pose.position, pose.rotation)
    moved = []
    for solver in ("elements", "curvature"):
        bent, straight = (
            simulate(club.profile, club.tip, downswing, solver=solver, viscosity=club.viscosity, start=start).at(0.0)
            for start in ("equilibrium", "straight")
        )
        turn = np.swapaxes(bent.tip_rotation_world, 1, 2) @ straight.tip_rotation_world
        moved.append(np.linalg.norm(straight.tip_position - bent.tip_position))
        # Ten times what the solvers differ by on a swing (.3 mm, .05 deg) is what is called moved.
        assert moved[-1] > 3e-3
        assert np.degrees(np.arccos(0.5 * (np.trace(turn[0]) - 1.0))) > 0.5
    assert moved[0] == pytest.approx(moved[1], abs=0.3e-3)


def test_the_linear_model_is_right_for_small_loads():
    """So that it fails for what it leaves out and not by a slip: it agrees with both solvers under a small load."""
    profile = test_statics.uniform(1.1, (35.0, 70.0), 12.0, 0.0)
    body, spin = TipBody(0.2, [0.0, 0.03, 0.02]), [0.1, 0.3, 0.2]
    linear = straight_linear(profile, body, spin=spin, hub=[0.5, 0, 0])
    for solver in ("elements", "curvature"):
        shape = test_statics.static_shape(
            profile, body, spin=spin, hub=[0.5, 0, 0], solver=solver, elements=64, functions=(6, 3)
        )
        # Tension changes the deflection by T L²/2EI = 1e-3 at .3 rad/s; 64 elements by 1/4n² = 6e-5.
        np.testing.assert_allclose(shape.position[-1, 1:], linear.position[-1, 1:], rtol=3e-3)
        np.testing.assert_allclose(shape.rotation[-1] - np.eye(3), linear.rotation[-1] - np.eye(3), rtol=0, atol=1e-6)
