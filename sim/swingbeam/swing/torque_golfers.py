"""Invented golfers who swing by torque, chosen to differ in tempo and in how the wrists and forearms work.

Numbers from memory and by trial until each looked like the swing its name says; aimed (`torque_aim`) they
deliver what is stated here. None is anybody's swing.

Once the forearms have let go, the shaft's torsion between them and the head rings on (some 30 Hz with a shaft of
little GJ, up to half a degree of twist): it is hardly damped. Letting go over twice the time or 60 ms sooner leaves
it as it is, so a tenth or two of a degree of what GJ does to the face is where in that period impact falls.
"""

from __future__ import annotations

from .effort import Effort
from .plan import DEGREE, Target
from .torque_golfer import ArmsAndHub, TorqueGolfer


def _target(head_speed: float, dynamic_loft: float = 14.0, attack: float = 2.0) -> Target:
    return Target(0.0, dynamic_loft * DEGREE, attack * DEGREE, 0.0, head_speed)


GOLFERS: tuple[tuple[TorqueGolfer, Target], ...] = (
    (
        TorqueGolfer(
            "even effort",
            shoulders=Effort(138.3, 0.0, 0.12, hold=0.10, fade=0.09, remains=0.3),
            release=Effort(18.0, 0.1868, 0.06),
            roll=Effort(-2.63, 0.19, 0.09),
            wrist_damping=0.9,
        ),
        _target(45.0),
    ),
    (
        TorqueGolfer(
            "slow effort",
            shoulders=Effort(96.1, 0.0, 0.17, hold=0.11, fade=0.11, remains=0.3),
            release=Effort(13.0, 0.206, 0.07),
            roll=Effort(-2.12, 0.24, 0.10),
            wrist_damping=0.8,
        ),
        _target(38.5),
    ),
    (
        TorqueGolfer(
            "fast effort",
            shoulders=Effort(174.5, 0.0, 0.10, hold=0.09, fade=0.08, remains=0.33),
            release=Effort(23.0, 0.170, 0.05),
            roll=Effort(-2.6, 0.16, 0.08),
            wrist_damping=1.0,
        ),
        _target(50.0),
    ),
    (
        TorqueGolfer(
            "early wrists",
            shoulders=Effort(131.8, 0.0, 0.12, hold=0.10, fade=0.10, remains=0.3),
            release=Effort(16.0, 0.151, 0.12),
            roll=Effort(-2.68, 0.19, 0.10),
            wrist_damping=0.8,
        ),
        _target(44.0),
    ),
    (
        TorqueGolfer(
            "late wrists",
            shoulders=Effort(134.9, 0.0, 0.12, hold=0.10, fade=0.09, remains=0.35),
            hold_back=Effort(-8.0, 0.05, 0.08),
            release=Effort(20.0, 0.2266, 0.05),
            roll=Effort(-2.58, 0.20, 0.08),
            wrist_damping=1.0,
        ),
        _target(45.0, dynamic_loft=12.5),
    ),
    (
        TorqueGolfer(
            "pushing wrists",
            shoulders=Effort(118.9, 0.0, 0.13, hold=0.08, fade=0.12, remains=0.4),
            release=Effort(24.0, 0.2327, 0.09),
            roll=Effort(-2.54, 0.21, 0.09),
            wrist_damping=0.4,
        ),
        _target(45.0, dynamic_loft=13.0),
    ),
    (
        TorqueGolfer(
            "travelling hub",
            shoulders=Effort(130.7, 0.0, 0.14, hold=0.09, fade=0.10, remains=0.3),
            release=Effort(17.0, 0.1636, 0.06),
            roll=Effort(-2.63, 0.195, 0.09),
            wrist_damping=0.9,
            arms=ArmsAndHub(shift=0.07, lift=0.04),
        ),
        _target(45.0, dynamic_loft=13.5),
    ),
)
"""Golfers with what their reference club shall deliver."""
