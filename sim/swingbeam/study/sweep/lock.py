"""One writer to a study: a lock file beside the result, taken before anything is touched.

The lock is the system's own (flock) on a file that also says who holds it. The system lets go of it when its holder
ends, however it ends; the file that is left then is known to be nobody's. What it says is for file systems without
such locks, for other machines, and for whoever reads the message.
"""

from __future__ import annotations

import contextlib
import json
import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from swingbeam.beam.errors import InputError
from swingbeam.files.base import display_path

from .aside import unwritable

try:
    import fcntl
except ImportError:  # not a POSIX system
    fcntl = None  # type: ignore[assignment]

ENDING = ".lock"
_ROUNDS = 100


@contextmanager
def locked(target: Path) -> Iterator[None]:
    """Hold the lock of a study's result while the block runs.

    Raises
    ------
    InputError
        Another run holds it, or the folder cannot be written.
    """
    path = target.with_name(target.name + ENDING)
    handle = _take(path, target)
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)
        os.close(handle)


def _take(path: Path, target: Path) -> int:
    for _ in range(_ROUNDS):
        try:
            handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
        except OSError as error:
            raise unwritable(target, error) from None
        try:
            if not _is_free(handle):
                raise _held(path, target, _read(handle))
            if not _is_still(handle, path):  # its holder removed it between our opening and our locking
                os.close(handle)
                continue
            found = _read(handle)
            if found and not _is_dead(found):
                raise _held(path, target, found)
            os.ftruncate(handle, 0)
            os.pwrite(handle, json.dumps(_myself()).encode(), 0)
            os.fsync(handle)
        except OSError as error:
            os.close(handle)
            raise unwritable(path, error) from None
        except InputError:
            os.close(handle)
            raise
        return handle
    raise InputError(f"{display_path(path)}: other runs keep taking and leaving it; try again")


def _is_free(handle: int) -> bool:
    if fcntl is None:
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:  # a file system without locks: what the file says decides
        return True
    return True


def _is_still(handle: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), os.stat(path))
    except FileNotFoundError:
        return False


def _read(handle: int) -> dict[str, Any]:
    try:
        found = json.loads(os.pread(handle, 4096, 0) or b"{}")
    except ValueError:  # its writer was stopped while writing it
        return {}
    return found if isinstance(found, dict) else {}


def _myself() -> dict[str, Any]:
    return {"host": socket.gethostname(), "boot": _boot(), "pid": os.getpid(), "begun": _begun(os.getpid())}


def _is_dead(found: dict[str, Any]) -> bool:
    """Whether the process a lock names is known to have ended: of this machine, and gone or another one."""
    if found.get("host") != socket.gethostname():
        return False
    if found.get("boot") != _boot():
        return True
    pid = found.get("pid")
    if not isinstance(pid, int):
        return True
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    except OSError:
        return False
    return found.get("begun") != _begun(pid)


def _boot() -> str:
    """A mark of this start of the machine; empty where there is none."""
    with contextlib.suppress(OSError):
        return Path("/proc/sys/kernel/random/boot_id").read_text().strip()
    return ""


def _begun(pid: int) -> str:
    """When a process began, in the system's ticks, so that its number's next bearer is told apart."""
    with contextlib.suppress(OSError, IndexError):
        # proc(5): field 22, the 20th after the command's name, which stands in brackets and may hold anything.
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[19]
    return ""


def _held(path: Path, target: Path, found: dict[str, Any]) -> InputError:
    host, pid = found.get("host", "?"), found.get("pid", "?")
    words = f"{display_path(target)}: another run writes it (process {pid} on {host}); nothing was touched"
    if found and host != socket.gethostname():
        words += f"\nif that run has ended, remove {display_path(path)} and try again"
    return InputError(words)
