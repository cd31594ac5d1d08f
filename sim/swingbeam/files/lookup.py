"""Find a shaft, swing, scenario or head by name or by path, and write a workspace of one's own.

Order: the working folder, the workspace of the file that names it, the checkout beside the package (so that
an editable install never serves a stale copy), the copy inside the package.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path
from swingbeam.files.file_kinds import in_words
from swingbeam.units import nearest, quote

FOLDERS = {
    "shaft": "shafts",
    "layup": "layups",
    "swing": "swings",
    "scenario": "scenarios",
    "study": "scenarios",
    "head": "scenarios/heads",
    "customer": "scenarios/customers",
    "bench": "scenarios/benches",
    "readings": "scenarios/readings",
}
"""Folder of a workspace for each kind of file; a study is told from a scenario by what is in it."""
ALSO = {"shaft": ("layup",)}
"""Where a thing of a kind is named, a thing of these kinds may be: a lay-up stands for the shaft it makes."""
PLURALS = {
    "shaft": "shafts",
    "layup": "layups",
    "swing": "swings",
    "scenario": "scenarios",
    "study": "studies",
    "head": "heads",
    "customer": "customers",
    "bench": "benches",
    "readings": "readings",
}
"""Kind → how `swingbeam list` calls it."""
FEW = 6
"""So many names are listed in a message, more are counted."""
WORKSPACE_FOLDERS = ("shafts", "layups", "swings", "scenarios")
PACKAGE = Path(__file__).resolve().parents[1]


def library_root() -> Path:
    """The starter library's root: the checkout beside the package if there is one, else the packaged copy."""
    checkout = PACKAGE.parents[1]
    if (checkout / "pyproject.toml").is_file() and all((checkout / f).is_dir() for f in WORKSPACE_FOLDERS):
        return checkout
    return PACKAGE / "data"


def search_roots(beside: str | os.PathLike[str] | None = None) -> list[Path]:
    """Workspaces searched, first to last; `beside` is the file that names the thing sought."""
    roots = [Path.cwd()]
    if beside is not None:
        roots += [p for p in Path(beside).resolve().parents if any((p / f).is_dir() for f in WORKSPACE_FOLDERS)][:1]
    roots.append(library_root())
    unique: list[Path] = []
    for root in roots:
        if root.resolve() not in [u.resolve() for u in unique]:
            unique.append(root)
    return unique


def find(kind: str, name: str | os.PathLike[str], *, beside: str | os.PathLike[str] | None = None) -> Path:
    """The file of a shaft, swing, scenario or head.

    Parameters
    ----------
    kind : a key of `FOLDERS`
    name : a name of the library ("larch-55-r") or a path, ending in ".toml" ("shafts/larch-55-r.toml")
    beside : the file that names it; a path is also tried from that file's folder

    Raises
    ------
    InputError
        Nothing of that name; the nearest is suggested.
    """
    text = os.fspath(name)
    if not text.strip() or not text.isprintable():
        raise InputError(f"found {quote(text)}; allowed: the name or path of a {kind}")
    roots = search_roots(beside)
    looks_like_path = text.endswith(".toml") or any(sep in text for sep in ("/", os.sep))
    try:
        found = _find_path(text, roots, beside) if looks_like_path else _find_name(kind, text, roots)
    except (OSError, ValueError):  # a name too long for the file system
        found = None
    if found is not None:
        return found
    known = sorted(name for k in (kind, *ALSO.get(kind, ())) for name in list_library(k, beside=beside))
    guess = nearest(Path(text).stem, known)
    hint = f'; did you mean "{guess}"?' if guess else ""
    if looks_like_path:
        raise InputError(f"{quote(text)}: no such {kind} file{hint}")
    if not known:
        listed = f"a path to a {in_words(kind)} file"
    elif len(known) <= FEW:
        listed = ", ".join(known)
    else:
        listed = f"one of the {len(known)} that `swingbeam list {PLURALS[kind]}` shows"
    if not guess:
        others = [other for other in FOLDERS if other != kind and text in list_library(other, beside=beside)]
        hint = f"; a {in_words(others[0])} has that name" if others else ""
    raise InputError(f"found {quote(text)}, no {in_words(kind)} of that name; allowed: {listed}{hint}")


def path_of(kind: str, name: str | os.PathLike[str]) -> Path:
    """A file as it is given, or the one that a bare name of the library stands for.

    Raises
    ------
    InputError
        A name that the library does not hold.
    """
    text = os.fspath(name)
    is_name = not text.endswith(".toml") and os.sep not in text and "/" not in text and not Path(text).exists()
    return find(kind, text) if is_name else Path(text)


def _find_path(text: str, roots: list[Path], beside: str | os.PathLike[str] | None) -> Path | None:
    path = Path(text)
    if path.is_absolute():
        return path if path.exists() else None
    folders = [Path.cwd(), *([Path(beside).resolve().parent] if beside is not None else []), *roots]
    return next((folder / path for folder in folders if (folder / path).exists()), None)


def _find_name(kind: str, text: str, roots: list[Path]) -> Path | None:
    kinds = (kind, *ALSO.get(kind, ()))
    candidates = (root / FOLDERS[k] / f"{text}.toml" for root in roots for k in kinds)
    return next((c for c in candidates if c.is_file()), None)


def list_library(kind: str, *, beside: str | os.PathLike[str] | None = None) -> dict[str, Path]:
    """Name → path of every file of a kind (not of those in `ALSO`) that `find` finds by name, sorted by name."""
    found: dict[str, Path] = {}
    for root in search_roots(beside):
        folder = root / FOLDERS[kind]
        if folder.is_dir():
            for path in sorted(folder.glob("*.toml")):
                found.setdefault(path.stem, path)
    return dict(sorted(found.items()))


def write_workspace(directory: str | os.PathLike[str]) -> Path:
    """Write a workspace (copies of shafts, lay-ups, swings and scenarios, an empty outputs folder) into a new folder.

    Raises
    ------
    InputError
        The folder exists and is not empty, or cannot be written. Then nothing is written.
    """
    target = Path(directory)
    shown = display_path(target)
    try:
        if os.path.lexists(target) and not target.is_dir():
            raise InputError(f"{shown}: found a file; allowed: a new or an empty folder")
        if target.is_dir() and any(target.iterdir()):
            raise InputError(f"{shown}: exists already and is not empty; give the name of a new folder")
        target.parent.mkdir(parents=True, exist_ok=True)
        # Built beside the target and renamed, so that an interrupted copy leaves no half workspace behind.
        building = Path(tempfile.mkdtemp(prefix=".workspace-", dir=target.parent))
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise InputError(f"{shown}: cannot be written: {reason}") from None
    try:
        source = library_root()
        for folder in WORKSPACE_FOLDERS:
            shutil.copytree(source / folder, building / folder, ignore=shutil.ignore_patterns("__pycache__", ".*"))
        (building / "outputs").mkdir()
        building.chmod(0o755)
        if target.is_dir():  # it may be somebody's working folder: it stays, and is filled
            for part in sorted(building.iterdir()):
                part.rename(target / part.name)
            building.rmdir()
        else:
            building.rename(target)
    except OSError as error:
        shutil.rmtree(building, ignore_errors=True)
        raise InputError(f"{shown}: cannot be written: {error.strerror}") from None
    except BaseException:
        shutil.rmtree(building, ignore_errors=True)
        raise
    return target
