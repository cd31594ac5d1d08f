"""Find the swing with which a golfer's own flexible club delivers his figures.

Unknowns z: the motion parameters θ of `swing.parameters.MOTION` and the five x of an `Adjustment` (yaw, pitch,
lean, roll, downswing). One run of the club gives every figure, so θ and x are found together and no run is spent
on aiming. Residuals, each over its own width: figure − measured for what was measured, θ − archetype for every
motion parameter, delivered − archetype for what of the delivery was not measured. Their half sum of squares is
least where the posterior density of normal errors and normal priors is highest; bounded least squares finds it
(Branch, Coleman & Li 1999, SIAM J. Sci. Comput. 21:1, as in scipy). Laplace's approximation, the inverse of JᵀJ
there (Tierney & Kadane 1986, JASA 81:82), says how far the answer could move.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.club.build import Club
from swingbeam.swing.aim import COARSE_LINE_STEP, COARSE_RUN_STEP, DIFFERENCES, MOST_LEAN, Shot, first_guess
from swingbeam.swing.ball import delivered
from swingbeam.swing.line import draw_line
from swingbeam.swing.parameters import DELIVERY, MOTION, value_of, with_values
from swingbeam.swing.plan import DEGREE, Adjustment, SwingPlan
from swingbeam.swing.reference import drive_reference, rigid_with_hands

from .match_figures import DELIVERED, STRIKE, Known, figures_of

Array = NDArray[np.float64]

ADJUSTMENTS = ("yaw", "pitch", "lean", "roll", "downswing")
ADJUSTMENT_BOUNDS = (
    np.array([-40.0 * DEGREE, -40.0 * DEGREE, -MOST_LEAN, -40.0 * DEGREE, 0.15]),
    np.array([40.0 * DEGREE, 40.0 * DEGREE, MOST_LEAN, 40.0 * DEGREE, 0.6]),
)
ADJUSTMENT_SCALES = np.array([3.0 * DEGREE, 3.0 * DEGREE, 3.0 * DEGREE, 3.0 * DEGREE, 0.02])
DIFFERENCE = 0.1
"""Of a parameter's width: the step of a difference quotient."""
STARTS, START_SEED, START_WIDTH = 3, 20, 0.7
"""The archetype, and golfers drawn about it at so much of the widths."""
MOST_TRIES = 60
"""Golfers drawn to find those starts."""
MOST_STEPS = 40
ROOM = 0.5 * DEGREE
"""Of lean that a swing must have left: where the club only just comes to the ball in time ends what can be swung, and
a swing there cannot be moved a little, nor found again."""
SAME_COST = 1.0
"""Two ends whose half sums of squares differ by less explain the figures about as well."""


@dataclass(frozen=True, eq=False)
class Solution:
    """One end of a search; n motion parameters, SI.

    Attributes
    ----------
    motion : (n,) θ
    adjustment : (5,) x
    figures : by key, in the coarse run
    cost : half the sum of squared residuals
    covariance : (n + 5, n + 5) of (θ, delivered), Laplace
    slopes : figure → (n + 5,) its slope over (θ, delivered)
    """

    motion: Array
    adjustment: Array
    figures: Mapping[str, float]
    cost: float
    covariance: Array
    slopes: Mapping[str, Array]


class Problem:
    """Residuals of a golfer's swing as a function of the unknowns.

    Parameters
    ----------
    plan : the starting archetype, its priors' centre
    club : the club the figures were measured with
    figures : what was measured, by key
    """

    def __init__(self, plan: SwingPlan, club: Club, figures: Mapping[str, Known]) -> None:
        self.plan, self.club, self.body = plan, club, rigid_with_hands(club)
        self.measured = {key: known for key, known in figures.items() if key not in STRIKE}
        self.centre = np.array([value_of(plan, p.key) for p in MOTION])
        self.widths = np.array([p.width for p in MOTION])
        self.open = [
            (name, value_of(plan, p.key), p.width)
            for name, p in zip(DELIVERED, _delivery(), strict=True)
            if name not in self.measured
        ]
        self.scales = np.concatenate([self.widths, ADJUSTMENT_SCALES])
        bounds = [(p.least, p.most) for p in MOTION]
        self.least = np.concatenate([[b[0] for b in bounds], ADJUSTMENT_BOUNDS[0]])
        self.most = np.concatenate([[b[1] for b in bounds], ADJUSTMENT_BOUNDS[1]])

    def swing(self, z: Array) -> SwingPlan:
        """The plan of the motion parameters in z."""
        return with_values(self.plan, dict(zip((p.key for p in MOTION), z, strict=False)))

    def shot(self, z: Array, near: float | None = None) -> Shot:
        """A coarse run of the club along the line of z."""
        plan = self.swing(z)
        adjustment = Adjustment(*(float(v) for v in z[-5:]))
        line = draw_line(plan, self.body, adjustment, step=COARSE_LINE_STEP, near=near)
        run = drive_reference(line, self.club, step=COARSE_RUN_STEP)
        return Shot(line, run, delivered(run, self.club.face))

    def figures(self, shot: Shot) -> Mapping[str, float]:
        return figures_of(shot, self.club.face.normal)

    def residuals(self, z: Array, got: Mapping[str, float]) -> Array:
        measured = [(got[key] - k.value) / k.error for key, k in self.measured.items()]
        free = [(got[name] - value) / width for name, value, width in self.open]
        return np.concatenate([measured, free, (z[:-5] - self.centre) / self.widths])

    def evaluated(self, z: Array, near: float | None = None) -> tuple[Mapping[str, float], float]:
        """Figures and the instant of the release; InputError and SimulationError where there is no swing."""
        shot = self.shot(z, near)
        return self.figures(shot), shot.line.release

    def check_room(self, z: Array) -> None:
        """InputError where the club could not come to the ball a little earlier."""
        moved = z.copy()
        moved[-3] -= ROOM
        adjustment = Adjustment(*(float(v) for v in moved[-5:]))
        draw_line(self.swing(moved), self.body, adjustment, step=COARSE_LINE_STEP)

    def slopes(self, z: Array, got: Mapping[str, float], near: float, pool: ThreadPoolExecutor) -> dict[str, Array]:
        """Figure → (n + 5,) its slope over z, by difference quotients."""
        steps = np.concatenate([DIFFERENCE * self.widths, DIFFERENCES])

        def column(k: int) -> dict[str, float]:
            for sign in (1.0, -1.0, 0.1, -0.1):
                moved = z.copy()
                moved[k] += sign * steps[k]
                try:
                    there, _ = self.evaluated(moved, near)
                except (InputError, SimulationError):
                    continue
                return {key: (there[key] - got[key]) / (sign * steps[k]) for key in got}
            return dict.fromkeys(got, 0.0)

        columns = list(pool.map(column, range(z.size)))
        return {key: np.array([c[key] for c in columns]) for key in got}

    def jacobian(self, slopes: Mapping[str, Array]) -> Array:
        n = self.widths.size
        rows = [slopes[key] / k.error for key, k in self.measured.items()]
        rows += [slopes[name] / width for name, _, width in self.open]
        prior = np.hstack([np.diag(1.0 / self.widths), np.zeros((n, 5))])
        return np.vstack([*rows, prior])


def _delivery() -> list:  # type: ignore[type-arg]
    by_name = {p.key.split(".")[1]: p for p in DELIVERY}
    return [by_name[name] for name in DELIVERED]


def solve(problem: Problem, start: Array) -> Solution:
    """The best swing near a start.

    Raises
    ------
    InputError, SimulationError
        The start itself is not feasible.
    """
    seen: dict[bytes, tuple[Mapping[str, float], float]] = {}
    near: float | None = None

    def evaluated(z: Array) -> tuple[Mapping[str, float], float]:
        key = z.tobytes()
        if key not in seen:
            problem.check_room(z)
            seen[key] = problem.evaluated(z, near)
        return seen[key]

    _, near = evaluated(start)
    count = len(problem.measured) + len(problem.open) + problem.widths.size

    def residuals(z: Array) -> Array:
        try:
            return problem.residuals(z, evaluated(z)[0])
        except (InputError, SimulationError):
            return np.full(count, np.inf)  # the search takes a shorter step

    with ThreadPoolExecutor(min(2, os.cpu_count() or 1)) as pool:

        def jacobian(z: Array) -> Array:
            got, release = evaluated(z)
            return problem.jacobian(problem.slopes(z, got, release, pool))

        found = least_squares(
            residuals, start, jacobian, bounds=(problem.least, problem.most), method="trf",
            x_scale=problem.scales, ftol=1e-4, xtol=1e-4, gtol=1e-6, max_nfev=MOST_STEPS,
        )  # fmt: skip
        z = np.asarray(found.x, dtype=float)
        got, release = evaluated(z)
        slopes = problem.slopes(z, got, release, pool)
    return _solution(problem, z, got, float(found.cost), slopes)


def _solution(
    problem: Problem, z: Array, got: Mapping[str, float], cost: float, slopes: Mapping[str, Array]
) -> Solution:
    """Posterior of (θ, delivered): x is exchanged for what it delivers."""
    n = problem.widths.size
    jacobian = problem.jacobian(slopes) * problem.scales
    covariance = np.linalg.inv(jacobian.T @ jacobian) * np.outer(problem.scales, problem.scales)
    exchange = np.eye(n + 5)
    exchange[n:] = [slopes[name] for name in DELIVERED]
    back = np.linalg.inv(exchange)
    return Solution(
        z[:n],
        z[n:],
        dict(got),
        cost,
        exchange @ covariance @ exchange.T,
        {key: slope @ back for key, slope in slopes.items()},
    )


def starts(problem: Problem, count: int = STARTS) -> list[Array]:
    """The archetype with the measured head speed, and others drawn about it; feasible ones.

    Raises
    ------
    InputError
        Neither the archetype nor any golfer drawn about it can swing this club with this head speed.
    """
    speed = problem.measured.get("head_speed")
    target = speed.value if speed else value_of(problem.plan, "delivery.head_speed")
    found: list[Array] = []
    reason: InputError | SimulationError | None = None
    rng = np.random.default_rng(START_SEED)
    bounds = problem.least[:-5], problem.most[:-5]
    for number in range(MOST_TRIES):
        if len(found) >= count:
            break
        drawn = START_WIDTH * problem.widths * rng.standard_normal(problem.centre.size)
        motion = np.clip(problem.centre + (drawn if number else 0.0), *bounds)
        try:
            plan = with_values(problem.swing(motion), {"delivery.head_speed": target})
            z = np.concatenate([motion, first_guess(plan, problem.body, problem.club)])
            problem.check_room(z)
            problem.evaluated(z)
        except (InputError, SimulationError) as error:
            reason = reason or error
            continue
        found.append(z)
    if not found:
        raise reason or InputError("no swing to start from")
    return found


def best(solutions: Sequence[Solution]) -> Solution:
    """The end with the least cost."""
    return min(solutions, key=lambda s: s.cost)
