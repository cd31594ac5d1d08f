"""The page's charts: bend into impact, face and loft against half-unload, shafts, landings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from markupsafe import Markup

from swingbeam.study.quantities import CURVES, IMPACT, RESOLUTION, SHOT, UNLOAD
from swingbeam.study.result import ClubRun, RankResult

from .choose import Chosen, every_run
from .draw import REFERENCE, Chart, Look, room
from .units import UNITS, Unit, plain, unit_of

_KEYS = {q.key: q for q in (*UNLOAD, *IMPACT, *SHOT, *CURVES)}
MOST_NAMED = 14
"""Points of a chart that all carry their names."""
_OTHER = Look("#5b616b", "", 1.4, "circle")
CURVE_CHARTS = (
    ("curve_in_plane_mm", "In-plane bend", "lag −, lead +"),
    ("curve_droop_mm", "Droop", "toe-down +"),
    ("curve_twist_deg", "Twist of the tip", "opens the face +"),
)
"""Against time: figure, title, what its sign means."""
SHAFT_CHARTS = (("ei", 1.0, "N m2", "EI", "bending stiffness"), ("gj", 1.0, "N m2", "GJ", "torsional stiffness"),
                ("mass", 1e3, "g m-1", "Mass", "per length"))  # fmt: skip


def units_of(unit: str) -> tuple[Unit, Unit]:
    """Both sets of units of a quantity stated in CF notation."""
    metric, trade = (unit_of(unit, system) for system in UNITS)
    return metric, trade


def curve_chart(key: str, title: str, chosen: Sequence[Chosen], downswing: float) -> Markup:
    """One figure of the chosen shafts against time to impact, with the scrubber's line."""
    q = _KEYS[key]
    drawn = [c for c in chosen if c.run.curves is not None]
    series = [(c, 1e3 * c.run.curves.t, q.scale * getattr(c.run.curves, q.attribute)) for c in drawn if c.run.curves]
    ends = ", ".join(f"{c.name} {plain(q, float(v[-1]), 'metric', unit=True)}" for c, _, v in series)
    chart = Chart(
        q.attribute.replace("_", "-"),
        f"{title} against time to impact",
        f"One line a shaft over the downswing. At impact: {ends or 'nothing to draw'}.",
        size=(430.0, 200.0),
        kind="time",
    )
    chart.xs = (-1e3 * downswing, 0.0)
    chart.room_for(c.name for c in drawn)
    if series:
        low = min(float(v.min()) for _, _, v in series)
        high = max(float(v.max()) for _, _, v in series)
        chart.ys = room([min(low, 0.0), max(high, 0.0)], least=0.2 if q.unit == "degree" else 2.0)
    chart.y_axis(units_of(q.unit), 4)
    chart.x_axis("ms to impact")
    chart.zero()
    for c, t, values in sorted(series, key=lambda one: one[0].is_reference):
        chart.line(t, values, c.look)
    chart.labels([(0.0, float(v[-1]), c.name, c.look.colour) for c, _, v in series])
    chart.cursor()
    return chart.svg()


def delivery_chart(key: str, title: str, result: RankResult, chosen: Sequence[Chosen]) -> Markup:
    """A figure at impact against half-unload, one point a shaft, with the resolution of half-unload."""
    half, q = _KEYS["half_ms"], _KEYS[key]
    looks = {c.name: c.look for c in chosen}
    points: list[tuple[float, float, float, ClubRun]] = []
    for run in every_run(result):
        x, y = half.of(run.unload), q.of(run.impact)
        if x is not None and y is not None:
            points.append((x, y, RESOLUTION.of(run) or 0.0, run))
    listed = "; ".join(f"{r.shaft}: {plain(half, x, 'metric')} ms, {plain(q, y, 'metric')}°" for x, y, _, r in points)
    chart = Chart(
        q.attribute.replace("_", "-"),
        f"{title} against half-unload",
        f"One point a shaft: half-unload, {title.lower()}. {listed}.",
        size=(560.0, 238.0),
        margins=(46.0, 112.0, 12.0, 40.0),
    )
    chart.room_for(_named([(x, y, r.shaft) for x, y, _, r in points], looks))
    if points:
        chart.xs = room([x for x, _, _, _ in points], 0.08, 0.5)
        chart.ys = room([y for _, y, _, _ in points], 0.1, 0.1)
    chart.y_axis()
    chart.x_axis("half-unload, ms to impact (left unloads first)")
    for x, y, sure, run in points:
        look = looks.get(run.shaft, REFERENCE if run.shaft == result.reference else _OTHER)
        ends = chart.x(x - sure), chart.x(x + sure)
        chart.add(f'<path class="bar" stroke="{look.colour}" d="M{ends[0]:.1f} {chart.y(y):.1f}H{ends[1]:.1f}"/>')
        chart.point(x, y, look, hollow=look is _OTHER, size=5.0)
    _name_points(chart, [(x, y, r.shaft) for x, y, _, r in points], looks)
    return chart.svg()


def shaft_chart(kind: tuple[str, float, str, str, str], chosen: Sequence[Chosen]) -> Markup:
    """A property of the chosen raw shafts against the distance from the tip."""
    name, scale, unit, short, words = kind
    series = [(c, 1e3 * c.run.look.from_tip, scale * getattr(c.run.look, name)) for c in chosen if c.run.look]
    tips = ", ".join(f"{c.name} {v[0]:.3g}" for c, _, v in series)
    chart = Chart(
        f"shaft-{name}",
        f"{short} along the raw shaft",
        f"{words.capitalize()} from the tip to the butt, one line a shaft; at the tip, in {units_of(unit)[0].text}: "
        f"{tips}.",
        size=(430.0, 200.0),
        margins=(58.0, 108.0, 12.0, 40.0),
    )
    chart.room_for(c.name for c, _, _ in series)
    if series:
        chart.xs = (0.0, max(float(at[-1]) for _, at, _ in series))
        chart.ys = (0.0, 1.06 * max(float(v.max()) for _, _, v in series))
    chart.y_axis(units_of(unit), 4)
    chart.x_axis("from the tip", units_of("mm"))
    for c, at, values in sorted(series, key=lambda one: one[0].is_reference):
        chart.line(at, values, c.look)
    chart.labels([(float(at[-1]), float(v[-1]), c.name, c.look.colour) for c, at, v in series])
    return chart.svg()


def landing_chart(result: RankResult, chosen: Sequence[Chosen]) -> Markup:
    """Where the balls come down, seen from above, with the error of each difference to the reference club's."""
    looks = {c.name: c.look for c in chosen}
    mirror = -1.0 if result.left_handed else 1.0
    side, carry = _KEYS["side_m"], _KEYS["carry_m"]
    rows = [(run, run.flight) for run in every_run(result) if run.flight is not None]
    points = [(mirror * f.shot.side, f.shot.carry, run, f) for run, f in rows]
    listed = "; ".join(f"{r.shaft}: carry {plain(carry, y, 'metric')} m, {_side_words(x)}" for x, y, r, _ in points)
    chart = Chart(
        "landing",
        "Where the balls come down, seen from above",
        f"One point a shaft. {listed}.",
        size=(430.0, 282.0),
        margins=(46.0, 108.0, 12.0, 40.0),
    )
    chart.room_for(_named([(x, y, r.shaft) for x, y, r, _ in points], looks))
    if points:
        chart.xs = room(
            [v for x, _, _, f in points for v in (x - f.change_error.side, x + f.change_error.side)], 0.08, 2.0
        )
        errors = [v for _, y, _, f in points for v in (y - f.change_error.carry, y + f.change_error.carry)]
        chart.ys = room(errors, 0.06, 2.0)
    chart.y_axis(units_of(carry.unit))
    chart.x_axis("right of the target line +", units_of(side.unit), 4)
    for x, y, run, f in points:
        look = looks.get(run.shaft, REFERENCE if run.shaft == result.reference else _OTHER)
        is_reference = run.shaft == result.reference
        known = is_reference or f.is_resolved("carry") or f.is_resolved("side")
        if not is_reference:
            across, up = f.change_error.side, f.change_error.carry
            d = (
                f"M{chart.x(x - across):.1f} {chart.y(y):.1f}H{chart.x(x + across):.1f}"
                f"M{chart.x(x):.1f} {chart.y(y - up):.1f}V{chart.y(y + up):.1f}"
            )
            chart.add(f'<path class="bar" stroke="{look.colour}" d="{d}"/>')
        chart.point(x, y, look, hollow=not known, size=4.6)
    _name_points(chart, [(x, y, r.shaft) for x, y, r, _ in points], looks)
    return chart.svg()


def _name_points(chart: Chart, points: Sequence[tuple[float, float, str]], looks: Mapping[str, Look]) -> None:
    """Names of all the points, or, where there is no room for them, of the chosen shafts' only."""
    kept = set(_named(points, looks))
    chart.labels([(x, y, name, looks.get(name, _OTHER).colour) for x, y, name in points if name in kept])


def _named(points: Sequence[tuple[float, float, str]], looks: Mapping[str, Look]) -> list[str]:
    names = [name for _, _, name in points]
    return names if len(names) <= MOST_NAMED else [name for name in names if name in looks]


def _side_words(right: float) -> str:
    """In words where a ball came down, right of the target line +."""
    return f"{abs(right):.1f} m {'right' if right >= 0.0 else 'left'} of the line"


def swatch(look: Look) -> Markup:
    """A bit of a shaft's line and its marker, for tables and lists."""
    chart = Chart("", "", "", size=(30.0, 12.0), margins=(0.0, 0.0, 0.0, 0.0))
    chart.line([0.0, 1.0], [0.5, 0.5], look)
    chart.point(0.5, 0.5, look, size=3.6)
    inner = "".join(chart.parts)
    return Markup(f'<svg class="swatch" viewBox="0 0 30 12" aria-hidden="true" focusable="false">{inner}</svg>')


def largest_time(result: RankResult) -> float:
    """Length of the curves, s."""
    spans = [float(-run.curves.t[0]) for run in every_run(result) if run.curves is not None]
    return float(np.max(spans)) if spans else result.downswing
