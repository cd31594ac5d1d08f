"""Torque: how far a raw shaft twists under a moment, in degrees."""

from __future__ import annotations

import math
from dataclasses import dataclass

from swingbeam.beam.errors import InputError
from swingbeam.shaft.clamped import twist_compliance
from swingbeam.shaft.shaft import Shaft
from swingbeam.units import show


@dataclass(frozen=True)
class TorqueSetup:
    """How torque is read; the defaults are common practice, no source.

    Attributes
    ----------
    butt_clamp, tip_clamp : float, m held at either end
    moment : float, N·m (1 ft·lbf)
    """

    butt_clamp: float = 2.0 * 0.0254
    tip_clamp: float = 1.0 * 0.0254
    moment: float = 1.3558179483314004

    def __str__(self) -> str:
        return (
            f"butt clamped {show(self.butt_clamp, 'in')}, tip clamped {show(self.tip_clamp, 'in')}, "
            f"{show(self.moment, 'ft*lbf')}"
        )


def read_torque(shaft: Shaft, setup: TorqueSetup | None = None) -> float:
    """Twist of a raw shaft between its clamps, degrees: moment · ∫ ds/GJ over the free length.

    Saint-Venant torsion (Timoshenko & Goodier, Theory of Elasticity, ch. 10).

    Raises
    ------
    InputError
        Clamps that leave no free length, or a negative clamp.
    """
    use = TorqueSetup() if setup is None else setup
    end = shaft.raw_length - use.tip_clamp
    if min(use.butt_clamp, use.tip_clamp) < 0.0 or end - use.butt_clamp < 1e-3:
        raise InputError(f"torque: the clamps ({use}) leave no free length of {show(shaft.raw_length, 'in', 2)}")
    return math.degrees(use.moment * twist_compliance(shaft, use.butt_clamp, end))
