"""Energy balance of a starter driver over a whole swing, in every way the hands can hold it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import make_interp_spline

from swing.golfers import reference
from swingbeam.beam import ElasticRoot, History, Profile, simulate
from swingbeam.club.build import build_club
from swingbeam.shaft.shaft import scale
from swingbeam.swing.hands import MODES

G = 9.80665
LEFT = {"elements": 1e-4, "curvature": 2e-5}
"""Parts of the largest term that may be left unexplained at a solver's default step. 1e-4 is what is asked, and
`elements`, of second order, was given its step for it. `curvature`, of fourth order, keeps 2e-5 (5 mJ), which tells
the smallest term, .1 J of damping, from none; so does `elements` at half its step (second order, last test)."""


def swing(mode: str, solver: str, step: float | None = None) -> tuple[History, Profile]:
    """The library's even swing with its reference driver, its shaft at .85 of the bending stiffness.

    Softer than the club the swing was learnt with, so that the hands give where they can.
    """
    made = reference()
    own = made.club
    club = build_club(scale(own.shaft, ei=0.85), own.head, finished_length=own.finished_length)
    hands = MODES[mode]
    couple = None if hands.is_held else made.record(solver)
    root = ElasticRoot(hands.stiffness, hands.damping, made.inertia, axes=made.axes, couple=couple)
    run = simulate(club.profile, club.tip, made.motion, root=root, solver=solver, step=step, viscosity=club.viscosity)
    return run, club.profile


def height_energy(run: History, profile: Profile) -> np.ndarray:
    """Potential energy in gravity, (n,) J, from the poses of root and tip alone.

    Between them the axis is the cubic with their places and directions. A shaft of .6 N has to be known to 4 mm
    for 1e-5 of 230 J, and the cubic is nearer than that: the first mode departs from it by 2 % of its deflection.
    """
    length = profile.length
    x, weight = (0.5 * v for v in np.polynomial.legendre.leggauss(12))
    root, tip = run.root_position[:, 2, None], run.tip_position_world[:, 2, None]
    leaving, arriving = run.root_rotation[:, 2, 0, None], run.tip_rotation_world[:, 2, 0, None]
    x = x + 0.5
    z = (1 + 2 * x) * (1 - x) ** 2 * root + x**2 * (3 - 2 * x) * tip
    z = z + length * (x * (1 - x) ** 2 * leaving + x**2 * (x - 1) * arriving)
    mass = length * weight * np.interp(length * x, profile.s, profile.mass)
    return G * (z @ mass + run.tip.mass * run.head_position[:, 2])


def grown(t: np.ndarray, power: np.ndarray) -> np.ndarray:
    """∫ power dt from the first instant, (n,) J."""
    integral = make_interp_spline(t, power, k=5).antiderivative()
    return integral(t) - integral(t[0])


def balance(run: History, profile: Profile) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """What the hands' work leaves unexplained, and every term, (n,) J from the first instant.

    The hands give a force at the root and a couple on it; the couple turns the root's own inertia J too (constant
    in its body), so ½ Ω·JΩ is stored. Hand springs and dampers act through the couple: they are the hands'.
    """
    force = np.einsum("nij,nj->ni", run.root_rotation, run.root_force)
    omega = run.root_omega
    work = np.sum(force * run.root_velocity, axis=1) + np.sum(run.root_couple * omega, axis=1)
    own = 0.5 * np.einsum("ni,ij,nj->n", omega, run.path.inertia_tensor(), omega)
    terms = {
        "work": grown(run.t, work),
        "kinetic": run.kinetic_energy + own,
        "potential": height_energy(run, profile),
        "strain": run.bend_energy + run.twist_energy + run.stretch_energy,
        "dissipated": grown(run.t, run.dissipated_power),
    }
    terms = {name: term - term[0] for name, term in terms.items()}
    return terms["work"] - sum(term for name, term in terms.items() if name != "work"), terms


@pytest.mark.parametrize("mode", MODES)
def test_the_hands_work_is_all_accounted_for(solver, mode):
    """Work of the hands = kinetic + potential + strain + dissipated, at every instant of the swing."""
    run, profile = swing(mode, solver)
    rest, terms = balance(run, profile)
    largest = max(np.abs(term).max() for term in terms.values())
    assert np.abs(rest).max() < LEFT[solver] * largest
    # Every term is there and would be missed: each is more than three times what may be left over.
    for term in terms.values():
        assert np.abs(term).max() > 3e-4 * largest
    yielded = np.abs(run.root_yield).max()
    assert yielded == 0.0 if mode == "vice" else yielded > 5e-3


def test_what_elements_leave_over_is_of_second_order():
    """Half the step leaves a quarter: the rest is the time integration's, not a term forgotten."""
    left = [np.abs(balance(*swing("hold", "elements", step))[0]).max() for step in (1e-3, 5e-4)]
    assert np.log2(left[0] / left[1]) == pytest.approx(2.0, abs=0.3)
