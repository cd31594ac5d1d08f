"""What the claims share: the shape of the figures, tables of bench readings, and the page itself."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from claims.rules import LEAST_DEG, LEAST_MM, LEAST_MPS, LEAST_MS, dependence, number, table
from swingbeam.club.build import Club
from swingbeam.report.caution import CAUTION

Key = tuple[str, str]
"""(scenario, label) of a club."""
Figures = dict[str, float | None]
"""Key of a figure, unit included → its value as people read it."""
Cases = dict[tuple[str, str], dict[Key, Figures]]
"""(golfer, hands) → club → figures."""
Readings = Callable[[Club], Figures]

REFERENCE: Key = ("", "reference")
LOFT, FACE, HALF = "dynamic_loft_deg", "face_angle_deg", "half_ms"
KICK_POINT, FREQUENCY = "kick_point_pct_from_tip", "frequency_cpm"
HYPOTHESIS = "common practice, no source; a hypothesis"
_STATIC = (
    ("mass_g", "weight g", 0),
    (FREQUENCY, "frequency cpm", 1),
    ("torque_deg", "torque °", 2),
    (KICK_POINT, "kick point % from tip", 1),
)


@dataclass(frozen=True)
class Claim:
    """One claim's part of the page.

    Attributes
    ----------
    title, text : str, Markdown
    summary : (what was tested, the outcome, its size) each
    """

    title: str
    text: str
    summary: tuple[tuple[str, str, str], ...]


def page(claims: Sequence[Claim], *, left_out: Sequence[str], by_torque: Sequence[str], digest: str) -> str:
    """The whole page, Markdown.

    Parameters
    ----------
    left_out : swings that could not be made ready, with the reason
    by_torque : names of the golfers who are driven by torque
    digest : of all inputs
    """
    kinds = [
        f"Driven by torque, not along a line: {'; '.join(by_torque)}. That run of the golfer's own club is the "
        "reference of the hands; the torques themselves do not swing the other clubs."
    ]
    gone = []
    if left_out:
        gone = [f"Left out, because the swing could not be made ready: {'; '.join(left_out)}."]
    parts = [
        "# Claims of the trade, put to the test",
        "Written by `benchmarks/trade_claims.py` and not edited by hand. Each claim is marked "
        f'"{HYPOTHESIS}"; nothing in the library of shafts, heads and swings is adjusted to make one come out. '
        "Every word about an outcome follows from the numbers by the rules in `benchmarks/claims/rules.py`. No "
        f"difference is: less than {LEAST_DEG:g}° of an angle, {LEAST_MPS:g} m/s of head speed, {LEAST_MM:g} mm of "
        f"strike point, or the resolution of half-unload (at least {LEAST_MS:g} ms). A case is one golfer with one "
        "kind of hands: vice, hold or effort (the README says what these are, and what half-unload is).",
        *(kinds if by_torque else []),
        *gone,
        "**What no part of this page judges.** Claims are held against delivery: face, loft, path, attack, speed and "
        "strike point. Blow and flight have models of their own, with larger errors (docs/flight.md), and what "
        "shaft and head do while the ball is on the face is not part of a run. The golfer does not adapt and feels "
        "nothing. Shafts, heads and golfers are invented: what comes out here comes out for these, in this model.",
        table(
            ("tested", "outcome", "size, over all cases"),
            [row for claim in claims for row in claim.summary],
            left=3,
        ),
        *(f"## {claim.title}\n\n{claim.text}" for claim in claims),
        "## Caution",
        CAUTION,
        f"Inputs (shafts, heads, swings, scenarios, options, version): SHA-256 `{digest}`.",
    ]
    return "\n\n".join(parts) + "\n"


def change(a: float | None, b: float | None) -> float | None:
    """b − a, None where one is missing."""
    return None if a is None or b is None else b - a


def names_of(cases: Cases, which: int) -> list[str]:
    """The golfer (0) or the hands (1) of every case."""
    return [case[which] for case in cases]


def dependences(cases: Cases, holds: Sequence[bool | None]) -> str:
    """How an outcome over the cases depends on hands and golfer."""
    return f"{dependence('hands', names_of(cases, 1), holds)} {dependence('golfer', names_of(cases, 0), holds)}"


def static_table(clubs: Sequence[Club], readings: Readings) -> str:
    """Bench readings of the clubs' raw shafts."""
    rows = []
    for club in clubs:
        read = readings(club)
        shown = (number(read[key], decimals) for key, _, decimals in _STATIC)
        rows.append([club.label, club.shaft.letter, *shown])
    return table(("shaft", "letter", *(label for _, label, _ in _STATIC)), rows, left=2)


def who(cases: Cases, club: str) -> str:
    """Who swung, in words."""
    golfers = list(dict.fromkeys(names_of(cases, 0)))
    hands = list(dict.fromkeys(names_of(cases, 1)))
    return (
        f"the {len(golfers)} golfers who swing a {club} ({'; '.join(golfers)}), hands {', '.join(hands)}, ball re-aimed"
    )
