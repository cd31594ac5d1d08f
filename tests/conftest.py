"""What tests of several folders share."""

from __future__ import annotations

import os

# Before numpy is loaded: the small dense problems of the tests are solved several times faster by one thread
# than by threads that wait for each other, and two workers share the cores anyhow.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest


@pytest.fixture(params=["elements", "curvature"])
def solver(request: pytest.FixtureRequest) -> str:
    """Each of the two solvers in turn."""
    return str(request.param)
