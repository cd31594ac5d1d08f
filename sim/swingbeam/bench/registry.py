"""The tests of the bench: a new one is a file beside this one and its name in the list."""

from __future__ import annotations

from swingbeam.bench import (
    balance,
    bend_point,
    deflection,
    frequency,
    frequency_curve,
    kick_point,
    spine,
    three_point,
    torque,
    torsional_frequency,
)
from swingbeam.bench.bench_test import BenchTest, Reading

TESTS: dict[str, BenchTest] = {
    module.TEST.name: module.TEST
    for module in (
        frequency,
        torsional_frequency,
        deflection,
        kick_point,
        bend_point,
        torque,
        balance,
        three_point,
        spine,
        frequency_curve,
    )
}
"""Name → test, in the order they are printed."""

READINGS: dict[str, tuple[BenchTest, Reading]] = {
    reading.key: (test, reading) for test in TESTS.values() for reading in test.readings
}
"""Key of a printed reading → its test and itself."""
