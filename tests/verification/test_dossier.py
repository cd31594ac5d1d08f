"""The scripts that judge the checks: slips that still fit the sources, and rows that can come out wrong."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import numpy as np
import pytest

BENCHMARKS = Path(__file__).resolve().parents[2] / "benchmarks"


@pytest.fixture(scope="module")
def scripts():
    """Imports a module of `benchmarks`, which is no part of the package."""
    before = list(sys.path)
    sys.path.insert(0, str(BENCHMARKS))
    try:
        yield importlib.import_module
    finally:
        sys.path[:] = before


def test_every_slip_fits_the_sources(scripts, tmp_path):
    """Each stands once where it is to be put, and changes the copy and nothing else."""
    mutations = scripts("mutations")
    folder = tmp_path / "sim" / "swingbeam" / "beam"
    folder.mkdir(parents=True)
    names = [(slip.name, slip.solver) for slip in mutations.SLIPS]
    assert len(set(names)) == len(names)
    for slip in mutations.SLIPS:
        original = mutations.REPO / "sim" / "swingbeam" / "beam" / slip.file
        text = original.read_text(encoding="utf-8")
        (folder / slip.file).write_text(text, encoding="utf-8")
        mutations.put_in(slip, tmp_path / "sim")
        changed = (folder / slip.file).read_text(encoding="utf-8")
        assert changed != text
        assert len(changed) - len(text) == len(slip.after) - len(slip.before)
        assert original.read_text(encoding="utf-8") == text


def test_a_slip_that_no_longer_fits_is_said(scripts, tmp_path):
    mutations = scripts("mutations")
    folder = tmp_path / "sim" / "swingbeam" / "beam"
    folder.mkdir(parents=True)
    slip = mutations.Slip("gone", "elements", "some.py", "not there", "at all")
    (folder / "some.py").write_text("something else", encoding="utf-8")
    with pytest.raises(ValueError, match="found 0 times"):
        mutations.put_in(slip, tmp_path / "sim")


def made_up(row, **changes):
    """A figure that is 2 + 1/n² on n elements and 2 in `curvature`."""

    def measure(solver, elements=None, functions=None):
        return [2.0 + 1.0 / elements**2] if solver == "elements" else [2.0]

    given = {"title": "", "source": "", "figures": ["x"], "expected": [2.0], "tolerance": 1e-6, "measure": measure}
    return row.rows_of(row.Problem(**(given | changes)))[0]


def test_a_row_extrapolates_and_shows_the_order(scripts):
    found = made_up(scripts("dossier.row"))
    assert found.within
    # 1/n² is taken out whole by Richardson's extrapolation, to round-off.
    np.testing.assert_allclose([found.got["elements"], found.got["curvature"]], 2.0, rtol=1e-12)
    assert found.order == pytest.approx(2.0, abs=1e-9)


def test_a_row_can_come_out_wrong(scripts):
    row = scripts("dossier.row")
    assert not made_up(row, expected=[2.00001]).within
    assert made_up(row, expected=[2.00001], tolerance=1e-5).within
    assert not made_up(row, expected=[0.0], tolerance=1e-5, absolute=True).within
    # One solver alone is enough to be outside.
    assert not made_up(row, meshes=None, measure=lambda solver: [2.0 if solver == "elements" else 2.1]).within
