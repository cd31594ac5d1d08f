"""The step loops allocate nothing: what numba's own count of allocations says, and that no kernel could."""

from __future__ import annotations

import numba
import numpy as np
import pytest
from numba.core.runtime import _nrt_python, rtsys

from swingbeam.beam import ElasticRoot, Motion, Profile, TipBody, simulate
from swingbeam.beam.compiled import from_python, piece
from swingbeam.beam.march import solver_module

PROFILE = Profile([0.0, 1.0], [70.0, 30.0], [30.0, 10.0], [0.08, 0.05], rotary=2e-5)
TIP = TipBody(0.2, [0.05, -0.018, 0.034], np.diag([3e-4, 4e-4, 2.5e-4]))
YIELDING = ElasticRoot([20.0, 10.0, 40.0], [1.5, 0.1, 2.0], [3e-3, 1e-3, 3e-3])


@piece
def _allocating(n):
    return np.zeros(n)[0]


@numba.njit
def _allocating_elsewhere(n):
    return np.zeros(n)[0]


def turning(duration: float) -> Motion:
    """A root that swings to and fro about an axis across gravity, two radians either way."""
    t = np.linspace(0.0, duration, 200)
    angle = 2.0 * np.sin(8.0 * t)
    zero, one = np.zeros_like(t), np.ones_like(t)
    turn = [[np.cos(angle), zero, np.sin(angle)], [zero, one, zero], [-np.sin(angle), zero, np.cos(angle)]]
    return Motion.from_samples(t, np.zeros((t.size, 3)), np.moveaxis(np.array(turn), 2, 0))


@pytest.fixture
def counted():
    """numba counts what its run time for memory hands out."""
    _nrt_python.memsys_enable_stats()
    yield lambda: rtsys.get_allocation_stats().alloc
    _nrt_python.memsys_disable_stats()


@pytest.mark.parametrize("root", [None, YIELDING], ids=["held", "yielding"])
def test_longer_runs_allocate_no_more_in_kernels(solver, root, counted):
    """Nothing for 50 steps, and nothing for 200: what numba allocates does not grow with the steps."""
    step = solver_module(solver).DEFAULT_STEP
    grown = []
    for steps in (50, 200):
        motion = turning(steps * step)
        simulate(PROFILE, TIP, motion, root=root, solver=solver)  # compiled and warm
        before = counted()
        run = simulate(PROFILE, TIP, motion, root=root, solver=solver)
        grown.append(counted() - before)
        assert run.t.size == steps + 1
    assert grown[0] == grown[1] == 0


def test_the_count_would_notice(counted):
    before = counted()
    _allocating_elsewhere(3)
    assert counted() - before == 1


def test_no_kernel_can_allocate():
    """The compiler refuses: kernels and their pieces have no run time for memory to allocate from."""
    (refused,) = from_python(_allocating)
    with pytest.raises(numba.core.errors.TypingError, match="built-in function zeros"):
        refused(3)
