"""How lag, droop and lead move with stiffness, for every archetype and every hand mode.

    python benchmarks/stiffness_trends.py [SWING ...] [--json FILE]

The reference club's shaft with EI times 0.7 … 1.5, nothing else changed, swung at the re-aimed ball and read
at its own impact. A row says whether the figure moves one way only over the whole range.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

import numpy as np

from swingbeam.club.build import Club, build_club
from swingbeam.delivery.contact import find_contact
from swingbeam.delivery.unload import bend_direction, in_plane_bend, unload
from swingbeam.shaft.shaft import scale
from swingbeam.swing.archetype import library_swings, prepare
from swingbeam.swing.hands import MODES, Hands
from swingbeam.swing.reference import Reference, run_club

FACTORS = (0.7, 0.85, 1.0, 1.2, 1.5)
FIGURES = ("lag", "droop", "lead")
TIMING = "half-unload"
FLAT = 2e-4
"""m; a figure that moves less than this over the whole range is called flat, not monotone."""


def stiffer(club: Club, factor: float) -> Club:
    """The same club with its shaft's bending stiffness multiplied."""
    return build_club(
        scale(club.shaft, ei=factor),
        club.head,
        finished_length=club.finished_length,
        tip_trim=club.tip_trim,
        insertion=club.insertion,
        grip_mass=club.grip_mass,
        grip_length=club.grip_length,
        hold_point=club.hold_point,
    )


def figures(club: Club, reference: Reference, hands: Hands) -> dict[str, float]:
    """Deepest in-plane bend of the downswing (lag ≥ 0), droop and lead at the club's own impact, m;
    half-unload, s."""
    run = run_club(club, reference, hands)
    contact = find_contact(run, club.face, reference.ball, reference.top)
    if contact.time is None:
        return dict.fromkeys((*FIGURES, TIMING), float("nan"))
    rows = run.at(np.linspace(reference.top, contact.time, 400))
    direction = bend_direction(reference.normal, rows.motion_rotation)
    bend = in_plane_bend(rows.tip_position, rows.root_rotation, direction)
    last = rows.tip_position[-1]
    half = unload(run, reference.normal, contact.time, reference.top, reference.downswing).half
    return {
        "lag": float(-bend.min()),
        "droop": float(-last[2]),
        "lead": float(last[1]),
        TIMING: float("nan") if half is None else half,
    }


def table(reference: Reference, hands: Hands, factors: tuple[float, ...] = FACTORS) -> dict[str, list[float]]:
    """Each figure over the factors, m; half-unload, s."""
    rows = [figures(stiffer(reference.club, factor), reference, hands) for factor in factors]
    return {name: [row[name] for row in rows] for name in (*FIGURES, TIMING)}


def verdict(values: list[float]) -> str:
    """ "falls" or "rises" with stiffness, "flat", else "turns"; "missed" without a value."""
    array = np.array(values)
    if not np.all(np.isfinite(array)):
        return "missed"
    if np.ptp(array) < FLAT:
        return "flat"
    steps = np.diff(array)
    if np.all(steps < 0.0):
        return "falls"
    return "rises" if np.all(steps > 0.0) else "turns"


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(description="Lag, droop and lead against stiffness, in each hand mode.")
    parser.add_argument("swings", nargs="*", help="names of swings; all of the library if none is given")
    parser.add_argument("--json", type=Path, help="also write the numbers to this file")
    options = parser.parse_args(arguments)
    library = library_swings()
    kept: dict[str, Any] = {}
    print(f"EI times {', '.join(f'{f:g}' for f in FACTORS)}; cm, at the club's own impact")
    for name in options.swings or list(library):
        reference = prepare(library[name])
        print(f"\n{library[name].name}")
        kept[name] = {}
        for mode, hands in MODES.items():
            found = table(reference, hands)
            kept[name][mode] = found
            for figure in FIGURES:
                numbers = " ".join(f"{100 * v:7.2f}" for v in found[figure])
                print(f"  {mode:7s}{figure:12s}{numbers}   {verdict(found[figure])}")
            numbers = " ".join(f"{1e3 * v:7.2f}" for v in found[TIMING])
            print(f"  {mode:7s}{TIMING:12s}{numbers}   ms, {verdict(found[TIMING])}")
    if options.json is not None:
        options.json.write_text(json.dumps({"factors": FACTORS, "m, half-unload s": kept}, indent=1))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
