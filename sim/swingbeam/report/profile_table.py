"""Profiles found from readings, and readings converted to another bench, as tables and JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import numpy as np
from rich.console import Console

from swingbeam.bench.bench_test import described
from swingbeam.bench.inverse import BAND, Foretold, Residual
from swingbeam.bench.measured import Wanted
from swingbeam.study.profile import ConversionResult, ProfileResult, method
from swingbeam.units import show

from .columns import Column, section

EVERY = 5.0 * 0.0254
"""m from the tip between the stations that are printed; the file and the JSON have all."""
EXPLAINED = (
    "standardised: read less fitted over the standard deviation that difference should have; beyond 4 a reading is "
    "refused as contradicting the others. by the others: what they foretell of it, ± one standard deviation."
)


def print_profile(result: ProfileResult, console: Console) -> None:
    """Print the profile found: residuals, stations with their band, what is left open, and the method."""
    found = result.found
    console.print(f"{found.shaft.name}: from {len(found.residuals)} readings ({result.read.source})", style="bold")
    rows = found.residuals
    names = [Column("\n", [label_of(r.measured.wanted) for r in rows], left=True)]
    section(console, "Readings", names, _reading_columns(rows))
    console.print(EXPLAINED, style="dim")
    _print_setups([r.measured.wanted for r in rows], console)
    names, columns = _station_columns(result)
    section(console, "Profile, with the ends of the 95 % band", names, columns)
    _print_open(result, console)
    console.print()
    for sentence in method(found):
        console.print(sentence, style="dim")


def print_conversion(result: ConversionResult, console: Console) -> None:
    """Print what another bench would read, with the 95 % band."""
    found = result.profile.found
    console.print(
        f"{found.shaft.name}: {len(found.residuals)} readings, as the bench {result.bench.name} would read the shaft",
        style="bold",
    )
    rows = result.foretold
    names = [Column("\n", [label_of(f.wanted) for f in rows], left=True)]
    columns = [
        Column("foretold\n", [f.wanted.shown(f.value) for f in rows]),
        Column("95 % band\n±", [f.wanted.shown_error(BAND * f.sd) for f in rows]),
        Column("share\n±", [_share(f) for f in rows]),
        Column("without the\nreadings ±", [f.wanted.shown_error(BAND * f.prior_sd) for f in rows]),
    ]
    section(console, "Foretold", names, columns)
    console.print("The error of taking the reading comes on top.", style="dim")
    _print_setups([f.wanted for f in rows], console)
    for line in result.left_out:
        console.print(line)
    _print_open(result.profile, console)


def _print_setups(wanted: Sequence[Wanted], console: Console) -> None:
    """Every set-up once, and which readings were taken under it."""
    setups: dict[tuple[str, str], int] = {}
    for one in wanted:
        key = (one.test.name.replace("_", " "), str(one.setup))
        setups[key] = setups.get(key, 0) + 1
    for (test, words), count in setups.items():
        times = f" ({count} figures)" if count > 1 else ""
        console.print(f"{test}{times}: {words}", style="dim")


def _share(foretold: Foretold) -> str:
    return f"{100.0 * BAND * foretold.sd / abs(foretold.value):.1f} %" if foretold.value else "–"


def label_of(wanted: Wanted) -> str:
    """Test and figure, short."""
    if wanted.reading.key == "mass_g":
        return "weight"
    words = wanted.test.name.replace("_", " ")
    figure = wanted.reading.attribute.replace("_", " ")
    if not wanted.is_main and figure != words:
        words += f": {figure}"
    return words if wanted.index is None else f"{words} {wanted.index + 1}"


def _reading_columns(rows: tuple[Residual, ...]) -> list[Column]:
    def texts(attribute: str) -> list[str]:
        return [r.measured.wanted.shown(getattr(r, attribute)) for r in rows]

    return [
        Column("read\n", [r.measured.wanted.shown(r.measured.value) for r in rows]),
        Column("error\n±", [r.measured.wanted.shown_error(r.measured.error) for r in rows]),
        Column("fitted\n", texts("fitted")),
        Column("stand-\nardised", [f"{r.standardised:+.1f}" for r in rows]),
        Column("by the\nothers", texts("by_others")),
        Column("\n±", [r.measured.wanted.shown_error(r.by_others_sd) for r in rows]),
    ]


def _station_columns(result: ProfileResult) -> tuple[list[Column], list[Column]]:
    found = result.found
    s, length = found.unknowns.s, found.shaft.raw_length
    places = np.append(np.arange(0.0, length - 0.5 * EVERY, EVERY), length)
    logs, sd = found.unknowns.logs(found.at), found.log_sd
    # From the tip; np.interp takes either side of a step.
    at = length - places
    columns = []
    for k, (title, unit, scale) in enumerate((("EI", "N·m²", 1.0), ("GJ", "N·m²", 1.0), ("mass", "g/m", 1e3))):
        middle = np.interp(at, s, logs[k])
        half = BAND * np.interp(at, s, sd[k])
        columns += [
            Column(f"{title}\n{unit}", [f"{v:.1f}" for v in scale * np.exp(middle)]),
            Column(
                "95 % band\n",
                [
                    f"{a:.1f} … {b:.1f}"
                    for a, b in zip(scale * np.exp(middle - half), scale * np.exp(middle + half), strict=True)
                ],
            ),
        ]
    return [Column("from tip\nin", [show(p, "in", 1).removesuffix(" in") for p in places])], columns


def _print_open(result: ProfileResult, console: Console) -> None:
    lines = [gap.describe(result.found.shaft.raw_length) for gap in result.gaps] + list(result.remarks)
    if lines:
        console.print()
        console.print("What the readings do not determine", style="bold")
        for line in lines:
            console.print(line)


def profile_json(result: ProfileResult) -> str:
    """The profile found as JSON: SI for the profile, people's units for readings."""
    return json.dumps(_profile_table(result), indent=2, ensure_ascii=False)


def conversion_json(result: ConversionResult) -> str:
    """Converted readings as JSON: the bench, and per reading value and half-width of the 95 % band."""
    table = {
        "shaft": result.profile.found.shaft.name,
        "bench": result.bench.name,
        "readings": [
            {
                **_wanted_table(f.wanted),
                "value": f.wanted.reading.scale * f.value,
                "band_half_width": f.wanted.reading.scale * BAND * f.sd,
                "band_half_width_without_readings": f.wanted.reading.scale * BAND * f.prior_sd,
            }
            for f in result.foretold
        ],
        "left_out": list(result.left_out),
        "not_determined": _open_table(result.profile),
    }
    return json.dumps(table, indent=2, ensure_ascii=False)


def _profile_table(result: ProfileResult) -> dict[str, Any]:
    found = result.found
    bands = found.bands()
    shaft = found.shaft
    stations = [
        {
            "from_butt_m": float(s),
            **{
                key: {"value": float(value[i]), "low": float(bands[k, i, 0]), "high": float(bands[k, i, 1])}
                for k, (key, value) in enumerate(
                    (("ei_nm2", shaft.ei), ("gj_nm2", shaft.gj), ("mass_kg_per_m", shaft.mass_per_length))
                )
            },
        }
        for i, s in enumerate(found.unknowns.s)
    ]
    return {
        "shaft": shaft.name,
        "mass_g": 1e3 * shaft.mass,
        "chi_squared": found.chi_squared,
        "roughness": found.roughness,
        "explained": found.explained,
        "like": found.like or None,
        "method": " ".join(method(found)),
        "readings": [_residual_table(r) for r in found.residuals],
        "stations": stations,
        "not_determined": _open_table(result),
    }


def _wanted_table(wanted: Wanted) -> dict[str, Any]:
    return {
        "test": wanted.test.name,
        "quantity": wanted.reading.key,
        "index": wanted.index,
        "setup": described(wanted.setup),
        "unit": wanted.reading.unit,
    }


def _residual_table(residual: Residual) -> dict[str, Any]:
    wanted = residual.measured.wanted
    scale = wanted.reading.scale
    return {
        **_wanted_table(wanted),
        "value": scale * residual.measured.value,
        "error": scale * residual.measured.error,
        "fitted": scale * residual.fitted,
        "standardised_residual": residual.standardised,
        "by_the_others": scale * residual.by_others,
        "by_the_others_error": scale * residual.by_others_sd,
    }


def _open_table(result: ProfileResult) -> dict[str, Any]:
    return {
        "ranges": [
            {
                "property": gap.property,
                "from_butt_m": [gap.start, gap.end],
                "looked_at": gap.touched,
                "band_half_width_pct": 100.0 * gap.half_width,
            }
            for gap in result.gaps
        ],
        "remarks": list(result.remarks),
    }
