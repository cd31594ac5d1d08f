"""Hands: what is allowed, and the modes."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from swingbeam.beam import InputError
from swingbeam.swing.hands import EFFORT, HOLD, MODES, VICE, Hands, hands_named


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
