"""Hands: what is allowed, and the modes."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from swingbeam.beam import InputError
from swingbeam.swing.hands import EFFORT, HOLD, MEDIUM, MODES, VICE, Hands, firm, firmness_words, hands_named


def test_a_low_roll_stiffness_is_refused_and_a_doubtful_one_warned_about():
    with pytest.raises(InputError, match="at least 2"):
        Hands("loose", np.array([20.0, 1.9, 40.0]), np.zeros(3))
    with pytest.warns(UserWarning, match="forearm-roll stiffness of 3"):
        Hands("loose", np.array([20.0, 3.0, 40.0]), np.zeros(3))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        Hands("firm", np.array([20.0, 5.0, 40.0]), np.zeros(3))


@pytest.mark.parametrize(
    ("stiffness", "damping"),
    [
        ([20.0, 10.0], [1.0, 1.0, 1.0]),
        ([-1.0, 10.0, 40.0], [1.0, 1.0, 1.0]),
        ([np.nan, 10.0, 40.0], [1.0, 1.0, 1.0]),
        ([20.0, 10.0, 40.0], [np.inf, 1.0, 1.0]),
    ],
)
def test_impossible_hands_are_refused(stiffness, damping):
    with pytest.raises(InputError, match="hands"):
        Hands("odd", np.array(stiffness), np.array(damping))


def test_modes_have_names_and_only_the_vice_holds_all():
    assert list(MODES) == ["vice", "hold", "effort"]
    assert hands_named("hold") is HOLD
    assert VICE.is_held
    assert not HOLD.is_held
    assert not EFFORT.is_held
    with pytest.raises(InputError, match="vice, hold, effort"):
        hands_named("grip")


@pytest.mark.parametrize(("firmness", "factor"), [(0.0, 0.5), (0.25, 2.0**-0.5), (0.75, 2.0**0.5), (1.0, 2.0)])
def test_a_firmer_grip_is_stiffer_at_the_same_damping_ratio(firmness, factor):
    # Derived: K · 4^(f − 1/2), c = 2 ζ √(K I) with ζ and I as they are. rtol 1e-15: one product each.
    hands = firm(HOLD, firmness)
    np.testing.assert_allclose(hands.stiffness, factor * HOLD.stiffness, rtol=1e-15)
    ratio, medium = (h.damping / np.sqrt(h.stiffness) for h in (hands, HOLD))
    np.testing.assert_allclose(ratio, medium, rtol=1e-14)
    assert hands.name == "hold"


def test_a_medium_grip_and_a_vice_are_as_they_are():
    assert all(firm(hands, MEDIUM) is hands for hands in MODES.values())
    assert firm(VICE, 1.0) is VICE
    assert firmness_words(MEDIUM) == ()
    assert "Grip firmness 100 %: hold and effort are 2.00 times" in firmness_words(1.0)[0]


def test_the_floor_on_roll_stiffness_stays():
    # effort: 5 N·m/rad about the roll; half of it is doubtful, and hands of 3 would come to 1.5.
    with pytest.warns(UserWarning, match=r"roll stiffness of 2\.5"):
        firm(EFFORT, 0.0)
    with pytest.warns(UserWarning, match="roll stiffness of 3"):
        soft = Hands("soft", np.array([2.0, 3.0, 2.0]), np.zeros(3))
    with pytest.raises(InputError, match="at least 2"):
        firm(soft, 0.0)
    for firmness in (-0.01, 1.01, float("nan")):
        with pytest.raises(InputError, match="allowed: 0 to 100 %"):
            firm(HOLD, firmness)
