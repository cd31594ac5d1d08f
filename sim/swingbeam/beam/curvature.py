"""The `curvature` solver: a rod without shear or stretch in a few strain coordinates, two-stage Gauss in
time.

Unknowns are the amplitudes of curvature and twist functions (`curvature_tables`), ahead of them the free
rotations of the root. Equations of motion: `curvature_kernels`; time: `curvature_gauss_kernels`. This module
prepares the tables, packs what the kernels read and turns failures into exceptions.

Boyer, Lebastard, Candelier & Renda 2021, "Dynamics of continuum and soft robots: a strain parameterization
based approach", IEEE Trans. Robotics 37:847.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from .chain_kernels import ANGLE, LINK_WIDTH, RATE
from .curvature_gauss_kernels import first_row, march
from .curvature_gauss_state import C1, C2, new_state
from .curvature_layout import (
    IN_ACCELERATION,
    IN_FREE,
    IN_OMEGA,
    IN_ROTATION,
    ROOT_ACCELERATION,
    ROOT_ALPHA,
    ROOT_OMEGA,
    CurvatureModel,
    Workspace,
    new_workspace,
)
from .curvature_rest_kernels import evaluate, settle
from .curvature_tables import Tables, mass_rule, piecewise_rule, tables
from .errors import SimulationError
from .model import Profile, TipBody
from .root import StageInputs

Array = NDArray[np.float64]

STAGES = (C1, C2, 1.0)
"""Where in a step the inputs are needed: the two Gauss points and the node at the end."""
DEFAULT_STEP = 2.0e-3
"""s"""
_NO_LINKS = np.zeros((0, LINK_WIDTH))
_MOST_TURNS = 30
"""Passes between the joints' accelerations and the shape at the start; each gains two digits or so, and what is
left only rings."""
_LEAST_POINTS = 5
_STATIC_POINTS = 40
"""Nodes a static shape is integrated with (more where the stations are many)."""


def prepare(
    profile: Profile,
    tip: TipBody,
    viscosity: tuple[float, float],
    *,
    functions: tuple[int, int] = (4, 1),
    root_inertia: Array | None = None,
    gravity: Array | None = None,
    points: int | None = None,
    links: Array | None = None,
) -> CurvatureModel:
    """Tables of a beam for this solver.

    Parameters
    ----------
    viscosity : (bending, twist) s, times the stiffness
    functions : strain functions (bending a plane, twist)
    root_inertia : (3, 3) kg·m² of what turns with the root, body axes; None: zero
    gravity : (3,) m/s², world: only to tell the tip's acceleration from what it feels; None: zero
    points : nodes that carry the beam's mass; None: two more than the larger number of functions, at least 5
    links : table of the chain of joints that carries the root (`chain.DrivenChain.table`); None: none
    """
    count = points_of(functions) if points is None else int(points)
    sizes = (int(functions[0]), int(functions[1]))
    # A club is run many times (hands, damping, bodies at its tip) on one profile.
    key = ("curvature", *sizes, count)
    if key not in profile.kept:
        profile.kept[key] = tables(profile, mass_rule(profile, count), sizes)
    return _model(
        profile.kept[key],
        viscosity,
        np.concatenate([[tip.mass], tip.offset, tip.inertia.ravel()]),
        np.zeros((3, 3)) if root_inertia is None else np.ascontiguousarray(root_inertia, dtype=float),
        np.zeros(3) if gravity is None else np.array(gravity, dtype=float),
        _NO_LINKS if links is None else links,
    )


def points_of(functions: tuple[int, int]) -> int:
    """Nodes that carry the beam's mass beside so many strain functions (bending a plane, twist)."""
    return max(_LEAST_POINTS, max(functions) + 2)


def _model(
    made: Tables,
    viscosity: tuple[float, float],
    tip: Array,
    root_inertia: Array,
    gravity: Array,
    links: Array = _NO_LINKS,
) -> CurvatureModel:
    return CurvatureModel(
        **made._asdict(),
        viscosity=np.array(viscosity, dtype=float),
        tip=tip,
        root_inertia=root_inertia,
        gravity=gravity,
        links=links,
    )


def pack(inputs: StageInputs) -> Array:
    """Stage inputs as one row of numbers an instant, in the order the kernels read."""
    n = inputs.t.size
    parts = (
        inputs.rotation,
        inputs.position,
        inputs.velocity,
        inputs.acceleration,
        inputs.omega,
        inputs.omega_dot,
        inputs.stiffness,
        inputs.damping,
        inputs.couple,
        inputs.free,
        inputs.free_dot,
        inputs.free_ddot,
    )
    return np.concatenate([part.reshape(n, -1) for part in parts], axis=1)


def _settle(
    model: CurvatureModel, inputs: Array, free: int, forces: Array, moment: Array
) -> tuple[Array, Workspace] | None:
    """Unknowns (free + n,) of the equilibrium under the root's field and dead loads (J, 3), (3,); None: not
    found.

    Tried at once; where Newton fails, all loads grow together from nothing in adaptive steps.
    """
    n = free + model.stiffness.shape[0]
    work = new_workspace(model.length.size)
    tangent, inverse, room = np.zeros((n, n)), np.zeros((n, n)), np.zeros((5, n))
    if not (np.all(np.isfinite(inputs)) and np.all(np.isfinite(forces)) and np.all(np.isfinite(moment))):
        return None
    if free:
        # A couple that is just what the held root needs is its own balance, however soft the root.
        held = _settle(model, inputs, 0, forces, moment)
        if held is not None:
            x, out = np.concatenate([np.zeros(free), held[0]]), np.zeros(n)
            evaluate(model, inputs, free, x, np.zeros(n), np.zeros(n), work, out)
            if np.abs(out[:free]).max() <= 1e-11 * (1.0 + np.abs(inputs[IN_FREE - 3 : IN_FREE]).max()):
                return x, work
    x, done, stride = np.zeros(n), 0.0, 1.0
    slope = np.zeros(n)
    while done < 1.0:
        upto = min(1.0, done + stride)
        trial = x + slope * (upto - done)
        scaled = inputs.copy()
        # Acceleration, couple and Ω̇ are loads, and so is Ω²; the stiffness of the root stays.
        scaled[IN_ACCELERATION:IN_OMEGA] *= upto
        scaled[IN_OMEGA : IN_OMEGA + 3] *= np.sqrt(upto)
        scaled[IN_OMEGA + 3 : IN_OMEGA + 6] *= upto
        scaled[IN_FREE - 3 : IN_FREE] *= upto
        load, turn = upto * forces, upto * moment
        passes = settle(model, scaled, free, trial, load, turn, work, tangent, inverse, room)
        if passes:
            slope = (trial - x) / (upto - done) if done > 0.0 else slope
            x, done = trial, upto
            if passes <= 6:
                stride *= 2.0
        else:
            stride *= 0.25
            if stride < 1e-4:
                return None
    return x, work


def settle_at_once(model: CurvatureModel, packed: Array, free: int) -> Array | None:
    """Unknowns (free + n,) of the equilibrium under one row of packed inputs without other loads; None: not found."""
    found = _settle(model, packed, free, np.zeros((model.length.size, 3)), np.zeros(3))
    return None if found is None else found[0]


def start(model: CurvatureModel, inputs: StageInputs, how: str, row: Array) -> Any:
    """The state at the first instant and its row of the history.

    Parameters
    ----------
    inputs : one row, at the first instant
    how : "equilibrium" (at rest relative to the root, in balance with gravity and the root's own motion, free
    root
        axes included) or "straight" (unloaded shape at rest)
    row : (50,) the history's first row, written

    Raises
    ------
    SimulationError
        No equilibrium was found.
    """
    packed = pack(inputs)[0]
    free = inputs.free.shape[2]
    state = new_state(free + model.stiffness.shape[0], model.length.size)
    time = float(inputs.t[0])
    if model.links.shape[0]:
        state.x[:free] = model.links[:free, ANGLE]
        state.rate[:free] = model.links[:free, RATE]
        if how == "equilibrium" and not _hang_driven(model, packed, free, state):
            raise SimulationError(f"curvature: no equilibrium at the start, {time:.6g} s", time=time)
    elif how == "equilibrium":
        found = _settle(model, packed, free, np.zeros((model.length.size, 3)), np.zeros(3))
        if found is None:
            raise SimulationError(f"curvature: no equilibrium at the start, {time:.6g} s", time=time)
        state.x[:] = found[0]
    if not first_row(model, state, packed, free, row):
        raise SimulationError(f"curvature: no finite accelerations at the start, {time:.6g} s", time=time)
    return state


def _hang(model: CurvatureModel, packed: Array, free: int, state: Any) -> bool:
    """The shape at rest on a root that moves as its joints' angles, rates and accelerations in `state` say.

    Returns False: no equilibrium.
    """
    evaluate(model, packed, free, state.x, state.rate, state.acceleration, state.work, np.zeros_like(state.x))
    root = state.work.root
    held = _still_inputs(root[ROOT_ACCELERATION : ROOT_ACCELERATION + 3], root[ROOT_OMEGA : ROOT_OMEGA + 3])
    held[IN_OMEGA + 3 : IN_OMEGA + 6] = root[ROOT_ALPHA : ROOT_ALPHA + 3]
    shape = _settle(model._replace(links=_NO_LINKS), held, 0, np.zeros((model.length.size, 3)), np.zeros(3))
    if shape is not None:
        state.x[free:] = shape[0]
    return shape is not None


def _hang_driven(model: CurvatureModel, packed: Array, free: int, state: Any) -> bool:
    """The shape at rest on a root whose joints accelerate as their drive makes them: both found in turn."""
    out = np.zeros_like(state.x)

    def miss(accelerations: Array) -> Array:
        state.acceleration[:free] = accelerations
        evaluate(model, packed, free, state.x, state.rate, state.acceleration, state.work, out)
        return out[:free].copy()

    found = np.zeros(free)
    for _ in range(_MOST_TURNS):
        state.acceleration[:free] = found
        if not _hang(model, packed, free, state):
            return False
        at_rest = miss(np.zeros(free))
        mass = np.array([miss(unit) - at_rest for unit in np.eye(free)]).T
        before, found = found, -np.linalg.solve(mass, at_rest)
        if np.abs(found - before).max() <= 1e-12 * (1.0 + np.abs(found).max()):
            break
    state.acceleration[:free] = found
    return True


def holding_torques(model: CurvatureModel, inputs: StageInputs) -> Array:
    """(joints,) N·m: what the joints must give, besides their stops, so that nothing accelerates at the start.

    inputs: one row, at the first instant, with no drive.

    Raises
    ------
    SimulationError
        No equilibrium was found.
    """
    packed = pack(inputs)[0]
    free = inputs.free.shape[2]
    state = new_state(free + model.stiffness.shape[0], model.length.size)
    state.x[:free] = model.links[:free, ANGLE]
    state.rate[:free] = model.links[:free, RATE]
    if not _hang(model, packed, free, state):
        raise SimulationError("curvature: no equilibrium at the start", time=float(inputs.t[0]))
    out = np.zeros_like(state.x)
    evaluate(model, packed, free, state.x, state.rate, np.zeros_like(out), state.work, out)
    return out[:free]


def advance(model: CurvatureModel, state: Any, inputs: StageInputs, h: float, rows: Array, couples: Array) -> int:
    """Steps of size h (s), one for each row of `rows`; returns how many converged.

    inputs: three rows a step, at `STAGES`. rows (n, 50) and couples (3n, 3) N·m, root couple in the motion's
    body axes at every row of the inputs, are written. At a failing step the state stays that of the step's
    start.
    """
    return int(march(model, state, pack(inputs), inputs.free.shape[2], float(h), rows, couples))


def _still_inputs(acceleration: Array, omega: Array) -> Array:
    """Packed inputs of a held root with a given acceleration (gravity taken off) and steady spin, body
    axes."""
    packed = np.zeros(IN_FREE)
    packed[IN_ROTATION : IN_ROTATION + 9] = np.eye(3).ravel()
    packed[IN_ACCELERATION : IN_ACCELERATION + 3] = acceleration
    packed[IN_OMEGA : IN_OMEGA + 3] = omega
    return packed


def solve_static(model: CurvatureModel, profile: Profile, loads: Any) -> tuple[Array, Array]:
    """Equilibrium under dead loads: position (n, 3) m and rotation (n, 3, 3) at the stations, root frame.

    loads: tip_force, tip_moment, line_load (n, 3), gravity, spin and hub, all in the root frame. The model
    gives functions and tip body; the axis is cut anew so that every station is the end of an interval.

    Raises
    ------
    SimulationError
        No equilibrium was found.
    """
    bends = model.bend_y.shape[1]
    twists = model.twist.shape[1]
    rule, where = piecewise_rule(profile, max(_STATIC_POINTS, 3 * max(bends, twists)))
    cut = tables(profile, rule, (bends, twists))
    chain = _model(cut, (0.0, 0.0), model.tip, model.root_inertia, model.gravity)
    forces = where.of(np.asarray(loads.line_load, dtype=float)) * where.weight[:, None]
    forces[-1] += loads.tip_force
    spin = np.asarray(loads.spin, dtype=float)
    acceleration = np.cross(spin, np.cross(spin, loads.hub)) - loads.gravity
    moment = np.array(loads.tip_moment, dtype=float)
    found = _settle(chain, _still_inputs(acceleration, spin), 0, forces, moment)
    if found is None:
        raise SimulationError("curvature: no static equilibrium was found under these loads")
    return _poses(found[1], profile, rule.nodes)


def _poses(work: Workspace, profile: Profile, nodes: Array) -> tuple[Array, Array]:
    """Poses at the stations from the chain of the last evaluation; every station is a node."""
    place, turn = np.zeros(3), np.eye(3)
    places, turns = [place], [turn]
    for row in work.chain:
        place = place + turn @ row[9:12]
        turn = turn @ row[:9].reshape(3, 3)
        places.append(place)
        turns.append(turn)
    which = np.searchsorted(np.concatenate([[0.0], nodes]), profile.s)
    return np.array(places)[which], np.array(turns)[which]


def linearise(model: CurvatureModel, spin: Array, hub: Array) -> tuple[Array, Array, Array]:
    """Dense M, G, K (n, n) of small motions M ü + G u̇ + K u = 0 about the steady equilibrium under spin.

    spin (3,) rad/s and hub (3,) m, from the spin axis to the root, in the root frame; no gravity. Differences
    of the residual: exact in the accelerations (linear) and the rates (quadratic), of fourth order in the
    unknowns.

    Raises
    ------
    SimulationError
        No equilibrium was found.
    """
    omega = np.asarray(spin, dtype=float)
    inputs = _still_inputs(np.cross(omega, np.cross(omega, np.asarray(hub, dtype=float))), omega)
    found = _settle(model, inputs, 0, np.zeros((model.length.size, 3)), np.zeros(3))
    if found is None:
        raise SimulationError("curvature: no steady equilibrium under this spin")
    x, work = found
    n = x.size
    zero = np.zeros(n)

    def at(q: Array, rate: Array, acceleration: Array) -> Array:
        out = np.zeros(n)
        evaluate(model, inputs, 0, q, rate, acceleration, work, out)
        return out

    unit = np.eye(n)
    mass = np.array([at(x, zero, e) - at(x, zero, zero) for e in unit]).T
    gyroscopic = np.array([0.5 * (at(x, e, zero) - at(x, -e, zero)) for e in unit]).T
    d = 1e-3
    stiffness = np.array(
        [
            (8.0 * (at(x + d * e, zero, zero) - at(x - d * e, zero, zero)))
            - (at(x + 2.0 * d * e, zero, zero) - at(x - 2.0 * d * e, zero, zero))
            for e in unit
        ]
    ).T / (12.0 * d)
    return mass, gyroscopic, stiffness
