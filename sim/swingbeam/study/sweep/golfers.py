"""The golfers of a study: each distinct one aimed once, from the study's own golfer, and his reference club swung.

The search for what makes a changed swing deliver starts at the unchanged one, never at a neighbour, so that a golfer is
the same to the last bit whichever others were made before him.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

import numpy as np

from swingbeam.beam import Motion
from swingbeam.club.build import Club
from swingbeam.study.golfer import Golfer
from swingbeam.study.held import slower, with_heavier_shaft
from swingbeam.swing.aim import Shot, aim, reference_along
from swingbeam.swing.archetype import Swing, reference_with
from swingbeam.swing.hands import Hands
from swingbeam.swing.plan import SwingPlan
from swingbeam.swing.reference import Reference

from .address import CLUB, GOLFER
from .kept import Kept
from .makers import TROUBLE, Recipe, chosen_swing, make_club, make_reference_club, make_swing, tempo_scale
from .scales import SHAFT_MASS_SCALE

T = TypeVar("T")

AIM = 1e-3
"""How well a changed swing is aimed: degrees, and half m/s. The study's own golfer is aimed as in a ranking."""
MOST_GOLFERS = 32
"""Kept at a time; each holds some megabytes."""


LEAD_IN = {"top": 0.10, "late backswing": 0.45}
"""s before the top at which a swing that does not start at address starts, at rest. Found by trial: at these instants
the bend changes least, so that a start at rest changes the delivery least. At the top itself it changes fastest, and
the loft would be off by degrees."""
APPROXIMATIONS = {
    "top": "every club starts at rest 0.1 s before the top: what the backswing leaves in the shaft is not in the "
    "figures; over the starter swings that moves loft and face, and their changes between shafts, by up to 0.8 degrees",
    "late backswing": "every club starts at rest 0.45 s before the top: what the backswing before leaves in the shaft "
    "is not in the figures; over the starter swings that moves loft and face by up to 0.3 degrees",
}
"""What is left out, in words."""


@dataclass(frozen=True, eq=False)
class ReadyGolfer:
    """A golfer who is ready to swing clubs, or why there is none.

    Attributes
    ----------
    golfer : None when he cannot be made
    reason : why
    """

    golfer: Golfer | None
    reason: str = ""
    _bases: Kept[Any] = field(default_factory=lambda: Kept(64), repr=False)

    def base(self, hands: Hands, solver: str, swing: Callable[[], T]) -> T:
        """His reference club swung under some hands, once: `swing` does it."""
        found: T = self._bases.get((hands.stiffness.tobytes(), hands.damping.tobytes(), solver), swing)
        return found


class Golfers:
    """Makes and keeps the golfers of a study.

    Parameters
    ----------
    start : "address", or a key of `LEAD_IN`
    """

    def __init__(self, recipe: Recipe, start: str) -> None:
        self._recipe, self._start = recipe, start
        self._kept: Kept[ReadyGolfer] = Kept(MOST_GOLFERS)
        self._shots: Kept[tuple[Swing, Club, Shot | None]] = Kept(64)
        slow = (GOLFER, CLUB) if self._by_club else (GOLFER,)
        self.places = recipe.places(slow)
        """Of the inputs that make another golfer."""

    @property
    def _by_club(self) -> bool:
        """Whether the golfer swings differently with another club: where he holds his effort as the shaft's weight
        varies."""
        varies = any(a.key == SHAFT_MASS_SCALE for a in self._recipe.addresses)
        return varies and self._recipe.hold.shaft_weight == "effort"

    def get(self, values: Sequence[float]) -> ReadyGolfer:
        """The golfer of a case's values."""
        key = tuple(float(values[i]) for i in self.places)
        return self._kept.get(key, lambda: self._ready(values))

    def base(self, swing: str) -> Golfer:
        """A swing of the study as its file states it.

        Raises
        ------
        InputError, SimulationError
            It cannot be aimed.
        """
        own, club, shot = self._base_shot(swing)
        if shot is None or not isinstance(own.plan, SwingPlan):
            return self._golfer(own, reference_with(own, club))
        made = reference_along(shot, own.plan, club, tee_height=own.tee_height, firmness=own.grip_firmness)
        return self._golfer(own, made)

    def _base_shot(self, name: str) -> tuple[Swing, Club, Shot | None]:
        """A swing as its file states it, with its unchanged reference club, aimed as in a ranking."""
        return self._shots.get(name, lambda: self._aim_base(name))

    def _aim_base(self, name: str) -> tuple[Swing, Club, Shot | None]:
        recipe = self._recipe
        unchanged = replace(recipe, addresses=(), variations=(), swing=name)
        swing, club = make_swing(unchanged, ()), make_reference_club(unchanged, ())
        return swing, club, aim(swing.plan, club) if isinstance(swing.plan, SwingPlan) else None

    def _ready(self, values: Sequence[float]) -> ReadyGolfer:
        try:
            return ReadyGolfer(self._make(values))
        except TROUBLE as error:
            return ReadyGolfer(None, str(error) or type(error).__name__)

    def _make(self, values: Sequence[float]) -> Golfer:
        recipe = self._recipe
        base, base_club, base_shot = self._base_shot(chosen_swing(recipe, values).name)
        swing, own = make_swing(recipe, values), make_reference_club(recipe, values)
        if _same_club(own, base_club):
            own = base_club
        factor = tempo_scale(recipe, values)
        if factor is not None and factor != 1.0:
            swing = replace(swing, plan=slower(swing.plan, factor, recipe.hold.tempo or "", own))
        heavier = recipe.scale(SHAFT_MASS_SCALE, values)
        if self._by_club and heavier is not None and heavier != 1.0:
            club = make_club(recipe, values, as_heavy=False)
            swing = replace(swing, plan=with_heavier_shaft(swing.plan, own, club, heavier, "effort").plan)
        plan = swing.plan
        if not isinstance(plan, SwingPlan) or base_shot is None:
            return self._golfer(swing, reference_with(swing, own))
        if plan == base.plan and own is base_club:
            shot = base_shot
        else:
            shot = aim(plan, own, near=base_shot, tolerance=AIM)
        made = reference_along(shot, plan, own, tee_height=swing.tee_height, firmness=swing.grip_firmness)
        return self._golfer(swing, made)

    def _golfer(self, swing: Swing, reference: Reference) -> Golfer:
        if self._start in LEAD_IN:
            reference = started_late(reference, LEAD_IN[self._start])
        firmness = swing.grip_firmness if self._recipe.firmness is None else self._recipe.firmness
        reference = replace(reference, firmness=firmness)
        reference.record()  # the reference couple, made before several threads want it
        return Golfer(reference, reference.club.label, swing.reference_club, (), swing.handed)


def _same_club(a: Club, b: Club) -> bool:
    return (
        a.shaft is b.shaft
        and a.head is b.head
        and (a.butt_trim, a.tip_trim, a.insertion, a.hold_point, a.grip_mass, a.grip_length)
        == (b.butt_trim, b.tip_trim, b.insertion, b.hold_point, b.grip_mass, b.grip_length)
    )


def started_late(reference: Reference, lead_in: float) -> Reference:
    """The same golfer without most of his backswing: he and every club start at rest so long (s) before the top, bent
    as the motion there and gravity ask for, and the reference couple is that of the same start.
    """
    motion = reference.motion
    first = max(int(np.searchsorted(motion.t, reference.top - lead_in, side="right")) - 1, 0)
    state = motion.at(motion.t[first:])
    return replace(
        reference,
        motion=Motion.from_samples(motion.t[first:], state.position, state.rotation),
        axes=reference.axes[first:],
        _records={},
    )
