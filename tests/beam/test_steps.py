"""The steps a run takes are the steps it was asked for."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam import Motion, Profile, TipBody, simulate

DEFAULT_STEP = {"elements": 5e-4, "curvature": 2e-3}
"""s, as the documentation of the two solvers says."""


@pytest.mark.parametrize(("step", "taken"), [(None, None), (5e-4, 5e-4), (3e-3, 0.05 / 17), (1.0, 0.05)])
def test_the_span_is_divided_evenly_into_steps_no_longer_than_asked(solver, step, taken):
    """Instants t0 + n·h with h = span/⌈span/step⌉, the same for every beam on one motion, and none is halved."""
    run = simulate(Profile([0.0, 1.0], 40.0, 15.0, 0.06), TipBody(0.2), Motion.still(0.05), solver=solver, step=step)
    h = DEFAULT_STEP[solver] if taken is None else taken
    np.testing.assert_allclose(run.t, np.linspace(0.0, 0.05, round(0.05 / h) + 1), rtol=0, atol=1e-15)
    assert run.step == pytest.approx(h, rel=1e-12)
    assert run.halvings == 0
