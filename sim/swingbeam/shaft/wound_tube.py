"""A circular tube of wound layers: bending and torsional stiffness, mass, and how it twists when it is pulled.

What is assumed. Every layer is a thin sheet in plane stress at its own radius r, from which its strains follow, and
through whose thickness its stiffness is integrated exactly:

* in bending by the curvature κ, at the place φ round the circumference, ε_x = κ r sin φ; at each such place the
  wall has one hoop strain, common to all layers, of the size that leaves no hoop force (the hoop is free), and one
  shear strain, of the size that leaves no shear force (a tube that only bends carries none);
* in twist by the rate τ, γ_xy = r τ; the tube carries no axial force and no hoop force.

The sizes left free are those that make the strain energy least, which is what "no force" means when layers lie at
different radii (each is weighted by its circumference). If every layer's hoop strain were free by itself EI would
come out somewhat lower; if the wall were smeared to one laminate, the order of the layers would not matter. Both
are wrong: layers are cured together, and a lengthwise ply is worth more the further out it lies. For one isotropic
material this gives EI and GJ of the elementary formulas, EI to within ν²/(1 − ν²) · h²/(12 r²) for the wall h: the
hoop strain of a bent solid grows with r, here it is common.

Sources: stiffness of a layer, Jones, Mechanics of Composite Materials, 2nd ed., ch. 2 and 4; assembled over the
circumference as in Rehfield, Atilgan & Hodges 1990, Nonclassical behavior of thin-walled composite beams with
closed cross sections, J. Am. Helicopter Soc. 35:42 (the citation from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class WoundSections:
    """Sections of a wound tube at n stations, SI.

    Attributes
    ----------
    ei, gj : (n,) N·m²
    mass_per_length : (n,) kg/m
    diameter : (n,) m, outer
    pull_twist : (n,) rad/(m·N), twist per length under an axial pull; turns right-handed about the pull +. It is
        zero where every +θ ply has its −θ ply. An unbalanced tube does not twist when it bends: what one side of
        the circumference would do, the other undoes (∫ sin φ dφ = 0); it twists when it is pulled.
    """

    ei: Array
    gj: Array
    mass_per_length: Array
    diameter: Array
    pull_twist: Array


def wound_sections(inner_radius: Array, thicknesses: Array, stiffnesses: Array, densities: Array) -> WoundSections:
    """Section properties of wound layers.

    Parameters
    ----------
    inner_radius : (n,) m, of the innermost layer
    thicknesses : (k, n) m, layers from the inside to the outside; 0 where a layer does not reach
    stiffnesses : (k, 3, 3) Pa, Q̄ of each layer in the tube's axes
    densities : (k,) kg/m³
    """
    faces = inner_radius + np.vstack([np.zeros_like(inner_radius), np.cumsum(thicknesses, axis=0)])
    # ∫ Q̄ r^p dr over the wall, p = 1, 2, 3, each (n, 3, 3).
    first, second, third = (
        np.einsum("kn,kij->nij", (faces[1:] ** (p + 1) - faces[:-1] ** (p + 1)) / (p + 1), stiffnesses)
        for p in (1, 2, 3)
    )
    bending = np.pi * _energy(first, second, third, own_radius=(True, False, False))
    axial = 2.0 * np.pi * _energy(first, second, third, own_radius=(False, False, True))
    bent: Array = np.asarray(np.linalg.inv(bending), dtype=np.float64)
    twist: Array = np.asarray(np.linalg.inv(axial), dtype=np.float64)
    area = np.pi * (faces[1:] ** 2 - faces[:-1] ** 2)
    return WoundSections(
        ei=1.0 / bent[:, 0, 0],
        gj=1.0 / twist[:, 2, 2],
        mass_per_length=densities @ area,
        diameter=2.0 * faces[-1],
        pull_twist=twist[:, 0, 2],
    )


def _energy(first: Array, second: Array, third: Array, own_radius: tuple[bool, bool, bool]) -> Array:
    """(n, 3, 3): strain energy's matrix in the sizes of (ε_x, ε_y, γ_xy), those marked growing with r."""
    by_power = (first, second, third)
    out = np.empty_like(first)
    for i in range(3):
        for j in range(3):
            out[:, i, j] = by_power[int(own_radius[i]) + int(own_radius[j])][:, i, j]
    return out
