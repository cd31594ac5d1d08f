"""Unload timing: when, how far and how fast the shaft straightens in the swing plane before impact.

The in-plane bend u_p is the tip's deflection from the grip's tangent along e = plane normal × shaft axis of
the reference pose, the same direction for every club: lag −, lead +. "Half-unload", the ranking key, is the
last instant before impact at which u_p rises through half-way between the deepest bend of the late downswing
and the bend at impact. It is our own word: the key was chosen because it exists for every swing and is
continuous in its inputs, which the last straightening of the shaft is not.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

if TYPE_CHECKING:
    from swingbeam.beam.history import History

Array = NDArray[np.float64]

LATE_PART = 0.4
"""Share of the downswing's length, counted back from impact, in which the deepest bend is looked for."""
SAMPLING = 0.5e-3
"""s. A cubic spline through samples this far apart errs by h⁴/384 times the fourth derivative (de Boor 1978,
A Practical Guide to Splines, ch. V): for 0.1 m swinging at 100 rad/s, 2·10⁻⁹ m."""


@dataclass(frozen=True)
class Unload:
    """Unload figures of one club; times in s relative to its own impact (before it negative).

    Attributes
    ----------
    half : last upward crossing of the half-way level, s; None only when impact itself is the deepest
    straight : last crossing of u_p from lag to lead, s, or None
    crossings : how many such crossings the downswing has
    state : in words, how straight the shaft is at impact when `straight` says too little; else ""
    lag_peak, lag_peak_at : deepest u_p in the whole downswing, m (≤ 0), and when, s; None without any lag
    kick_peak, kick_peak_at, kick_at_impact : largest rate of u_p in the downswing, m/s, when, and at impact
    left_in_shaft : strain energy at impact over its peak in the downswing, 0 … 1
    reasons : for each figure that is None, why
    """

    half: float | None
    straight: float | None
    crossings: int
    state: str
    lag_peak: float | None
    lag_peak_at: float | None
    kick_peak: float
    kick_peak_at: float
    kick_at_impact: float
    left_in_shaft: float | None
    reasons: Mapping[str, str] = field(default_factory=dict)


def bend_direction(plane_normal: Array, reference_rotation: Array) -> Array:
    """e (n, 3), world: plane normal (3,) × shaft axis of the reference pose (n, 3, 3), made a unit vector."""
    e = np.cross(plane_normal, reference_rotation[:, :, 0])
    return e / np.linalg.norm(e, axis=1, keepdims=True)


def in_plane_bend(tip_position: Array, root_rotation: Array, direction: Array) -> Array:
    """u_p (n,), m: deflection from the yielded grip's tangent along `direction`.

    tip_position (n, 3) in the yielded grip frame (its y and z are the deflection from the tangent, x); root
    rotation (n, 3, 3) body → world; direction (n, 3) world.
    """
    across = root_rotation[:, :, 1] * tip_position[:, 1:2] + root_rotation[:, :, 2] * tip_position[:, 2:3]
    return np.einsum("ni,ni->n", across, direction)


def sample_times(start: float, impact: float) -> Array:
    """Instants (n,) s that a signal is read at, counted back from impact so that the grid moves with it."""
    count = max(int(np.ceil((impact - start) / SAMPLING)), 8)
    return impact - np.linspace(impact - start, 0.0, count + 1)


def read_unload(t: Array, bend: Array, energy: Array, downswing: float, start: float) -> Unload:
    """Unload figures from samples that end at impact.

    Parameters
    ----------
    t : (n,) s
        Sample times, increasing; the last one is impact. `sample_times` gives a good grid.
    bend : (n,) m
        In-plane bend u_p.
    energy : (n,) J
        Strain energy of the shaft, bending and twist.
    downswing : float, s
        Length of the reference's downswing, the same for every club.
    start : float, s
        When the downswing begins.
    """
    impact = float(t[-1])
    spline = CubicSpline(t, bend)
    rate = spline.derivative()
    turning = _roots(rate, start, impact)
    at_impact = float(bend[-1])

    half = _half_unload(spline, turning, max(impact - LATE_PART * downswing, float(t[0])), impact, at_impact)

    zeros = _roots(spline, start, impact)
    rising = zeros[rate(zeros) > 0.0]
    straight = float(rising[-1] - impact) if rising.size else None
    state = straightness(at_impact, straight is not None)

    deepest, deepest_at = _extreme(spline, turning, start, impact, np.argmin)
    lag: float | None = deepest
    lag_at: float | None = deepest_at - impact
    if deepest > 0.0:
        lag = lag_at = None

    kick, kick_at = _extreme(rate, _roots(rate.derivative(), start, impact), start, impact, np.argmax)

    stored = CubicSpline(t, energy)
    most, _ = _extreme(stored, _roots(stored.derivative(), start, impact), start, impact, np.argmax)
    left = float(energy[-1]) / most if most > 0.0 else None
    reasons = missing_words(
        half=half is not None,
        straight=state if straight is None else "",
        lag=lag is not None,
        energy=left is not None,
    )
    return Unload(
        half=None if half is None else half - impact,
        straight=straight,
        crossings=int(rising.size),
        state=state,
        lag_peak=lag,
        lag_peak_at=lag_at,
        kick_peak=kick,
        kick_peak_at=kick_at - impact,
        kick_at_impact=float(rate(impact)),
        left_in_shaft=left,
        reasons=reasons,
    )


def straightness(at_impact: float, was_straight: bool) -> str:
    """How straight the shaft is at impact, in words, where the last straightening says too little; else "".

    at_impact : in-plane bend at impact, m; was_straight : whether it went from lag to lead in the downswing
    """
    if at_impact < 0.0:
        state = f"not straight at impact ({-100.0 * at_impact:.1f} cm of lag)"
        return state + ", straight in between" if was_straight else state
    return "" if was_straight else "in lead through the whole downswing"


def missing_words(*, half: bool, straight: str, lag: bool, energy: bool) -> dict[str, str]:
    """Why figures are missing: which of half-unload, lag peak and strain energy there are, and the state of a shaft
    that is never straight ("": it is)."""
    reasons: dict[str, str] = {}
    if not half:
        reasons["half_ms"] = "impact itself is the deepest bend of the late downswing: nothing unloads"
    if straight:
        reasons["straight_ms"] = straight
    if not lag:
        reasons["lag_peak_mm"] = reasons["lag_peak_ms"] = "the shaft never lags in the downswing"
    if not energy:
        reasons["left_in_shaft"] = "no strain energy in the downswing: a rigid shaft"
    return reasons


def _roots(curve: Any, start: float, end: float) -> Array:
    """Isolated roots (k,) of a piecewise polynomial inside [start, end], increasing."""
    roots = curve.roots(discontinuity=False, extrapolate=False)
    # A piece that vanishes identically is reported as a nan after its start: no isolated root.
    roots = np.unique(roots[np.isfinite(roots)])
    return roots[(roots >= start) & (roots <= end)]


def _extreme(curve: Any, turning: Array, start: float, end: float, pick: Any) -> tuple[float, float]:
    """Value and instant of the extreme of a curve over [start, end], its edges included."""
    candidates = np.unique(np.concatenate([[start], turning[(turning > start) & (turning < end)], [end]]))
    values = curve(candidates)
    i = int(pick(values))
    return float(values[i]), float(candidates[i])


def _half_unload(spline: Any, turning: Array, start: float, impact: float, at_impact: float) -> float | None:
    """The last instant the bend rises through half-way from its late deepest to its value at impact, s."""
    deepest, deepest_at = _extreme(spline, turning, start, impact, np.argmin)
    if deepest_at >= impact or deepest >= at_impact:
        return None
    roots = np.asarray(spline.solve(0.5 * (deepest + at_impact), discontinuity=False, extrapolate=False))
    roots = roots[np.isfinite(roots) & (roots >= deepest_at) & (roots <= impact)]
    # The bend is above the level at impact and below it at the deepest, so the last root is a rise.
    return float(roots.max())


def unload(history: History, plane_normal: Array, impact: float, start: float, downswing: float) -> Unload:
    """Unload figures of a run.

    Parameters
    ----------
    history : History
        A run that reaches `impact`, driven by the pose of the reference run.
    plane_normal : (3,)
        Unit normal of the swing plane, world.
    impact, start, downswing : float, s
        This club's own impact, the start of the downswing, and the reference's length of it.
    """
    t = sample_times(start, impact)
    rows = history.at(t)
    direction = bend_direction(plane_normal, rows.motion_rotation)
    bend = in_plane_bend(rows.tip_position, rows.root_rotation, direction)
    return read_unload(t, bend, rows.bend_energy + rows.twist_energy, downswing, start)
