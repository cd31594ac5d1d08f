"""Natural frequencies, at rest and in steady spin."""

from __future__ import annotations

from typing import Any

import numpy as np

from swingbeam.beam import Profile, TipBody, natural_frequencies
from verification.beams import tapered, uniform
from verification.test_modes import SLENDER

from .row import Problem

MESHES = (12, 24, 48)
"""Fewer than in statics: what the extrapolation leaves is 1e-5 of a third mode."""


def pairs(profile: Profile, tip: TipBody | None, count: int) -> Any:
    """Bending frequencies, rad/s, of a beam that bends alike in both planes: one of each pair."""
    return lambda **mesh: 2 * np.pi * natural_frequencies(profile, tip, count=2 * count, **mesh)[::2]


def modes(title: str, source: str, figures: list[str], expected: Any, tolerance: float, measure: Any) -> Problem:
    """A problem on the meshes of this page."""
    return Problem(title, source, figures, expected, tolerance, measure, meshes=MESHES)


def at_rest() -> list[Problem]:
    """Uniform and tapered beams, with and without a body at the tip."""
    slender = uniform(gj=1.0, rotary=SLENDER)
    three = ["ω₁", "ω₂", "ω₃"]
    found = [
        modes(
            "Uniform cantilever, ω in √(EI/mL⁴)",
            "Blevins, table 8-1",
            three,
            [3.51602, 22.0345, 61.6972],
            1e-3,
            pairs(slender, None, 3),
        )
    ]
    for ratio, beta in ((0.25, 1.57375), (1.0, 1.24792), (3.0, 0.98123), (10.0, 0.73578)):

        def factor(tip: TipBody = TipBody(ratio), **mesh: Any) -> np.ndarray:
            return np.sqrt(pairs(slender, tip, 1)(**mesh))

        found.append(
            modes(
                f"Tip mass of {ratio:g} beam masses", "Laura et al. 1974; Blevins", ["β₁, ω = β²"], [beta], 1e-4, factor
            )
        )
    for ratio, inertia, ahead, expected in (
        (1.0, 0.01, 0.0, (1.54368, 13.2396, 32.0696)),
        (1.0, 0.0, 0.1, (1.38613, 13.5478, 42.8014)),
        (2.0, 0.02, 0.05, (1.0752, 10.8766, 29.0660)),
    ):
        tip = TipBody(ratio, [ahead, 0, 0], [inertia] * 3)
        found.append(
            modes(
                f"Tip body: {ratio:g} beam masses, J/mL³ {inertia:g}, CG {ahead:g} L ahead",
                "Bhat & Wagner 1976; To 1982; figures by Ritz series",
                three,
                expected,
                1e-3,
                pairs(uniform(gj=1e6, rotary=SLENDER), tip, 3),
            )
        )
    for name, power, ratio, expected in (
        ("Thin tube", 3, 0.8, (3.6083, 20.621, 56.192)),
        ("Thin tube", 3, 0.5, (3.82379, 18.3173, 47.2648)),
        ("Thin tube", 3, 0.2, (4.2925, 15.7427, 36.8846)),
        ("Cone", 4, 0.8, (3.8551, 21.0567, 56.630)),
        ("Cone", 4, 0.5, (4.62515, 19.5476, 48.5789)),
        ("Cone", 4, 0.2, (6.1964, 18.3855, 39.8336)),
    ):
        profile = tapered(power, power - 2, ratio, stations=129, rotary=SLENDER)
        found.append(
            modes(
                f"{name}, tip depth {ratio:g} of the root's",
                "Mabie & Rogers 1972; Banerjee 2006",
                three,
                expected,
                1e-3,
                pairs(profile, None, 3),
            )
        )
    return found


def turning() -> list[Problem]:
    """Torsion, bending with twist, and flap in steady spin."""
    found = []
    for ratio, b in ((0.1, 1.428870), (1.0, 0.860334), (5.0, 0.432841)):
        tip = TipBody(0.0, inertia=np.diag([1.0, 0.5, 0.5]) * ratio)

        def torsion(tip: TipBody = tip, **mesh: Any) -> float:
            return 2 * np.pi * natural_frequencies(uniform(ei=1e6, gj=1.0, rotary=1.0), tip, count=1, **mesh)[0]

        found.append(
            modes(
                f"Torsion with a tip inertia of {ratio:g} of the beam's",
                "Blevins",
                ["b, b tan b = 1/μ"],
                [b],
                1e-5,
                torsion,
            )
        )

    def offset(**mesh: Any) -> np.ndarray:
        tip = TipBody(0.2, [0.01, 0.03, 0.0], np.diag([3e-4, 2.5e-4, 2.5e-4]))
        found = natural_frequencies(uniform(1.0, 35.0, 12.0, 0.06, rotary=4e-6), tip, count=7, **mesh)
        wanted = np.array([3.4594, 31.1494, 55.5466, 150.758])
        return np.array([found[np.argmin(np.abs(found - value))] for value in wanted])

    found.append(
        modes(
            "Bending with twist, CG 30 mm off the axis",
            "Oguamanam 2003; figures by Ritz series",
            ["f₁, Hz", "f₂, Hz", "f₃, Hz", "f₄, Hz"],
            [3.4594, 31.1494, 55.5466, 150.758],
            1e-3,
            offset,
        )
    )
    spun = [
        (None, "Wright, Smith, Thresher & Wang 1982; Bir 2009", s, e)
        for s, e in (
            (2, (4.1373, 22.6149)),
            (4, (5.5850, 24.2733)),
            (6, (7.3604, 26.8091)),
            (8, (9.2568, 29.9954)),
            (10, (11.2023, 33.6404)),
            (12, (13.1702, 37.6031)),
        )
    ]
    spun += [
        (TipBody(1.0), "Bir 2010, NREL/CP-500-47953, table 5", s, e)
        for s, e in ((4, (4.543, 23.03)), (8, (8.495, 36.21)), (12, (12.48, 50.86)))
    ]
    for tip, source, spin, expected in spun:

        def flap(tip: TipBody | None = tip, spin: float = spin, **mesh: Any) -> np.ndarray:
            profile = uniform(gj=1e3, rotary=SLENDER)
            # Planes alike: each flapping mode follows its lagging twin.
            return 2 * np.pi * natural_frequencies(profile, tip, count=4, spin=[0, 0, spin], **mesh)[1::2]

        name = f"Flap in steady spin, η = {spin}" + ("" if tip is None else ", tip mass of the beam's")
        found.append(modes(name, source, ["ω₁", "ω₂"], expected, 1e-3, flap))
    return found


PROBLEMS = [*at_rest(), *turning()]
