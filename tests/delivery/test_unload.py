"""Unload figures of signals with closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.delivery.unload import bend_direction, in_plane_bend, read_unload, sample_times

# The sampling error of the cubic spline (see unload.SAMPLING) over the slope of the signals used here: 2e-9 m
# over some 3 m/s is below a nanosecond; roots and extremes are allowed a microsecond.
TIME = 1e-6
LENGTH = 1e-7

AMPLITUDE, OMEGA, LATE = 0.1, 25.0, 0.05


def cosine(impact=0.3, start=0.0, deepest=0.24):
    """u = −A cos ω(t − deepest): deepest at `deepest`, straight a quarter period later."""
    t = sample_times(start, impact)
    return t, -AMPLITUDE * np.cos(OMEGA * (t - deepest))


def test_half_unload_of_a_cosine():
    t, bend = cosine()
    result = read_unload(t, bend, bend**2, 0.3, 0.2)
    # Half-way level: −A (1 + cos φ₁)/2 with φ₁ the phase at impact.
    phase = np.arccos(0.5 * (1.0 + np.cos(OMEGA * 0.06)))
    assert result.half == pytest.approx(phase / OMEGA - 0.06, abs=TIME)
    assert result.reasons == {"straight_ms": result.state}


def test_straight_kick_and_lag_of_a_cosine():
    t, bend = cosine(impact=0.32)
    result = read_unload(t, bend, bend**2, 0.3, 0.2)
    quarter = 0.5 * np.pi / OMEGA
    assert result.straight == pytest.approx(0.24 + quarter - 0.32, abs=TIME)
    assert result.crossings == 1
    assert result.state == ""
    assert result.lag_peak == pytest.approx(-AMPLITUDE, abs=LENGTH)
    assert result.lag_peak_at == pytest.approx(-0.08, abs=TIME)
    assert result.kick_peak == pytest.approx(AMPLITUDE * OMEGA, rel=1e-6)
    # The rate is flat at its peak: its instant is known to the square root of its accuracy.
    assert result.kick_peak_at == pytest.approx(0.24 + quarter - 0.32, abs=1e-4)
    assert result.kick_at_impact == pytest.approx(AMPLITUDE * OMEGA * np.sin(OMEGA * 0.08), rel=1e-5)
    assert result.left_in_shaft == pytest.approx(np.cos(OMEGA * 0.08) ** 2, rel=1e-6)


def test_never_straight_is_said_in_words():
    t, bend = cosine()
    result = read_unload(t, bend, bend**2, 0.3, 0.2)
    cm = 10.0 * np.cos(OMEGA * 0.06)
    assert result.straight is None
    assert result.crossings == 0
    assert result.state == f"not straight at impact ({cm:.1f} cm of lag)"
    assert result.reasons["straight_ms"] == result.state


def test_deepest_may_sit_on_the_edge_of_the_window():
    # Rising all through: the deepest of the last 0.4·T_d is the window's first instant.
    t = sample_times(0.0, 0.3)
    result = read_unload(t, t - 0.25, np.ones_like(t), 0.3, 0.0)
    assert result.half == pytest.approx(-0.5 * 0.4 * 0.3, abs=TIME)
    assert result.lag_peak == pytest.approx(-0.25, abs=LENGTH)


def test_impact_as_the_deepest_has_no_half_unload_and_says_so():
    t = sample_times(0.0, 0.3)
    result = read_unload(t, -t, np.ones_like(t), 0.3, 0.0)
    assert result.half is None
    assert "deepest" in result.reasons["half_ms"]


def test_the_last_rise_through_the_level_counts():
    # Deepest early in the window, a second dip under the half-way level later: the later rise counts.
    t = sample_times(0.0, 0.3)
    bend = -0.05 - 0.05 * np.cos(2.0 * np.pi * (t - 0.2) / 0.05) * np.exp(-(t - 0.2) / 0.5) + 0.05 * (t - 0.3) / 0.1
    result = read_unload(t, bend, bend**2, 0.3, 0.0)
    window = np.linspace(0.3 - 0.12, 0.3, 400_001)
    shape = np.interp(window, t, bend)
    level = 0.5 * (shape.min() + bend[-1])
    last = window[np.flatnonzero((shape[:-1] < level) & (shape[1:] >= level))[-1]]
    # Linear interpolation between 0.5 ms samples and a 0.3 µs scan: good to 20 µs here.
    assert result.half == pytest.approx(last - 0.3, abs=2e-5)


def test_a_shaft_that_never_lags_has_no_lag_peak():
    t = sample_times(0.0, 0.3)
    result = read_unload(t, 0.01 + 0.1 * t, np.ones_like(t), 0.3, 0.0)
    assert result.lag_peak is None
    assert result.lag_peak_at is None
    assert result.straight is None
    assert result.reasons["lag_peak_mm"] == result.reasons["lag_peak_ms"]
    assert "lead" in result.reasons["straight_ms"]


def test_a_rigid_shaft_has_nothing_left_and_says_so():
    t = sample_times(0.0, 0.3)
    result = read_unload(t, np.zeros_like(t), np.zeros_like(t), 0.3, 0.0)
    assert result.half is None
    assert result.left_in_shaft is None
    assert set(result.reasons) >= {"half_ms", "left_in_shaft"}


def test_figures_do_not_depend_on_where_the_samples_lie():
    results = []
    for start in (0.0, 0.0001, 0.00037):
        t = sample_times(start, 0.3)
        results.append(read_unload(t, -0.1 * np.cos(OMEGA * (t - 0.22)), np.ones_like(t), 0.3, 0.01))
    for other in results[1:]:
        assert other.half == pytest.approx(results[0].half, abs=TIME)
        assert other.straight == pytest.approx(results[0].straight, abs=TIME)


def test_half_unload_is_continuous_in_its_inputs():
    shifts = np.linspace(0.0, 2e-3, 9)
    halves = []
    for shift in shifts:
        t, bend = cosine(deepest=0.21 + shift)
        halves.append(read_unload(t, bend, bend**2, 0.3, 0.0).half)
    # Later unloading moves the key by about as much, without a jump.
    assert np.all(np.diff(halves) > 0.0)
    assert np.ptp(np.diff(halves)) < 0.2 * np.mean(np.diff(halves))


def test_direction_points_at_the_target_at_impact():
    beta = np.radians(50.0)
    normal = np.array([0.0, -np.sin(beta), np.cos(beta)])
    shaft = np.array([0.0, -np.cos(beta), -np.sin(beta)])
    pose = np.column_stack([shaft, [1.0, 0.0, 0.0], np.cross(shaft, [1.0, 0.0, 0.0])])
    assert bend_direction(normal, pose[None])[0] == pytest.approx([1.0, 0.0, 0.0], abs=1e-12)


def test_in_plane_bend_does_not_turn_with_the_forearms():
    # The same world deflection read from a grip rolled about its own axis is the same in-plane bend.
    beta, roll = np.radians(50.0), 1.2
    normal = np.array([0.0, -np.sin(beta), np.cos(beta)])
    shaft = np.array([0.0, -np.cos(beta), -np.sin(beta)])
    pose = np.column_stack([shaft, [1.0, 0.0, 0.0], np.cross(shaft, [1.0, 0.0, 0.0])])
    turn = np.array([[1.0, 0.0, 0.0], [0.0, np.cos(roll), -np.sin(roll)], [0.0, np.sin(roll), np.cos(roll)]])
    rolled = pose @ turn
    deflection = np.array([1.1, -0.08, 0.02])
    e = bend_direction(normal, pose[None])
    assert in_plane_bend(deflection[None], pose[None], e)[0] == pytest.approx(-0.08, abs=1e-12)
    assert in_plane_bend((turn.T @ deflection)[None], rolled[None], e)[0] == pytest.approx(-0.08, abs=1e-12)
