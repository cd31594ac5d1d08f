"""A scenario made ready: its clubs built, its swing read, and the text of every file that went in."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from swingbeam import __version__
from swingbeam.club.build import Club, load_club
from swingbeam.files.base import naming, read_text, read_toml
from swingbeam.files.club_file import ClubParts
from swingbeam.files.lookup import find
from swingbeam.files.scenario_file import ScenarioFile
from swingbeam.files.study_file import refuse_study
from swingbeam.shaft.layup_swap import shaft_files


@dataclass(frozen=True, eq=False)
class Scenario:
    """One question: which clubs, which golfer.

    Attributes
    ----------
    path : of its file
    name, question : str
    record : the file's record
    swing : path of the swing's file
    clubs : built, in the order of the file
    inputs : (name, text) of every file read, each once
    """

    path: Path
    name: str
    question: str
    record: ScenarioFile
    swing: Path
    clubs: tuple[Club, ...]
    inputs: tuple[tuple[str, str], ...]


def load_scenario(name: str | os.PathLike[str]) -> Scenario:
    """Read a scenario by name or path, and build its clubs.

    Raises
    ------
    InputError
        A file that cannot be found or read, a study (with the command that runs it), or a club that cannot be built.
    """
    path = find("scenario", name)
    refuse_study(path)
    record = read_toml(path, ScenarioFile)
    with naming(path):
        swing = find("swing", record.swing, beside=path)
        parts = record.all_clubs()
        clubs = tuple(load_club(p, beside=path) for p in parts)
    files = [path, swing, *(f for p in parts for f in club_files(p, path))]
    return Scenario(path, record.name, record.question, record, swing, clubs, read_inputs(files))


def club_files(parts: ClubParts, beside: str | os.PathLike[str]) -> list[Path]:
    """The files of a club's shaft (of both lay-ups, where one swaps plies of another) and head."""
    files: list[Path] = []
    if parts.shaft is not None:
        files += shaft_files(find("shaft", parts.shaft, beside=beside))
    if parts.head is not None:
        files.append(find("head", parts.head, beside=beside))
    return files


def read_inputs(files: Iterable[Path]) -> tuple[tuple[str, str], ...]:
    """(folder/name, text) of files, each once, in order."""
    unique = dict.fromkeys(path.resolve() for path in files)
    return tuple((f"{path.parent.name}/{path.name}", read_text(path)) for path in unique)


def digest_of(inputs: Iterable[tuple[str, str]], options: Iterable[str]) -> str:
    """SHA-256 of the inputs' text, the options and the version, as hexadecimal digits."""
    digest = hashlib.sha256()
    for text in (*(part for pair in inputs for part in pair), *options, __version__):
        # The length keeps two texts from running into each other.
        digest.update(f"{len(text.encode())}:".encode())
        digest.update(text.encode())
    return digest.hexdigest()
