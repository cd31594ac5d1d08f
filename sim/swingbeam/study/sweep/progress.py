"""How far a run is: a bar with rate and time left on a terminal, a line every 5 % elsewhere."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any, Protocol, TextIO

STEP_PERCENT = 5


class Watch(Protocol):
    """Who is told how far a run is."""

    def begin(self, what: str, total: int, done: int) -> None:
        """Some work begins: `done` of `total` are there already."""
        ...

    def advance(self, cases: int) -> None:
        """So many more are kept."""
        ...

    def note(self, text: str) -> None:
        """Something that a person should know, in a line."""
        ...

    def end(self) -> None:
        """The work is done, or has been stopped."""
        ...


class Silent:
    """Tells nobody."""

    def begin(self, what: str, total: int, done: int) -> None: ...

    def advance(self, cases: int) -> None: ...

    def note(self, text: str) -> None: ...

    def end(self) -> None: ...


class Lines:
    """A line every 5 %: for logs, and for whoever is no terminal."""

    def __init__(self, say: Callable[[str], None], clock: Callable[[], float] = time.monotonic) -> None:
        self._say = say
        self._clock = clock
        self._what, self._total, self._done, self._first, self._begun = "", 0, 0, 0, 0.0

    def begin(self, what: str, total: int, done: int) -> None:
        self._what, self._total, self._done, self._first, self._begun = what, total, done, done, self._clock()
        if done:
            self._say(f"{what}: {done:,} of {total:,} are there already")

    def advance(self, cases: int) -> None:
        before, self._done = self._percent(), self._done + cases
        if self._percent() // STEP_PERCENT > before // STEP_PERCENT:
            rate, left = self._rate_and_left()
            self._say(f"{self._percent():3d} %  {self._done:,} of {self._total:,} {self._what}, {rate}, {left} left")

    def note(self, text: str) -> None:
        self._say(text)

    def end(self) -> None: ...

    def _percent(self) -> int:
        return 100 * self._done // max(1, self._total)

    def _rate_and_left(self) -> tuple[str, str]:
        rate = (self._done - self._first) / max(1e-9, self._clock() - self._begun)
        return rate_words(rate), duration((self._total - self._done) / max(1e-9, rate))


class Bar:
    """A bar on a terminal."""

    def __init__(self, console: Any) -> None:
        self._console = console
        self._progress: Any = None
        self._task: Any = None
        self._done = self._first = 0
        self._begun = 0.0

    def begin(self, what: str, total: int, done: int) -> None:
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

        self.end()
        columns = (
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            TextColumn("{task.fields[rate]}"),
            TimeRemainingColumn(),
        )
        self._done = self._first = done
        self._begun = time.monotonic()
        self._progress = Progress(*columns, console=self._console)
        self._task = self._progress.add_task(what, total=total, completed=done, rate="")
        self._progress.start()

    def advance(self, cases: int) -> None:
        self._done += cases
        rate = (self._done - self._first) / max(1e-9, time.monotonic() - self._begun)
        self._progress.update(self._task, completed=self._done, rate=rate_words(rate))

    def note(self, text: str) -> None:
        self._console.print(text, markup=False, highlight=False)

    def end(self) -> None:
        if self._progress is not None:
            self._progress.stop()
            self._progress = None


def watch_for(stream: TextIO, say: Callable[[str], None]) -> Watch:
    """A bar if the stream is a terminal, else lines given to `say`."""
    if stream.isatty():
        from rich.console import Console

        return Bar(Console(file=stream))
    return Lines(say)


def rate_words(rate: float) -> str:
    """A rate as people read it."""
    return f"{rate:,.0f}/s" if rate >= 10.0 else f"{rate:.2g}/s" if rate >= 0.1 else f"{60.0 * rate:.2g}/min"


def duration(seconds: float) -> str:
    """A time as people read it."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min {whole % 60} s"
    return f"{whole // 3600} h {whole % 3600 // 60} min"
