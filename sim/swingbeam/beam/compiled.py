"""Compiled kernels with an on-disk cache that never serves a stale kernel.

numba keys a cached function by the time stamp of its own file only: an edit in a module it imports, a
changed global constant or another numba go unnoticed (numba manual, "Notes on Caching", Limitations).
So the cache folder itself is keyed by a hash of every source file a kernel can depend on, the versions of Python,
numba and llvmlite and the processor: a changed source means another folder. A kernel can depend on the modules that
hold one and on whatever of this package they import, directly or not; which these are is read from the sources'
import statements, so that an edit elsewhere (a table, a command) compiles nothing again.

numba's own cache setting is a global of the host program. It is set only while one of *our* kernels is
decorated, and put back at once.
"""

from __future__ import annotations

import ast
import contextlib
import functools
import hashlib
import os
import pickle
import platform
import re
import shutil
import sys
import tempfile
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import llvmlite  # type: ignore[import-untyped]
import numba

KEPT_FOLDERS = 8
"""Kernels of so many other versions of the sources are kept beside the present one's."""
_HOLDS_KERNELS = re.compile(r"^\s*@(?:kernel|piece|numba\.njit|njit)\b", re.MULTILINE)
_SETTINGS: Any = numba.config
_COMPILE: Any = numba.njit
_OPTIONS: dict[str, Any] = {"error_model": "numpy"}
if hasattr(numba.core.options.DefaultOptions, "_nrt"):
    # Without numba's run time for memory, nothing can be allocated (a kernel that tries does not compile), and the
    # counts of references that it keeps of every array at every call, a third of a kernel's time, fall away.
    _OPTIONS["_nrt"] = False
_DAMAGED = (EOFError, pickle.UnpicklingError, AttributeError, ImportError, IndexError, ValueError, KeyError)


def _imported(source: Path, package: Path) -> Iterator[Path]:
    """Files of the package that a source file imports, wherever in the file; relative or by full name."""
    here = source.relative_to(package.parent).with_suffix("").parts
    for node in _statements(ast.parse(source.read_bytes())):
        if isinstance(node, ast.Import):
            names = [tuple(alias.name.split(".")) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            above = here[: len(here) - node.level] if node.level else ()
            base = above + tuple(node.module.split(".") if node.module else ())
            names = [base, *((*base, alias.name) for alias in node.names)]
        else:
            continue
        for name in names:
            if name[:1] != (package.name,):
                continue
            # Importing a.b.c runs the packages a and a.b as well.
            for depth in range(1, len(name) + 1):
                place = package.parent.joinpath(*name[:depth])
                for file in (place.with_suffix(".py"), place / "__init__.py"):
                    if file.is_file():
                        yield file


def _statements(tree: ast.AST) -> Iterator[ast.AST]:
    """Nodes of a source, but for what only a type checker reads: it changes no kernel."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            continue
        yield node
        yield from _statements(node)


def kernel_sources() -> list[Path]:
    """The source files a kernel of this package can depend on, in order of their names.

    Lazy re-exports of a package's ``__init__`` are not followed: kernels import what they call from where it is.
    """
    package = Path(__file__).resolve().parents[1]
    found: set[Path] = set()
    waiting = [f for f in package.rglob("*.py") if _HOLDS_KERNELS.search(f.read_text(encoding="utf-8"))]
    while waiting:
        source = waiting.pop()
        if source not in found:
            found.add(source)
            waiting.extend(_imported(source, package))
    return sorted(found)


def _sources_digest() -> str:
    digest = hashlib.sha256()
    root = Path(__file__).resolve().parents[1]
    for source in kernel_sources():
        digest.update(source.relative_to(root).as_posix().encode())
        digest.update(source.read_bytes())
    versions = (sys.version, numba.__version__, llvmlite.__version__, platform.machine())
    settings = [f"{k}={os.environ[k]}" for k in sorted(os.environ) if k.startswith("NUMBA_") and "CACHE" not in k]
    digest.update("\n".join([*versions, *settings]).encode())
    return digest.hexdigest()[:20]


def _is_writable(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / f".probe-{uuid.uuid4().hex}"
        probe.write_bytes(b"")
        probe.unlink()
    except OSError:
        return False
    return True


@functools.cache
def cache_folder() -> Path | None:
    """The keyed folder of compiled kernels, or None where no folder can be written.

    ``SWINGBEAM_CACHE_DIR`` names the parent folder; otherwise the user's cache folder is tried, then the
    system's temporary folder.
    """
    import platformdirs

    parents: list[Path] = []
    if named := os.environ.get("SWINGBEAM_CACHE_DIR"):
        parents.append(Path(named))
    else:
        with contextlib.suppress(OSError, RuntimeError):
            parents.append(Path(platformdirs.user_cache_dir("swingbeam")))
        if private := _private_folder():
            parents.append(private)
    for parent in parents:
        folder = parent / "kernels" / _sources_digest()
        is_new = not folder.exists()
        if _is_writable(folder):
            if is_new:
                _drop_old(folder)
            return folder
    return None


def _private_folder() -> Path | None:
    """A folder of this user's in the system's temporary one; None where somebody else's has its name.

    Cached kernels are run: they are read from nowhere that another user could have written to.
    """
    user = os.getuid() if hasattr(os, "getuid") else 0
    folder = Path(tempfile.gettempdir()) / f"swingbeam-{user}"
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        found = folder.lstat()
    except OSError:
        return None
    if os.name == "posix" and (found.st_uid != user or found.st_mode & 0o022 or folder.is_symlink()):
        return None
    return folder


def _drop_old(folder: Path) -> None:
    """Remove all but the newest folders of other sources; a program that still uses one compiles again."""
    with contextlib.suppress(OSError):
        others = sorted((f for f in folder.parent.iterdir() if f != folder), key=lambda f: f.stat().st_mtime)
        for old in others[:-KEPT_FOLDERS]:
            shutil.rmtree(old, ignore_errors=True)


def is_cold(kernel: str = "") -> bool:
    """Whether a kernel, by its function's name, or else everything, is not compiled yet: its first use takes time."""
    folder = cache_folder()
    named = f"*{kernel}*.nbc" if kernel else "*.nbc"
    return folder is None or not any(folder.rglob(named))


class _Kernel:
    """A compiled function that clears its cache and compiles again when a cached file is damaged."""

    def __init__(self, function: Callable[..., Any]) -> None:
        functools.update_wrapper(self, function)
        self.function = function
        self.dispatcher = self._decorate()
        self._proven = False

    def _decorate(self) -> Any:
        folder = cache_folder()
        options = {**_OPTIONS, "nogil": True}
        if folder is None:
            return _COMPILE(**options)(self.function)
        before = _SETTINGS.CACHE_DIR
        _SETTINGS.CACHE_DIR = str(folder)
        try:
            return _COMPILE(cache=True, **options)(self.function)
        finally:
            _SETTINGS.CACHE_DIR = before

    def __call__(self, *arguments: Any) -> Any:
        if self._proven:
            return self.dispatcher(*arguments)
        try:
            result = self.dispatcher(*arguments)
        except _DAMAGED:
            # A kernel of ours raises none of these itself: the file it was read from is damaged.
            folder = cache_folder()
            if folder is not None:
                shutil.rmtree(folder, ignore_errors=True)
                _is_writable(folder)
            self.dispatcher = self._decorate()
            result = self.dispatcher(*arguments)
        self._proven = True
        return result


def kernel(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compile an *entry point* (called from Python) with numba: strict IEEE arithmetic, cached, releases the GIL.

    It cannot allocate: room to work in comes with the arguments.
    """
    return _Kernel(function)


def piece(function: Callable[..., Any]) -> Any:
    """Compile a function that kernels call, to the same rules.

    It is compiled into the entry points that use it and needs no cache of its own, nor the code that takes
    arguments from Python (a good part of what there is to compile): see `from_python`.
    """
    return _COMPILE(**_OPTIONS, no_cpython_wrapper=True, no_cfunc_wrapper=True)(function)


def from_python(*pieces: Any) -> tuple[Any, ...]:
    """The pieces once more, to be called from Python: for checks of a single one."""
    return tuple(_COMPILE(**_OPTIONS)(one.py_func) for one in pieces)
