"""Classical laminated-plate theory: the stiffness of a ply, of a turned ply, and of a stack of plies.

Axes 1 along the fibres, 2 across them in the ply; x along the laminate (the shaft), y across (the hoop). Strains
and stresses are ordered (x, y, xy), with the engineering shear strain γ_xy. Angles turn from x toward y.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.units import show

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PlyMaterial:
    """A ply of one material, cured; SI.

    Attributes
    ----------
    name : str
    e1, e2 : Young's moduli along and across the fibres, Pa
    g12 : shear modulus in the ply, Pa
    nu12 : Poisson's ratio, contraction across under a pull along the fibres
    density : kg/m³
    thickness : of one wrap, m
    metal : whether it is a homogeneous isotropic material, whose g12 is not its own but e1/(2(1 + nu12))

    Raises
    ------
    InputError
        A constant that is not positive, or a Poisson's ratio beyond √(E1/E2): the ply would give work for nothing
        (Jones, Mechanics of Composite Materials, 2nd ed., §2.4).
    """

    name: str
    e1: float
    e2: float
    g12: float
    nu12: float
    density: float
    thickness: float
    metal: bool = False

    def __post_init__(self) -> None:
        for key in ("e1", "e2", "g12", "density", "thickness"):
            value = getattr(self, key)
            if not (math.isfinite(value) and value > 0.0):
                raise InputError(f'material "{self.name}": {key}: found {value!r}; allowed: above 0')
        if not self.nu12**2 < self.e1 / self.e2:
            raise InputError(
                f'material "{self.name}": nu12: found {self.nu12:g}; allowed with {show(self.e1, "GPa")} along and '
                f"{show(self.e2, 'GPa')} across: less than √(e1/e2) = {math.sqrt(self.e1 / self.e2):.3g} in size"
            )


def metal_ply(name: str, modulus: float, poisson: float, density: float, thickness: float) -> PlyMaterial:
    """A homogeneous isotropic layer, such as a metal tube: G = E/(2(1 + ν))."""
    shear = modulus / (2.0 * (1.0 + poisson))
    return PlyMaterial(name, modulus, modulus, shear, poisson, density, thickness, metal=True)


def reduced_stiffness(material: PlyMaterial) -> Array:
    """Q (3, 3), Pa, of a ply in plane stress, in its own axes.

    Q11 = E1/(1 − ν12 ν21), Q22 = E2/(1 − ν12 ν21), Q12 = ν12 E2/(1 − ν12 ν21), Q66 = G12, ν21 = ν12 E2/E1 (Jones,
    Mechanics of Composite Materials, 2nd ed., eq. 2.61 and 2.66; Tsai & Hahn, Introduction to Composite
    Materials, ch. 1).
    """
    denominator = 1.0 - material.nu12**2 * material.e2 / material.e1
    q12 = material.nu12 * material.e2 / denominator
    return np.array(
        [
            [material.e1 / denominator, q12, 0.0],
            [q12, material.e2 / denominator, 0.0],
            [0.0, 0.0, material.g12],
        ]
    )


def turned_stiffness(stiffness: Array, angle: float) -> Array:
    """Q̄ (3, 3), Pa: the stiffness Q of a ply whose fibres lie at `angle` (rad) to x, in the laminate's axes.

    Q̄ = Rᵀ Q R, R turning (x, y, xy) strains into the ply's axes (Jones, eq. 2.79–2.85 written as matrices; Kaw,
    Mechanics of Composite Materials, 2nd ed., eq. 2.104).
    """
    c, s = math.cos(angle), math.sin(angle)
    turn = np.array([[c * c, s * s, c * s], [s * s, c * c, -c * s], [-2.0 * c * s, 2.0 * c * s, c * c - s * s]])
    return turn.T @ stiffness @ turn


def laminate_stiffness(plies: Sequence[tuple[PlyMaterial, float]]) -> tuple[Array, Array, Array]:
    """A (Pa·m), B (Pa·m²), D (Pa·m³), each (3, 3), of a flat stack of one wrap each, about its mid-plane.

    (A, B, D) = Σ Q̄ (z_k − z_{k−1}, (z_k² − z_{k−1}²)/2, (z_k³ − z_{k−1}³)/3) (Jones, eq. 4.22–4.24; Kaw, eq. 4.28).

    Parameters
    ----------
    plies : (material, angle in rad) from one face to the other

    Raises
    ------
    InputError
        No plies.
    """
    if not plies:
        raise InputError("found a laminate of no plies; allowed: one or more")
    faces = np.concatenate([[0.0], np.cumsum([material.thickness for material, _ in plies])])
    faces -= 0.5 * faces[-1]
    a, b, d = np.zeros((3, 3, 3))
    for (material, angle), low, high in zip(plies, faces[:-1], faces[1:], strict=True):
        stiffness = turned_stiffness(reduced_stiffness(material), angle)
        a += stiffness * (high - low)
        b += stiffness * (high**2 - low**2) / 2.0
        d += stiffness * (high**3 - low**3) / 3.0
    return a, b, d


@dataclass(frozen=True)
class InPlaneModuli:
    """Engineering constants of a laminate in its plane: Young's moduli and shear modulus, Pa; Poisson's ratio."""

    ex: float
    ey: float
    gxy: float
    nuxy: float


def in_plane_moduli(extension: Array, thickness: float) -> InPlaneModuli:
    """Constants of a symmetric laminate from its A (Pa·m) and thickness (m): those of h A⁻¹ (Jones, §4.4;
    Kaw, eq. 4.35–4.43)."""
    compliance = np.linalg.inv(extension) * thickness
    return InPlaneModuli(
        ex=1.0 / compliance[0, 0],
        ey=1.0 / compliance[1, 1],
        gxy=1.0 / compliance[2, 2],
        nuxy=-compliance[0, 1] / compliance[0, 0],
    )
