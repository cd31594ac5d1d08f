"""The two exceptions of the package: what the user can repair, and what the solver could not do."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


class InputError(ValueError):
    """An input is wrong in a way its author can repair; the message says what was found and what is allowed."""


class SimulationError(RuntimeError):
    """A solver could not finish.

    Attributes
    ----------
    time : float
        Time of the step that failed, s (nan for a statics problem).
    step : float
        The last step size tried, s (nan for a statics problem).
    last : mapping
        The last finite state, names to values: of a run "t" (s) and the names of a History at that instant
        ("tip_position" and so on); "t" alone when it could not even start; empty for a statics problem without one.
    """

    def __init__(
        self,
        message: str,
        *,
        time: float = float("nan"),
        step: float = float("nan"),
        last: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(message)
        self.time = time
        self.step = step
        self.last: Mapping[str, Any] = {} if last is None else last
