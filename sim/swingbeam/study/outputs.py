"""Where results go when they are not told where."""

from __future__ import annotations

from itertools import count
from pathlib import Path

from swingbeam.beam.errors import InputError
from swingbeam.files.safe_write import refuse_existing

PICTURE = ".png"
PAGE = ".html"
PAGES = (PAGE, ".htm")
"""Endings of pages that can be written."""


def landing_path(picture: Path) -> Path:
    """Where the picture of the landings goes: beside the other one."""
    return picture.with_name(f"{picture.stem}-landing{PICTURE}")


def page_path(wanted: Path | None, ranking: Path) -> Path:
    """The page of a ranking's file: the one asked for, or beside it under its name.

    Raises
    ------
    InputError
        It exists already or has another ending.
    """
    target = ranking.with_suffix(PAGE) if wanted is None else wanted
    if target.suffix.lower() not in PAGES:
        raise InputError(f'--output: found "{target.name}"; allowed: a name that ends in {" or ".join(PAGES)}')
    return refuse_existing(target)


def places_path(picture: Path) -> Path:
    """Where the picture of the places goes, where the swing is repeated: beside the others."""
    return picture.with_name(f"{picture.stem}-places{PICTURE}")


def _beside(data: Path, picture: Path) -> tuple[Path, ...]:
    """What else a ranking may have written, or may write, under the same name."""
    return landing_path(picture), places_path(picture), data.with_suffix(PAGE)


def output_paths(wanted: Path | None, scenario: str, folder: Path) -> tuple[Path, Path]:
    """The data file and the picture of a ranking.

    Parameters
    ----------
    wanted : Path or None
        The data file asked for; None picks the first free of name.h5, name-2.h5, … in `folder`.
    scenario : str
        Name or path of the scenario.
    folder : Path

    Raises
    ------
    InputError
        The file asked for, or the picture beside it, exists already or has another ending.
    """
    if wanted is not None:
        if wanted.suffix.lower() not in (".h5", ".hdf5", ".nc"):
            raise InputError(f'--output: found "{wanted.name}"; allowed: a name that ends in .h5, .hdf5 or .nc')
        picture = wanted.with_suffix(PICTURE)
        refuse_existing(landing_path(picture))
        refuse_existing(places_path(picture))
        return refuse_existing(wanted), refuse_existing(picture)
    stem = Path(scenario).stem
    names = (stem if number == 1 else f"{stem}-{number}" for number in count(1))
    pairs = ((folder / f"{name}.h5", folder / f"{name}{PICTURE}") for name in names)
    data, picture = next(pair for pair in pairs if not any(path.exists() for path in (*pair, *_beside(*pair))))
    return refuse_existing(data), refuse_existing(picture)


def swing_path(wanted: Path | None, customer: str, folder: Path) -> Path:
    """The swing file of a matched customer: the one asked for, or the first free of name.toml, name-2.toml, …

    Raises
    ------
    InputError
        The file asked for exists already or has another ending.
    """
    if wanted is not None:
        if wanted.suffix.lower() != ".toml":
            raise InputError(f'--output: found "{wanted.name}"; allowed: a name that ends in .toml')
        return refuse_existing(wanted)
    stem = Path(customer).stem
    names = (stem if number == 1 else f"{stem}-{number}" for number in count(1))
    return refuse_existing(next(path for path in (folder / f"{name}.toml" for name in names) if not path.exists()))
