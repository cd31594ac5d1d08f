"""Static readings of a shaft for the ranking table, each with one named set-up."""

from __future__ import annotations

from swingbeam.bench.frequency import FrequencySetup, read_frequency
from swingbeam.bench.kick_point import KickPointSetup, read_kick_point
from swingbeam.bench.torque import TorqueSetup, read_torque
from swingbeam.shaft.shaft import Shaft

from .result import StaticReadings

SETUP = (
    f"Raw, uncut shafts. Frequency: {FrequencySetup()}. Torque: {TorqueSetup()}. "
    f"Kick point: {KickPointSetup()}, over the raw length."
)
"""The set-ups of the table's readings, in words."""


def static_readings(shaft: Shaft) -> StaticReadings:
    """Frequency, torque, kick point and weight of a raw shaft under the default set-ups.

    Raises
    ------
    InputError
        A shaft too short for a set-up.
    """
    return StaticReadings(
        letter=shaft.letter or None,
        frequency=read_frequency(shaft).frequency,
        torque=read_torque(shaft).twist,
        kick_point=read_kick_point(shaft).share_of_raw,
        mass=shaft.mass,
        setup=SETUP,
    )
