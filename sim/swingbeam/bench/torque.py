"""Torque: how far a raw shaft twists under a moment, in degrees."""

from __future__ import annotations

from dataclasses import dataclass

from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.specimen import Subject, specimen
from swingbeam.shaft.clamped import twist_compliance
from swingbeam.units import NonNegativeLength, Torque, show


@dataclass(frozen=True)
class TorqueSetup:
    """How torque is read; the defaults are common practice, no source.

    Attributes
    ----------
    butt_clamp, tip_clamp : float, m held at either end (of a built club the tip clamp ends at the hosel mouth)
    tip_setback : float, m between the tip end and the tip clamp
    moment : float, N·m (1 ft·lbf); its sign is the direction
    """

    butt_clamp: NonNegativeLength = 2.0 * 0.0254
    tip_clamp: NonNegativeLength = 1.0 * 0.0254
    tip_setback: NonNegativeLength = 0.0
    moment: Torque = 1.3558179483314004

    def __str__(self) -> str:
        place = f" {show(self.tip_setback, 'in')} from its end" if self.tip_setback else ""
        return (
            f"butt clamped {show(self.butt_clamp, 'in')}, tip clamped {show(self.tip_clamp, 'in')}{place}, "
            f"{show(self.moment, 'ft*lbf')}"
        )


@dataclass(frozen=True)
class TorqueReading:
    """A torque reading.

    Attributes
    ----------
    twist : rad under the moment
    twist_back : rad under the opposite moment: as large, for a tube without a twist of its own (Saint-Venant)
    """

    twist: float
    twist_back: float


def read_torque(subject: Subject, setup: TorqueSetup | None = None) -> TorqueReading:
    """Twist between the clamps: moment · ∫ ds/GJ over the free length.

    Saint-Venant torsion (Timoshenko & Goodier, Theory of Elasticity, ch. 10).

    Raises
    ------
    InputError
        Clamps that leave no free length, or a negative clamp.
    """
    use = TorqueSetup() if setup is None else setup
    on_bench = specimen(subject)
    end = on_bench.end - use.tip_setback - use.tip_clamp
    if min(use.butt_clamp, use.tip_clamp, use.tip_setback) < 0.0 or end - use.butt_clamp < 1e-3:
        raise InputError(f"torque: the clamps ({use}) leave no free length of {show(on_bench.end, 'in', 2)}")
    soft = twist_compliance(on_bench.shaft, use.butt_clamp, end)
    return TorqueReading(use.moment * soft, -use.moment * soft)


TEST = BenchTest(
    "torque",
    TorqueSetup,
    read_torque,
    (
        Reading(
            "torque_deg", "twist", "deg", "torque\n°", "twist between the clamps under the moment", 2, usual_error=0.05
        ),
    ),
)
