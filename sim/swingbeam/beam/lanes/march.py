"""Many runs of one golfer side by side: clubs and hands differ, the motion is shared."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..curvature import STAGES as PLACES
from ..curvature_layout import CurvatureModel
from ..errors import InputError
from ..history import ROOT_COUPLE, ROW_LENGTH, History
from ..model import TipBody
from ..root import RootPath
from .kernel import march_groups
from .layout import GROUP, INTERVAL, OWN, STRAINS, N
from .packing import pack_clubs, pack_path
from .pieces import memory
from .predict import plans
from .support import lane_width

Array = NDArray[np.float64]

TOLERANCE = 1.0e-9
"""Largest change still to come of an unknown in a step, rad. What is left of it in a swing's poses is some 1e-8 rad
and nm, in its rates 1e-6 rad/s: four digits and more below the last that any figure is shown with."""


@dataclass(frozen=True, eq=False)
class Stages:
    """What the golfer does at the instants that the steps of a march need; shared by all runs."""

    t: Array
    """(steps + 1,) s, evenly spaced: the nodes"""
    times: Array
    """(3 steps,) s: two stages and the node of every step"""
    packed: Array
    """(1 + 3 steps, INPUTS): at the first node, then at `times`"""
    path: RootPath

    @property
    def step(self) -> float:
        """s"""
        return float((self.t[-1] - self.t[0]) / (self.t.size - 1))


@dataclass(frozen=True, eq=False)
class LaneRuns:
    """Rows of the histories of many runs, in the order of their models."""

    rows: Array
    """(runs, steps + 1, ROW_LENGTH) as of `history`; not a number from a step on that failed"""
    made: NDArray[np.int64]
    """(runs,) steps that converged; −1: not even the start"""
    couples: Array
    """(runs, 3 steps, 3) N·m, root couple at the stages and nodes, motion body axes; (0, ...) if not asked for"""
    stages: Stages

    @property
    def ended(self) -> NDArray[np.bool_]:
        """(runs,) whether a run reached its end. One that did not is run anew by `beam.simulate`, which can do more."""
        return self.made == self.stages.t.size - 1

    def history(self, run: int, tip: TipBody) -> History:
        """One run as a `History`, with its stage couples where they were asked for.

        Raises
        ------
        InputError
            The run did not reach its end.
        """
        if not self.ended[run]:
            raise InputError(f"LaneRuns: run {run} failed after {self.made[run]} steps and has no history")
        stages = self.stages
        times, couples = np.zeros(0), np.zeros((0, 3))
        if self.couples.shape[0]:
            times, couples = stages.times, self.couples[run]
        rows = self.rows[run]
        return History(
            stages.t,
            rows,
            stages.path,
            tip,
            "curvature",
            stages.step,
            np.concatenate([stages.t[:1], times]),
            np.vstack([rows[:1, ROOT_COUPLE], couples]),
        )


def stages_of(path: RootPath, t: ArrayLike) -> Stages:
    """A golfer's motion and couple at the instants that a march over the nodes t (steps + 1,), s, needs.

    The path's own stiffness and damping are not used: every run has its own.

    Raises
    ------
    InputError
        Instants that are not evenly spaced.
    """
    nodes = np.array(t, dtype=float)
    if nodes.ndim != 1 or nodes.size < 2:
        raise InputError("lanes: at least two instants are needed")
    h = (nodes[-1] - nodes[0]) / (nodes.size - 1)
    if not (h > 0.0 and np.abs(np.diff(nodes) - h).max() < 1e-6 * h):
        raise InputError("lanes: the instants of a march must be evenly spaced and increase")
    # As in `march`: the node at a step's end is the next step's start to the last bit.
    times = nodes[:-1, None] + h * np.array(PLACES)
    times[:, -1] = nodes[1:]
    times = times.ravel()
    return Stages(nodes, times, pack_path(path, np.concatenate([nodes[:1], times])), path)


def march_lanes(
    models: Sequence[CurvatureModel] | CurvatureModel,
    stages: Stages,
    stiffness: ArrayLike,
    damping: ArrayLike,
    *,
    starts: ArrayLike | None = None,
    couples: bool = False,
    tolerance: float = TOLERANCE,
    width: int | None = None,
    workers: int = 1,
    into: Array | None = None,
) -> LaneRuns:
    """Swing many clubs as one golfer does, several side by side in the lanes of a core.

    A run's bits depend on nothing but its own club and hands and the golfer: not on width, neighbours or workers.

    Parameters
    ----------
    models : of `curvature.prepare` with four bending functions and one twist function and no links; or one model whose
        arrays have a leading axis of runs (R)
    stiffness, damping : (R, 3) or (3,) N·m/rad and N·m·s/rad of the hands about their own axes; a stiffness of inf
        about all three holds the root
    starts : (R, 2, 12): unknowns (yield of the root, amplitudes of the strains) and their rates at the first node;
        None: every run begins in equilibrium, at rest relative to the root
    couples : whether the couples at the stages are wanted (some more evaluations a step)
    tolerance : rad, see `TOLERANCE`
    width : lanes; None: as many as suit this machine
    workers : threads
    into : (R, steps + 1, ROW_LENGTH) to write the rows into, so that many marches share one piece of memory

    Raises
    ------
    InputError
        Models, hands or starts that the lanes cannot take.
    """
    groups = _alike(models)
    count = sum(part.size for part, _ in groups)
    springs, dampers = _hands(stiffness, damping, count)
    begun = _starts(starts, count)
    rows = _room(into, (count, stages.t.size, ROW_LENGTH))
    kept = np.full((count, stages.times.size, 3) if couples else (0, 0, 3), np.nan)
    made = np.empty(count, dtype=np.int64)
    lanes = lane_width() if width is None else width
    inputs, told = stages.packed.ravel(), plans(stages.step, tolerance)
    own = np.empty((count, OWN))
    shares = []
    for part, model in groups:
        own[part], along = pack_clubs(model, springs[part], dampers[part])
        places = np.minimum(np.arange(-(-part.size // lanes) * lanes), part.size - 1).reshape(-1, lanes)
        shares += [(part[share], share, along) for share in np.array_split(places, min(workers, len(places)))]

    def run(share: tuple[NDArray[np.int64], NDArray[np.int64], Array]) -> None:
        cases, places, along = share
        slots, plain = memory(GROUP + along.shape[1] * INTERVAL, lanes)
        march_groups(slots, plain, lanes, cases, places, own, along, begun, inputs, told, rows, kept, made)

    if workers == 1:
        for share in shares:
            run(share)
    else:
        with ThreadPoolExecutor(workers) as pool:
            list(pool.map(run, shares))
    return LaneRuns(rows, made, kept, stages)


def _hands(stiffness: ArrayLike, damping: ArrayLike, count: int) -> tuple[Array, Array]:
    springs, dampers = (np.broadcast_to(np.asarray(a, dtype=float), (count, 3)) for a in (stiffness, damping))
    held = np.isinf(springs)
    if np.any(held.any(axis=1) != held.all(axis=1)):
        raise InputError("lanes: hands hold all three axes or none; use beam.simulate for others")
    return springs, dampers


def _starts(starts: ArrayLike | None, count: int) -> Array:
    begun = np.zeros((0, 2, N)) if starts is None else np.array(starts, dtype=float)
    if starts is not None and begun.shape != (count, 2, N):
        raise InputError(f"lanes: starts has shape {begun.shape}; ({count}, 2, {N}) is needed")
    return begun


def _room(into: Array | None, shape: tuple[int, ...]) -> Array:
    if into is None:
        return np.empty(shape)
    if into.shape != shape or into.dtype != np.float64 or not into.flags.c_contiguous:
        raise InputError(f"lanes: into has shape {into.shape}; {shape}, in C order, is needed")
    return into


def _alike(models: Sequence[CurvatureModel] | CurvatureModel) -> list[tuple[NDArray[np.int64], CurvatureModel]]:
    """Runs whose rods are cut into equally many intervals, and their models with a leading axis of runs."""
    if isinstance(models, CurvatureModel):
        _check(models)
        return [(np.arange(models.length.shape[0]), models)]
    sizes = np.array([model.length.size for model in models], dtype=np.int64)
    out = []
    for size in np.unique(sizes):
        part = np.flatnonzero(sizes == size)
        stacked = CurvatureModel(*(np.stack(arrays) for arrays in zip(*(models[int(k)] for k in part), strict=True)))
        _check(stacked)
        out.append((part, stacked))
    return out


def _check(models: CurvatureModel) -> None:
    if models.length.ndim != 2 or models.twist.shape[-1] != 1 or models.stiffness.shape[-1] != STRAINS:
        raise InputError("lanes: models need one twist function and four bending functions a plane")
    if models.links.shape[1]:
        raise InputError("lanes: a chain of joints is not taken; use beam.simulate")
