"""The compiled figures against the readable ones: starter library, golfers, hands; then runs made by hand."""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from delivery.flight import PlainFace
from swingbeam.beam.errors import InputError
from swingbeam.beam.history import (
    BEND_ENERGY,
    ROW_LENGTH,
    TIP_ACCELERATION,
    TIP_OMEGA,
    TIP_POSITION,
    TIP_ROTATION,
    TIP_VELOCITY,
    History,
)
from swingbeam.beam.model import TipBody
from swingbeam.beam.motion import Motion
from swingbeam.beam.root import RootPath
from swingbeam.club.build import load_club
from swingbeam.delivery import batch, batch_layout
from swingbeam.files.club_file import ClubParts
from swingbeam.study.golfer import load_golfer
from swingbeam.study.measure import SwingFrame, measure
from swingbeam.swing import hands_named, run_club

ROOT = Path(__file__).parents[2]
SWINGS = sorted((ROOT / "swings").glob("*.toml"))
SHAFTS = sorted((ROOT / "shafts").glob("*.toml"))
HANDS = ("vice", "hold", "effort")

# Both find contact to 1e-12 s. In that time the head, at 60 m/s, goes 6e-11 m and, closing at 60 rad/s, turns
# 6e-11 rad; the rest is round-off of sums in another order. A peak is flat at the top: its instant is known to
# 1e-15 m, the rounding of a place 1 m away, over h² = 2.5e-7 s² and over the change of the second derivative.
RELATIVE = 1e-9
ABSOLUTE = 2e-10
TIME = 2e-11
CURVE = 1e-9
"""Of a curve's own largest value: splines through forces of 300 N whose systems are solved in another order."""


def same(name: str, found: float | None, expected: float | None, absolute: float = ABSOLUTE) -> None:
    assert (found is None) == (expected is None), (name, found, expected)
    if expected is not None:
        assert found == pytest.approx(expected, rel=RELATIVE, abs=absolute), name


def same_record(found: object, expected: object) -> None:
    for f in fields(expected):  # type: ignore[arg-type]
        a, b = getattr(found, f.name), getattr(expected, f.name)
        if f.name in ("state", "reasons"):
            assert a == b
        else:
            late = f.name.endswith("_at") or f.name in ("half", "straight", "arrives")
            same(f.name, a, b, TIME if late else ABSOLUTE)


def read(run: History, face, ball, frame: SwingFrame, times=None) -> batch.Readings:
    table = batch.swing_table(run.path.motion, frame.line, frame.plane_normal, frame.top, frame.planned)
    targets = batch.Targets(
        batch.face_row(face)[None], batch.tip_row(run.tip)[None], np.asarray(ball, dtype=float)[None]
    )
    return batch.read_figures(run.t, np.ascontiguousarray(run.rows)[None], table, targets, times=times)


def same_figures(run: History, face, ball, frame: SwingFrame) -> batch.Readings:
    """Read a run both ways and compare everything."""
    expected = measure(run, face, ball, frame)
    found = read(run, face, ball, frame, None if expected.curves is None else expected.curves.t)
    assert batch.status_of(found, 0) == expected.status
    assert batch.reasons_of(found, 0) == expected.reasons
    if expected.status != "ok":
        assert np.isnan(found.figures[0, batch_layout.IMPACT])
        return found
    same("time", found.figures[0, batch_layout.TIME], expected.time, TIME)
    same_record(batch.unload_of(found, 0), expected.unload)
    same_record(batch.impact_of(found, 0), expected.impact)
    for made, wanted in zip(batch.causes_of(found, 0), (expected.face, expected.loft), strict=True):
        same_record(made, wanted)
    meeting = batch.meeting_of(found, 0, face)
    for f in fields(expected.meeting):
        if f.name != "head":
            same_array(getattr(meeting, f.name), getattr(expected.meeting, f.name))
    for f in fields(expected.meeting.head):
        same_array(getattr(meeting.head, f.name), getattr(expected.meeting.head, f.name))
    for row, name in enumerate(("in_plane", "lead", "droop", "twist", "hand_force", "hand_couple")):
        curve = getattr(expected.curves, name)
        np.testing.assert_allclose(found.curves[0, row], curve, rtol=0.0, atol=CURVE * max(np.abs(curve).max(), 1e-3))
    return found


def same_array(found, expected) -> None:
    # Spins and speeds of some 50 turn and grow by 1e-12 s of their own rates, some thousand a second.
    np.testing.assert_allclose(found, expected, rtol=RELATIVE, atol=1e-8)


# -- the starter library ----------------------------------------------------------------------------------------


@cache
def golfer(swing: Path):
    return load_golfer(swing)


@cache
def clubs(swing: Path):
    """All clubs of the library that this golfer's head takes."""
    found = []
    for shaft in SHAFTS:
        try:
            parts = ClubParts(shaft=shaft.stem).over(golfer(swing).parts)
            found.append(load_club(parts, beside=swing))
        except InputError:
            continue  # the other kind of shaft
    return found


# Golfers driven by torque take seconds to aim: one of them here, the others in the slow sweep.
SOME = [path for path in SWINGS if "by-torque" not in path.stem or path.stem == "even-by-torque"]


@pytest.mark.parametrize("swing", SOME, ids=lambda p: p.stem)
def test_golfers_and_hands_with_some_of_the_library(swing):
    """One golfer after the other takes the next of the shafts, so that all come up; runs that end at the ball."""
    someone = golfer(swing)
    place = SWINGS.index(swing)
    some = clubs(swing)
    for k, hands in enumerate(HANDS):
        club = some[(3 * place + k) % len(some)]
        run, ball = someone.run(club, hands, "re-aimed", "curvature")
        same_figures(run, club.face, ball, someone.frame)


def test_runs_that_go_on_past_the_ball_and_other_balls():
    """As lanes run them: all to the same instant. The raw ball is struck off the centre."""
    swing = ROOT / "swings" / "even.toml"
    someone = golfer(swing)
    for club, hands in zip(clubs(swing)[::5], HANDS * 3, strict=False):
        run = run_club(club, someone.reference, hands_named(hands))
        same_figures(run, club.face, someone.reference.ball, someone.frame)
        same_figures(run, club.face, someone.reference.raw_ball, someone.frame)


@pytest.mark.slow
@pytest.mark.parametrize("swing", SWINGS, ids=lambda p: p.stem)
def test_whole_library_with_every_golfer_and_hands(swing):
    someone = golfer(swing)
    for club in clubs(swing):
        for hands in HANDS:
            run, ball = someone.run(club, hands, "re-aimed", "curvature")
            same_figures(run, club.face, ball, someone.frame)


# -- runs made by hand ------------------------------------------------------------------------------------------

SPEED, IMPACT, END, STEP = 45.0, 0.3, 0.36, 2e-3
FACE = PlainFace()
DOWN = np.array([0.0, 0.0, 1.0])


def made(bend, energy=lambda t: 1.0 + t, end=END) -> History:
    """A root at rest, its axis along x; the tip goes along x at a steady speed and in the swing plane as `bend`
    (value, rate, acceleration of an array of instants) says."""
    t = np.linspace(0.0, end, round(end / STEP) + 1)
    value, rate, acceleration = (np.broadcast_to(a, t.shape) for a in bend(t))
    rows = np.zeros((t.size, ROW_LENGTH))
    rows[:, TIP_POSITION] = np.column_stack([SPEED * t, value, 0.01 + 0.0 * t])
    rows[:, TIP_VELOCITY] = np.column_stack([SPEED + 0.0 * t, rate, 0.0 * t])
    rows[:, TIP_ACCELERATION] = np.column_stack([0.0 * t, acceleration, 0.0 * t])
    rows[:, TIP_ROTATION] = np.eye(3).ravel()
    rows[:, BEND_ENERGY] = energy(t)
    path = RootPath(Motion.still(end), None, np.zeros(3))
    tip = TipBody(0.2, [0.0, 0.0, 0.02], np.diag([3e-4, 4e-4, 3e-4]))
    return History(t, rows, path, tip, "elements", STEP, t, np.zeros((t.size, 3)))


FRAME = SwingFrame(Motion.still(END), DOWN, 0.05, 0.3)


def ball_at(run: History, across: float = 0.0, above: float = 0.0, instant: float = IMPACT) -> np.ndarray:
    """Where the face centre meets a ball at an instant, or beside it."""
    place = run.at(instant).tip_position_world[0]
    return place + np.array([batch.BALL_RADIUS, across, above])


def wave(amplitude: float, omega: float, phase: float, offset: float = 0.0):
    def bend(t):
        angle = omega * t + phase
        return (
            offset + amplitude * np.cos(angle),
            -amplitude * omega * np.sin(angle),
            -amplitude * omega**2 * np.cos(angle),
        )

    return bend


SIGNALS = {
    "rises and straightens": wave(0.1, 14.0, 0.4),
    "not straight at impact": wave(0.1, 14.0, -0.9, -0.05),
    "straight in between": wave(0.1, 30.0, 1.2),
    "no half-unload": wave(0.1, 10.0, -0.2),
    "falls through": lambda t: (-t - 0.2 * t * t, -1.0 - 0.4 * t, -0.4),
    "rises through": lambda t: (t + 0.2 * t * t - 0.4, 1.0 + 0.4 * t, 0.4),
    "never lags": wave(0.02, 25.0, 0.0, 0.05),
    "stays straight": lambda t: (0.0, 0.0, 0.0),
    "many crossings": wave(0.01, 120.0, 0.3),
}


@pytest.mark.parametrize("name", SIGNALS)
def test_made_signals(name):
    run = made(SIGNALS[name])
    found = same_figures(run, FACE, ball_at(run), FRAME)
    assert batch.status_of(found, 0) == "ok"


def test_made_signals_hold_every_reason():
    """The signals above come by every word there is about unloading."""
    words = set()
    for bend in SIGNALS.values():
        run = made(bend)
        words.update(measure(run, FACE, ball_at(run), FRAME).reasons)
    assert words == {"half_ms", "straight_ms", "lag_peak_mm", "lag_peak_ms"}


def test_a_rigid_shaft_has_no_energy_left():
    run = made(SIGNALS["rises and straightens"], energy=lambda t: 0.0 * t)
    found = same_figures(run, FACE, ball_at(run), FRAME)
    assert "left_in_shaft" in batch.reasons_of(found, 0)


MISSES = {
    "toe-ward": ((-0.09, 0.0), IMPACT, "off the face"),
    "heel-ward and above": ((0.05, 0.05), IMPACT, "off the face"),
    "not reached": ((0.0, 0.0), END - 1e-3, "mm were left"),
    "far off": ((0.5, 0.0), IMPACT, "mm were left"),
}


@pytest.mark.parametrize("name", MISSES)
def test_missed_balls_say_the_same(name):
    (across, above), instant, words = MISSES[name]
    run = made(SIGNALS["rises and straightens"])
    ball = ball_at(run, across, above, instant)
    if name == "not reached":
        ball = ball + np.array([0.1, 0.0, 0.0])
    found = same_figures(run, FACE, ball, FRAME)
    assert batch.status_of(found, 0) == "missed"
    assert words in batch.reasons_of(found, 0)["status"]


def test_the_edge_of_the_head_comes_first():
    # The ball comes within reach of the face centre only beside it, in the plane of the face at a row: a jump, no root.
    run = made(SIGNALS["stays straight"])
    found = same_figures(run, FACE, ball_at(run, 0.2499) - [batch.BALL_RADIUS, 0.0, 0.0], FRAME)
    assert batch.reasons_of(found, 0) == {"status": "the edge of the head reaches the ball before the face does"}


def test_a_run_that_ends_before_the_downswing():
    run = made(SIGNALS["rises and straightens"])
    late = SwingFrame(FRAME.line, DOWN, END + 0.01, END + 0.2)
    assert measure(run, FACE, ball_at(run), late).status == "missed"
    found = read(run, FACE, ball_at(run), late)
    assert batch.reasons_of(found, 0) == {"status": "the run ends before the downswing"}


def test_a_run_that_stops_being_finite_before_the_ball_has_failed():
    run = made(SIGNALS["rises and straightens"])
    rows = run.rows.copy()
    rows[100:] = np.nan
    broken = History(run.t, rows, run.path, run.tip, "elements", STEP, run.t, run.stage_couple)
    found = read(broken, FACE, ball_at(run), FRAME, np.array([-0.01, 0.0]))
    assert batch.status_of(found, 0) == "failed"
    assert "100 of its instants" in batch.reasons_of(found, 0)["status"]
    assert np.isnan(found.figures[0, : batch_layout.MISS_TOE]).all()
    assert np.isnan(found.curves).all()


def test_what_is_not_finite_after_the_ball_does_not_matter():
    """The rows up to it are read as a run of their own."""
    run = made(SIGNALS["rises and straightens"], energy=lambda t: 2.0 + np.sin(20.0 * t))
    rows = run.rows.copy()
    rows[160:, 30:] = np.inf
    broken = History(run.t, rows, run.path, run.tip, "elements", STEP, run.t, run.stage_couple)
    short = History(run.t[:160], rows[:160], run.path, run.tip, "elements", STEP, run.t, run.stage_couple)
    found = read(broken, FACE, ball_at(run), FRAME)
    expected = read(short, FACE, ball_at(run), FRAME)
    wanted = np.array(expected.figures)
    np.testing.assert_array_equal(found.figures, wanted)
    same_figures(short, FACE, ball_at(run), FRAME)


def test_a_figure_that_is_not_finite_is_a_failure_without_figures():
    run = made(SIGNALS["rises and straightens"])
    # A velocity beyond what squares can hold: the head's speed is infinite, its place is not.
    face = PlainFace(centre=np.zeros(3))
    broken = History(
        run.t, run.rows, run.path, TipBody(0.2, [0.0, 0.0, 1e200]), "elements", STEP, run.t, run.stage_couple
    )
    rows = run.rows.copy()
    rows[:, TIP_OMEGA] = [0.0, 1e-9, 0.0]
    broken = History(run.t, rows, run.path, broken.tip, "elements", STEP, run.t, run.stage_couple)
    with np.errstate(over="ignore"):
        found = same_figures(broken, face, ball_at(run), FRAME)
    assert batch.reasons_of(found, 0) == {"status": "a figure at impact is not a finite number"}
    assert np.isnan(found.figures[0, : batch_layout.MISS_TOE]).all()
    assert np.isnan(found.meeting).all()


def test_a_room_for_shorter_runs_is_refused():
    run = made(SIGNALS["stays straight"])
    table = batch.swing_table(run.path.motion, FRAME.line, DOWN, FRAME.top, FRAME.planned)
    targets = batch.Targets(np.zeros((1, 16)), np.zeros((1, 13)), np.zeros((1, 3)))
    with pytest.raises(InputError, match="shorter runs"):
        batch.read_figures(run.t, run.rows[None], table, targets, room=batch.new_room(run.t[:60], table))


def test_neighbours_order_and_threads_change_no_bit():
    runs = [made(bend) for bend in SIGNALS.values()]
    rows = np.array([run.rows for run in runs])
    rows[3, 120:] = np.nan
    k = len(runs)
    targets = batch.Targets(
        np.tile(batch.face_row(FACE), (k, 1)),
        np.tile(batch.tip_row(runs[0].tip), (k, 1)),
        np.array([ball_at(run) for run in runs]),
    )
    t = runs[0].t
    table = batch.swing_table(runs[0].path.motion, FRAME.line, DOWN, FRAME.top, FRAME.planned)
    times = np.linspace(-0.2, 0.0, 41)
    together = batch.read_figures(t, rows, table, targets, times=times)

    def one(i: int) -> batch.Readings:
        own = batch.Targets(*(getattr(targets, f.name)[i : i + 1] for f in fields(targets)))
        return batch.read_figures(t, rows[i : i + 1], table, own, times=times)

    with ThreadPoolExecutor(2) as pool:
        apart = list(pool.map(one, reversed(range(k))))[::-1]
    for name, values in together._asdict().items():
        np.testing.assert_array_equal(values, np.concatenate([getattr(a, name) for a in apart]))


def test_shapes_that_do_not_belong_together_are_refused():
    run = made(SIGNALS["stays straight"])
    table = batch.swing_table(run.path.motion, FRAME.line, DOWN, FRAME.top, FRAME.planned)
    targets = batch.Targets(np.zeros((2, 16)), np.zeros((1, 13)), np.zeros((1, 3)))
    with pytest.raises(InputError, match=r"faces has shape \(2, 16\); \(1, 16\) is needed"):
        batch.read_figures(run.t, run.rows[None], table, targets)


def test_a_motion_in_pieces_is_the_same_motion():
    t = np.linspace(0.0, 1.0, 60)
    turn = np.column_stack([np.cos(t), 0.3 * np.sin(t), 0.2 * t, np.sin(t)])
    turn /= np.linalg.norm(turn, axis=1, keepdims=True)
    motion = Motion.from_samples(t, np.column_stack([np.sin(5.0 * t), np.cos(4.0 * t), t]), turn)
    breaks, pieces = motion.pieces()
    for instant in (0.0, 0.123, 0.5, 0.999, 1.0):
        i = min(int(np.searchsorted(breaks, instant, side="right")) - 1, breaks.size - 2)
        powers = (instant - breaks[i]) ** np.arange(6)
        # Round-off of values of 1.
        np.testing.assert_allclose(powers @ pieces[i, :, :3], motion.at(instant).position[0], rtol=0.0, atol=1e-13)
    assert math.isclose(breaks[-1], motion.end)
