"""Do the checks notice? A solver with one thing wrong must fail the check that is there for it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from swingbeam.beam import curvature, elements
from verification import test_modes, test_motion, test_spinning, test_statics

Change = Callable[[Any], Any]
PRINCETON = (30, 0.01015, 0.07946, 1.512, (0.010112, 0.079395))
DROOP = ("z", 0.0, 28.169e-3, 5.4409)
TWISTING = (0.03, (3.4594, 31.1494, 55.5466, 150.758))


def scaled(name: str, factor: float, columns: Any = slice(None)) -> Change:
    """A model with one of its tables, or some of its columns, multiplied."""

    def change(model: Any) -> Any:
        table = np.array(getattr(model, name))
        table[..., columns] *= factor
        return model._replace(**{name: table})

    return change


def mutate(monkeypatch: pytest.MonkeyPatch, solver: str, change: Change) -> None:
    """Let a solver work on changed tables from now on."""
    module, name = {"elements": (elements, "build_model"), "curvature": (curvature, "_model")}[solver]
    whole = getattr(module, name)
    monkeypatch.setattr(module, name, lambda *args, **more: change(whole(*args, **more)))


MUTATIONS = [
    # What is changed, the solver, how, the check that must notice, its arguments after the solver.
    ("torsional stiffness + 5 %", "elements", scaled("stiff_moment", 1.05, 0), "princeton", PRINCETON),
    ("bending stiffness along z + 1 %", "elements", scaled("stiff_moment", 1.01, 1), "princeton", PRINCETON),
    ("beam's mass + .1 %", "elements", scaled("node_mass", 1.001), "modes", ()),
    ("stiffness + .1 %", "curvature", scaled("stiffness", 1.001), "modes", ()),
    ("beam's mass + .1 %", "curvature", scaled("mass", 1.001), "modes", ()),
    ("rotary inertia of the tip body + 2 %", "elements", scaled("tip_inertia", 1.02), "twisting", TWISTING),
    ("CG on the other side", "elements", scaled("tip_first", -1.0), "droop", DROOP),
    # Statics of `curvature` make their tables twice, from each other: a run tells the sign.
    ("CG on the other side", "curvature", scaled("tip", -1.0, slice(1, 4)), "droop in a run", DROOP),
    ("tip body + 1 %", "curvature", scaled("tip", 1.01, 0), "gravity", ()),
    ("stiffness to stretch halved", "elements", scaled("stiff_force", 0.5, 0), "stretch", ()),
]
CHECKS: dict[str, Callable[..., None]] = {
    "princeton": test_statics.test_princeton_beam,
    "modes": test_modes.test_uniform_cantilever,
    "twisting": test_modes.test_bending_with_twist,
    "droop": test_spinning.test_droop_in_steady_spin,
    "droop in a run": test_spinning.test_droop_of_a_run_that_starts_in_equilibrium,
    "gravity": test_spinning.test_gravity_on_a_horizontal_beam_with_an_offset_body,
    "stretch": lambda solver: test_spinning.test_steady_stretch_after_the_spin_up(),
}


@pytest.mark.parametrize(
    ("solver", "change", "check", "arguments"),
    [case[1:] for case in MUTATIONS],
    ids=[f"{case[1]}: {case[0]}" for case in MUTATIONS],
)
def test_a_wrong_table_is_noticed(monkeypatch, solver, change, check, arguments):
    """The check passes as the solver is, and fails with the change."""
    CHECKS[check](solver, *arguments)
    mutate(monkeypatch, solver, change)
    with pytest.raises(AssertionError):
        CHECKS[check](solver, *arguments)


def test_a_coarse_step_is_noticed(monkeypatch):
    """Four times the step in `elements`: the agreement of the two solvers at their defaults is lost."""
    whole = test_motion.simulate

    def coarser(*args: Any, **more: Any) -> Any:
        return whole(*args, **more, **({"step": 4e-3} if more["solver"] == "elements" else {}))

    monkeypatch.setattr(test_motion, "simulate", coarser)
    with pytest.raises(AssertionError):
        test_motion.test_the_defaults_agree_on_a_severe_swing()


@pytest.mark.parametrize("solver", ["elements", "curvature"])
def test_gravity_upside_down_is_noticed(monkeypatch, solver):
    """Gravity with the wrong sign: the resting root no longer carries the weight."""
    whole = test_spinning.simulate
    monkeypatch.setattr(test_spinning, "simulate", lambda *args, **more: whole(*args, **more, gravity=(0, 0, 9.80665)))
    with pytest.raises(AssertionError):
        test_spinning.test_a_resting_root_keeps_the_sag(solver)
