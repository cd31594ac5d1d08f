"""Cases of a study are the swings that the other commands make, whatever they are swung beside."""

from __future__ import annotations

import math
import pickle
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from swingbeam.beam.errors import SimulationError
from swingbeam.club.held import rebuilt
from swingbeam.files.lookup import list_library
from swingbeam.shaft.load import load_shaft
from swingbeam.study import many
from swingbeam.study.golfer import Golfer, load_golfer
from swingbeam.study.quantities import CAUSES, CURVES, IMPACT, SHOT, UNLOAD
from swingbeam.study.shots import Range
from swingbeam.study.single import swing_club
from swingbeam.study.sweep import golfers as module
from swingbeam.study.sweep import groups, side_by_side
from swingbeam.study.sweep.figures import Way, figures_of
from swingbeam.study.sweep.golfers import LEAD_IN, started_late
from swingbeam.study.sweep.load import load_study
from swingbeam.study.sweep.problem import STATUSES, Rows
from swingbeam.study.sweep.side_by_side import goes_side_by_side
from swingbeam.swing.hands import HOLD

HEAD = """
name = "A few"
question = "Do they agree?"
swing = "even"
"""
CLUBS = (
    HEAD
    + """
[vary]
"club.shaft" = ["wick-65-s", "bracken-46-l"]
[plan]
kind = "grid"
"""
)
MIXED = (
    HEAD
    + """
start = "top"
outputs = ["unload", "impact", "change"]
[vary]
"swing.tempo.backswing" = ["0.9 s", "1.05 s"]
"hands" = ["hold", "effort"]
"club.finished_length" = ["44 in", "45 in", "46.5 in"]
"club.tip_trim" = { from = "0 in", to = "1 in", count = 2 }
[plan]
kind = "grid"
"""
)
DEGREE = 180.0 / math.pi


@pytest.fixture(scope="module")
def write(tmp_path_factory):
    folder = tmp_path_factory.mktemp("studies")

    def one(name: str, text: str):
        path = folder / f"{name}.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return one


def same(a: Rows, b: Rows) -> bool:
    return (
        a.values.tobytes() == b.values.tobytes()
        and a.status.tobytes() == b.status.tobytes()
        and list(a.reasons) == list(b.reasons)
        and all(a.curves[name].tobytes() == b.curves[name].tobytes() for name in a.curves)
    )


def taken(rows: Rows, places) -> Rows:
    curves = {name: curve[places] for name, curve in rows.curves.items()}
    return Rows(rows.values[places], rows.status[places], [rows.reasons[i] for i in places], curves)


@pytest.fixture(scope="module")
def clubs(write):
    return load_study(write("clubs", CLUBS))


@pytest.fixture(scope="module")
def swung(clubs):
    return clubs.evaluate(np.arange(2), "full")


def readable(monkeypatch):
    """Clubs are swung one after another, as a single swing is."""
    monkeypatch.setattr(groups, "goes_side_by_side", lambda way: False)


@pytest.mark.parametrize("how", ["one after another", "side by side"])
@pytest.mark.parametrize("case", [0, 1])
def test_the_figures_are_those_of_a_club_swung_alone(clubs, monkeypatch, case, how):
    if how == "one after another":
        readable(monkeypatch)
    swung = pickle.loads(pickle.dumps(clubs)).evaluate(np.arange(2))
    alone = swing_club("even", shaft=("wick-65-s", "bracken-46-l")[case])
    run = alone.run
    got = dict(zip((o.name for o in clubs.outputs), swung.values[case], strict=True))
    assert swung.status[case] == STATUSES.index("ok")
    expected = {q.key: q.of(run.unload) for q in UNLOAD}
    expected |= {q.key: q.of(run.impact) for q in IMPACT}
    expected |= {f"change_{q.key}": q.of(run.change) for q in IMPACT}
    expected |= {q.key: q.of(run.flight.shot) for q in SHOT}
    expected |= {f"change_{q.key}": q.of(run.flight.change) for q in SHOT}
    expected |= {f"face_from_{c}_deg": DEGREE * getattr(run.face, c) for c in CAUSES}
    expected |= {f"loft_from_{c}_deg": DEGREE * getattr(run.loft, c) for c in CAUSES}
    assert len(expected) > 70
    for name, value in expected.items():
        assert value is not None
        if how == "one after another":
            assert got[name] == value, name
        else:
            # Newton's iteration leaves 1e-9 rad in a step (`lanes.TOLERANCE`); a rate over milliseconds sees it 1e3
            # times larger, and the flight's own steps are chosen to 1e-4 m.
            assert got[name] == pytest.approx(value, rel=1e-6, abs=1e-4), name


def test_side_by_side_is_what_a_study_does_where_it_goes(clubs):
    assert goes_side_by_side(Way(HOLD, "re-aimed", "curvature", Range(), clubs.figures, np.zeros(0)))
    assert not goes_side_by_side(Way(HOLD, "learnt", "curvature", Range(), clubs.figures, np.zeros(0)))
    assert not goes_side_by_side(Way(HOLD, "re-aimed", "elements", Range(), clubs.figures, np.zeros(0)))
    hands = figures_of(["hands"])
    assert not goes_side_by_side(Way(HOLD, "re-aimed", "curvature", Range(), hands, np.zeros(0)))


def test_a_club_the_lanes_give_up_is_swung_the_readable_way(clubs, monkeypatch):
    honest = many.swing_many

    def gives_up(*args, **options):
        found = honest(*args, **options)
        found.ended[-1] = False
        return found

    monkeypatch.setattr(side_by_side, "swing_many", gives_up)
    rows = pickle.loads(pickle.dumps(clubs)).evaluate(np.arange(2), "coarse")
    monkeypatch.undo()
    readable(monkeypatch)
    alone = pickle.loads(pickle.dumps(clubs)).evaluate(np.arange(2), "coarse")
    assert rows.status.tolist() == [0, 0]
    np.testing.assert_array_equal(rows.values[1], alone.values[1])
    np.testing.assert_array_equal(rows.curves["curve_droop_mm"][1], alone.curves["curve_droop_mm"][1])


def test_missed_balls_are_rows_with_the_same_reason_either_way(write, monkeypatch):
    text = (
        HEAD
        + """
ball = "raw"
[vary]
"club.finished_length" = ["45.5 in", "40 in"]
[club]
shaft = "wick-65-s"
head = "driver"
[plan]
kind = "grid"
"""
    )
    side = load_study(write("short clubs", text)).evaluate(np.arange(2))
    readable(monkeypatch)
    alone = load_study(write("short clubs", text)).evaluate(np.arange(2))
    assert side.status.tolist() == alone.status.tolist()
    assert STATUSES[side.status[1]] == "missed"
    assert list(side.reasons) == list(alone.reasons)


@pytest.mark.parametrize("case", [0, 1])
def test_the_curves_are_those_of_a_club_swung_alone(clubs, swung, case):
    curves = swing_club("even", shaft=("wick-65-s", "bracken-46-l")[case]).run.curves
    times = clubs.times("full")
    np.testing.assert_array_equal(times, curves.t)  # the length of the same downswing
    for q in CURVES:
        if q.attribute != "hand_force":
            # As above: splines through rows of a run that goes on past the ball.
            np.testing.assert_allclose(
                swung.curves[q.key][case], q.scale * getattr(curves, q.attribute), rtol=1e-6, atol=1e-4
            )


def test_coarse_curves_are_every_fifth_instant_of_the_full_ones(clubs, swung):
    coarse = clubs.times("coarse")
    np.testing.assert_allclose(np.diff(coarse), 5e-3, rtol=1e-12)
    assert coarse[-1] == 0.0
    rows = clubs.evaluate(np.array([1]), "coarse")
    shared = rows.curves["curve_lead_mm"][0][1:]  # the first may lie before the full ones begin
    # One spline, read at instants that differ by rounding: 1e-16 s times some 100 m/s².
    np.testing.assert_allclose(shared, swung.curves["curve_lead_mm"][1][::-1][::5][: shared.size][::-1], atol=1e-9)


def test_every_output_is_named_once_and_has_a_unit(clubs):
    names = [output.name for output in clubs.outputs]
    assert len(set(names)) == len(names)
    assert all(output.unit and output.long_name for output in clubs.outputs)


@pytest.fixture(scope="module")
def mixed(write):
    return load_study(write("mixed", MIXED))


@pytest.fixture(scope="module")
def every(mixed):
    return mixed.evaluate(np.arange(mixed.count), "coarse")


def test_a_case_gives_the_same_whatever_it_is_swung_beside(mixed, every, write):
    order = np.random.default_rng(2).permutation(mixed.count)
    again = load_study(write("mixed", MIXED))
    assert again.digest == mixed.digest
    shuffled = again.evaluate(order, "coarse")
    assert same(shuffled, taken(every, order))
    one = load_study(write("mixed", MIXED)).evaluate(np.array([17]), "coarse")
    assert same(one, taken(every, [17]))


def test_a_case_gives_the_same_in_another_process_and_in_threads(mixed, every):
    sent = pickle.loads(pickle.dumps(mixed))
    parts = np.array_split(np.arange(mixed.count), 5)
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(lambda ids: sent.evaluate(ids, "coarse"), parts))
    for ids, rows in zip(parts, found, strict=True):
        assert same(rows, taken(every, ids))


def test_a_grid_varies_its_golfers_slowest_so_that_neighbours_share_one(mixed):
    values = mixed.values(np.arange(mixed.count))
    keys = [one.key for one in mixed.inputs]
    backswing = values[:, keys.index("swing.tempo.backswing")]
    assert np.count_nonzero(np.diff(backswing)) == 1
    hands = values[:, keys.index("hands")]
    assert np.count_nonzero(np.diff(hands)) == 3


def test_a_club_that_cannot_be_built_is_a_row_with_its_reason(mixed, every):
    values = mixed.values(np.arange(mixed.count))
    keys = [one.key for one in mixed.inputs]
    length, trim = (values[:, keys.index(key)] for key in ("club.finished_length", "club.tip_trim"))
    beyond = (length > 46.4 * 0.0254) & (trim > 0.9 * 0.0254)  # each can be had, but not both
    assert 0 < beyond.sum() < mixed.count
    assert all(STATUSES[status] == "failed" for status in every.status[beyond])
    assert np.isnan(every.values[beyond]).all()
    assert np.isnan(every.curves["curve_lead_mm"][beyond]).all()
    for place in np.flatnonzero(beyond):
        assert every.reasons[place].startswith("the club: finished_length: found 46.50 in; allowed")
    assert all(STATUSES[status] == "ok" for status in every.status[~beyond])


def test_what_fails_in_a_run_is_a_row_with_its_reason(clubs, monkeypatch):
    honest = Golfer.run

    def run(golfer, club, *args, **options):
        if club.shaft.name.startswith("Bracken"):
            raise SimulationError("no convergence at 0.1 s")
        return honest(golfer, club, *args, **options)

    readable(monkeypatch)
    monkeypatch.setattr(Golfer, "run", run)
    rows = clubs.evaluate(np.arange(2))
    assert [STATUSES[s] for s in rows.status] == ["ok", "failed"]
    assert rows.reasons[1] == "no convergence at 0.1 s"
    assert np.isnan(rows.values[1]).all()


def test_a_golfer_who_cannot_be_made_is_a_row_with_his_reason(write):
    text = MIXED.replace('["0.9 s", "1.05 s"]', '["0.9 s", "1.05 s"]').replace(
        '"swing.tempo.backswing" =', '"swing.delivery.attack" = ["2 deg", "40 deg"]\n"swing.tempo.backswing" ='
    )
    study = load_study(write("impossible", text))
    last = np.array([study.count - 1])
    rows = study.evaluate(last)
    assert STATUSES[rows.status[0]] == "failed"
    assert rows.reasons[0].startswith('the golfer: swing "Even')


def test_no_figure_is_missing_without_a_reason(clubs, monkeypatch):
    def no_blow(*_):
        raise SimulationError("the ball does not leave the face")

    readable(monkeypatch)
    monkeypatch.setattr("swingbeam.study.sweep.figures.shot_of", no_blow)
    study = pickle.loads(pickle.dumps(clubs))
    rows = study.evaluate(np.array([1]))
    assert STATUSES[rows.status[0]] == "ok"
    lacking = [o.name for o, v in zip(study.outputs, rows.values[0], strict=True) if not np.isfinite(v)]
    assert set(lacking) == {q.key for q in SHOT} | {f"change_{q.key}" for q in SHOT}
    assert "the ball does not leave the face" in rows.reasons[0]
    assert all(name in rows.reasons[0] for name in lacking)


def test_a_golfer_is_made_once_for_all_his_clubs(write, monkeypatch):
    study = load_study(write("mixed", MIXED))
    made = []
    monkeypatch.setattr(module.Golfers, "_make", lambda self, values: made.append(tuple(values[:1])) or 1 / 0)
    rows = study.evaluate(np.arange(study.count))
    assert sorted(made) == [(0.9,), (1.05,)]
    assert set(rows.reasons) == {"the golfer: division by zero"}


@pytest.mark.parametrize(("start", "most"), [("late backswing", 0.3), ("top", 0.8)])
def test_a_later_start_moves_the_delivery_by_no_more_than_the_outputs_say(write, clubs, swung, start, most):
    short = load_study(write("short", CLUBS.replace("[vary]", f'start = "{start}"\n[vary]')))
    moved = np.abs(short.evaluate(np.arange(2)).values - swung.values)
    names = [output.name for output in clubs.outputs]
    figures = [names.index(n) for n in ("face_angle_deg", "dynamic_loft_deg", "change_dynamic_loft_deg")]
    assert 0.0 < moved[:, figures].max() < most
    assert clubs.approximation == ""
    assert f"up to {most} degrees" in short.approximation
    assert short.approximation in short.held


@pytest.mark.slow
@pytest.mark.parametrize(("start", "most"), [("late backswing", 0.3), ("top", 0.8)])
def test_a_later_start_is_that_good_for_every_starter_swing_along_a_line(start, most):
    worst = 0.0
    for path in list_library("swing").values():
        golfer = load_golfer(path)
        if golfer.reference.line is None:
            continue
        own = golfer.club
        others = ("bracken-46-l", "marl-79-x") if own.head.kind == "driver" else ("sedge-68-a", "anvil-120-x")
        late = replace(golfer, reference=started_late(golfer.reference, LEAD_IN[start]))
        for club in [own, *(rebuilt(own, load_shaft(name), own.head) for name in others)]:
            a, b = (g.swing(club, "hold", "re-aimed", "curvature").impact for g in (golfer, late))
            moved = max(abs(b.face_angle - a.face_angle), abs(b.dynamic_loft - a.dynamic_loft))
            worst = max(worst, DEGREE * moved)
    assert 0.0 < worst < most


def test_spot_checks_are_a_seeded_hundredth(clubs, mixed, write):
    assert clubs.spot_cases.tolist() == [0, 1]
    assert mixed.spot_cases.size == 5
    many = CLUBS.replace('"club.shaft" = ["wick-65-s", "bracken-46-l"]', '"shaft.ei scale" = { between = [0.8, 1.2] }')
    drawn = many.replace('kind = "grid"', 'kind = "latin-hypercube"\ncases = CASES')
    for cases, expected in ((2000, 20), (500_000, 200)):
        study = load_study(write(f"many{cases}", drawn.replace("CASES", str(cases))))
        assert study.spot_cases.size == expected
        assert np.all(np.diff(study.spot_cases) > 0)
        assert study.spot_cases[-1] < cases
        np.testing.assert_array_equal(
            study.spot_cases, load_study(write(f"many{cases}", drawn.replace("CASES", str(cases)))).spot_cases
        )


def test_a_spot_check_is_the_difference_of_the_solvers_and_within_its_limits(clubs):
    rows = clubs.spot_check(np.array([1]))
    names = [output.name for output in clubs.outputs]
    assert STATUSES[rows.status[0]] == "ok"
    other = swing_club("even", shaft="bracken-46-l", solver="elements").run
    own = swing_club("even", shaft="bracken-46-l").run
    expected = DEGREE * other.impact.face_angle - DEGREE * own.impact.face_angle
    assert rows.values[0][names.index("face_angle_deg")] == pytest.approx(expected, abs=1e-6)
    assert expected != 0.0
    assert set(clubs.spot_limits) <= set(names)
    for name, limit in clubs.spot_limits.items():
        assert abs(rows.values[0][names.index(name)]) <= limit, name
