"""Spin-up, droop in steady spin, sag and twist under gravity, and orders in the step."""

from __future__ import annotations

from typing import Any

import numpy as np

from swingbeam.beam import simulate, static_shape
from verification.motions import club_like, severe_swing
from verification.test_spinning import SPIN_UP, droop_case, gravity_case, spin_up_run

from .row import Problem


def spin_up(solver: str) -> list[float]:
    """Largest lag of the tip, m, and when, s, on the mesh of the check."""
    run = spin_up_run(solver, **SPIN_UP[solver])
    lag = run.tip_position[:, 1]
    deepest = int(np.argmin(lag))
    return [lag[deepest], run.t[deepest]]


def spin_up_course(solver: str) -> np.ndarray:
    """Deflection of the tip, m, every three seconds."""
    return spin_up_run(solver, **SPIN_UP[solver]).at([3.0, 6.0, 9.0, 12.0, 15.0]).tip_position[:, 1]


def droop(hub: float, **mesh: Any) -> list[float]:
    """Droop, mm, and slope, deg, of the tip in steady spin."""
    profile, body, spin, axis = droop_case("z")
    shape = static_shape(profile, body, spin=spin, hub=[hub, 0, 0], **mesh)
    return [-1e3 * shape.position[-1, axis], -np.degrees(np.arcsin(shape.rotation[-1, axis, 0]))]


def sag(**mesh: Any) -> list[float]:
    """Sag, mm, and twist, deg, of a level beam with an offset body."""
    profile, body = gravity_case()
    shape = static_shape(profile, body, gravity=[0, 0, -9.80665], **mesh)
    turn = shape.rotation[-1]
    return [-1e3 * shape.position[-1, 2], -np.degrees(np.arctan2(turn[2, 1], turn[1, 1]))]


SPIN_UP_SOURCE = "Simo & Vu-Quoc 1986; Kane, Ryan & Banerjee 1987; figures by Ritz series"
PROBLEMS = [
    Problem(
        "Spin-up to 6 rad/s",
        SPIN_UP_SOURCE,
        ["largest lag, m", "at, s"],
        [-0.574, 6.76],
        0.01,
        spin_up,
        meshes=None,
    ),
    Problem(
        "Spin-up, its course (tolerance 1 % of the largest)",
        SPIN_UP_SOURCE,
        [f"v({t} s), m" for t in (3, 6, 9, 12, 15)],
        [-0.217, -0.5436, -0.461, -0.151, 0.0015],
        0.00574,
        spin_up_course,
        absolute=True,
        meshes=None,
    ),
    *(
        Problem(
            f"Droop of an offset body in steady spin, hub {hub:g} m",
            "closed form, e(1 − sech kL)",
            ["droop, mm", "slope, deg"],
            expected,
            0.01,
            lambda hub=hub, **mesh: droop(hub, **mesh),
        )
        for hub, expected in ((0.0, (28.169, 5.4409)), (0.5, (29.107, 6.5713)))
    ),
    Problem(
        "Gravity on a level beam, body 30 mm off the axis",
        "superposition, Gere & Timoshenko, table G-1",
        ["sag, mm", "twist, deg"],
        [21.061, 0.2809],
        1e-3,
        sag,
    ),
]


def step_orders() -> list[tuple[str, str, list[float], float]]:
    """Solver, steps, largest tip errors against the finest step over the severe swing, mm, and observed order."""
    profile, body = club_like()
    out = []
    for solver, steps, finest, mesh in (
        ("elements", (2e-3, 1e-3, 5e-4), 6.25e-5, {"elements": 16}),
        ("curvature", (8e-3, 4e-3, 2e-3), 2.5e-4, {"functions": (4, 1)}),
    ):

        def tips(step: float, solver: str = solver, mesh: dict[str, Any] = mesh) -> np.ndarray:
            run = simulate(profile, body, severe_swing(), solver=solver, step=step, viscosity=(1e-3, 1e-3), **mesh)
            return run.at(np.linspace(0.0, 0.28, 36)).tip_position

        truth = tips(finest)
        errors = [1e3 * float(np.linalg.norm(tips(step) - truth, axis=1).max()) for step in steps]
        names = " / ".join(f"{1e3 * step:g}" for step in steps)
        out.append((solver, f"{names} ms", errors, float(np.log2(errors[-2] / errors[-1]))))
    return out
