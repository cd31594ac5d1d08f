"""How a golfer's hands give: stiffness and damping between the swing he has learnt and the club he holds.

Three axes in this order: hinge (normal of the swing plane), forearm roll (shaft axis), third (their cross
product), of the reference pose and un-rolled. The hands give the reference couple less stiffness times δ less
damping times δ̇, δ being how far the grip has left the reference pose, so they act on the difference to the
reference club only.
"""

from __future__ import annotations

import math
import warnings
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..beam.errors import InputError
from ..units import quote

Array = NDArray[np.float64]

HAND_INERTIA = np.array([3.0e-3, 1.2e-3, 3.0e-3])
"""kg·m² of both hands about hinge, forearm roll and third axis: from memory, two fists on a rod."""
LOWEST_ROLL_STIFFNESS = 2.0
"""N·m/rad. Below it an offset centre of gravity, pulled outward, turns the club in the hands by itself: a
geometric stiffness about the shaft of the order of −1 N·m/rad at impact."""
DOUBTFUL_ROLL_STIFFNESS = 5.0
"""N·m/rad; below it results are near that limit and a warning is given."""


@dataclass(frozen=True, eq=False)
class Hands:
    """A way of holding the club.

    Raises
    ------
    InputError
        Not three stiffnesses and dampings, negative or not finite ones, a forearm-roll stiffness below
        `LOWEST_ROLL_STIFFNESS`.
    """

    name: str
    stiffness: Array
    """(3,) N·m/rad about (hinge, forearm roll, third); inf: held."""
    damping: Array
    """(3,) N·m·s/rad"""

    def __post_init__(self) -> None:
        for field in ("stiffness", "damping"):
            value = np.array(getattr(self, field), dtype=float)
            if value.shape != (3,) or np.any(np.isnan(value)) or np.any(value < 0.0):
                raise InputError(f'hands "{self.name}": {field} needs three numbers, not negative: hinge, roll, third')
            if field == "damping" and not np.all(np.isfinite(value)):
                raise InputError(f'hands "{self.name}": damping must be finite')
            value.setflags(write=False)
            object.__setattr__(self, field, value)
        roll = float(self.stiffness[1])
        if roll < LOWEST_ROLL_STIFFNESS:
            raise InputError(
                f'hands "{self.name}": found a forearm-roll stiffness of {roll:g} N·m/rad; allowed: at least '
                f"{LOWEST_ROLL_STIFFNESS:g}, below which the head's offset turns the club by itself"
            )
        if roll < DOUBTFUL_ROLL_STIFFNESS:
            warnings.warn(
                f'hands "{self.name}": a forearm-roll stiffness of {roll:g} N·m/rad is low; face angles '
                f"depend on it strongly below {DOUBTFUL_ROLL_STIFFNESS:g}",
                stacklevel=2,
            )

    @property
    def is_held(self) -> bool:
        """Whether nothing gives: the motion is prescribed."""
        return bool(np.all(np.isinf(self.stiffness)))


VICE = Hands("vice", np.full(3, math.inf), np.zeros(3))
"""The grip follows the reference pose exactly: a robot. Every club but the reference club rings."""
HOLD = Hands("hold", np.array([3.0, 20.0, 80.0]), np.array([4.0, 0.05, 8.0]))
"""The default: hands that keep to the swing they know. Set, and rounded, to agree best with golfers driven by
torque, as far as hands can be so: docs/hands.md has the distance of these and of other values, and how flat it is
around them. The hinge hardly springs back but resists its rate: that is trained control rather than tissue. The
roll is a little above what two tensed forearms are thought to give (3–8 N·m/rad each, from memory). Those golfers
do not give about the third axis at all, so that agreement only grows with its stiffness: 80 is a stop at twice what
two tensed wrists give (10–20 N·m/rad each, from memory)."""
EFFORT = Hands("effort", np.array([2.0, 5.0, 2.0]), np.array([0.3, 0.07, 0.3]))
"""Hands that repeat their effort rather than their path: the stiffness of relaxed wrists (1–3 N·m/rad each) and
forearms, from memory."""

MEDIUM = 0.5
"""The grip firmness that the values of `HOLD` and `EFFORT` are for."""
FIRMNESS_SPAN = 4.0
"""How many times as stiff the firmest grip is as the loosest. From relaxed to tensed a wrist goes from 1–3 to 10–20
N·m/rad (from memory; passive: Formica, Charles, Zollo, Guglielmelli, Hogan & Krebs 2012, J. Neurophysiol. 108:1158;
strength: Delp, Grierson & Buchanan 1996, J. Biomech. 29:1371), five times and more; nobody plays at either end."""

MODES = {hands.name: hands for hands in (VICE, HOLD, EFFORT)}


def hands_named(name: str) -> Hands:
    """`vice`, `hold` or `effort`.

    Raises
    ------
    InputError
        Any other name.
    """
    if name not in MODES:
        raise InputError(f"hands: found {quote(name)}; allowed: {', '.join(MODES)}")
    return MODES[name]


def firm(hands: Hands, firmness: float) -> Hands:
    """The same hands with a looser or firmer grip.

    A joint's stiffness grows in proportion to the torque of its muscles, also where they work against each other, and
    its damping ratio hardly changes (ankle: Hunter & Kearney 1982, J. Biomech. 15:747; wrist, against an unstable
    load: Milner & Cloutier 1998, Exp. Brain Res.; both from memory). With the same inertia, c = 2 ζ √(K I): damping
    goes with the root of stiffness. K is multiplied by `FIRMNESS_SPAN` ** (firmness − 1/2), damping by its root: half
    and 0.71 of the values at 0, twice and 1.41 times at 1.

    Parameters
    ----------
    hands : as with a medium grip
    firmness : 0 … 1; `MEDIUM` gives them as they are, and a vice is a vice

    Raises
    ------
    InputError
        A firmness out of range, or a grip so loose that the roll stiffness is too low for `Hands`.
    """
    if not 0.0 <= firmness <= 1.0:
        raise InputError(f"grip_firmness: found {100.0 * firmness:g} %; allowed: 0 to 100 %")
    if firmness == MEDIUM or hands.is_held:
        return hands
    factor = FIRMNESS_SPAN ** (firmness - MEDIUM)
    return replace(hands, stiffness=factor * hands.stiffness, damping=math.sqrt(factor) * hands.damping)


def firmness_words(firmness: float) -> tuple[str, ...]:
    """What a reader should know of a grip that is not medium: one sentence, or none."""
    if firmness == MEDIUM:
        return ()
    factor = FIRMNESS_SPAN ** (firmness - MEDIUM)
    return (
        f"Grip firmness {100.0 * firmness:.3g} %: hold and effort are {factor:.2f} times as stiff as with a medium "
        f"grip (50 %), their damping {math.sqrt(factor):.2f} times.",
    )
