"""The blow: what head and ball do to each other in the half millisecond they touch.

Two free rigid bodies touch at one point. With u the velocity of the ball's point of contact relative to the
head's, P the impulse on the ball and W the inverse mass that the contact feels,

    u = u₀ + W P,   W = (1/m) 1 + (R²/I)(1 − n nᵀ) + (1/M) 1 − [a]ₓ J⁻¹ [a]ₓ        (a: from CG to contact)

so that effective mass off centre and gear effect are entries of W and no factors. P grows along the normal;
its tangential part obeys Coulomb's law, sliding or sticking, at every instant of that growth (Keller 1986,
J. Appl. Mech. 53:1; Stronge 2000, Impact Mechanics, ch. 4–5). The blow ends when the normal force has given
back the share e² of the work it took (Stronge's energetic restitution, which never makes energy; where W does
not couple normal and tangent it is Newton's e).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swingbeam.beam.errors import SimulationError
from swingbeam.beam.rotations import rotation_from_vector
from swingbeam.swing.ball import BALL_RADIUS

Array = NDArray[np.float64]

STEPS = 100
"""Parts of the normal impulse that would stop the ball on the face; the law of friction holds in each."""
MOST_STEPS = 40 * STEPS


@dataclass(frozen=True)
class Ball:
    """A ball as a rigid sphere; SI.

    The largest mass and smallest diameter of the equipment rules (R&A/USGA; from memory); the inertia is that
    of an even solid sphere, as in Penner 2003, Rep. Prog. Phys. 66:131.
    """

    mass: float = 0.04593
    radius: float = BALL_RADIUS
    inertia_factor: float = 0.4

    @property
    def inertia(self) -> float:
        """kg·m² about any axis through the centre."""
        return self.inertia_factor * self.mass * self.radius**2


@dataclass(frozen=True)
class ContactLaw:
    """How ball and face part.

    Attributes
    ----------
    restitution : normal restitution at the approach speed `at`, m/s
    fall : s/m, by how much it falls with every m/s of normal approach speed
    friction : Coulomb's coefficient
    tangential : 0: the ball leaves rolling; above: the share of the sliding speed given back, in the energetic
        sense, as far as friction carries it

    Notes
    -----
    The equipment rules bound a driver's restitution at 0.83, found with a ball at 160 ft/s (R&A/USGA; the
    speed from memory). It falls with speed as 0.86 − 0.0029 v for a ball against a face that does not give
    (Penner 2001, Am. J. Phys. 69:563, after measurements of others; from memory); the same fall is taken for a
    face that gives. Friction 0.4 is Penner's for a driver's face (2001, Am. J. Phys. 69:1073; from memory).
    Rolling at exit is his assumption too. Cross (2002, Am. J. Phys. 70:482) measures a tangential restitution
    of a few tenths for balls at low speed; from memory.
    """

    restitution: float = 0.83
    fall: float = 0.0029
    friction: float = 0.4
    tangential: float = 0.0
    at: float = 48.77

    def normal(self, approach: float) -> float:
        """Normal restitution at an approach speed, m/s; never below 0 or above 1."""
        return min(max(self.restitution - self.fall * (approach - self.at), 0.0), 1.0)


RIGID_FACE_RESTITUTION = 0.86 - 0.0029 * 48.77
"""At 160 ft/s, of a face that does not give (Penner 2001, from memory)."""
DRIVER = ContactLaw()
IRON = ContactLaw(restitution=RIGID_FACE_RESTITUTION)


def contact_law(kind: str, restitution: float | None = None) -> ContactLaw:
    """The law for a head of a kind ("driver", "iron"), with the head's own restitution where its file states it."""
    usual = IRON if kind == "iron" else DRIVER
    return usual if restitution is None else ContactLaw(restitution=restitution)


@dataclass(frozen=True, eq=False)
class HeadState:
    """The head as the ball touches it; SI, world.

    Attributes
    ----------
    mass : kg
    inertia : (3, 3) kg·m², about the centre of gravity
    velocity, omega : (3,) m/s of the centre of gravity, rad/s
    arm : (3,) m, from the centre of gravity to the strike point
    normal : (3,) unit vector out of the face at the strike point
    """

    mass: float
    inertia: Array
    velocity: Array
    omega: Array
    arm: Array
    normal: Array

    def __post_init__(self) -> None:
        for name in ("inertia", "velocity", "omega", "arm", "normal"):
            array = np.array(getattr(self, name), dtype=float)
            array.setflags(write=False)
            object.__setattr__(self, name, array)

    def turned(self, angle: ArrayLike) -> HeadState:
        """The head turned about its centre of gravity by a small rotation vector (3,) rad, its motion kept."""
        turn = rotation_from_vector(np.asarray(angle, dtype=float)[None])[0]
        return replace(self, inertia=turn @ self.inertia @ turn.T, arm=turn @ self.arm, normal=turn @ self.normal)

    def with_mass_at(self, place: ArrayLike, mass: float) -> HeadState:
        """The head with a point mass, kg, fixed to it at `place` (3,) m from its centre of gravity."""
        r = np.asarray(place, dtype=float)
        total = self.mass + mass
        shift = mass / total * r
        reduced = self.mass * mass / total
        return replace(
            self,
            mass=total,
            inertia=self.inertia + reduced * (float(r @ r) * np.eye(3) - np.outer(r, r)),
            velocity=self.velocity + np.cross(self.omega, shift),
            arm=self.arm - shift,
        )


@dataclass(frozen=True, eq=False)
class Blow:
    """What the blow does; SI, world.

    Attributes
    ----------
    impulse : (3,) N·s on the ball
    ball_velocity, ball_spin : (3,) m/s, rad/s after it
    head_velocity, head_omega : (3,) m/s of the centre of gravity, rad/s after it
    restitution : the e used
    approach : m/s, normal speed at which the points of contact met
    slid : whether the ball still slides on the face as it leaves
    lost : J, kinetic energy lost
    """

    impulse: Array
    ball_velocity: Array
    ball_spin: Array
    head_velocity: Array
    head_omega: Array
    restitution: float
    approach: float
    slid: bool
    lost: float


def contact_compliance(head: HeadState, ball: Ball) -> Array:
    """W (3, 3) 1/kg, world: change of the relative velocity at the contact per impulse on the ball."""
    n = head.normal
    lever = _cross_matrix(head.arm)
    return np.asarray(
        (1.0 / ball.mass + 1.0 / head.mass) * np.eye(3)
        + ball.radius**2 / ball.inertia * (np.eye(3) - np.outer(n, n))
        - lever @ np.linalg.solve(head.inertia, lever)
    )


def strike_ball(head: HeadState, law: ContactLaw, ball: Ball | None = None) -> Blow:
    """The blow on a ball at rest.

    Raises
    ------
    SimulationError
        The face does not move toward the ball, or the law of friction found no end.
    """
    ball = Ball() if ball is None else ball
    lever = ball.radius * head.normal  # from the contact to the ball's centre
    before = -(head.velocity + np.cross(head.omega, head.arm))
    approach = -float(before @ head.normal)
    if not approach > 0.0:
        raise SimulationError("the face moves away from the ball")
    axes = _contact_axes(head.normal, before)
    compliance = axes.T @ contact_compliance(head, ball) @ axes
    e = law.normal(approach)
    impulse, slid = _grow(axes.T @ before, compliance, e, law)
    push = axes @ impulse
    spin = np.cross(-lever, push) / ball.inertia
    velocity = push / ball.mass
    head_velocity = head.velocity - push / head.mass
    head_omega = head.omega - np.linalg.solve(head.inertia, np.cross(head.arm, push))
    after = axes.T @ before + compliance @ impulse
    lost = -0.5 * float((axes.T @ before + after) @ impulse)
    return Blow(push, velocity, spin, head_velocity, head_omega, e, approach, slid, lost)


def _cross_matrix(v: Array) -> Array:
    return np.array([[0.0, -v[2], v[1]], [v[2], 0.0, -v[0]], [-v[1], v[0], 0.0]])


def _contact_axes(normal: Array, before: Array) -> Array:
    """(3, 3) columns: two tangents, the first along the sliding, and the normal."""
    sliding = before - (before @ normal) * normal
    size = float(np.linalg.norm(sliding))
    if size < 1e-12:
        sliding = np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))])
        size = float(np.linalg.norm(sliding))
    first = sliding / size
    return np.column_stack([first, np.cross(normal, first), normal])


@dataclass
class _Progress:
    """Where the growth of the impulse stands: velocity and impulse (tangent, tangent, normal), and work."""

    u: Array
    p: Array = field(default_factory=lambda: np.zeros(3))
    taken: float = 0.0
    """J the normal force has taken from the motion"""
    scraped: float = 0.0
    """J friction has taken"""

    def add(self, w: Array, friction: Array, normal: float) -> None:
        """Let the impulse grow by `friction` (2,) and `normal`, N·s."""
        push = np.array([friction[0], friction[1], normal])
        after = self.u + w @ push
        self.taken -= 0.5 * float(self.u[2] + after[2]) * normal
        self.scraped -= 0.5 * float((self.u[:2] + after[:2]) @ friction)
        self.u, self.p = after, self.p + push


def _grow(before: Array, w: Array, e: float, law: ContactLaw) -> tuple[Array, bool]:
    """Impulse (3,) in contact axes, and whether the ball slides as it leaves."""
    now = _Progress(before.copy())
    part = -float(before[2] / w[2, 2]) / STEPS
    _grow_until(now, w, part, law, closing=True, work=0.0)
    now.u[2] = 0.0
    stuck = _grow_until(now, w, part, law, closing=False, work=e * e * now.taken)
    if stuck:
        _give_back(now, before, w, law)
    return now.p, not stuck


def _grow_until(now: _Progress, w: Array, part: float, law: ContactLaw, *, closing: bool, work: float) -> bool:
    """Let the impulse grow until the approach is over (`closing`), or until `work` (J) is given back.

    Returns whether the contact sticks at the end. Once it sticks from rest the law is linear: one step is left.
    """
    left, still = work, 1e-12 * float(np.linalg.norm(now.u) + 1e-300)
    for _ in range(MOST_STEPS):
        friction, stuck = _friction(now.u, w, part, law.friction)
        slope = float(w[2, 2] + w[2, :2] @ friction / part)
        if slope <= 0.0:
            break
        u = float(now.u[2])
        rest = -u / slope if closing else 2.0 * left / (u + math.sqrt(u * u + 2.0 * slope * left) + 1e-300)
        rests = stuck and math.hypot(now.u[0], now.u[1]) <= still
        if rests:
            now.add(w, friction * (rest / part), rest)
            return True
        if rest <= part:
            friction, stuck = _friction(now.u, w, rest, law.friction) if rest > 0.0 else (np.zeros(2), stuck)
            now.add(w, friction, rest)
            return stuck
        taken = now.taken
        now.add(w, friction, part)
        left -= taken - now.taken
    raise SimulationError("head and ball do not part: friction holds the ball against the face")


def _friction(u: Array, w: Array, part: float, coefficient: float) -> tuple[Array, bool]:
    """Tangential impulse (2,) while the normal one grows by `part`, and whether the contact sticks.

    What stops the sliding if Coulomb's law allows it, else the largest allowed, against the sliding at the end
    of the part: P = −λ u₁ with u₁ = (1 + λ W_t)⁻¹ (u + W_tn part) and λ |u₁| = μ part. λ is found by Newton's
    method from below, where the left side rises and bends down.
    """
    a, b, c = float(w[0, 0]), float(w[0, 1]), float(w[1, 1])
    x, y = float(u[0] + w[0, 2] * part), float(u[1] + w[1, 2] * part)
    most = coefficient * part
    det = a * c - b * b
    stop_x, stop_y = -(c * x - b * y) / det, -(a * y - b * x) / det
    if math.hypot(stop_x, stop_y) <= most:
        return np.array([stop_x, stop_y]), True
    size = math.hypot(x, y)
    lam = most / size
    for _ in range(60):
        under = (1.0 + lam * a) * (1.0 + lam * c) - lam * lam * b * b
        after_x = ((1.0 + lam * c) * x - lam * b * y) / under
        after_y = ((1.0 + lam * a) * y - lam * b * x) / under
        speed = math.hypot(after_x, after_y)
        # d u₁/dλ = −(1 + λW)⁻¹ W u₁
        turn_x, turn_y = a * after_x + b * after_y, b * after_x + c * after_y
        fall_x = ((1.0 + lam * c) * turn_x - lam * b * turn_y) / under
        fall_y = ((1.0 + lam * a) * turn_y - lam * b * turn_x) / under
        change = (most - lam * speed) / (speed - lam * (after_x * fall_x + after_y * fall_y) / speed)
        lam += change
        if abs(change) <= 1e-13 * lam:
            break
    return np.array([-most * after_x / speed, -most * after_y / speed]), False


def _give_back(now: _Progress, before: Array, w: Array, law: ContactLaw) -> None:
    """Tangential restitution: the sliding is turned back with `tangential`² of the work that friction took.

    Never with more than Coulomb's law allows over the whole blow.
    """
    speed = math.hypot(before[0], before[1])
    if law.tangential <= 0.0 or speed == 0.0 or now.scraped <= 0.0:
        return
    back = -before[:2] / speed
    push = np.linalg.solve(w[:2, :2], back)  # N·s for 1 m/s
    size = law.tangential * math.sqrt(2.0 * now.scraped / float(back @ push))
    # Where |p + size·push| meets the limit.
    limit = law.friction * float(now.p[2])
    across, square = float(now.p[:2] @ push), float(push @ push)
    room = limit * limit - float(now.p[:2] @ now.p[:2])
    allowed = (-across + math.sqrt(max(across * across + square * room, 0.0))) / square
    size = min(size, max(allowed, 0.0))
    now.add(w, np.asarray(size * push, dtype=float), 0.0)
