"""The flight: a point with spin under gravity, drag and lift, from the face to the ground.

    m v̇ = m g − ½ρA C_D |q| q + ½ρA C_L |q| (ŝ × q),   ω̇ = −R₁ (|q|/R) ω,   q = v − wind

ŝ is the unit vector of the spin across q. The coefficients are functions of the spin parameter S = ωR/|q| and
of the Reynolds number 2R|q|ρ/μ (`Aerodynamics`). The axis of the spin keeps its direction.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.integrate import solve_ivp

from swingbeam.beam.errors import SimulationError

from .air import Air
from .blow import Ball

Array = NDArray[np.float64]

GRAVITY = 9.80665
LONGEST = 60.0
"""s: no ball stays up for a minute."""
TOLERANCE = 1e-8
"""Relative, of the integration: a tenth of a millimetre of carry."""


@dataclass(frozen=True)
class Aerodynamics:
    """Drag, lift and spin decay of a dimpled ball.

    C_D = C_D1 + C_D2 S + C_D3 sin(π (Re − A₁)/A₂),  C_L = C_L1 S^0.4,  ω̇ R²/q² = −R₁ S

    measured in a wind tunnel for 70 000 < Re < 210 000 and 0.08 < S < 0.2 (Smits & Smith 1994, in Science and
    Golf II, ed. Cochran & Farrally, p. 340; constants as repeated by Mehta & Pallis 2001, in Materials and
    Science in Sports). Re is held at the ends of that range outside of it; the law of S goes on: the same
    authors saw the lift rise steadily over 0.04 < S < 1.4.

    Attributes
    ----------
    drag, drag_spin, drag_wave : C_D1, C_D2, C_D3
    lift : C_L1
    decay : R₁
    """

    drag: float = 0.24
    drag_spin: float = 0.18
    drag_wave: float = 0.06
    lift: float = 0.54
    decay: float = 2e-5

    def coefficients(self, spin_parameter: float, reynolds: float) -> tuple[float, float]:
        """C_D and C_L."""
        held = min(max(reynolds, 7e4), 2.1e5)
        drag = self.drag + self.drag_spin * spin_parameter + self.drag_wave * math.sin(math.pi * (held - 9e4) / 2e5)
        return drag, self.lift * spin_parameter**0.4


DIMPLED = Aerodynamics()
VACUUM = Aerodynamics(0.0, 0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Landing:
    """Where a ball comes down at the height of the ground under the tee; SI.

    Attributes
    ----------
    carry : m along the target line
    side : m away from the line, toward −y (to the right of a right-handed golfer's target line) +
    apex : m, greatest height of the ball above where it lay
    descent : rad, below level as it lands +
    time : s
    path : (k, 3) m, world, at the instants of the integration
    """

    carry: float
    side: float
    apex: float
    descent: float
    time: float
    path: Array


def fly(
    velocity: ArrayLike,
    spin: ArrayLike,
    air: Air,
    *,
    height: float = 0.0,
    ball: Ball | None = None,
    aerodynamics: Aerodynamics = DIMPLED,
    gravity: float = GRAVITY,
    tolerance: float = TOLERANCE,
    left_handed: bool = False,
) -> Landing:
    """Fly a ball to the ground.

    Parameters
    ----------
    velocity, spin : (3,) m/s and rad/s, world
    air : the air; its wind is reflected for a left-hander, who is simulated right-handed
    height : m, of the ball's lowest point above the ground at launch (the tee)

    Raises
    ------
    SimulationError
        The ball does not land, or the integration breaks off.
    """
    ball = Ball() if ball is None else ball
    start = np.concatenate([[0.0, 0.0, height], np.asarray(velocity, dtype=float), [1.0]])
    rates = _rates(np.asarray(spin, dtype=float), air, ball, aerodynamics, gravity, air.wind(left_handed=left_handed))

    def above(_t: float, y: Array) -> float:
        return float(y[2])

    def rising(_t: float, y: Array) -> float:
        return float(y[5])

    above.terminal, above.direction = True, -1.0  # type: ignore[attr-defined]
    rising.direction = -1.0  # type: ignore[attr-defined]
    scale = tolerance * np.array([100.0, 100.0, 100.0, 10.0, 10.0, 10.0, 1.0])
    if start[2] <= 0.0 and start[5] <= 0.0:
        raise SimulationError("the ball is driven into the ground")
    found: Any = solve_ivp(
        rates, (0.0, LONGEST), start, method="DOP853", rtol=tolerance, atol=scale, events=(above, rising)
    )
    if found.status != 1:
        raise SimulationError(f"the flight does not end on the ground: {found.message}")
    end, tops = found.y_events[0][-1], found.y_events[1]
    apex = max([height, *(float(top[2]) for top in tops)]) - height
    level = math.hypot(end[3], end[4])
    return Landing(
        carry=float(end[0]),
        side=float(-end[1]),
        apex=apex,
        descent=math.atan2(-end[5], level),
        time=float(found.t_events[0][-1]),
        path=found.y[:3].T.copy(),
    )


def _rates(spin: Array, air: Air, ball: Ball, aero: Aerodynamics, gravity: float, wind: Array) -> Any:
    """Rates of (place, velocity, spin over its first value), as floats: this is called some thousand times."""
    wx, wy, wz = (float(v) for v in spin)
    ax, ay, az = (float(v) for v in wind)
    half = 0.5 * air.density * math.pi * ball.radius**2 / ball.mass
    per_speed = 2.0 * ball.radius * air.density / air.viscosity

    def rates(_t: float, y: Array) -> tuple[float, ...]:
        _, _, _, vx, vy, vz, left = (float(v) for v in y)
        qx, qy, qz = vx - ax, vy - ay, vz - az
        q = math.sqrt(qx * qx + qy * qy + qz * qz)
        if q == 0.0:
            return vx, vy, vz, 0.0, 0.0, -gravity, 0.0
        # ω × q is |q| times the spin across q, in the direction of the lift.
        lx, ly, lz = wy * qz - wz * qy, wz * qx - wx * qz, wx * qy - wy * qx
        across = math.sqrt(lx * lx + ly * ly + lz * lz)
        drag, lift = aero.coefficients(left * across / q * ball.radius / q, per_speed * q)
        back = half * drag * q
        up = half * lift * q * q / across if across > 0.0 else 0.0
        return (
            vx,
            vy,
            vz,
            -back * qx + up * lx,
            -back * qy + up * ly,
            -back * qz + up * lz - gravity,
            -aero.decay * q / ball.radius * left,
        )

    return rates
