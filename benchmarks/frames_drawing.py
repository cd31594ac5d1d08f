"""Draw the frames and the signs, into docs/frames.svg and docs/frames.png: four looks at one club at impact.

.venv/bin/python benchmarks/frames_drawing.py
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import matplotlib
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from swingbeam.report.style import INK, STYLE, colours_of, write_picture

DOCS = Path(__file__).resolve().parents[1] / "docs"
DARK, MIDDLE, LIGHT = colours_of(3)
PLUS = "#b2571b"
"""Colour of what is counted positive."""


def arrow(axes: Any, start: tuple[float, float], end: tuple[float, float], words: str = "", **look: Any) -> None:
    """An arrow with words at its tip."""
    colour, offset = look.get("colour", INK), look.get("offset", (0.0, 0.0))
    axes.annotate(
        "",
        end,
        start,
        annotation_clip=False,
        arrowprops={"arrowstyle": "-|>", "color": colour, "lw": look.get("width", 1.4), "shrinkA": 0, "shrinkB": 0},
    )
    if words:
        place = (end[0] + offset[0], end[1] + offset[1])
        axes.text(*place, words, color=colour, ha=look.get("ha", "center"), va=look.get("va", "center"), fontsize=8.5)


def turn(
    axes: Any,
    centre: tuple[float, float],
    radius: float,
    first: float,
    last: float,
    words: str,
    at: tuple[float, float],
) -> None:
    """An arrow along a circle, degrees counter-clockwise from the right."""
    t = np.radians(np.linspace(first, last, 60))
    x, y = centre[0] + radius * np.cos(t), centre[1] + radius * np.sin(t)
    axes.plot(x[:-4], y[:-4], color=PLUS, lw=1.4)
    arrow(axes, (x[-6], y[-6]), (x[-1], y[-1]), colour=PLUS)
    axes.text(*at, words, color=PLUS, ha="center", va="center", fontsize=8.5)


def from_above(axes: Any) -> None:
    """World: the ball at the origin, the golfer on +y."""
    axes.set_title("From above: world", loc="left")
    arrow(axes, (0, 0), (1.25, 0), "x  to the target", offset=(0.04, 0), ha="left")
    arrow(axes, (0, 0), (0, 0.85), "y", offset=(0.08, 0.0))
    axes.text(-0.3, -0.12, "z up, to you", fontsize=8, ha="right", va="center")
    axes.add_patch(matplotlib.patches.Circle((0, 0), 0.05, fc="white", ec=INK, lw=1.3, zorder=4))
    axes.add_patch(matplotlib.patches.Ellipse((-0.02, 1.15), 0.5, 0.24, fc=LIGHT, ec="none", alpha=0.45))
    axes.text(-0.02, 1.15, "right-handed\ngolfer", ha="center", va="center", fontsize=8)
    axes.plot([-0.85, -0.1], [0.38, 0.045], color=DARK, lw=1.2, ls="--")
    arrow(axes, (0.09, -0.04), (0.95, -0.42), "path in-to-out +", colour=PLUS, offset=(0.05, -0.05), ha="left")
    arrow(axes, (0.0, -0.08), (0.42, -0.72), "face open +", colour=PLUS, offset=(0.06, -0.04), ha="left")
    axes.plot([-0.2, 0.17], [-0.21, 0.04], color=DARK, lw=3, solid_capstyle="round")
    turn(axes, (0, 0), 0.62, -57, -8, "", (0, 0))
    axes.text(0.73, -0.17, "closure +", color=PLUS, fontsize=8.5, ha="left", va="center")


def face_on(axes: Any) -> None:
    """Looking at the golfer: lead, lag, attack."""
    axes.set_title("Face-on: lead and lag", loc="left")
    arrow(axes, (-0.55, -0.02), (1.0, -0.02), "x  to the target", offset=(0.0, -0.09), ha="right")
    arrow(axes, (-0.55, -0.02), (-0.55, 0.55), "z", offset=(0.0, 0.08))
    hands, tip = np.array([0.12, 1.25]), np.array([-0.02, 0.12])
    axes.plot(*hands, "o", color=DARK, ms=7)
    axes.text(hands[0] + 0.08, hands[1], "hands", fontsize=8, va="center")
    s = np.linspace(0, 1, 40)
    straight = hands + s[:, None] * (tip - hands)
    axes.plot(*straight.T, color="#999999", lw=1, ls="--")
    for size, colour, words, place in ((0.26, PLUS, "lead +", (0.36, 0.2)), (-0.3, MIDDLE, "lag −", (-0.43, 0.26))):
        bent = straight + (size * s**2)[:, None] * np.array([1.0, -0.12])
        axes.plot(*bent.T, color=colour, lw=2)
        axes.text(*place, words, color=colour, fontsize=8.5, ha="center")
    axes.add_patch(matplotlib.patches.Circle((0.3, 0.06), 0.05, fc="white", ec=INK, lw=1.3))
    arrow(axes, (0.38, 0.06), (0.95, 0.26), "attack up +", colour=PLUS, offset=(0.0, 0.08))


def down_the_line(axes: Any) -> None:
    """Looking to the target: droop, toe-up."""
    axes.set_title("Down the line: droop", loc="left")
    hands, tip = np.array([-0.75, 1.05]), np.array([0.1, 0.12])
    arrow(axes, (-0.55, -0.02), (-1.05, -0.02), "y", offset=(-0.07, 0.0))
    arrow(axes, (-0.55, -0.02), (-0.55, 0.38), "z", offset=(0.0, 0.08))
    axes.plot(*hands, "o", color=DARK, ms=7)
    axes.text(hands[0] + 0.06, hands[1] + 0.06, "hands", fontsize=8, va="bottom")
    s = np.linspace(0, 1, 40)
    along = (tip - hands) / np.linalg.norm(tip - hands)
    down = np.array([along[1], -along[0]])
    straight = hands + s[:, None] * (tip - hands)
    axes.plot(*straight.T, color="#999999", lw=1, ls="--")
    bent = straight + (0.16 * s**2)[:, None] * down
    axes.plot(*bent.T, color=DARK, lw=2)
    arrow(axes, tuple(straight[-1]), tuple(bent[-1]), colour=PLUS)
    axes.text(-0.06, 0.02, "droop +\n(toe-down)", color=PLUS, fontsize=8.5, ha="right", va="center")
    toe = bent[-1] + np.array([0.42, 0.06])
    axes.plot(*np.array([bent[-1], toe]).T, color=DARK, lw=6, solid_capstyle="round", alpha=0.8)
    axes.text(toe[0] + 0.06, toe[1], "toe", fontsize=8, va="center")
    turn(axes, tuple(bent[-1]), 0.62, 8, 38, "toe-up +", (0.62, 0.62))


def along_the_shaft(axes: Any) -> None:
    """Looking down the shaft from the hands: grip frame, twist, the head's centre of gravity."""
    axes.set_title("Along the shaft, from the hands: grip frame", loc="left")
    arrow(axes, (0, 0), (0, 1.0), "y  to the target,\nface square", offset=(0.0, 0.14))
    arrow(axes, (0, 0), (1.15, 0), "z  to the toe", offset=(0.05, 0), ha="left")
    axes.plot(0, 0, "o", color=INK, ms=9)
    axes.plot(0, 0, "x", color="white", ms=5, mew=1.5)
    axes.text(-0.1, -0.1, "x  away from you,\ndown the shaft", fontsize=8, ha="right", va="top")
    t = np.linspace(np.pi, 2 * np.pi, 60)
    x, y = 0.33 + 0.47 * np.cos(t), 0.14 + 0.62 * np.sin(t)
    axes.fill(np.append(x, x[0]), np.append(y, y[0]), color=LIGHT, alpha=0.4, lw=0)
    axes.plot([-0.14, 0.8], [0.14, 0.14], color=DARK, lw=3, solid_capstyle="round")
    axes.text(0.82, 0.2, "face", fontsize=8)
    axes.plot(0.34, -0.18, "o", color=DARK, ms=6)
    axes.text(0.4, -0.2, "CG", fontsize=8, va="center")
    arrow(axes, (0.34, 0.0), (0.34, -0.155), colour=PLUS)
    axes.text(0.37, -0.38, "rearward +", color=PLUS, fontsize=8.5, ha="center")
    turn(axes, (0, 0), 0.72, 86, 30, "twist +\nopens the face", (0.83, 0.68))


def draw() -> Figure:
    """The four looks."""
    with matplotlib.rc_context(STYLE):
        figure = Figure(figsize=(10.0, 7.6), layout="constrained")
        FigureCanvasAgg(figure)
        looks = {
            from_above: (-1.0, 1.75, -0.85, 1.35),
            face_on: (-0.8, 1.25, -0.2, 1.4),
            down_the_line: (-1.2, 1.05, -0.2, 1.3),
            along_the_shaft: (-0.9, 1.75, -0.65, 1.3),
        }
        for axes, (look, (left, right, low, high)) in zip(figure.subplots(2, 2).flat, looks.items(), strict=True):
            look(axes)
            axes.set(xlim=(left, right), ylim=(low, high), aspect="equal")
            axes.axis("off")
    return figure


def main() -> None:
    for kind in (".svg", ".png"):
        path = DOCS / f"frames{kind}"
        path.unlink(missing_ok=True)
        print(write_picture(draw(), path))


if __name__ == "__main__":
    main()
