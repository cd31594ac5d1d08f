"""Trim, insertion, length and what the hands carry."""

import numpy as np
import pytest

from club.made_up import head
from shaft.made_up import shaft
from swingbeam.club.build import LENGTH_ANGLE, Club, axis_to_ground, build_club, load_club
from swingbeam.club.damping import viscosity
from swingbeam.club.head import move_inertia
from swingbeam.files.club_file import ClubParts
from swingbeam.shaft.clamped import twist_frequency
from swingbeam.units import InputError

INCH = 0.0254


def tapered() -> object:
    return shaft(s=(0.0, 1.2), ei=(80.0, 20.0), gj=(30.0, 10.0), mass=(0.06, 0.04))


def test_where_the_ground_is() -> None:
    # A shaft axis at 60 degrees and a hosel mouth 53 mm up: 53/sin 60° along the axis. rtol 1e-14: round-off.
    a = head(lie=LENGTH_ANGLE)
    assert axis_to_ground(a) == pytest.approx(0.053 / np.sin(LENGTH_ANGLE), rel=1e-14)
    assert axis_to_ground(a, LENGTH_ANGLE) == pytest.approx(axis_to_ground(a), rel=1e-14)


def test_tilting_to_sixty_degrees_turns_the_head_on_its_sole() -> None:
    a = head(lie=np.radians(58.0))
    c, s = np.cos(a.lie), np.sin(a.lie)
    # In the vertical plane through the axis, (horizontal away from the golfer, up), from the hosel mouth: the
    # sole is below the face centre, on the ground. Turned by 2 degrees about that point, the ground stays
    # where it is.
    down = np.array([c, -s])
    toe_ward = np.array([s, c])
    sole = np.array([a.face_centre[0] * down[0] + a.face_centre[2] * toe_ward[0], -a.hosel_height])
    turn = np.radians(2.0)
    turned = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    mouth = sole + turned @ (-sole)
    axis = turned @ down
    assert np.arctan2(-axis[1], axis[0]) == pytest.approx(np.radians(60.0), rel=1e-12)
    distance = (-a.hosel_height - mouth[1]) / axis[1]
    assert axis_to_ground(a, LENGTH_ANGLE) == pytest.approx(distance, rel=1e-12)


def test_lengths_add_up() -> None:
    a, h = tapered(), head()
    club = build_club(a, h, finished_length=1.15, tip_trim=0.02, hold_point=0.09)
    ground = axis_to_ground(h, LENGTH_ANGLE)
    # raw − tip trim − butt trim − insertion + axis to the ground = finished. atol 1e-12 m: round-off.
    assert 1.2 - 0.02 - club.butt_trim - 0.03 + ground == pytest.approx(1.15, abs=1e-12)
    assert club.finished_length == pytest.approx(1.15, abs=1e-12)
    assert club.length_beyond_hold == pytest.approx(1.15 - ground - 0.09, abs=1e-12)
    same = build_club(a, h, butt_trim=club.butt_trim, tip_trim=0.02, hold_point=0.09)
    assert same.finished_length == pytest.approx(1.15, abs=1e-12)


def test_trimming_works_on_the_profile() -> None:
    a, h = tapered(), head()
    for trim in (0.0, 0.04):
        club = build_club(a, h, butt_trim=0.03, tip_trim=trim, hold_point=0.1)
        mouth, hold = 1.2 - trim - 0.03, 0.13
        # EI = 80 − 50 s, GJ = 30 − 50 s/3, mass 60 − 50 s/3 g/m of the raw shaft, at the two ends of the
        # beam.
        np.testing.assert_allclose(club.profile.ei[[0, -1], 0], [80 - 50 * hold, 80 - 50 * mouth], rtol=1e-12)
        np.testing.assert_allclose(club.profile.gj[[0, -1]], [30 - 50 * hold / 3, 30 - 50 * mouth / 3], rtol=1e-12)
        np.testing.assert_allclose(
            club.profile.mass[[0, -1]] * 1e3, [60 - 50 * hold / 3, 60 - 50 * mouth / 3], rtol=1e-12
        )


def test_tipping_stiffens_and_butt_trim_does_not_touch_the_tip() -> None:
    a, h = tapered(), head()
    plain = build_club(a, h, finished_length=1.12)
    tipped = build_club(a, h, finished_length=1.12, tip_trim=0.04)
    assert tipped.profile.ei[-1, 0] > plain.profile.ei[-1, 0]
    assert tipped.profile.length == pytest.approx(plain.profile.length, abs=1e-12)
    assert tipped.butt_trim == pytest.approx(plain.butt_trim - 0.04, abs=1e-12)


def test_masses_add_up() -> None:
    a, h = tapered(), head()
    club = build_club(a, h, butt_trim=0.05, tip_trim=0.02, grip_mass=0.047)
    # Shaft mass between the cuts: 60 − 50 s/3 g/m from 0.05 to 1.18 m. rtol 1e-12: round-off.
    kept = (60 * 1.13 - 50 / 6 * (1.18**2 - 0.05**2)) * 1e-3
    assert club.total_mass == pytest.approx(kept + 0.2 + 0.047, rel=1e-12)


def test_the_inserted_piece_belongs_to_the_head() -> None:
    club = build_club(shaft(mass=0.05), head(), butt_trim=0.0)
    piece, half = 0.05 * 0.03, 0.015
    total = 0.2 + piece
    cg = (0.2 * np.array([0.05, -0.018, 0.034]) + piece * np.array([half, 0.0, 0.0])) / total
    assert club.tip.mass == pytest.approx(total, rel=1e-12)
    np.testing.assert_allclose(club.tip.offset, cg, rtol=1e-12)
    # About the hosel mouth: head moved there, and a thin tube of 8.5 mm and 30 mm: polar m r², transverse
    # m L²/3 + m r²/2. rtol 1e-10: round-off of the moves there and back.
    polar = piece * 0.00425**2
    across = piece * 0.03**2 / 3.0 + polar / 2.0
    at_mouth = move_inertia(np.diag([4e-4, 3e-4, 3.5e-4]), 0.2, (0.05, -0.018, 0.034)) + np.diag(
        [polar, across, across]
    )
    np.testing.assert_allclose(club.tip.inertia_about_tip(), at_mouth, rtol=1e-10, atol=1e-18)


def test_what_is_behind_the_hold_point_changes_only_what_the_hands_carry() -> None:
    a, h = tapered(), head()
    light = build_club(a, h, finished_length=1.12, grip_mass=0.03)
    heavy = build_club(a, h, finished_length=1.12, grip_mass=0.09)
    np.testing.assert_array_equal(light.profile.ei, heavy.profile.ei)
    np.testing.assert_array_equal(light.profile.mass, heavy.profile.mass)
    np.testing.assert_array_equal(light.tip.inertia, heavy.tip.inertia)
    assert heavy.held_mass - light.held_mass == pytest.approx(0.06, rel=1e-12)
    assert np.all(heavy.held_inertia > light.held_inertia)


def test_held_inertia_by_hand() -> None:
    # 50 g/m over 0.1 m behind the hold point, a grip of 40 g over 0.2 m whose middle is at the hold point,
    # radius 7.5 mm, rubber at 1.3 of it: across m L²/3 + m_g L_g²/12 and half the polar parts.
    club = build_club(shaft(mass=0.05), head(), butt_trim=0.0, grip_mass=0.04, grip_length=0.2, hold_point=0.1)
    polar = 0.005 * 0.0075**2 + 0.04 * (1.3 * 0.0075) ** 2
    across = 0.005 * 0.1**2 / 3.0 + 0.04 * 0.2**2 / 12.0 + polar / 2.0
    np.testing.assert_allclose(club.held_inertia, [polar, across, across], rtol=1e-12)
    assert club.held_mass == pytest.approx(0.045, rel=1e-12)


def test_viscosity_is_twice_the_ratio_over_the_bench_frequency() -> None:
    a = shaft(s=(0.0, 1.127), ei=40.0, gj=15.0, mass=0.06, bend_damping=0.01, twist_damping=0.02)
    bend, twist = viscosity(a)
    # 223.446 cpm (closed form of Blevins, table 8-8, see the frequency test), rtol 2e-4 as there.
    assert bend == pytest.approx(2 * 0.01 / (2 * np.pi * 223.446 / 60.0), rel=2e-4)
    # ω² = GJ/(L J) with 5·10⁻⁴ kg·m² at the tip; rtol 1e-12: round-off.
    assert twist == pytest.approx(2 * 0.02 / np.sqrt(15.0 / (1.0 * 5e-4)), rel=1e-12)
    assert twist_frequency(a) == pytest.approx(np.sqrt(15.0 / 5e-4) / (2 * np.pi), rel=1e-12)
    assert viscosity(shaft(bend_damping=0.0, twist_damping=0.0)) == (0.0, 0.0)
    assert build_club(a, head(), butt_trim=0.0).viscosity == (bend, twist)


@pytest.mark.parametrize(
    ("build", "says"),
    [
        ({"butt_trim": 0.0, "tip_trim": 1.3}, "tip_trim: found 51.18 in off a shaft of 47.24 in"),
        ({"butt_trim": 1.3}, "butt_trim: found 51.18 in off a shaft of 47.24 in"),
        ({"butt_trim": -0.01}, "butt_trim"),
        ({"butt_trim": 0.0, "tip_trim": -0.01}, "tip_trim"),
        ({"butt_trim": 0.0, "tip_trim": 0.06}, "3.15 in parallel tip for the hosel; allowed: up to 1.97"),
        ({"finished_length": 1.3}, "finished_length: found 51.18 in; allowed with this shaft"),
        ({"finished_length": 0.01}, "finished_length"),
        ({}, "found neither of finished_length and butt_trim"),
        ({"finished_length": 1.1, "butt_trim": 0.0}, "found both of"),
        ({"butt_trim": 0.0, "insertion": 0.031}, "insertion: found 31.0 mm; allowed: above 0 and up to"),
        ({"butt_trim": 0.0, "insertion": 0.0}, "insertion"),
        ({"butt_trim": 0.0, "hold_point": 1.17}, "hold_point: found 46.06 in"),
        ({"butt_trim": 0.0, "hold_point": -0.01}, "hold_point"),
        ({"butt_trim": 0.0, "grip_mass": -0.01}, "grip"),
        ({"butt_trim": 0.0, "tip_trim": float("nan")}, "tip_trim"),
        ({"butt_trim": float("nan")}, "butt_trim"),
        ({"finished_length": float("inf")}, "finished_length"),
    ],
)  # fmt: skip
def test_builds_that_are_not_possible(build: dict[str, float], says: str) -> None:
    with pytest.raises(InputError) as caught:
        build_club(tapered(), head(), **build)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_taper_tip_is_not_tip_trimmed() -> None:
    a = shaft(parallel_tip=0.0)
    assert isinstance(build_club(a, head(), butt_trim=0.0), Club)
    with pytest.raises(InputError, match=r"allowed: up to 0\.00 in"):
        build_club(a, head(), butt_trim=0.0, tip_trim=0.01)


def test_shaft_and_head_are_of_one_kind() -> None:
    with pytest.raises(InputError, match="allowed: two of one kind"):
        build_club(shaft(kind="iron"), head(), butt_trim=0.0)


def test_a_club_by_names() -> None:
    parts = ClubParts.model_validate(
        {"shaft": "wick-65-s", "head": "driver", "finished_length": "45.5 in", "label": "mine"}
    )
    club = load_club(parts)
    assert club.label == "mine"
    assert club.finished_length == pytest.approx(45.5 * INCH, abs=1e-12)
    # A driver's shaft reaches 1.0 to 1.05 m beyond the hands (from memory).
    assert 1.0 <= club.length_beyond_hold <= 1.05
    for wrong, says in (
        ({"shaft": "wick-65-z"}, 'club "mine": found "wick-65-z", no shaft of that name'),
        ({"finished_length": 2.0}, 'club "mine": finished_length'),
        ({"head": None}, "without shaft or head"),
    ):
        with pytest.raises(InputError) as caught:
            load_club(parts.model_copy(update=wrong))
        assert says in str(caught.value)
