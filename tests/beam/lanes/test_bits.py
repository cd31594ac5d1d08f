"""A lane's bits depend on its own run only."""

from __future__ import annotations

import numpy as np
import pytest

from beam.lanes import golfers as g
from swingbeam.beam import InputError, lanes
from swingbeam.beam.curvature_layout import CurvatureModel

pytestmark = pytest.mark.skipif(lanes.unavailable() is not None, reason=str(lanes.unavailable()))

COUNT = 11


@pytest.fixture(scope="module")
def case():
    of = g.path("swung", "loose")
    rods = [g.profiles()[k % 4] for k in range(COUNT)]
    many = g.models(of, rods, g.tips(COUNT))
    stiffness = np.array([g.HANDS["loose"][0] * (1.0 + 0.02 * k) for k in range(COUNT)])
    damping = np.array([g.HANDS["loose"][1] * (1.0 + 0.01 * k) for k in range(COUNT)])
    # Two of them are held.
    stiffness[3] = stiffness[8] = np.inf
    stages = lanes.stages_of(of, of.motion.t)
    return many, stages, stiffness, damping


def march(case, which=slice(None), **options):
    many, stages, stiffness, damping = case
    chosen = list(np.arange(COUNT)[which])
    picked = [many[k] for k in chosen]
    return lanes.march_lanes(picked, stages, stiffness[chosen], damping[chosen], couples=True, **options)


@pytest.fixture(scope="module")
def eight(case):
    runs = march(case, width=8)
    assert runs.ended.all()
    return runs


@pytest.mark.parametrize("width", [1, 4])
def test_the_same_bits_whatever_the_width(case, eight, width):
    runs = march(case, width=width)
    assert runs.rows.tobytes() == eight.rows.tobytes()
    assert runs.couples.tobytes() == eight.couples.tobytes()


def test_the_same_bits_whatever_the_neighbours_and_the_place(case, eight):
    """Other orders, and groups that are hardly filled; passes differ between runs, so masks are at work."""
    assert np.ptp(eight.rows[:, 1:, 47], axis=0).max() > 0
    for which in (np.arange(COUNT)[::-1], [5, 2, 9], [7], [10, 1, 1, 0, 6, 3, 4, 8, 2]):
        runs = march(case, which, width=8)
        assert runs.rows.tobytes() == eight.rows[which].tobytes()
        assert runs.couples.tobytes() == eight.couples[which].tobytes()


def test_the_same_bits_with_two_threads(case, eight):
    assert march(case, width=4, workers=2).rows.tobytes() == eight.rows.tobytes()


def test_rows_can_be_written_into_memory_that_is_there(case, eight):
    into = np.full(eight.rows.shape, 7.0)
    runs = march(case, width=8, into=into)
    assert runs.rows is into
    assert into.tobytes() == eight.rows.tobytes()
    with pytest.raises(InputError, match="into has shape"):
        march(case, width=8, into=into[1:])


def changed(case, k, **fields):
    many, *rest = case
    return [*many[:k], many[k]._replace(**fields), *many[k + 1 :]], *rest


@pytest.mark.parametrize(
    ("name", "made"),
    [("stiffness", "none"), ("soft", "some"), ("tip", "none")],
)
def test_a_neighbour_that_fails_is_flagged_and_changes_nothing(case, eight, name, made):
    """Not a number, or so soft that it coils up: rows are not numbers from there on, the others' bits stay."""
    model = case[0][4]
    if name == "soft":
        broken = changed(case, 4, stiffness=0.02 * model.stiffness)
    else:
        broken = changed(case, 4, **{name: getattr(model, name) * np.nan})
    others = [k for k in range(COUNT) if k != 4]
    for width in (8, 1):
        runs = march(broken, width=width)
        assert list(np.flatnonzero(~runs.ended)) == [4]
        assert runs.rows[others].tobytes() == eight.rows[others].tobytes()
        assert runs.couples[others].tobytes() == eight.couples[others].tobytes()
        steps = runs.made[4]
        assert (steps == -1) if made == "none" else (-1 < steps < g.STEPS)
        assert np.isnan(runs.rows[4, steps + 1 :]).all()
        assert np.isfinite(runs.rows[4, : steps + 1]).all()
        assert np.isnan(runs.couples[4, 3 * max(steps, 0) :]).all()
        with pytest.raises(InputError, match="run 4 failed after"):
            runs.history(4, g.TIP)


def test_a_failing_run_does_not_keep_its_group_iterating(case, eight):
    """Passes of the others as they were, and the failed one's iteration given up for good."""
    broken = changed(case, 4, stiffness=case[0][4].stiffness * np.nan)
    runs = march(broken, width=8)
    others = [k for k in range(COUNT) if k != 4]
    assert np.array_equal(runs.rows[others, :, 47], eight.rows[others, :, 47])


def test_what_the_lanes_cannot_take_is_refused(case):
    many, stages, stiffness, damping = case
    with pytest.raises(InputError, match="all three axes or none"):
        lanes.march_lanes(many, stages, [np.inf, 3.0, 3.0], damping)
    small = g.curvature.prepare(g.profiles()[0], g.TIP, g.VISCOSITY, functions=(3, 1))
    with pytest.raises(InputError, match="four bending functions"):
        lanes.march_lanes([small], stages, stiffness[0], damping[0])
    with pytest.raises(InputError, match="starts has shape"):
        lanes.march_lanes(many, stages, stiffness, damping, starts=np.zeros((COUNT, 2, 9)))
    with pytest.raises(InputError, match="evenly spaced"):
        lanes.stages_of(stages.path, [0.0, 0.002, 0.005])
    with pytest.raises(InputError, match="at least two"):
        lanes.stages_of(stages.path, [0.0])


def test_models_may_come_stacked(case, eight):
    many, stages, stiffness, damping = case
    stacked = CurvatureModel(*(np.stack(a) for a in zip(*many, strict=True)))
    runs = lanes.march_lanes(stacked, stages, stiffness, damping)
    assert runs.rows.tobytes() == eight.rows.tobytes()
    assert runs.couples.size == 0
