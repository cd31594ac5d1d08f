"""What the hands give, on motions whose answers are closed forms."""

import numpy as np
import pytest
from scipy.interpolate import make_interp_spline

from swingbeam.beam import Motion, Profile, TipBody, rigid_body, simulate
from swingbeam.delivery.kinetics import RANGES, Demand, demands, downswing_instants, read_kinetics

NORMAL = np.array([0.0, 0.0, 1.0])
RADIUS, SPIN = 0.6, 20.0
PROFILE = Profile(s=[0.0, 1.0], ei=[75.0, 20.0], gj=[30.0, 10.0], mass=[0.07, 0.04])
TIP = TipBody(0.2, offset=(0.02, 0.0, 0.0), inertia=np.diag([3e-4, 4e-4, 2.6e-4]))


def turning(angle):
    """A grip carried about a hub at the origin, its shaft pointing outward; `angle` of the instants, rad."""
    t = np.linspace(0.0, 0.3, 601)
    c, s, o = np.cos(angle(t)), np.sin(angle(t)), np.zeros_like(t)
    outward = np.stack([c, s, o], axis=1)
    rotation = np.stack([outward, np.stack([-s, c, o], axis=1), np.tile(NORMAL, (t.size, 1))], axis=2)
    return Motion.from_samples(t, RADIUS * outward, rotation)


def still_hub(run, top, impact):
    """(hub, its velocity) at the origin."""
    zero = np.zeros((downswing_instants(run, top, impact).size, 3))
    return {"hub": zero, "hub_velocity": zero}


def test_steady_spin_asks_for_the_centripetal_force_and_nothing_else():
    run = simulate(PROFILE, TIP, turning(lambda t: SPIN * t), gravity=[0.0, 0.0, 0.0])
    seen = read_kinetics(run, NORMAL, 0.05, 0.25, **still_hub(run, 0.05, 0.25))
    # m Ω² r of the rigid club about the hub (Newton); the axis stretches by less than 1e-5.
    body = rigid_body(PROFILE, TIP)
    expected = SPIN**2 * (body.mass * RADIUS + body.first_moment[0])
    np.testing.assert_allclose(np.linalg.norm(seen.force, axis=1), expected, rtol=1e-4)
    np.testing.assert_allclose(seen.arm_rate, SPIN, rtol=1e-6)
    np.testing.assert_allclose(seen.club_rate, SPIN, rtol=1e-6)
    # Nothing is driven: against 0.2 · 20² · 1.6² ≈ 200 J in motion.
    np.testing.assert_allclose(seen.hub_couple, 0.0, atol=1e-3)
    np.testing.assert_allclose(seen.couple, 0.0, atol=1e-3)
    np.testing.assert_allclose(seen.work, 0.0, atol=1e-3)
    np.testing.assert_allclose(seen.hand_speed, SPIN * RADIUS, rtol=1e-6)


def test_work_is_what_the_club_has_gained():
    viscosity = (2e-4, 2e-4)
    run = simulate(
        PROFILE, TIP, turning(lambda t: 30.0 * t**2), gravity=[0.0, 0.0, 0.0], viscosity=viscosity, start="straight"
    )
    top, impact = 0.0, 0.28
    seen = read_kinetics(run, NORMAL, top, impact, **still_hub(run, top, impact))
    fine = run.at(downswing_instants(run, top, impact))
    stored = fine.kinetic_energy + fine.bend_energy + fine.twist_energy
    taken = make_interp_spline(run.t, run.dissipated_power, k=5).antiderivative()
    gained = stored - stored[0] + taken(fine.t) - taken(fine.t[0])
    # The energy balance of the default solver holds to 1e-5 of the largest term.
    np.testing.assert_allclose(seen.work, gained, atol=1e-4 * gained.max())
    # About a hub at rest all power is hub couple times the arms' rate: force and couple move as one body there.
    np.testing.assert_allclose(seen.power, seen.hub_couple * seen.arm_rate, rtol=1e-6, atol=1e-6 * seen.power.max())


def test_without_a_hub_nothing_is_said_of_it():
    run = simulate(PROFILE, TIP, turning(lambda t: SPIN * t), gravity=[0.0, 0.0, 0.0])
    seen = read_kinetics(run, NORMAL, 0.05, 0.25)
    assert seen.hub_couple is None
    assert seen.arm_rate is None


def test_a_demand_beyond_a_human_is_flagged_with_its_number_and_source():
    run = simulate(PROFILE, TIP, turning(lambda t: 3.5 * SPIN * t), gravity=[0.0, 0.0, 0.0])
    found = {d.key: d for d in demands(read_kinetics(run, NORMAL, 0.05, 0.25))}
    body = rigid_body(PROFILE, TIP)
    size = (3.5 * SPIN) ** 2 * (body.mass * RADIUS + body.first_moment[0])
    assert found["force"].size == pytest.approx(size, rel=1e-3)  # the axis stretches by some 1e-5, bends not at all
    assert size > RANGES["force"].largest
    assert not found["force"].is_human
    assert "beyond what a golfer can give: 1000 N" in str(found["force"])
    assert "Mathiowetz" in str(found["force"])
    assert found["hinge"].is_human
    assert "beyond" not in str(found["hinge"])


def test_every_range_names_its_source():
    for key, limit in RANGES.items():
        assert limit.largest > 0.0
        assert any(year in limit.source for year in ("19", "20")) or "from memory" in limit.source, key
        assert Demand(key, 0.5 * limit.largest, 0.0).is_human
