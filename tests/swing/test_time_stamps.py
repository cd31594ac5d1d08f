"""Time stamps and gaps."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.swing.time_stamps import check_gaps, keep_stamps
from swingbeam.units import InputError

T = 0.5 + np.arange(400) / 240.0
ROWS = np.arange(400.0)[:, None]
IMPACT = 2.0


def without(start: float, end: float) -> np.ndarray:
    """Stamps but for those strictly between two instants, s from impact."""
    return T[(start >= T - IMPACT) | (end <= T - IMPACT)]


def test_even_stamps_are_kept_wherever_they_start() -> None:
    keep, notes = keep_stamps(T, ROWS, "data")
    assert keep.size == T.size
    assert notes == []


def test_a_frame_written_twice_is_taken_once() -> None:
    t, rows = np.insert(T, 100, T[100]), np.insert(ROWS, 100, ROWS[100], axis=0)
    keep, notes = keep_stamps(t, rows, "data")
    assert keep.size == T.size
    assert np.all(np.diff(t[keep]) > 0.0)
    assert "written twice" in notes[0]


def test_jitter_is_told() -> None:
    t = T + np.random.default_rng(1).uniform(-1e-3, 1e-3, T.size)
    keep, notes = keep_stamps(np.sort(t), ROWS, "data")
    assert keep.size == T.size
    assert "jitter" in notes[0]


@pytest.mark.parametrize(
    ("t", "rows", "words"),
    [
        (np.insert(T, 100, T[100]), np.arange(401.0)[:, None], "two different frames at"),
        (np.concatenate([T[:50], T[49:]]) - np.repeat([0.0, 1e-3], [50, 351]), np.zeros((401, 1)), "backward"),
        (np.where(np.arange(400) == 7, np.nan, T), ROWS, "frame 8 has no time stamp"),
        (1e3 * T, ROWS, "240 Hz if the time column were in ms"),
        (1e-3 * T, ROWS, "240 Hz if the time column were in s"),
        (T[:5], ROWS[:5], "at least 8"),
    ],
)
def test_stamps_that_are_no_time_are_refused(t: np.ndarray, rows: np.ndarray, words: str) -> None:
    with pytest.raises(InputError, match=words):
        keep_stamps(t, rows, "data")


def test_short_gaps_are_bridged_and_listed() -> None:
    assert check_gaps(T, IMPACT, "data") == []
    notes = check_gaps(without(-0.20, -0.18), IMPACT, "data")
    assert len(notes) == 1
    # Frames stand at 0.5 + k/240 s: the last known one is at k = 311, the next at k = 317.
    assert "bridged a gap from 1.7958 to 1.8208 s (25 ms, 5 frames)" in notes[0]
    assert len(check_gaps(without(-0.9, -0.82), IMPACT, "data")) == 1


@pytest.mark.parametrize(
    ("t", "words"),
    [
        (without(-0.30, -0.27), "allowed: up to 25 ms .* in the last 0.4 s"),
        (without(-1.0, -0.88), "allowed: up to 100 ms .* before that"),
        (without(-0.04, -0.03), "none missing in the last 50 ms before impact"),
        (without(-0.052, -0.047), "none missing in the last 50 ms before impact"),
        (T[T < IMPACT - 0.02], "allowed: frames up to impact"),
        (T[T > IMPACT - 0.1], "from the top of the swing on"),
    ],
)
def test_long_gaps_and_late_ones_are_refused_with_their_times(t: np.ndarray, words: str) -> None:
    with pytest.raises(InputError, match=words):
        check_gaps(t, IMPACT, "data")
