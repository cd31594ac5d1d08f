"""Put claims of the trade to the test, and write what came out to docs/claims.md, whatever it is.

    .venv/bin/python benchmarks/trade_claims.py [--output FILE]

Runs the scenarios `lighter_steel` (with the R of `irons` beside it), `twins`, `bias_swap`, `head_cg` and
`first_fitting` for every golfer of the library who swings that kind of club, under all three kinds of hands, about a
minute or two. Tables are generated; every word about what came out follows from the numbers by the rules of
`claims/rules.py`.
"""

from __future__ import annotations

import argparse
import math
import os
import sys
import time
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from claims.bend_point import bend_point
from claims.bias_swap import bias_swap
from claims.on_the_bench import library_shafts, read_pairs, read_trims, steel_torque, tip_against_butt
from claims.parts import REFERENCE, Cases, Figures, Key, page
from claims.steel import lighter_steel, next_letter
from claims.twins import twins

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.club.build import Club
from swingbeam.delivery.ranking import rank_by, resolution
from swingbeam.files.lookup import find, list_library
from swingbeam.shaft.layup_swap import load_swap
from swingbeam.shaft.load import load_shaft
from swingbeam.study.golfer import Golfer, load_golfer
from swingbeam.study.measure import Measured
from swingbeam.study.quantities import IMPACT, STATIC, UNLOAD
from swingbeam.study.rank import DAMPING_PAIR
from swingbeam.study.readings import static_readings
from swingbeam.study.result import HANDS
from swingbeam.study.scenario import Scenario, digest_of, load_scenario

PAGE = Path(__file__).resolve().parents[1] / "docs" / "claims.md"
SCENARIOS = ("lighter_steel", "irons", "twins", "head_cg", "first_fitting", "bias_swap")
BALL, SOLVER = "re-aimed", "curvature"


@dataclass(frozen=True)
class Run:
    """One club to be swung: the scenario and label it belongs to, the hands, and the damping of all clubs."""

    key: Key
    club: Club
    hands: str
    damping: float


def shown_figures(measured: Measured) -> Figures:
    """Figures of one run as people read them, None where there are none."""
    found: Figures = {q.key: q.of(measured.unload) for q in UNLOAD}
    found |= {q.key: q.of(measured.impact) for q in IMPACT}
    found["twist_peak_deg"] = found["loft_from_bend_deg"] = found["face_from_bend_deg"] = None
    if measured.curves is not None:
        found["twist_peak_deg"] = math.degrees(float(abs(measured.curves.twist).max()))
    if measured.loft is not None and measured.face is not None:
        found["loft_from_bend_deg"] = math.degrees(measured.loft.bend)
        found["face_from_bend_deg"] = math.degrees(measured.face.bend + measured.face.twist)
    return found


def swing_clubs(golfer: Golfer, clubs: Mapping[Key, Club]) -> dict[str, dict[Key, Figures]]:
    """Hands → club → figures, for every club and the golfer's reference club, resolution and rank included."""
    every = {**clubs, REFERENCE: golfer.club}
    # What all runs share is made before they start.
    for damping in (1.0, *DAMPING_PAIR):
        golfer.reference.record(SOLVER, damping)
    for club in every.values():
        _ = club.viscosity, club.face, golfer.frame
    runs = [Run(key, club, hands, d) for hands in HANDS for d in (1.0, *DAMPING_PAIR) for key, club in every.items()]

    def swing(run: Run) -> Measured:
        return golfer.swing(run.club, run.hands, BALL, SOLVER, damping=run.damping, timing_only=run.damping != 1.0)

    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        measured = dict(zip(((r.hands, r.damping, r.key) for r in runs), pool.map(swing, runs), strict=True))
    found = {}
    for hands in HANDS:
        figures = {key: shown_figures(measured[hands, 1.0, key]) for key in every}
        half = {(d, key): measured[hands, d, key].half for d in (1.0, *DAMPING_PAIR) for key in every}
        for key in every:
            own, reference = half[1.0, key], half[1.0, REFERENCE]
            sure = None
            if own is not None and reference is not None:
                sure = resolution(own, reference, [(half[d, key], half[d, REFERENCE]) for d in DAMPING_PAIR])
            figures[key]["resolution_ms"] = None if sure is None else 1e3 * sure
        add_ranks(figures)
        found[hands] = figures
    return found


def add_ranks(figures: Mapping[Key, Figures]) -> None:
    """The timing rank of every club within its own scenario."""
    for scenario in {key[0] for key in figures}:
        keys = [key for key in figures if key[0] == scenario]
        halves = [figures[key]["half_ms"] for key in keys]
        sure = [figures[key]["resolution_ms"] for key in keys]
        ranks = rank_by(
            [None if h is None else 1e-3 * h for h in halves], [None if r is None else 1e-3 * r for r in sure]
        )
        for key, rank in zip(keys, ranks, strict=True):
            figures[key]["rank"] = rank


def library_golfers() -> tuple[dict[str, dict[str, Golfer]], list[str]]:
    """Kind of club → name → golfer of the library, and why any could not be made ready."""
    found: dict[str, dict[str, Golfer]] = {"driver": {}, "iron": {}}
    left_out = []
    for stem, path in list_library("swing").items():
        try:
            golfer = load_golfer(path)
        except (InputError, SimulationError) as error:
            left_out.append(f"{stem}: {' '.join(str(error).split())}")
            continue
        found.setdefault(golfer.club.head.kind, {})[golfer.reference.name] = golfer
    return found, left_out


def clubs_of(scenarios: Mapping[str, Scenario]) -> dict[Key, Club]:
    """(scenario, label) → club."""
    return {(name, club.label): club for name, scenario in scenarios.items() for club in scenario.clubs}


def all_cases(people: Mapping[str, Golfer], clubs: Mapping[Key, Club]) -> Cases:
    """(golfer, hands) → club → figures."""
    found: Cases = {}
    for name, golfer in people.items():
        start = time.perf_counter()
        found |= {(name, hands): figures for hands, figures in swing_clubs(golfer, clubs).items()}
        print(f"  {name}: {len(clubs) + 1} clubs, {time.perf_counter() - start:.1f} s", file=sys.stderr)
    return found


def readings_of(club: Club) -> Figures:
    """Bench readings of a club's raw shaft as people read them."""
    static = static_readings(club.shaft)
    return {q.key: q.of(static) for q in STATIC}


def library_kick_points(kind: str) -> list[float]:
    """Kick point of every shaft of a kind in the library, % from the tip."""
    shafts = [load_shaft(path) for path in list_library("shaft").values()]
    return [100.0 * static_readings(shaft).kick_point for shaft in shafts if shaft.kind == kind]


def main(arguments: Sequence[str]) -> int:
    """Run everything and write the page."""
    parser = argparse.ArgumentParser(description="Claims of the trade, put to the test.")
    parser.add_argument("--output", type=Path, default=PAGE, help="the page to write")
    options = parser.parse_args(arguments)
    start = time.perf_counter()
    scenarios = {name: load_scenario(name) for name in SCENARIOS}
    steel, pair, head_cg, fitting, swapped = (scenarios[n] for n in SCENARIOS if n != "irons")
    softer = next_letter(steel.clubs, scenarios["irons"].clubs)
    people, left_out = library_golfers()
    iron_clubs = clubs_of({"lighter_steel": steel}) | {("irons", softer.label): softer}
    irons = all_cases(people["iron"], iron_clubs)
    driver_clubs = clubs_of({"twins": pair, "head_cg": head_cg, "first_fitting": fitting, "bias_swap": swapped})
    drivers = all_cases(people["driver"], driver_clubs)
    golfer_inputs = [pair for group in people.values() for g in group.values() for pair in g.inputs]
    inputs = dict(pair for s in scenarios.values() for pair in s.inputs) | dict(golfer_inputs)
    text = page(
        [
            lighter_steel(irons, steel.clubs, softer, readings_of),
            twins(drivers, pair.clubs, readings_of),
            bend_point(drivers, head_cg.clubs, fitting.clubs, readings_of, library_kick_points("driver")),
            tip_against_butt(read_trims(library_shafts())),
            steel_torque(read_pairs(library_shafts())),
            bias_swap(drivers, swapped.clubs, readings_of, load_swap(find("shaft", swapped.record.shafts[-1]))),
        ],
        left_out=left_out,
        by_torque=[name for group in people.values() for name, g in group.items() if g.reference.line is None],
        digest=digest_of(inputs.items(), (BALL, SOLVER)),
    )
    options.output.parent.mkdir(parents=True, exist_ok=True)
    options.output.write_text(text, encoding="utf-8")
    print(f"{options.output}: written after {time.perf_counter() - start:.0f} s", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
