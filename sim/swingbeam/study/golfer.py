"""A golfer made ready: his swing aimed with the reference club, and clubs swung as he does."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from swingbeam.beam.errors import SimulationError
from swingbeam.club.build import Club, load_club
from swingbeam.delivery.contact import ball_event
from swingbeam.files.club_file import ClubParts
from swingbeam.swing import Hands, Reference, ball_centre, hands_named, load_swing, prepare, run_club
from swingbeam.swing.hands import firmness_words
from swingbeam.swing.held import HELD_OF_TEMPO, slower

from .measure import Measured, SwingFrame, measure
from .replay import read_replay
from .scenario import club_files, read_inputs

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from swingbeam.beam.history import History

    from .track import Track


@dataclass(frozen=True, eq=False)
class Golfer:
    """A golfer with his reference club.

    Attributes
    ----------
    reference : the reference run
    name : what the reference club is called in tables
    parts : how it is built
    inputs : (name, text) of the files of the swing and of the reference club
    handed : "right" or "left"; figures are those of a right-hander either way
    said : how he differs from what the swing's file states, one sentence each
    """

    reference: Reference
    name: str
    parts: ClubParts
    inputs: tuple[tuple[str, str], ...]
    handed: str = "right"
    said: tuple[str, ...] = ()
    tracks: dict[tuple[bool, float | None], Track] = field(default_factory=dict, repr=False)
    """What `many.swing_many` makes of him once."""

    @property
    def club(self) -> Club:
        """The reference club."""
        return self.reference.club

    @property
    def notes(self) -> tuple[str, ...]:
        """What a reader of his figures should know of him, one sentence each."""
        return (*self.said, *firmness_words(self.reference.firmness))

    def as_firm(self, firmness: float | None) -> Golfer:
        """The same golfer with another firmness of the grip, 0 … 1; None: his own."""
        return self if firmness is None else replace(self, reference=replace(self.reference, firmness=firmness))

    @cached_property
    def frame(self) -> SwingFrame:
        """What figures are read against."""
        reference = self.reference
        return SwingFrame(reference.line_motion, reference.normal, reference.top, reference.planned)

    def called(self, name: str) -> Golfer:
        """The same golfer, the reference club called something else."""
        return replace(self, name=name)

    def swing(
        self,
        club: Club,
        hands: str,
        ball: str,
        solver: str,
        *,
        damping: float = 1.0,
        step: float | None = None,
        timing_only: bool = False,
        replay: bool = False,
    ) -> Measured:
        """Swing a club to the ball and read its figures; a run that fails is a status with its reason.

        Parameters
        ----------
        hands, ball, solver : names of the hand mode, the ball rule and the solver
        damping : multiplies the damping ratios of all clubs
        step : s of the solver; None: its default
        timing_only : leave out all figures but those of unloading
        replay : keep the downswing for looking at
        """
        try:
            run, place = self.run(club, hands, ball, solver, damping=damping, step=step)
            measured = measure(run, club.face, place, self.frame, timing_only=timing_only)
            if replay and measured.time is not None:
                kept = read_replay(run, club, place, measured.time, self.frame.downswing, line=self.reference.line)
                measured = replace(measured, replay=kept)
            return measured
        except SimulationError as error:
            return Measured("failed", reasons={"status": str(error)})

    def run(
        self,
        club: Club,
        hands: str | Hands,
        ball: str,
        solver: str,
        *,
        damping: float = 1.0,
        step: float | None = None,
    ) -> tuple[History, NDArray[np.float64]]:
        """Swing a club until it has met the ball: the run, and the ball's centre (3,) m, world.

        Parameters
        ----------
        hands : a hand mode by name, or hands of one's own

        Raises
        ------
        SimulationError
            The run failed.
        """
        reference, how = self.reference, hands if isinstance(hands, Hands) else hands_named(hands)
        if ball == "learnt":
            run = run_club(club, reference, how, solver=solver, damping_scale=damping, step=step)
            return run, ball_centre(ball, reference, club, run)
        place = ball_centre(ball, reference, club)
        stop = ball_event(club.face, place, reference.top)
        run = run_club(club, reference, how, solver=solver, damping_scale=damping, step=step, stop=stop)
        return run, place


def load_golfer(
    path: Path,
    changes: ClubParts | None = None,
    *,
    firmness: float | None = None,
    tempo: tuple[float, str] | None = None,
) -> Golfer:
    """Read a swing and aim it with its reference club.

    Parameters
    ----------
    path : of the swing's file
    changes : keys that replace those of the reference club the swing states
    firmness : of the grip, 0 … 1, instead of what the swing states
    tempo : times the swing's own times, and what is held (`swing.held.slower`)

    Raises
    ------
    InputError
        A file that cannot be read, a club that cannot be built, a swing that is not feasible.
    SimulationError
        The reference club could not be swung.
    """
    swing = load_swing(path)
    parts = swing.reference_club if changes is None else changes.over(swing.reference_club)
    said: tuple[str, ...] = ()
    if tempo is not None:
        scale, held = tempo
        swing = replace(swing, plan=slower(swing.plan, scale, held, load_club(parts, beside=path)))
        said = (f"Tempo × {scale:g}, same {held}: {HELD_OF_TEMPO[held]}.",)
    reference = prepare(swing, reference_club=changes)
    inputs = read_inputs([path, *club_files(parts, path)])
    return Golfer(reference, reference.club.label, parts, inputs, swing.handed, said).as_firm(firmness)
