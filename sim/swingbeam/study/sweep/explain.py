"""What drives the figures of a study, as far as its plan can say."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError

from .main_effects import MainEffect, RankCorrelation, both_finite, main_effect, rank_correlation, varies
from .problem import Array, Sample
from .results import NOT_RUN, StudyResults, Variable, open_results
from .sensitivity import (
    LEAST_ROWS,
    LEVEL,
    RESAMPLES,
    Indices,
    RowCount,
    by_rows,
    sobol_indices,
    whole_rows,
)

MOST_OUTPUTS = 6
"""Outputs explained where none is named."""
FEW_CASES, CORRELATED, ONE_SIDED = 50, 0.2, 0.75
"""Fewer cases than this get a caution; inputs that go together more than this; failed cases that lie to one side so
often."""
CANNOT = {
    "grid": "A grid gives no first-order or total indices: its levels are chosen, not drawn, and what an input does "
    "together with others shows only in contours. Run a plan of kind sensitivity. Nor has a rank correlation over a "
    "grid an interval: nothing was drawn.",
    "list": "A list gives no first-order or total indices, and its shares are those of the cases its author put in. "
    "Run a plan of kind sensitivity.",
    "latin-hypercube": "A Latin hypercube gives main effects and no total indices: what an input does together with "
    "others needs a plan of kind sensitivity.",
    "sobol": "A Sobol sequence gives main effects and no total indices: what an input does together with others needs "
    "a plan of kind sensitivity.",
    "random": "Random draws give main effects and no total indices: these need inputs that are independent and a plan "
    "of kind sensitivity.",
    "repeatability": "A golfer's swing-to-swing spread gives main effects and no total indices: what varies goes "
    "together, and shares are shares of this spread.",
}
"""What a plan cannot give, in words."""


@dataclass(frozen=True)
class Effect:
    """How an output goes with another column; None where it cannot be said.

    Attributes
    ----------
    of : the other column
    low, high : its least and largest value over the cases, NaN where it has none
    """

    of: Variable
    low: float
    high: float
    rank: RankCorrelation | None
    main: MainEffect | None


@dataclass(frozen=True)
class OutputExplained:
    """What drives one output.

    Attributes
    ----------
    output : the column
    count : cases its figures stand on; on a sensitivity plan those of the matrices A and B, which are independent draws
    mean, deviation, low, high : of these cases; low … high holds 90 % of them; NaN without cases
    rows, indices : on a sensitivity plan; no indices where too few rows are whole, or the output does not vary
    effects : of every input
    against : of the columns that were asked for
    words : what is to be said of it
    """

    output: Variable
    count: int
    mean: float
    deviation: float
    low: float
    high: float
    rows: RowCount | None
    indices: Indices | None
    effects: tuple[Effect, ...]
    against: tuple[Effect, ...]
    words: tuple[str, ...]


@dataclass(frozen=True)
class Explained:
    """A study explained.

    Attributes
    ----------
    path, title, question, kind, held, seed : of the study
    counts : status → number of cases
    inputs, outputs : the inputs, and the outputs that were asked for
    more : other outputs the file holds
    cannot : what this kind of plan cannot give; empty where it gives all
    cautions : what to bear in mind
    spots : cases that were run with the other solver as well
    doubtful : why these cast doubt on the study; empty when they do not
    level, resamples : of the intervals
    """

    path: Path
    title: str
    question: str
    kind: str
    held: str
    seed: int
    counts: dict[str, int]
    inputs: tuple[Variable, ...]
    outputs: tuple[OutputExplained, ...]
    more: tuple[Variable, ...]
    cannot: str
    cautions: tuple[str, ...]
    spots: int
    doubtful: str
    level: float
    resamples: int


def explain_study(
    path: str | os.PathLike[str],
    *,
    outputs: Sequence[str] = (),
    against: Sequence[str] = (),
    resamples: int = RESAMPLES,
    level: float = LEVEL,
) -> Explained:
    """Sobol' indices on a sensitivity plan; rank correlations and main effects on every plan.

    Columns are read one at a time, so that memory grows with the cases of a few columns and not with the file.

    Parameters
    ----------
    path : file of a study
    outputs : names of outputs; the first `MOST_OUTPUTS` where none is named
    against : names of any columns; rank correlations of the outputs with these
    resamples, level : of the bootstrap, seeded with the study's own seed

    Raises
    ------
    InputError
        No study's file; a column that is not there; a study without a case that ran.
    """
    with open_results(path) as results:
        chosen = _chosen(results, outputs)
        others = tuple(results.find(name, option="--against") for name in against)
        ok = results.status() == 0
        if not ok.any():
            raise InputError(f"{results.path}: no case is ok; allowed: a study of which at least some cases ran")
        sample = results.sample()
        drawn = ok if sample is None else ok & (sample.matrix < 2)
        explained = tuple(
            _explain_output(results, output, others, ok, drawn, sample, resamples, level) for output in chosen
        )
        return Explained(
            path=results.path,
            title=results.title,
            question=results.question,
            kind=results.kind,
            held=results.held,
            seed=results.seed,
            counts=results.counts(),
            inputs=results.inputs,
            outputs=explained,
            more=tuple(output for output in results.outputs if output not in chosen),
            cannot="" if sample is not None else CANNOT.get(results.kind, _cannot_of_unknown(results.kind)),
            cautions=tuple(_cautions(results, ok, drawn)),
            spots=results.spots(),
            doubtful=results.doubtful,
            level=level,
            resamples=resamples,
        )


def _cannot_of_unknown(kind: str) -> str:
    return f'A plan of kind "{kind}" gives no first-order or total indices: run a plan of kind sensitivity.'


def _chosen(results: StudyResults, outputs: Sequence[str]) -> tuple[Variable, ...]:
    if not outputs:
        return results.outputs[:MOST_OUTPUTS]
    found = [results.find(name, results.outputs, "--output") for name in outputs]
    return tuple(dict.fromkeys(found))


def _explain_output(
    results: StudyResults,
    output: Variable,
    others: Sequence[Variable],
    ok: NDArray[np.bool_],
    drawn: NDArray[np.bool_],
    sample: Sample | None,
    resamples: int,
    level: float,
) -> OutputExplained:
    values = np.where(ok, results.read(output.name), np.nan)
    rows = indices = None
    words: list[str] = []
    if sample is not None:
        by_row = by_rows(values, sample, len(results.inputs))
        kept, rows = whole_rows(by_row, results.rows_wanted())
        indices = sobol_indices(by_row.take(kept), seed=results.seed, resamples=resamples, level=level)
        words += _words_of_rows(rows)
    y = values[drawn]
    known = y[np.isfinite(y)]
    if not varies(known):
        words.append("It does not vary: there is nothing to explain." if known.size else "No case has this figure.")
    elif sample is not None and indices is None:
        words.append(f"No indices: fewer than {LEAST_ROWS} rows are whole.")
    if known.size < y.size:
        words.append(f"{y.size - known.size} of {y.size} cases that ran have no such figure and are left out.")
    low, high = np.quantile(known, [0.05, 0.95]) if known.size else (np.nan, np.nan)
    return OutputExplained(
        output=output,
        count=int(known.size),
        mean=float(known.mean()) if known.size else np.nan,
        deviation=float(known.std(ddof=1)) if known.size > 1 else np.nan,
        low=float(low),
        high=float(high),
        rows=rows,
        indices=indices,
        effects=tuple(_effect(results, variable, y, drawn, level) for variable in results.inputs),
        against=tuple(
            _effect(results, variable, y, drawn, level) for variable in others if variable.name != output.name
        ),
        words=tuple(words),
    )


def _words_of_rows(rows: RowCount) -> list[str]:
    """How many rows the indices stand on, and what stood in for those left out."""
    if not rows.left_out:
        return []
    left = (
        f"{rows.left_out} of {rows.wanted} rows are left out, with all their cases: a case failed or lacks the figure"
    )
    if not rows.stated:
        return [f"{left}. The other {rows.used} are used, spare rows among them."]
    if rows.spares == rows.left_out:
        return [f"{left}. The plan's next {rows.spares} whole spare rows stand in for them."]
    if rows.spares:
        return [f"{left}. {rows.spares} spare rows stand in; the others are not replaced."]
    return [f"{left}. No spare rows stand in for them."]


def _effect(results: StudyResults, of: Variable, y: Array, drawn: NDArray[np.bool_], level: float) -> Effect:
    x = results.read(of.name)[drawn]
    named = bool(of.choices)
    # Names have no order, and two names have one only by the way they happen to be listed.
    rank = None if named else rank_correlation(x, y, level=level, interval=results.kind != "grid")
    known = x[np.isfinite(x)]
    low, high = (float(known.min()), float(known.max())) if known.size else (np.nan, np.nan)
    return Effect(of, low, high, rank, main_effect(x, y, named=named))


def _cautions(results: StudyResults, ok: NDArray[np.bool_], drawn: NDArray[np.bool_]) -> list[str]:
    counts = results.counts()
    words = []
    if counts.get(NOT_RUN):
        words.append(f"The study is not finished: {counts[NOT_RUN]} of {results.count} cases have not been run.")
    if results.doubtful:
        words.append(f"Spot checks cast doubt on this study: {results.doubtful}")
    status = results.status()
    failed = (status == 1) | (status == 2)
    if failed.any():
        words.append(
            f"{int(failed.sum())} of {results.count} cases missed or failed and are left out: shares and correlations "
            f"are those of the others.{_where_failed(results, ok, failed)}"
        )
    if drawn.sum() < FEW_CASES:
        words.append(f"Only {int(drawn.sum())} cases: correlations and shares of so few are coarse.")
    if results.kind != "sensitivity":
        words += _together(results, drawn)
    return words


def _where_failed(results: StudyResults, ok: NDArray[np.bool_], failed: NDArray[np.bool_]) -> str:
    """Inputs at one end of which the failed cases lie, in words."""
    found = []
    for variable in results.inputs:
        if variable.choices or failed.sum() < 5:
            continue
        x = results.read(variable.name)
        good = np.sort(x[ok])
        # Share of pairs where the failed case has the larger value (Mann & Whitney 1947); ties count half.
        places = 0.5 * (np.searchsorted(good, x[failed], "left") + np.searchsorted(good, x[failed], "right"))
        above = float(places.mean()) / good.size
        if max(above, 1.0 - above) > ONE_SIDED:
            found.append(f"{'high' if above > 0.5 else 'low'} values of {variable.key}")
    return f" They lie mostly at {' and '.join(found)}." if found else ""


def _together(results: StudyResults, drawn: NDArray[np.bool_]) -> list[str]:
    """Inputs that go together, so that what one does cannot be told from what the other does."""
    pairs = []
    numbers = [variable for variable in results.inputs if not variable.choices]
    least = max(CORRELATED, 3.0 / np.sqrt(max(drawn.sum(), 1)))
    for i, first in enumerate(numbers):
        x = results.read(first.name)[drawn]
        for second in numbers[i + 1 :]:
            found = rank_correlation(*both_finite(x, results.read(second.name)[drawn]), interval=False)
            if found is not None and abs(found.value) > least:
                pairs.append(f"{first.key} with {second.key} ({found.value:+.2f})")
    if not pairs:
        return []
    return [
        f"Inputs that go together: {', '.join(pairs)}. The share of one holds part of what the other does; shares do "
        "not add up."
    ]
