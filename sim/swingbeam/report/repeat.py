"""What repeated swings tell: as a table, in words, as JSON."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from rich.console import Console

from swingbeam.delivery.places import LEAST_HOLD, sampling_interval
from swingbeam.study.bands import BANDED
from swingbeam.study.quantities import Quantity, shown
from swingbeam.study.repeated import Band, Repeated, by_group
from swingbeam.study.result import ClubRun, RankResult

from .columns import Column, section

FIRST = ("half_ms", "face_angle_deg", "dynamic_loft_deg")
"""Beside the probabilities."""
SHOWN = (
    "head_speed_mps", "attack_deg", "path_deg", "lead_mm", "droop_mm", "closure_dps", "ball_speed_mps",
    "launch_angle_deg", "back_spin_rpm", "carry_m", "side_m",
)  # fmt: skip
"""In a table of their own; JSON and HDF5 hold all."""
_BY_KEY = {q.key: q for _, q in BANDED}


def print_repeated(result: RankResult, console: Console) -> None:
    """Print groups, probabilities and bands; nothing where the swing was not repeated."""
    found = result.repeated
    if found is None:
        return
    by_name = {run.shaft: run for run in result.runs}
    runs = [by_name[name] for name in by_group(found, list(by_name))]
    names = _names(runs, result.reference, found)
    section(console, f"Repeated {found.swings} times: how sure the order is", names, _sure_columns(runs, found))
    console.print(order_words(found), style="dim")
    title = f"Repeated {found.swings} times: change against {result.reference}, median and 90 % band"
    section(console, title, names, [_band_column(_BY_KEY[key], found, runs) for key in SHOWN])
    console.print(spread_words(found), style="dim")


def _names(runs: Sequence[ClubRun], reference: str, found: Repeated) -> list[Column]:
    groups = [found.group[found.row(run.shaft)] for run in runs]
    return [
        Column("group\n", ["–" if g is None else str(g) for g in groups]),
        Column("shaft\n", [run.shaft + (" *" if run.shaft == reference else "") for run in runs], left=True),
    ]


def _sure_columns(runs: Sequence[ClubRun], found: Repeated) -> list[Column]:
    rows = [found.row(run.shaft) for run in runs]
    following = [_percent(found.before[a, b]) for a, b in pairwise(rows)]
    likely = [_likely(found, row) for row in rows]
    columns = [
        Column("first\n%", [_percent(found.place[row, 0]) for row in rows]),
        Column("before\nnext %", [*following, "–"]),
        Column("likeliest\nplace", likely),
    ]
    return columns + [_band_column(_BY_KEY[key], found, runs, change=True) for key in FIRST]


def _likely(found: Repeated, row: int) -> str:
    """The likeliest place and how likely it is."""
    chances = found.place[row]
    if not chances.size or math.isnan(chances[0]):
        return "–"
    place = int(chances.argmax())
    return f"{place + 1} ({_percent(chances[place])} %)"


def _percent(probability: float) -> str:
    return "–" if math.isnan(probability) else f"{100.0 * probability:.0f}"


def _band_column(quantity: Quantity, found: Repeated, runs: Sequence[ClubRun], *, change: bool = False) -> Column:
    name, unit = quantity.label.rsplit("\n", 1)
    head = f"{name}\n{'change ' if change else ''}{unit}"
    return Column(head, [band_cell(quantity, found.changes.get(run.shaft, {}).get(quantity.key)) for run in runs])


def band_cell(quantity: Quantity, band: Band | None) -> str:
    """A band of a change as a table shows it: median, then its ends."""
    if band is None:
        return "–"
    low, median, high = (shown(quantity, quantity.scale * v, sign=True) for v in (band.low, band.median, band.high))
    return f"{median} ({low} … {high})"


def order_words(found: Repeated) -> str:
    """What the probabilities are, how groups are made, and how well a probability is known."""
    low, high = sampling_interval(0.5, found.swings)
    _, none = sampling_interval(0.0, found.swings)
    return (
        f"first: unloads before all others in so many of the swings. before next: before the club in the next line; "
        f"closer than the resolution (±) counts half. Clubs of one group cannot be told from its first, which is ahead "
        f"of them by more than the resolution in fewer than {100.0 * LEAST_HOLD:.0f} % of the swings; JSON and "
        f"HDF5 have every pair and every place. {found.swings} swings know 50 % to ±{50.0 * (high - low):.0f}, and "
        f"0 % means below {100.0 * none:.1f} % (95 %)."
    )


def spread_words(found: Repeated) -> str:
    """What was drawn, what was not, and where what differs comes from."""
    left = f" {found.left_out} more could not be made." if found.left_out else ""
    if found.mean_is_drawn:
        drawn = (
            "Each swing draws what is not known of the golfer's mean swing, and how he differs from it from swing "
            "to swing"
        )
    else:
        drawn = "The stated swing is taken to be his mean; each swing draws how he differs from it"
    words = (
        f"{drawn} ({found.deviations}). The ball stays where it is; every club is swung by the same swing. Tempo and "
        f"release do not differ by themselves from swing to swing.{left}"
    )
    if not found.mean_is_drawn or not found.shares:
        return words
    parts = []
    for key, share in found.shares.items():
        name = _BY_KEY[key].label.split("\n", 1)[0]
        parts.append(f"{name} {100 * share.mean_swing:.0f} %, {100 * share.swing_to_swing:.0f} %")
    return (
        f"{words} Of the variance of the changes (by rank), the part from the mean swing, which better measurements "
        f"reduce, and the part from swing to swing, which they do not: {'; '.join(parts)} (the rest is from both "
        "together or not in proportion)."
    )


def repeated_object(found: Repeated) -> dict[str, Any]:
    """Repeated swings as plain dicts and lists; units as in the keys, probabilities 0 … 1."""
    return {
        "swings": found.swings,
        "left_out": found.left_out,
        "seed": found.seed,
        "mean_swing_is_drawn": found.mean_is_drawn,
        "swing_to_swing": found.deviations,
        "group_rule": f"the first of a group is ahead of its others in fewer than {LEAST_HOLD:g} of the swings",
        "clubs": {club: _club_object(found, i, club) for i, club in enumerate(found.clubs)},
        "before": _pairs(found, found.before),
        "more_loft": _pairs(found, found.more_loft),
        "variance_of_change_from": {
            key: {"mean_swing": s.mean_swing, "swing_to_swing": s.swing_to_swing, "rest": s.rest}
            for key, s in found.shares.items()
        },
    }


def _club_object(found: Repeated, i: int, club: str) -> dict[str, Any]:
    places = [None if math.isnan(p) else float(p) for p in found.place[i]]
    first = None if places[0] is None else sampling_interval(places[0], found.struck[i])
    return {
        "group": found.group[i],
        "struck": found.struck[i],
        "place_probability": places,
        "first": None if first is None else {"probability": places[0], "low": first[0], "high": first[1]},
        "figures": _bands_object(found.figures[club]),
        "changes": _bands_object(found.changes[club]),
    }


def _bands_object(bands: Any) -> dict[str, Any]:
    return {
        key: {side: _BY_KEY[key].scale * getattr(band, side) for side in ("low", "median", "high")}
        | {"draws": band.draws}
        for key, band in bands.items()
    }


def _pairs(found: Repeated, table: Any) -> dict[str, dict[str, float | None]]:
    """club → other club → probability."""
    return {
        a: {b: None if math.isnan(table[i, k]) else float(table[i, k]) for k, b in enumerate(found.clubs) if k != i}
        for i, a in enumerate(found.clubs)
    }
