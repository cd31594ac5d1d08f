"""Files that are old and whole or new and whole: written aside, carried to the disk, renamed; the folder too."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from typing import Any

from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path

ASIDE = ".aside"
"""Ending of what is being written; such a file of a run that was killed is nobody's."""


class Unwritable(InputError):
    """Something could not be written: a full disk, a read-only folder. What was there before is unharmed."""


def unwritable(path: Path, error: OSError) -> Unwritable:
    """The words for a file that could not be written."""
    return Unwritable(f"{display_path(path)}: cannot be written: {error.strerror or error}")


def sync_folder(folder: Path) -> None:
    """Carry a folder's names to the disk, where the system lets a folder be opened."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def write_whole(path: Path, data: bytes) -> None:
    """Write a small file aside, carry it to the disk and give it its name; in the place of one of that name.

    Raises
    ------
    Unwritable
        Nothing of it is left then.
    """
    temporary = path.with_name(path.name + ASIDE)
    try:
        with temporary.open("wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(temporary, path)
    except OSError as error:
        with contextlib.suppress(OSError):
            temporary.unlink(missing_ok=True)
        raise unwritable(path, error) from None
    sync_folder(path.parent)


def publish(temporary: Path, target: Path) -> None:
    """Give a file that is on the disk its name, unless something of that name exists.

    Raises
    ------
    InputError
        The name is taken, or cannot be given; the file aside is left.
    """
    try:
        try:
            os.link(temporary, target)  # fails where the name is taken, which a renaming would not
        except FileExistsError:
            raise InputError(f"{display_path(target)}: exists already and is not overwritten") from None
        except OSError:  # a file system without links
            if os.path.lexists(target):
                raise InputError(f"{display_path(target)}: exists already and is not overwritten") from None
            os.rename(temporary, target)
    except OSError as error:
        raise unwritable(target, error) from None
    sync_folder(target.parent)
    with contextlib.suppress(OSError):
        temporary.unlink(missing_ok=True)


class Sink:
    """A new file for h5py to write into, which keeps the first error of the disk and goes deaf after it.

    HDF5 cannot close a file that it cannot write: it would try again, and once more when the program ends. Here it
    closes at peace, and `finish` then raises what happened. Contents are never taken as written before `finish`.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._error: OSError | None = None
        try:
            self._file = path.open("wb+", buffering=0)
        except OSError as error:
            raise unwritable(path, error) from None

    def write(self, data: Any) -> int:
        view = memoryview(data).cast("B")
        if self._error is None:
            try:
                done = 0
                while done < len(view):
                    done += self._file.write(view[done:])
            except OSError as error:
                self._error = error
        return len(view)

    def read(self, size: int = -1) -> bytes:
        return self._file.read(size) or b""

    def readinto(self, buffer: Any) -> int:
        return self._file.readinto(buffer) or 0

    def seek(self, offset: int, whence: int = 0) -> int:
        return self._file.seek(offset, whence)

    def tell(self) -> int:
        return self._file.tell()

    def truncate(self, size: int | None = None) -> int:
        if self._error is None:
            try:
                return self._file.truncate(size)
            except OSError as error:
                self._error = error
        return size or 0

    def flush(self) -> None:
        """Nothing is held back here."""

    def finish(self, whole: bool = True) -> None:
        """Carry it to the disk and close it; with an error, or when it is not to be `whole`, remove it.

        Raises
        ------
        Unwritable
            The disk's first error.
        """
        if self._error is None and whole:
            try:
                os.fsync(self._file.fileno())
            except OSError as error:
                self._error = error
        with contextlib.suppress(OSError):
            self._file.close()
        if self._error is not None or not whole:
            with contextlib.suppress(OSError):
                self._path.unlink(missing_ok=True)
        if self._error is not None:
            raise unwritable(self._path, self._error) from None
