"""Fit an archetype to a recording: the parameters whose reference pose comes nearest to the recorded one.

Unknowns: the motion parameters of the archetype and the five of an `Adjustment`; where the hub is stays open.
Least squares of the hands' position and the grip's rotation over the downswing and some of the backswing, each
over the size of a miss that matters, with a weak pull of every parameter to the archetype's value, so that what
the recording does not tell stays there (bounded least squares: Branch, Coleman & Li 1999, SIAM J. Sci. Comput.
21:1, as in scipy). What is written delivers, once aimed, what the nearest swing found delivers.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.beam.rotations import vector_from_rotation
from swingbeam.files.fitted_swing_file import write_fitted_swing
from swingbeam.files.recorded_swing_file import club_keys
from swingbeam.swing import load_swing
from swingbeam.swing.aim import COARSE_LINE_STEP, COARSE_RUN_STEP, DIFFERENCES, Shot, first_guess
from swingbeam.swing.ball import delivered
from swingbeam.swing.hands import MEDIUM
from swingbeam.swing.line import draw_line
from swingbeam.swing.parameters import DELIVERY, MOTION, value_of, with_values
from swingbeam.swing.plan import DEGREE, Adjustment, SwingPlan
from swingbeam.swing.reference import drive_reference, rigid_with_hands
from swingbeam.units import show, to_unit

from .match_solve import ADJUSTMENT_BOUNDS, ADJUSTMENT_SCALES
from .record import RecordResult

Array = NDArray[np.float64]

POSITION_MISS, ROTATION_MISS = 0.01, 2.0 * DEGREE
"""m and rad: misses of this size count alike."""
PULL = 0.1
"""Weight of a parameter's distance from the archetype, over its usual width."""
BEFORE_TOP = 0.3
"""s of the backswing that are fitted with the downswing."""
STEP = 0.01
"""s between the poses that are compared."""
DIFFERENCE = 0.1
"""Of a parameter's width: the step of a difference quotient."""
MOST_STEPS = 25


@dataclass(frozen=True, eq=False)
class FittedArchetype:
    """An archetype fitted to a recording."""

    start: str
    """The archetype it started from"""
    plan: SwingPlan
    """Its parameters and what it delivers"""
    position_misfit: float
    """m, root mean square of the hands' position over the downswing"""
    rotation_misfit: float
    """rad, root mean square of the grip's rotation over the downswing"""
    words: tuple[str, ...]


class _Fit:
    def __init__(self, plan: SwingPlan, result: RecordResult) -> None:
        self.plan, self.club, self.body = plan, result.club, rigid_with_hands(result.club)
        start = max(result.top - BEFORE_TOP, float(result.plan.t[0]))
        self.t = np.arange(start, 0.011, STEP)
        state = result.plan.motion().at(self.t)
        self.position, self.rotation = state.position, state.rotation
        self.centre = np.array([value_of(plan, p.key) for p in MOTION])
        self.widths = np.array([p.width for p in MOTION])
        self.near: float | None = None

    def swing(self, z: Array) -> SwingPlan:
        return with_values(self.plan, dict(zip((p.key for p in MOTION), z, strict=False)))

    def shot(self, z: Array) -> Shot:
        adjustment = Adjustment(*(float(v) for v in z[-5:]))
        line = draw_line(self.swing(z), self.body, adjustment, step=COARSE_LINE_STEP, near=self.near)
        run = drive_reference(line, self.club, step=COARSE_RUN_STEP)
        return Shot(line, run, delivered(run, self.club.face))

    def misses(self, shot: Shot) -> tuple[Array, Array]:
        """Of position (n, 3) m, less their mean (the hub is open), and rotation (n, 3) rad."""
        rows = shot.run.at(np.maximum(self.t, shot.run.t[0]))
        miss = self.position - rows.root_position
        turn = vector_from_rotation(np.swapaxes(rows.root_rotation, 1, 2) @ self.rotation)
        return miss - miss.mean(axis=0), turn

    def residuals(self, z: Array) -> Array:
        position, rotation = self.misses(self.shot(z))
        pull = PULL * (z[:-5] - self.centre) / self.widths
        share = 1.0 / np.sqrt(self.t.size)
        return np.concatenate(
            [share * position.ravel() / POSITION_MISS, share * rotation.ravel() / ROTATION_MISS, pull]
        )

    def jacobian(self, z: Array) -> Array:
        base = self.residuals(z)
        columns = []
        for k, size in enumerate([*(DIFFERENCE * self.widths), *DIFFERENCES]):
            column = np.zeros(base.size)
            for step in (size, -size, 0.1 * size, -0.1 * size):
                moved = z.copy()
                moved[k] += step
                try:
                    column = (self.residuals(moved) - base) / step
                except (InputError, SimulationError):
                    continue
                break
            columns.append(column)
        return np.column_stack(columns)


def fit_archetype(
    result: RecordResult, name: str | os.PathLike[str], *, most_steps: int = MOST_STEPS
) -> FittedArchetype:
    """The archetype's parameters with which it comes nearest to a recording.

    Parameters
    ----------
    name : of a swing, by name or path, that is described by parameters
    most_steps : of the search

    Raises
    ------
    InputError
        No such swing, one of another kind, or one from which nothing feasible was reached.
    SimulationError
        The solver could not finish.
    """
    swing = load_swing(name)
    if not isinstance(swing.plan, SwingPlan):
        raise InputError(f'--fit: swing "{swing.name}" is not described by parameters; allowed: an archetype')
    speed = result.figures["head_speed"]
    plan = replace(
        swing.plan,
        target=replace(swing.plan.target, head_speed=speed),
        tempo=replace(swing.plan.tempo, downswing=None),
    )
    fit = _Fit(plan, result)
    start = np.concatenate([fit.centre, first_guess(plan, fit.body, result.club)])
    start[-1] = np.clip(-result.top, 0.16, 0.59)
    try:
        fit.near = fit.shot(start).line.release
    except InputError:
        start[-5:] = first_guess(plan, fit.body, result.club)
        fit.near = fit.shot(start).line.release
    least = np.concatenate([[p.least for p in MOTION], ADJUSTMENT_BOUNDS[0]])
    most = np.concatenate([[p.most for p in MOTION], ADJUSTMENT_BOUNDS[1]])
    start = np.clip(start, least + 1e-9, most - 1e-9)
    count = 6 * fit.t.size + fit.widths.size

    def residuals(z: Array) -> Array:
        try:
            return fit.residuals(z)
        except (InputError, SimulationError):
            return np.full(count, np.inf)  # the search takes a shorter step

    found = least_squares(
        residuals, start, fit.jacobian, bounds=(least, most), x_scale=np.concatenate([fit.widths, ADJUSTMENT_SCALES]),
        ftol=1e-5, xtol=1e-5, gtol=1e-6, max_nfev=most_steps,
    )  # fmt: skip
    return _fitted(swing.name, fit, np.asarray(found.x, dtype=float), result)


def _fitted(start: str, fit: _Fit, z: Array, result: RecordResult) -> FittedArchetype:
    shot = fit.shot(z)
    at = shot.at_impact
    target = replace(
        fit.plan.target,
        face_angle=at.face_angle,
        dynamic_loft=at.dynamic_loft,
        attack=at.attack,
        path=at.path,
        head_speed=at.head_speed,
    )
    plan = replace(fit.swing(z), target=target)
    position, rotation = fit.misses(shot)
    down = fit.t >= result.top
    misfit = [float(np.sqrt(np.mean(np.sum(m[down] ** 2, axis=1)))) for m in (position, rotation)]
    pulled = np.abs(z[:-5] - fit.centre) / fit.widths
    named = [MOTION[i] for i in np.argsort(-pulled)[:4]]
    changes = ", ".join(
        f"{p.words} {show(value_of(fit.plan, p.key), p.unit, 3)} → {show(value_of(plan, p.key), p.unit, 3)}"
        for p in named
    )
    speed, face, loft = (result.figures[key] for key in ("head_speed", "face_angle", "dynamic_loft"))
    words = (
        f'The archetype nearest to it, from "{start}": over the downswing it misses the hands by '
        f"{1e3 * misfit[0]:.0f} mm and the grip's rotation by {misfit[1] / DEGREE:.1f}° (root mean square).",
        f"Changed most: {changes}.",
        f"It delivers face {at.face_angle / DEGREE:.2f}° (recorded {_degrees(face)}), dynamic loft "
        f"{at.dynamic_loft / DEGREE:.2f}° ({_degrees(loft)}), {at.head_speed:.2f} m/s ({speed or 0.0:.2f}).",
    )
    return FittedArchetype(start, plan, misfit[0], misfit[1], words)


def _degrees(value: float | None) -> str:
    return "–" if value is None else f"{value / DEGREE:.2f}°"


def write_fitted(fitted: FittedArchetype, result: RecordResult, path: str | os.PathLike[str]) -> Path:
    """Write a fitted archetype as a swing's file.

    Raises
    ------
    InputError
        The file exists already or cannot be written.
    """
    record = result.recording.record
    head = {
        "name": f"{record.name}, fitted",
        "note": f'Fitted to the recording {result.recording.data}, from "{fitted.start}". {fitted.words[0]}',
        "handed": record.handed,
        "tee_height": show(record.tee_height, "mm"),
    }
    tables: dict[str, dict[str, str]] = {}
    for p in (*MOTION, *DELIVERY):
        table, key = p.key.split(".")
        value = to_unit(value_of(fitted.plan, p.key), p.unit)
        tables.setdefault(table, {})[key] = f"{value:.9g} {p.unit}"
    if record.hands.grip_firmness != MEDIUM:
        tables["hands"] = {"grip_firmness": show(record.hands.grip_firmness, "%")}
    tables["reference_club"] = club_keys(record.reference_club)
    return write_fitted_swing(path, head, tables)
