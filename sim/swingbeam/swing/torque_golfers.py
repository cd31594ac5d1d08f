"""Invented golfers who swing by torque, chosen to differ in tempo and in how the wrists and forearms work.

Numbers from memory and by trial until each looked like the swing its name says; aimed (`torque_aim`) they
deliver what is stated here. None is anybody's swing.
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
            shoulders=Effort(169.0, 0.0, 0.12, hold=0.05, fade=0.09, remains=0.3),
            release=Effort(12.0, 0.168, 0.06),
            roll=Effort(-3.2, 0.21, 0.05),
            wrist_damping=0.6,
        ),
        _target(45.0),
    ),
    (
        TorqueGolfer(
            "slow effort",
            shoulders=Effort(115.0, 0.0, 0.18, hold=0.05, fade=0.10, remains=0.3),
            release=Effort(10.0, 0.20, 0.07),
            roll=Effort(-2.4, 0.25, 0.06),
            wrist_damping=0.6,
        ),
        _target(38.5),
    ),
    (
        TorqueGolfer(
            "fast effort",
            shoulders=Effort(215.0, 0.0, 0.10, hold=0.05, fade=0.08, remains=0.35),
            release=Effort(14.0, 0.15, 0.05),
            roll=Effort(-4.5, 0.185, 0.04),
            wrist_damping=0.6,
        ),
        _target(50.0, dynamic_loft=12.0),
    ),
    (
        TorqueGolfer(
            "early wrists",
            shoulders=Effort(152.0, 0.0, 0.12, hold=0.06, fade=0.10, remains=0.3),
            release=Effort(12.0, 0.13, 0.10),
            roll=Effort(-2.8, 0.20, 0.06),
            wrist_damping=0.5,
        ),
        _target(44.0, dynamic_loft=14.2),
    ),
    (
        TorqueGolfer(
            "late wrists",
            shoulders=Effort(170.0, 0.0, 0.12, hold=0.05, fade=0.09, remains=0.35),
            hold_back=Effort(-8.0, 0.05, 0.08),
            release=Effort(12.0, 0.20, 0.05),
            roll=Effort(-4.0, 0.22, 0.04),
            wrist_damping=0.7,
        ),
        _target(45.0, dynamic_loft=11.5),
    ),
    (
        TorqueGolfer(
            "pushing wrists",
            shoulders=Effort(126.0, 0.0, 0.13, hold=0.06, fade=0.12, remains=0.4),
            release=Effort(24.0, 0.19, 0.09),
            roll=Effort(-3.2, 0.22, 0.05),
            wrist_damping=0.4,
        ),
        _target(45.0, dynamic_loft=13.0),
    ),
    (
        TorqueGolfer(
            "travelling hub",
            shoulders=Effort(152.0, 0.0, 0.14, hold=0.05, fade=0.10, remains=0.3),
            release=Effort(10.0, 0.17, 0.06),
            roll=Effort(-3.2, 0.215, 0.05),
            wrist_damping=0.5,
            arms=ArmsAndHub(shift=0.07, lift=0.04),
        ),
        _target(45.0, dynamic_loft=13.0),
    ),
)
"""Golfers with what their reference club shall deliver."""
