"""What the error of a shot is made of, what each figure of delivery does to it, and published means beside it.

    python benchmarks/flight.py [SWING]

Prints the tables of docs/flight.md in Markdown: the golfer's reference club and, for the differences, two shafts that
are far apart.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Sequence
from dataclasses import fields

import numpy as np

from swingbeam.club.build import load_club
from swingbeam.delivery.air import Air
from swingbeam.delivery.blow import Ball
from swingbeam.delivery.doubt import DOUBTS, REPEATABILITY, Doubted, error_of, error_of_change
from swingbeam.delivery.flight import fly
from swingbeam.delivery.shot import FIGURES
from swingbeam.files.lookup import find
from swingbeam.study.golfer import load_golfer
from swingbeam.study.quantities import SHOT
from swingbeam.study.shots import Range, fly_measured

SHOWN = ("ball_speed", "launch_angle", "launch_direction", "back_spin", "side_spin", "carry", "side")
FAR_APART = ("bracken-46-l", "marl-79-x")
RPM = math.pi / 30.0


def row(words: str, values: np.ndarray, *, sign: bool = True) -> str:
    """A row of a table: the figures of `SHOWN` out of all."""
    by_name = {q.attribute: q for q in SHOT}
    cells = []
    for name in SHOWN:
        q = by_name[name]
        value = q.scale * float(values[FIGURES.index(name)])
        cells.append(f"{value:{'+' if sign else ''}.{max(q.decimals, 2 if q.unit == 'm' else 0)}f}".replace("-", "−"))
    return f"| {words} | {' | '.join(cells)} |"


def head(words: str) -> str:
    """The head of such a table."""
    by_name = {q.attribute: q for q in SHOT}
    names = [by_name[name].label.replace("\n", " ") for name in SHOWN]
    return f"| {words} | {' | '.join(names)} |\n| :-- |{' --: |' * len(names)}"


def budget(own: Doubted, soft: Doubted, stiff: Doubted) -> None:
    """What each doubt moves: the reference club's shot, and the difference of two clubs."""
    print(head("moved by 1σ"))
    for doubt, moved in zip(DOUBTS, own.moved, strict=True):
        print(row(f"{doubt.name}: {doubt.size:g}", moved))
    print(row("**all, with the solver: 1σ of a figure**", error_of(own).array(), sign=False))
    print()
    print(head(f"{FAR_APART[0]} less {FAR_APART[1]}"))
    print(row("difference", soft.shot.minus(stiff.shot).array()))
    for doubt, a, b in zip(DOUBTS, soft.moved, stiff.moved, strict=True):
        print(row(f"moved by {doubt.name}", a - b))
    print(row("**all, with the solver: 1σ of the difference**", error_of_change(soft, stiff).array(), sign=False))
    print()
    print(head("slope over the usual 1σ from swing to swing"))
    for f, slope in zip(fields(REPEATABILITY), own.slopes, strict=True):
        size = getattr(REPEATABILITY, f.name)
        shown = f"{math.degrees(size):.1f}°" if f.name in ("face_angle", "dynamic_loft", "path", "attack") else size
        shown = f"{1e3 * size:.0f} mm" if f.name.startswith("strike") else shown
        shown = f"{100.0 * size:.0f} %" if f.name == "speed" else shown
        print(row(f"{f.name.replace('_', ' ')} {shown}", slope))


def published() -> None:
    """The tour's means of 2015 flown, and how much of a flight lies outside of what was measured."""
    angle = math.radians(10.8)
    speed, spin = 167.7 * 0.44704, 2599.0 * RPM
    velocity = speed * np.array([math.cos(angle), 0.0, math.sin(angle)])
    flown = fly(velocity, [0.0, -spin, 0.0], Air())
    print(
        f"Tour means of 2015 (167.7 mph, 10.8°, 2599 rpm): carry {flown.carry:.1f} m ({flown.carry / 0.9144:.0f} yd), "
        f"apex {flown.apex:.1f} m, descent {math.degrees(flown.descent):.1f}°, {flown.time:.2f} s."
    )
    air, ball = Air(), Ball()
    steps = np.diff(flown.path, axis=0)
    length = float(np.linalg.norm(steps, axis=1).sum())
    reynolds = 2.0 * ball.radius * speed * air.density / air.viscosity
    print(f"Path {length:.0f} m; Re at launch {reynolds:.0f}; S at launch {spin * ball.radius / speed:.3f}.")


def main(arguments: Sequence[str] | None = None) -> int:
    """Print everything."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("swing", nargs="?", default="even")
    path = find("swing", parser.parse_args(arguments).swing)
    golfer = load_golfer(path)

    def flown(shaft: str | None) -> Doubted:
        club = golfer.club
        if shaft is not None:
            club = load_club(golfer.parts.model_copy(update={"shaft": shaft, "label": shaft}), beside=path)
        found = fly_measured(golfer.swing(club, "hold", "re-aimed", "curvature"), club, Range())
        if found.shot is None:
            raise SystemExit(f"{shaft}: {found.reason}")
        return found.shot

    own, soft, stiff = (flown(shaft) for shaft in (None, *FAR_APART))
    print(f"Reference club of {golfer.reference.name}: carry {own.shot.carry:.1f} m, side {own.shot.side:.1f} m.\n")
    budget(own, soft, stiff)
    print()
    published()
    return 0


if __name__ == "__main__":
    sys.exit(main())
