"""What drives loft and face angle over a study: indices, computed figures beside them, and what that says of a
claim."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from claims.rules import number, table, verdict
from swingbeam.report.caution import CAUTION
from swingbeam.report.study_table import SPOTS_AGREE
from swingbeam.report.study_words import axis_label, band, reach, share, unit_words
from swingbeam.shaft.shaft import Shaft
from swingbeam.study.quantities import STATIC
from swingbeam.study.readings import SETUP, static_readings
from swingbeam.study.sweep.explain import Explained, OutputExplained
from swingbeam.study.sweep.main_effects import RankCorrelation, rank_correlation
from swingbeam.study.sweep.results import StudyResults
from swingbeam.study.sweep.scales import SHAFT_BY_KEY

Array = NDArray[np.float64]

CLAIM = (
    "Where the shaft unloads relative to impact, and how far rearward the head's CG lies, drive trajectory and face "
    "angle more than any single bend point."
)
LOFT, FACE, HALF = "dynamic_loft_deg", "face_angle_deg", "half_ms"
SHAFTS_LOFT, SHAFTS_FACE = "loft_from_bend_deg", "face_from_bend_deg"
OUTPUTS = (LOFT, FACE, SHAFTS_LOFT, SHAFTS_FACE, HALF)
"""What is explained."""
JUDGED = (LOFT, FACE, SHAFTS_LOFT, SHAFTS_FACE)
"""What the claim is held against: what is delivered, and the shaft's own part of it."""
CG, BEND_POINT = "head.cg.rearward", "shaft.ei tilt"
KICK_POINT, FREQUENCY, TORQUE = "kick_point_pct_from_tip", "frequency_cpm", "torque_deg"
BENCH = (KICK_POINT, FREQUENCY, TORQUE)
BY_THE_BENCH = ("shaft.ei tilt", "shaft.ei scale", "shaft.gj scale")
"""Inputs that the readings of the bench stand for."""
SIZE = {key: next(q for q in STATIC if q.key == key) for key in BENCH}


@dataclass(frozen=True, eq=False)
class Linear:
    """A least-squares plane through an output.

    Attributes
    ----------
    over : column → change of the output over that column's whole range, the others held
    explained : share of the output's variance that the plane takes (R²)
    """

    over: Mapping[str, float]
    explained: float


def bench_columns(inputs: Mapping[str, Array], shaft: Shaft) -> dict[str, Array]:
    """Frequency, torque and kick point, as people read them, of the raw shaft of every case.

    Parameters
    ----------
    inputs : key of a scale of the shaft → (cases,)
    shaft : the one that is scaled
    """
    count = next(iter(inputs.values())).size
    found = {key: np.empty(count) for key in BENCH}
    for case in range(count):
        own = shaft
        for key, values in inputs.items():
            own = SHAFT_BY_KEY[key](own, float(values[case]))
        readings = static_readings(own)
        for key, q in SIZE.items():
            value = q.of(readings)
            found[key][case] = math.nan if value is None else value
    return found


def plane(y: Array, columns: Mapping[str, Array]) -> Linear:
    """The least-squares plane of y (cases,) over columns; cases that lack y are left out."""
    known = np.isfinite(y)
    table_of = np.column_stack([np.ones(int(known.sum())), *(x[known] for x in columns.values())])
    # Columns differ by orders of size: scaled, so that the least squares are well conditioned.
    size = np.abs(table_of).max(axis=0)
    slopes = np.linalg.lstsq(table_of / size, y[known], rcond=None)[0] / size
    rest = y[known] - table_of @ slopes
    over = {name: float(s * np.ptp(x[known])) for (name, x), s in zip(columns.items(), slopes[1:], strict=True)}
    return Linear(over, 1.0 - float(np.var(rest) / np.var(y[known])))


def outweighs(first: tuple[float, float], second: tuple[float, float]) -> bool | None:
    """Whether one interval lies above the other; None where they overlap."""
    if first[0] > second[1]:
        return True
    return False if first[1] < second[0] else None


def size_of(rank: RankCorrelation | None) -> tuple[float, float]:
    """From where to where the size of a rank correlation goes, whatever its sign."""
    if rank is None or rank.low is None or rank.high is None:
        return 0.0, 1.0
    low, high = sorted((abs(rank.low), abs(rank.high)))
    return (0.0 if rank.low <= 0.0 <= rank.high else low), high


def total_of(output: OutputExplained, place: int) -> tuple[float, float]:
    """The interval of an input's total index."""
    found = output.indices
    if found is None:
        return 0.0, 1.0
    return float(found.total_low[place]), float(found.total_high[place])


@dataclass(frozen=True, eq=False)
class Findings:
    """All that the page says.

    Attributes
    ----------
    explained : of `OUTPUTS`
    bench : readings (cases,) of the cases of A and B
    ranks : output → column → rank correlation; columns are half-unload and the readings
    planes : output → plane over readings and the inputs they do not stand for
    """

    explained: Explained
    bench: Mapping[str, Array]
    ranks: Mapping[str, Mapping[str, RankCorrelation | None]]
    planes: Mapping[str, Linear]

    def place(self, key: str) -> int:
        """Place of an input."""
        return [variable.key for variable in self.explained.inputs].index(key)

    @property
    def release(self) -> int:
        """Place of the input that moves half-unload most."""
        return int(np.argmax(self.output(HALF).indices.total))

    def output(self, name: str) -> OutputExplained:
        """One output's part."""
        return next(output for output in self.explained.outputs if output.output.name == name)


def find(results: StudyResults, explained: Explained, shaft: Shaft) -> Findings:
    """Read the cases of the matrices A and B and put the bench's readings beside them."""
    sample = results.sample()
    ok = results.status() == 0
    drawn = ok if sample is None else ok & (sample.matrix < 2)
    inputs = {variable.key: results.read(variable.name)[drawn] for variable in results.inputs}
    bench = bench_columns({key: inputs[key] for key in BY_THE_BENCH}, shaft)
    values = {name: results.read(name)[drawn] for name in OUTPUTS}
    columns = bench | {key: x for key, x in inputs.items() if key not in BY_THE_BENCH}
    ranks = {
        name: {key: rank_correlation(x, values[name]) for key, x in ({HALF: values[HALF]} | bench).items()}
        for name in JUDGED
    }
    return Findings(explained, bench, ranks, {name: plane(values[name], columns) for name in OUTPUTS})


def judge(findings: Findings) -> list[tuple[str, list[bool | None], str]]:
    """(what is tested, outcome for each of `JUDGED`, how) of the claim's parts."""
    tilt = findings.place(BEND_POINT)
    cg, release = findings.place(CG), findings.release
    outputs = [findings.output(name) for name in JUDGED]
    name = findings.explained.inputs[release].key
    return [
        (
            "The head's CG drives it more than the bend point",
            [outweighs(total_of(o, cg), total_of(o, tilt)) for o in outputs],
            f"total index of `{CG}` against that of `{BEND_POINT}`",
        ),
        (
            "What moves half-unload most drives it more than the bend point",
            [outweighs(total_of(o, release), total_of(o, tilt)) for o in outputs],
            f"total index of `{name}` against that of `{BEND_POINT}`",
        ),
        (
            "It goes with half-unload more than with the kick point",
            [outweighs(size_of(findings.ranks[o][HALF]), size_of(findings.ranks[o][KICK_POINT])) for o in JUDGED],
            "size of the rank correlation with half-unload against that with the kick point",
        ),
    ]


def _largest(findings: Findings) -> str:
    """Which input has the largest total index, output by output."""
    parts = []
    for name in OUTPUTS:
        found = findings.output(name).indices
        if found is not None:
            k = int(np.argmax(found.total))
            size = f"{share(found.total[k])} ({band(found.total_low[k], found.total_high[k])})"
            parts.append(f"`{name}`: `{findings.explained.inputs[k].key}` {size}")
    return f"Largest total index of all inputs: {'; '.join(parts)}."


def _worth(findings: Findings) -> str:
    """How far the head's CG has to move to do what the whole range of the kick point does."""
    k = findings.place(CG)
    effect = findings.explained.outputs[0].effects[k]
    reach_mm = effect.high - effect.low
    ends = findings.bench[KICK_POINT]
    parts = []
    for name in JUDGED:
        over = findings.planes[name].over
        worth = abs(over[KICK_POINT] / over[CG]) * reach_mm if over[CG] else math.nan
        parts.append(f"{number(worth, 1)} mm in `{name}`")
    whole = f"{number(float(ends.min()), 1)} … {number(float(ends.max()), 1)} %"
    return (
        f"At one frequency the whole range of the kick point, {whole}, is worth as much as a head's CG moved by "
        f"{', '.join(parts)} (the plane below)."
    )


_OUTCOME = {True: "yes", False: "no", None: "cannot be told"}


def _ranges(explained: Explained, findings: Findings) -> str:
    rows = []
    effects = explained.outputs[0].effects
    for variable, effect in zip(explained.inputs, effects, strict=True):
        rows.append([f"`{variable.key}`", variable.long_name, reach(variable, effect.low, effect.high)])
    for key, values in findings.bench.items():
        q = SIZE[key]
        ends = f"{number(float(values.min()), q.decimals)} … {number(float(values.max()), q.decimals)}"
        rows.append([f"`{key}`", f"{q.long_name}: read on the bench", f"{ends} {unit_words(q.unit)}"])
    return table(["", "in words", "from … to"], rows, left=3)


def _indices(output: OutputExplained, explained: Explained) -> str:
    found = output.indices
    if found is None:
        return "No indices: too few rows are whole, or it does not vary."
    rows = []
    for k in np.argsort(-found.total, kind="stable"):
        effect = output.effects[k]
        rows.append(
            [
                f"`{explained.inputs[k].key}`",
                f"{share(found.first[k])} ({band(found.first_low[k], found.first_high[k])})",
                f"{share(found.total[k])} ({band(found.total_low[k], found.total_high[k])})",
                "–" if effect.rank is None else share(effect.rank.value, sign=True),
            ]
        )
    return table(["", "first order (95 %)", "total (95 %)", "rank correlation"], rows)


def _ranks(findings: Findings) -> str:
    rows = []
    for name in JUDGED:
        cells = []
        for key in (HALF, *BENCH):
            rank = findings.ranks[name][key]
            cells.append(
                "–" if rank is None else f"{share(rank.value, sign=True)} ({band(rank.low, rank.high, sign=True)})"
            )
        rows.append([f"`{name}`", *cells])
    return table(["", "half-unload", "kick point", "frequency", "torque"], rows)


def _planes(findings: Findings) -> str:
    rows = []
    for key in findings.planes[LOFT].over:
        rows.append([f"`{key}`", *(number(findings.planes[name].over[key], 2, sign=True) for name in OUTPUTS)])
    rows.append(["share of the variance it takes", *(share(findings.planes[name].explained) for name in OUTPUTS)])
    return table(["", *(f"`{name}`" for name in OUTPUTS)], rows)


def write_page(findings: Findings, picture: str, digest: str, scenario: str) -> str:
    """The page, Markdown."""
    explained = findings.explained
    parts = judge(findings)
    judged = table(
        ["tested", "outcome", *(f"`{name}`" for name in JUDGED), "how"],
        [[what, verdict(holds), *(_OUTCOME[h] for h in holds), how] for what, holds, how in parts],
        left=len(JUDGED) + 3,
    )
    counts = ", ".join(f"{n} {status}" for status, n in explained.counts.items())
    rows = findings.output(LOFT).rows
    used = "" if rows is None else f" Of {rows.wanted} rows {rows.used} are used for the indices of dynamic loft."
    agree = explained.doubtful or SPOTS_AGREE
    spots = f" {explained.spots} cases were swung with the other solver as well: {agree}." if explained.spots else ""
    titles = "\n\n".join(
        f"### `{o.output.name}`: {axis_label(o.output)}\n\n{_spread(o)}\n\n{_indices(o, explained)}"
        for o in explained.outputs
    )
    cautions = "\n".join(f"- {words}" for words in explained.cautions)
    return f"""# What drives flight

Written by `benchmarks/what_drives_flight.py` from the study `{scenario}` and not edited by hand; every word about an
outcome follows from the numbers by the rules below. Shares depend on the ranges: other ranges give other shares.

> {CLAIM} (common practice, no source; a hypothesis)

![Sobol' indices of every input, and rank correlations with half-unload]({picture})

## What came out

{judged}

{_largest(findings)}

{_worth(findings)}

Where the intervals (95 %) of the two sides overlap, it cannot be told. `{SHAFTS_LOFT}` and `{SHAFTS_FACE}` are the
parts of dynamic loft and face angle that the bend of the shaft makes at impact.

**What this can say and what not.** The golfer of every case is aimed anew with his own club, the reference club: a
golfer who releases later has made up for it, and what he delivers with his own club stays. Tempo and release reach loft
and face angle only by what they do to *another* club than his own. Between the golfers of the library nothing is held
so; docs/claims.md asks there. The shaft's own part is not made up for, and is judged beside.

## What was varied

{_ranges(explained, findings)}

{SETUP} The tilt moves the frequency too, against the kick point; the plane below holds the one while it moves the
other. {len(explained.inputs)} inputs, {sum(explained.counts.values())} cases: {counts}.{used}{spots} Held:
{explained.held}.

## Shares of variance

First order: the share an input makes alone; total: alone and with others (Sobol' 2001, Math. Comput. Simul. 55:271;
estimators of Saltelli et al. 2010, Comput. Phys. Commun. 181:259, and Jansen 1999, Comput. Phys. Commun. 117:35;
intervals: bootstrap over rows, {explained.resamples} resamples).

{titles}

## Figures that are computed, not set

Half-unload is a figure of the swing, and kick point, frequency and torque are the bench's readings of each case's
shaft. Rank correlations (Spearman; 95 %) over the cases that are independent draws. Two figures may go together because
one input moves both: a correlation is no cause.

{_ranks(findings)}

## How much over the whole range

A plane through the cases by least squares: change over the whole range of each line, the others held; in the unit of
the column. So the kick point moves while the frequency stays, as between two shafts of one flex.

{_planes(findings)}

## Cautions

{cautions}
- One golfer, one base shaft, one head shape, one kind of hands.
- {CAUTION}

Inputs: {digest[:16]}
"""


def _spread(output: OutputExplained) -> str:
    unit = unit_words(output.output.unit)
    low, high = number(output.low, 2), number(output.high, 2)
    return f"90 % of the cases within {low} … {high} {unit}, 1σ {number(output.deviation, 2)} {unit}."


__all__: Sequence[str] = ("OUTPUTS", "find", "judge", "write_page")
