"""A beam carried by driven joints: double pendulum, rigid limit, energy, and the beam on a prescribed root."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.interpolate import make_interp_spline
from scipy.optimize import brentq

from swingbeam.beam import (
    Drive,
    DrivenChain,
    InputError,
    Joint,
    Motion,
    Profile,
    Stops,
    TipBody,
    holding_torques,
    rigid_body,
    simulate,
)
from swingbeam.beam.chain_kernels import joint_torque
from swingbeam.beam.compiled import from_python
from swingbeam.beam.rotations import rotation_from_vector, skew

from .motions import club_like

(joint_torque,) = from_python(joint_torque)

# The double pendulum of REFERENCES: arm about the hub without the club, club about the wrist, arm length.
ARM_INERTIA, CLUB_INERTIA, CLUB_MOMENT, CLUB_MASS, ARM = 1.15, 0.40, 0.17336, 0.394, 0.62
UPRIGHT = np.array([0.0, 0.0, 1.0])
TILT = np.array([[0.0, 1.0, 0.0], [-0.7, 0.0, -math.sqrt(0.51)], [-math.sqrt(0.51), 0.0, 0.7]])
"""Base axes of a plane inclined by some 44°: x down the plane, y to the target, z its normal."""


def free_double_pendulum() -> tuple[float, float, float]:
    """When arm and club align, and both rates then: Lagrange's equations by an order-8 rule.

    T = ½ (J + M R²) ȧ² + ½ I ċ² + S R ȧ ċ cos(c − a); no work is done on it.
    """

    def slope(_: float, y: np.ndarray) -> np.ndarray:
        a, c, u, v = y
        couple = CLUB_MOMENT * ARM * math.cos(c - a)
        turn = CLUB_MOMENT * ARM * math.sin(c - a)
        mass = np.array([[ARM_INERTIA + CLUB_MASS * ARM**2, couple], [couple, CLUB_INERTIA]])
        return np.concatenate([[u, v], np.linalg.solve(mass, [turn * v * v, -turn * u * u])])

    start = [0.0, -0.5 * math.pi, 15.0, 15.0]
    run = solve_ivp(slope, (0.0, 0.25), start, method="DOP853", rtol=1e-12, atol=1e-13, dense_output=True)
    t = brentq(lambda t: run.sol(t)[1] - run.sol(t)[0], 0.15, 0.25, xtol=1e-13)
    return t, *run.sol(t)[2:]


def arm_joint(**more: object) -> Joint:
    return Joint(UPRIGHT, np.zeros(3), inertia=np.diag([0.0, 0.0, ARM_INERTIA]), rate=15.0, **more)  # type: ignore[arg-type]


def test_free_double_pendulum_of_links():
    """Both links rigid, a beam of a millionth of a gram at the end: aligned at .20777 s, 9.95041, 22.66538 rad/s.

    Idea: White 2006, Am. J. Phys. 74:1088; the figures worked out apart, and once more here.
    """
    expected = free_double_pendulum()
    np.testing.assert_allclose(expected, [0.20777, 9.95041, 22.66538], rtol=1e-5)  # figures of 5 to 7 digits
    reach = CLUB_MOMENT / CLUB_MASS
    own = np.diag([0.0, 0.0, CLUB_INERTIA - CLUB_MASS * reach**2])
    club = Joint(UPRIGHT, [ARM, 0, 0], CLUB_MASS, np.array([reach, 0, 0]), own, angle=-0.5 * math.pi)
    run = simulate(
        Profile([0.0, 0.1], 1.0, 1.0, 1e-8),
        None,
        Motion.still(0.22),
        root=DrivenChain((arm_joint(), club)),
        gravity=(0, 0, 0),
        step=1e-3,
    )
    t = brentq(lambda t: run.at(t).angles[0, 1], 0.15, 0.22, xtol=1e-13)
    row = run.at(t)
    # Gauss, order 4: 15 rad/s · 1 ms to the fourth is 5e-8.
    np.testing.assert_allclose([t, row.rates[0, 0], row.rates[0].sum()], expected, rtol=1e-6)


def stiff_club(ei: float) -> tuple[Profile, TipBody]:
    """The double pendulum's club as a uniform beam of 100 g and .4 m with a body at its tip."""
    length, mass = 0.4, 0.1
    body = CLUB_MASS - mass
    reach = (CLUB_MOMENT - 0.5 * mass * length) / body
    across = CLUB_INERTIA - mass * length**2 / 3.0 - body * reach**2
    profile = Profile([0.0, length], ei, ei, mass / length)
    return profile, TipBody(body, [reach - length, 0, 0], np.diag([1e-3, across, across]))


def test_free_double_pendulum_with_a_beam_for_a_club():
    """The club a beam that is made stiffer: the miss of the rigid pendulum falls to nothing."""
    expected = free_double_pendulum()
    misses = []
    for ei in (1e3, 1e4, 1e5):
        run = simulate(
            *stiff_club(ei),
            Motion.still(0.22),
            root=DrivenChain((arm_joint(), Joint(UPRIGHT, [ARM, 0, 0], angle=-0.5 * math.pi))),
            viscosity=(1e-5, 1e-5),
            gravity=(0, 0, 0),
            step=1e-3,
        )
        # When the body at the tip, not the root, is in line with the arm.
        t = brentq(lambda t, run=run: _body_angle(run.at(t)), 0.15, 0.22, xtol=1e-12)
        row = run.at(t)
        misses.append(np.array([t, row.rates[0, 0], row.tip_omega[0, 2]]) / expected - 1.0)
    # A beam gives by moment over stiffness: ten times the stiffness, a tenth of the miss; the rest is of second order.
    sizes = [np.abs(miss).max() for miss in misses]
    np.testing.assert_allclose([sizes[0] / sizes[1], sizes[1] / sizes[2]], 10.0, rtol=0.01)
    np.testing.assert_allclose((10.0 * misses[2] - misses[1]) / 9.0, 0.0, rtol=0, atol=1e-6)


def _body_angle(row) -> float:
    turn = row.link_rotations[0, 0].T @ row.tip_rotation_world[0]
    return math.atan2(turn[1, 0], turn[0, 0])


# -- three joints in space ----------------------------------------------------------------------------------------
HUB_WAY = np.array([0.07, -0.02, 0.03])


def hub(t: np.ndarray) -> np.ndarray:
    """A base that sets off from rest, (n, 3) m: 7 cm along, 3 cm up, by the fourth power of time."""
    return np.outer((t / 0.3) ** 4, HUB_WAY)


def moving_base(end: float = 0.3) -> Motion:
    t = np.linspace(0.0, end, 301)
    return Motion.from_samples(t, hub(t), np.tile(TILT, (t.size, 1, 1)))


def golfer_like(**more: object) -> DrivenChain:
    """Arm, hinge and roll, a quarter turn apart at the start; torques that hold, and others that rise smoothly."""

    def drive(t: np.ndarray) -> Drive:
        rise = np.sin(0.5 * math.pi * np.clip(t / 0.15, 0.0, 1.0)) ** 4
        couple = HOLD + np.outer(rise, [130.0, 4.0, -2.0])
        shape = np.ones((t.size, 1))
        return Drive(couple, shape * [0.0, 3.0, 2.0], shape * [1.0, 0.3, 0.05], shape * [0.0, -1.5, 1.5])

    joints = (
        Joint(UPRIGHT, np.array([0.0, 0.01, 0.02]), 4.0, np.array([0.3, 0.01, 0.0]), np.diag([0.01, 0.2, 0.2]), -2.4),
        Joint(UPRIGHT, np.array([0.62, 0.0, 0.0]), 0.4, np.array([0.02, 0.0, 0.01]), np.diag([1e-3, 3e-3, 2e-3]), -1.5),
        Joint(np.array([1.0, 0, 0]), np.zeros(3), 0.1, np.zeros(3), np.diag([1.2e-3, 3e-3, 3e-3]), 1.5),
    )
    return DrivenChain(joints, np.array([0.03, 0.0, 0.01]), more.get("drive", drive))  # type: ignore[arg-type]


GRAVITY = np.array([0.0, 0.0, -9.80665])
HOLD = holding_torques(*club_like(), moving_base(), golfer_like(drive=None))
"""N·m; with them nothing accelerates at the start."""


class RigidChain:
    """The same chain with a rigid body at its end, by Lagrange's equations from the poses alone."""

    def __init__(self, chain: DrivenChain, profile: Profile, tip: TipBody) -> None:
        club = rigid_body(profile, tip)
        self.chain = chain
        centre = club.first_moment / club.mass
        own = club.inertia - club.mass * (centre @ centre * np.eye(3) - np.outer(centre, centre))
        bodies = [(j.mass, j.centre, j.inertia) for j in chain.joints]
        self.bodies = [*bodies, (club.mass, centre, own)]

    def jacobians(self, q: np.ndarray) -> list[tuple[float, np.ndarray, np.ndarray, np.ndarray]]:
        """Mass, inertia (base axes), and what unit rates do to centre and angular velocity, of each body."""
        place, turn, joints, out = np.zeros(3), np.eye(3), [], []
        for k, (mass, centre, inertia) in enumerate(self.bodies):
            if k < 3:
                joint = self.chain.joints[k]
                place = place + turn @ joint.offset
                joints.append((place, turn @ joint.axis))
                turn = turn @ rotation_from_vector(q[k] * joint.axis)
            else:
                place = place + turn @ np.asarray(self.chain.mount)
            at = place + turn @ centre
            spin = np.stack([axis for _, axis in joints], axis=1)
            move = np.stack([np.cross(axis, at - origin) for origin, axis in joints], axis=1)
            pad = np.zeros((3, 3 - len(joints)))
            inertia_there = turn @ inertia @ turn.T
            out.append((mass, inertia_there, np.hstack([move, pad]), np.hstack([spin, pad])))
        return out

    def mass(self, q: np.ndarray) -> np.ndarray:
        return sum(m * v.T @ v + w.T @ i @ w for m, i, v, w in self.jacobians(q))  # type: ignore[return-value]

    def slope(self, t: float, y: np.ndarray) -> np.ndarray:
        """Christoffel's form: M q̈ + Σ (∂M_ij/∂q_k − ½ ∂M_jk/∂q_i) q̇_j q̇_k = torques + field on the centres.

        A moving base is a uniform field −p̈ (its axes do not turn).
        """
        q, v = y[:3], y[3:]
        d = 1e-4
        slopes = np.array(
            [
                (
                    8 * (self.mass(q + d * e) - self.mass(q - d * e))
                    - (self.mass(q + 2 * d * e) - self.mass(q - 2 * d * e))
                )
                / (12 * d)
                for e in np.eye(3)
            ]
        )
        bias = np.einsum("kij,j,k->i", slopes, v, v) - 0.5 * np.einsum("ijk,j,k->i", slopes, v, v)
        base = 12.0 * t * t / 0.3**4 * HUB_WAY
        field = TILT.T @ (GRAVITY - base)
        load = sum(m * jac.T @ field for m, _, jac, _ in self.jacobians(q))
        drive = self.chain.driven(np.array([t]))
        torque = drive.couple[0] - drive.stiffness[0] * (q - drive.rest[0]) - drive.damping[0] * v
        return np.concatenate([v, np.linalg.solve(self.mass(q), torque + load - bias)])


def test_rigid_limit_of_three_driven_joints():
    """EI and GJ × 10⁴ on a moving base under gravity and drive: Lagrange's equations of the rigid chain."""
    profile, tip = club_like()
    stiff = Profile(profile.s, 1e4 * profile.ei, 1e4 * profile.gj, profile.mass, rotary=profile.rotary)
    chain = golfer_like()
    run = simulate(stiff, tip, moving_base(), root=chain, gravity=GRAVITY, step=1e-3, viscosity=(1e-4, 1e-4))
    rigid = RigidChain(chain, profile, tip)
    start = [*(joint.angle for joint in chain.joints), 0.0, 0.0, 0.0]
    expected = solve_ivp(rigid.slope, (0.0, 0.3), start, method="DOP853", rtol=1e-10, atol=1e-11, t_eval=run.t)
    # 20 N·m over EI of 2e5 is 1e-4 rad; what is left after .3 s is some times that.
    np.testing.assert_allclose(run.angles, expected.y[:3].T, rtol=0, atol=1e-3)
    assert np.abs(run.rates[-1, :2].sum() / expected.y[3:5, -1].sum() - 1.0) < 1e-3
    # The run is a swing: the club turns by more than a radian and ends fast.
    assert abs(run.angles[-1, :2].sum() - run.angles[0, :2].sum()) > 1.5
    assert np.linalg.norm(run.head_velocity[-1]) > 10.0


@pytest.fixture(scope="module")
def fine():
    profile, tip = club_like()
    return simulate(profile, tip, moving_base(), root=golfer_like(), gravity=GRAVITY, step=5e-4, viscosity=(1e-3, 1e-3))


def test_energy_balance(fine):
    """Work of torques, of the hub and of gravity on the beam = change of all energies + what viscosity took."""
    run = fine
    assert np.abs(run.root_moment).max() > 5.0
    force = np.einsum("nij,nj->ni", run.root_rotation, run.root_force)
    profile, tip = club_like()
    mass = profile.total_mass + tip.mass
    # Newton's second law of the beam with its body: m (v̇ of its centre − g) = force, from rest.
    centre = make_interp_spline(run.t, force / mass + GRAVITY, k=5).antiderivative()(run.t)
    gravity_power = mass * centre @ GRAVITY
    # The hub gives what accelerates beam and links: force on the beam + Σ m (a − g) of the links.
    links = np.zeros((run.t.size, 3))
    for k, joint in enumerate(run.chain.joints):
        arm = run.link_rotations[:, k] @ joint.centre
        velocity = run.joint_velocities[:, k] + np.cross(run.link_omegas[:, k], arm)
        momentum = make_interp_spline(run.t, joint.mass * velocity, k=5).derivative()(run.t)
        links += momentum - joint.mass * GRAVITY
    base = run.path.motion.at(run.t).velocity
    hub_power = np.sum((force + links) * base, axis=1)
    torque_power = np.sum(run.torques * run.rates, axis=1)
    power = torque_power + hub_power + gravity_power - run.dissipated_power
    supplied = make_interp_spline(run.t, power, k=5).antiderivative()(run.t)
    stored = run.kinetic_energy + run.bend_energy + run.twist_energy + run.link_energy
    largest = max(
        np.abs(make_interp_spline(run.t, p, k=5).antiderivative()(run.t)).max() for p in (torque_power, hub_power)
    )
    # Bookkeeping of order 5 and a run of order 4 in half a millisecond.
    np.testing.assert_allclose(stored - stored[0], supplied - supplied[0], rtol=0, atol=1e-4 * largest)
    assert np.abs(hub_power).max() > 0.02 * np.abs(torque_power).max()


def test_the_beam_feels_what_a_prescribed_root_would_give_it(fine):
    """The root's pose of the run, imposed on the same beam: the same shape, and the torques are its moments."""
    profile, tip = club_like()
    motion = Motion.from_samples(fine.t, fine.root_position, fine.root_rotation)
    held = simulate(profile, tip, motion, gravity=GRAVITY, step=5e-4, viscosity=(1e-3, 1e-3))
    # The splines through the poses are of order 6 at 2000 samples a second.
    np.testing.assert_allclose(held.tip_position, fine.tip_position, rtol=0, atol=2e-6)
    np.testing.assert_allclose(held.head_velocity, fine.head_velocity, rtol=0, atol=1e-3)
    # About the roll axis: the last link is a body of 100 g round the shaft, its Euler equation by hand.
    joint = fine.chain.joints[2]
    omega = fine.root_omega
    rate = make_interp_spline(fine.t, omega, k=5).derivative()(fine.t)
    own = rate @ joint.inertia + np.cross(omega, omega @ joint.inertia)
    arm = np.asarray(fine.chain.mount)
    needed = own[:, 0] + (held.root_moment + np.cross(arm, held.root_force))[:, 0]
    inside = slice(5, -5)
    np.testing.assert_allclose(fine.torques[inside, 2], needed[inside], rtol=0, atol=2e-3 * np.abs(needed).max())


def test_order_in_the_step(fine):
    """Two-stage Gauss: the error falls like the fourth power of the step."""
    profile, tip = club_like()
    options = {"root": golfer_like(), "gravity": GRAVITY, "viscosity": (1e-3, 1e-3)}
    ends = [
        simulate(profile, tip, moving_base(), step=step, **options).head_position[-1] for step in (6e-3, 3e-3, 2.5e-4)
    ]
    errors = [np.linalg.norm(end - ends[-1]) for end in ends[:-1]]
    assert errors[0] / errors[1] > 10.0
    assert errors[1] < 1e-4
    np.testing.assert_allclose(fine.head_position[-1], ends[-1], rtol=0, atol=1e-6)


def test_held_still():
    """Under its holding torques a chain with a bent beam rests for a second."""
    profile, tip = club_like()
    base = Motion.from_samples(np.linspace(0, 1, 7), np.zeros((7, 3)), np.tile(TILT, (7, 1, 1)))
    chain = golfer_like(drive=None)
    hold = holding_torques(profile, tip, base, chain)
    none = np.zeros(3)

    def drive(t: np.ndarray) -> Drive:
        # A hanging chain with constant torques may be unstable: a little stiffness about where it is.
        rows = np.ones((t.size, 1))
        angles = np.array([joint.angle for joint in chain.joints])
        return Drive(rows * hold, rows * [50.0, 20.0, 10.0], rows * none, rows * angles)

    run = simulate(profile, tip, base, root=DrivenChain(chain.joints, chain.mount, drive))
    # Equilibrium is found to 1e-12 of the strains; a pendulum of a second keeps it there.
    np.testing.assert_allclose(run.angles - run.angles[0], 0.0, rtol=0, atol=1e-9)
    np.testing.assert_allclose(run.torques, np.tile(hold, (run.t.size, 1)), rtol=0, atol=1e-7)


def test_holding_torques_carry_the_weight():
    """The arm's torque is the moment of all weights about its axis, the beam taken as rigid (it is stiff here)."""
    profile, tip = club_like()
    stiff = Profile(profile.s, 1e6 * profile.ei, 1e6 * profile.gj, profile.mass)
    chain = golfer_like()
    base = Motion.from_samples(np.linspace(0, 1, 7), np.zeros((7, 3)), np.tile(TILT, (7, 1, 1)))
    angles = np.array([joint.angle for joint in chain.joints])
    club = rigid_body(stiff, tip)
    places, turns = chain.links(angles[None])
    moments = [
        joint.mass * (p + r @ joint.centre) for joint, p, r in zip(chain.joints, places[0], turns[0], strict=False)
    ]
    moments.append(club.mass * places[0, -1] + turns[0, -1] @ club.first_moment)
    total = (
        sum(moments) - sum(j.mass for j in chain.joints) * chain.joints[0].offset - club.mass * chain.joints[0].offset
    )
    expected = -np.cross(total, TILT.T @ GRAVITY)[2]
    assert holding_torques(stiff, tip, base, chain)[0] == pytest.approx(expected, rel=1e-6)


# -- the torque law -----------------------------------------------------------------------------------------------
def law(driven: float, angle: float, rate: float = 0.0, **more: object) -> float:
    chain = DrivenChain((Joint(UPRIGHT, np.zeros(3), **more),))  # type: ignore[arg-type]
    return float(joint_torque(chain.table[0], driven, angle, rate))


def test_limit_of_a_drive():
    """Small drives pass, none exceeds the limit: d (1 + (d/L)⁸)^(−1/8)."""
    assert law(5.0, 0.0, limit=10.0) == pytest.approx(5.0 * (1.0 + 2.0**-8) ** -0.125, rel=1e-14)
    assert law(10.0, 0.0, limit=10.0) == pytest.approx(10.0 * 2.0**-0.125, rel=1e-14)
    assert law(-1e3, 0.0, limit=10.0) == pytest.approx(-10.0, rel=1e-12)
    assert law(1e3, 0.0) == 1e3


def test_stops():
    """k w ln 2 at the end of the range, k x far past it, nothing inside; damping only while it presses."""
    stops = Stops(-1.0, 0.5, stiffness=200.0, width=0.03, damping=4.0)
    assert law(0.0, -1.0, stops=stops) == pytest.approx(200.0 * 0.03 * math.log(2.0), rel=1e-12)
    assert law(0.0, -1.6, stops=stops) == pytest.approx(200.0 * 0.6, rel=1e-8)
    assert law(0.0, 1.1, stops=stops) == pytest.approx(-200.0 * 0.6, rel=1e-8)
    assert law(0.0, 1.1, 2.0, stops=stops) == pytest.approx(-200.0 * 0.6 - 8.0, rel=1e-6)
    assert abs(law(0.0, -0.25, 2.0, stops=stops)) < 1e-7


@pytest.mark.parametrize(
    "make",
    [
        lambda: Joint([0.0, 0.0, 2.0], np.zeros(3)),
        lambda: Joint(UPRIGHT, np.zeros(2)),
        lambda: Joint(UPRIGHT, np.zeros(3), mass=-1.0),
        lambda: Joint(UPRIGHT, np.zeros(3), inertia=skew([1.0, 0, 0])),
        lambda: Joint(UPRIGHT, np.zeros(3), limit=0.0),
        lambda: Stops(1.0, 1.0),
        lambda: DrivenChain(()),
        lambda: DrivenChain((Joint(UPRIGHT, np.zeros(3)),) * 4),
        lambda: simulate(*club_like(), Motion.still(0.1), root=golfer_like(), solver="elements"),
        lambda: simulate(
            *club_like(), Motion.still(0.1), root=golfer_like(drive=lambda t: Drive(*[np.zeros((2, 3))] * 4))
        ),
    ],
)
def test_what_cannot_be_right_is_refused(make):
    with pytest.raises(InputError):
        make()
