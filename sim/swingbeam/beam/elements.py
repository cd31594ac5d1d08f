"""The reference solver: geometrically exact two-node beam elements on SE(3), generalised-α in time.

Elements: Sonneville, Cardona & Brüls 2014, Geometrically exact beam finite element formulated on the special
Euclidean group SE(3), Comput. Methods Appl. Mech. Engrg. 268:451. Time: Brüls, Cardona & Arnold 2012,
Lie group generalized-α time integration of constrained flexible multibody systems, Mech. Mach. Theory 48:121.

Node poses are in the world, so inertia is that of free bodies and all geometry sits in the strain.
Both errors, in element length and in step, are of second order.
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .elements_kernels import describe, march, settle
from .elements_model import ElementModel, ElementState, build_model, new_state
from .elements_root_kernels import ACCELERATION, OMEGA, OMEGA_DOT
from .errors import SimulationError
from .model import Profile, TipBody
from .root import StageInputs
from .rotations import (
    quaternion_from_rotation,
    rotation_from_quaternion,
    rotation_from_vector,
    skew,
    vector_from_rotation,
)

if TYPE_CHECKING:
    from .statics import StaticLoads

Array = NDArray[np.float64]

STAGES: tuple[float, ...] = (1.0,)
DEFAULT_STEP = 5e-4
"""s. The scheme is of second order: at 1 ms the work of the hands over a swing misses what it does by 2.5e-4 of it,
whatever the damping at high frequencies; half the step brings that under 1e-4."""
KEEP_PRESCRIBED = 8
"""Steps a tangent is kept: axial stiffness turns with the curvature, so it ages."""
KEEP_FREE = 3
"""The same where the root yields."""
_LIMIT = 0.7
"""A load increment whose first Newton increment turns or moves a node further (rad, lengths) is halved."""
_MOST_PASSES = 30
_SMALLEST_LOAD_STEP = 1.0 / 4096.0
_DEAD_WEIGHTS = np.zeros(3)


def prepare(
    profile: Profile,
    tip: TipBody,
    viscosity: tuple[float, float] = (0.0, 0.0),
    *,
    elements: int = 16,
    root_inertia: ArrayLike | None = None,
    gravity: ArrayLike = (0.0, 0.0, 0.0),
    rho: float = 0.85,
) -> ElementModel:
    """Cut a beam into elements of equal length.

    Section compliances (1/EI, 1/GJ, 1/EA, 1/GA; the 3×3 one of bending with a spine) are averaged over an
    element, mass and rotary inertia go to the nodes by linear shape functions, so that mass and first
    mass moment are kept. All integrals are taken piece by piece between stations: steps inside an
    element are exact.

    Parameters
    ----------
    profile, tip : the beam and the rigid body on its last node
    viscosity : (bending, twist) s
    elements : number of elements
    root_inertia : (3, 3) kg·m² of what turns with the root, root body axes
    gravity : (3,) m/s², world
    rho : spectral radius of the time integration at infinite frequency, 0 … 1
    """
    inertia = np.zeros((3, 3)) if root_inertia is None else np.asarray(root_inertia, dtype=float)
    return build_model(profile, tip, viscosity, int(elements), inertia, np.asarray(gravity, dtype=float), rho)


# -- poses of the nodes ----------------------------------------------------------------------------


def _exp(screws: Array) -> tuple[Array, Array]:
    """Rotations (..., 3, 3) and translations (..., 3) of exp(f), f (..., 6)."""
    u, w = screws[..., :3], screws[..., 3:]
    t = np.sum(w * w, axis=-1)
    small = t < 1e-4
    safe = np.where(small, 1.0, t)
    angle = np.sqrt(safe)
    b = np.where(small, 0.5 - t / 24.0 + t * t / 720.0, (1.0 - np.cos(angle)) / safe)
    c = np.where(small, 1.0 / 6.0 - t / 120.0 + t * t / 5040.0, (angle - np.sin(angle)) / (safe * angle))
    first = np.cross(w, u)
    return rotation_from_vector(w), u + b[..., None] * first + c[..., None] * np.cross(w, first)


def _lay_out(model: ElementModel, state: ElementState, rotation: Array, position: Array) -> None:
    """The unloaded shape from a root pose."""
    turns, steps = _exp(model.reference_strain)
    frame, point = np.array(rotation, dtype=float), np.array(position, dtype=float)
    frames, points = [frame], [point]
    for turn, step in zip(turns, steps, strict=True):
        point = point + frame @ step
        frame = frame @ turn
        frames.append(frame)
        points.append(point)
    state.q[:] = quaternion_from_rotation(np.array(frames))
    state.x[:] = points
    state.gap[:] = np.einsum("nij,nj->ni", np.array(frames[:-1]), steps)


def _move_with_root(state: ElementState, rotation: Array) -> None:
    """Carry all nodes rigidly with node 0, which was turned by `rotation` and is where it is now."""
    turn = rotation_from_quaternion(state.q[0]) @ rotation.T
    frames = turn @ rotation_from_quaternion(state.q[1:])
    state.q[1:] = quaternion_from_rotation(frames)
    state.gap[:] = state.gap @ turn.T
    state.x[1:] = state.x[0] + np.cumsum(state.gap, axis=0)


def _equilibrium(model: ElementModel, state: ElementState, twist: Array, dead: Array) -> None:
    """Bend the state into equilibrium with its root's twist (2, 6) and dead loads, from the shape it has.

    Loads grow in steps that halve when Newton's method does not like them and double when it does. The
    inertial field grows evenly with the loads: velocities go with the square root of the share.

    Raises SimulationError when the load step becomes too small.
    """
    done, step = 0.0, 1.0
    kept = state.q.copy(), state.x.copy(), state.gap.copy()
    while done < 1.0:
        share = min(1.0, done + step)
        loads = np.stack([twist[0] * np.sqrt(share), twist[1] * share])
        made = settle(model, state, loads, dead * share, _LIMIT, _MOST_PASSES, np.array([0.0, 0.0, 1.0]))
        if made > 0 and _is_sound(state):
            done = share
            kept = state.q.copy(), state.x.copy(), state.gap.copy()
            step *= 2.0 if made <= 8 else 1.0
            continue
        state.q[:], state.x[:], state.gap[:] = kept
        step *= 0.5
        if step < _SMALLEST_LOAD_STEP:
            raise SimulationError(
                f"elements: no equilibrium beyond {100.0 * done:.3g} % of the load; "
                "it may be beyond what this beam can carry",
                last={"position": kept[1], "quaternion": kept[0]},
            )


def _is_sound(state: ElementState) -> bool:
    """Whether no element has turned by so much that it may have jumped to another branch."""
    cosine = np.abs(np.sum(state.q[1:] * state.q[:-1], axis=1))
    return bool(np.all(np.isfinite(state.x)) and np.all(cosine > np.cos(1.2)))


# -- start and march -------------------------------------------------------------------------------


def start(model: ElementModel, inputs: StageInputs, how: str, row: Array) -> ElementState:
    """State at the instant of `inputs` (one row), and its output row.

    "equilibrium": in equilibrium in the moving root frame, no relative rates; free root axes balance
    their couple. "straight": the unloaded shape at rest in the root frame, accelerations from M v̇ = −r.

    Raises
    ------
    SimulationError
        There is no equilibrium.
    """
    state = new_state(model, inputs.free.shape[2])
    _lay_out(model, state, inputs.rotation[0], inputs.position[0])
    if how == "equilibrium":
        _start_in_equilibrium(model, state, inputs, row)
    else:
        _start_straight(model, state, inputs, row)
    state.a[:] = state.vd
    state.vd_before[:] = state.vd
    state.root[3:] = state.root[2]
    if not np.all(np.isfinite(row)):
        raise SimulationError("elements: the start is not finite", time=float(inputs.t[0]))
    return state


def _balance(model: ElementModel, state: ElementState, inputs: StageInputs, y: Array, row: Array) -> Array:
    """Equilibrium for given root unknowns y; returns what is left of the root's balance."""
    residual = np.zeros(3)
    before = rotation_from_quaternion(state.q[0])
    state.root[0, : y.size] = y
    describe(model, state, inputs, row, residual)
    _move_with_root(state, before)
    held = np.stack([state.v[0], state.vd[0]])
    # Seen from a frame that falls with the root, gravity is part of the root's acceleration.
    twist = np.zeros((2, 6))
    twist[0, 3:] = state.hold[OMEGA]
    twist[1] = np.concatenate([state.hold[ACCELERATION], state.hold[OMEGA_DOT]])
    _equilibrium(model._replace(gravity=np.zeros(3)), state, twist, state.dead)
    settle(model, state, held, state.dead, 0.0, 0, _DEAD_WEIGHTS)
    describe(model, state, inputs, row, residual)
    return residual[: y.size].copy()


def _start_in_equilibrium(model: ElementModel, state: ElementState, inputs: StageInputs, row: Array) -> None:
    free = inputs.free.shape[2]
    y = np.zeros(free)
    left = _balance(model, state, inputs, y, row)
    if free == 0:
        return
    # Broyden's method (Nocedal & Wright 2006, Numerical Optimization, § 11.1) from a slope by differences.
    nudge = 1e-4
    slope = np.empty((free, free))
    for c in range(free):
        slope[:, c] = (_balance(model, state, inputs, nudge * np.eye(free)[c], row) - left) / nudge
    before = np.inf
    for _ in range(60):
        try:
            change = -np.linalg.solve(slope, left)
        except np.linalg.LinAlgError:
            break
        size = float(np.abs(change).max())
        if not np.isfinite(size):
            break
        change *= min(1.0, 0.3 / max(size, 1e-300))
        y = y + change
        after = _balance(model, state, inputs, y, row)
        # Round-off of a stiff beam may lie above the first bound; what no longer shrinks there is round-off.
        if size < 1e-11 or (size < 1e-8 and size > 0.1 * before):
            return
        slope += np.outer(after - left - slope @ change, change) / float(change @ change)
        left, before = after, size
    raise SimulationError("elements: the yielding root finds no balance at the start", time=float(inputs.t[0]))


def _start_straight(model: ElementModel, state: ElementState, inputs: StageInputs, row: Array) -> None:
    free = inputs.free.shape[2]
    residual = np.zeros(3)
    describe(model, state, inputs, row, residual)
    settle(model, state, np.stack([state.v[0], state.vd[0]]), state.dead, 0.0, 0, _DEAD_WEIGHTS)
    describe(model, state, inputs, row, residual)
    # Massless directions keep the acceleration of the rigid motion: nothing determines them.
    scale = np.concatenate([np.ones(3), np.full(3, 1.0 / model.station[-1])])
    for i in range(1, model.station.size):
        mass = scale[:, None] * _node_mass(model, i) * scale
        state.vd[i] -= scale * (np.linalg.pinv(mass, rcond=1e-13, hermitian=True) @ (scale * state.force[i]))
    if free:
        polar = model.node_polar[0]
        own = model.root_inertia + np.diag([polar, 0.5 * polar, 0.5 * polar])
        axes = inputs.free[0]
        state.root[2, :free] = -np.linalg.pinv(axes.T @ own @ axes, hermitian=True) @ residual[:free]
    describe(model, state, inputs, row, residual)


def _node_mass(model: ElementModel, i: int) -> Array:
    """(6, 6) mass matrix of a node in its body axes."""
    polar = model.node_polar[i]
    out = np.diag([*[model.node_mass[i]] * 3, polar, 0.5 * polar, 0.5 * polar])
    if i == model.station.size - 1:
        first = skew(model.tip_first)
        out += np.block([[model.tip_mass * np.eye(3), -first], [first, model.tip_inertia]])
    return out


def advance(
    model: ElementModel, state: ElementState, inputs: StageInputs, h: float, rows: Array, couples: Array
) -> int:
    """March one step of size h per row of `inputs`; returns how many converged.

    rows (n, 50) and couples (n, 3): the output row and the couple the root needs (motion body axes, its own
    inertia included) at the end of each step. A step that fails leaves the state where that step began.
    """
    keep = KEEP_FREE if inputs.free.shape[2] else KEEP_PRESCRIBED
    return int(march(model, state, inputs, float(h), float(keep), rows, couples))


# -- statics and small vibrations ------------------------------------------------------------------


def solve_static(model: ElementModel, profile: Profile, loads: StaticLoads) -> tuple[Array, Array]:
    """Shape of the beam clamped at its root under dead loads, gravity and steady spin, in the root frame.

    Returns position (n, 3) m and rotation (n, 3, 3) at the profile's stations, by H_A exp(ξ f) between nodes.

    Raises
    ------
    SimulationError
        No equilibrium was found.
    """
    state = new_state(model, 0)
    _lay_out(model, state, np.eye(3), np.zeros(3))
    dead = np.zeros((model.station.size, 6))
    dead[:, :3] = _lump_line_load(profile, model.station, np.asarray(loads.line_load, dtype=float))
    dead[-1, :3] += loads.tip_force
    dead[-1, 3:] += loads.tip_moment
    twist = _spin_twist(np.asarray(loads.spin, float), np.asarray(loads.hub, float))
    twist[1, :3] -= loads.gravity
    _equilibrium(model._replace(gravity=np.zeros(3)), state, twist, dead)
    return _sample_shape(model, state, profile.s)


def _spin_twist(spin: Array, hub: Array) -> Array:
    """(2, 6) body velocity of a root that spins steadily about an axis through −hub, and its rate, zero."""
    return np.stack([np.concatenate([np.cross(spin, hub), spin]), np.zeros(6)])


def _lump_line_load(profile: Profile, station: Array, line: Array) -> Array:
    """(nodes, 3) N: a piecewise linear line load through linear shape functions, exact (Simpson on
    every piece)."""
    out = np.zeros((station.size, 3))
    if not np.any(line):
        return out
    cuts = np.unique(np.concatenate([station, profile.s]))
    for a, b in itertools.pairwise(cuts):
        left = int(np.searchsorted(profile.s, 0.5 * (a + b), side="right")) - 1
        s0, s1 = profile.s[left], profile.s[left + 1]
        e = min(int(np.searchsorted(station, 0.5 * (a + b), side="right")) - 1, station.size - 2)
        for s, weight in ((a, 1.0), (0.5 * (a + b), 4.0), (b, 1.0)):
            load = line[left] + (line[left + 1] - line[left]) * ((s - s0) / (s1 - s0))
            near = (s - station[e]) / (station[e + 1] - station[e])
            out[e] += weight * (b - a) / 6.0 * (1.0 - near) * load
            out[e + 1] += weight * (b - a) / 6.0 * near * load
    return out


def _sample_shape(model: ElementModel, state: ElementState, s: Array) -> tuple[Array, Array]:
    frames = rotation_from_quaternion(state.q)
    e = np.clip(np.searchsorted(model.station, s, side="right") - 1, 0, model.station.size - 2)
    back = np.swapaxes(frames[:-1], 1, 2)
    w = vector_from_rotation(back @ frames[1:])
    d = np.einsum("nij,nj->ni", back, state.gap)
    part = (s - model.station[e]) / (model.station[e + 1] - model.station[e])
    # exp(ξ f): with u = A(w)ᵀ d, through the translation of exp inverted numerically
    turn, _ = _exp(np.concatenate([np.zeros_like(w), w], axis=1)[e])
    columns = np.stack(
        [_exp(np.concatenate([np.tile(unit, (w.shape[0], 1)), w], axis=1))[1] for unit in np.eye(3)], axis=-1
    )
    u = np.linalg.solve(columns, d[..., None])[..., 0]
    turn, step = _exp(part[:, None] * np.concatenate([u, w], axis=1)[e])
    position = state.x[e] + np.einsum("nij,nj->ni", frames[e], step)
    return position, frames[e] @ turn


def linearise(model: ElementModel, spin: ArrayLike, hub: ArrayLike) -> tuple[Array, Array, Array]:
    """Small vibrations about the equilibrium in steady spin: M ü + G u̇ + K u = 0, dense.

    u are right increments of the nodes seen from the spinning frame; K holds geometric stiffness and spin
    softening, G the gyroscopic terms. Directions without mass carry no motion of their own and are condensed
    (exactly: neither M nor G has a part in them).

    Parameters
    ----------
    spin, hub : (3,) rad/s, (3,) m, root frame, as in `natural_frequencies`

    Raises
    ------
    SimulationError
        There is no equilibrium.
    """
    still = model._replace(gravity=np.zeros(3))
    state = new_state(still, 0)
    _lay_out(still, state, np.eye(3), np.zeros(3))
    twist = _spin_twist(np.asarray(spin, dtype=float), np.asarray(hub, dtype=float))
    _equilibrium(still, state, twist, state.dead)
    matrices = []
    for weights in np.eye(3):
        settle(still, state, twist, state.dead, 0.0, 0, weights)
        matrices.append(_dense(state.band))
    mass, gyroscopic, stiffness = matrices
    if not np.any(twist):
        gyroscopic[:] = 0.0
    return _condense(mass, gyroscopic, stiffness, float(model.station[-1]))


def _dense(band: Array) -> Array:
    n = band.shape[0]
    out = np.zeros((n, n))
    for i in range(n):
        first, last = max(0, i - 11), min(n, i + 12)
        out[i, first:last] = band[i, first - i + 11 : last - i + 11]
    return out


def _condense(mass: Array, gyroscopic: Array, stiffness: Array, length: float) -> tuple[Array, Array, Array]:
    """Static condensation (Guyan 1965, AIAA J. 3:380) of the directions of a node that have no mass."""
    n = mass.shape[0]
    scale = np.concatenate([np.ones(3), np.full(3, 1.0 / length)])
    heavy: list[Array] = []
    light: list[Array] = []
    for first in range(0, n, 6):
        block = scale[:, None] * mass[first : first + 6, first : first + 6] * scale
        values, vectors = np.linalg.eigh(0.5 * (block + block.T))
        for value, vector in zip(values, vectors.T, strict=True):
            direction = np.zeros(n)
            direction[first : first + 6] = scale * vector
            (heavy if value > 1e-13 * values[-1] else light).append(direction)
    keep = np.array(heavy).T
    if light:
        rest = np.array(light).T
        keep = keep - rest @ np.linalg.solve(rest.T @ stiffness @ rest, rest.T @ stiffness @ keep)
    return keep.T @ mass @ keep, keep.T @ gyroscopic @ keep, keep.T @ stiffness @ keep
