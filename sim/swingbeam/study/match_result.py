"""What a match found: the figures, the parameters of the motion, and the swing."""

from __future__ import annotations

from dataclasses import dataclass

from swingbeam.swing.archetype import Swing
from swingbeam.swing.parameters import Parameter

from .match_figures import Figure, Known

KINDS = ("pinned down", "partly", "as the archetype")
"""What the figures say of a parameter."""


@dataclass(frozen=True)
class MatchedFigure:
    """One figure: what was measured (None: not), what the matched swing delivers, and how sure that is; SI."""

    figure: Figure
    measured: Known | None
    delivered: float
    deviation: float

    @property
    def off(self) -> float | None:
        """Delivered minus measured, over the standard error."""
        return None if self.measured is None else (self.delivered - self.measured.value) / self.measured.error


@dataclass(frozen=True)
class MatchedParameter:
    """One parameter: the archetype's value with its width, what was found and how far it could move; SI."""

    parameter: Parameter
    archetype: float
    width: float
    found: float
    deviation: float
    kind: str
    """One of `KINDS`."""


@dataclass(frozen=True, eq=False)
class MatchResult:
    """A golfer matched to his figures.

    Attributes
    ----------
    customer, archetype : names
    reference : the club that was measured
    figures, parameters : what was found
    swing : with its spread; as `text` reads
    text : of its file
    statements : what the reader should know, one sentence each
    starts : of the search; `agreeing` ended at the same swing
    """

    customer: str
    archetype: str
    reference: str
    figures: tuple[MatchedFigure, ...]
    parameters: tuple[MatchedParameter, ...]
    swing: Swing
    text: str
    statements: tuple[str, ...]
    starts: int
    agreeing: int

    @property
    def misfit(self) -> float:
        """Sum of squared misses of the measured figures, over their standard errors."""
        return sum(f.off**2 for f in self.figures if f.off is not None)

    def of_kind(self, kind: str) -> tuple[str, ...]:
        """Keys of the parameters of one of `KINDS`."""
        return tuple(p.parameter.key for p in self.parameters if p.kind == kind)
