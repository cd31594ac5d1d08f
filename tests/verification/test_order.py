"""Observed orders of convergence: of second order in element length and step, of fourth order in `curvature`'s step."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from swingbeam.beam import Profile, natural_frequencies, simulate, static_shape
from verification.beams import uniform
from verification.motions import SPAN, club_like, severe_swing

DAMPED = (2e-3, 2e-3)
"""s: viscosity that lets the modes no step resolves die, so that the order shows at steps of a few ms."""


def orders(measure, sizes):
    """Orders seen from successive differences of `measure(size)`, each size half the one before."""
    values = [np.asarray(measure(size)) for size in sizes]
    steps = [np.abs(b - a).max() for a, b in pairwise(values)]
    return np.log2(np.array(steps[:-1]) / np.array(steps[1:]))


def course(run):
    """Tip pose at 36 instants of the swing, (36, 6): m and rad."""
    seen = run.at(np.linspace(0.0, SPAN, 36))
    return np.hstack([seen.tip_position, seen.tip_rotation])


def test_element_length_in_statics():
    """Two-node elements: second order (Sonneville, Cardona & Brüls 2014, CMAME 268:451); the Princeton beam at 30°."""

    def measure(elements):
        profile = uniform(0.508, (36.279, 2.4287), 3.1033, 0.1)
        shape = static_shape(profile, tip_force=[0, 7.70, 4.45], elements=elements)
        return np.concatenate([shape.position[-1], shape.rotation[-1].ravel()])

    np.testing.assert_allclose(orders(measure, [8, 16, 32, 64]), 2.0, atol=0.1)


def test_element_length_in_vibration():
    """Lumped mass, two-node elements: ω to second order (Hughes, The Finite Element Method, ch. 7)."""

    def measure(elements):
        return natural_frequencies(uniform(rotary=1e-6), count=4, elements=elements)

    np.testing.assert_allclose(orders(measure, [8, 16, 32, 64]), 2.0, atol=0.2)


@pytest.mark.parametrize("meshes", [(8, 16, 32), pytest.param((8, 16, 32, 64), marks=pytest.mark.slow)])
def test_element_length_in_a_swing(meshes):
    """Second order over the whole course of a severe swing."""
    profile, body = club_like()
    motion = severe_swing()

    def measure(elements):
        return course(
            simulate(profile, body, motion, solver="elements", elements=elements, step=5e-4, viscosity=DAMPED)
        )

    np.testing.assert_allclose(orders(measure, meshes), 2.0, atol=0.15)


def test_step_of_elements():
    """Generalised-α on a Lie group: second order (Arnold & Brüls 2007, Multibody Syst. Dyn. 18:185)."""
    profile, body = club_like()
    motion = severe_swing()

    def measure(step):
        return course(simulate(profile, body, motion, solver="elements", elements=12, step=step, viscosity=DAMPED))

    np.testing.assert_allclose(orders(measure, [2e-3, 1e-3, 5e-4, 2.5e-4]), 2.0, atol=0.2)


@pytest.mark.parametrize("functions", [(2, 1), (4, 1), (6, 2)])
def test_step_of_curvature(functions):
    """Two-stage Gauss: fourth order (Hairer, Lubich & Wanner, Geometric Numerical Integration, ch. II)."""
    profile, body = club_like()
    motion = severe_swing(561)

    def measure(step):
        return course(simulate(profile, body, motion, functions=functions, step=step, viscosity=DAMPED))

    np.testing.assert_allclose(orders(measure, [8e-3, 4e-3, 2e-3, 1e-3]), 4.0, atol=0.3)


def test_functions_of_curvature():
    """More bending functions bring the swing closer, each time by a factor: nothing stalls before 1e-5 m."""
    profile, body = club_like()
    motion = severe_swing()
    runs = [
        course(simulate(profile, body, motion, functions=functions, step=1e-3, viscosity=DAMPED))
        for functions in [(2, 1), (4, 2), (6, 3), (10, 5)]
    ]
    away = [np.abs(run - runs[-1]).max() for run in runs[:-1]]
    assert away[0] > 2.5 * away[1] > 2.5**2 * away[2]
    assert away[2] < 2e-5


def test_a_step_inside_an_element_keeps_the_order():
    """A stiffness step that no node meets: compliance is averaged, and the order stays two."""
    step_at = 1.0 / 3.0
    profile = Profile([0, step_at, step_at, 1], [3, 3, 1, 1], 1.0, 1.0)
    free = (1 - step_at) ** 3
    exact = 1e-3 / 3 * (free + (1 - free) / 3)

    def error(elements):
        # 1/3 of the way lies at the same place in an element for n, 4n, 16n elements.
        return static_shape(profile, tip_force=[0, 1e-3, 0], elements=elements).position[-1, 1] / exact - 1

    errors = np.abs([error(8), error(32)])
    assert np.log2(errors[0] / errors[1]) / 2 == pytest.approx(2.0, abs=0.15)
