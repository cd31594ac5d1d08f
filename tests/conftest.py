"""What tests of several folders share."""

from __future__ import annotations

import pytest


@pytest.fixture(params=["elements", "curvature"])
def solver(request: pytest.FixtureRequest) -> str:
    """Each of the two solvers in turn."""
    return str(request.param)
