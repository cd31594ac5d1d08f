"""A metal tube's section properties from its diameters, wall and material."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def section_area(diameter: ArrayLike, wall: ArrayLike) -> Array:
    """Area of a circular tube, m²: π (D² − d²)/4 with d = D − 2 wall.

    Source: Young & Budynas, Roark's Formulas for Stress and Strain, 7th ed., table A.1 (hollow circular
    section).
    """
    outer = np.asarray(diameter, dtype=float)
    inner = outer - 2.0 * np.asarray(wall, dtype=float)
    return np.asarray(np.pi * (outer**2 - inner**2) / 4.0)


def second_moment(diameter: ArrayLike, wall: ArrayLike) -> Array:
    """Second moment of area about a diameter, m⁴: I = π (D⁴ − d⁴)/64 (Roark, table A.1)."""
    outer = np.asarray(diameter, dtype=float)
    inner = outer - 2.0 * np.asarray(wall, dtype=float)
    return np.asarray(np.pi * (outer**4 - inner**4) / 64.0)


def tube_stiffness(
    diameter: ArrayLike, wall: ArrayLike, modulus: float, poisson: float, density: float
) -> tuple[Array, Array, Array]:
    """Bending stiffness, torsional stiffness and mass per length of a tube of an isotropic metal.

    Parameters
    ----------
    diameter, wall : (n,) m, outer diameter and wall thickness
    modulus : Young's modulus, Pa
    poisson : Poisson's ratio
    density : kg/m³

    Returns
    -------
    EI (n,) N·m², GJ (n,) N·m², mass (n,) kg/m, with G = E/(2(1 + ν)) and J = 2 I (exact for a circular
    section: Roark, table 10.1, case 10), so that GJ = EI/(1 + ν).
    """
    bending = modulus * second_moment(diameter, wall)
    shear_modulus = modulus / (2.0 * (1.0 + poisson))
    torsion = shear_modulus * 2.0 * second_moment(diameter, wall)
    return bending, torsion, density * section_area(diameter, wall)
