"""Studies with closed forms, for tests of what runs and keeps them."""

from __future__ import annotations

import os
import signal
import time
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from swingbeam.study.sweep.problem import Input, Output, Rows, Sample

TIMES = {"none": np.zeros(0), "coarse": np.linspace(-0.04, 0.0, 5), "full": np.linspace(-0.04, 0.0, 21)}
MISSED, FAILED = 1, 2


@dataclass
class Toy:
    """Figures in closed form of the case's number: cases of which 7 is a divisor, less 1, miss; of 11, less 1, fail.

    Attributes
    ----------
    pause : seconds a case takes
    log : file to which every evaluation of a case is appended; None for none
    raises, kills : cases whose evaluation raises, or ends the process it runs in
    once : file that marks that the process has been ended once; a second time it is not
    """

    count: int = 100
    batch: int = 8
    name: str = "toy"
    question: str = "what does a toy do?"
    kind: str = "grid"
    held: str = ""
    seed: int = 3
    digest: str = "d" * 64
    pause: float = 0.0
    log: Path | None = None
    raises: tuple[int, ...] = ()
    kills: tuple[int, ...] = ()
    once: Path | None = None
    prepared: int = 0
    inputs: tuple[Input, ...] = (
        Input("swing.tempo", "swing_tempo_ms", "ms", 1e3, "time from the top to impact"),
        Input("shaft", "shaft", choices=("maple", "two words", "ash")),
    )
    outputs: tuple[Output, ...] = (
        Output("face_angle_deg", "degree", "face angle, open +", "world"),
        Output("half_unload_ms", "ms", "half-unload before impact"),
    )
    curves: tuple[Output, ...] = (Output("curve_lead_mm", "mm", "lead of the tip", "grip"),)
    files: tuple[tuple[str, str], ...] = (("toy.toml", 'name = "toy"\n'), ("maple.toml", "stiff = “very”\n"))
    spot_cases: np.ndarray = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    spot_limits: dict[str, float] = field(default_factory=dict)
    spot_error: float = 0.0

    def values(self, cases):
        x = np.asarray(cases, dtype=float)
        return np.column_stack([0.2 + 1e-4 * x, x % 3])

    def sample(self, cases):
        if self.kind != "sensitivity":
            return None
        cases = np.asarray(cases)
        matrix = np.minimum(cases % 4, 2).astype(np.int8)
        return Sample(cases // 4, matrix, np.where(cases % 4 < 2, -1, cases % 4 - 2).astype(np.int16))

    def times(self, history):
        return TIMES[history]

    def prepare(self):
        self.prepared += 1

    def evaluate(self, cases, history="none"):
        for case in cases:
            self._live_through(int(case))
        x = self.values(cases)[:, 0]
        values = np.column_stack([np.sin(40.0 * x), 1e3 * x])
        status = np.zeros(len(cases), dtype=np.int8)
        status[cases % 7 == 6] = MISSED
        status[cases % 11 == 10] = FAILED
        values[status == MISSED, 0] = np.nan
        values[status == FAILED] = np.nan
        words = {MISSED: lambda case: "the face passes the ball", FAILED: lambda case: f"no convergence at {case} µs"}
        reasons = [words[s](case) if s else "" for s, case in zip(status, cases, strict=True)]
        times = self.times(history)
        curves = {"curve_lead_mm": x[:, None] * times} if len(times) else {}
        return Rows(values, status, reasons, curves)

    def _live_through(self, case):
        if self.pause:
            time.sleep(self.pause)
        if case in self.raises:
            raise ZeroDivisionError("a slip of the toy's maker")
        if case in self.kills and not (self.once and self.once.exists()):
            if self.once:
                self.once.touch()
            os.kill(os.getpid(), signal.SIGKILL)
        if self.log:
            with self.log.open("a") as stream:  # one write of a few bytes at the end: whole, whoever else writes
                stream.write(f"{case}\n")

    def spot_check(self, cases):
        difference = np.zeros((len(cases), len(self.outputs)))
        difference[:, 0] = self.spot_error * np.asarray(cases)
        return Rows(difference, np.zeros(len(cases), dtype=np.int8), [""] * len(cases))


@dataclass
class Quick(Toy):
    """A toy that says nothing of its cases and costs next to nothing: for what the store itself costs."""

    def evaluate(self, cases, history="none"):
        x = self.values(cases)[:, 0]
        return Rows(np.column_stack([np.sin(x), np.cos(x)]), np.zeros(len(cases), np.int8), [""] * len(cases))


class Threaded(Toy):
    """Says what its process's environment asks of linear algebra."""

    def evaluate(self, cases, history="none"):
        words = f"{os.environ.get('OPENBLAS_NUM_THREADS')} {os.environ.get('OMP_NUM_THREADS')}"
        return replace(super().evaluate(cases, history), reasons=[words] * len(cases))
