"""What a made-up ranking has to look at: a straight downswing and a shaft, of known numbers."""

from __future__ import annotations

import numpy as np

from swingbeam.study.result import Replay, ShaftLook

INSTANTS = 41
LENGTH = 1.0


def replay(lag: float, lead: float, *, hub: bool = False) -> Replay:
    """A club that turns through half a circle about the world's y, its tip bent from −lag to +lead along the grip's y.

    The grip's x is down the shaft, at impact straight down the world's −z; its y is toward the target then.
    """
    t = np.linspace(-0.28, 0.0, INSTANTS)
    turn = np.pi * (t / 0.28)  # −π … 0
    c, s = np.cos(turn), np.sin(turn)
    zero = np.zeros_like(t)
    x_axis = np.stack([s, zero, -c], axis=1)
    y_axis = np.stack([c, zero, s], axis=1)
    grip = np.stack([x_axis, y_axis, np.cross(x_axis, y_axis)], axis=2)
    bend = np.linspace(-lag, lead, INSTANTS)
    along = np.linspace(0.0, 1.0, 15)
    local = np.zeros((INSTANTS, along.size, 3))
    local[:, :, 0] = LENGTH * along
    local[:, :, 1] = bend[:, None] * along**2
    hands = np.array([0.1, 0.4, 1.02])
    axis = hands + np.einsum("nij,nkj->nki", grip, local)
    rim_turn = 2.0 * np.pi * np.arange(16) / 16
    rim = np.stack([0.03 + 0.02 * np.sin(rim_turn), np.full(16, 0.01), 0.05 + 0.05 * np.cos(rim_turn)], axis=1)
    return Replay(
        t=t,
        axis=axis,
        grip_rotation=grip,
        tip_rotation=grip.copy(),
        face=axis[:, -1],
        ball=np.array([0.13, 0.35, 0.04]),
        rim=rim,
        head_cg=np.array([0.03, -0.03, 0.05]),
        hub=np.tile([0.0, 0.5, 1.4], (INSTANTS, 1)) if hub else None,
    )


def look(stiffness: float) -> ShaftLook:
    """A shaft of 1.168 m whose EI doubles from the tip to the butt."""
    from_tip = np.linspace(0.0, 1.168, 93)
    share = from_tip / 1.168
    return ShaftLook(
        from_tip=from_tip,
        ei=stiffness * (1.0 + share),
        gj=0.5 * stiffness * (1.0 + share),
        mass=np.full(93, 0.055),
        tip_trim=0.0,
        butt_trim=0.02,
        mouth=0.03,
        hold=1.05,
        finished_length=1.156,
    )


def under(i: int) -> dict[str, dict[str, float]]:
    """Changes of the i-th club (the fourth is the reference) under each kind of hands, in shown units.

    Half-unload keeps its order whatever the hands are; loft turns round under effort.
    """
    k = i - 3
    base = {
        "half_ms": 0.4 * k, "lag_peak_mm": 4.0 * k, "lead_mm": -2.0 * k, "droop_mm": -1.0 * k,
        "dynamic_loft_deg": -0.12 * k, "face_angle_deg": -0.01 * k, "head_speed_mps": 0.1 * k,
    }  # fmt: skip
    return {"vice": base, "hold": base, "effort": {**base, "dynamic_loft_deg": 0.12 * k}}
