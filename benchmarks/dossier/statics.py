"""Statics: cantilevers, tapers, large deflections, beams bent out of their plane."""

from __future__ import annotations

from typing import Any

import numpy as np

from swingbeam.beam import Profile, static_shape
from verification.beams import tapered, uniform
from verification.test_statics import PRINCETON

from .row import Problem

SMALL = 1e-4
"""Load over EI/L²; what is left of geometry is a relative 1e-8."""
GERE = "Gere & Timoshenko, Mechanics of Materials"


def deflection(profile: Profile, **loads: Any) -> Any:
    """Tip deflection along y over the size of the load."""
    return lambda **mesh: static_shape(profile, **loads, **mesh).position[-1, 1] / SMALL


def bending_cases() -> list[Problem]:
    """Small loads on uniform, tapered and stepped cantilevers."""
    push, turn = {"tip_force": [0, SMALL, 0]}, {"tip_moment": [0, 0, SMALL]}
    found = [
        Problem(
            "Uniform cantilever, tip force",
            f"{GERE}, table G-1",
            ["δ EI/PL³"],
            [1 / 3],
            1e-6,
            deflection(uniform(), **push),
        ),
        Problem(
            "Uniform cantilever, tip moment",
            f"{GERE}, table G-1",
            ["δ EI/ML²"],
            [1 / 2],
            1e-6,
            deflection(uniform(), **turn),
        ),
        Problem(
            "Uniform cantilever, line load",
            f"{GERE}, table G-1",
            ["δ EI/qL⁴"],
            [1 / 8],
            1e-6,
            deflection(uniform(), line_load=[0, SMALL, 0]),
        ),
        Problem(
            "Thin tube, constant wall, d halved to the tip",
            f"{GERE} §9.7",
            ["δ EI_A/PL³"],
            [np.log(2) - 5 / 8],
            1e-4,
            deflection(tapered(3, 1, 0.5, stations=513, root_ei=8.0), **push),
        ),
        Problem(
            "Solid cone, d halved to the tip",
            f"{GERE} §9.7",
            ["δ EI_A/PL³"],
            [1 / 24],
            1e-4,
            deflection(tapered(4, 2, 0.5, stations=513, root_ei=16.0), **push),
        ),
        Problem(
            "Stepped cantilever, 2 I on the fixed half",
            f"{GERE} §9.7",
            ["δ EI₁/PL³"],
            [0.1875],
            1e-6,
            deflection(Profile([0, 0.5, 0.5, 1], [2, 2, 1, 1], 1.0, 1.0), **push),
        ),
    ]
    for r, expected in ((1 / 2, 0.386294), (1 / 3, 0.411980), (1 / 4, 0.427599)):
        found.append(
            Problem(
                f"EI linear from 1 to {r:.3g}, tip force",
                "unit load theorem",
                ["δ EI₀/PL³"],
                [expected],
                1e-4,
                deflection(Profile([0, 1], [1, r], 1.0, 1.0), **push),
            )
        )
    return found


def large_cases() -> list[Problem]:
    """Large deflections in a plane."""
    found = []
    for alpha, expected in (
        (1.0, (0.30172, 0.05643, 0.46135)),
        (2.0, (0.49346, 0.16064, 0.78175)),
        (5.0, (0.71379, 0.38763, 1.21537)),
        (10.0, (0.81061, 0.55500, 1.43029)),
    ):

        def measure(alpha: float = alpha, **mesh: Any) -> list[float]:
            shape = static_shape(uniform(), tip_force=[0, alpha, 0], **mesh)
            x, y, _ = shape.position[-1]
            return [y, 1 - x, np.arctan2(shape.rotation[-1, 1, 0], shape.rotation[-1, 0, 0])]

        found.append(
            Problem(
                f"Dead tip load PL²/EI = {alpha:g}",
                "Mattiasson 1981, table 1; Bisshopp & Drucker 1945",
                ["w/L", "u/L", "θ, rad"],
                expected,
                1e-4,
                measure,
            )
        )

    def rolled(**mesh: Any) -> np.ndarray:
        return static_shape(uniform(), tip_moment=[0, 0, 2 * np.pi], **mesh).position[-1, :2]

    found.append(
        Problem("Roll-up, tip moment 2πEI/L", "Euler", ["tip x/L", "tip y/L"], [0, 0], 1e-3, rolled, absolute=True)
    )

    def thick(**mesh: Any) -> list[float]:
        profile = uniform(5.0, 9.346e6, gj=1e6, mass=1.0, ea=4.8e8, ga=3.231e8)
        shape = static_shape(profile, tip_force=[0, 0, -600e3], **mesh)
        x, _, z = shape.position[-1]
        return [x - 5.0, z, np.arctan2(-shape.rotation[-1, 2, 0], shape.rotation[-1, 0, 0])]

    found.append(
        Problem(
            "Cantilever with stretch and shear, 600 kN (no such in `curvature`)",
            "Simpson & Palacios 2013",
            ["u, m", "w, m", "rotation, rad"],
            [-0.5965, -2.1597, 0.6720],
            1e-3,
            thick,
            ("elements",),
        )
    )
    return found


def space_cases() -> list[Problem]:
    """Bent out of the plane: the 45° bend and the Princeton beam."""
    found = []
    length = 100.0 * np.pi / 4
    bend = Profile(
        [0, length], 1e7 / 12, 5e6 * 0.1406, 1.0, ea=1e7, ga=5e6, reference_curvature=np.tile([0, 0, 0.01], (2, 1))
    )
    for load, tip in (
        (300, (58.536, 22.113, 40.480)),
        (450, (51.970, 18.369, 48.705)),
        (600, (46.892, 15.558, 53.607)),
    ):

        def measure(load: float = load, **mesh: Any) -> np.ndarray:
            return static_shape(bend, tip_force=[0, 0, load], **mesh).position[-1]

        found.append(
            Problem(
                f"45° bend, load {load}",
                "Bathe & Bolourchi 1979; Simo & Vu-Quoc 1986; figures by collocation",
                ["x", "y", "z"],
                tip,
                1e-3,
                measure,
            )
        )
    princeton = uniform(0.508, PRINCETON["ei"], PRINCETON["gj"], 0.1)
    for angle, expected in (
        (15, (0.01063, 0.04213, 0.906)),
        (30, (0.01015, 0.07946, 1.512)),
        (60, (0.00665, 0.12992, 1.381)),
    ):

        def twisted(angle: float = angle, **mesh: Any) -> list[float]:
            a = np.radians(angle)
            shape = static_shape(princeton, tip_force=8.896 * np.array([0, np.cos(a), np.sin(a)]), **mesh)
            turn = shape.rotation[-1]
            return [*shape.position[-1, 1:], abs(np.degrees(np.arctan2(turn[2, 1], turn[1, 1])))]

        found.append(
            Problem(
                f"Princeton beam, 8.896 N at {angle}°",
                "Dowell & Traybar 1975; Obrezkov et al. 2022",
                ["v, m", "w, m", "twist, deg"],
                expected,
                2e-3,
                twisted,
            )
        )
    return found


PROBLEMS = [*bending_cases(), *large_cases(), *space_cases()]
