"""Static readings of a shaft for the ranking table: the bench's own, under its usual set-ups."""

from __future__ import annotations

from swingbeam.bench.balance import read_balance
from swingbeam.bench.benches import usual_bench
from swingbeam.bench.frequency import read_frequency
from swingbeam.bench.kick_point import read_kick_point
from swingbeam.bench.torque import read_torque
from swingbeam.shaft.shaft import Shaft

from .result import StaticReadings

_SETUPS = usual_bench().setups

SETUP = (
    f"Raw, uncut shafts. Frequency: {_SETUPS['frequency']}. Torque: {_SETUPS['torque']}. "
    f"Kick point: {_SETUPS['kick_point']}, over the raw length."
)
"""The set-ups of the table's readings, in words."""


def static_readings(shaft: Shaft) -> StaticReadings:
    """Frequency, torque, kick point and weight of a raw shaft on the usual bench.

    Raises
    ------
    InputError
        A shaft too short for a set-up.
    """
    return StaticReadings(
        letter=shaft.letter or None,
        frequency=read_frequency(shaft, _SETUPS["frequency"]).frequency,
        torque=read_torque(shaft, _SETUPS["torque"]).twist,
        kick_point=read_kick_point(shaft, _SETUPS["kick_point"]).share_of_raw,
        mass=read_balance(shaft, _SETUPS["balance"]).mass,
        setup=SETUP,
    )
