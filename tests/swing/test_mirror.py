"""A left-handed golfer is the mirror image of a right-handed one."""

from __future__ import annotations

import numpy as np

from swing.golfers import reference
from swingbeam.beam import Motion, TipBody, simulate
from swingbeam.swing.mirror import mirror_rotations, mirror_vectors


def test_mirroring_twice_changes_nothing_and_gives_rotations():
    made = reference()
    state = made.motion.at(made.motion.t)
    mirrored = mirror_rotations(state.rotation)
    np.testing.assert_allclose(np.linalg.det(mirrored), 1.0, rtol=1e-12)
    np.testing.assert_array_equal(mirror_rotations(mirrored), state.rotation)
    np.testing.assert_array_equal(mirror_vectors(mirror_vectors(state.position)), state.position)
    np.testing.assert_array_equal(mirrored[:, :, 0], mirror_vectors(state.rotation[:, :, 0]))
    np.testing.assert_array_equal(mirrored[:, :, 1], mirror_vectors(state.rotation[:, :, 1]))


def test_a_left_handed_swing_with_a_left_handed_club_is_the_mirror_image():
    made = reference()
    club = made.club
    state = made.motion.at(made.motion.t)
    flip = np.array([1.0, 1.0, -1.0])
    left_motion = Motion.from_samples(made.motion.t, mirror_vectors(state.position), mirror_rotations(state.rotation))
    left_tip = TipBody(club.tip.mass, flip * club.tip.offset, flip[:, None] * club.tip.inertia * flip)
    right = simulate(club.profile, club.tip, made.motion, viscosity=club.viscosity)
    left = simulate(club.profile, left_tip, left_motion, viscosity=club.viscosity)
    # The same equations with signs changed, but summed in another order: the solver's tolerance, not bits.
    np.testing.assert_allclose(mirror_vectors(left.head_position), right.head_position, rtol=0, atol=1e-8)
    np.testing.assert_allclose(mirror_rotations(left.tip_rotation_world), right.tip_rotation_world, atol=1e-8)
