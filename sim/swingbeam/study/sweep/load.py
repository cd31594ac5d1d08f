"""From a study's file to a study that can be run."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from swingbeam.beam.errors import InputError
from swingbeam.files.base import naming
from swingbeam.files.club_file import ClubParts
from swingbeam.files.lookup import find
from swingbeam.files.study_file import StudyFile, read_study_file
from swingbeam.shaft.layup_swap import shaft_files
from swingbeam.study.scenario import digest_of, read_inputs
from swingbeam.study.shots import Range, air_of
from swingbeam.units import quote

from .address import Address, address_of, input_of, read_way
from .figures import figures_of
from .golfers import APPROXIMATIONS
from .held import held_words, refuse_unheld
from .makers import Recipe, make_club, make_hands, make_reference_club, make_swing
from .parts import Collector, FilePart
from .plans import make_plan
from .repeatability import repeatability
from .swing_study import SwingStudy
from .variation import Variation


@dataclass(frozen=True, eq=False)
class Varied:
    """What varies, input by input."""

    addresses: tuple[Address, ...]
    variations: tuple[Variation, ...]


def load_study(name: str | os.PathLike[str]) -> SwingStudy:
    """Read a study by name or path.

    Raises
    ------
    InputError
        A file that cannot be found or read, a scenario instead of a study, a key that leads nowhere, a value that
        the thing it belongs to cannot have.
    """
    path = find("study", name)
    record = read_study_file(path)
    with naming(path):
        return _study(path, record)


def _study(path: Path, record: StudyFile) -> SwingStudy:
    from .case_list import read_case_list

    reader = Collector(path)
    listed = None if record.plan.file is None else read_case_list(path, record.plan.file)
    vary: dict[str, Any] = record.vary if listed is None else listed.as_vary()
    swings = _swings(record, vary, reader)
    recipe = _unvaried(record, swings, vary, reader)
    varied = _varied(vary, recipe, reader, "vary" if listed is None else listed.source)
    drawn = Varied((), ())
    words = ""
    if record.plan.kind == "repeatability":
        keys = [address.key for address in varied.addresses]
        addresses, variations, words = repeatability(reader.swings[record.swing], keys)
        drawn = Varied(addresses, variations)
    both = Varied((*drawn.addresses, *varied.addresses), (*drawn.variations, *varied.variations))
    recipe = replace(recipe, library=reader.library(), addresses=both.addresses, variations=both.variations)
    refuse_unheld(recipe)
    _try_ends(recipe, "vary" if listed is None else listed.source)
    plan = make_plan(record.plan, recipe, len(drawn.addresses), None if listed is None else listed.table(both))
    files = _files(path, reader, None if listed is None else listed.path)
    approximation = APPROXIMATIONS.get(record.start, "")
    handed = (
        record.golfer.handed
        if "handed" in record.golfer.model_fields_set
        else recipe.library.swings[record.swing].base.handed
    )
    return SwingStudy(
        name=record.name,
        question=record.question,
        kind=record.plan.kind,
        held="; ".join(text for text in (held_words(recipe), words, approximation) if text),
        seed=record.plan.seed,
        digest=digest_of(files, ("study",)),
        inputs=tuple(input_of(a, v) for a, v in zip(both.addresses, both.variations, strict=True)),
        files=files,
        recipe=recipe,
        plan=plan,
        figures=figures_of(record.outputs),
        ball=record.ball,
        solver=record.solver,
        start=record.start,
        where=Range(air_of(record.air), handed == "left"),
        approximation=approximation,
    )


def _swings(record: StudyFile, vary: dict[str, Any], reader: Collector) -> tuple[str, ...]:
    """Read the study's own swing and those it chooses among."""
    chosen = vary.get("swing", ())
    names = (
        [record.swing, *(n for n in chosen if isinstance(n, str))]
        if isinstance(chosen, list | tuple)
        else [record.swing]
    )
    for name in dict.fromkeys(names):
        reader.swing(name)
    return tuple(dict.fromkeys(names))


def _unvaried(record: StudyFile, swings: Sequence[str], vary: dict[str, Any], reader: Collector) -> Recipe:
    """The recipe before anything varies: clubs read, what the study leaves open taken from the swing."""
    own = {}
    for name in swings:
        swing = reader.swings[name]
        own[name] = reader.club(swing.base.reference_club, swing.path)
    club = reader.club(record.club)
    reference = ClubParts() if record.reference_club is None else reader.club(record.reference_club)
    if len(swings) == 1:
        club = club.over(reference.over(own[swings[0]])).model_copy(update={"label": record.club.label})
    for key, choice in (("shaft", "club.shaft"), ("head", "club.head")):
        if getattr(club, key) is None and choice not in vary:
            raise InputError(
                f'club: no {key}; allowed: {key} = a name in [club], or "{choice}" in [vary] (with several swings no '
                "reference club stands in for it)"
            )
    if club.finished_length is None and club.butt_trim is None:
        raise InputError('club: no length; allowed: finished_length = "45.5 in" (or butt_trim) in [club]')
    return Recipe(
        reader.library(), record.swing, club, reference, own, record.hands, record.grip_firmness, record.hold, (), ()
    )


def _varied(vary: dict[str, Any], recipe: Recipe, reader: Collector, where: str) -> Varied:
    """What every key means and how it varies."""
    _read_choices(vary, recipe, reader, where)
    parts: dict[str, Sequence[FilePart]] = {
        "swing": list(reader.swings.values()),
        "shaft": _used(vary.get("club.shaft"), recipe.club.shaft, reader.shafts),
        "head": _used(vary.get("club.head"), recipe.club.head, reader.heads),
    }
    addresses, variations = [], []
    for key, written in vary.items():
        at = f'{where}: "{key}"' if where != "vary" else f'vary."{key}"'
        try:
            address = address_of(key, parts)
            variation = read_way(address, written)
        except InputError as error:
            raise InputError(f"{at}: {error}") from None
        addresses.append(address)
        variations.append(variation)
    return Varied(tuple(addresses), tuple(variations))


def _used(chosen: Any, usual: str | None, read: dict[str, Any]) -> list[FilePart]:
    names = chosen if isinstance(chosen, list | tuple) else [usual]
    return [read[name] for name in names if name in read]


def _read_choices(vary: dict[str, Any], recipe: Recipe, reader: Collector, where: str) -> None:
    """Read every shaft and head that is chosen among; a name keeps the file that the study means by it."""
    kinds = {"club.shaft": "shaft", "club.head": "head", "reference_club.shaft": "shaft", "reference_club.head": "head"}
    for key, kind in kinds.items():
        chosen = vary.get(key)
        for name in chosen if isinstance(chosen, list | tuple) else ():
            if not isinstance(name, str):
                continue  # said where the choice is read
            at = f'{where}: "{key}"' if where != "vary" else f'vary."{key}"'
            try:
                kept = reader.shaft(name) if kind == "shaft" else reader.head(name)
            except InputError as error:
                raise InputError(f"{at}: {error}") from None
            if kept != name:
                raise InputError(
                    f"{at}: found {quote(name)}, by which the swing's own club means another file; allowed: its path"
                )


def _try_ends(recipe: Recipe, where: str) -> None:
    """Refuse a range whose ends, one input at a time, no file could state or no club could be built with."""
    middle = [_usual(recipe, i) for i in range(len(recipe.addresses))]
    for place, (address, variation) in enumerate(zip(recipe.addresses, recipe.variations, strict=True)):
        at = f'{where}: "{address.key}"' if where != "vary" else f'vary."{address.key}"'
        for end in variation.ends():
            values = list(middle)
            values[place] = end
            try:
                _make(recipe, address.part, values)
            except InputError as error:
                words = str(error).removeprefix(f'"{address.key}": ')
                raise InputError(f"{at}: {words}") from None


def _usual(recipe: Recipe, place: int) -> float:
    """A value from the middle of how an input varies."""
    variation = recipe.variations[place]
    if variation.names:
        return 0.0
    if variation.mean is not None:
        return variation.mean
    if variation.levels is not None:
        return float(sorted(variation.levels)[(variation.levels.size - 1) // 2])
    return 0.5 * (variation.low + variation.high)


def _make(recipe: Recipe, part: str, values: Sequence[float]) -> None:
    if part == "swing":
        make_swing(recipe, values)
    elif part == "reference_club":
        make_reference_club(recipe, values)
    elif part == "hands":
        make_hands(recipe, values)
    else:
        make_club(recipe, values)


def _files(path: Path, reader: Collector, listed: Path | None) -> tuple[tuple[str, str], ...]:
    """(folder/name, text) of every file that went in."""
    found = [path, *([listed] if listed is not None else [])]
    found += [part.path for part in reader.swings.values()]
    for shaft in reader.shafts.values():
        found += shaft_files(shaft.path)
    found += [part.path for part in reader.heads.values()]
    return read_inputs(found)
