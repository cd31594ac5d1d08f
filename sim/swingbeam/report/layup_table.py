"""A lay-up, and two compared, as tables and JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import numpy as np
from rich.console import Console

from swingbeam.bench.registry import TESTS
from swingbeam.shaft.layup import PULL, Ply
from swingbeam.study.layup import LayupComparison, LayupResult
from swingbeam.units import to_unit
from swingbeam.units.kinds import METRES_PER_INCH

from .bench_table import _shown as shown_reading
from .caution import WORKSHOP
from .columns import Column
from .columns import section as print_columns

METHOD = (
    "Classical laminated-plate theory, each ply at its own radius; the wall's hoop strain is common to all plies at "
    "each place round the shaft and leaves no hoop force. A part of a wrap is spread evenly round the shaft: no spine."
)


def print_layup(result: LayupResult, console: Console) -> None:
    """Print the ply map, the profile and the bench readings of a lay-up."""
    shaft = result.shaft
    console.print(f"{shaft.name}: {len(result.layup.plies)} plies, inside to outside", style="bold")
    _print_plies(result, console)
    _print_profile(result, console)
    _print_readings([result], console)
    _print_words([result], console)


def print_layups(found: LayupComparison, console: Console) -> None:
    """Print two lay-ups side by side: plies, ratios along the shaft, bench readings."""
    pair = (found.first, found.second)
    console.print(f"{found.second.name} against {found.first.name}", style="bold")
    for result in pair:
        _print_plies(result, console)
    places = Column("from tip\nin", [f"{to_unit(float(x), 'in'):.0f}" for x in found.from_tip])
    columns = [
        Column(f"{label}\nratio", [f"{value:.4f}" for value in values])
        for label, values in (
            ("EI", found.ei_ratio),
            ("GJ", found.gj_ratio),
            ("mass", found.mass_ratio),
            ("diameter", found.diameter_ratio),
        )
    ]
    print_columns(console, f"{found.second.name} over {found.first.name}", [places], columns)
    _print_readings(pair, console)
    _print_words(pair, console)


def _print_plies(result: LayupResult, console: Console) -> None:
    plies = result.layup.plies
    names = [Column("ply\n", [ply.name for ply in plies], left=True)]
    columns = [
        Column("material\n", [ply.material.name for ply in plies], left=True),
        Column("e1\nGPa", [f"{ply.material.e1 / 1e9:.1f}" for ply in plies]),
        Column("angle\n°", [_angle(ply) for ply in plies]),
        Column("wraps\nat tip", [_wraps(ply.end_wraps) for ply in plies]),
        Column("\nat butt", [_wraps(ply.start_wraps) for ply in plies]),
        Column("from tip\nin", [_inches(result, ply.end) for ply in plies]),
        Column("to\nin", [_inches(result, ply.start) for ply in plies]),
        Column("taper\nat tip in", [f"{to_unit(ply.end_taper, 'in'):g}" for ply in plies]),
        Column("\nat butt in", [f"{to_unit(ply.start_taper, 'in'):g}" for ply in plies]),
    ]
    print_columns(console, f"Plies of {result.name}", names, columns)


def _angle(ply: Ply) -> str:
    degrees = f"{to_unit(ply.angle, 'deg'):g}"
    return f"±{degrees.lstrip('-')}" if ply.pair else degrees.replace("-", "−")


def _wraps(wraps: float) -> str:
    return f"{wraps:g}"


def _inches(result: LayupResult, place: float) -> str:
    return f"{abs(round(to_unit(result.shaft.raw_length - place, 'in'), 4)):g}"


def _print_profile(result: LayupResult, console: Console) -> None:
    shaft = result.shaft
    places = np.append(np.arange(0.0, shaft.raw_length - 1e-6, 4.0 * METRES_PER_INCH), shaft.raw_length)
    at = shaft.raw_length - places
    columns = [
        Column(label, [f"{scale * value:.{decimals}f}" for value in np.interp(at, shaft.s, values)])
        for label, values, scale, decimals in (
            ("EI\nN·m²", shaft.ei, 1.0, 1),
            ("GJ\nN·m²", shaft.gj, 1.0, 1),
            ("mass\ng/m", shaft.mass_per_length, 1e3, 1),
            ("diameter\nmm", shaft.diameter, 1e3, 2),
        )
    ]
    names = [Column("from tip\nin", [f"{to_unit(float(x), 'in'):.0f}" for x in places])]
    print_columns(console, "Along the shaft", names, columns)


def _print_readings(results: Sequence[LayupResult], console: Console) -> None:
    readings = [r for test in TESTS.values() for r in test.readings if not r.scan and not r.detail]
    names = [Column("shaft\n", [result.name for result in results], left=True)]
    columns = [
        Column(r.label, [shown_reading(result.bench.readings.get(r.key), r) for result in results])
        for r in readings
        if any(result.bench.readings.get(r.key) is not None for result in results)
    ]
    print_columns(console, "On the bench, usual set-ups", names, columns)


def _print_words(results: Sequence[LayupResult], console: Console) -> None:
    console.print()
    for result in results:
        if result.swap is not None:
            swap = result.swap
            console.print(
                f"{result.name}: e1 of {swap.material} raised from {swap.e1_before / 1e9:.1f} to "
                f"{swap.e1_after / 1e9:.1f} GPa, which brings back the frequency of {swap.before.name}."
            )
        twist = f"{to_unit(result.pull_twist, 'deg'):.3f}"
        console.print(
            f"{result.name}: pulled by {PULL:.0f} N it twists by {twist}° over its length (a balanced lay-up: nearly 0)"
            "; bending twists no wound tube, whatever its plies: what one side would do the other undoes.",
            style="dim",
        )
    console.print(METHOD, style="dim")
    console.print(WORKSHOP, style="dim")


def layup_object(result: LayupResult) -> dict[str, Any]:
    """A lay-up as plain dicts and lists, units in the keys, distances from the tip."""
    shaft, length = result.shaft, result.shaft.raw_length
    swap = result.swap
    return {
        "layup": result.name,
        "shaft": shaft.name,
        "plies": [
            {
                "name": ply.name,
                "material": ply.material.name,
                "e1_gpa": ply.material.e1 / 1e9,
                "angle_deg": to_unit(ply.angle, "deg"),
                "pair": ply.pair,
                "wraps_at_tip_end": ply.end_wraps,
                "wraps_at_butt_end": ply.start_wraps,
                "from_tip_in": to_unit(length - ply.end, "in"),
                "to_in": to_unit(length - ply.start, "in"),
                "taper_at_tip_end_in": to_unit(ply.end_taper, "in"),
                "taper_at_butt_end_in": to_unit(ply.start_taper, "in"),
            }
            for ply in result.layup.plies
        ],
        "profile": {
            "from_tip_mm": [1e3 * float(length - x) for x in shaft.s[::-1]],
            "ei_nm2": shaft.ei[::-1].tolist(),
            "gj_nm2": shaft.gj[::-1].tolist(),
            "mass_g_per_m": (1e3 * shaft.mass_per_length[::-1]).tolist(),
            "diameter_mm": (1e3 * shaft.diameter[::-1]).tolist(),
        },
        "readings": dict(result.bench.readings),
        "pull_twist_deg": to_unit(result.pull_twist, "deg"),
        "pull_n": PULL,
        "raised": None
        if swap is None
        else {
            "material": swap.material,
            "e1_before_gpa": swap.e1_before / 1e9,
            "e1_after_gpa": swap.e1_after / 1e9,
        },
    }


def layups_json(first: LayupResult, comparison: LayupComparison | None = None) -> str:
    """One lay-up, or two with the ratios (second over first), as JSON text."""
    shown = layup_object(first)
    if comparison is not None:
        shown = {
            "first": layup_object(comparison.first),
            "second": layup_object(comparison.second),
            "ratios": {
                "from_tip_mm": (1e3 * comparison.from_tip).tolist(),
                "ei": comparison.ei_ratio.tolist(),
                "gj": comparison.gj_ratio.tolist(),
                "mass": comparison.mass_ratio.tolist(),
                "diameter": comparison.diameter_ratio.tolist(),
            },
        }
    return json.dumps(shown, ensure_ascii=False, allow_nan=False, indent=2)
