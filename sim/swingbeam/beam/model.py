"""What is simulated: a slender, straight or curved beam and the rigid body at its tip."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import InputError

Array = NDArray[np.float64]

STIFF_STRETCH_RATIO = 1.0e7
"""EA when none is given: this ratio times the largest EI over the length squared. A thin tube has
EA L²/EI = 2 (L/r)², some 10⁴ for a slender one, so this is stiff without spoiling the arithmetic."""
STIFF_SHEAR_RATIO = 1.0e7
"""GA when none is given: this ratio times the largest EI over the length squared, so that the shear deflection
of a tip-loaded cantilever is 3/ratio of its bending deflection (Timoshenko: 3 EI/(GA L²)), 3·10⁻⁷."""


def _column(name: str, value: ArrayLike, n: int) -> Array:
    array = np.array(value, dtype=float)
    if array.ndim == 0:
        array = np.full(n, float(array))
    if array.shape != (n,):
        raise InputError(f"Profile: {name} has shape {array.shape}; one value per station is needed, ({n},)")
    if not np.all(np.isfinite(array)):
        raise InputError(f"Profile: {name} holds a value that is not a finite number")
    return array


@dataclass(frozen=True, eq=False)
class Profile:
    """A beam's section properties along its axis, linear between stations.

    Parameters
    ----------
    s : (n,) m
        Stations from the root (0) to the tip, not decreasing; a value given twice is a step.
    ei : (n,) or (n, 2) N·m²
        Bending stiffness. Column 0: bending that moves the tip along y, column 1: along z; one column: both.
    gj : (n,) or scalar, N·m²
        Torsional stiffness.
    mass : (n,) or scalar, kg/m
        Mass per length.
    ea, ga : (n,) or scalar, N, optional
        Stretch and shear stiffness; None means stiff: `STIFF_STRETCH_RATIO` and `STIFF_SHEAR_RATIO` times
        max(EI)/L².
    rotary : (n,) or scalar, kg·m, optional
        Polar rotary inertia per length about the axis; the transverse one is half of it. None: zero.
    spine_angle : float, rad
        The principal planes of bending are turned by this angle about x.
    reference_curvature : (n, 3) 1/m, optional
        Twist and curvatures (κ_x, κ_y, κ_z) of the unloaded shape in the section frame: R' = R κ^.

    Raises
    ------
    InputError
        A wrong shape, a non-finite or non-positive property, stations that decrease or do not start at 0.
    """

    s: Array
    ei: Array
    gj: Array
    mass: Array
    ea: Array
    ga: Array
    rotary: Array
    spine_angle: float
    reference_curvature: Array
    kept: dict[Any, Any] = field(default_factory=dict, init=False, repr=False)
    """Tables that solvers have made of this profile; not part of what it is."""

    def __init__(
        self,
        s: ArrayLike,
        ei: ArrayLike,
        gj: ArrayLike,
        mass: ArrayLike,
        ea: ArrayLike | None = None,
        ga: ArrayLike | None = None,
        rotary: ArrayLike | None = None,
        spine_angle: float = 0.0,
        reference_curvature: ArrayLike | None = None,
    ) -> None:
        stations = np.array(s, dtype=float)
        if stations.ndim != 1 or stations.size < 2:
            raise InputError(f"Profile: s has shape {stations.shape}; at least two stations are needed")
        n = stations.size
        if not np.all(np.isfinite(stations)):
            raise InputError("Profile: s holds a value that is not a finite number")
        if stations[0] != 0.0:
            raise InputError(f"Profile: s starts at {stations[0]:g} m; it must start at the root, 0")
        if np.any(np.diff(stations) < 0.0) or stations[-1] <= 0.0:
            raise InputError("Profile: s must not decrease and must end at the tip, a positive length")
        if np.any((np.diff(stations)[:-1] == 0.0) & (np.diff(stations)[1:] == 0.0)):
            raise InputError("Profile: a station may be given twice (a step), not three times")
        bending = np.array(ei, dtype=float)
        if bending.ndim == 2 and bending.shape == (n, 2):
            bending = np.column_stack([_column("ei", bending[:, 0], n), _column("ei", bending[:, 1], n)])
        else:
            bending = np.column_stack([_column("ei", bending, n)] * 2)
        stiff = float(bending.max()) / float(stations[-1]) ** 2
        values = {
            "s": stations,
            "ei": bending,
            "gj": _column("gj", gj, n),
            "mass": _column("mass", mass, n),
            "ea": _column("ea", STIFF_STRETCH_RATIO * stiff if ea is None else ea, n),
            "ga": _column("ga", STIFF_SHEAR_RATIO * stiff if ga is None else ga, n),
            "rotary": _column("rotary", 0.0 if rotary is None else rotary, n),
        }
        for name in ("ei", "gj", "ea", "ga"):
            if np.any(values[name] <= 0.0):
                raise InputError(f"Profile: {name} must be positive at every station")
        for name in ("mass", "rotary"):
            if np.any(values[name] < 0.0):
                raise InputError(f"Profile: {name} must not be negative")
        curvature = np.zeros((n, 3)) if reference_curvature is None else np.array(reference_curvature, dtype=float)
        if curvature.shape != (n, 3) or not np.all(np.isfinite(curvature)):
            raise InputError(f"Profile: reference_curvature must be finite and of shape ({n}, 3)")
        if not np.isfinite(spine_angle):
            raise InputError("Profile: spine_angle must be finite")
        values["reference_curvature"] = curvature
        for name, array in values.items():
            array.setflags(write=False)
            object.__setattr__(self, name, array)
        object.__setattr__(self, "spine_angle", float(spine_angle))
        object.__setattr__(self, "kept", {})

    @property
    def length(self) -> float:
        """Length of the axis, m."""
        return float(self.s[-1])

    @property
    def total_mass(self) -> float:
        """Mass of the beam, kg."""
        return float(np.sum(0.5 * (self.mass[1:] + self.mass[:-1]) * np.diff(self.s)))

    @property
    def breaks(self) -> Array:
        """The distinct stations, m: properties are smooth between them."""
        return np.unique(self.s)

    def pieces(self) -> list[tuple[float, float, int]]:
        """The intervals (start, end, index of the left station) on which every property is linear."""
        return [(float(a), float(b), i) for i, (a, b) in enumerate(zip(self.s[:-1], self.s[1:], strict=True)) if b > a]


@dataclass(frozen=True, eq=False)
class TipBody:
    """A rigid body fixed to the tip section.

    Parameters
    ----------
    mass : float, kg
    offset : (3,) m
        Centre of gravity from the tip of the axis, in the tip section frame.
    inertia : (3, 3) kg·m²
        Inertia about the centre of gravity, tip section axes.

    Raises
    ------
    InputError
        A negative mass, a value that is not finite, an inertia that is not symmetric, not positive
        semi-definite, or breaks the triangle inequality of principal moments.
    """

    mass: float
    offset: Array
    inertia: Array

    def __init__(self, mass: float, offset: ArrayLike = (0.0, 0.0, 0.0), inertia: ArrayLike | None = None) -> None:
        point = np.array(offset, dtype=float)
        tensor = np.zeros((3, 3)) if inertia is None else np.array(inertia, dtype=float)
        if not np.isfinite(mass) or mass < 0.0:
            raise InputError(f"TipBody: mass is {mass!r}; a finite mass in kg, not negative, is needed")
        if point.shape != (3,) or not np.all(np.isfinite(point)):
            raise InputError("TipBody: offset must be three finite numbers")
        if tensor.shape == (3,):
            tensor = np.diag(tensor)
        if tensor.shape != (3, 3) or not np.all(np.isfinite(tensor)):
            raise InputError("TipBody: inertia must be a finite 3×3 tensor")
        scale = float(np.abs(tensor).max())
        if np.abs(tensor - tensor.T).max() > 1e-9 * scale:
            raise InputError("TipBody: inertia must be symmetric")
        tensor = 0.5 * (tensor + tensor.T)
        principal = np.linalg.eigvalsh(tensor)
        if principal[0] < -1e-12 * scale:
            raise InputError("TipBody: inertia has a negative principal moment")
        if principal[2] > (principal[0] + principal[1]) * (1.0 + 1e-9) + 1e-12 * scale:
            raise InputError("TipBody: the largest principal moment of inertia exceeds the sum of the other two")
        point.setflags(write=False)
        tensor.setflags(write=False)
        object.__setattr__(self, "mass", float(mass))
        object.__setattr__(self, "offset", point)
        object.__setattr__(self, "inertia", tensor)

    @classmethod
    def none(cls) -> TipBody:
        """No body: a bare tip."""
        return cls(0.0)

    def inertia_about_tip(self) -> Array:
        """(3, 3) kg·m² about the tip of the axis (parallel-axis theorem)."""
        c = self.offset
        return self.inertia + self.mass * (float(c @ c) * np.eye(3) - np.outer(c, c))
