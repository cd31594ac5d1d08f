"""What a study's files hold, kept as they were read, so that any of their numbers can be changed without them.

Everything here can be sent to another process or machine: no case needs a file again.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from swingbeam.beam.errors import InputError
from swingbeam.club.head import Head, head_from_file
from swingbeam.files.base import Record, display_path, load_toml, naming, parse_table, read_text
from swingbeam.files.club_file import ClubParts
from swingbeam.files.head_file import HeadFile
from swingbeam.files.key_path import as_read, kind_at, unknown_path, with_numbers
from swingbeam.files.layup_file import LayupFile, SwappedLayupFile, is_layup_file
from swingbeam.files.lookup import find
from swingbeam.files.recorded_swing_file import RecordedSwingFile
from swingbeam.files.shaft_file import ShaftFile
from swingbeam.files.swing_file import SwingFile
from swingbeam.files.torque_swing_file import TorqueSwingFile
from swingbeam.shaft.layup import layup_from_file, shaft_from_layup
from swingbeam.shaft.layup_swap import load_layup_shaft
from swingbeam.shaft.shaft import Shaft, shaft_from_file
from swingbeam.swing.archetype import Swing, swing_from_file, swing_from_recorded_file, swing_from_torque_file

Numbers = Mapping[str, float]
"""Key path in a file → SI value."""


@dataclass(frozen=True, eq=False)
class FilePart:
    """A file as it was read.

    Attributes
    ----------
    name : the study calls it by
    path : of the file, for messages and for what it names in turn
    table : plain values
    model : the record they are read into
    """

    name: str
    path: Path
    table: Mapping[str, Any]
    model: type[Record]
    _read: dict[frozenset[str], Mapping[str, Any]] = field(default_factory=dict, init=False, repr=False)

    @property
    def source(self) -> str:
        """As messages call it."""
        return display_path(self.path)

    def kind_at(self, path: str, prefix: str) -> str:
        """The kind of quantity of a number of the file; InputError names the nearest where there is none."""
        kind = kind_at(self.model, path)
        if kind is None:
            raise unknown_path(self.model, path, prefix)
        return kind

    def record(self, numbers: Numbers) -> Any:
        """The file's record with some numbers changed; InputError as of a file that states them."""
        try:
            return parse_table(with_numbers(self._almost_read(numbers), numbers), self.model)
        except InputError:  # what is said of it is said of the file as it was written
            return parse_table(with_numbers(self.table, numbers), self.model, source=self.source)

    def _almost_read(self, numbers: Numbers) -> Mapping[str, Any]:
        """The table with everything read that these numbers do not change; made once for all their values."""
        paths = frozenset(numbers)
        if paths not in self._read:
            record = parse_table(dict(self.table), self.model)
            self._read[paths] = as_read(self.table, record, paths)
        return self._read[paths]


@dataclass(frozen=True, eq=False)
class ShaftPart(FilePart):
    """A shaft's file, or a lay-up's that stands for one.

    Attributes
    ----------
    base : the shaft as the file states it
    """

    base: Shaft

    def shaft(self, numbers: Numbers) -> Shaft:
        """The shaft with some of the file's numbers changed."""
        if not numbers:
            return self.base
        record = self.record(numbers)
        if isinstance(record, ShaftFile):
            return shaft_from_file(record)
        if isinstance(record, LayupFile):
            return shaft_from_layup(layup_from_file(record))
        raise InputError(
            f"{self.source}: found a number of a lay-up stated as another one; allowed: a scale of the shaft it makes, "
            'such as "shaft.ei scale"'
        )


@dataclass(frozen=True, eq=False)
class HeadPart(FilePart):
    """A head's file; `base` is the head as it states it."""

    base: Head

    def head(self, numbers: Numbers) -> Head:
        """The head with some of the file's numbers changed."""
        return self.base if not numbers else head_from_file(self.record(numbers))


@dataclass(frozen=True, eq=False)
class SwingPart(FilePart):
    """A swing's file; `base` is the swing as it states it."""

    base: Swing

    def swing(self, numbers: Numbers) -> Swing:
        """The swing with some of the file's numbers changed.

        Of downswing time and head speed only one can be stated: the one that is changed.
        """
        if not numbers:
            return self.base
        # How far the swing may be from the golfer's own says nothing of one that is changed.
        table = {key: value for key, value in self.table.items() if key not in ("spread", "matched")}
        for stated, other in (("tempo.downswing", "delivery.head_speed"), ("delivery.head_speed", "tempo.downswing")):
            if stated in numbers and other not in numbers:
                part, key = other.split(".")
                table[part] = {name: value for name, value in table.get(part, {}).items() if name != key}
        return _swing_of(replace(self, table=table).record(numbers), self.path)


def _swing_of(record: Any, path: Path) -> Swing:
    if isinstance(record, RecordedSwingFile):
        return swing_from_recorded_file(record, path)
    if isinstance(record, TorqueSwingFile):
        return swing_from_torque_file(record, path)
    return swing_from_file(record, path)


def _table(path: Path) -> dict[str, Any]:
    return load_toml(read_text(path), source=display_path(path))


def read_shaft(name: str, beside: Path) -> ShaftPart:
    """A shaft by name or path; InputError as `load_shaft`."""
    path = find("shaft", name, beside=beside)
    table = _table(path)
    if is_layup_file(path):
        model: type[Record] = SwappedLayupFile if "base" in table or "swap" in table else LayupFile
        return ShaftPart(name, path, table, model, load_layup_shaft(path))
    record = parse_table(table, ShaftFile, source=display_path(path))
    with naming(path):
        return ShaftPart(name, path, table, ShaftFile, shaft_from_file(record))


def read_head(name: str, beside: Path) -> HeadPart:
    """A head by name or path; InputError as `load_head`."""
    path = find("head", name, beside=beside)
    table = _table(path)
    record = parse_table(table, HeadFile, source=display_path(path))
    with naming(path):
        return HeadPart(name, path, table, HeadFile, head_from_file(record))


def read_swing(name: str, beside: Path) -> SwingPart:
    """A swing by name or path; InputError as `load_swing`."""
    path = find("swing", name, beside=beside)
    table = _table(path)
    driven: dict[Any, type[Record]] = {None: SwingFile, "recording": RecordedSwingFile}
    model = driven.get(table.get("driven_by"), TorqueSwingFile)
    record = parse_table(table, model, source=display_path(path))
    with naming(path):
        return SwingPart(name, path, table, model, _swing_of(record, path))


@dataclass(frozen=True, eq=False)
class Library:
    """Every part that some case of a study needs, by the name the study or its swing uses.

    A swing's own reference club is looked for beside the swing, anything else beside the study; where two files go
    by one name, the second is kept under its path.
    """

    shafts: Mapping[str, ShaftPart]
    heads: Mapping[str, HeadPart]
    swings: Mapping[str, SwingPart]


class Collector:
    """Reads each part once."""

    def __init__(self, study: Path) -> None:
        self.study = study
        self.shafts: dict[str, ShaftPart] = {}
        self.heads: dict[str, HeadPart] = {}
        self.swings: dict[str, SwingPart] = {}

    def swing(self, name: str) -> SwingPart:
        """A swing, with the parts of its reference club."""
        if name not in self.swings:
            self.swings[name] = read_swing(name, self.study)
        return self.swings[name]

    def shaft(self, name: str, beside: Path | None = None) -> str:
        """Read a shaft and give the name it is kept under."""
        part = read_shaft(name, beside or self.study)
        kept = _free_name(name, part.path, self.shafts)
        self.shafts.setdefault(kept, part)
        return kept

    def head(self, name: str, beside: Path | None = None) -> str:
        """Read a head and give the name it is kept under."""
        part = read_head(name, beside or self.study)
        kept = _free_name(name, part.path, self.heads)
        self.heads.setdefault(kept, part)
        return kept

    def club(self, parts: ClubParts, beside: Path | None = None) -> ClubParts:
        """The same club, its shaft and head read and called by the names they are kept under."""
        names: dict[str, str] = {}
        if parts.shaft is not None:
            names["shaft"] = self.shaft(parts.shaft, beside)
        if parts.head is not None:
            names["head"] = self.head(parts.head, beside)
        return parts.model_copy(update=names)

    def library(self) -> Library:
        """What was read."""
        return Library(self.shafts, self.heads, self.swings)


def _free_name(name: str, path: Path, kept: Mapping[str, FilePart]) -> str:
    if name not in kept or kept[name].path.resolve() == path.resolve():
        return name
    return os.fspath(path)
