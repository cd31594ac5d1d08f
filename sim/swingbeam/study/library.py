"""What can be named, and whether a file is sound."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path, load_toml, read_text
from swingbeam.files.file_kinds import telling_kind
from swingbeam.files.lookup import list_library
from swingbeam.files.study_file import is_study_file

KINDS = {
    "shafts": "shaft",
    "layups": "layup",
    "heads": "head",
    "swings": "swing",
    "scenarios": "scenario",
    "studies": "study",
    "customers": "customer",
    "benches": "bench",
    "readings": "readings",
}
"""What people write → the kind of file."""


@dataclass(frozen=True)
class Group:
    """The files of one kind: (name, a few words) each."""

    title: str
    entries: tuple[tuple[str, str], ...]


def describe_library(kind: str | None = None) -> list[Group]:
    """Names and a few words of everything that can be named, or of one kind ("shafts", …)."""
    wanted = KINDS if kind is None else {kind: KINDS[kind]}
    groups = []
    for title, name in wanted.items():
        entries = tuple((stem, _words(name, path)) for stem, path in list_library(name).items() if _is(name, path))
        groups.append(Group(title, entries))
    return groups


def _is(kind: str, path: Path) -> bool:
    """Whether a file is of the kind its folder is for; scenarios and studies share one."""
    if kind not in ("scenario", "study"):
        return True
    try:
        return is_study_file(path) == (kind == "study")
    except InputError:
        return kind == "scenario"


def _words(kind: str, path: Path) -> str:
    try:
        table = load_toml(read_text(path), source=display_path(path))
    except InputError:
        return "cannot be read; see `swingbeam check`"
    if kind == "shaft":
        parts = [table.get("kind"), table.get("letter"), table.get("mass"), table.get("maker")]
    elif kind == "layup":
        base = table.get("base")
        parts = [table.get("kind"), table.get("letter"), table.get("maker"), f"{base}, plies swapped" if base else None]
    elif kind == "head":
        parts = [table.get("kind"), table.get("mass"), table.get("loft")]
    elif kind in ("scenario", "study"):
        parts = [table.get("question")]
    else:
        parts = [table.get("description") or table.get("note")]
    return " · ".join(" ".join(str(part).split()) for part in parts if part)


def check_file(path: Path) -> str:
    """Read a file, build what it describes, aim a swing with its reference club, and say so.

    Raises
    ------
    InputError
        What is wrong with it, or that it is none of ours.
    SimulationError
        The reference club could not be swung.
    """
    kind = kind_of_file(path)
    if kind == "shaft":
        from swingbeam.shaft.load import load_shaft

        shaft = load_shaft(path)
        return f'a sound {shaft.kind} shaft, "{shaft.name}"'
    if kind == "layup":
        from swingbeam.shaft.layup_swap import load_layup, load_layup_shaft

        layup, made = load_layup(path), load_layup_shaft(path)
        return f'a sound lay-up, "{layup.name}": {len(layup.plies)} plies make a {made.kind} shaft'
    if kind == "head":
        from swingbeam.club.head import load_head

        head = load_head(path)
        return f'a sound {head.kind} head, "{head.name}"'
    if kind == "recording":
        from .record import record_swing

        result = record_swing(path, draws=0)
        return f'a sound recording, "{result.recording.name}": {result.recording.poses.t.size} usable frames'
    if kind == "scenario":
        from .golfer import load_golfer
        from .scenario import load_scenario

        scenario = load_scenario(path.resolve())
        golfer = load_golfer(scenario.swing, scenario.record.reference_club)
        return (
            f'a sound scenario, "{scenario.name}": {len(scenario.clubs)} clubs, all of them can be built; '
            f'its golfer, "{golfer.reference.name}", can be aimed'
        )
    if kind == "study":
        from .sweep.load import load_study

        study = load_study(path.resolve())
        study.prepare()
        size = f"{study.count:,} cases of {len(study.inputs)} inputs"
        return f'a sound study, "{study.name}": {size}; its golfer can be aimed'
    if kind == "customer":
        from .match import check_customer

        return check_customer(path)
    if kind == "bench":
        from swingbeam.bench.benches import load_bench

        return f'a sound bench, "{load_bench(path.resolve()).name}"'
    if kind == "readings":
        from swingbeam.bench.readings import load_readings

        read = load_readings(path)
        return f'sound readings of a {read.facts.kind} shaft, "{read.facts.name}": {len(read.readings)} of them'
    from swingbeam.swing import load_swing, prepare

    swing = load_swing(path)
    prepare(swing)
    driven = ", driven by torque" if swing.by_torque else ""
    spread = "" if swing.spread is None else ", with its spread"
    return f'a sound swing, "{swing.name}"{driven}{spread}: its reference club delivers what it states'


def kind_of_file(path: Path) -> str:
    """Whether a file is a "shaft", "head", "swing" or "scenario": by its keys, else by its folder.

    Raises
    ------
    InputError
        It cannot be read.
    """
    table = load_toml(read_text(path), source=display_path(path))
    found = telling_kind(table)
    if found is not None:
        return found
    folder = path.resolve().parent.name
    return KINDS.get(folder, "swing")
