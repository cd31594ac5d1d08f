"""Joint torques of a golfer over time: onset, rise, hold, fade.

A muscle group is switched on and off by the golfer, not by where the club is: its torque is a stated function
of the time since the start of the downswing, softened by how fast the joint turns. Built of `smooth.smooth_step`
only, so it is four times continuously differentiable.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..beam.errors import InputError
from .smooth import smooth_step

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Effort:
    """The torque of a muscle group: it sets in, rises, is held, and fades to a part of itself.

    torque(t, ω) = size · S((t − onset)/rise) · [1 − (1 − remains) S((t − onset − rise − hold)/fade)] · (1 − ω/ω₀)

    with ω counted along the torque. The last factor is the linear force–velocity relation of a joint (Sprigings
    & Mackenzie 2002, Sports Engineering 5:23, for golf); ω₀ = inf leaves it out.

    Raises
    ------
    InputError
        A number that is not finite, a time that is negative (rise, fade: not positive), a rate that is not
        positive.
    """

    size: float
    """N·m, with its sign"""
    onset: float
    """s after the start of the downswing"""
    rise: float
    """s"""
    hold: float = 10.0
    """s at full size; longer than any swing: it never fades"""
    fade: float = 0.1
    """s"""
    remains: float = 0.0
    """Part that remains after the fade, 0 … 1"""
    fastest: float = math.inf
    """ω₀, rad/s: at this rate the muscles give nothing"""

    def __post_init__(self) -> None:
        times = (self.onset, self.hold, self.size, self.remains)
        if not all(math.isfinite(v) for v in times) or self.hold < 0.0:
            raise InputError("effort: size, onset, hold and remains must be finite, hold not negative")
        if not (math.isfinite(self.rise + self.fade) and self.rise > 0.0 and self.fade > 0.0):
            raise InputError("effort: rise and fade need positive times, s")
        if not self.fastest > 0.0:
            raise InputError("effort: fastest needs a positive rate, rad/s, or inf")

    def torque(self, t: ArrayLike) -> Array:
        """N·m at rest, at instants t (n,), s."""
        times = np.asarray(t, dtype=float)
        on = smooth_step((times - self.onset) / self.rise)
        off = smooth_step((times - self.onset - self.rise - self.hold) / self.fade)
        return self.size * on * (1.0 - (1.0 - self.remains) * off)

    def damping(self, t: ArrayLike) -> Array:
        """N·m·s/rad by which it falls with the rate, at instants t (n,), s."""
        return np.abs(self.torque(t)) / self.fastest
