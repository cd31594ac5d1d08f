"""One swing as one picture: hub, hands and club at key instants, rates, couple, and when the shaft unloads."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import matplotlib
import numpy as np
from numpy.typing import NDArray

from swingbeam.study.result import SwingMotion
from swingbeam.swing.mirror import mirror_vectors

from .caution import IDEALISED
from .style import INK, STYLE, write_picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = NDArray[np.float64]

WIDTH, HEIGHT = 11.0, 8.6
"""Inches."""
CLOSE = 0.14
"""m between places of the head whose numbers would cover each other."""
FAINT = 0.03
"""s between the faint positions of the club."""
_PALE, _ARM = "#b9b9b9", "#8a6d3b"
_LINES = (("#00204c", "-"), ("#7c7b78", "--"), ("#c9a227", "-."))
"""Dark, middle and light: apart in grey, and in line style."""


def draw_swing(motion: SwingMotion) -> Figure:
    """The club in the swing plane and seen from behind the ball, angular rates, hand couple, power, and the bend with
    the instants of unloading.

    A left-handed golfer is drawn as he stands: the two views are reflected, the numbers are not.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with matplotlib.rc_context(STYLE):
        figure = Figure(figsize=(WIDTH, HEIGHT))
        FigureCanvasAgg(figure)
        grid = figure.add_gridspec(
            3, 3, left=0.06, right=0.965, top=0.895, bottom=0.1, wspace=0.32, hspace=0.62,
            height_ratios=(1.0, 1.0, 0.8), width_ratios=(1.25, 0.95, 1.15),
        )  # fmt: skip
        _draw_views(figure.add_subplot(grid[:2, 0]), figure.add_subplot(grid[:2, 1]), motion)
        _draw_rates(figure.add_subplot(grid[0, 2]), motion)
        _draw_couple(figure.add_subplot(grid[1, 2]), motion)
        _draw_strip(figure.add_subplot(grid[2, :]), motion)
        title = f"{motion.golfer}: the downswing with {motion.club}, hands: {motion.hands}"
        figure.text(0.5, 0.965, title, fontsize=12, fontweight="bold", ha="center", va="center")
        figure.text(0.5, 0.018, IDEALISED, fontsize=7, color="#555555", ha="center", va="center")
    return figure


def write_swing_figure(motion: SwingMotion, path: str | os.PathLike[str]) -> Path:
    """Write the picture of a swing to a new PNG or SVG file, by the ending of its name.

    Raises
    ------
    InputError
        The file exists already, or cannot be written; then nothing is written.
    """
    return write_picture(draw_swing(motion), path)


def in_plane(motion: SwingMotion, points: Array) -> Array:
    """(…, 2) m in the swing plane, from the ball: toward the target along the ground, and up the plane."""
    normal = motion.normal
    along = np.cross([0.0, 0.0, 1.0], normal)
    along = along * np.sign(along[0]) / np.linalg.norm(along)
    up = np.cross(normal, along)
    up = up * np.sign(up[2])
    away = points - motion.ball
    return np.stack([away @ along, away @ up], axis=-1)


def from_behind(motion: SwingMotion, points: Array) -> Array:
    """(…, 2) m as seen from behind the ball toward the target, from the ball: to the right, and up."""
    seen = mirror_vectors(points) if motion.handed == "left" else points
    ball = mirror_vectors(motion.ball) if motion.handed == "left" else motion.ball
    away = seen - ball
    return np.stack([-away[..., 1], away[..., 2]], axis=-1)


ALWAYS = ("top", "half-unload", "impact")
"""Instants that are drawn whatever lies beside them."""


def _instants(motion: SwingMotion) -> list[tuple[str, int]]:
    """Names and indices of the instants that are drawn, by time: `ALWAYS`, and what lies apart from them."""
    picked: list[tuple[str, int]] = []
    for name, at in sorted(motion.instants.items(), key=lambda pair: pair[0] not in ALWAYS):
        i = int(np.argmin(np.abs(motion.t - at)))
        if name in ALWAYS or all(abs(motion.t[i] - motion.t[k]) > 0.012 for _, k in picked):
            picked.append((name, i))
    return sorted(picked, key=lambda pair: pair[1])


def _between(motion: SwingMotion, shown: list[tuple[str, int]]) -> list[int]:
    """Indices of the club's faint positions: every `FAINT` s, away from those that are drawn."""
    steps = np.arange(-FAINT, motion.t[0], -FAINT)
    near = [motion.t[i] for _, i in shown]
    apart = [at for at in steps if min(abs(at - t) for t in near) > 0.3 * FAINT]
    return [int(np.argmin(np.abs(motion.t - at))) for at in apart]


def _draw_views(plane: Axes, behind: Axes, motion: SwingMotion) -> None:
    shown = _instants(motion)
    for axes, view in ((plane, in_plane), (behind, from_behind)):
        grip, face = view(motion, motion.grip), view(motion, motion.face)
        for i in _between(motion, shown):
            axes.plot(*view(motion, motion.shaft[i]).T, color=_PALE, linewidth=0.6)
        axes.plot(*grip.T, color=_PALE, linewidth=1.0)
        axes.plot(*face.T, color=_PALE, linewidth=1.0)
        ways = []
        for name, i in shown:
            heavy = name == "impact"
            if motion.hub is not None:
                arm = np.stack([view(motion, motion.hub[i]), grip[i]])
                axes.plot(*arm.T, color=_ARM, linewidth=1.6 if heavy else 0.8, alpha=0.9 if heavy else 0.6)
                axes.plot(*arm[0], marker="s", markersize=3.5, color=_ARM)
            shaft = view(motion, motion.shaft[i])
            axes.plot(*shaft.T, color=INK, linewidth=2.0 if heavy else 1.1)
            head = np.stack([shaft[-1], face[i]])
            axes.plot(*head.T, color=INK, linewidth=4.0 if heavy else 2.4, solid_capstyle="round")
            ways.append(_outward(shaft))
        for text, i, number in _labels(face, shown):
            axes.annotate(
                text, face[i], textcoords="offset points", xytext=ways[number], fontsize=8, color=INK,
                ha="center", va="center",
            )  # fmt: skip
        axes.plot(0.0, 0.0, marker="o", markersize=5, markerfacecolor="white", markeredgecolor=INK, zorder=4)
        axes.set_aspect("equal", adjustable="datalim")
        axes.margins(0.08)
        axes.set_ylabel("m")
        axes.locator_params(axis="x", nbins=5)
    plane.set_title("In the swing plane", loc="left")
    plane.set_xlabel("toward the target, m")
    behind.set_title("From behind the ball", loc="left")
    behind.set_xlabel("to the right, m")
    names = "   ".join(f"{k} {name}" for k, (name, _) in enumerate(shown, 1))
    arms = "" if motion.hub is None else "brown: hub to hands; "
    below = f"{names}\n{arms}faint: paths, and the club every {1e3 * FAINT:.0f} ms"
    plane.text(0.0, -0.11, below, transform=plane.transAxes, fontsize=7.5, va="top", color="#444444")


def _labels(face: Array, shown: list[tuple[str, int]]) -> list[tuple[str, int, int]]:
    """Text, index and place among the instants of the labels of a view: numbers that would cover each other stand in
    one."""
    found: list[tuple[list[str], int, int]] = []
    for number, (_, i) in enumerate(shown):
        near = next((entry for entry in found if np.hypot(*(face[entry[1]] - face[i])) < CLOSE), None)
        if near is None:
            found.append(([str(number + 1)], i, number))
        else:
            near[0].append(str(number + 1))
    return [(", ".join(texts), i, number) for texts, i, number in found]


def _outward(shaft: Array) -> tuple[float, float]:
    """Points by which a label is set off from the head: on, along the shaft."""
    way = shaft[-1] - shaft[-3]
    size = float(np.hypot(*way)) or 1.0
    return 9.0 * float(way[0]) / size, 9.0 * float(way[1]) / size


def _lines(axes: Axes, t: Array, courses: list[tuple[str, Array | None]]) -> None:
    for (colour, style), (name, values) in zip(_LINES, courses, strict=False):
        if values is not None:
            axes.plot(1e3 * t, values, color=colour, linestyle=style, linewidth=1.5, label=name)
    axes.axhline(0.0, color=INK, linewidth=0.6)
    axes.set_xlim(1e3 * t[0], 0.0)
    axes.set_xlabel("ms to impact")
    # Room for the legend above the curves, wherever they run.
    rows = sum(values is not None for _, values in courses)
    low, high = axes.get_ylim()
    axes.set_ylim(low, high + 0.13 * rows * (high - low))
    axes.legend(fontsize=7.5, frameon=False, loc="upper left", handlelength=2.4)


def _draw_rates(axes: Axes, motion: SwingMotion) -> None:
    seen = motion.kinetics
    _lines(axes, seen.t, [("club", seen.club_rate), ("arms", seen.arm_rate), ("forearm roll", seen.roll_rate)])
    axes.set_title("Angular rates, rad/s", loc="left")


def _draw_couple(axes: Axes, motion: SwingMotion) -> None:
    seen = motion.kinetics
    _lines(
        axes,
        seen.t,
        [("couple about the hinge, N·m", seen.couple[:, 0]), ("power to the club, 100 W", 1e-2 * seen.power)],
    )
    axes.set_title("What the hands give the club", loc="left")


def _draw_strip(axes: Axes, motion: SwingMotion) -> None:
    """The in-plane bend, with a mark at every instant that `rank` knows."""
    t, bend = 1e3 * motion.t, 100.0 * motion.bend
    axes.fill_between(t, bend, 0.0, where=bend <= 0.0, color="#dfe6ee", interpolate=True, linewidth=0)
    axes.fill_between(t, bend, 0.0, where=bend >= 0.0, color="#f2e6c4", interpolate=True, linewidth=0)
    axes.plot(t, bend, color="#00204c", linewidth=1.6)
    axes.axhline(0.0, color=INK, linewidth=0.6)
    axes.set_xlim(t[0], 0.01 * -t[0])
    low, high = float(bend.min()), max(float(bend.max()), 0.0)
    span = max(high - low, 0.5)
    axes.set_ylim(low - 0.08 * span, high + 0.85 * span)
    last, level = -np.inf, 0
    for name, at in motion.instants.items():
        if name == "top":
            continue
        place = 1e3 * at
        # Later ones of a cluster stand higher, so that no label crosses the mark of an earlier one.
        level = level + 1 if place - last < 0.2 * -t[0] else 0
        last = place
        height = high + (0.12 + 0.16 * level) * span
        left = place < 0.75 * t[0]
        axes.plot([place, place], [float(np.interp(place, t, bend)), height], color=INK, linewidth=0.8)
        axes.plot(place, np.interp(place, t, bend), marker="o", markersize=4, color=INK)
        axes.annotate(
            name if name == "impact" else f"{name} −{-place:.0f} ms",
            (place, height), textcoords="offset points", xytext=(4 if left else -4, 0), fontsize=8,
            ha="left" if left else "right", va="center",
        )  # fmt: skip
    axes.set_title("In-plane bend, cm (lag −, lead +), and when the shaft unloads", loc="left")
    axes.set_xlabel("ms to impact")
