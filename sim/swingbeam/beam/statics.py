"""The shape of a beam clamped at its root under dead loads and steady spin."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import InputError
from .march import solver_module
from .model import Profile, TipBody

Array = NDArray[np.float64]

STATIC_ELEMENTS = 800
"""Elements of a static shape. Elements of constant strain leave 1/(4 n²) of a tip-loaded cantilever's deflection out:
4·10⁻⁷ here, below what the stiff default of shear adds (`STIFF_SHEAR_RATIO`), for some hundredths of a second."""


class StaticLoads(NamedTuple):
    """Loads in the root frame; all dead: they keep their direction as the beam bends."""

    tip_force: Array
    """(3,) N"""
    tip_moment: Array
    """(3,) N·m"""
    line_load: Array
    """(n, 3) N/m at the profile's stations, linear between them"""
    gravity: Array
    """(3,) m/s², acting on the beam and the tip body"""
    spin: Array
    """(3,) rad/s, steady"""
    hub: Array
    """(3,) m from the spin axis to the root"""


class Shape(NamedTuple):
    """A static shape at the profile's stations, in the root frame."""

    position: Array
    """(n, 3) m"""
    rotation: Array
    """(n, 3, 3) section → root"""


def _vector(name: str, value: ArrayLike | None) -> Array:
    array = np.zeros(3) if value is None else np.array(value, dtype=float)
    if array.shape != (3,) or not np.all(np.isfinite(array)):
        raise InputError(f"{name} must be three finite numbers, found {value!r}")
    return array


def static_loads(
    profile: Profile,
    *,
    tip_force: ArrayLike | None = None,
    tip_moment: ArrayLike | None = None,
    line_load: ArrayLike | None = None,
    gravity: ArrayLike | None = None,
    spin: ArrayLike | None = None,
    hub: ArrayLike | None = None,
) -> StaticLoads:
    """Checked loads; see `static_shape`."""
    n = profile.s.size
    line = np.zeros((n, 3)) if line_load is None else np.array(line_load, dtype=float)
    if line.shape == (3,):
        line = np.tile(line, (n, 1))
    if line.shape != (n, 3) or not np.all(np.isfinite(line)):
        raise InputError(f"line_load must be finite and of shape (3,) or ({n}, 3)")
    return StaticLoads(
        _vector("tip_force", tip_force),
        _vector("tip_moment", tip_moment),
        line,
        _vector("gravity", gravity),
        _vector("spin", spin),
        _vector("hub", hub),
    )


def static_shape(
    profile: Profile,
    tip: TipBody | None = None,
    *,
    tip_force: ArrayLike | None = None,
    tip_moment: ArrayLike | None = None,
    line_load: ArrayLike | None = None,
    gravity: ArrayLike | None = None,
    spin: ArrayLike | None = None,
    hub: ArrayLike | None = None,
    solver: str = "elements",
    elements: int = STATIC_ELEMENTS,
    functions: tuple[int, int] = (8, 4),
) -> Shape:
    """Equilibrium of a beam clamped at its root.

    Parameters
    ----------
    tip_force, tip_moment : (3,) N, N·m: dead loads at the tip of the axis, root frame
    line_load : (3,) or (n, 3) N/m: dead load along the axis, root frame
    gravity : (3,) m/s², root frame
    spin, hub : (3,) rad/s and (3,) m: the root frame turns steadily about an axis through the point −hub
    solver : "elements" or "curvature" (which has no stretch and no shear)
    elements : number of elements (`elements`)
    functions : bending functions a plane, twist functions (`curvature`)

    Returns
    -------
    Shape
        position (n, 3) m and rotation (n, 3, 3) at the profile's stations, root frame.

    Raises
    ------
    InputError
        Wrong shapes or values.
    SimulationError
        No equilibrium was found.
    """
    module = solver_module(solver)
    loads = static_loads(
        profile,
        tip_force=tip_force,
        tip_moment=tip_moment,
        line_load=line_load,
        gravity=gravity,
        spin=spin,
        hub=hub,
    )
    body = TipBody.none() if tip is None else tip
    model = _prepare(module, solver, profile, body, elements, functions)
    position, rotation = module.solve_static(model, profile, loads)
    return Shape(position, rotation)


def _prepare(
    module: object, solver: str, profile: Profile, body: TipBody, elements: int, functions: tuple[int, int]
) -> object:
    none = np.zeros((3, 3))
    if solver == "elements":
        return module.prepare(  # type: ignore[attr-defined]
            profile, body, (0.0, 0.0), elements=elements, root_inertia=none, gravity=np.zeros(3)
        )
    return module.prepare(profile, body, (0.0, 0.0), functions=functions, root_inertia=none)  # type: ignore[attr-defined]
