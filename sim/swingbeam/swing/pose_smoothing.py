"""Smooth measured poses: positions by components, rotations in the rotation group, with a stated cut-off.

Both are the discrete form of the smoothing spline of order three on an even grid: of all paths, the one that
makes least the sum of squared misses plus λ times the integral of a squared third derivative, for positions
that of x, for rotations the second derivative of the body's angular rate (Whittaker 1923, Proc. Edinburgh
Math. Soc. 41:63; for rotations Boumal & Absil 2011, IFAC Proc. 44:2284, by Gauss–Newton in the group's own
tangent spaces: no chart, no components of quaternions). With samples T apart it passes an oscillation of
frequency f by the factor 1/(1 + (f/f₀)⁶), λ = 1/(T (2π f₀)⁶): half of it at the cut-off f₀, as a double
Butterworth filter of order three does (Woltring 1986, Adv. Eng. Software 8:104), without a delay.

Times need not be even and frames may be missing; past the last frame the path goes on with its acceleration
(positions) and the derivative of its body rate (rotations) held, which is what costs nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.linalg import cho_solve_banded, cholesky_banded
from scipy.sparse.linalg import SuperLU, splu

from ..beam.errors import InputError
from ..beam.rotations import rotation_from_vector, skew, vector_from_rotation

Array = NDArray[np.float64]

LONGEST_GRID_STEP = 2.0e-3
"""s between the points of the smoothed path."""
SHORTEST_GRID_STEP = 1.0e-3
MOST_PASSES = 30
SMALL_TURN = 1e-12
"""rad; Gauss–Newton ends when no point of the path turns by more."""


@dataclass(frozen=True, eq=False)
class Poses:
    """Measured poses of the grip at the n frames that are known."""

    t: Array
    """(n,) s, increasing"""
    position: Array
    """(n, 3) m, world"""
    rotation: Array
    """(n, 3, 3) grip → world"""

    @property
    def spacing(self) -> float:
        """Usual time between frames, s."""
        return float(np.median(np.diff(self.t)))


@dataclass(frozen=True)
class CutOff:
    """Cut-off frequencies, Hz."""

    position: float
    rotation: float

    def times(self, factor: float) -> CutOff:
        """Both multiplied."""
        return CutOff(factor * self.position, factor * self.rotation)


@dataclass(frozen=True, eq=False)
class Grid:
    """The even grid of a smoothed path, and how frames are read from it.

    A frame is read by a cubic through the four grid points about it.
    """

    t: Array
    """(m,) s"""
    step: float
    first: NDArray[np.int64]
    """(n,) the first of the four grid points of each frame"""
    weights: Array
    """(n, 4)"""
    spacing: float
    """s between frames, as λ needs it"""

    @cached_property
    def reading(self) -> sparse.csr_matrix:
        """(n, m) matrix that reads the frames."""
        n = self.first.size
        rows = np.repeat(np.arange(n), 4)
        columns = (self.first[:, None] + np.arange(4)).ravel()
        return sparse.csr_matrix((self.weights.ravel(), (rows, columns)), shape=(n, self.t.size))

    def stiffness(self, cutoff: float) -> float:
        """λ over the grid's own factor: what multiplies squared third differences."""
        return 1.0 / (self.spacing * (2.0 * math.pi * cutoff) ** 6 * self.step**5)


def make_grid(poses: Poses, end: float) -> Grid:
    """A grid from the first frame to `end`, s, or a little further.

    Raises
    ------
    InputError
        Fewer than eight frames.
    """
    if poses.t.size < 8:
        raise InputError(f"found {poses.t.size} usable frames; allowed: at least 8")
    spacing = poses.spacing
    step = spacing / math.ceil(spacing / LONGEST_GRID_STEP)
    step = max(step, SHORTEST_GRID_STEP)
    count = math.ceil((max(end, poses.t[-1]) - poses.t[0]) / step - 1e-9) + 2
    t = poses.t[0] + step * np.arange(count)
    place = (poses.t - t[0]) / step
    first = np.clip(np.floor(place + 1e-9).astype(np.int64) - 1, 0, count - 4)
    x = place - first
    weights = np.stack(
        [
            -(x - 1) * (x - 2) * (x - 3) / 6.0,
            x * (x - 2) * (x - 3) / 2.0,
            -x * (x - 1) * (x - 3) / 2.0,
            x * (x - 1) * (x - 2) / 6.0,
        ],
        axis=1,
    )
    return Grid(t, step, first, weights, spacing)


@dataclass(frozen=True, eq=False)
class SmoothPositions:
    """A smoothed path of a point, and the factored equations behind it."""

    position: Array
    """(m, 3) m at the grid"""
    miss: Array
    """(n, 3) m, measured less smoothed"""
    _factor: Array
    _grid: Grid
    _rough: sparse.csr_matrix
    """(m−3, m) what is penalised of the path"""

    def respond(self, change: Array, rough: Array | None = None) -> Array:
        """(m, 3): how the path changes when the measured positions change by (n, 3), and what is penalised by
        (m−3, 3)."""
        right = self._grid.reading.T @ change
        if rough is not None:
            right = right + self._rough.T @ rough
        return np.asarray(cho_solve_banded((self._factor, True), right))

    @cached_property
    def leverage(self) -> Array:
        """(n,) share of each measurement in its own smoothed value."""
        # By parts, so that a long recording needs no matrix of all frames by all points.
        frames = np.arange(self._grid.first.size)
        return np.concatenate([self.leverage_of(part) for part in np.array_split(frames, frames.size // 500 + 1)])

    def leverage_of(self, frames: NDArray[np.intp]) -> Array:
        """(k,) the same of some frames only."""
        reading = self._grid.reading[frames].toarray()
        back = cho_solve_banded((self._factor, True), reading.T)
        return np.asarray(np.einsum("ij,ji->i", reading, back))


def smooth_positions(grid: Grid, position: Array, cutoff: float) -> SmoothPositions:
    """Smooth positions (n, 3) with a cut-off, Hz."""
    m = grid.t.size
    weight = math.sqrt(grid.stiffness(cutoff))
    rough = sparse.diags([-weight, 3.0 * weight, -3.0 * weight, weight], [0, 1, 2, 3], shape=(m - 3, m)).tocsr()
    equations = (grid.reading.T @ grid.reading + rough.T @ rough).todia()
    banded = np.zeros((4, m))
    for offset, values in zip(equations.offsets, equations.data, strict=True):
        if -3 <= offset <= 0:
            banded[-offset, : values.size] = values[:m]
    factor = cholesky_banded(banded, lower=True)
    path = cho_solve_banded((factor, True), grid.reading.T @ position)
    return SmoothPositions(path, position - grid.reading @ path, factor, grid, rough)


@dataclass(frozen=True, eq=False)
class SmoothRotations:
    """A smoothed path of rotations, and the factored equations behind it."""

    rotation: Array
    """(m, 3, 3) at the grid"""
    miss: Array
    """(n, 3) rad, body axes: log(smoothedᵀ measured)"""
    _factor: SuperLU
    _grid: Grid
    _rough: sparse.csr_matrix

    def respond(self, change: Array, rough: Array | None = None) -> Array:
        """(m, 3) rad, body axes: how the path turns, to first order, when the measured rotations turn by (n, 3)
        and what is penalised changes by (m−3, 3)."""
        right = (self._grid.reading.T @ change).ravel()
        if rough is not None:
            right = right + self._rough.T @ rough.ravel()
        return np.asarray(self._factor.solve(right)).reshape(-1, 3)


def _inverse_right_jacobian(theta: Array) -> Array:
    """(k, 3, 3) of rotation vectors (k, 3) well below half a turn: I + θ^/2 + c θ^², Chirikjian 2011, ch. 10."""
    square = np.sum(theta * theta, axis=1)
    angle = np.sqrt(np.maximum(square, 1e-6))
    c = np.where(
        square < 1e-4,
        1.0 / 12.0 + square / 720.0,
        1.0 / angle**2 - (1.0 + np.cos(angle)) / (2.0 * angle * np.sin(angle)),
    )
    hat = skew(theta)
    return np.asarray(np.eye(3) + 0.5 * hat + c[:, None, None] * (hat @ hat))


def read_rotations(grid: Grid, rotation: Array) -> Array:
    """(n, 3, 3) rotations at the frames of a path (m, 3, 3) on the grid: a cubic in the tangent space."""
    base = rotation[grid.first + 1]
    around = rotation[grid.first[:, None] + np.arange(4)]
    local = vector_from_rotation(np.swapaxes(base, 1, 2)[:, None] @ around)
    return np.asarray(base @ rotation_from_vector(np.einsum("nj,njk->nk", grid.weights, local)))


def first_rotations(grid: Grid, poses: Poses) -> Array:
    """(m, 3, 3) to start from: the shortest turns between frames; past the last frame the mean turn goes on."""
    t = np.minimum(grid.t, poses.t[-1])
    left = np.clip(np.searchsorted(poses.t, t, side="right") - 1, 0, poses.t.size - 2)
    turn = vector_from_rotation(np.swapaxes(poses.rotation[:-1], 1, 2) @ poses.rotation[1:])
    x = (t - poses.t[left]) / (poses.t[left + 1] - poses.t[left])
    rotation = poses.rotation[left] @ rotation_from_vector(x[:, None] * turn[left])
    back = max(poses.t.size - 6, 0)
    span = poses.t[-1] - poses.t[back]
    rate = vector_from_rotation(poses.rotation[back].T @ poses.rotation[-1]) / span
    beyond = np.maximum(grid.t - poses.t[-1], 0.0)
    return np.asarray(rotation @ rotation_from_vector(beyond[:, None] * rate))


def smooth_rotations(grid: Grid, poses: Poses, cutoff: float, *, start: Array | None = None) -> SmoothRotations:
    """Smooth rotations with a cut-off, Hz, by Gauss–Newton in the tangent spaces of the path.

    Parameters
    ----------
    start : (m, 3, 3) a path to start from

    Raises
    ------
    InputError
        The path does not settle: the rotations are not those of one smooth motion.
    """
    m = grid.t.size
    rotation = first_rotations(grid, poses) if start is None else start
    reading = sparse.kron(grid.reading, sparse.eye(3), format="csr")
    weight = math.sqrt(grid.stiffness(cutoff))
    second = sparse.kron(sparse.diags([1.0, -2.0, 1.0], [0, 1, 2], shape=(m - 3, m - 1)), sparse.eye(3), format="csr")
    for _ in range(MOST_PASSES):
        theta = vector_from_rotation(np.swapaxes(rotation[:-1], 1, 2) @ rotation[1:])
        miss = vector_from_rotation(np.swapaxes(read_rotations(grid, rotation), 1, 2) @ poses.rotation)
        slope = weight * (second @ _rates_of_turns(theta))
        equations = (reading.T @ reading + slope.T @ slope).tocsc()
        factor = splu(equations, permc_spec="NATURAL", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        right = reading.T @ miss.ravel() - slope.T @ (weight * (second @ theta.ravel()))
        turn = factor.solve(right).reshape(-1, 3)
        largest = float(np.abs(turn).max())
        rotation = rotation @ rotation_from_vector(turn)
        if largest < SMALL_TURN:
            return SmoothRotations(rotation, miss, factor, grid, slope)
        if largest < 1e-7:  # converges by squares: the next pass would be at round-off
            miss = vector_from_rotation(np.swapaxes(read_rotations(grid, rotation), 1, 2) @ poses.rotation)
            return SmoothRotations(rotation, miss, factor, grid, slope)
    raise InputError("the rotations do not follow one smooth motion: columns, order or units may be wrong")


def _rates_of_turns(theta: Array) -> sparse.csr_matrix:
    """(3(m−1), 3m): how the turns between neighbours (m−1, 3) change when the points turn, to first order."""
    k = theta.shape[0]
    ahead, here = _inverse_right_jacobian(theta), -_inverse_right_jacobian(-theta)
    rows = (3 * np.arange(k)[:, None, None] + np.arange(3)[None, :, None]) + np.zeros((1, 1, 3), dtype=np.int64)
    columns = (3 * np.arange(k)[:, None, None] + np.arange(3)[None, None, :]) + np.zeros((1, 3, 1), dtype=np.int64)
    values = np.concatenate([here.ravel(), ahead.ravel()])
    places = (np.concatenate([rows.ravel()] * 2), np.concatenate([columns.ravel(), columns.ravel() + 3]))
    return sparse.csr_matrix((values, places), shape=(3 * k, 3 * (k + 1)))
