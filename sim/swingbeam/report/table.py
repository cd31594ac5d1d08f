"""A ranking as tables for people, whatever the width of their terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rich.console import Console

from swingbeam.study.quantities import CAUSES, IMPACT, RESOLUTION, STATIC, UNLOAD, Quantity, shown
from swingbeam.study.result import HANDS, ClubRun, RankResult, Verification

from .caution import CAUTION
from .columns import Column, section
from .flight_table import change_columns, error_line, flight_columns, flight_words
from .plain import in_ascii, speaks_unicode
from .repeat import print_repeated

PLAIN_WIDTH = 160
"""Characters a line where the output is no terminal: a file or a pipe does not wrap."""
_DEGREE = next(q.scale for q in IMPACT if q.key == "face_angle_deg")
_AT_STRIKE = ("face_angle_at_strike_deg", "dynamic_loft_at_strike_deg")


def print_ranking(result: RankResult, console: Console) -> None:
    """Print a ranking: unload, delivery, change, bench readings, and what it all means."""
    runs = result.runs
    console.print(
        f"{result.scenario}: {len(runs)} shafts for the golfer {result.golfer}, ranked by half-unload",
        style="bold",
    )
    console.print(
        f"hands: {result.hands} · ball: {result.ball} · solver: {result.solver} · "
        f"reference club (*): {result.reference}"
    )
    # The reference club is always among the rows, last where the scenario does not ask about it.
    is_listed = any(run.shaft == result.reference for run in runs)
    shown_runs = runs if is_listed else (*runs, result.reference_run)
    names = _names(shown_runs, result.reference)
    section(console, "Unload, in ms before impact", names, unload_columns(shown_runs))
    console.print(
        "half-unload: the shaft has straightened half-way from its deepest late bend to its bend at impact; "
        "rank 1 unloads first, clubs closer than the resolution (±) share a rank. vice, hold, effort: the "
        "rank under each kind of hands. Left in shaft: strain energy at impact over its peak.",
        style="dim",
    )
    section(console, "Delivery at impact", names, impact_columns(shown_runs))
    struck = [run for run in runs if run.change is not None]
    if struck:
        names = _names(struck, result.reference)
        section(console, f"Change against {result.reference}", names, impact_columns(struck, change=True))
    print_repeated(result, console)
    print_flight(result, shown_runs, console)
    section(console, "On the bench", _names(runs, result.reference), static_columns(runs))
    setups = {run.static.setup for run in runs if run.static is not None}
    for setup in sorted(setups):
        console.print(setup, style="dim")
    _print_agreement(result, console)
    _print_reasons(runs, console)
    for note in result.notes:
        console.print(f"Note: {note}")
    if result.verification is not None:
        print_verification(result.verification, console)
    console.print()
    console.print(CAUTION, style="dim")


def print_flight(result: RankResult, runs: Sequence[ClubRun], console: Console) -> None:
    """Print launch and flight, and what each shaft changes of them, with what is not resolved."""
    flown = [run for run in runs if run.flight is not None]
    if not flown:
        return
    names = _names(flown, result.reference)
    section(console, "Launch and flight", names, flight_columns(flown))
    console.print(flight_words(result), style="dim")
    changed = [run for run in flown if run in result.runs]
    if not changed:
        return
    names = _names(changed, result.reference)
    title = f"Change of launch and flight against {result.reference}"
    section(console, title, names, change_columns(changed, result))
    console.print(error_line(changed, result), style="dim")


def _print_agreement(result: RankResult, console: Console) -> None:
    console.print()
    console.print("What the bench says about the swing (Kendall's τ-b)", style="bold")
    reasons = {found.words for found in result.agreements}
    if len(reasons) == 1 and all(found.tau is None for found in result.agreements):
        console.print(f"  {reasons.pop()}")
        console.print(result.statement)
        return
    for found in result.agreements:
        tau = "   –  " if found.tau is None else f"{found.tau:+.2f} ".replace("-", "−")
        console.print(f"  {found.figure:<11}{found.order:<8}{tau} {found.words}")
    console.print(result.statement)


def _print_reasons(runs: Sequence[ClubRun], console: Console) -> None:
    """Every reason once, with the shafts it holds for."""
    shafts: dict[str, list[str]] = {}
    for run in runs:
        if run.status != "ok":
            shafts.setdefault(f"{run.status}: {run.reasons.get('status', 'not known')}", []).append(run.shaft)
            continue
        for text in dict.fromkeys(text for key, text in run.reasons.items() if key != "letter"):
            shafts.setdefault(text, []).append(run.shaft)
    for text, names in shafts.items():
        console.print(f"{', '.join(names)}: {text}")


def print_verification(verification: Verification, console: Console) -> None:
    """Print the largest differences between two solvers."""
    by_key = {q.key: q for q in (*UNLOAD, *IMPACT)}
    console.print()
    console.print(f"Repeated with the solver {verification.solver}: largest differences", style="bold")
    for found in verification.differences:
        q = by_key[found.key]
        unit = {"degree": "°", "degree s-1": "°/s", "m s-1": "m/s", "1": ""}.get(q.unit, q.unit)
        console.print(f"  {q.long_name:<46} {q.scale * found.size:9.4f} {unit:<4} {found.shaft}")
    for shaft, reason in verification.failures:
        console.print(f"  {shaft} did not reach the ball: {reason}")
    if not verification.differences:
        console.print("  there is nothing to compare")
    elif verification.ranks_changed:
        console.print(f"  ranks that differ: {', '.join(verification.ranks_changed)}")
    else:
        console.print("  every rank is the same")


def unload_columns(runs: Sequence[ClubRun]) -> list[Column]:
    """Unload figures and the rank under each hand mode."""
    columns = _figure_columns(UNLOAD, [run.unload for run in runs])
    sure = Column(RESOLUTION.label, [shown(RESOLUTION, RESOLUTION.of(run)) for run in runs])
    ranks = [Column(f"\n{m}", [_rank(run.order_under.get(m)) for run in runs]) for m in HANDS]
    return [columns[0], sure, *ranks, *columns[1:]]


def impact_columns(runs: Sequence[ClubRun], *, change: bool = False) -> list[Column]:
    """Figures at impact, or their change against the reference club."""
    records = [run.change if change else run.impact for run in runs]
    return _figure_columns(IMPACT, records, sign=change)


def static_columns(runs: Sequence[ClubRun]) -> list[Column]:
    """Letter and bench readings."""
    letters = [(run.static.letter if run.static is not None else None) or "–" for run in runs]
    return [Column("letter\n", letters), *_figure_columns(STATIC, [run.static for run in runs])]


def cause_columns(runs: Sequence[ClubRun]) -> list[Column]:
    """Causes of face angle and dynamic loft, in degrees."""
    columns = []
    for words, attribute in (("face", "face"), ("loft", "loft")):
        for i, cause in enumerate(CAUSES):
            records = [getattr(run, attribute) for run in runs]
            values = [None if r is None else _DEGREE * getattr(r, cause) for r in records]
            like = next(q for q in IMPACT if q.key == "face_angle_deg")
            columns.append(Column(f"{words}:\n{cause}", [shown(like, v, sign=i > 0) for v in values]))
    return columns


def _figure_columns(quantities: Sequence[Quantity], records: Sequence[Any], *, sign: bool = False) -> list[Column]:
    return [Column(q.label, [shown(q, q.of(record), sign=sign) for record in records]) for q in quantities]


def _rank(rank: int | None) -> str:
    return "–" if rank is None else str(rank)


def _names(runs: Sequence[ClubRun], reference: str) -> list[Column]:
    """Rank and shaft, repeated in every table; the reference club carries a star."""
    return [
        Column("rank\n", [_rank(run.rank) for run in runs]),
        Column("shaft\n", [run.shaft + (" *" if run.shaft == reference else "") for run in runs], left=True),
    ]


class Page(Console):
    """A console that leaves a reader's departure to its caller, and writes ASCII where nothing else can be shown."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.ascii = not speaks_unicode(self.file)

    def print(self, *objects: Any, **options: Any) -> None:
        """As Rich's, texts in what the stream can show."""
        if self.ascii:
            objects = tuple(in_ascii(words) if isinstance(words, str) else words for words in objects)
        super().print(*objects, **options)

    def on_broken_pipe(self) -> None:
        """Called where the reader has gone: Rich would end the program with an error."""
        raise BrokenPipeError


def console_for(stream: Any, *, color: bool = True, quiet: bool = False) -> Console:
    """A console for a stream: the terminal's own width and colours; plain wide text for a file or a pipe.

    Parameters
    ----------
    color : False: no colours and no bold, whatever the terminal can do
    quiet : nothing is printed
    """
    terminal = bool(getattr(stream, "isatty", lambda: False)())
    return Page(
        file=stream,
        width=None if terminal else PLAIN_WIDTH,
        highlight=False,
        markup=False,
        emoji=False,
        soft_wrap=False,
        quiet=quiet,
        no_color=not color,
        color_system="auto" if terminal and color else None,
    )
