"""Time stamps of a recording, and the gaps in it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..beam.errors import InputError

Array = NDArray[np.float64]

SLOWEST, FASTEST = 50.0, 5000.0
"""Hz a recording may have: below it a downswing has too few frames, above it time is in another unit."""
JITTER_NAMED = 0.1
"""Share of the usual step; larger deviations are told."""
LATE_SPAN = 0.4
"""s before impact in which only short gaps are filled."""
LONGEST_LATE_GAP, LONGEST_EARLY_GAP = 0.025, 0.1
"""s between known frames that are bridged: in `LATE_SPAN` before impact, and before that. The smoothed path crosses
a gap by the least of its third derivative; at 20 Hz, a usual cut-off, a period is twice the shorter of them."""
WHOLE_SPAN = 0.05
"""s before impact in which nothing may be missing."""


def keep_stamps(t: Array, rows: Array, source: str) -> tuple[NDArray[np.intp], list[str]]:
    """Which frames to keep, and what was found.

    Parameters
    ----------
    t : (n,) s
    rows : (n, k) what was measured, to tell a frame written twice from two frames of one time

    Raises
    ------
    InputError
        Stamps that are missing, run backward, are alike for different frames, or are not seconds.
    """
    if t.size < 8:
        raise InputError(f"{source}: found {t.size} frames; allowed: at least 8")
    unknown = np.flatnonzero(~np.isfinite(t))
    if unknown.size:
        raise InputError(f"{source}: frame {unknown[0] + 1} has no time stamp")
    back = np.flatnonzero(np.diff(t) < 0.0)
    if back.size:
        i = int(back[0])
        raise InputError(
            f"{source}: time runs backward from {t[i]:.6g} s to {t[i + 1]:.6g} s (frames {i + 1} and {i + 2}); "
            "allowed: stamps that increase"
        )
    notes: list[str] = []
    same = np.flatnonzero(np.diff(t) == 0.0)
    for i in map(int, same):
        if not np.array_equal(rows[i], rows[i + 1], equal_nan=True):
            raise InputError(
                f"{source}: two different frames at {t[i]:.6g} s (frames {i + 1} and {i + 2}); allowed: a time of its "
                "own for each (are the stamps rounded?)"
            )
    keep = np.setdiff1d(np.arange(t.size), same + 1)
    if same.size:
        notes.append(f"{same.size} frames are written twice and taken once")
    steps = np.diff(t[keep])
    if steps.size < 7:
        raise InputError(f"{source}: found {keep.size} different frames; allowed: at least 8")
    _check_rate(float(np.median(steps)), source)
    notes += _jitter_words(steps)
    return keep, notes


def _check_rate(step: float, source: str) -> None:
    if 1.0 / FASTEST <= step <= 1.0 / SLOWEST:
        return
    hint = ""
    for factor, unit in ((1e-3, "ms"), (1e3, "s")):
        if 1.0 / FASTEST <= step * factor <= 1.0 / SLOWEST:
            hint = f"; they would be at {1.0 / (step * factor):.4g} Hz if the time column were in {unit}"
    raise InputError(
        f"{source}: frames are {step:.4g} s apart; allowed: {SLOWEST:g} to {FASTEST:g} frames a second{hint}"
    )


def _jitter_words(steps: Array) -> list[str]:
    usual = float(np.median(steps))
    single = steps[steps < 1.5 * usual]
    off = float(np.abs(single - usual).max()) / usual
    if off <= JITTER_NAMED:
        return []
    return [f"time stamps jitter by up to {1e3 * off * usual:.2g} ms; each frame is taken at its own time"]


def check_impact(t: Array, impact: float, source: str) -> None:
    """Refuse an impact that the known frames t (n,), s, do not lead up to.

    Raises
    ------
    InputError
    """
    usual = float(np.median(np.diff(t)))
    if impact > t[-1] + 1.01 * usual:
        raise InputError(
            f"{source}: the last usable frame is at {t[-1]:.4f} s, impact at {impact:.4f} s; allowed: frames up "
            "to impact"
        )
    if impact < t[0] + 0.15:
        raise InputError(
            f"{source}: the first usable frame is at {t[0]:.4f} s, impact at {impact:.4f} s; allowed: frames from "
            "the top of the swing on"
        )


def check_gaps(t: Array, impact: float, source: str) -> list[str]:
    """What is missing between the known frames t (n,), s; gaps that cannot be bridged are refused.

    Raises
    ------
    InputError
        A gap that is too long, or touches the last `WHOLE_SPAN` before impact, or frames that do not lead up to
        impact; times are named.
    """
    check_impact(t, impact, source)
    steps = np.diff(t)
    usual = float(np.median(steps))
    notes = []
    for i in np.flatnonzero(steps > 1.5 * usual):
        start, end = float(t[i]), float(t[i + 1])
        words = f"{start:.4f} to {end:.4f} s ({1e3 * (end - start):.0f} ms, {round((end - start) / usual) - 1} frames)"
        if end > impact - WHOLE_SPAN and start < impact:
            raise InputError(
                f"{source}: frames are missing from {words}; allowed: none missing in the last "
                f"{1e3 * WHOLE_SPAN:.0f} ms before impact ({impact:.4f} s)"
            )
        late = end > impact - LATE_SPAN
        most = LONGEST_LATE_GAP if late else LONGEST_EARLY_GAP
        if end - start > max(most, 2.01 * usual) and start < impact:
            where = f"in the last {LATE_SPAN:g} s before impact" if late else "before that"
            raise InputError(
                f"{source}: frames are missing from {words}; allowed: up to {1e3 * most:.0f} ms between known frames "
                f"{where}"
            )
        notes.append(f"bridged a gap from {words}")
    return notes
