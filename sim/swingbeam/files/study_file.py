"""A study's file: one golfer and one club, what varies about them, and by which plan.

What varies stands under [vary], a key path or a scale on the left (in quotation marks) and on the right

    { from = "0.8 s", to = "1.2 s", count = 9 }     evenly, both ends included (a drawn plan needs no count)
    { between = ["0.8 s", "1.2 s"] }                 anywhere between, equally likely
    { mean = "18 mm", deviation = "3 mm" }           normal; least and most cut it off
    ["0.8 s", "1.0 s", "1.2 s"]                      these values; or names: ["wick-65-s", "marl-60-r"]
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Any, Literal, get_args

from pydantic import Field, model_validator

from swingbeam.beam.errors import InputError
from swingbeam.files.air_file import AirTable
from swingbeam.files.base import Record, display_path, load_toml, parse_table, read_text
from swingbeam.files.club_file import ClubParts
from swingbeam.files.file_kinds import TELLING_KEYS
from swingbeam.files.scenario_file import BallRule, GolferTable, HandMode, SolverName
from swingbeam.files.swing_file import GripFirmness
from swingbeam.units import RotationalDamping, RotationalStiffness, nearest, quote

OutputGroup = Literal["unload", "impact", "causes", "shot", "change", "hands", "bench"]
PlanKind = Literal["grid", "list", "latin-hypercube", "sobol", "random", "repeatability", "sensitivity"]
USUAL_OUTPUTS: tuple[OutputGroup, ...] = ("unload", "impact", "causes", "shot", "change")
"""All but the hands' force, couple and power, and the bench's readings of every shaft: either takes longer than the
rest together."""
DRAWN = ("latin-hypercube", "sobol", "random", "repeatability")
"""Plans of a stated number of cases."""
MOST_CASES = 10_000_000


class HandsNumbers(Record):
    """How the hands give; each replaces one number of the hands that are chosen."""

    hinge_stiffness: RotationalStiffness | None = None
    roll_stiffness: RotationalStiffness | None = None
    third_stiffness: RotationalStiffness | None = None
    hinge_damping: RotationalDamping | None = None
    roll_damping: RotationalDamping | None = None
    third_damping: RotationalDamping | None = None


class CorrelationRow(Record):
    """Two inputs that go together."""

    of: tuple[str, str] = Field(description="the two keys of [vary]")
    correlation: float = Field(description="a number between -1 and 1")

    @model_validator(mode="after")
    def _check(self) -> CorrelationRow:
        if not -1.0 < self.correlation < 1.0:
            raise InputError(f"correlation: found {self.correlation:g}; allowed: between -1 and 1")
        if self.of[0] == self.of[1]:
            raise InputError(f"of: found {quote(self.of[0])} twice; allowed: two different keys")
        return self


class PlanTable(Record):
    """Which cases of what varies are swung."""

    kind: PlanKind = Field(
        description='"grid", "list", "latin-hypercube", "sobol", "random", "repeatability" or "sensitivity"'
    )
    cases: int | None = None
    """Of a drawn plan."""
    rows: int | None = None
    """Base rows of a sensitivity plan: each is swung once more than there are inputs, and once again."""
    spare_rows: int | None = None
    """More base rows, to stand for those in which a case failed."""
    seed: int = 1
    file: str | None = None
    """Of a list: a CSV file."""
    correlations: tuple[CorrelationRow, ...] = ()

    @model_validator(mode="after")
    def _check(self) -> PlanTable:
        kind = self.kind
        for key, kinds in (
            ("cases", DRAWN),
            ("rows", ("sensitivity",)),
            ("spare_rows", ("sensitivity",)),
            ("file", ("list",)),
            ("correlations", ("random",)),
        ):
            if key in self.model_fields_set and kind not in kinds:
                other = "; a sensitivity plan states rows" if (key, kind) == ("cases", "sensitivity") else ""
                raise InputError(f'{key}: found with kind = "{kind}"; allowed: with {" or ".join(kinds)} only{other}')
        needed = "cases" if kind in DRAWN else {"sensitivity": "rows", "list": "file"}.get(kind)
        if needed is not None and getattr(self, needed) is None:
            example = {"cases": "cases = 1000", "rows": "rows = 512", "file": 'file = "cases.csv"'}[needed]
            raise InputError(f'{needed}: missing key; a plan of kind "{kind}" needs it, such as {example}')
        if not 0 <= self.seed < 2**63:
            raise InputError(f"seed: found {self.seed}; allowed: a whole number from 0 on")
        for key in ("cases", "rows"):
            number = getattr(self, key)
            if number is not None and not 1 <= number <= MOST_CASES:
                raise InputError(f"{key}: found {number}; allowed: 1 to {MOST_CASES:,}")
        if self.spare_rows is not None and not 0 <= self.spare_rows <= MOST_CASES:
            raise InputError(f"spare_rows: found {self.spare_rows}; allowed: 0 to {MOST_CASES:,}")
        for key in ("cases", "rows"):
            number = getattr(self, key)
            if kind in ("sobol", "sensitivity") and number is not None and number & (number - 1):
                below = 1 << (number.bit_length() - 1)
                raise InputError(
                    f"{key}: found {number}; allowed: a power of two, such as {below} or {2 * below}: a Sobol sequence "
                    "is even only then"
                )
        return self


class HoldTable(Record):
    """What stays as it is while tempo or the shaft's weight is varied."""

    tempo: Literal["head speed", "effort", "motion"] | None = None
    shaft_weight: Literal["motion", "effort", "head mass", "swing weight"] | None = None


class StudyFile(Record):
    """One study as its file states it; `vary` is as written, because its units follow from its keys."""

    name: str = Field(min_length=1, description="what the study is called")
    question: str = Field(description="the question it answers, in a sentence")
    swing: str = Field(min_length=1, description="name or path of a swing")
    hands: HandMode = "hold"
    grip_firmness: GripFirmness | None = None
    ball: BallRule = "re-aimed"
    solver: SolverName = "curvature"
    start: Literal["address", "late backswing", "top"] = "address"
    """Where every swing starts; later is faster, and leaves out what the backswing before does to the shaft."""
    outputs: tuple[OutputGroup, ...] = USUAL_OUTPUTS
    golfer: GolferTable = GolferTable()
    air: AirTable = AirTable()
    club: ClubParts = ClubParts()
    reference_club: ClubParts | None = None
    vary: dict[str, Any] = Field(default_factory=dict)
    plan: PlanTable = Field(description="a table [plan] with kind")
    hold: HoldTable = HoldTable()

    @model_validator(mode="after")
    def _check(self) -> StudyFile:
        if not self.vary and self.plan.kind not in ("list", "repeatability"):
            raise InputError("vary: nothing varies; allowed: a table [vary] with one line for each thing that does")
        if self.vary and self.plan.kind == "list":
            raise InputError("vary: found with a list of cases; allowed: none, the columns of the list are what varies")
        if not self.outputs:
            raise InputError(f"outputs: found none; allowed: some of {', '.join(get_args(OutputGroup))}")
        if len(set(self.outputs)) < len(self.outputs):
            raise InputError("outputs: found a group twice; allowed: each once")
        return self


def is_study(table: Mapping[str, Any]) -> bool:
    """Whether a table is that of a study's file, not of a scenario's."""
    return any(key in table for key in TELLING_KEYS["study"])


def is_study_file(path: str | os.PathLike[str]) -> bool:
    """Whether a file states a study; InputError when it cannot be read as TOML."""
    return is_study(load_toml(read_text(path), source=display_path(path)))


def read_study_file(path: str | os.PathLike[str]) -> StudyFile:
    """Read a study's file.

    Raises
    ------
    InputError
        As `read_toml`; a scenario, with the command that runs it.
    """
    source = display_path(path)
    table = load_toml(read_text(path), source=source)
    if not is_study(table) and ("clubs" in table or "shafts" in table):
        raise InputError(
            f"{source}: found a scenario, in which nothing varies; allowed: a study, with [vary] and [plan] (the "
            f"scenario is run by: swingbeam rank {source})"
        )
    return parse_table({**table, "vary": _flat(table.get("vary", {}))}, StudyFile, source=source)


_WAYS = ("from", "to", "count", "between", "mean", "deviation", "least", "most")
"""Keys of how something varies."""


def _flat(vary: Any) -> Any:
    """Key paths that were written without quotation marks are tables in tables: put together again."""
    if not isinstance(vary, dict):
        return vary
    flat: dict[str, Any] = {}
    for key, value in vary.items():
        if isinstance(value, dict) and value and not any(way in value for way in _WAYS):
            inner = _flat(value)
            if all(isinstance(v, dict | list) for v in inner.values()):
                flat |= {f"{key}.{own}": v for own, v in inner.items()}
                continue
        flat[key] = value
    return flat


def refuse_study(path: str | os.PathLike[str]) -> None:
    """Refuse a study where a scenario is asked for, with the command that runs it.

    Raises
    ------
    InputError
    """
    if is_study_file(path):
        shown = display_path(path)
        raise InputError(
            f"{shown}: found a study; allowed: a scenario, with shafts or [[clubs]] (for a study: "
            f"swingbeam study plan {shown})"
        )


def unknown_key(key: str, known: list[str]) -> InputError:
    """What to say of a key of [vary] that is none."""
    guess = nearest(key, known)
    hint = f"; did you mean {quote(guess)}?" if guess else ""
    return InputError(f"found {quote(key)}; allowed: a key path such as {', '.join(quote(k) for k in known[:6])}{hint}")
