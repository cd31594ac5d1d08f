"""One club for people: what it does, what changes against the reference club, and why."""

from __future__ import annotations

from rich.console import Console

from swingbeam.delivery.kinetics import Demand
from swingbeam.study.quantities import CAUSES, FACE_CENTRE_SPEED, IMPACT, SHOT, STATIC, UNLOAD, Quantity, shown
from swingbeam.study.result import SingleResult

from .caution import CAUTION

_UNITS = {"degree": "°", "degree s-1": "°/s", "m s-1": "m/s", "1": "", "min-1": "cpm", "percent": "%"}
_ANGLE = next(q for q in IMPACT if q.key == "face_angle_deg")


def print_single(result: SingleResult, console: Console) -> None:
    """Print figures of one club, each with its change against the reference club, and their causes."""
    run = result.run
    console.print(f"{run.shaft}, swung by {result.golfer}", style="bold")
    console.print(
        f"hands: {result.hands} · ball: {result.ball} · solver: {result.solver} · reference club: {result.reference}"
    )
    if run.status != "ok":
        console.print(f"{run.status}: {run.reasons.get('status', 'not known')}")
        return
    _heading(console, "Unload, ms against impact", "value", "reference")
    for q in UNLOAD:
        _line(console, q, q.of(run.unload), q.of(result.reference_run.unload))
    for text in dict.fromkeys(text for key, text in run.reasons.items() if key != "letter"):
        console.print(f"  {text}")
    _heading(console, "At impact", "value", "reference", "change")
    for q in (*IMPACT, FACE_CENTRE_SPEED):
        _line(console, q, q.of(run.impact), q.of(result.reference_run.impact), change=q.of(run.change))
    _print_causes(result, console)
    _print_flight(result, console)
    if result.motion is not None:
        _print_demands(result.motion.demands, console)
    if run.static is not None:
        _heading(console, "On the bench", "value")
        for q in STATIC:
            _line(console, q, q.of(run.static))
        console.print(run.static.setup, style="dim")
    for note in result.notes:
        console.print(f"Note: {note}")
    console.print()
    console.print(CAUTION, style="dim")


def _print_causes(result: SingleResult, console: Console) -> None:
    face, loft = result.run.face, result.run.loft
    if face is None or loft is None:
        return
    _heading(console, "Where face and loft come from, °", "face", "loft")
    for i, cause in enumerate(CAUSES):
        values = [_ANGLE.scale * getattr(causes, cause) for causes in (face, loft)]
        cells = "".join(f"{shown(_ANGLE, v, sign=i > 0):>11}" for v in values)
        console.print(f"  {_CAUSE_WORDS[cause]:<44}{cells}")
    totals = "".join(f"{shown(_ANGLE, _ANGLE.scale * causes.total):>11}" for causes in (face, loft))
    console.print(f"  {'together':<44}{totals}")


def _print_demands(demands: tuple[Demand, ...], console: Console) -> None:
    _heading(console, "What the hands give the club, at the most", "value", "ms")
    for demand in demands:
        limit = demand.range
        size, at = f"{demand.size / limit.per:.4g}", f"{1e3 * demand.at:.0f}"
        console.print(f"  {limit.words:<44}{size:>11}{at:>11} {limit.unit}")
    for demand in demands:
        if not demand.is_human:
            console.print(f"  Beyond a golfer? {demand}")


_CAUSE_WORDS = {
    "rigid": "this club made rigid, at the planned impact",
    "when": "its own instant of impact",
    "reference": "how the reference run differs from the line",
    "hands": "the hands yield to this club",
    "bend": "bending of the shaft",
    "twist": "twist of the shaft",
}


def _print_flight(result: SingleResult, console: Console) -> None:
    """Launch and flight with 1σ of the model, the change, and whether it is larger than its own error."""
    own, reference = result.run.flight, result.reference_run.flight
    if own is None or reference is None:
        return
    _heading(console, "Launch and flight", "value", "±", "reference", "change", "±")
    for q in SHOT:
        cells = "".join(f"{shown(q, q.of(shot)):>11}" for shot in (own.shot, own.error, reference.shot))
        cells += f"{shown(q, q.of(own.change), sign=True):>11}{shown(q, q.of(own.change_error)):>11}"
        known = "" if own is reference or own.is_resolved(q.attribute) else "  not resolved"
        console.print(f"  {q.long_name:<44}{cells} {_UNITS.get(q.unit, q.unit)}{known}")
    console.print(
        "±: 1σ of the model of blow and flight; of a change only what the two clubs do not share. "
        f"Air: {result.air}. Only one kind of hands was swung: a ranking says what changes its sign under others.",
        style="dim",
    )


def _heading(console: Console, title: str, *columns: str) -> None:
    console.print()
    console.print(f"{title:<46}" + "".join(f"{c:>11}" for c in columns), style="bold")


def _line(console: Console, q: Quantity, *values: float | None, change: float | None = None) -> None:
    cells = "".join(f"{shown(q, v):>11}" for v in values)
    if change is not None:
        cells += f"{shown(q, change, sign=True):>11}"
    console.print(f"  {q.long_name:<44}{cells} {_UNITS.get(q.unit, q.unit)}")
