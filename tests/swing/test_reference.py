"""The reference run: nothing gives for the reference club, and stiff hands are the vice."""

from __future__ import annotations

import numpy as np
import pytest

from swing.golfers import reference
from swingbeam.beam import InputError, simulate
from swingbeam.club.build import Club, build_club
from swingbeam.delivery.unload import bend_direction, in_plane_bend
from swingbeam.shaft.shaft import scale
from swingbeam.swing.hands import EFFORT, HAND_INERTIA, HOLD, MODES, VICE, Hands
from swingbeam.swing.reference import drive_reference, hand_axes, root_inertia, run_club


def softer(club: Club) -> Club:
    """The reference club with a shaft of 0.85 times the bending stiffness."""
    return build_club(scale(club.shaft, ei=0.85), club.head, finished_length=club.finished_length)


@pytest.mark.parametrize("solver", ["curvature", "elements"])
@pytest.mark.parametrize("mode", MODES)
def test_the_hands_do_not_give_for_the_reference_club(mode, solver):
    made = reference()
    run = run_club(made.club, made, MODES[mode], solver=solver)
    # The couple is kept at the solver's own instants, so only the solver's own tolerance is left.
    assert np.abs(run.root_yield).max() <= 1e-9
    held = made.record(solver)
    np.testing.assert_allclose(run.tip_position, held.tip_position, rtol=0, atol=1e-8)


def test_the_hands_do_not_give_with_other_damping_either():
    made = reference()
    run = run_club(made.club, made, HOLD, damping_scale=2.0)
    assert np.abs(run.root_yield).max() <= 1e-9
    assert np.abs(run.tip_position - made.record().tip_position).max() > 1e-6  # the damping did change something


def test_another_club_makes_them_give():
    made = reference()
    run = run_club(softer(made.club), made, HOLD)
    # 15 % less stiffness is centimetres of bend: well above round-off, well below a turn.
    assert 1e-3 < np.abs(run.root_yield).max() < 0.1


def test_hold_becomes_vice_as_the_stiffness_grows():
    made = reference()
    club = softer(made.club)
    held = run_club(club, made, VICE).tip_position_world
    misses = []
    for factor in (1.0, 1e2, 1e4, 1e6):
        hands = Hands("stiff", factor * HOLD.stiffness, np.sqrt(factor) * HOLD.damping)
        misses.append(np.abs(run_club(club, made, hands).tip_position_world - held).max())
    assert misses[0] > misses[1] > misses[2]
    # Yield is couple difference over stiffness: at 2·10⁷ N·m/rad some 1e-6 rad, microns at the tip.
    assert misses[3] < 5e-5


def test_vice_is_a_prescribed_root():
    made = reference()
    club = softer(made.club)
    vice = run_club(club, made, VICE)
    plain = simulate(club.profile, club.tip, made.motion, viscosity=club.viscosity)
    np.testing.assert_array_equal(vice.tip_position, plain.tip_position)
    assert np.abs(vice.root_yield).max() == 0.0
    # The hands' own inertia is counted in their couple and in nothing else.
    np.testing.assert_array_equal(vice.root_moment, plain.root_moment)
    assert np.abs(vice.root_couple - plain.root_couple).max() > 0.1


def test_the_reference_run_follows_the_couple_of_the_rigid_club_about_the_hinge_and_the_line_about_the_rest():
    made = reference()
    line = made.line
    run = drive_reference(line, made.club)
    assert np.abs(run.root_yield[:, 1:]).max() < 1e-15  # held: what is left is the turn between two frames
    couple = np.einsum("nij,nj->ni", run.root_rotation, run.root_couple) @ line.normal
    wanted = np.interp(run.t, line.t, line.couple)
    # What is left is effort's own stiffness and damping on the yield ψ: 2 N·m/rad · 0.15 rad + 0.3 · 3 rad/s.
    assert np.abs(couple - wanted).max() < 1.5
    yielded = run.root_yield[:, 0]
    law = wanted - EFFORT.stiffness[0] * yielded
    rate = np.gradient(yielded, run.t)
    # np.gradient is of order h²: 4e-6 s² times the third derivative of ψ (some 1e4 rad/s³), times the
    # damping.
    np.testing.assert_allclose((law - EFFORT.damping[0] * rate - couple)[2:-2], 0.0, atol=0.06)


def test_the_shaft_follows_the_couple_without_ringing():
    """Bend and couple of the reference run move together: the residue of a straight-line fit is small."""
    made = reference()
    run = drive_reference(made.line, made.club)
    window = (run.t > made.top + 0.02) & (run.t < -0.09)
    across = bend_direction(made.normal, run.motion_rotation)
    bend = in_plane_bend(run.tip_position, run.root_rotation, across)
    couple = np.interp(run.t, made.line.t, made.line.couple)
    slope, offset = np.polyfit(couple[window], bend[window], 1)
    residue = bend[window] - slope * couple[window] - offset
    assert slope < 0.0
    # A clamped shaft driven by the rigid club's motion misses by the size of the bend itself; here a fifth
    # will do.
    assert residue.std() < 0.2 * np.ptp(bend[window])


def test_axes_are_those_of_the_reference_pose_and_do_not_roll():
    made = reference()
    eye = np.swapaxes(made.axes, 1, 2) @ made.axes
    np.testing.assert_allclose(eye, np.broadcast_to(np.eye(3), eye.shape), atol=1e-12)
    rotation = made.motion.at(made.motion.t).rotation
    np.testing.assert_allclose(made.axes[:, :, 1], rotation[:, :, 0], atol=1e-12)
    np.testing.assert_allclose(made.axes[:, :, 0] @ made.normal, 1.0, atol=1e-9)  # roll and third were held
    with pytest.raises(InputError, match="plane"):
        hand_axes(rotation, rotation[0, :, 0])


def test_root_inertia_counts_hands_and_what_they_hold():
    club = reference().club
    hinge, roll, third = root_inertia(club)
    assert hinge == third == HAND_INERTIA[0] + club.held_inertia[1]
    assert roll == HAND_INERTIA[1] + club.held_inertia[0]


def test_a_heavier_grip_has_no_effect():
    """What lies behind the hold point is carried by the hands: the reference club's stays in them."""
    made = reference()
    heavy = build_club(made.club.shaft, made.club.head, finished_length=made.club.finished_length, grip_mass=0.09)
    first, second = (run_club(club, made, HOLD) for club in (made.club, heavy))
    np.testing.assert_array_equal(first.tip_position, second.tip_position)
