"""Smoothing of positions and, in the group, of rotations."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from swingbeam.beam.rotations import rotation_from_vector, vector_from_rotation
from swingbeam.swing.cutoff import choose_cutoff
from swingbeam.swing.pose_smoothing import Poses, make_grid, smooth_positions, smooth_rotations
from swingbeam.units import InputError

RATE, CUTOFF = 240.0, 20.0


def wavy(t: np.ndarray) -> np.ndarray:
    """A turn through more than a revolution about changing axes, rotation vectors' product."""
    first = rotation_from_vector(np.outer(4.0 * t + 0.5 * np.sin(9.0 * t), [0.2, -0.6, 0.775]))
    second = rotation_from_vector(np.outer(0.8 * np.cos(7.0 * t), [1.0, 0.0, 0.0]))
    return np.asarray(first @ second)


def poses(t: np.ndarray, position: np.ndarray | None = None, rotation: np.ndarray | None = None) -> Poses:
    return Poses(
        t,
        np.zeros((t.size, 3)) if position is None else position,
        np.tile(np.eye(3), (t.size, 1, 1)) if rotation is None else rotation,
    )


@pytest.mark.parametrize("ratio", [0.5, 1.0, 2.0])
def test_an_oscillation_passes_by_the_stated_factor(ratio: float) -> None:
    t = np.arange(0.0, 2.0, 1.0 / RATE)
    wave = np.sin(2.0 * np.pi * ratio * CUTOFF * t)
    grid = make_grid(poses(t), t[-1])
    smooth = smooth_positions(grid, np.outer(wave, [1.0, 0.0, 0.0]), CUTOFF)
    passed = grid.reading @ smooth.position[:, 0]
    inner = slice(60, -60)  # away from the ends, where a spline is freer
    gain = (passed[inner] @ wave[inner]) / (wave[inner] @ wave[inner])
    # 1/(1 + (f/f₀)⁶). Differences for derivatives change (f/f₀)⁶ by 6·(2π f h)²/24: 1.8 % at 2 f₀ with h = 1/480 s;
    # between samples the path is freer than the ideal one, less than that again.
    assert_allclose(gain, 1.0 / (1.0 + ratio**6), rtol=0.05, atol=2e-3)


def test_rotations_about_one_axis_are_smoothed_as_their_angle() -> None:
    # Rotations about one axis commute: there the group is the line, and both smoothers must agree.
    t = np.arange(0.0, 1.0, 1.0 / RATE)
    axis = np.array([0.36, -0.48, 0.8])
    angle = 3.0 * t + 0.3 * np.sin(40.0 * t) + 0.01 * np.random.default_rng(1).standard_normal(t.size)
    turned = poses(t, rotation=rotation_from_vector(np.outer(angle, axis)))
    grid = make_grid(turned, t[-1])
    by_angle = smooth_positions(grid, np.outer(angle, [1.0, 0.0, 0.0]), CUTOFF).position[:, 0]
    by_group = smooth_rotations(grid, turned, CUTOFF).rotation
    expected = rotation_from_vector(np.outer(by_angle, axis))
    # Both solve the same equations; their condition of some 1e5 leaves 1e-10.
    assert_allclose(by_group, expected, atol=1e-8)


def test_turning_the_world_or_the_body_turns_the_result_along() -> None:
    t = np.arange(0.0, 0.8, 1.0 / RATE)
    noise = rotation_from_vector(0.01 * np.random.default_rng(2).standard_normal((t.size, 3)))
    measured = wavy(t) @ noise
    left, right = rotation_from_vector([0.4, 1.0, -0.3]), rotation_from_vector([-1.2, 0.1, 0.7])
    grid = make_grid(poses(t), t[-1])
    plain = smooth_rotations(grid, poses(t, rotation=measured), CUTOFF).rotation
    moved = smooth_rotations(grid, poses(t, rotation=left @ measured @ right), CUTOFF).rotation
    # The penalty is that of the body's rate: neither choice of axes enters. Round-off of equations as above.
    assert_allclose(moved, left @ plain @ right, atol=1e-8)


def test_what_costs_nothing_is_kept_and_continued() -> None:
    # A quadratic has no third derivative, a steady spin no second derivative of its rate: with gaps and uneven times,
    # they come back exactly, and go on past the last frame.
    rng = np.random.default_rng(4)
    t = np.sort(rng.uniform(0.0, 0.6, 120))
    t[0] = 0.0
    path = np.stack([1.0 + 2.0 * t - 5.0 * t**2, -3.0 * t, 4.0 * t**2], axis=1)
    rate = np.array([9.0, -4.0, 12.0])
    spin = rotation_from_vector([0.3, 0.2, -1.0]) @ rotation_from_vector(np.outer(t, rate))
    measured = poses(t, path, spin)
    grid = make_grid(measured, 0.65)
    assert grid.t[-1] >= 0.65
    got = smooth_positions(grid, path, CUTOFF).position
    g = grid.t
    # Round-off: the equations' condition, some 1e9 for a path that goes on for 30 points without frames, times 1e-16.
    assert_allclose(got, np.stack([1.0 + 2.0 * g - 5.0 * g**2, -3.0 * g, 4.0 * g**2], axis=1), atol=3e-6)
    turned = smooth_rotations(grid, measured, CUTOFF).rotation
    expected = rotation_from_vector([0.3, 0.2, -1.0]) @ rotation_from_vector(np.outer(g, rate))
    # Reading a frame by a cubic in the tangent space is exact for a steady spin.
    assert_allclose(turned, expected, atol=3e-6)


def test_the_answer_to_a_small_change_is_that_of_smoothing_again() -> None:
    t = np.arange(0.0, 0.6, 1.0 / RATE)
    measured = poses(t, rotation=wavy(t))
    grid = make_grid(measured, t[-1])
    base = smooth_rotations(grid, measured, CUTOFF)
    change = 1e-4 * np.random.default_rng(5).standard_normal((t.size, 3))
    again = smooth_rotations(grid, poses(t, rotation=measured.rotation @ rotation_from_vector(change)), CUTOFF)
    turned = vector_from_rotation(np.swapaxes(base.rotation, 1, 2) @ again.rotation)
    # Second order of changes of 1e-4, times the turn they are carried along (a few rad).
    assert_allclose(base.respond(change), turned, atol=1e-6)


def test_leverage_is_the_share_of_a_measurement_in_its_own_value() -> None:
    t = np.arange(0.0, 0.4, 1.0 / RATE)
    measured = poses(t, np.random.default_rng(6).standard_normal((t.size, 3)))
    grid = make_grid(measured, t[-1])
    smooth = smooth_positions(grid, measured.position, CUTOFF)
    for i in (0, 30, t.size - 1):
        unit = np.zeros((t.size, 3))
        unit[i] = 1.0
        assert_allclose((grid.reading @ smooth.respond(unit))[i], smooth.leverage[i], rtol=1e-9)


def test_the_chosen_cutoff_follows_the_noise() -> None:
    t = np.arange(-0.5, 0.05, 1.0 / RATE)
    path = np.stack([np.sin(2 * np.pi * 3 * t), np.cos(2 * np.pi * 5 * t), t], axis=1)
    chosen = []
    for noise in (0.2e-3, 2e-3):
        rng = np.random.default_rng(7)
        measured = Poses(
            t,
            path + noise * rng.standard_normal(path.shape),
            wavy(t) @ rotation_from_vector(5.0 * noise * rng.standard_normal((t.size, 3))),
        )
        choice = choose_cutoff(make_grid(measured, 0.04), measured, 0.0)
        assert choice.cutoff.position <= choice.least_error.position
        # What a cut-off f takes of motion at 5 Hz is (5/f)⁶ of it: of 1 m as much as noise of 0.2 and 2 mm (times the
        # root of the share kept, some 0.3) at 21 and 14 Hz.
        assert 7.0 <= choice.cutoff.position <= 40.0
        chosen.append(choice.cutoff.position)
    assert chosen[0] > chosen[1]


def test_rotations_that_are_no_motion_are_refused() -> None:
    t = np.arange(0.0, 0.3, 1.0 / RATE)
    rng = np.random.default_rng(8)
    jumble = poses(t, rotation=rotation_from_vector(rng.uniform(-3.0, 3.0, (t.size, 3))))
    with pytest.raises(InputError, match="one smooth motion"):
        smooth_rotations(make_grid(jumble, t[-1]), jumble, CUTOFF)
