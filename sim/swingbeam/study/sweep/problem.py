"""What a study is to whoever runs, keeps or explains it: cases by number, what goes in, what comes out.

Nothing here knows of clubs: the runner, the store and the sensitivity are tested on closed forms of the same shape.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STATUSES = ("ok", "missed", "failed")
"""ok: the ball was struck; missed: the face passed it; failed: it could not be built or run to impact."""
HISTORIES = ("none", "coarse", "full")
"""How much of a swing's course is kept."""


@dataclass(frozen=True)
class Input:
    """Something that varies, one column of a case's values; SI.

    Attributes
    ----------
    key : its address, as the study's file writes it: "swing.tempo.backswing", "shaft.ei scale"
    name : its variable in the file of results: "swing_tempo_backswing_s", letters, digits and underscores
    unit : in CF notation, of the shown value
    scale : shown value = scale · SI value
    long_name : in words, with its sign
    choices : for a named thing the names, and the value is the place in them; empty for a number
    """

    key: str
    name: str
    unit: str = "1"
    scale: float = 1.0
    long_name: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Output:
    """A figure of every case, or (with `history`) a curve over time before impact; already in its shown unit.

    Attributes
    ----------
    name : its variable in the file of results
    unit : in CF notation
    long_name : in words, with its sign
    frame : the frame it is read in, in words; empty where it has none
    """

    name: str
    unit: str
    long_name: str
    frame: str = ""


@dataclass(frozen=True, eq=False)
class Rows:
    """What some cases gave; k cases in the order asked for.

    Attributes
    ----------
    values : (k, outputs), NaN where a figure does not exist
    status : (k,) index into `STATUSES`
    reasons : k texts; why a case is not ok, or which figures it lacks and why; empty where there is nothing to say
    curves : name → (k, times), NaN where there is none; empty when no histories are kept
    """

    values: Array
    status: NDArray[np.int8]
    reasons: Sequence[str]
    curves: Mapping[str, Array] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Sample:
    """How the cases of a sensitivity plan belong together; (k,) each, in the order of the cases asked for.

    Attributes
    ----------
    row : base row of the sample
    matrix : 0 A, 1 B, 2 AB (A with one column of B)
    column : which input comes from B; −1 for A and B
    """

    row: NDArray[np.int64]
    matrix: NDArray[np.int8]
    column: NDArray[np.int16]


class Problem(Protocol):
    """A study: picklable, and the same figures for a case wherever, beside whatever and in whatever order it runs.

    Attributes
    ----------
    name, question : of the study
    kind : of the plan: "grid", "list", "latin-hypercube", "sobol", "random", "repeatability", "sensitivity"
    held : what is held while something is varied, in words; empty where nothing is said
    count : number of cases; they are numbered from 0
    batch : cases that are best run together
    inputs, outputs, curves : what goes in, what comes out, what is kept over time
    files : (name, text) of every file that went in
    seed : of whatever is drawn
    digest : hash of everything that decides the figures, of the plan and of the version
    """

    name: str
    question: str
    kind: str
    held: str
    count: int
    batch: int
    seed: int
    digest: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    curves: tuple[Output, ...]
    files: tuple[tuple[str, str], ...]

    def values(self, cases: NDArray[np.int64]) -> Array:
        """(k, inputs) SI values of some cases."""
        ...

    def sample(self, cases: NDArray[np.int64]) -> Sample | None:
        """How they belong together; None unless the plan is a sensitivity plan."""
        ...

    def times(self, history: str) -> Array:
        """(m,) s before impact (increasing, ends at 0) of the curves at one of `HISTORIES`; empty for "none"."""
        ...

    def prepare(self) -> None:
        """Make what all cases share, compile what they need; once a process, before threads start."""
        ...

    def evaluate(self, cases: NDArray[np.int64], history: str = "none") -> Rows:
        """Run some cases. A case that fails is a row with a status and a reason; nothing is raised for it."""
        ...
