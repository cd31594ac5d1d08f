"""The same work on other machines, through a dask scheduler; only this process writes.

The problem is sent to all workers once; then case numbers go out and rows come back, and each result is let go of on
receipt. A worker that ends has its units run elsewhere by the scheduler; a unit that keeps ending workers comes back as
one that died, and is taken apart like any other. From the first loss on the problem travels with every unit: copies on
workers are lost with their workers, perhaps all of them at once.
"""

from __future__ import annotations

import contextlib
import queue
import threading
import uuid
from typing import Any

from swingbeam import __version__
from swingbeam.beam.errors import InputError

from .problem import Problem
from .units import Outcome, Unit, carry_out

CONNECT_SECONDS = 15.0
WORKER_SECONDS = 120.0
"""How long a cluster may be without a worker until the run stops."""
MOST_LOSSES = 5
"""How often in a row work may get lost for reasons that are no case's fault."""
_LOOK_SECONDS = 1.0


class Cluster:
    """Workers of a dask cluster."""

    tries_alone = 1  # the scheduler has tried a unit on several workers before it gives it up

    def __init__(self, problem: Problem, history: str, address: str) -> None:
        try:
            from distributed import Client
        except ImportError:
            raise InputError(
                "--scheduler: found no dask.distributed here; needed, there as here: pip install 'swingbeam[cluster]'"
            ) from None
        self._address = address
        self._problem, self._history = problem, history
        try:
            self._client = Client(address, timeout=CONNECT_SECONDS, set_as_default=False)
        except (TimeoutError, OSError, ValueError, ImportError) as error:
            words = " ".join(str(error).split())[:200] or type(error).__name__
            raise InputError(f'--scheduler: found "{address}"; no scheduler answers there: {words}') from None
        self._mark = uuid.uuid4().hex[:8]
        self._sent = self._losses = 0
        self._carried: Any = problem  # what travels with a unit: the problem, or where the workers have it
        self._done: queue.SimpleQueue[Any] = queue.SimpleQueue()
        self._under_way: dict[str, tuple[Any, Unit]] = {}
        try:
            self._await_workers()
            self._carried = self._client.scatter(problem, broadcast=True, hash=False)
        except BaseException:
            self.close()
            raise

    @property
    def size(self) -> int:
        """Threads of all workers there are now."""
        return max(1, sum(self._client.nthreads().values()))

    def has_room(self) -> bool:
        return len(self._under_way) < 2 * self.size

    def is_busy(self) -> bool:
        return bool(self._under_way)

    def give(self, unit: Unit) -> None:
        self._sent += 1
        key = f"swingbeam-{self._mark}-{self._sent}"
        future = self._client.submit(
            run_unit, self._carried, self._mark, unit, self._history, key=key, pure=False, retries=0
        )
        self._under_way[key] = (future, unit)
        future.add_done_callback(lambda done: self._done.put(done.key))

    def take(self) -> Outcome:
        while True:
            future, unit = self._under_way.pop(self._next_key())
            try:
                version, outcome = future.result(timeout=WORKER_SECONDS)
            except Exception as error:
                outcome = self._went_wrong(unit, error)
                if outcome is None:
                    continue
                return outcome
            finally:
                future.release()
            if version != __version__:
                raise InputError(
                    f"--scheduler: a worker runs version {version}, this machine {__version__}; needed: the same"
                )
            self._losses = 0
            return outcome

    def _next_key(self) -> str:
        """The next that is done; looks after the scheduler and the workers while it waits."""
        alone = 0.0
        while True:
            try:
                key: str = self._done.get(timeout=_LOOK_SECONDS)
            except queue.Empty:
                if self._client.status not in ("running", "connecting"):
                    raise self._gone() from None
                alone = 0.0 if self._client.scheduler_info().get("workers") else alone + _LOOK_SECONDS
                if alone > WORKER_SECONDS:
                    raise InputError(f"{self._address}: all workers are gone") from None
                continue
            if key in self._under_way:
                return key

    def _went_wrong(self, unit: Unit, error: Exception) -> Outcome | None:
        """What to make of a task that gave no outcome; None when it has been given again."""
        self._carried = self._problem
        if type(error).__name__ == "KilledWorker":
            return Outcome(unit, died=True)
        # The problem's last copy went with its worker, the connection was cut, a module is missing over there, …
        self._losses += 1
        words = " ".join(f"{type(error).__name__}: {error}".split())[:300]
        if self._client.status != "running":
            raise self._gone()
        if self._losses > MOST_LOSSES:
            raise InputError(f"{self._address}: the workers cannot run a batch: {words}")
        self._await_workers()
        self.give(unit)
        return None

    def _gone(self) -> InputError:
        return InputError(f"{self._address}: the scheduler is gone")

    def _await_workers(self) -> None:
        try:
            self._client.wait_for_workers(1, timeout=WORKER_SECONDS)
        except TimeoutError:
            raise InputError(f"{self._address}: the scheduler has no workers; needed: at least one") from None

    def close(self) -> None:
        with contextlib.suppress(Exception):
            self._client.cancel([future for future, _ in self._under_way.values()], force=True)
        with contextlib.suppress(Exception):
            self._client.close(timeout=2.0)


_preparing = threading.Lock()
_prepared: tuple[str, Problem] | None = None
"""The run this process works for, and its problem."""


def run_unit(problem: Problem, mark: str, unit: Unit, history: str) -> tuple[str, Outcome]:
    """What a worker does with a unit: prepare once a process and run, run the unit, and say which version did."""
    global _prepared
    with _preparing:
        if _prepared is None or _prepared[0] != mark:
            problem.prepare()
            _prepared = (mark, problem)
        problem = _prepared[1]
    return __version__, carry_out(problem, Unit(*unit), history)
