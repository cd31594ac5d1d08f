"""Write a file whole or not at all, and never over one that exists."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path


def refuse_existing(path: str | os.PathLike[str]) -> Path:
    """The path, if nothing is there yet.

    Raises
    ------
    InputError
        Something of that name exists, or its folder is a file.
    """
    target = Path(path)
    shown = display_path(target)
    try:
        os.lstat(target)
    except FileNotFoundError:
        return target
    except NotADirectoryError:
        raise InputError(f"{shown}: one of its folders is a file; allowed: a folder to write into") from None
    except (OSError, ValueError) as error:  # too long, a NUL in the name, no permission
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise InputError(f"{shown}: cannot be written: {reason}") from None
    raise InputError(f"{shown}: exists already and is not overwritten; give another name")


@contextmanager
def new_file(path: str | os.PathLike[str]) -> Iterator[Path]:
    """A temporary path beside the target, renamed to it when the block ends well, removed when it does not.

    Raises
    ------
    InputError
        The target exists (before or by the time of renaming), or its folder cannot be written.
    """
    target = refuse_existing(path)
    temporary = None
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{target.name[:80]}.", suffix=".part", dir=target.parent)
        os.close(handle)
        temporary = Path(name)
        # mkstemp makes the file private; what we hand over has the mode any new file would have.
        mask = os.umask(0)
        os.umask(mask)
        temporary.chmod(0o666 & ~mask)
    except OSError as error:
        if temporary is not None:
            temporary.unlink(missing_ok=True)
        raise InputError(f"{display_path(target)}: cannot be written: {error.strerror}") from None
    try:
        yield temporary
        _sync(temporary)
        _rename_new(temporary, target)
    finally:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)


def write_new(path: str | os.PathLike[str], content: str | bytes) -> Path:
    """Write a new file whole; InputError as `new_file`."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    with new_file(path) as temporary:
        temporary.write_bytes(data)
    return Path(path)


def _sync(path: Path) -> None:
    with path.open("rb") as stream, suppress(OSError):
        os.fsync(stream.fileno())


def _rename_new(temporary: Path, target: Path) -> None:
    """Rename without overwriting: a hard link fails on an existing target; without links, look first."""
    try:
        os.link(temporary, target)
    except FileExistsError:
        raise InputError(f"{display_path(target)}: exists already and is not overwritten") from None
    except OSError:
        refuse_existing(target)
        try:
            os.replace(temporary, target)
        except OSError as error:
            raise InputError(f"{display_path(target)}: cannot be written: {error.strerror}") from None
