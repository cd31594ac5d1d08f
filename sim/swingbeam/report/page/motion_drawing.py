"""The golfer's motion: hub, hands and club at a few instants of the downswing, from in front and from behind the ball.

A left-hander is drawn as he stands: both views are those of the right-handed run, reflected.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from swingbeam.study.result import ClubRun, Replay

from .draw import Chart, path

Array = NDArray[np.float64]
LEAST_APART = 0.04
"""s between two instants that are drawn; impact always is."""
FAINT = 5
"""Every so many instants of the replay a faint club is drawn."""
SIZES = {"face-on": (430.0, 268.0), "down-the-line": (250.0, 268.0)}


def seen(points: Array, view: str, left_handed: bool) -> Array:
    """(…, 2) m to the right and up, of world points (…, 3).

    face-on: by someone who stands in front of the golfer; down-the-line: from behind the ball toward the target. Of
    a right-hander the target is at the right of the first view; of a left-hander both are reflected.
    """
    across = points[..., 0] if view == "face-on" else -points[..., 1]
    return np.stack([-across if left_handed else across, points[..., 2]], axis=-1)


def instants(run: ClubRun) -> list[tuple[str, float]]:
    """What happens in the downswing, s to impact, in the order of time, those that lie apart."""
    found: list[tuple[str, float | None]] = []
    if run.replay is not None:
        found.append(("top", float(run.replay.t[0])))
    if run.unload is not None:
        found += [("deepest lag", run.unload.lag_peak_at), ("half-unload", run.unload.half)]
    found.append(("impact", 0.0))
    there = sorted(((name, at) for name, at in found if at is not None), key=lambda pair: pair[1])
    return [p for i, p in enumerate(there) if p[0] == "impact" or i == 0 or p[1] - there[i - 1][1] > LEAST_APART]


def motion_drawing(run: ClubRun, view: str, left_handed: bool) -> Markup | None:
    """One view; None where the file keeps no motion."""
    replay = run.replay
    if replay is None:
        return None
    names = instants(run)
    what = "in front of the golfer" if view == "face-on" else "behind the ball"
    chart = Chart(
        f"motion-{view}",
        f"The golfer's motion, from {what}",
        f"Hub, hands and the club {run.shaft} at {', '.join(f'{n} ({1e3 * t:.0f} ms)' for n, t in names)}, with the "
        "paths of hands and face.",
        size=SIZES[view],
        margins=(8.0, 8.0, 8.0, 8.0),
    )
    place = _fit(chart, replay, view, left_handed)
    _faint(chart, replay, place)
    for number, (name, at) in enumerate(names, 1):
        _pose(chart, replay, place, number, int(np.argmin(np.abs(replay.t - at))), heavy=name == "impact")
    ball = place(replay.ball)
    chart.add(f'<circle class="ball" cx="{ball[0]:.1f}" cy="{ball[1]:.1f}" r="4"/>')
    return chart.svg()


def _fit(chart: Chart, replay: Replay, view: str, left_handed: bool) -> Callable[[Array], Array]:
    """From world points to places of the drawing: one scale, everything inside."""
    parts = [replay.axis.reshape(-1, 3), replay.face, replay.ball[None], np.zeros((1, 3))]
    if replay.hub is not None:
        parts.append(replay.hub)
    flat = seen(np.concatenate(parts), view, left_handed)
    low, high = flat.min(axis=0), flat.max(axis=0)
    left, right, top, bottom = chart.box
    scale = min((right - left - 24.0) / (high[0] - low[0]), (bottom - top - 24.0) / (high[1] - low[1]))
    middle = 0.5 * (low + high)

    def place(points: Array) -> Array:
        away = seen(np.asarray(points), view, left_handed) - middle
        return np.stack([0.5 * (left + right) + scale * away[..., 0], 0.5 * (top + bottom) - scale * away[..., 1]], -1)

    ground = place(np.zeros(3))[1]
    chart.add(f'<path class="ground" d="M{left:.1f} {ground:.1f}H{right:.1f}"/>')
    return place


def _path(points: Array) -> str:
    return path([(float(x), float(y)) for x, y in points])


def _faint(chart: Chart, replay: Replay, place: Callable[[Array], Array]) -> None:
    for i in range(0, replay.t.size, FAINT):
        chart.add(f'<path class="faint" d="{_path(place(replay.axis[i]))}"/>')
    for points in (replay.axis[:, 0], replay.face):
        chart.add(f'<path class="track" d="{_path(place(points))}"/>')


def _pose(chart: Chart, replay: Replay, place: Callable[[Array], Array], number: int, i: int, *, heavy: bool) -> None:
    shaft = place(replay.axis[i])
    if replay.hub is not None:
        arm = place(np.stack([replay.hub[i], replay.axis[i, 0]]))
        chart.add(f'<path class="arm" d="{_path(arm)}"/>')
        chart.add(f'<circle class="hub" cx="{arm[0, 0]:.1f}" cy="{arm[0, 1]:.1f}" r="3.4"/>')
    rim = place(replay.axis[i, -1] + replay.rim @ replay.tip_rotation[i].T)
    kind = "club heavy" if heavy else "club"
    chart.add(f'<path class="{kind}" d="{_path(shaft)}"/>')
    chart.add(f'<path class="head" d="{_path(rim)}Z"/>')
    way = shaft[-1] - shaft[-2]
    out = shaft[-1] + 17.0 * way / max(float(np.hypot(*way)), 1e-9)
    # At the right of the drawing's edge a number would be cut off.
    x = min(max(float(out[0]), 8.0), chart.size[0] - 8.0)
    chart.note(x, float(out[1]) + 4.5, str(number), "middle", "number")
