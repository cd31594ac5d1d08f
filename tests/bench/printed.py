"""Readings as people print them, for tests that speak of cpm and degrees."""

from __future__ import annotations

import math

from swingbeam.bench.frequency import FrequencySetup, read_frequency
from swingbeam.bench.specimen import Subject
from swingbeam.bench.torque import TorqueSetup, read_torque


def cpm(subject: Subject, setup: FrequencySetup | None = None) -> float:
    return 60.0 * read_frequency(subject, setup).frequency


def degrees(subject: Subject, setup: TorqueSetup | None = None) -> float:
    return math.degrees(read_torque(subject, setup).twist)
