"""Run a beam on a driven root: one model in, one history out, two solvers."""

from __future__ import annotations

import math
from collections.abc import Callable
from importlib import import_module
from types import ModuleType
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq

from .chain import ChainHistory, ChainPath, DrivenChain
from .errors import InputError, SimulationError
from .history import ROOT_COUPLE, ROW_LENGTH, History
from .model import Profile, TipBody
from .motion import Motion
from .root import ElasticRoot, RootPath, StageInputs

Array = NDArray[np.float64]

SOLVERS = ("curvature", "elements")
MOST_HALVINGS = 8
"""A step that does not converge is halved this many times before the run is given up."""
_CHUNK = 32
"""Steps between two looks at the stop event."""


def solver_module(name: str) -> ModuleType:
    """The module of a solver.

    Raises
    ------
    InputError
        An unknown name.
    """
    if name not in SOLVERS:
        raise InputError(f'solver "{name}" is not known; use one of {", ".join(SOLVERS)}')
    return import_module(f".{name}", __package__)


def simulate(
    profile: Profile,
    tip: TipBody | None,
    motion: Motion,
    *,
    root: ElasticRoot | DrivenChain | None = None,
    solver: str = "curvature",
    elements: int = 16,
    functions: tuple[int, int] = (4, 1),
    step: float | None = None,
    viscosity: tuple[float, float] = (0.0, 0.0),
    gravity: ArrayLike = (0.0, 0.0, -9.80665),
    start: str = "equilibrium",
    stop: Callable[[History], Array] | None = None,
) -> History:
    """Drive a beam with a body at its tip by the motion of its root.

    Parameters
    ----------
    profile, tip : the beam and the body at its tip (None: a bare tip)
    motion : the pose of the root over time; the run spans its samples
    root : lets the root yield from the motion, or carries it on driven joints from a base that has the motion
        (the run is then a `ChainHistory`; `curvature` only); None: the motion is prescribed
    solver : "curvature" (strain-based, few unknowns; Gauss, order 4) or "elements" (geometrically exact finite
        elements; generalised-α, order 2)
    elements : number of elements (`elements`)
    functions : bending functions a plane, twist functions (`curvature`)
    step : s; None: the solver's default. The span is divided evenly into steps no longer than this
    viscosity : (bending, twist) s: moment = stiffness · (κ − κ_ref + viscosity · κ̇)
    gravity : (3,) m/s², world
    start : "equilibrium" (at rest in the moving root frame, bent by gravity and by the root's motion at the first
        instant) or "straight" (the unloaded shape, with the accelerations that follow)
    stop : event on a History of n instants giving (n,) values; the first change from ≤ 0 to > 0 ends the run at
        the instant it happens on the continuous solution

    Raises
    ------
    InputError
        An argument that cannot be right.
    SimulationError
        A step did not converge after it was halved `MOST_HALVINGS` times; carries time, step and last finite state.
    """
    module = solver_module(solver)
    _check(elements, functions, step, viscosity, start)
    down = np.asarray(gravity, dtype=float)
    if down.shape != (3,) or not np.all(np.isfinite(down)):
        raise InputError("simulate: gravity must be three finite numbers, m/s²")
    body = TipBody.none() if tip is None else tip
    if isinstance(root, DrivenChain):
        if solver != "curvature":
            raise InputError(f'simulate: a chain of joints needs the solver "curvature", found "{solver}"')
        carried = ChainPath(motion, root, down)
        model = module.prepare(profile, body, viscosity, functions=functions, gravity=down, links=root.table)
        return _run(module, solver, model, carried, body, step).march(start, stop)
    path = RootPath(motion, root, down)
    inertia = path.inertia_tensor()
    if solver == "elements":
        model = module.prepare(profile, body, viscosity, elements=elements, root_inertia=inertia, gravity=down)
    else:
        model = module.prepare(profile, body, viscosity, functions=functions, root_inertia=inertia, gravity=down)
    return _run(module, solver, model, path, body, step).march(start, stop)


def nodes_of(motion: Motion, step: float) -> Array:
    """(n,) s: instants of a march over a motion, evenly spaced, no farther apart than step (s)."""
    span = motion.end - motion.start
    count = max(1, math.ceil(span / step * (1.0 - 1e-12)))
    nodes = motion.start + (span / count) * np.arange(count + 1)
    nodes[-1] = motion.end
    return np.asarray(nodes, dtype=np.float64)


def _run(
    module: ModuleType, solver: str, model: Any, path: RootPath | ChainPath, body: TipBody, step: float | None
) -> _Run:
    nodes = nodes_of(path.motion, module.DEFAULT_STEP if step is None else float(step))
    return _Run(module, solver, model, path, body, nodes)


def check_mesh(caller: str, elements: int, functions: tuple[int, int]) -> None:
    """Refuse a number of elements or of functions that cannot be.

    Raises
    ------
    InputError
        Not whole, or below one.
    """
    if int(elements) != elements or elements < 1:
        raise InputError(f"{caller}: elements is {elements}; a whole number from 1 on is needed")
    if len(functions) != 2 or any(int(f) != f or f < 1 for f in functions):
        raise InputError(f"{caller}: functions is {functions}; two whole numbers from 1 on are needed")


def _check(
    elements: int, functions: tuple[int, int], step: float | None, viscosity: tuple[float, float], start: str
) -> None:
    check_mesh("simulate", elements, functions)
    if step is not None and not (math.isfinite(step) and step > 0.0):
        raise InputError(f"simulate: step is {step}; a positive time in s is needed")
    if len(viscosity) != 2 or any(not math.isfinite(v) or v < 0.0 for v in viscosity):
        raise InputError(f"simulate: viscosity is {viscosity}; two times in s, not negative, are needed")
    if start not in ("equilibrium", "straight"):
        raise InputError(f'simulate: start is "{start}"; use "equilibrium" or "straight"')


class _Run:
    """One march through time: steps, halvings, the record of stages and the stop event."""

    def __init__(
        self,
        module: ModuleType,
        name: str,
        model: Any,
        path: RootPath | ChainPath,
        tip: TipBody,
        nodes: Array,
    ) -> None:
        self.module, self.name, self.model, self.path, self.tip = module, name, model, path, tip
        self.t = nodes
        self.count = nodes.size - 1
        self.step = (path.motion.end - path.motion.start) / self.count
        self.stages = np.array(module.STAGES, dtype=float)
        self.rows = np.zeros((nodes.size, ROW_LENGTH))
        self.stage_times: list[Array] = []
        self.stage_couples: list[Array] = []
        self.halvings = 0
        self.state: Any = None
        self.reached: tuple[float, Array] = (path.motion.start, self.rows[0])
        """Instant and row of the last sound state of a step that is being halved."""

    def march(self, start: str, stop: Callable[[History], Array] | None) -> History:
        first = self.path.inputs(self.t[:1])
        try:
            self.state = self.module.start(self.model, first, start, self.rows[0])
        except SimulationError as error:
            t0 = float(self.t[0])
            raise SimulationError(str(error), time=t0, step=self.step, last={"t": t0, **error.last}) from None
        every = self._stage_inputs(self.t[:-1], self.step)
        chunk = self.count if stop is None else _CHUNK
        done = 0
        while done < self.count:
            upto = min(done + chunk, self.count)
            self._advance(every, done, upto)
            if stop is not None:
                seen = self._history(done, upto + 1)
                crossing = _first_crossing(np.asarray(stop(seen), dtype=float))
                if crossing is not None:
                    whole = self._history(0, upto + 1)
                    return _end_at_event(whole, stop, seen.t[crossing], seen.t[crossing + 1])
            done = upto
        return self._history(0, self.count + 1)

    def _stage_inputs(self, starts: Array, h: float) -> StageInputs:
        # The node at a step's end is the next step's start to the last bit, whatever the rounding.
        times = starts[:, None] + h * self.stages[None, :]
        if self.stages[-1] == 1.0:
            times[:-1, -1] = starts[1:]
            times[-1, -1] = min(times[-1, -1], self.path.motion.end)
        return self.path.inputs(times.ravel())

    def _advance(self, every: StageInputs, first: int, upto: int) -> None:
        width = self.stages.size
        done = first
        while done < upto:
            part = StageInputs(*(a[done * width : upto * width] for a in every))
            couples = np.zeros((part.t.size, 3))
            made = self.module.advance(self.model, self.state, part, self.step, self.rows[done + 1 : upto + 1], couples)
            self.stage_times.append(part.t[: made * width])
            self.stage_couples.append(couples[: made * width])
            done += made
            if done < upto:
                self.reached = (float(self.t[done]), self.rows[done].copy())
                self._halve(float(self.t[done]), self.step, 1, self.rows[done + 1 : done + 2])
                done += 1

    def _halve(self, t: float, h: float, depth: int, row: Array) -> None:
        """Take one step of size h from t as two of half the size."""
        self.halvings += 1
        if depth > MOST_HALVINGS:
            raise SimulationError(
                f"{self.name}: no convergence at {t:.6g} s with a step of {h:.3g} s, "
                f"halved {MOST_HALVINGS} times; the load may be beyond what this beam can carry",
                time=t,
                step=h,
                last=self._last_state(),
            )
        half = 0.5 * h
        for k in range(2):
            part = self._stage_inputs(np.array([t + k * half]), half)
            couples = np.zeros((part.t.size, 3))
            if self.module.advance(self.model, self.state, part, half, row, couples):
                self.stage_times.append(part.t)
                self.stage_couples.append(couples)
                self.reached = (t + (k + 1) * half, row[0].copy())
            else:
                self._halve(t + k * half, half, depth + 1, row)

    def _last_state(self) -> dict[str, Any]:
        """The last sound state under the names of a History, without the axis of instants."""
        t, row = self.reached
        state = self._record(np.array([t]), row[None], np.zeros(0), np.zeros((0, 3)))
        names = ("root_position", "root_rotation", "root_yield", "tip_position", "tip_rotation", "head_velocity")
        return {"t": t, **{name: np.array(getattr(state, name)[0]) for name in names}}

    def _history(self, first: int, upto: int) -> History:
        times = np.concatenate(self.stage_times) if self.stage_times else np.zeros(0)
        couples = np.concatenate(self.stage_couples) if self.stage_couples else np.zeros((0, 3))
        at_start = self.rows[:1, ROOT_COUPLE]
        return self._record(
            self.t[first:upto],
            self.rows[first:upto],
            np.concatenate([self.t[:1], times]),
            np.vstack([at_start, couples]),
        )

    def _record(self, t: Array, rows: Array, stage_times: Array, stage_couple: Array) -> History:
        kind = ChainHistory if isinstance(self.path, ChainPath) else History
        return kind(
            t,
            rows,
            self.path,  # type: ignore[arg-type]
            self.tip,
            self.name,
            self.step,
            stage_times,
            stage_couple,
            None,
            self.halvings,
        )


def _first_crossing(values: Array) -> int | None:
    """Index of the instant before the first change from ≤ 0 to > 0, or None."""
    rising = (values[:-1] <= 0.0) & (values[1:] > 0.0)
    return int(np.argmax(rising)) if rising.any() else None


def _end_at_event(run: History, stop: Callable[[History], Array], before: float, after: float) -> History:
    instant = brentq(lambda t: float(np.asarray(stop(run.at(t))).ravel()[0]), before, after, xtol=1e-12, rtol=1e-14)
    return run.until(float(instant))
