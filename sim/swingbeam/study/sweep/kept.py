"""Things that take long to make, made once and kept while they are wanted; for threads."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable, Mapping
from concurrent.futures import Future
from threading import Lock
from typing import Generic, TypeVar

T = TypeVar("T")


class Kept(Generic[T]):
    """The last things made, by what they were made of.

    Whoever asks first makes the thing, everybody else waits for it; whoever has it may go on using it when it is no
    longer kept.

    Parameters
    ----------
    most : kept at one time
    """

    def __init__(self, most: int) -> None:
        self._most, self._lock = most, Lock()
        self._found: OrderedDict[Hashable, Future[T]] = OrderedDict()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """The thing of a key, made if it is not kept; what `make` raises is raised for everybody who waits."""
        with self._lock:
            future = self._found.get(key)
            mine = future is None
            if future is None:
                future = self._found[key] = Future()
                while len(self._found) > self._most:
                    self._found.popitem(last=False)
            else:
                self._found.move_to_end(key)
        if mine:
            try:
                future.set_result(make())
            except BaseException as error:
                with self._lock:
                    if self._found.get(key) is future:
                        del self._found[key]
                future.set_exception(error)
                raise
        return future.result()


class Shelf(Generic[T]):
    """The last things made, by what they were made of, where making is cheap: who wants one that is not there makes it,
    at worst two of them at once, and keeps the first.

    Parameters
    ----------
    most : kept at one time
    """

    def __init__(self, most: int) -> None:
        self._most, self._lock = most, Lock()
        self._found: OrderedDict[Hashable, T] = OrderedDict()

    def known(self, keys: Iterable[Hashable]) -> dict[Hashable, T]:
        """Those of some keys that are kept."""
        with self._lock:
            found = {key: self._found[key] for key in keys if key in self._found}
            for key in found:
                self._found.move_to_end(key)
        return found

    def keep(self, made: Mapping[Hashable, T]) -> dict[Hashable, T]:
        """Keep what was made; what is there already stays and is given instead."""
        with self._lock:
            kept = {key: self._found.setdefault(key, thing) for key, thing in made.items()}
            while len(self._found) > self._most:
                self._found.popitem(last=False)
        return kept
