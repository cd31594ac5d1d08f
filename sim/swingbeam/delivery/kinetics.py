"""What the golfer gives at the grip: force, couple, power and work, and whether a human could.

By inverse dynamics nothing more is needed than the run itself: the beam's root carries the force and the moment of the
hands on the club. Power is F · v + M · ω of the grip as it yields, work its integral since the top (Goldstein,
Classical Mechanics, §1.1 and §4.9); about the hub the same two give r × F + M, which is what arms and trunk have to
supply for the club alone, their own inertia left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from swingbeam.beam.history import History
from swingbeam.swing.power import downswing_instants, hand_power

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Kinetics:
    """Hands and club over the downswing, k instants that end at impact.

    Attributes
    ----------
    t : (k,) s relative to impact
    force : (k, 3) N of the hands on the club, world
    couple : (k, 3) N·m of the hands on the club about hinge, forearm roll and third axis of the reference pose
        (un-rolled; the normal of the swing plane, the shaft, their cross product); the hands' own inertia is not in it
    force_power, couple_power : (k,) W given to the club by the force and by the couple
    work : (k,) J given to the club since the top
    hand_speed : (k,) m/s of the hold point
    club_rate, roll_rate : (k,) rad/s of the grip about the normal of the swing plane and about the shaft
    hub_couple : (k,) N·m about the normal of the swing plane at the hub, for the club alone; None without a hub
    arm_rate : (k,) rad/s of the hold point about the hub in the swing plane; None without a hub
    """

    t: Array
    force: Array
    couple: Array
    force_power: Array
    couple_power: Array
    work: Array
    hand_speed: Array
    club_rate: Array
    roll_rate: Array
    hub_couple: Array | None = None
    arm_rate: Array | None = None

    @property
    def power(self) -> Array:
        """(k,) W given to the club."""
        return self.force_power + self.couple_power


def read_kinetics(
    history: History,
    plane_normal: Array,
    top: float,
    impact: float,
    *,
    hub: Array | None = None,
    hub_velocity: Array | None = None,
) -> Kinetics:
    """Kinetics of a run at `downswing_instants`.

    Parameters
    ----------
    plane_normal : (3,) unit normal of the swing plane, world
    top, impact : s of the run
    hub, hub_velocity : (k, 3) m and m/s, world, at those instants; None where no hub is known
    """
    t = downswing_instants(history, top, impact)
    run = history.at(t)
    to_world = run.root_rotation
    force = np.einsum("nij,nj->ni", to_world, run.root_force)
    moment = np.einsum("nij,nj->ni", to_world, run.root_moment)
    omega = np.einsum("nij,nj->ni", to_world, run.root_omega)
    force_power, couple_power = hand_power(run)
    work = CubicSpline(t, force_power + couple_power).antiderivative()(t)
    shaft = run.motion_rotation[:, :, 0]
    hinge = plane_normal - (shaft @ plane_normal)[:, None] * shaft
    hinge = hinge / np.linalg.norm(hinge, axis=1, keepdims=True)
    axes = np.stack([hinge, shaft, np.cross(hinge, shaft)], axis=1)
    hub_couple = arm_rate = None
    if hub is not None and hub_velocity is not None:
        arm = run.root_position - hub
        hub_couple = (np.cross(arm, force) + moment) @ plane_normal
        in_plane = arm - (arm @ plane_normal)[:, None] * plane_normal
        across = np.cross(np.broadcast_to(plane_normal, in_plane.shape), in_plane)
        moving = run.root_velocity - hub_velocity
        arm_rate = np.einsum("ni,ni->n", across, moving) / np.einsum("ni,ni->n", in_plane, in_plane)
    return Kinetics(
        t=t - impact,
        force=force,
        couple=np.einsum("nij,nj->ni", axes, moment),
        force_power=force_power,
        couple_power=couple_power,
        work=np.asarray(work - work[0]),
        hand_speed=np.linalg.norm(run.root_velocity, axis=1),
        club_rate=omega @ plane_normal,
        roll_rate=np.einsum("ni,ni->n", omega, to_world[:, :, 0]),
        hub_couple=hub_couple,
        arm_rate=arm_rate,
    )


@dataclass(frozen=True)
class Range:
    """What a human can give at the most, and where the figure is from.

    Attributes
    ----------
    words : what is demanded
    largest : SI
    unit, per : the unit it is shown in and its size in SI
    source : where the figure is from
    """

    words: str
    largest: float
    unit: str
    per: float
    source: str


RANGES: dict[str, Range] = {
    "force": Range(
        "force of both hands on the club",
        1000.0,
        "N",
        1.0,
        "two hands at the mean grip strength of grown men, some 500 N each: Mathiowetz et al. 1985, Arch. Phys. Med. "
        "Rehabil. 66:69 (from memory)",
    ),
    "hinge": Range(
        "couple of the hands about the hinge",
        50.0,
        "N·m",
        1.0,
        "two wrists of some 11 N·m in deviation (Delp, Grierson & Buchanan 1996, J. Biomech. 29:1371, from memory) and "
        "a pair of forces of 300 N from hands 9 cm apart",
    ),
    "roll": Range(
        "couple of the hands about the shaft",
        20.0,
        "N·m",
        1.0,
        "two forearms of some 9 N·m in supination: Askew, An, Morrey & Chao 1987, Clin. Orthop. 222:261 (from memory)",
    ),
    "third": Range(
        "couple of the hands about the third axis",
        50.0,
        "N·m",
        1.0,
        "two wrists of some 12 N·m in flexion (Delp, Grierson & Buchanan 1996, from memory) and a pair of forces",
    ),
    "power": Range(
        "power given to the club",
        5000.0,
        "W",
        1.0,
        "two to four kilowatts at the grip of skilled golfers: Nesbit & Serrano 2005, J. Sports Sci. Med. 4:520 "
        "(from memory)",
    ),
    "hand_speed": Range(
        "speed of the hands", 12.0, "m/s", 1.0, "six to nine metres a second near impact are usual (from memory)"
    ),
}
"""The largest demand that is let pass without a word."""


@dataclass(frozen=True)
class Demand:
    """The largest of one figure in the downswing.

    Attributes
    ----------
    key : of `RANGES`
    size : SI
    at : s relative to impact
    """

    key: str
    size: float
    at: float

    @property
    def range(self) -> Range:
        """What it is held against."""
        return RANGES[self.key]

    @property
    def is_human(self) -> bool:
        """Whether it is within the range."""
        return self.size <= self.range.largest

    def __str__(self) -> str:
        limit = self.range
        text = f"{limit.words}: {self.size / limit.per:.4g} {limit.unit} at {1e3 * self.at:.0f} ms"
        if self.is_human:
            return text
        return f"{text}, beyond what a golfer can give: {limit.largest / limit.per:g} {limit.unit} ({limit.source})"


def demands(kinetics: Kinetics) -> tuple[Demand, ...]:
    """The largest demand of every kind in the downswing, in the order of `RANGES`."""
    courses = {
        "force": np.linalg.norm(kinetics.force, axis=1),
        "hinge": np.abs(kinetics.couple[:, 0]),
        "roll": np.abs(kinetics.couple[:, 1]),
        "third": np.abs(kinetics.couple[:, 2]),
        "power": kinetics.power,
        "hand_speed": kinetics.hand_speed,
    }
    found = []
    for key in RANGES:
        i = int(np.argmax(courses[key]))
        found.append(Demand(key, float(courses[key][i]), float(kinetics.t[i])))
    return tuple(found)
