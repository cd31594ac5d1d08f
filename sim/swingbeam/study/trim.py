"""A shaft cut at its tip and butt: what every bench test then reads, and what the club then delivers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.bench.benches import Bench, load_bench, usual_bench
from swingbeam.bench.registry import TESTS
from swingbeam.bench.specimen import specimen
from swingbeam.club.build import Club, build_club
from swingbeam.club.head import Head, load_head
from swingbeam.club.hosel_fit import fit_warnings, refuse_thick_tip
from swingbeam.files.base import naming
from swingbeam.files.club_file import ClubParts
from swingbeam.files.lookup import find
from swingbeam.shaft.load import load_shaft
from swingbeam.shaft.shaft import Shaft
from swingbeam.shaft.trim import trimmed
from swingbeam.units import parse_quantity, show

from .bench import BenchRow, read_on_bench
from .golfer import Golfer, load_golfer
from .measure import Measured
from .rank import make_row, readings_of
from .result import ClubRun
from .single import DEFAULT_BALL, DEFAULT_HANDS, DEFAULT_SOLVER
from .trim_steps import MOST_STEPS, read_trims

_KEPT = ("insertion", "grip_mass", "grip_length", "hold_point")
"""How the golfer builds his club, kept for every trim."""


@dataclass(frozen=True, eq=False)
class TrimRow:
    """One trim.

    Attributes
    ----------
    tip, butt : m cut off
    bench : readings of the raw shaft as cut; None when it could not be cut
    club : built on it; None without a head, or when it cannot be built
    club_bench : readings of that club
    run : swung, its change against the uncut shaft's club; None without a swing or a club
    warnings : what a fitter should know
    error : why the trim, or the build, is not possible
    """

    tip: float
    butt: float
    bench: BenchRow | None = None
    club: Club | None = None
    club_bench: BenchRow | None = None
    run: ClubRun | None = None
    warnings: tuple[str, ...] = ()
    error: str | None = None

    @property
    def label(self) -> str:
        """The trims in words."""
        cuts = [f"{name} {show(cut, 'in')}" for name, cut in (("tip", self.tip), ("butt", self.butt)) if cut > 0.0]
        return ", ".join(cuts) or "uncut"


@dataclass(frozen=True, eq=False)
class TrimResult:
    """A shaft under several trims.

    Attributes
    ----------
    name : of the shaft
    shaft : raw, uncut
    bench : the set-ups
    rows : the uncut shaft first
    head : of the clubs, None without one
    length : m, finished length before the butt trim; None: as long as the shaft makes it
    golfer : name of the swing; None without one
    hands, ball : as of a scenario
    notes : things the reader should know of the golfer, one sentence each
    """

    name: str
    shaft: Shaft
    bench: Bench
    rows: tuple[TrimRow, ...]
    head: Head | None = None
    length: float | None = None
    golfer: str | None = None
    hands: str = DEFAULT_HANDS
    ball: str = DEFAULT_BALL
    notes: tuple[str, ...] = ()


def trim_shaft(
    shaft: str,
    *,
    tip: Sequence[str] = (),
    butt: Sequence[str] = (),
    setup: str | None = None,
    head: str | None = None,
    length: str | None = None,
    swing: str | None = None,
    hands: str | None = None,
    ball: str | None = None,
    solver: str | None = None,
) -> TrimResult:
    """Cut a shaft, read it on the bench, build it and swing it; every tip trim with every butt trim.

    The bench reads the raw shaft as cut, both trims off. The club is finished at `length` less the butt trim whatever
    the tip trim: what a tip trim takes, the final cut at the butt need not. A trim that is not possible is a row with
    its reason.

    Parameters
    ----------
    shaft : name or path of a shaft or a lay-up
    tip, butt : trims or sweeps, as `read_trims` reads them
    setup : name or path of a bench; None: the usual one
    head : name or path; None: the swing's reference club's, or no club without a swing
    length : finished length of the uncut shaft's club, such as "45.5 in"; None: the reference club's, or without a
        swing as long as the shaft makes it
    swing : name or path; None: no swing
    hands, ball, solver : as of a scenario

    Raises
    ------
    InputError
        A file that cannot be found or read, trims that cannot be read, or not one that is possible.
    SimulationError
        The golfer's reference club could not be swung.
    """
    tips, butts = read_trims(tip, "--tip"), read_trims(butt, "--butt")
    cuts = list(dict.fromkeys([(0.0, 0.0), *((t, b) for b in butts for t in tips)]))
    if len(cuts) > MOST_STEPS + 1:
        raise InputError(f"found {len(cuts) - 1} pairs of a tip and a butt trim; allowed: up to {MOST_STEPS}")
    raw = load_shaft(find("shaft", shaft))
    with naming("--length"):
        wanted = None if length is None else parse_quantity(length, "length")
    if wanted is not None and head is None and swing is None:
        raise InputError("--length: a bare shaft has no finished length; allowed: together with --head or --swing")
    golfer = None if swing is None else load_golfer(Path(find("swing", swing)))
    parts = ClubParts() if golfer is None else golfer.parts
    fitted = None if head is None else load_head(find("head", head))
    if golfer is not None:
        fitted = fitted or golfer.club.head
        wanted = golfer.club.finished_length if wanted is None else wanted
    bench = usual_bench() if setup is None else load_bench(setup)
    rows = [_row(raw, cut, bench, fitted, wanted, parts) for cut in cuts]
    if golfer is not None:
        rows = _swung(rows, golfer, hands or DEFAULT_HANDS, ball or DEFAULT_BALL, solver or DEFAULT_SOLVER)
    asked = rows[1:] or rows
    if all(row.error is not None for row in asked):
        raise InputError(f"{asked[0].label}: {asked[0].error}")
    return TrimResult(
        name=Path(shaft).stem,
        shaft=raw,
        bench=bench,
        rows=tuple(rows),
        head=fitted,
        length=wanted,
        golfer=None if golfer is None else golfer.reference.name,
        hands=hands or DEFAULT_HANDS,
        ball=ball or DEFAULT_BALL,
        notes=() if golfer is None else golfer.notes,
    )


def _row(
    raw: Shaft, cut: tuple[float, float], bench: Bench, head: Head | None, length: float | None, parts: ClubParts
) -> TrimRow:
    row = TrimRow(*cut)
    try:
        piece = trimmed(raw, tip=row.tip, butt=row.butt)
    except InputError as error:
        return replace(row, error=str(error))
    row = replace(
        row,
        bench=read_on_bench(row.label, specimen(piece), bench, tuple(TESTS)),
        warnings=fit_warnings(raw, head, row.tip),
    )
    if head is None:
        return row
    try:
        club = _built(raw, row, head, length, parts)
    except InputError as error:
        return replace(row, error=_which(str(error)))
    return replace(row, club=club, club_bench=read_on_bench(row.label, specimen(club), bench, tuple(TESTS)))


def _built(raw: Shaft, row: TrimRow, head: Head, length: float | None, parts: ClubParts) -> Club:
    kept = {key: getattr(parts, key) for key in _KEPT if getattr(parts, key) is not None}
    insertion = kept.get("insertion", head.insertion)
    if kept.get("insertion") is not None and head.insertion < kept["insertion"]:
        insertion = kept["insertion"] = head.insertion
    if length is None:
        kept["butt_trim"] = row.butt
    else:
        kept["finished_length"] = length - row.butt
    club = build_club(raw, head, tip_trim=row.tip, label=row.label, **kept)
    if club.butt_trim < row.butt - 1e-6:
        missing = show(row.butt - club.butt_trim, "in", 2)
        raise InputError(f"finished_length: the shaft is {missing} too short for the trim; allowed: a shorter --length")
    refuse_thick_tip(raw, head, row.tip, insertion)
    return club


def _which(message: str) -> str:
    """The reason with what it means for a trim before it."""
    if message.startswith("tip_trim"):
        return f"past the parallel section: {message}"
    if message.startswith(("finished_length", "hold_point", "butt_trim")):
        return f"too short for the build: {message}"
    return message


def _swung(rows: Sequence[TrimRow], golfer: Golfer, hands: str, ball: str, solver: str) -> list[TrimRow]:
    """The rows with every club swung, each change against the first row's club."""
    measured = {i: golfer.swing(row.club, hands, ball, solver) for i, row in enumerate(rows) if row.club is not None}
    first = measured.get(0, Measured("failed"))
    if measured and all(found.status == "failed" for found in measured.values()):
        raise SimulationError(next(iter(measured.values())).reasons.get("status", "not known"))
    out = []
    for i, row in enumerate(rows):
        if row.club is None:
            out.append(row)
            continue
        run = make_row(row.label, measured[i], first, *readings_of(row.club))
        error = row.error if run.status == "ok" else f"{run.status}: {run.reasons.get('status', 'not known')}"
        out.append(replace(row, run=run, error=error))
    return out
