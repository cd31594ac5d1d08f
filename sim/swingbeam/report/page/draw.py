"""Charts as SVG: axes with ticks in both sets of units, lines, points, labels; nothing but text is made."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from markupsafe import Markup, escape
from numpy.typing import NDArray

from ..style import spread_labels
from .units import UNITS, Unit

Array = NDArray[np.float64]
FONT = 13.0
"""Size of the text in a chart, in its own units; its width is estimated from it."""


PRINTED_FONT = 16.0
"""The same on paper, as the style sheet has it."""
MOST_LETTERS = 20
"""Of a name in a chart."""


@dataclass(frozen=True)
class Look:
    """How a shaft is drawn everywhere: colour, dashes, marker."""

    colour: str
    dashes: str = ""
    width: float = 2.0
    marker: str = "circle"


REFERENCE = Look("#14181f", "", 2.6, "square")
LOOKS = (
    Look("#0b4f8a", "9 4", 2.2, "circle"),
    Look("#9a5b00", "2.5 3", 2.4, "triangle"),
    Look("#0f766e", "11 3 2.5 3", 2.2, "diamond"),
    Look("#9b2c6f", "5 3", 2.2, "circle"),
    Look("#5b616b", "1.5 4", 2.4, "triangle"),
)
"""Of the chosen shafts in their order: apart in hue, in darkness, in dashes and in marker."""


@dataclass
class Chart:
    """A chart under construction: pieces are added, `svg()` is the whole.

    Attributes
    ----------
    name : unique on the page
    title, words : what a screen reader says
    size : width and height
    margins : left, right, top, bottom
    """

    name: str
    title: str
    words: str
    size: tuple[float, float] = (430.0, 270.0)
    margins: tuple[float, float, float, float] = (46.0, 108.0, 12.0, 40.0)
    xs: tuple[float, float] = (0.0, 1.0)
    ys: tuple[float, float] = (0.0, 1.0)
    parts: list[str] = field(default_factory=list)
    kind: str = ""

    def room_for(self, names: Iterable[str]) -> None:
        """Make the right margin as wide as the names that will stand there."""
        left, _, top, bottom = self.margins
        longest = max((len(shortened(name)) for name in names), default=0)
        # Printed, text is larger than on the screen: of that size a letter is about half as wide as high.
        self.margins = (left, 14.0 + 0.52 * PRINTED_FONT * longest, top, bottom)

    # -- places -----------------------------------------------------------------------------------------------
    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, right, top and bottom of the panel."""
        left, right, top, bottom = self.margins
        return left, self.size[0] - right, top, self.size[1] - bottom

    def x(self, value: float) -> float:
        left, right, _, _ = self.box
        return left + (value - self.xs[0]) / (self.xs[1] - self.xs[0]) * (right - left)

    def y(self, value: float) -> float:
        _, _, top, bottom = self.box
        return bottom - (value - self.ys[0]) / (self.ys[1] - self.ys[0]) * (bottom - top)

    # -- pieces -----------------------------------------------------------------------------------------------
    def add(self, text: str) -> None:
        self.parts.append(text)

    def x_axis(self, words: str, units: Sequence[Unit] | None = None, count: int = 5) -> None:
        """Ticks and words below the panel; with units for either set where they differ."""
        left, right, top, bottom = self.box
        for system, unit in self._systems(units):
            ticks = nice_ticks(self.xs[0] * unit.factor, self.xs[1] * unit.factor, count)
            pieces = []
            for value, text in ticks:
                at = self.x(value / unit.factor)
                pieces.append(f'<path class="grid" d="M{at:.1f} {top:.1f}V{bottom:.1f}"/>')
                pieces.append(_text(at, bottom + 16, text, "middle", "tick"))
            words_here = f"{words}, {unit.text}" if unit.text else words
            pieces.append(_text(0.5 * (left + right), bottom + 33, words_here, "middle", "axis"))
            self.add(_group(system, pieces))
        self.add(f'<path class="frame" d="M{left:.1f} {bottom:.1f}H{right:.1f}"/>')

    def y_axis(self, units: Sequence[Unit] | None = None, count: int = 5) -> None:
        left, right, _, _ = self.box
        for system, unit in self._systems(units):
            pieces = []
            for value, text in nice_ticks(self.ys[0] * unit.factor, self.ys[1] * unit.factor, count):
                at = self.y(value / unit.factor)
                pieces.append(f'<path class="grid" d="M{left:.1f} {at:.1f}H{right:.1f}"/>')
                pieces.append(_text(left - 6, at + 0.35 * FONT, text, "end", "tick"))
            self.add(_group(system, pieces))

    def zero(self) -> None:
        """The line where y is 0, if it is in the panel."""
        left, right, _, _ = self.box
        if self.ys[0] < 0.0 < self.ys[1]:
            self.add(f'<path class="zero" d="M{left:.1f} {self.y(0.0):.1f}H{right:.1f}"/>')

    def line(self, xs: Iterable[float], ys: Iterable[float], look: Look) -> None:
        points = [(self.x(x), self.y(y)) for x, y in zip(xs, ys, strict=True)]
        dashes = f' stroke-dasharray="{look.dashes}"' if look.dashes else ""
        self.add(f'<path class="line" d="{path(points)}" stroke="{look.colour}" stroke-width="{look.width}"{dashes}/>')

    def point(self, x: float, y: float, look: Look, *, hollow: bool = False, size: float = 5.0) -> None:
        fill = "#fff" if hollow else look.colour
        shape = f'fill="{fill}" stroke="{look.colour}" stroke-width="1.6"'
        self.add(marker(self.x(x), self.y(y), look.marker, size, shape))

    def labels(self, items: Sequence[tuple[float, float, str, str]], *, gap: float = FONT * 1.12) -> None:
        """Names at the right of the panel, led to their points: (x, y, name, colour) in the chart's values."""
        if not items:
            return
        _, right, top, bottom = self.box
        heights = np.array([self.y(y) for _, y, _, _ in items])
        places = spread_labels(heights, gap, top + 4.0, bottom)
        for (x, _, name, colour), height, place in zip(items, heights, places, strict=True):
            from_x = self.x(x)
            self.add(
                f'<path class="leader" stroke="{colour}" d="M{from_x + 3:.1f} {height:.1f}'
                f'L{right + 8:.1f} {place:.1f}"/>'
            )
            self.add(_text(right + 11, place + 0.34 * FONT, shortened(name), "start", "name", colour))

    def note(self, x: float, y: float, text: str, anchor: str = "start", kind: str = "tick") -> None:
        """Words at a place of the drawing, in its own units."""
        self.add(_text(x, y, text, anchor, kind))

    def cursor(self) -> None:
        """The line that the scrubber moves: x is time in ms."""
        left, right, top, bottom = self.box
        data = f'data-left="{left}" data-right="{right}" data-from="{self.xs[0]}" data-to="{self.xs[1]}"'
        self.add(f'<path class="cursor" {data} d="M0 {top:.1f}V{bottom:.1f}" transform="translate({right})"/>')

    def _systems(self, units: Sequence[Unit] | None) -> list[tuple[str, Unit]]:
        if units is None:
            return [("", Unit(""))]
        return list(zip(UNITS, units, strict=True)) if units[0] != units[1] else [("", units[0])]

    def svg(self) -> Markup:
        """The chart; everything that came from names is escaped."""
        width, height = self.size
        name = f"chart-{self.name}"
        return Markup(
            f'<svg class="chart {self.kind}" id="{name}" viewBox="0 0 {width:g} {height:g}" role="img" '
            f'aria-labelledby="{name}-title {name}-words">'
            f'<title id="{name}-title">{escape(self.title)}</title>'
            f'<desc id="{name}-words">{escape(self.words)}</desc>{"".join(self.parts)}</svg>'
        )


def shortened(name: str) -> str:
    """A name as a chart has room for it; tables give it whole."""
    if len(name) <= MOST_LETTERS:
        return name
    half = (MOST_LETTERS - 1) // 2
    return f"{name[: MOST_LETTERS - 1 - half]}…{name[len(name) - half :]}"


def _group(system: str, pieces: Sequence[str]) -> str:
    kind = {"metric": ' class="um"', "trade": ' class="ut"'}.get(system, "")
    return f"<g{kind}>{''.join(pieces)}</g>"


def _text(x: float, y: float, text: str, anchor: str, kind: str, colour: str = "") -> str:
    fill = f' style="fill:{colour}"' if colour else ""
    return f'<text class="{kind}" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"{fill}>{escape(text)}</text>'


def path(points: Sequence[tuple[float, float]]) -> str:
    """The d of a path through points."""
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def marker(x: float, y: float, kind: str, size: float, style: str) -> str:
    """A marker of about one area whatever its kind."""
    if kind == "circle":
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size:.1f}" {style}/>'
    s = 0.9 * size
    corners = {
        "square": [(-s, -s), (s, -s), (s, s), (-s, s)],
        "diamond": [(0.0, -1.3 * size), (1.3 * size, 0.0), (0.0, 1.3 * size), (-1.3 * size, 0.0)],
        "triangle": [(0.0, -1.2 * size), (1.15 * size, 0.85 * size), (-1.15 * size, 0.85 * size)],
    }[kind]
    return f'<path d="{path([(x + dx, y + dy) for dx, dy in corners])}Z" {style}/>'


def nice_ticks(low: float, high: float, count: int) -> list[tuple[float, str]]:
    """Values at round steps of 1, 2 or 5 within low … high, with their texts."""
    span = high - low
    if not (math.isfinite(span) and span > 0.0):
        return []
    step = 10.0 ** math.floor(math.log10(span / count))
    step *= next(m for m in (1.0, 2.0, 5.0, 10.0) if span / (m * step) <= count)
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    first = math.ceil(low / step - 1e-9)
    values = [k * step for k in range(first, math.floor(high / step + 1e-9) + 1)]
    return [(v, _number(v, places) if abs(v) > 1e-9 * step else "0") for v in values]


def _number(value: float, places: int) -> str:
    """A number with a narrow space between thousands from ten thousand on."""
    text = f"{value:,.{places}f}" if abs(value) >= 1e4 else f"{value:.{places}f}"
    return text.replace(",", "\u202f").replace("-", "−")


def room(values: Sequence[float], share: float = 0.06, least: float = 0.0) -> tuple[float, float]:
    """Ends of an axis with some room beyond the values."""
    low, high = min(values), max(values)
    span = max(high - low, least, 1e-9)
    middle = 0.5 * (low + high)
    half = (0.5 + share) * span
    return middle - half, middle + half
