"""What a run that cannot be finished says: when, with which step, and how far it came."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam import (
    DrivenChain,
    InputError,
    Joint,
    Motion,
    Profile,
    SimulationError,
    TipBody,
    natural_frequencies,
    simulate,
    static_shape,
)
from swingbeam.beam.march import MOST_HALVINGS, solver_module

PROFILE = Profile([0.0, 1.0], [75.0, 20.0], [30.0, 10.0], [0.07, 0.04])
TIP = TipBody(0.2, (0.02, -0.018, 0.034), np.diag([3.6e-4, 4.0e-4, 2.6e-4]))


def jolt() -> Motion:
    """A root that is thrown about with some 40 km/s²: no slender beam follows."""
    t = np.linspace(0.0, 0.2, 100)
    position = np.stack([0.0 * t, 5e3 * t**2, 1e3 * np.sin(200.0 * t)], axis=1)
    return Motion.from_samples(t, position, np.tile(np.eye(3), (100, 1, 1)))


@pytest.mark.parametrize("solver", ["elements", "curvature"])
def test_a_run_that_breaks_off_says_when_and_where_it_came_to(solver):
    with pytest.raises(SimulationError, match="no convergence") as caught:
        simulate(PROFILE, TIP, jolt(), solver=solver, start="straight")
    error = caught.value
    default = 0.2 / np.ceil(0.2 / solver_module(solver).DEFAULT_STEP)
    # The step was halved as often as it may be, and no oftener.
    assert error.step == pytest.approx(default / 2**MOST_HALVINGS, rel=1e-12)
    assert 0.0 <= error.time < 0.2
    # Where the failing step began is where the last sound state stands (sums of halved steps, to round-off).
    assert error.last["t"] == pytest.approx(error.time, abs=1e-12)
    turn = error.last["root_rotation"]
    np.testing.assert_allclose(turn, np.eye(3), atol=1e-12)
    np.testing.assert_allclose(error.last["root_position"], jolt().at(error.time).position[0], atol=1e-9)
    for name, shape in (("tip_position", (3,)), ("tip_rotation", (3,)), ("head_velocity", (3,)), ("root_yield", (3,))):
        assert error.last[name].shape == shape
        assert np.all(np.isfinite(error.last[name]))
    # A tip of a beam of 1 m is not further than that from the root; 1 % for the stretch of `elements`.
    assert np.linalg.norm(error.last["tip_position"]) < 1.01


def test_a_run_on_a_chain_of_joints_breaks_off_in_the_same_words():
    chain = DrivenChain((Joint(np.array([0.0, 0.0, 1.0]), np.zeros(3)),))
    with pytest.raises(SimulationError, match="no convergence") as caught:
        simulate(PROFILE, TIP, jolt(), root=chain, start="straight")
    last = caught.value.last
    assert last["t"] == pytest.approx(caught.value.time, abs=1e-12)
    assert all(np.all(np.isfinite(last[name])) for name in ("root_rotation", "root_yield", "tip_position"))


@pytest.mark.parametrize("solver", ["elements", "curvature"])
def test_a_run_without_an_equilibrium_to_start_from_says_so(solver):
    weak = Profile([0.0, 1.0], 1e-3, 1e-3, 0.1)
    heavy = TipBody(50.0, (0.0, 0.3, 0.3), np.eye(3))
    with pytest.raises(SimulationError, match="no equilibrium") as caught:
        simulate(weak, heavy, Motion.still(0.1), solver=solver)
    assert caught.value.time == 0.0
    assert np.isfinite(caught.value.step)
    assert caught.value.last["t"] == 0.0


@pytest.mark.parametrize("mesh", [{"elements": 0}, {"elements": 2.5}, {"functions": (0, 1)}, {"functions": (4,)}])
@pytest.mark.parametrize(
    "use",
    [
        lambda mesh: simulate(PROFILE, TIP, Motion.still(0.1), **mesh),
        lambda mesh: natural_frequencies(PROFILE, TIP, **mesh),
        lambda mesh: static_shape(PROFILE, TIP, **mesh),
    ],
    ids=["simulate", "natural_frequencies", "static_shape"],
)
def test_a_mesh_that_cannot_be_is_refused(use, mesh):
    with pytest.raises(InputError, match="whole number"):
        use(mesh)


def test_a_static_shape_with_default_arguments_is_converged():
    # P L³/(3 EI), any handbook; 1e-6 for what 800 elements (4e-7) and the stiff shear (3e-7) leave out.
    tip = static_shape(Profile([0.0, 1.0], 40.0, 10.0, 0.05), tip_force=(0.0, 1e-3, 0.0)).position[-1]
    assert tip[1] == pytest.approx(1e-3 / (3.0 * 40.0), rel=1e-6)
