"""Lanes against the scalar solver, which is the statement of the equations that they solve."""

from __future__ import annotations

import numpy as np
import pytest

from beam.lanes import golfers as g
from swingbeam.beam import curvature, history, lanes, simulate
from swingbeam.beam.lanes import layout

pytestmark = pytest.mark.skipif(lanes.unavailable() is not None, reason=str(lanes.unavailable()))

BLOCKS = {
    "tip position": slice(0, 3),
    "tip rotation": slice(3, 12),
    "tip velocity": slice(12, 15),
    "tip angular velocity": slice(15, 18),
    "tip acceleration": slice(18, 21),
    "tip angular acceleration": slice(21, 24),
    "yield": slice(24, 27),
    "yield rate": slice(27, 30),
    "yield acceleration": slice(30, 33),
    "root force": slice(33, 36),
    "root moment": slice(36, 39),
    "root couple": slice(39, 42),
    "energies": slice(42, 47),
}


def scalar_runs(name, hands):
    moved, root = g.golfer(name, hands)
    rods = g.profiles()
    return [
        simulate(rod, body, moved, root=root, viscosity=g.VISCOSITY, step=g.STEP)
        for rod, body in zip(rods, g.tips(len(rods)), strict=True)
    ]


def lane_runs(name, hands, **options):
    of = g.path(name, hands)
    rods = g.profiles()
    stages = lanes.stages_of(of, of.motion.t)
    return lanes.march_lanes(g.models(of, rods, g.tips(len(rods))), stages, *g.HANDS[hands], **options)


def largest(rows, other):
    """Largest difference of every block, over the block's largest value or one."""
    return {
        name: np.abs(rows[..., at] - other[..., at]).max() / max(1.0, np.abs(other[..., at]).max())
        for name, at in BLOCKS.items()
    }


@pytest.fixture(scope="module", params=[(m, h) for m in ("swung", "shaken") for h in g.HANDS], ids="-".join)
def both(request):
    return request.param, scalar_runs(*request.param)


def test_the_rows_are_those_of_the_scalar_solver_to_round_off(both):
    """Both iterate until rounding stops them: 1e-13 rad a step or less in an unknown.

    Over 120 steps that is 1e-11 in poses, 1/h more in rates and 1/h² in accelerations, of which a stiff twist makes
    most; the scalar solver leaves its accelerations with 1e-7 of the largest where the twist has next to no mass.
    """
    case, scalar = both
    runs = lane_runs(*case, tolerance=1e-15, couples=True)
    assert runs.ended.all()
    other = np.array([run.rows for run in scalar])
    assert np.abs(other[:, :, 15:18]).max() > 3.0  # it moves
    found = largest(runs.rows, other)
    for name, difference in found.items():
        bound = 1e-7 if "acceleration" in name else 1e-8 if name.startswith("root") else 1e-9
        assert difference < bound, (name, difference)
    for k, run in enumerate(scalar):
        assert np.array_equal(runs.stages.times, run.stage_times[1:])
        # The scalar couples are those before the last change, which may be 1e-12 rad: 1e-8 N·m by inertia/h².
        np.testing.assert_allclose(runs.couples[k], run.stage_couple[1:], rtol=0, atol=1e-7)


def test_at_their_own_tolerance_they_differ_by_what_no_figure_shows(both):
    """1e-9 rad of change still to come a step; loose hands hand it on, to 1e-6 m and rad and 1e-4 m/s at most.

    Figures show 1e-5 m, 2e-4 rad (a hundredth of a degree) and 1e-2 m/s.
    """
    case, scalar = both
    runs = lane_runs(*case)
    assert runs.ended.all()
    found = largest(runs.rows, np.array([run.rows for run in scalar]))
    for name, bound in (
        ("tip position", 1e-6),
        ("tip rotation", 1e-6),
        ("tip velocity", 1e-4),
        ("tip angular velocity", 1e-4),
        ("yield", 1e-6),
    ):
        assert found[name] < bound, (name, found[name])


def test_fewer_passes_than_the_scalar_solver(both):
    """What the looser tolerance and the better guess are for; not one pass whatever comes."""
    case, scalar = both
    passes = lane_runs(*case).rows[:, 1:, history.PASSES]
    assert passes.min() >= 1.0
    assert passes.mean() < 0.8 * np.mean([run.rows[1:, history.PASSES].mean() for run in scalar])


def test_one_lane_becomes_a_history(both):
    case, scalar = both
    runs = lane_runs(*case, couples=True)
    one = runs.history(2, g.tips(5)[2])
    other = scalar[2]
    t = np.linspace(one.t[0], one.t[-1], 17)
    for name in ("head_velocity", "tip_position", "root_yield", "root_omega"):
        np.testing.assert_allclose(getattr(one.at(t), name), getattr(other.at(t), name), rtol=0, atol=1e-5)
    np.testing.assert_allclose(one.recorded_couple(t), other.recorded_couple(t), rtol=0, atol=1e-4)
    assert (one.solver, one.step) == ("curvature", other.step)


def test_a_given_start_is_taken_as_it_is():
    """From unknowns and rates in mid-motion: the rest of the scalar solver's run."""
    of = g.path("swung", "firm")
    many = g.models(of, g.profiles()[:3], g.tips(3))
    every = lanes.stages_of(of, of.motion.t)
    half = g.STEPS // 2
    starts, other = np.zeros((3, 2, layout.N)), np.zeros((3, g.STEPS + 1, history.ROW_LENGTH))
    for k, model in enumerate(many):
        state = curvature.start(model, of.inputs(every.t[:1]), "equilibrium", other[k, 0])
        for part in (slice(0, half), slice(half, g.STEPS)):
            if part.start:
                starts[k] = state.x, state.rate
            times = every.times[3 * part.start : 3 * part.stop]
            couples = np.zeros((times.size, 3))
            rows = other[k, part.start + 1 : part.stop + 1]
            assert curvature.advance(model, state, of.inputs(times), g.STEP, rows, couples) == half
    assert np.abs(starts[:, 0, :3]).max() > 1e-3  # the hands have yielded
    late = lanes.stages_of(of, every.t[half:])
    runs = lanes.march_lanes(many, late, *g.HANDS["firm"], starts=starts, tolerance=1e-15)
    assert runs.ended.all()
    for name, difference in largest(runs.rows, other[:, half:]).items():
        assert difference < (1e-7 if "acceleration" in name else 1e-8), (name, difference)


def test_rods_of_different_intervals_keep_their_order():
    """The part without mass is cut into more intervals; the runs come back where their models stood."""
    of = g.path("shaken", "held")
    rods = g.profiles()
    order = [4, 0, 4, 1]
    bodies = g.tips(4)
    many = g.models(of, [rods[k] for k in order], bodies)
    assert len({model.length.size for model in many}) == 2
    stages = lanes.stages_of(of, of.motion.t)
    together = lanes.march_lanes(many, stages, *g.HANDS["held"], couples=True)
    for k, model in enumerate(many):
        alone = lanes.march_lanes([model], stages, *g.HANDS["held"], couples=True)
        assert np.array_equal(together.rows[k], alone.rows[0])
        assert np.array_equal(together.couples[k], alone.couples[0])


def test_the_rows_are_as_long_as_the_history_s():
    assert layout.ROW_LENGTH == history.ROW_LENGTH
