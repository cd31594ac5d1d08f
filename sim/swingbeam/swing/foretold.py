"""Where the search for the aim of many like swings starts, so that each takes fewer runs."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..beam.errors import InputError
from ..club.build import Club
from .aim import LARGEST_MOVE, Shot, _Aimer
from .parameters import value_of, with_values
from .plan import Adjustment, SwingPlan
from .reference import rigid_with_hands

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Foretold:
    """Where the search for like swings starts: how an aimed swing's unknowns go with its parameters, to first order.

    Attributes
    ----------
    plan, shot : the swing that is aimed
    keys : parameters that others differ by
    gains : (4 or 5, n) change of the unknowns over that of each parameter
    """

    plan: SwingPlan
    shot: Shot
    keys: tuple[str, ...]
    gains: Array

    def near(self, plan: SwingPlan) -> Shot:
        """The aimed swing, its unknowns moved to where those of another plan are to be expected."""
        count = self.gains.shape[0]
        shift = np.array([value_of(plan, key) - value_of(self.plan, key) for key in self.keys])
        move = np.clip(self.gains @ shift, -2.0 * LARGEST_MOVE[:count], 2.0 * LARGEST_MOVE[:count])
        a = self.shot.line.adjustment
        x = np.array([a.yaw, a.pitch, a.lean, a.roll, a.downswing])
        x[:count] += move
        adjustment = Adjustment(*(float(v) for v in x))
        return replace(self.shot, line=replace(self.shot.line, adjustment=adjustment))


def foretell(plan: SwingPlan, club: Club, shot: Shot, steps: Mapping[str, float]) -> Foretold:
    """How the unknowns of an aimed swing go with its parameters: ∂x/∂p = −(∂m/∂x)⁻¹ ∂m/∂p of the misses m.

    Parameters
    ----------
    shot : of the plan, as `aim` gives it
    steps : parameter → difference to take, SI; a parameter that can be moved neither way is left out of account
    """
    aimer = _Aimer(plan, club, rigid_with_hands(club))
    a = shot.line.adjustment
    x = np.array([a.yaw, a.pitch, a.lean, a.roll, a.downswing])[: aimer.count]
    aimer.near = shot.line.release
    base = aimer.miss(aimer.shot(x, False))
    columns = []
    for key, step in steps.items():
        column = np.zeros(aimer.count)
        for sign in (1.0, -1.0):
            other = _Aimer(with_values(plan, {key: value_of(plan, key) + sign * step}), club, aimer.body)
            other.near = shot.line.release
            with suppress(InputError):
                column = (other.miss(other.shot(x, False)) - base) / (sign * step)
                break
        columns.append(column)
    slopes = np.column_stack(columns) if columns else np.zeros((aimer.count, 0))
    try:
        gains = -np.linalg.solve(np.asarray(shot.slopes), slopes)
    except np.linalg.LinAlgError:
        gains = np.zeros_like(slopes)
    return Foretold(plan, shot, tuple(steps), gains)
