"""A golfer who swings by torque: rest, energy, limits, turning, aim, and the reference his run makes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.interpolate import make_interp_spline

from swingbeam.beam import InputError, SimulationError
from swingbeam.club.build import Club, load_club
from swingbeam.swing.archetype import load_swing
from swingbeam.swing.ball import ball_at_face_centre, delivered
from swingbeam.swing.effort import Effort
from swingbeam.swing.hands import HOLD
from swingbeam.swing.reference import run_club
from swingbeam.swing.torque_aim import SCALES, TOLERANCE, TorqueShot, aim_torques, reference_of, take_shot
from swingbeam.swing.torque_golfer import ArmsAndHub, TorqueGolfer, hold_at_top, swing_by_torque, turned
from swingbeam.swing.torque_golfers import GOLFERS

EVEN, TARGET = GOLFERS[0]


@cache
def club() -> Club:
    even = load_swing("even")
    return load_club(even.reference_club, beside=even.path)


@cache
def shot() -> TorqueShot:
    return aim_torques(EVEN, club(), TARGET)


def test_rests_at_the_top_until_something_sets_in():
    """Efforts that set in after 50 ms, holding torques that give way only then: no motion before."""
    late = replace(
        EVEN,
        settling=0.5,
        shoulders=replace(EVEN.shoulders, onset=0.05),
        release=replace(EVEN.release, onset=0.25),
    )
    run = swing_by_torque(late, club())
    early = run.t <= 0.02
    # By 20 ms the ninth-degree step of the settling has given way by 126 · .04⁵ = 1e-5 of 10 N·m.
    np.testing.assert_allclose(run.rates[early], 0.0, rtol=0, atol=1e-5)
    assert np.abs(hold_at_top(EVEN, club())[0]) > 5.0


def test_energy():
    """Work of the joints and of gravity = change of kinetic, potential and strain energy + what the shaft took."""
    golfer = shot().golfer
    run = swing_by_torque(golfer, club(), step=5e-4)
    gravity = np.array([0.0, 0.0, -9.80665])
    mass = club().profile.total_mass + club().tip.mass
    force = np.einsum("nij,nj->ni", run.root_rotation, run.root_force)
    # Newton's second law of shaft and head, from rest: the velocity of their centre of gravity.
    centre = make_interp_spline(run.t, force / mass + gravity, k=5).antiderivative()(run.t)
    work = make_interp_spline(run.t, np.sum(run.torques * run.rates, axis=1), k=5).antiderivative()(run.t)
    rest = make_interp_spline(run.t, mass * centre @ gravity - run.dissipated_power, k=5).antiderivative()(run.t)
    stored = run.kinetic_energy + run.bend_energy + run.twist_energy + run.link_energy
    # The last instant is where the run was cut, not a step's end: interpolated.
    np.testing.assert_allclose((stored - stored[0])[:-1], (work + rest)[:-1], rtol=0, atol=1e-4 * np.abs(work).max())
    assert np.abs(work).max() > 200.0


def test_strength_and_hinge_range():
    """No joint gives more than its strength; the wrists' stops hold the hinge to what their spring gives."""
    weak = replace(EVEN, strength=(90.0, 40.0, 15.0))
    run = swing_by_torque(weak, club())
    assert run.torques[:, 0].max() <= 90.0
    assert run.torques[:, 0].max() > 85.0
    stretch = EVEN.hinge.behind - run.angles[:, 1].min()
    assert 0.0 < stretch < run.torques[:, 1].max() / EVEN.hinge.stiffness


def test_turning_the_swing_changes_the_path_only():
    """About the vertical, gravity's axis: by an angle, path and face go with it, everything else stays."""
    run, other = swing_by_torque(EVEN, club()), swing_by_torque(turned(EVEN, 0.1), club())
    np.testing.assert_allclose(other.angles, run.angles, rtol=0, atol=1e-8)
    a, b = (delivered(r, club().face, 0.34) for r in (run, other))
    # In-to-out and open are toward −y, right-handed turning is toward +y: both fall.
    assert b.path - a.path == pytest.approx(-0.1, abs=1e-7)
    assert b.face_angle - a.face_angle == pytest.approx(-0.1, abs=1e-7)
    assert b.dynamic_loft == pytest.approx(a.dynamic_loft, abs=1e-7)
    assert b.head_speed == pytest.approx(a.head_speed, abs=1e-6)


def test_a_moving_hub_carries_the_arms():
    """The hub is where it is stated to be: shift along the plane's level line, lift up, both of them at the end."""
    golfer = replace(EVEN, arms=ArmsAndHub(shift=0.07, lift=0.04, travel=0.3))
    end = golfer.hub(np.array([0.0, 0.45]))
    np.testing.assert_allclose(end, [[0, 0, 0], [0.07, 0.0, 0.04]], rtol=0, atol=1e-12)
    run = swing_by_torque(golfer, club())
    from_hub = run.root_position - golfer.hub(run.t)
    np.testing.assert_allclose(np.linalg.norm(from_hub, axis=1), golfer.arms.radius, rtol=0, atol=1e-7)
    np.testing.assert_allclose(from_hub @ golfer.normal, 0.0, rtol=0, atol=1e-7)


def test_aimed():
    """The reference club delivers what is stated, attack and path exactly."""
    at = shot().at_impact
    got = np.array([at.head_speed, at.dynamic_loft, at.face_angle])
    wanted = np.array([TARGET.head_speed, TARGET.dynamic_loft, TARGET.face_angle])
    assert np.abs((got - wanted) / SCALES).max() < 2.0 * TOLERANCE
    assert at.attack == pytest.approx(TARGET.attack, abs=1e-9)
    assert at.path == pytest.approx(TARGET.path, abs=1e-7)


@pytest.mark.parametrize(("golfer", "target"), GOLFERS, ids=[golfer.name for golfer, _ in GOLFERS])
def test_golfers_look_like_golfers(golfer, target):
    """As they stand, before aiming: the same bands of plausibility as the archetypes' (from memory)."""
    found = take_shot(golfer, club(), target)
    run = found.run
    assert 0.23 < found.impact < 0.45
    assert abs(found.at_impact.head_speed - target.head_speed) < 2.0
    before = run.t <= found.impact
    assert 0.04 < np.abs(run.tip_position[before, 1:]).max() < 0.20
    row = run.at(found.impact)
    assert -0.06 < row.tip_position[0, 1] < 0.06
    assert 0.0 < -row.tip_position[0, 2] < 0.04
    closing = -np.degrees(row.rates[0, 2])
    assert 1000.0 < closing < 3500.0
    # Hands 6 to 10 m/s at impact; wrists within 30 N·m, forearms within 5.
    assert 6.0 < np.linalg.norm(row.root_velocity[0]) < 10.0
    assert np.abs(run.torques[before, 1]).max() < 30.0
    assert np.abs(run.torques[before, 2]).max() < 5.0


def test_the_run_as_a_reference_of_hands():
    """Imposed on the grip, the run's own pose gives the run again; under hands the reference club does not yield."""
    found = shot()
    reference = reference_of(found, club())
    held = reference.record()
    t = np.linspace(held.t[0], held.t[-1], 50)
    own = found.run.at(t + found.impact)
    # The pose is a quintic spline through the run's instants, 2 ms apart.
    np.testing.assert_allclose(held.at(t).tip_position, own.tip_position, rtol=0, atol=1e-4)
    np.testing.assert_allclose(ball_at_face_centre(held, club().face), reference.ball, rtol=0, atol=1e-4)
    yielded = run_club(club(), reference, HOLD)
    np.testing.assert_allclose(yielded.root_yield, 0.0, rtol=0, atol=1e-8)
    assert reference.downswing == pytest.approx(found.impact, abs=1e-12)


def test_without_a_stated_head_speed_the_shoulders_are_as_strong_as_they_are():
    aimed = aim_torques(EVEN, club(), TARGET)
    again = aim_torques(aimed.golfer, club(), replace(TARGET, head_speed=None))
    # The golfer who delivers the target already: the same speed, to the tolerance of 1e-5 degrees and half m/s.
    assert again.golfer.shoulders.size == aimed.golfer.shoulders.size
    assert again.at_impact.head_speed == pytest.approx(aimed.at_impact.head_speed, abs=1e-4)
    assert again.at_impact.dynamic_loft == pytest.approx(TARGET.dynamic_loft, abs=1e-6)


def test_refused():
    with pytest.raises(SimulationError, match="not come round"):
        swing_by_torque(replace(EVEN, shoulders=Effort(10.0, 0.0, 0.1), settling=0.5), club())
    with pytest.raises(InputError, match="more inertia"):
        TorqueGolfer("x", EVEN.shoulders, EVEN.release, EVEN.roll, arms=ArmsAndHub(inertia=0.5))
