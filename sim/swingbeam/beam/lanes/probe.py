"""A small piece by which is seen whether lanes can be built at all."""

from __future__ import annotations

import math

import numpy as np

from ..compiled import kernel
from .lane_numbers import Shared, Slots, choose
from .pieces import lane_piece, memory


@lane_piece
def _fused(shared: Shared, slots: Slots) -> bool:  # type: ignore[return]
    """A fused product and sum, a quotient, a comparison."""
    x = slots[0]
    slots[1] = x * x - shared[0]
    slots[2] = choose(x < 1.0, 1.0 / x, x)
    return slots[1] > 0.0


@kernel
def _probe(slots, shared):
    return _fused(slots, shared, 0, 0)


def probe(width: int) -> bool:
    """Whether a piece of this width gives what it must, in every lane."""
    slots, plain = memory(3, width)
    # Squared, its last bits are lost unless they are kept for the difference.
    x = 1.0 + 2.0**-30
    plain[:width] = x
    plain[0] = 0.5
    answer = _probe(slots, np.array([1.0 + 2.0**-29]))
    exact = 2.0**-60
    return bool(
        answer == (width > 1)
        and np.all(plain[width + 1 : 2 * width] == exact)
        and plain[width] == 0.25 - (1.0 + 2.0**-29)
        and plain[2 * width] == 2.0
        and np.all(plain[2 * width + 1 :] == x)
        and math.isfinite(exact)
    )
