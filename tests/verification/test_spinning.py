"""Spin and gravity: where the pull along the beam decides the shape."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam import Motion, TipBody, simulate, static_shape
from verification.beams import FUNCTIONS, SWING_FUNCTIONS, converged, uniform
from verification.derived import Rod, RodLoads, rod_equilibrium, spin_up_angle, spin_up_lag
from verification.motions import turning

NO_GRAVITY = (0.0, 0.0, 0.0)


# -- spin-up ------------------------------------------------------------------------------------------------------
def spin_up_bar():
    """The bar of Simo & Vu-Quoc 1986; its rotary inertia of 6e-4 kg·m is the transverse one."""
    return uniform(10.0, 1.4e4, gj=1e4, mass=1.2, ea=2.8e7, ga=1e7, rotary=1.2e-3)


def spin_up_run(solver, **options):
    t = np.linspace(0.0, 20.0, 401)
    return simulate(
        spin_up_bar(), None, turning(t, spin_up_angle(t)[0], 2), solver=solver, gravity=NO_GRAVITY, **options
    )


# Steps that resolve the bending (periods from .6 s at the end); 1e-3 of the peak is aimed at.
SPIN_UP = {"elements": {"elements": 32, "step": 0.02}, "curvature": {"functions": (6, 1), "step": 0.02}}


def test_spin_up(solver):
    """Tip lag on the way to 6 rad/s.

    Problem: Simo & Vu-Quoc 1986, J. Appl. Mech. 53:849; Kane, Ryan & Banerjee 1987, J. Guidance 10:139, who plot
    it; figures by the Ritz series, rounded.
    """
    run = spin_up_run(solver, **SPIN_UP[solver])
    lag = run.tip_position[:, 1]
    deepest = int(np.argmin(lag))
    np.testing.assert_allclose(lag[deepest], -0.574, rtol=0.01)
    np.testing.assert_allclose(run.t[deepest], 6.76, rtol=0.01)
    found = run.at([3.0, 6.0, 9.0, 12.0, 15.0]).tip_position[:, 1]
    np.testing.assert_allclose(found, [-0.217, -0.5436, -0.461, -0.151, 0.0015], rtol=0, atol=0.00574)
    # The whole course against a Ritz series of first order in w: geometry is (w/L)² = .3 % of the peak.
    series = spin_up_lag(np.linspace(0.0, 20.0, 201))
    np.testing.assert_allclose(run.at(np.linspace(0.0, 20.0, 201)).tip_position[:, 1], series, rtol=0, atol=0.003)


def test_spin_up_with_the_functions_of_a_swing():
    """The same with four functions a plane."""
    run = spin_up_run("curvature", functions=SWING_FUNCTIONS, step=0.02)
    assert run.tip_position[:, 1].min() == pytest.approx(-0.574, rel=0.01)


def test_steady_stretch_after_the_spin_up():
    """mΩ²L³/3EA = 5.143e-4 m, of `elements` only: `curvature` has no stretch (Simo & Vu-Quoc 1986)."""
    expected = 1.2 * 6.0**2 * 10.0**3 / (3 * 2.8e7)
    assert expected == pytest.approx(5.143e-4, rel=1e-4)
    run = spin_up_run("elements", **SPIN_UP["elements"])
    late = run.tip_position[run.t > 16.0]
    # What vibration is left (1 mm) shortens the bar by some w²/L = 1e-7 m; the mean takes out its own stretch.
    assert late[:, 0].mean() - 10.0 == pytest.approx(expected, rel=0.01)
    shape = static_shape(spin_up_bar(), spin=[0, 0, 6.0], elements=64)
    assert shape.position[-1, 0] - 10.0 == pytest.approx(expected, rel=1e-3)  # (ΩL)²m/EA of itself, 1.5e-4


def test_without_stiffening_the_bar_would_blow_up():
    """Kane, Ryan & Banerjee 1987: once Ω passes the first frequency at rest, 3.798 rad/s, the soft model diverges.

    It shows that the spin-up check can fail: with the tension term left out the same series runs away.
    """
    threshold = 3.51602 * np.sqrt(1.4e4 / (1.2 * 10.0**4))
    assert threshold == pytest.approx(3.798, abs=1e-3)
    t = np.linspace(0.0, 20.0, 2001)
    soft = np.abs(spin_up_lag(t, stiffening=False))
    passed = t[np.argmax(spin_up_angle(t)[1] > threshold)]
    assert soft[t < passed].max() < 10.0
    assert soft[-1] > 1e6
    assert np.abs(spin_up_lag(t)).max() < 0.6


# -- droop of an offset body in steady spin -----------------------------------------------------------------------
DROOP = [(0.0, 28.169e-3, 5.4409), (0.5, 29.107e-3, 6.5713)]
"""Hub m, droop m, slope deg: EI 35, L 1.1, M .2, CG .03 m off the plane of rotation, 40 rad/s, massless beam."""


def droop_closed_form(hub):
    """e (1 − sech kL) and e·k·tanh kL with k = √(T/EI), T = MΩ²(hub + L): a string with bending stiffness."""
    k = np.sqrt(0.2 * 40.0**2 * (hub + 1.1) / 35.0)
    return 0.03 * (1 - 1 / np.cosh(1.1 * k)), np.degrees(0.03 * k * np.tanh(1.1 * k))


def droop_case(plane, mass=0.0):
    """Beam, body, spin and the direction of droop; `plane` is the section axis the CG lies along."""
    # Only the column of EI that the droop bends is 35: the other must not matter.
    ei, offset, spin = {
        "y": ((35.0, 70.0), [0, 0.03, 0], [0, 40.0, 0]),
        "z": ((70.0, 35.0), [0, 0, 0.03], [0, 0, 40.0]),
    }[plane]
    return uniform(1.1, ei, 12.0, mass), TipBody(0.2, offset), spin, {"y": 1, "z": 2}[plane]


@pytest.mark.parametrize("plane", ["y", "z"])
@pytest.mark.parametrize(("hub", "droop", "slope"), DROOP)
def test_droop_in_steady_spin(solver, plane, hub, droop, slope):
    """In steady spin the body's CG is pulled into line with the hub: droop cannot pass the offset."""
    closed = droop_closed_form(hub)
    np.testing.assert_allclose(closed, (droop, slope), rtol=2e-5)
    profile, body, spin, axis = droop_case(plane)

    def measure(**mesh):
        shape = static_shape(profile, body, spin=spin, hub=[hub, 0, 0], **mesh)
        rotation = shape.rotation[-1]
        return [shape.position[-1, axis], np.degrees(np.arcsin(rotation[axis, 0]))]

    found = converged(solver, measure)
    # 1 %: the closed form is of first order, the slope .1 rad.
    np.testing.assert_allclose(found, [-droop, -slope], rtol=0.01)
    assert abs(found[0]) < 0.03
    loads = RodLoads(spin=np.array(spin), hub=np.array([hub, 0, 0]), body_mass=0.2, body_offset=np.array(body.offset))
    tip, rotation = rod_equilibrium(Rod(1.1, *profile.ei[0], 12.0), loads)
    # The same equations by collocation: extrapolation at fourth order, default stretch 1e-7.
    np.testing.assert_allclose(found, [tip[axis], np.degrees(np.arcsin(rotation[axis, 0]))], rtol=5e-5)
    swing = measure(solver="curvature", functions=SWING_FUNCTIONS)
    np.testing.assert_allclose(swing, [-droop, -slope], rtol=0.01)
    # Without the pull along the beam the droop would be T e L²/2EI, 182.5 mm at hub 0.
    assert abs(found[0]) < 0.2 * 0.2 * 40.0**2 * (hub + 1.1) * 0.03 * 1.1**2 / (2 * 35.0)


@pytest.mark.parametrize("plane", ["y", "z"])
@pytest.mark.parametrize(("hub", "droop", "slope"), DROOP)
def test_droop_of_a_run_that_starts_in_equilibrium(solver, plane, hub, droop, slope):
    """A run in steady spin starts in its equilibrium and stays there."""
    profile, body, _, axis = droop_case(plane, mass=1e-4)
    t = np.linspace(0.0, 0.05, 201)
    motion = turning(t, 40.0 * t, axis, [hub, 0, 0])
    mesh = {"elements": {"elements": 64}, "curvature": {"functions": SWING_FUNCTIONS}}[solver]
    run = simulate(profile, body, motion, solver=solver, gravity=NO_GRAVITY, **mesh)
    np.testing.assert_allclose(run.tip_position[:, axis], -droop, rtol=0.01)
    # It stays: the spline of the motion is true to some (ωh)⁵ and the time integration keeps a steady state.
    np.testing.assert_allclose(run.tip_position, np.tile(run.tip_position[0], (run.t.size, 1)), rtol=0, atol=1e-7)


# -- gravity ------------------------------------------------------------------------------------------------------
def gravity_case():
    return uniform(1.0, 35.0, 12.0, 0.06, rotary=4e-6), TipBody(0.2, [0.01, 0.03, 0.0], np.diag([3e-4, 2.5e-4, 2.5e-4]))


def test_gravity_on_a_horizontal_beam_with_an_offset_body(solver):
    """Sag MgL³/3EI + MgcL²/2EI + mgL⁴/8EI = 21.061 mm and twist MgeL/GJ = .2809° (Gere & Timoshenko, table G-1)."""
    g = 9.80665
    sag = 0.2 * g / (3 * 35.0) + 0.2 * g * 0.01 / (2 * 35.0) + 0.06 * g / (8 * 35.0)
    twist = np.degrees(0.2 * g * 0.03 / 12.0)
    assert sag == pytest.approx(21.061e-3, rel=2e-5)
    assert twist == pytest.approx(0.2809, rel=2e-4)
    profile, body = gravity_case()

    def measure(**mesh):
        shape = static_shape(profile, body, gravity=[0, 0, -g], **mesh)
        rotation = shape.rotation[-1]
        return [-shape.position[-1, 2], -np.degrees(np.arctan2(rotation[2, 1], rotation[1, 1]))]

    # 1e-3: first-order formulas at a slope of .03 rad. The CG toward +y pulls +y down: a twist about −x.
    np.testing.assert_allclose(converged(solver, measure), [sag, twist], rtol=1e-3)
    np.testing.assert_allclose(measure(solver="curvature", functions=SWING_FUNCTIONS), [sag, twist], rtol=1e-3)


def test_a_resting_root_keeps_the_sag(solver):
    """The start in equilibrium under gravity is the static shape, and it rests there; the hand carries the weight."""
    profile, body = gravity_case()
    mesh = {"elements": {"elements": 32}, "curvature": {"functions": FUNCTIONS}}[solver]
    run = simulate(profile, body, Motion.still(0.05), solver=solver, **mesh)
    shape = static_shape(profile, body, gravity=[0, 0, -9.80665], solver=solver, **mesh)
    # Two ways to the same equilibrium on the same mesh; `curvature` takes its static pose at more points.
    np.testing.assert_allclose(run.tip_position[0], shape.position[-1], rtol=0, atol=2e-6)
    np.testing.assert_allclose(run.tip_position, np.tile(run.tip_position[0], (run.t.size, 1)), rtol=0, atol=1e-9)
    weight = (0.2 + 0.06) * 9.80665
    np.testing.assert_allclose(run.root_force, np.tile([0, 0, weight], (run.t.size, 1)), rtol=0, atol=1e-6)
    # Moment about the root: the weights at where they hang.
    np.testing.assert_allclose(run.root_moment[:, 0], 0.2 * 9.80665 * run.head_position[0, 1], rtol=1e-4)


# -- spin about the beam's own axis -------------------------------------------------------------------------------
def test_spin_about_its_own_axis(solver):
    """No lever, no pull, and damping does not see a rigid rotation: nothing happens."""
    profile = uniform(1.0, 40.0, 15.0, 0.06, rotary=1.5e-6)
    body = TipBody(0.2, [0.02, 0, 0], np.diag([4e-4, 3e-4, 3e-4]))
    t = np.linspace(0.0, 0.05, 401)
    run = simulate(profile, body, turning(t, 60.0 * t, 0), solver=solver, gravity=NO_GRAVITY, viscosity=(0.01, 0.01))
    # 1e-9: the turning is uniform but for the spline's error of some (ωh)⁵ in its rate.
    np.testing.assert_allclose(run.tip_position, np.tile([1.0, 0, 0], (run.t.size, 1)), rtol=0, atol=1e-9)
    np.testing.assert_allclose(run.tip_rotation, 0.0, atol=1e-9)
    np.testing.assert_allclose(run.bend_energy + run.twist_energy, 0.0, atol=1e-9)
    np.testing.assert_allclose(run.dissipated_power, 0.0, atol=1e-9)
    np.testing.assert_allclose(run.root_force, 0.0, atol=1e-9)


def test_spun_up_about_its_own_axis(solver):
    """Spun up about its axis the beam is in torsion only: tip twist −J α L/GJ of a slow enough spin-up."""
    profile = uniform(1.0, 40.0, 15.0, 0.06)
    body = TipBody(0.2, [0.02, 0, 0], np.diag([4e-4, 3e-4, 3e-4]))
    t = np.linspace(0.0, 0.2, 401)
    run = simulate(
        profile, body, turning(t, 100.0 * t**2, 0), solver=solver, gravity=NO_GRAVITY
    )  # 200 rad/s², from the first instant and so in equilibrium with it
    np.testing.assert_allclose(run.tip_rotation[:, 0], -4e-4 * 200.0 / 15.0, rtol=1e-5)
    np.testing.assert_allclose(run.tip_rotation[:, 1:], 0.0, atol=1e-9)
    np.testing.assert_allclose(run.root_moment[:, 0], 4e-4 * 200.0, rtol=1e-5)


def test_free_decay_of_a_damped_twist(solver):
    """Straight at the start of a spin-up: twist rings at ω√(1 − ζ²), decays by ζ = ω·viscosity/2 (Meirovitch)."""
    inertia, stiffness, tau, alpha = 4e-4, 15.0, 1e-3, 200.0
    omega = np.sqrt(stiffness / inertia)
    zeta = 0.5 * omega * tau
    t = np.linspace(0.0, 0.1, 401)
    run = simulate(
        uniform(1.0, 40.0, stiffness, 0.06),
        TipBody(0.2, [0.02, 0, 0], np.diag([inertia, 3e-4, 3e-4])),
        turning(t, 0.5 * alpha * t**2, 0),
        solver=solver,
        gravity=NO_GRAVITY,
        # Bending has another viscosity, which must not matter.
        viscosity=(5e-3, tau),
        start="straight",
        step=2.5e-4,
    )
    rest, damped = inertia * alpha / stiffness, omega * np.sqrt(1 - zeta**2)
    ringing = np.cos(damped * run.t) + zeta / np.sqrt(1 - zeta**2) * np.sin(damped * run.t)
    expected = -rest * (1 - np.exp(-zeta * omega * run.t) * ringing)
    # (ωh)²/12 = 2e-4 of the phase a radian for generalised-α, some 20 rad long.
    np.testing.assert_allclose(run.tip_rotation[:, 0], expected, rtol=0, atol=5e-3 * rest)
