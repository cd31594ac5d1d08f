"""The page's tables: a head, and a cell for every shaft and figure with what its certainty is."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from swingbeam.study.conclusions import FLOORS, conclusions_of
from swingbeam.study.quantities import IMPACT, RESOLUTION, SHOT, STATIC, UNLOAD, Quantity
from swingbeam.study.repeated import Band
from swingbeam.study.result import HANDS, ClubRun, RankResult

from .choose import Chosen, every_run
from .figures import swatch
from .units import figure, unit_words

_NOTHING = Markup("")
_KEYS = {q.key: q for q in (*UNLOAD, *IMPACT, *SHOT, *STATIC)}
CHANGES = ("face_angle_deg", "dynamic_loft_deg", "head_speed_mps", "lead_mm", "droop_mm")
"""Whose changes the ranking shows, beside carry and side."""
FLOWN = ("ball_speed_mps", "launch_angle_deg", "launch_direction_deg", "spin_rpm", "spin_axis_deg", "carry_m", "side_m",
         "apex_m", "descent_deg")  # fmt: skip
BELOW, HANDS_TURN, SURE = "below", "hands", "sure"
"""Smaller than can be told; of another sign under other hands; resolved."""


@dataclass(frozen=True)
class Head:
    """The head of a column."""

    words: str
    unit: Markup = _NOTHING
    left: bool = False
    group: str = ""


@dataclass(frozen=True)
class Cell:
    """One figure of one shaft.

    Attributes
    ----------
    text : as shown, in both sets of units
    key : name of the variable in the file
    certainty : of a change; "" for what is no change
    band : of a golfer who is not a machine
    """

    text: Markup
    key: str = ""
    certainty: str = ""
    band: Markup = _NOTHING


@dataclass(frozen=True)
class Row:
    """A shaft's row."""

    name: str
    mark: Markup
    is_reference: bool
    cells: Sequence[Cell]
    rank: str = ""
    starts_group: bool = False
    note: str = ""


@dataclass(frozen=True)
class Table:
    """Heads and rows."""

    heads: Sequence[Head]
    rows: Sequence[Row]


def marks_of(chosen: Sequence[Chosen]) -> dict[str, Markup]:
    """How the drawn shafts' lines look, by name."""
    return {c.name: swatch(c.look) for c in chosen}


def ranking_table(result: RankResult, chosen: Sequence[Chosen]) -> Table:
    """Rank, half-unload, changes against the reference club with their certainty, ranks under other hands."""
    marks, signs = marks_of(chosen), {c.key: c.signs for c in conclusions_of(result)}
    heads = [Head("half-unload", unit_words(_KEYS["half_ms"])), Head("±", Markup("ms"))]
    heads += [Head(_short(key), unit_words(_KEYS[key]), group="change") for key in (*CHANGES, "carry_m", "side_m")]
    heads += [Head(mode, group="hands") for mode in HANDS]
    repeated = result.repeated
    if repeated is not None:
        heads += [Head("group", group="swings"), Head("first", Markup("%"), group="swings")]
    rows, before = [], None
    ranks = [run.rank for run in result.runs]
    for run in result.runs:
        half = _KEYS["half_ms"].of(run.unload)
        cells = [Cell(figure(_KEYS["half_ms"], half), "half_ms")]
        cells.append(Cell(figure(RESOLUTION, RESOLUTION.of(run)), "resolution_ms"))
        is_reference = run.shaft == result.reference
        own = {} if repeated is None else repeated.changes.get(run.shaft, {})
        cells += [_change(run, key, signs, is_reference, own) for key in CHANGES]
        cells += [_flight_change(run, key, is_reference, own) for key in ("carry_m", "side_m")]
        cells += [Cell(Markup(_rank(run.order_under.get(mode))), f"order_under:{mode}") for mode in HANDS]
        if repeated is not None:
            row = repeated.row(run.shaft)
            first = repeated.first(run.shaft)
            cells.append(Cell(Markup(_rank(repeated.group[row])), "group"))
            cells.append(Cell(Markup("–" if math.isnan(first) else f"{100.0 * first:.0f}"), "place_probability"))
        shared = run.rank is not None and ranks.count(run.rank) > 1
        rows.append(
            Row(
                run.shaft,
                marks.get(run.shaft, Markup("")),
                is_reference,
                cells,
                f"{_rank(run.rank)}{'=' if shared else ''}",
                starts_group=before is not None and run.rank != before,
                note="" if run.status == "ok" else f"{run.status}: {run.reasons.get('status', 'not known')}",
            )
        )
        before = run.rank
    return Table(heads, rows)


def _short(key: str) -> str:
    return {"head_speed_mps": "head speed"}.get(key, _KEYS[key].label.split("\n")[0])


def _change(
    run: ClubRun, key: str, signs: Mapping[str, Mapping[str, str]], is_reference: bool, bands: Mapping[str, Band]
) -> Cell:
    q = _KEYS[key]
    value = q.of(run.change)
    if value is None or is_reference:
        return Cell(figure(q, value, sign=True), f"change_{key}")
    certainty = SURE
    if abs(value) < FLOORS.get(key, 0.0):
        certainty = BELOW
    elif signs.get(key, {}).get(run.shaft) == "?":
        certainty = HANDS_TURN if _turns(run, key) else SURE
    return Cell(figure(q, value, sign=True), f"change_{key}", certainty, _band(q, bands.get(key)))


def _turns(run: ClubRun, key: str) -> bool:
    """Whether the change has opposite signs under two kinds of hands, each beyond the floor."""
    values = [run.under[mode][key] for mode in run.under if key in run.under[mode]]
    return max(values) >= FLOORS[key] and min(values) <= -FLOORS[key]


def _flight_change(run: ClubRun, key: str, is_reference: bool, bands: Mapping[str, Band]) -> Cell:
    q = _KEYS[key]
    if run.flight is None:
        return Cell(figure(q, None), f"change_{key}")
    text = figure(q, q.of(run.flight.change), sign=True)
    if is_reference:
        return Cell(text, f"change_{key}")
    words = {"below error": BELOW, "sign depends on hands": HANDS_TURN, "resolved": SURE}
    return Cell(text, f"change_{key}", words[run.flight.resolution(q.attribute)], _band(q, bands.get(key)))


def _band(q: Quantity, band: Band | None) -> Markup:
    if band is None:
        return Markup("")
    low, high = (figure(q, q.scale * value, sign=True) for value in (band.low, band.high))
    return Markup("{} … {}").format(low, high)


def _rank(rank: int | None) -> str:
    return "–" if rank is None else str(rank)


def bench_table(result: RankResult, chosen: Sequence[Chosen]) -> Table:
    """Bench readings, each with the place it would have given the shaft, high to low."""
    marks = marks_of(chosen)
    heads = [Head("letter", left=True)]
    heads += [Head(_bench_word(q), _bench_unit(q)) for q in STATIC]
    places = {q.key: places_of(q, result.runs) for q in STATIC}
    rows = []
    for i, run in enumerate(result.runs):
        letter = None if run.static is None else run.static.letter
        cells = [Cell(Markup.escape(letter or "–"), "letter")]
        for q in STATIC:
            place = places[q.key][i]
            text = figure(q, q.of(run.static))
            if place is not None:
                text += Markup(' <small class="place">{}</small>').format(place)
            cells.append(Cell(text, q.key))
        is_reference = run.shaft == result.reference
        rows.append(Row(run.shaft, marks.get(run.shaft, Markup("")), is_reference, cells, _rank(run.rank)))
    return Table(heads, rows)


def _bench_word(q: Quantity) -> str:
    return q.label.split("\n")[0]


def _bench_unit(q: Quantity) -> Markup:
    return Markup("% from tip") if q.unit == "percent" else unit_words(q)


def places_of(q: Quantity, runs: Sequence[ClubRun]) -> list[int | None]:
    """Places by a bench figure, the largest first; figures that are equal as shown share a place."""
    values = [None if (v := q.of(run.static)) is None else round(v, q.decimals) for run in runs]
    return [None if v is None else 1 + sum(w is not None and w > v for w in values) for v in values]


def flight_table(result: RankResult, chosen: Sequence[Chosen]) -> Table:
    """Launch and flight of every shaft."""
    marks = marks_of(chosen)
    words = {
        "ball_speed_mps": "ball", "launch_angle_deg": "launch", "launch_direction_deg": "start",
        "spin_rpm": "spin", "spin_axis_deg": "axis", "side_m": "side", "descent_deg": "descent",
    }  # fmt: skip
    heads = [Head(words.get(key, _short(key)), unit_words(_KEYS[key])) for key in FLOWN]
    rows = []
    for run in every_run(result):
        shot = None if run.flight is None else run.flight.shot
        cells = [Cell(figure(_KEYS[key], _KEYS[key].of(shot)), key) for key in FLOWN]
        is_reference = run.shaft == result.reference
        rows.append(Row(run.shaft, marks.get(run.shaft, Markup("")), is_reference, cells, _rank(run.rank)))
    return Table(heads, rows)
