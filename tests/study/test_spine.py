"""Face and loft against how the spine is set in the head."""

import numpy as np
import pytest

from swingbeam.files.lookup import find
from swingbeam.report.spine_table import spine_json
from swingbeam.study.golfer import load_golfer
from swingbeam.study.spine import face_against_spine, set_spine
from swingbeam.units import InputError


def test_face_and_loft_follow_twice_the_angle() -> None:
    found = face_against_spine([], "even", difference=0.04, turns=6)
    (row,) = found.rows
    for values in (row.face, row.loft):
        # Half a turn of the shaft is the same shaft: to first order in the spine the change is a + b cos 2(θ − θ₀).
        # What is left is of second order in the spine, 4 % of EI: a twentieth is room enough.
        columns = np.column_stack([np.ones(6), np.cos(2 * row.angle), np.sin(2 * row.angle)])
        left = values - columns @ np.linalg.lstsq(columns, values, rcond=None)[0]
        assert np.ptp(values) > 0.0
        assert np.abs(left).max() < 0.05 * np.ptp(values)
    assert '"stiff_side_deg"' in spine_json(found)


def swing_of(values: np.ndarray, angle: np.ndarray) -> float:
    """Amplitude of what goes with twice the angle."""
    return float(np.hypot(np.mean(values * np.cos(2 * angle)), np.mean(values * np.sin(2 * angle))))


def test_twice_the_spine_is_twice_the_change() -> None:
    small, large = (face_against_spine([], "even", difference=d, turns=4).rows[0] for d in (0.02, 0.04))
    assert small.face_without == large.face_without
    for attribute in ("face", "loft"):
        # To first order in the spine, 4 % of EI; single rotations may have hardly any first order in them.
        one, two = (swing_of(getattr(row, attribute), row.angle) for row in (small, large))
        assert two == pytest.approx(2.0 * one, rel=0.05)


def test_no_spine_is_no_change_however_it_is_turned() -> None:
    # Equipment Rules (R&A/USGA), part 2.
    club = load_golfer(find("swing", "even")).club
    assert set_spine(club, 0.0, 1.0).shaft.spine is None
    turned = set_spine(club, 0.02, 0.0)
    np.testing.assert_allclose(turned.profile.ei.mean(axis=1), club.profile.ei.mean(axis=1), rtol=1e-12)
    np.testing.assert_array_equal(turned.profile.s, club.profile.s)


def test_a_shaft_without_a_spine_needs_one_stated() -> None:
    with pytest.raises(InputError, match="without a spine"):
        face_against_spine(["wick-65-s"], "even")
