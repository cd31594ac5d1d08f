"""Does the shaft matter in the half millisecond of the blow? A bound, and the blow itself with a shaft on the head.

    python benchmarks/shaft_in_the_blow.py [SHAFT ...]

For every shaft in the golfer's driver: the bound on the mass that goes along (`delivery.doubt.shaft_part`) and what
the largest forces of the shaft before the blow add to the head's momentum; then the blow in time, head and shaft as
finite elements (12 degrees of freedom an element, clamped at the hands) against a ball on a spring and a damper with
friction, with the shaft and without it. The run without a shaft also checks the rigid-body equations of
`delivery.blow`, which know no time.
"""

from __future__ import annotations

import argparse
import math
import sys
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.optimize import brentq

from swingbeam.club.build import Club, load_club
from swingbeam.delivery.blow import Ball, ContactLaw, strike_ball
from swingbeam.delivery.contact import find_contact
from swingbeam.delivery.doubt import CONTACT_TIME, shaft_part
from swingbeam.delivery.meeting import DeliveryChange, Meeting, changed, meeting_of
from swingbeam.files.lookup import find
from swingbeam.study.golfer import load_golfer
from swingbeam.swing import hands_named, run_club

Array = np.ndarray
SHAFTS = ("bracken-46-l", "wick-65-s", "marl-79-x")
STRIKES = (("middle", 0.0, 0.0), ("20 mm toe", 0.02, 0.0), ("20 mm heel", -0.02, 0.0), ("10 mm high", 0.0, 0.01))
STIFFNESS = 1.8e6
"""N/m of ball and face together: with the mass of ball and head in line the contact lasts 0.45 ms."""
GRIP = 5e3
"""N·s/m: how hard friction resists sliding below Coulomb's limit; some microseconds against the masses."""
BEND_RADIUS = (7.6e-3, 4.3e-3)
"""m, mean radius of a shaft's wall from butt to tip, for stretch and polar inertia; invented, of the usual size."""
STEP = 0.5e-6
ELEMENTS = 40


@dataclass(frozen=True)
class Structure:
    """Mass and stiffness (n, n); the first six unknowns are the tip's, in tip axes."""

    mass: Array
    stiffness: Array


def head_alone(club: Club) -> Structure:
    """The head and what is in it, free."""
    tip = club.tip
    c = tip.offset
    lever = np.array([[0.0, -c[2], c[1]], [c[2], 0.0, -c[0]], [-c[1], c[0], 0.0]])
    about = tip.inertia + tip.mass * (c @ c * np.eye(3) - np.outer(c, c))
    mass = np.block([[tip.mass * np.eye(3), -tip.mass * lever], [tip.mass * lever, about]])
    return Structure(mass, np.zeros((6, 6)))


def with_shaft(club: Club) -> Structure:
    """The head on its shaft as straight elements from the tip to the hands, clamped there."""
    profile, h = club.profile, club.profile.length / ELEMENTS
    size = 6 * (ELEMENTS + 1)
    mass, stiffness = np.zeros((size, size)), np.zeros((size, size))
    for i in range(ELEMENTS):
        s = profile.length - (i + 0.5) * h  # from the tip up
        ei = float(np.interp(s, profile.s, profile.ei[:, 0]))
        gj, rho = (float(np.interp(s, profile.s, a)) for a in (profile.gj, profile.mass))
        r = float(np.interp(s / profile.length, [0.0, 1.0], BEND_RADIUS))
        k, m = element(h, ei, gj, 2.0 * ei / r**2, rho, rho * r * r)
        at = slice(6 * i, 6 * i + 12)
        stiffness[at, at] += k
        mass[at, at] += m
    mass[:6, :6] += head_alone(club).mass
    return Structure(mass[:-6, :-6], stiffness[:-6, :-6])


def element(h: float, ei: float, gj: float, ea: float, rho: float, polar: float) -> tuple[Array, Array]:
    """Stiffness and mass (12, 12) of a straight element whose axis runs against x (from the tip up)."""
    k, m = np.zeros((12, 12)), np.zeros((12, 12))
    for place, stiff, inertia in ((0, ea, rho), (3, gj, polar)):
        at = np.ix_([place, 6 + place], [place, 6 + place])
        k[at] += stiff / h * np.array([[1, -1], [-1, 1]])
        m[at] += inertia * h / 6 * np.array([[2, 1], [1, 2]])
    kb = np.array([[12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h],
                   [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h * h, -6 * h, 4 * h * h]])  # fmt: skip
    mb = np.array([[156, 22 * h, 54, -13 * h], [22 * h, 4 * h * h, 13 * h, -3 * h * h],
                   [54, 13 * h, 156, -22 * h], [-13 * h, -3 * h * h, -22 * h, 4 * h * h]])  # fmt: skip
    # Along −x the slope dv/d(−x) is −φ_z for y and +φ_y for z.
    for place, turn, sign in ((1, 5, -1.0), (2, 4, 1.0)):
        at = np.ix_([place, turn, 6 + place, 6 + turn], [place, turn, 6 + place, 6 + turn])
        flip = np.diag([1.0, sign, 1.0, sign])
        k[at] += ei / h**3 * flip @ kb @ flip
        m[at] += rho * h / 420 * flip @ mb @ flip
    return k, m


def blow_in_time(structure: Structure, arm: Array, normal: Array, speed: Array, damping: float, mu: float) -> Array:
    """(6,) velocity and spin of the ball, tip axes.

    Parameters
    ----------
    arm : (3,) m, from the tip to the strike point; normal (3,); speed (3,) m/s of the head there before the blow
    damping : N·s/m of the contact
    """
    ball = Ball()
    factor: Any = cho_factor(structure.mass + 0.25 * STEP**2 * structure.stiffness)
    n = structure.mass.shape[0]
    place, rate, acceleration = np.zeros(n), np.zeros(n), np.zeros(n)
    v, w, deep, load = np.zeros(3), np.zeros(3), 0.0, np.zeros(n)
    back = -ball.radius * normal
    for i in range(4000):
        u = v + np.cross(w, back) - (speed + rate[:3] + np.cross(rate[3:6], arm))
        closing = -float(u @ normal)
        push = STIFFNESS * deep + damping * closing
        if i > 20 and push <= 0.0:
            return np.concatenate([v, w])
        sliding = u + closing * normal
        grip = -GRIP * sliding
        limit, size = mu * max(push, 0.0), float(np.linalg.norm(grip))
        force = push * normal + grip * (min(1.0, limit / size) if size > 0.0 else 0.0)
        v, w = v + STEP * force / ball.mass, w + STEP * np.cross(back, force) / ball.inertia
        deep += STEP * closing
        load[:3], load[3:6] = -force, np.cross(arm, -force)
        ahead = place + STEP * rate + 0.25 * STEP**2 * acceleration
        fast = rate + 0.5 * STEP * acceleration
        acceleration = cho_solve(factor, load - structure.stiffness @ ahead)
        place, rate = ahead + 0.25 * STEP**2 * acceleration, fast + 0.5 * STEP * acceleration
    raise RuntimeError("ball and face do not part")


def figures(velocity: Array, spin: Array) -> Array:
    """(5,) ball speed m/s, launch angle and direction °, back spin and side spin rpm, from world vectors."""
    level = math.hypot(velocity[0], velocity[1])
    right = np.array([velocity[1], -velocity[0], 0.0]) / level
    above = np.cross(right, velocity / np.linalg.norm(velocity))
    rpm = 30.0 / math.pi
    angles = np.degrees([math.atan2(velocity[2], level), math.atan2(-velocity[1], velocity[0])])
    return np.array([np.linalg.norm(velocity), *angles, rpm * spin @ right, -rpm * spin @ above])


def timed(meeting: Meeting, structure: Structure, turn: Array, damping: float, law: ContactLaw) -> Array:
    """Figures of the blow in time."""
    head = meeting.head
    arm = turn.T @ (head.arm - meeting.hosel)
    speed = turn.T @ (head.velocity + np.cross(head.omega, head.arm))
    found = blow_in_time(structure, arm, turn.T @ head.normal, speed, damping, law.friction)
    return figures(turn @ found[:3], turn @ found[3:])


def damping_for(e: float, mass: float) -> float:
    """N·s/m for a restitution e of two bodies whose masses in line make `mass`, parting where the force ends."""

    def restitution(damping: float) -> float:
        v, deep, force = 1.0, 0.0, damping
        while force > 0.0 or deep == 0.0:
            v -= STEP * force / mass
            deep += STEP * v
            force = STIFFNESS * deep + damping * v
        return -v

    return float(brentq(lambda c: restitution(c) - e, 0.0, 0.5 * math.sqrt(STIFFNESS * mass)))


def main() -> int:
    """Print both tables in Markdown."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("shafts", nargs="*", default=SHAFTS)
    shafts = parser.parse_args().shafts
    path = find("swing", "even")
    golfer = load_golfer(path)
    print("| shaft | mass that goes along, bound g | over head | axial force N | × 0.45 ms over head's momentum |")
    print("| :-- | --: | --: | --: | --: |")
    rows = []
    for name in shafts:
        parts = golfer.parts.model_copy(update={"shaft": name, "label": name})
        club = load_club(parts, beside=path)
        run = run_club(club, golfer.reference, hands_named("hold"))
        contact = find_contact(run, club.face, golfer.reference.ball, golfer.reference.top)
        assert contact.time is not None
        row = run.at(np.array([contact.time]))
        met = meeting_of(run, club.face, golfer.reference.ball, contact.time)
        # The shaft turns the head: what it pulls with is mass times acceleration of the CG less gravity.
        dt = 1e-4
        late = run.at(np.array([contact.time - dt, contact.time])).head_velocity
        pull = met.head.mass * np.linalg.norm((late[1] - late[0]) / dt + np.array([0.0, 0.0, 9.80665]))
        bound = shaft_part(float(club.profile.ei[-1].max()), float(club.profile.mass[-1]))
        momentum = met.head.mass * np.linalg.norm(met.head.velocity)
        print(
            f"| {name} | {1e3 * bound:.1f} | {100 * bound / met.head.mass:.1f} % | {pull:.0f} | "
            f"{100 * pull * CONTACT_TIME / momentum:.1f} % |"
        )
        rows.append((name, club, met, row.tip_rotation_world[0]))
    law = ContactLaw(fall=0.0)
    print()
    print("| shaft | strike | | ball m/s | launch ° | direction ° | back spin rpm | side spin rpm |")
    print("| :-- | :-- | :-- | --: | --: | --: | --: | --: |")
    for name, club, met, turn in rows:
        free, held = head_alone(club), with_shaft(club)
        damping = damping_for(law.restitution, 1.0 / (1.0 / Ball().mass + 1.0 / met.head.mass))
        for words, toe, up in STRIKES:
            there = changed(met, DeliveryChange(strike_toe=toe, strike_up=up))
            rigid = strike_ball(there.head, law)
            lines = (
                ("equations of the blow", figures(rigid.ball_velocity, rigid.ball_spin), False),
                ("in time, head free, less that", timed(there, free, turn, damping, law), True),
                ("in time, with shaft, less head free", timed(there, held, turn, damping, law), True),
            )
            base = np.zeros(5)
            for label, values, is_change in lines:
                shown = values - base if is_change else values
                base = values
                sign = "+" if is_change else ""
                cells = " | ".join(
                    f"{v:{sign}.{d}f}".replace("-", "−") for v, d in zip(shown, (2, 2, 2, 0, 0), strict=True)
                )
                print(f"| {name} | {words} | {label} | {cells} |")
    return 0


if __name__ == "__main__":
    sys.exit(main())
