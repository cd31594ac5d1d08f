"""The head: a rigid body behind and beside the shaft axis, with a face."""

from __future__ import annotations

import os
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swingbeam.beam.errors import InputError
from swingbeam.files.base import naming, read_toml
from swingbeam.files.head_file import CentreOfGravity, HeadFile, InertiaTable
from swingbeam.files.lookup import path_of

Array = NDArray[np.float64]

PHYSICAL_ROUNDING = 1e-6
"""Share of the largest moment by which a stated inertia may miss symmetry or the triangle inequality: files
carry a few digits."""
_UNITY = np.eye(3)


@dataclass(frozen=True, eq=False)
class Head:
    """A bare head; SI, in the grip frame (x down the shaft, y forward, z toe-ward) from the hosel mouth.

    Attributes
    ----------
    name, kind, note : str
    mass : float, kg
    cg : (3,) m; the middle number is negative for a centre of gravity behind the shaft axis
    inertia : (3, 3) kg·m², about the centre of gravity
    loft, lie, face_angle : float, rad, with the club soled; face angle open +
    hosel_height : float, m, hosel mouth above the ground with the club soled
    insertion : float, m, depth of the hosel
    bore : float or None, m, diameter of the hole in the hosel; None: not known
    face_centre : (3,) m
    bulge_radius, roll_radius : float, m; inf is flat
    face_width, face_height : float, m
    restitution : float or None, of a ball struck at 160 ft/s; None: that of its kind
    """

    name: str
    kind: str
    mass: float
    cg: Array
    inertia: Array
    loft: float
    lie: float
    face_angle: float
    hosel_height: float
    insertion: float
    face_centre: Array
    bulge_radius: float
    roll_radius: float
    face_width: float
    face_height: float
    note: str = ""
    restitution: float | None = None
    bore: float | None = None

    def __post_init__(self) -> None:
        for name in ("cg", "inertia", "face_centre"):
            array = np.array(getattr(self, name), dtype=float)
            array.setflags(write=False)
            object.__setattr__(self, name, array)
        check_inertia(self.inertia)


def soled_axes(lie: float) -> Array:
    """(3, 3) world axes x, y, z (target, to the golfer, up) as columns in the grip frame, soled at `lie` rad.

    The grip frame has x_G = (0, −cos λ, −sin λ), y_G = (1, 0, 0), z_G = (0, −sin λ, cos λ) in the world, the
    face's square side toward the target.
    """
    c, s = np.cos(lie), np.sin(lie)
    return np.array([[0.0, -c, -s], [1.0, 0.0, 0.0], [0.0, -s, c]])


def move_inertia(inertia: ArrayLike, mass: float, offset: ArrayLike) -> Array:
    """Inertia about a point from that about the centre of gravity, `offset` (3,) m apart (either sign).

    Parallel-axis theorem: I_P = I_C + m (c·c 1 − c cᵀ) (Goldstein, Classical Mechanics, 2nd ed., §5-3).
    """
    c = np.asarray(offset, dtype=float)
    return np.asarray(np.asarray(inertia, dtype=float) + mass * (float(c @ c) * _UNITY - c[:, None] * c))


def check_inertia(inertia: Array) -> None:
    """Refuse what no rigid body has.

    Raises
    ------
    InputError
        Not finite, not symmetric, not positive, or a principal moment larger than the sum of the other two.
    """
    if inertia.shape != (3, 3) or not np.all(np.isfinite(inertia)):
        raise InputError("inertia: found values that are not a finite 3 by 3 tensor")
    scale = float(np.abs(inertia).max())
    if np.abs(inertia - inertia.T).max() > PHYSICAL_ROUNDING * scale:
        raise InputError("inertia: found unequal entries across the diagonal; allowed: a symmetric tensor")
    low, middle, high = (float(v) * 1e7 for v in np.linalg.eigvalsh(0.5 * (inertia + inertia.T)))
    shown = f"{low:.4g}, {middle:.4g} and {high:.4g} g*cm^2"
    if low <= 0.0:
        raise InputError(f"inertia: found principal moments {shown} about the cg; allowed: positive ones")
    if high > (low + middle) * (1.0 + PHYSICAL_ROUNDING):
        raise InputError(
            f"inertia: found principal moments {shown} about the cg; allowed: none larger than the sum of the other two"
        )


def load_head(name: str | os.PathLike[str]) -> Head:
    """Read a head by name or path.

    Raises
    ------
    InputError
        No such head, a file that cannot be read, or what it says cannot be a head.
    """
    path = path_of("head", name)
    record = read_toml(path, HeadFile)
    with naming(path):
        return head_from_file(record)


def head_from_file(record: HeadFile) -> Head:
    """A head from its file's record; InputError for an inertia that no body has."""
    centre = record.face.centre
    return Head(
        name=record.name,
        kind=record.kind,
        mass=record.mass,
        cg=_point(record.cg),
        inertia=_inertia_about_cg(record),
        loft=record.loft,
        lie=record.lie,
        face_angle=record.face_angle,
        hosel_height=record.hosel_height,
        insertion=record.insertion,
        face_centre=np.array([centre.along, centre.forward, centre.toe]),
        bulge_radius=np.inf if record.face.bulge_radius is None else record.face.bulge_radius,
        roll_radius=np.inf if record.face.roll_radius is None else record.face.roll_radius,
        face_width=record.face.width,
        face_height=record.face.height,
        note=record.note,
        restitution=record.face.restitution,
        bore=record.bore,
    )


def _point(place: CentreOfGravity) -> Array:
    return np.array([place.along, -place.rearward, place.toe])


def _inertia_about_cg(record: HeadFile) -> Array:
    table = record.inertia
    stated = _stated_tensor(table)
    if table.axes == "head":
        x, y, z = soled_axes(record.lie).T
        axes = np.column_stack([x, -y, z])  # forward, toe, up: the tensor turns alike for a left-handed set
        stated = axes @ stated @ axes.T
    cg = _point(record.cg)
    if table.point is not None:
        offset = _point(table.point) - cg
    elif table.about == "hosel mouth":
        offset = cg
    else:
        return stated
    return stated - move_inertia(np.zeros((3, 3)), record.mass, offset)


def _stated_tensor(table: InertiaTable) -> Array:
    if table.tensor is not None:
        tensor = np.array(table.tensor)
        scale = float(np.abs(tensor).max())
        if np.abs(tensor - tensor.T).max() > PHYSICAL_ROUNDING * scale:
            raise InputError("inertia.tensor: found unequal entries across the diagonal; allowed: a symmetric tensor")
        return tensor
    if table.moments is None:
        raise InputError("inertia: found neither moments nor tensor")
    return np.diag(table.moments)
