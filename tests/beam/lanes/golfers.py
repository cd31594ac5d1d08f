"""What the tests of the lanes swing: invented rods and bodies, two motions, several ways of holding."""

from __future__ import annotations

import functools
import math

import numpy as np

from swingbeam.beam import ElasticRoot, History, Motion, Profile, TipBody, curvature, simulate
from swingbeam.beam.root import RootPath

GRAVITY = np.array([0.0, 0.0, -9.80665])
VISCOSITY = (4e-4, 3e-4)
STEP = 2e-3
STEPS = 120
INERTIA = np.array([6e-3, 1.5e-3, 6e-3])
HANDS = {
    "held": (np.full(3, math.inf), np.zeros(3)),
    "firm": (np.array([3.0, 20.0, 80.0]), np.array([4.0, 0.05, 8.0])),
    "loose": (np.array([6.0, 8.0, 5.0]), np.array([0.3, 0.07, 0.3])),
}
TIP = TipBody(0.2, [0.03, -0.018, 0.034], [[4.2e-4, 2e-5, -7e-5], [2e-5, 2.8e-4, 1e-5], [-7e-5, 1e-5, 3.5e-4]])


def profiles() -> list[Profile]:
    """Five that differ in what the solver treats apart: taper, a spine, a bow, steps, a part without mass."""
    s = np.linspace(0.0, 1.05, 9)
    ei, gj, mass = 75.0 - 52.0 * s, 34.0 - 22.0 * s, 0.075 - 0.03 * s
    bow = np.column_stack([0.02 * s, 0.03 * np.ones_like(s), -0.05 * s])
    steps = np.repeat(np.linspace(0.0, 1.0, 8), 2)[1:-1]
    down = np.repeat(np.linspace(1.0, 0.4, 7), 2)
    bare = np.where(s < 0.5, 0.0, 0.09)
    return [
        Profile(s, ei, gj, mass, rotary=4e-6),
        Profile(s, np.column_stack([ei, 0.9 * ei]), gj, mass, rotary=4e-6, spine_angle=0.7),
        Profile(s, 0.8 * ei, gj, mass, rotary=2e-6, reference_curvature=bow, spine_angle=-0.4),
        Profile(steps, 70.0 * down, 30.0 * down, 0.1 * down, rotary=5e-6 * down),
        Profile(s, 1.2 * ei, gj, bare, rotary=1e-7),
    ]


def tips(count: int) -> list[TipBody]:
    """As many bodies, no two alike."""
    return [TipBody(TIP.mass * (1.0 + 0.03 * k), TIP.offset * (1.0 - 0.05 * k), TIP.inertia) for k in range(count)]


def motion(name: str, steps: int = STEPS) -> Motion:
    """A root that is swung ("swung": to 7 rad/s in a tilted plane, rolling) or shaken about ("shaken")."""
    t = np.arange(steps + 1) * STEP
    x = t / t[-1]
    if name == "swung":
        ease = x**3 * (10.0 - 15.0 * x + 6.0 * x * x)
        about, roll, aside = -1.6 + 0.95 * ease, 0.8 * (1.0 - ease), 0.2 * x * x * x
    else:
        about, roll, aside = 0.5 * np.sin(9.0 * t), 0.4 * np.sin(14.0 * t), 0.3 * np.sin(6.0 * t + 0.5)
    zero, one = np.zeros_like(t), np.ones_like(t)
    ca, sa, cr, sr, cs, ss = np.cos(about), np.sin(about), np.cos(roll), np.sin(roll), np.cos(aside), np.sin(aside)
    turn = np.moveaxis(np.array([[ca, zero, sa], [zero, one, zero], [-sa, zero, ca]]), 2, 0)
    lean = np.moveaxis(np.array([[cs, -ss, zero], [ss, cs, zero], [zero, zero, one]]), 2, 0)
    spin = np.moveaxis(np.array([[one, zero, zero], [zero, cr, -sr], [zero, sr, cr]]), 2, 0)
    rotation = turn @ lean @ spin
    return Motion.from_samples(
        t, 0.6 * rotation[:, :, 0] + np.column_stack([0.1 * x, 0.05 * x * x * x, zero]), rotation
    )


def root(moved: Motion, stiffness: np.ndarray, damping: np.ndarray, held: History | None = None) -> ElasticRoot:
    """Hands about axes that do not go along with the roll; `held`: the run whose couple they are used to giving."""
    rotation = moved.at(moved.t).rotation
    hinge = np.array([0.2, 1.0, 0.1]) - (rotation[:, :, 0] @ [0.2, 1.0, 0.1])[:, None] * rotation[:, :, 0]
    hinge /= np.linalg.norm(hinge, axis=1, keepdims=True)
    axes = np.stack([hinge, rotation[:, :, 0], np.cross(hinge, rotation[:, :, 0])], axis=2)
    return ElasticRoot(stiffness, damping, INERTIA, axes=axes, couple=held)


@functools.cache
def golfer(name: str, hands: str) -> tuple[Motion, ElasticRoot]:
    """A motion and how it is held; hands that give are used to the first rod and body."""
    moved = motion(name)
    held = root(moved, *HANDS["held"])
    if hands == "held":
        return moved, held
    known = simulate(profiles()[0], tips(1)[0], moved, root=held, viscosity=VISCOSITY, step=STEP)
    return moved, root(moved, *HANDS[hands], known)


def path(name: str, hands: str) -> RootPath:
    """The golfer at the integrator's instants."""
    return RootPath(*golfer(name, hands), GRAVITY)


def models(of: RootPath, rods: list[Profile], bodies: list[TipBody]) -> list[curvature.CurvatureModel]:
    """Tables of every rod with its body."""
    return [
        curvature.prepare(rod, body, VISCOSITY, root_inertia=of.inertia_tensor(), gravity=GRAVITY)
        for rod, body in zip(rods, bodies, strict=True)
    ]
