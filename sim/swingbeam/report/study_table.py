"""What drives a study's figures, as tables and JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from rich.console import Console

from swingbeam.study.sweep.explain import Effect, Explained, OutputExplained
from swingbeam.study.sweep.results import Variable

from .caution import IDEALISED
from .columns import Column, section
from .study_words import axis_label, band, number, reach, share

SOURCES = (
    "Sobol' indices: first order is the share of the output's variance that an input makes alone, total the share it "
    "makes alone and with others (Sobol' 2001); estimators of Saltelli et al. 2010 (first order) and Jansen 1999 "
    "(total). They are shares over the ranges of this study: wider or narrower ranges give others."
)
MAIN_EFFECTS = (
    "Share: of the output's variance that lies between levels or bins of the input (correlation ratio, the part of "
    "chance taken off). It is a share over the ranges of this study. Rank correlation: Spearman's; it sees what only "
    "rises or only falls."
)
BETWEEN_OUTPUTS = (
    "Two figures of one swing may go together because one input moves both: a correlation between them is no cause."
)
SPOTS_AGREE = "the two agree within the file's limits"
_LONGEST_LIST = 12


def count_words(explained: Explained) -> str:
    """How many cases there are, and of which status."""
    whole = sum(explained.counts.values())
    parts = ", ".join(f"{count} {status}" for status, count in explained.counts.items() if count or status == "ok")
    return f"{whole} cases: {parts}"


def print_explained(explained: Explained, console: Console) -> None:
    """Print what drives each output, then what the plan cannot say and what to bear in mind."""
    question = f": {explained.question}" if explained.question else ""
    console.print(f"{explained.title}{question}", style="bold")
    held = f" · held: {explained.held}" if explained.held else ""
    console.print(f"plan: {explained.kind} · {count_words(explained)}{held}")
    for output in explained.outputs:
        _print_output(output, explained, console)
    console.print()
    if any(output.indices is not None for output in explained.outputs):
        console.print(
            f"{SOURCES} Intervals: {100 * explained.level:.0f} %, from {explained.resamples} resamples of the rows "
            f"(seed {explained.seed}).",
            style="dim",
        )
    console.print(MAIN_EFFECTS, style="dim")
    if any(output.against for output in explained.outputs):
        console.print(BETWEEN_OUTPUTS, style="dim")
    if explained.cannot:
        console.print(explained.cannot)
    for words in explained.cautions:
        console.print(words)
    if explained.spots and not explained.doubtful:
        console.print(f"{explained.spots} cases were run with the other solver as well: {SPOTS_AGREE}.", style="dim")
    if explained.more:
        console.print(f"Also in the file (--output NAME): {_listed([v.name for v in explained.more])}", style="dim")
    console.print(IDEALISED, style="dim")


def _listed(names: Sequence[str]) -> str:
    if len(names) <= _LONGEST_LIST:
        return ", ".join(names)
    return f"{', '.join(names[:_LONGEST_LIST])} and {len(names) - _LONGEST_LIST} more"


def by_weight(output: OutputExplained) -> list[int]:
    """Places of the inputs, the one that drives most first: by total index, or by share where there is none."""
    if output.indices is not None:
        weights = output.indices.total
    else:
        weights = np.array(
            [-1.0 if e.main is None or math.isnan(e.main.share) else e.main.share for e in output.effects]
        )
    return [int(k) for k in np.argsort(-weights, kind="stable")]


def _print_output(output: OutputExplained, explained: Explained, console: Console) -> None:
    order = by_weight(output)
    names = [Column("input", [explained.inputs[k].key for k in order], left=True)]
    names.append(Column("over", [_reach(output.effects[k]) for k in order], left=True))
    columns = [*_index_columns(output, order), *_effect_columns([output.effects[k] for k in order], output.deviation)]
    title = f"{output.output.name}: {axis_label(output.output)}"
    section(console, title, names, columns)
    console.print(_spread_words(output))
    for words in output.words:
        console.print(words)
    if output.against:
        found = [Column("column", [effect.of.key for effect in output.against], left=True)]
        section(console, f"{output.output.name} against", found, _effect_columns(output.against, output.deviation))


def _reach(effect: Effect) -> str:
    return reach(effect.of, effect.low, effect.high)


def _index_columns(output: OutputExplained, order: Sequence[int]) -> list[Column]:
    found = output.indices
    if found is None:
        return []
    return [
        Column("first\norder", [share(found.first[k]) for k in order]),
        Column("interval", [band(found.first_low[k], found.first_high[k]) for k in order]),
        Column("total", [share(found.total[k]) for k in order]),
        Column("interval", [band(found.total_low[k], found.total_high[k]) for k in order]),
    ]


def _effect_columns(effects: Sequence[Effect], spread: float) -> list[Column]:
    return [
        Column("share", ["–" if e.main is None else share(e.main.share) for e in effects]),
        Column("correlation\nratio", ["–" if e.main is None else share(e.main.ratio) for e in effects]),
        Column("rank corr.", ["–" if e.rank is None else share(e.rank.value, sign=True) for e in effects]),
        Column("interval", ["–" if e.rank is None else band(e.rank.low, e.rank.high, sign=True) for e in effects]),
        Column("mean goes", [_course(e, spread) for e in effects]),
    ]


def _course(effect: Effect, spread: float) -> str:
    """The output's mean at the first and the last level or bin; of names, at those where it is least and most."""
    main = effect.main
    if main is None:
        return "–"
    if effect.of.choices:
        least, most = int(np.argmin(main.mean)), int(np.argmax(main.mean))
        ends = [f"{_choice(effect.of, main.at[k])} {number(main.mean[k], like=spread)}" for k in (least, most)]
        return " … ".join(ends)
    return f"{number(main.mean[0], like=spread)} → {number(main.mean[-1], like=spread)}"


def _choice(variable: Variable, place: float) -> str:
    k = round(place)
    return variable.choices[k] if 0 <= k < len(variable.choices) else str(k)


def _spread_words(output: OutputExplained) -> str:
    if not output.count:
        return "No case has this figure."
    mean, spread, low, high = (
        number(value, like=output.deviation) for value in (output.mean, output.deviation, output.low, output.high)
    )
    words = f"Over {output.count} cases: mean {mean}, 1σ {spread}, 90 % within {low} … {high}."
    if output.rows is None or output.indices is None:
        return words
    first = float(output.indices.first.sum())
    return f"{words} {output.rows.used} rows; first orders sum to {share(first)}; what lacks to 1 they do together."


def explained_object(explained: Explained) -> dict[str, Any]:
    """What was found as plain dicts and lists; None where there is nothing."""
    return {
        "file": str(explained.path),
        "title": explained.title,
        "question": explained.question,
        "plan": explained.kind,
        "held": explained.held,
        "seed": explained.seed,
        "cases": dict(explained.counts),
        "confidence_level": explained.level,
        "resamples": explained.resamples,
        "outputs": [_output_object(output, explained) for output in explained.outputs],
        "cannot": explained.cannot,
        "cautions": list(explained.cautions),
        "spot_checks": explained.spots,
    }


def _output_object(output: OutputExplained, explained: Explained) -> dict[str, Any]:
    rows = output.rows
    return {
        **_variable_object(output.output),
        "cases": output.count,
        "mean": _plain(output.mean),
        "standard_deviation": _plain(output.deviation),
        "quantile_05": _plain(output.low),
        "quantile_95": _plain(output.high),
        "rows": None
        if rows is None
        else {"used": rows.used, "wanted": rows.wanted, "left_out": rows.left_out, "spares": rows.spares},
        "inputs": [
            {**_effect_object(effect), "sobol": _indices_object(output, k)} for k, effect in enumerate(output.effects)
        ],
        "against": [_effect_object(effect) for effect in output.against],
        "words": list(output.words),
    }


def _variable_object(variable: Variable) -> dict[str, Any]:
    return {
        "name": variable.name,
        "key": variable.key,
        "units": variable.unit,
        "long_name": variable.long_name,
    }


def _indices_object(output: OutputExplained, k: int) -> dict[str, Any] | None:
    found = output.indices
    if found is None:
        return None
    return {
        "first_order": _plain(found.first[k]),
        "first_order_interval": [_plain(found.first_low[k]), _plain(found.first_high[k])],
        "total": _plain(found.total[k]),
        "total_interval": [_plain(found.total_low[k]), _plain(found.total_high[k])],
    }


def _effect_object(effect: Effect) -> dict[str, Any]:
    rank, main = effect.rank, effect.main
    bins = None
    if main is not None:
        at: list[Any] = [_plain(x) for x in main.at]
        if effect.of.choices:
            at = [_choice(effect.of, x) for x in main.at]
        bins = {
            "levels": main.levels,
            "at": at,
            "mean": [_plain(y) for y in main.mean],
            "cases": [int(n) for n in main.count],
        }
    return {
        **_variable_object(effect.of),
        "least": _plain(effect.low),
        "largest": _plain(effect.high),
        "rank_correlation": None if rank is None else rank.value,
        "rank_correlation_interval": None if rank is None or rank.low is None else [rank.low, rank.high],
        "share_of_variance": None if main is None else _plain(main.share),
        "correlation_ratio": None if main is None else _plain(main.ratio),
        "main_effect": bins,
    }


def _plain(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def explained_json(explained: Explained) -> str:
    """What was found as JSON text; no NaN or infinity can be in it."""
    return json.dumps(explained_object(explained), ensure_ascii=False, allow_nan=False, indent=2)
