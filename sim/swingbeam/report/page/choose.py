"""Which shafts the page draws, and how each is drawn everywhere on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from swingbeam.beam.errors import InputError
from swingbeam.study.result import ClubRun, RankResult
from swingbeam.units import nearest, quote

from .draw import LOOKS, REFERENCE, Look

MOST_PRINTED = 18
"""Rows on a printed sheet."""
MOST = 6
"""Shafts drawn at once: more cannot be told apart by dashes."""


@dataclass(frozen=True, eq=False)
class Chosen:
    """A shaft that is drawn."""

    run: ClubRun
    look: Look
    is_reference: bool

    @property
    def name(self) -> str:
        return self.run.shaft


def every_run(result: RankResult) -> tuple[ClubRun, ...]:
    """The clubs by rank; last the reference club, where it is none of them."""
    if any(run.shaft == result.reference for run in result.runs):
        return result.runs
    return (*result.runs, result.reference_run)


def printed(result: RankResult, chosen: Sequence[Chosen]) -> frozenset[str]:
    """The shafts whose rows a printed sheet has room for: all, or the first, the last and the drawn ones."""
    names = [run.shaft for run in every_run(result)]
    if len(names) <= MOST_PRINTED:
        return frozenset(names)
    drawn = [c.name for c in chosen]
    room = MOST_PRINTED - len(drawn)
    others = [name for name in names if name not in drawn]
    return frozenset([*drawn, *others[: (room + 1) // 2], *others[len(others) - room // 2 :]])


def choose(result: RankResult, names: Sequence[str] | None = None) -> tuple[Chosen, ...]:
    """The shafts that are drawn: the named ones, or the first and the last to unload; always the reference club's.

    Raises
    ------
    InputError
        A name that is not in the ranking, or too many.
    """
    runs = {run.shaft: run for run in every_run(result)}
    drawable = [run for run in result.runs if run.curves is not None]
    if names is None:
        picked = [run.shaft for run in (drawable[:1] + drawable[-1:])]
    else:
        picked = list(dict.fromkeys(names))
        for name in picked:
            if name not in runs:
                like = nearest(name, list(runs))
                hint = f"; nearest: {quote(like)}" if like else ""
                raise InputError(f"--shafts: found {quote(name)}; allowed: {', '.join(runs)}{hint}")
            if runs[name].curves is None:
                why = runs[name].reasons.get("status", "it did not strike the ball")
                raise InputError(f"--shafts: {quote(name)} cannot be drawn: {why}")
        if len({*picked, result.reference}) > MOST:
            raise InputError(
                f"--shafts: found {len(picked)} names; allowed: up to {MOST} with the reference club, "
                f"{result.reference}"
            )
    others = [name for name in dict.fromkeys(picked) if name != result.reference]
    looks = dict(zip(others, LOOKS, strict=False))
    order = [run.shaft for run in every_run(result) if run.shaft in looks or run.shaft == result.reference]
    return tuple(
        Chosen(runs[name], looks.get(name, REFERENCE), name == result.reference)
        for name in order
        if runs[name].curves is not None
    )
