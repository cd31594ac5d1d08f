"""Compiled shots against the readable ones, over meetings of every kind."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.delivery import batch_layout, blow, blow_kernels, flight, shot_batch
from swingbeam.delivery.air import Air
from swingbeam.delivery.blow import ContactLaw, HeadState
from swingbeam.delivery.flight import Aerodynamics
from swingbeam.delivery.meeting import Meeting
from swingbeam.delivery.shot import FIGURES, ShotSetting, shot_of

LAWS = (
    ContactLaw(),
    ContactLaw(friction=0.05),  # slides as it leaves
    ContactLaw(friction=0.9, tangential=0.4),
    ContactLaw(friction=0.2, tangential=0.9),  # held by Coulomb's limit
    ContactLaw(restitution=0.3),
)
SETTINGS = (
    ShotSetting(),
    ShotSetting(air=Air(altitude=1500.0, temperature=300.0, wind_speed=8.0, wind_from=1.0), left_handed=True),
)
# Both integrate to 1e-8 of place and speed and control their steps alike; rounding in the estimate of an error near
# a kink of the drag's law makes the steps differ all the same. A tenth of a millimetre is `flight.TOLERANCE`'s own.
FLOWN = {"carry": 1e-4, "side": 1e-4, "apex": 1e-4, "descent": 1e-5, "flight_time": 1e-5}
# The blow: sums in another order, and its law's root to 1e-13.
RELATIVE = 1e-10


def unit(v: np.ndarray) -> np.ndarray:
    return v / np.linalg.norm(v)


def drawn(seed: int) -> Meeting:
    """A head that meets the ball somewhere on its face, at a believable speed."""
    rng = np.random.default_rng(seed)
    turn = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    normal = unit(np.array([1.0, 0.15 * rng.normal(), rng.uniform(0.05, 0.6)]))
    toe = unit(np.cross(normal, [0.0, 0.0, 1.0]))
    return Meeting(
        head=HeadState(
            mass=rng.uniform(0.18, 0.3),
            inertia=turn @ np.diag(rng.uniform(2e-4, 5e-4, 3)) @ turn.T,
            velocity=np.array([rng.uniform(25.0, 55.0), *rng.normal(0.0, 2.0, 2)]),
            omega=rng.normal(0.0, 30.0, 3),
            arm=np.array([0.03, *rng.normal(0.0, 0.012, 2)]),
            normal=normal,
        ),
        toe=toe,
        up=np.cross(toe, normal),
        bulge_curvature=3.0,
        roll_curvature=4.0,
        hosel=rng.normal(0.0, 0.03, 3),
        height=float(rng.choice([0.0, 0.03])),
    )


def row(meeting: Meeting) -> np.ndarray:
    """A meeting as `batch.read_figures` writes it."""
    m, head = np.full(batch_layout.MEETING_WIDTH, np.nan), meeting.head
    places = {
        batch_layout.HEAD_VELOCITY: head.velocity,
        batch_layout.HEAD_OMEGA: head.omega,
        batch_layout.HEAD_ARM: head.arm,
        batch_layout.HEAD_NORMAL: head.normal,
        batch_layout.FACE_TOE: meeting.toe,
        batch_layout.FACE_UP: meeting.up,
        batch_layout.HOSEL: meeting.hosel,
        batch_layout.HEAD_INERTIA: head.inertia.ravel(),
        batch_layout.HEAD_MASS: [head.mass],
        batch_layout.HEIGHT: [meeting.height],
    }
    for place, values in places.items():
        m[place : place + len(values)] = values
    return m


@pytest.mark.parametrize("setting", SETTINGS, ids=["still", "windy and left-handed"])
def test_shots_are_those_of_the_readable_way(setting):
    meetings = [drawn(seed) for seed in range(25)]
    laws = [LAWS[i % len(LAWS)] for i in range(len(meetings))]
    shots, codes = shot_batch.read_shots(
        np.array([row(m) for m in meetings]), setting, np.array([shot_batch.law_row(law) for law in laws])
    )
    for meeting, law, found, code in zip(meetings, laws, shots, codes, strict=True):
        if code:
            with pytest.raises(SimulationError, match=shot_batch.WORDS[code]):
                shot_of(meeting, replace(setting, law=law))
            assert np.isnan(found).all()
            continue
        expected = shot_of(meeting, replace(setting, law=law))
        assert code == 0
        for name, value in zip(FIGURES, found, strict=True):
            size = 1e3 if "spin" in name else 1.0
            assert value == pytest.approx(
                getattr(expected, name), rel=RELATIVE, abs=FLOWN.get(name, RELATIVE * size)
            ), name


def test_both_ways_share_their_numbers():
    assert (blow_kernels.STEPS, blow_kernels.MOST_STEPS) == (blow.STEPS, blow.MOST_STEPS)
    assert batch_layout.LONGEST == flight.LONGEST


def said(meeting: Meeting, setting: ShotSetting) -> tuple[str, str]:
    """Why there is no shot, both ways."""
    with pytest.raises(SimulationError) as raised:
        shot_of(meeting, setting)
    shots, (code,) = shot_batch.read_shots(row(meeting)[None], setting)
    assert np.isnan(shots).all()
    return shot_batch.WORDS[code], str(raised.value)


def test_balls_without_a_shot_say_the_same():
    base, plain = drawn(1), ShotSetting()
    away = replace(base, head=replace(base.head, velocity=-base.head.velocity))
    down = unit(np.array([1.0, 0.0, -0.5]))
    driven = replace(base, height=0.0, head=replace(base.head, normal=down, arm=np.array([0.03, 0.0, 0.0])))
    # A drag that drives: the speed grows without bound.
    driving = replace(plain, aerodynamics=Aerodynamics(drag=-1.0, drag_spin=0.0, drag_wave=0.0, lift=0.0))
    assert len({*said(away, plain), "the face moves away from the ball"}) == 1
    assert len({*said(driven, plain), "the ball is driven into the ground"}) == 1
    found, expected = said(base, driving)
    assert expected.startswith(found)
    assert found == "the flight does not end on the ground"


def test_a_ball_that_was_not_struck_harms_no_neighbour():
    rows = np.array([row(drawn(3)), np.full(batch_layout.MEETING_WIDTH, np.nan), row(drawn(4))])
    shots, codes = shot_batch.read_shots(rows, ShotSetting())
    assert list(codes) == [0, len(shot_batch.WORDS) - 1, 0]
    for i in (0, 2):
        alone, _ = shot_batch.read_shots(rows[i : i + 1], ShotSetting())
        np.testing.assert_array_equal(alone[0], shots[i])


def test_shapes_that_do_not_belong_together_are_refused():
    with pytest.raises(InputError, match="read_shots"):
        shot_batch.read_shots(np.zeros((2, 5)), ShotSetting())
    with pytest.raises(InputError, match="read_shots"):
        shot_batch.read_shots(np.zeros((2, batch_layout.MEETING_WIDTH)), ShotSetting(), np.zeros((1, 5)))
