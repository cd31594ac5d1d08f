"""Models and starts of many beams at once, compiled: for studies, where a club must not take longer than its swing.

The readable statement is `curvature.prepare`, `curvature_tables` and `curvature.start`; `tests/beam/test_many.py` holds
the two together. Tables are made once for every distinct profile of a `TableStore`; clubs that differ in their heads,
hands or damping share them.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from threading import Lock
from typing import NamedTuple, cast

import numpy as np
from numpy.polynomial.legendre import leggauss
from numpy.typing import NDArray

from . import table_kernels as kernels
from .chain_kernels import LINK_WIDTH
from .curvature import pack, points_of, settle_at_once
from .curvature_layout import CurvatureModel, new_workspace
from .curvature_many_kernels import settle_cases
from .curvature_tables import POINTS_PER_PIECE, Tables, mass_rule, tables
from .errors import InputError
from .frequency_kernels import fill_frequencies
from .model import Profile
from .root import StageInputs

Array = NDArray[np.float64]

_GAUSS = np.zeros((POINTS_PER_PIECE + 1, 2, POINTS_PER_PIECE))
"""Gauss' rules by their order: points on −1 … 1 and weights."""
for _order in range(1, POINTS_PER_PIECE + 1):
    _GAUSS[_order, :, :_order] = leggauss(_order)
MOST_TABLES = 4096
"""Kept by a `TableStore` at a time."""


class Stations(NamedTuple):
    """A profile as numbers only, for those who make many: what `Profile` would refuse is not looked for."""

    rows: Array
    """(n, 6) as of `stations_of`"""
    spine_angle: float = 0.0


def stations_of(profile: Profile) -> Array:
    """(n, 6): s (m), EI_0, EI_1, GJ (N·m²), mass (kg/m), rotary (kg·m) of a profile's stations."""
    return np.column_stack([profile.s, profile.ei, profile.gj, profile.mass, profile.rotary])


def _room(first: NDArray[np.int64], count: int, functions: int) -> tuple[Array, Array, Array]:
    """Room for the fine rule of the longest profile, and for small vectors and a matrix."""
    longest = int(np.diff(first).max())
    width = max(count + 1, functions)
    return np.zeros(((count + 1) * longest, 6)), np.zeros((5, width)), np.zeros((count, count))


class _Made(NamedTuple):
    rule: Array
    nodes: NDArray[np.int64]
    moments: Array
    stiffness: Array


def _fill(stations: Array, first: NDArray[np.int64], functions: tuple[int, int], count: int) -> _Made:
    bends, twists = functions
    if not 1 <= min(functions) <= count + 1 <= min(kernels.MOST_FUNCTIONS, POINTS_PER_PIECE):
        raise InputError(f"tables of many beams: found {functions} strain functions; allowed: 1 to 11 of each")
    profiles, n = first.size - 1, twists + 2 * bends
    most = 2 * count + 3
    fine, around, square = _room(first, count, n)
    made = _Made(
        np.zeros((profiles, most, 3)),
        np.zeros(profiles, dtype=np.int64),
        np.zeros((profiles, 2 * most, n)),
        np.zeros((profiles, n, n)),
    )
    kernels.fill_tables(
        stations,
        first,
        bends,
        twists,
        count,
        _GAUSS,
        fine,
        around,
        square,
        made.rule,
        made.nodes,
        made.moments,
        made.stiffness,
    )
    return made


def tables_of(blocks: Sequence[Array], spines: Sequence[float], functions: tuple[int, int] = (4, 1)) -> list[Tables]:
    """`curvature_tables.tables` of many profiles without reference curvature.

    Parameters
    ----------
    blocks : (n, 6) each, as of `stations_of`, sound as of `Profile`
    spines : rad, angles of the principal planes
    functions : strain functions (bending a plane, twist)
    """
    count = points_of(functions)
    bends, twists = functions
    if not blocks:
        return []
    first = np.concatenate([[0], np.cumsum([block.shape[0] for block in blocks])]).astype(np.int64)
    made = _fill(np.concatenate(blocks), first, functions, count)
    out: list[Tables | None] = [None] * len(blocks)
    spine = np.column_stack([np.cos(spines), np.sin(spines)])
    for nodes in np.unique(made.nodes):
        which = np.flatnonzero(made.nodes == nodes)
        moments, rule = made.moments[which, : 2 * nodes], made.rule[which, :nodes]
        stacked = Tables(
            np.ascontiguousarray(moments[:, :, :twists]),
            np.ascontiguousarray(moments[:, :, twists : twists + bends]),
            np.ascontiguousarray(moments[:, :, twists + bends :]),
            np.zeros((which.size, 2 * nodes, 3)),
            np.diff(rule[:, :, 0], prepend=0.0),
            np.ascontiguousarray(rule[:, :, 1]),
            np.ascontiguousarray(rule[:, :, 2]),
            spine[which],
            made.stiffness[which],
        )
        for place, p in enumerate(which):
            out[p] = Tables(*(field[place] for field in stacked))
    return cast(list[Tables], out)


def bending_frequencies(blocks: Sequence[Array], tip_mass: float, functions: int = 8) -> Array:
    """(k,) Hz: first bending frequency of straight beams clamped at the root, a point mass (kg) at the tip.

    The same as `natural_frequencies(..., count=1, solver="curvature")`, of the softer principal plane; without
    gravity, where the straight shape is the equilibrium and the planes are apart.
    """
    first = np.concatenate([[0], np.cumsum([block.shape[0] for block in blocks])]).astype(np.int64)
    made = _fill(np.concatenate(blocks), first, (functions, 1), points_of((functions, 1)))
    out = np.zeros(len(blocks))
    room = np.zeros((4, functions, functions))
    fill_frequencies(
        first, 1, functions, float(tip_mass), made.rule, made.nodes, made.moments, made.stiffness, room, out
    )
    return out


class TableStore:
    """Tables of distinct profiles, kept by what they say; any number of threads may ask."""

    def __init__(self, functions: tuple[int, int] = (4, 1), most: int = MOST_TABLES) -> None:
        self.functions, self.most = functions, most
        self._kept: OrderedDict[bytes, Tables] = OrderedDict()
        self._lock = Lock()

    def get(self, profiles: Sequence[Profile | Stations]) -> list[Tables]:
        """Tables of profiles in their order, those that are not known yet made together."""
        said = [_said(profile) for profile in profiles]
        blocks, keys = [block for block, _ in said], [key for _, key in said]
        with self._lock:
            known = {key: self._kept[key] for key in keys if key in self._kept}
        new: dict[bytes, int] = {}
        for i, key in enumerate(keys):
            if key not in known and key not in new:
                new[key] = i
        curved: dict[bytes, Profile] = {}
        for key, i in new.items():
            profile = profiles[i]
            if isinstance(profile, Profile) and _curved(profile):
                curved[key] = profile
        straight = {key: i for key, i in new.items() if key not in curved}
        made = tables_of(
            [blocks[i] for i in straight.values()], [profiles[i].spine_angle for i in straight.values()], self.functions
        )
        known.update(zip(straight, made, strict=True))
        for key, profile in curved.items():
            known[key] = tables(profile, mass_rule(profile, points_of(self.functions)), self.functions)
        with self._lock:
            for key in new:
                self._kept[key] = known[key]
            while len(self._kept) > self.most:
                self._kept.popitem(last=False)
        return [known[key] for key in keys]


def _said(profile: Profile | Stations) -> tuple[Array, bytes]:
    """A profile's stations, and all it says in one; remembered by it, since clubs of one shaft share it."""
    if isinstance(profile, Stations):
        return profile.rows, profile.rows.tobytes() + np.float64(profile.spine_angle).tobytes()
    if "said" not in profile.kept:
        block = stations_of(profile)
        profile.kept["said"] = block, block.tobytes() + np.float64(profile.spine_angle).tobytes() + _curved(profile)
    return cast(tuple[Array, bytes], profile.kept["said"])


def _curved(profile: Profile) -> bytes:
    """What tells profiles with a reference curvature apart; empty for the others."""
    return profile.reference_curvature.tobytes() if np.any(profile.reference_curvature != 0.0) else b""


class Stack(NamedTuple):
    """Models that have as many intervals, stacked along a first axis."""

    cases: NDArray[np.int64]
    """(m,) which of the beams asked for they are"""
    model: CurvatureModel
    """Every array with m in front"""


def prepare_many(
    profiles: Sequence[Profile | Stations],
    tips: Array,
    viscosities: Array,
    *,
    root_inertia: Array,
    gravity: Array,
    store: TableStore | None = None,
) -> list[Stack]:
    """`curvature.prepare` of many beams.

    Parameters
    ----------
    profiles : k of them
    tips : (k, 13) mass (kg), centre of gravity (m) and inertia about it (kg·m²) of the bodies at the tips
    viscosities : (k, 2) s, (bending, twist)
    root_inertia : (3, 3) or (k, 3, 3) kg·m²
    gravity : (3,) m/s², world
    store : where tables are kept; None: nowhere

    Raises
    ------
    InputError
        Arrays whose shapes do not belong together.
    """
    k = len(profiles)
    if tips.shape != (k, 13) or viscosities.shape != (k, 2):
        raise InputError(
            f"prepare_many: {k} profiles need tips ({k}, 13) and viscosities ({k}, 2); "
            f"found {tips.shape} and {viscosities.shape}"
        )
    inertia = np.broadcast_to(np.asarray(root_inertia, dtype=float), (k, 3, 3))
    down = np.broadcast_to(np.asarray(gravity, dtype=float), (k, 3))
    made = (TableStore() if store is None else store).get(profiles)
    lengths = np.array([table.length.size for table in made])
    stacks = []
    for intervals in np.unique(lengths):
        cases = np.flatnonzero(lengths == intervals)
        stacked = Tables(*(np.stack([made[i][field] for i in cases]) for field in range(len(Tables._fields))))
        model = CurvatureModel(
            **stacked._asdict(),
            viscosity=np.ascontiguousarray(viscosities[cases], dtype=float),
            tip=np.ascontiguousarray(tips[cases], dtype=float),
            root_inertia=np.ascontiguousarray(inertia[cases]),
            gravity=np.ascontiguousarray(down[cases]),
            links=np.zeros((cases.size, 0, LINK_WIDTH)),
        )
        stacks.append(Stack(cases, model))
    return stacks


def start_many(model: CurvatureModel, inputs: Sequence[StageInputs] | StageInputs) -> tuple[Array, NDArray[np.bool_]]:
    """Unknowns at the equilibrium of the first instant, of stacked models.

    Parameters
    ----------
    model : of a `Stack`, m models
    inputs : one row each, of all of them or of every one; all have the same number of free axes of the root

    Returns
    -------
    x : (m, free + functions) rad
    found : (m,) False where there is no equilibrium; x is nan there
    """
    m, functions = model.stiffness.shape[:2]
    if isinstance(inputs, StageInputs):
        free = inputs.free.shape[2]
        packed = np.repeat(pack(inputs)[:1], m, axis=0)
    else:
        free = inputs[0].free.shape[2]
        packed = np.concatenate([pack(one)[:1] for one in inputs])
    n, intervals = free + functions, model.length.shape[1]
    x = np.zeros((m, n))
    found = np.zeros(m, dtype=np.int8)
    settle_cases(
        model,
        packed,
        free,
        x,
        found,
        np.zeros((intervals, 3)),
        np.zeros(3),
        new_workspace(intervals),
        np.zeros((n, n)),
        np.zeros((n, n)),
        np.zeros((5, n)),
    )
    sound = found.astype(bool)
    for case in np.flatnonzero(~sound):
        # Loads so large that they must grow step by step: the readable way knows how.
        one = CurvatureModel(*(np.ascontiguousarray(a[case]) for a in model))
        shape = settle_at_once(one, packed[case], free)
        sound[case] = shape is not None
        x[case] = np.nan if shape is None else shape
    return x, sound
