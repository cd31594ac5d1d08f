"""Figures of a run that is one of very many: the same as `measure` gives, read from the last part of the run only.

What takes time there is to look between a solver's instants. Here the in-plane bend, which is smooth over an instant
or two, is splined through the instants themselves, and contact is looked for on a polynomial through a few looks.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from swingbeam.beam.motion import spline_through
from swingbeam.delivery.contact import FaceLike, find_contact, penetration
from swingbeam.delivery.meeting import meeting_of
from swingbeam.delivery.presentation import present
from swingbeam.delivery.unload import Unload, bend_direction, in_plane_bend, read_unload

from .measure import Measured, SwingFrame

if TYPE_CHECKING:
    from swingbeam.beam.history import History

Array = NDArray[np.float64]

AROUND = 0.030
"""s before and after the planned impact in which contact is looked for first."""
LOOK = 1e-3
"""s between two looks there: at 60 m/s the face comes 6 cm nearer, well within the reach of `penetration`."""
SAMPLING = 1e-3
"""s between samples of the bend: the cubic through them errs by 16 times what `unload.SAMPLING` states, 3·10⁻⁸ m."""
_LOOKS = 6
_MARGIN = 6
"""Instants kept before the part that is read, for the quintic splines' ends."""


def quick_measure(run: History, face: FaceLike, ball: Array, frame: SwingFrame) -> Measured:
    """Figures of a run that was not stopped at the ball; without causes and curves.

    Parameters
    ----------
    run : to past where contact should be
    face, ball, frame : as of `measure`
    """
    near = _since(run, frame.planned - AROUND)
    time = _touch(near, face, ball, frame)
    if time is None:
        return Measured("missed", reasons={"status": "the face does not meet the ball near the planned impact"})
    row = replace(near.at(np.array([time])), source=None)  # a run of one instant: nothing is interpolated again
    contact = find_contact(row, face, ball, frame.top)
    if contact.time is None:
        return Measured("missed", reasons={"status": contact.reason or "not known"})
    direction = bend_direction(frame.plane_normal, row.motion_rotation)[0]
    figures = present(row, face, ball, time, frame.planned, direction)
    if not all(math.isfinite(value) for value in vars(figures).values()):
        return Measured("failed", reasons={"status": "a figure at impact is not a finite number"})
    meeting = meeting_of(row, face, ball, time)
    return Measured("ok", time, _unload(_since(run, frame.top), time, frame), figures, meeting=meeting)


def _since(run: History, start: float) -> History:
    """The part of a run from an instant on, with a few instants before it."""
    first = max(0, int(np.searchsorted(run.t, start)) - _MARGIN)
    return replace(run, t=run.t[first:], rows=run.rows[first:])


def _touch(near: History, face: FaceLike, ball: Array, frame: SwingFrame) -> float | None:
    """The first instant the face touches the ball, s, or None."""
    start, end = float(near.t[0]), float(near.t[-1])
    looks = np.linspace(start, end, math.ceil((end - start) / LOOK) + 1)
    value = penetration(near.at(looks), face, ball, frame.top)
    turns = np.flatnonzero((value[:-1] <= 0.0) & (value[1:] > 0.0))
    if not turns.size:
        return None
    i = int(turns[0])
    # Chebyshev's points: the polynomial through them errs least (Trefethen 2013, Approximation Theory, ch. 2).
    x = 0.5 - 0.5 * np.cos(np.pi * np.arange(_LOOKS) / (_LOOKS - 1))
    times = looks[i] + x * (looks[i + 1] - looks[i])
    value = penetration(near.at(times), face, ball, frame.top)
    if value[0] == -1.0:  # out of reach as the look began
        return None
    if value[0] > 0.0 or value[-1] <= 0.0:
        return float(times[0] if value[0] > 0.0 else times[-1])
    curve = spline_through(times, value)  # of so few points the one polynomial
    return float(brentq(lambda t: float(curve(t)), times[0], times[-1], xtol=1e-12))


def _unload(down: History, impact: float, frame: SwingFrame) -> Unload:
    direction = bend_direction(frame.plane_normal, down.motion_rotation)
    bend = in_plane_bend(down.tip_position, down.root_rotation, direction)
    curve = spline_through(down.t, np.column_stack([bend, down.bend_energy + down.twist_energy]))
    t = impact - np.linspace(impact - frame.top, 0.0, math.ceil((impact - frame.top) / SAMPLING) + 1)
    values = curve(t)
    return read_unload(t, values[:, 0], values[:, 1], frame.downswing, frame.top)
