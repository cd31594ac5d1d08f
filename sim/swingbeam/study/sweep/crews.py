"""Who does the work: threads of this process, or processes of this machine. A cluster is in `cluster.py`.

A crew takes units and gives back what became of them, in whatever order they are done.
"""

from __future__ import annotations

import contextlib
import os
import queue
import signal
import threading
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing import connection, get_context
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from typing import Protocol

from swingbeam.beam.errors import SimulationError

from .problem import Problem
from .units import Outcome, Unit, carry_out

ONE_THREAD = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
"""Linear algebra reads these once, when it is loaded: a worker is one thread, or cores wait for each other."""
_AHEAD = 2
"""Units a process has at most: the one it runs, and the next, so that it does not wait while we write."""
MOST_STARTS = 3
"""A worker that ends so many times before it has begun its first unit will not begin at all."""


class Crew(Protocol):
    """Workers.

    Attributes
    ----------
    size : how many
    tries_alone : how often a single case may end its worker, run alone, until it is given up
    """

    tries_alone: int

    @property
    def size(self) -> int: ...

    def has_room(self) -> bool:
        """Whether another unit should be given now."""
        ...

    def is_busy(self) -> bool:
        """Whether something is under way."""
        ...

    def give(self, unit: Unit) -> None: ...

    def take(self) -> Outcome:
        """What became of one of the units under way; waits for it."""
        ...

    def close(self) -> None:
        """End the workers; what is under way is given up."""
        ...


class Threads:
    """Threads of this process: for work that releases the interpreter. The problem is prepared already."""

    tries_alone = 1

    def __init__(self, problem: Problem, history: str, size: int) -> None:
        self._size = size
        self._given: queue.SimpleQueue[Unit | None] = queue.SimpleQueue()
        self._done: queue.SimpleQueue[Outcome] = queue.SimpleQueue()
        self._under_way = 0
        # Daemons: what is under way when a person stops the run must not keep the program from ending.
        for _ in range(size):
            threading.Thread(target=self._work, args=(problem, history), daemon=True).start()

    def _work(self, problem: Problem, history: str) -> None:
        while (unit := self._given.get()) is not None:
            self._done.put(carry_out(problem, unit, history))

    @property
    def size(self) -> int:
        return self._size

    def has_room(self) -> bool:
        return self._under_way < self._size + 1

    def is_busy(self) -> bool:
        return self._under_way > 0

    def give(self, unit: Unit) -> None:
        self._under_way += 1
        self._given.put(unit)

    def take(self) -> Outcome:
        outcome = self._done.get()
        self._under_way -= 1
        return outcome

    def close(self) -> None:
        with contextlib.suppress(queue.Empty):
            while True:
                self._given.get_nowait()
        for _ in range(self._size):
            self._given.put(None)


class _Worker:
    """One process and the units it has, the one it runs first."""

    def __init__(self, problem: Problem, history: str) -> None:
        context = get_context("spawn")  # a forked copy of a process with threads may hang
        self.pipe, theirs = context.Pipe()
        self.process: SpawnProcess = context.Process(target=_serve, args=(theirs, problem, history), daemon=True)
        with _one_thread():
            self.process.start()
        theirs.close()
        self.units: deque[Unit] = deque()
        self.has_begun = False


class Processes:
    """Processes of this machine, each with the problem prepared; one that ends is replaced.

    Processes rather than threads: what makes golfers and clubs is Python, about half of a worker's time, and runs in
    one thread at a time. benchmarks/study_workers.py, on two cores that did nothing else: two processes reach 91 % of
    them on a grid of golfers and clubs, 100 % where every case has a club of its own, 95 % where every case has a
    golfer of his own; two threads 75, 67 and 76 %.
    """

    tries_alone = 2

    def __init__(self, problem: Problem, history: str, size: int) -> None:
        self._size = size
        self._problem, self._history = problem, history
        self._starts = 0
        self._waiting: deque[Outcome] = deque()
        self._workers = [_Worker(problem, history) for _ in range(size)]
        try:
            while not all(worker.has_begun for worker in self._workers):
                self._listen()  # until all are prepared: how fast they are is measured from then on
        except BaseException:
            self.close()
            raise

    @property
    def size(self) -> int:
        return self._size

    def has_room(self) -> bool:
        return any(len(worker.units) < _AHEAD for worker in self._workers)

    def is_busy(self) -> bool:
        return bool(self._waiting) or any(worker.units for worker in self._workers)

    def give(self, unit: Unit) -> None:
        worker = min(self._workers, key=lambda one: len(one.units))
        worker.units.append(unit)
        # A process that has ended is noticed by `take`, which has the unit back then.
        with contextlib.suppress(OSError):
            worker.pipe.send(unit)

    def take(self) -> Outcome:
        while not self._waiting:
            self._listen()
        return self._waiting.popleft()

    def _listen(self) -> None:
        """Wait for word of any worker, or its end."""
        by_pipe = {worker.pipe: worker for worker in self._workers}
        for pipe in connection.wait(list(by_pipe)):
            worker = by_pipe[pipe]  # type: ignore[index]
            try:
                outcome = worker.pipe.recv()
            except (EOFError, OSError):
                self._replace(worker)
                continue
            worker.has_begun = True
            if outcome is not None:
                worker.units.popleft()
                self._waiting.append(outcome)

    def _replace(self, worker: _Worker) -> None:
        """Put another in the place of a process that has ended. What it ran is lost; what it had beside is not."""
        worker.process.join()
        if not worker.has_begun:
            self._starts += 1
            if self._starts >= MOST_STARTS:
                raise SimulationError(f"a worker cannot begin: it ended with code {worker.process.exitcode}")
        fresh = _Worker(self._problem, self._history)
        self._workers[self._workers.index(worker)] = fresh
        worker.pipe.close()
        units = list(worker.units)
        if worker.has_begun and units:
            self._waiting.append(Outcome(units.pop(0), died=True))
        for unit in units:
            fresh.units.append(unit)
            with contextlib.suppress(OSError):
                fresh.pipe.send(unit)

    def close(self) -> None:
        for worker in self._workers:
            worker.process.terminate()
        for worker in self._workers:
            worker.process.join()
            worker.pipe.close()


def _serve(pipe: Connection, problem: Problem, history: str) -> None:
    """What a worker process does: prepare, say so, then unit after unit until its owner is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches every process; the owner decides
    try:
        problem.prepare()
        pipe.send(None)
        while True:
            pipe.send(carry_out(problem, pipe.recv(), history))
    except (EOFError, OSError):  # the owner has ended, however it did
        return


@contextmanager
def _one_thread() -> Iterator[None]:
    """What a process started now finds in its environment: one thread for linear algebra."""
    before = {name: os.environ.get(name) for name in ONE_THREAD}
    os.environ.update(dict.fromkeys(ONE_THREAD, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
