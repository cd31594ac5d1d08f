"""The flight, compiled: `flight.fly` with the same method, tolerance and control of its steps.

Dormand & Prince's pair of order 8(5,3) with dense output of order 7 (Hairer, Nørsett & Wanner 1993, Solving Ordinary
Differential Equations I, §II.5, II.10, programs DOP853); coefficients come with the arguments. The control of the step
is scipy's, so that both ways take the same steps and differ by rounding.
"""

from __future__ import annotations

import math

from swingbeam.beam.compiled import piece

from .batch_layout import (
    AIR_SPEED,
    BALL_MASS,
    DECAY,
    DENSITY,
    DRAG,
    DRAG_SPIN,
    DRAG_WAVE,
    GRAVITY,
    LIFT,
    LONGEST,
    RADIUS,
    SHOT_INTO_GROUND,
    SHOT_NO_LANDING,
    SHOT_OK,
    TOLERANCE,
    VISCOSITY,
)

N = 7
"""Place, velocity, spin over its first value."""
STAGES = 12
ALL_STAGES = 16
POWERS = 7
SAFETY = 0.9
LEAST_FACTOR = 0.2
MOST_FACTOR = 10.0
EXPONENT = -1.0 / 8.0


@piece
def _rates(y, spin, air, out):
    """`flight._rates`."""
    qx = y[3] - air[AIR_SPEED]
    qy = y[4] - air[AIR_SPEED + 1]
    qz = y[5] - air[AIR_SPEED + 2]
    q = math.sqrt(qx * qx + qy * qy + qz * qz)
    out[0] = y[3]
    out[1] = y[4]
    out[2] = y[5]
    out[3] = 0.0
    out[4] = 0.0
    out[5] = -air[GRAVITY]
    out[6] = 0.0
    if q == 0.0:
        return
    radius = air[RADIUS]
    lx = spin[1] * qz - spin[2] * qy
    ly = spin[2] * qx - spin[0] * qz
    lz = spin[0] * qy - spin[1] * qx
    across = math.sqrt(lx * lx + ly * ly + lz * lz)
    turn = y[6] * across / q * radius / q
    held = min(max(2.0 * radius * air[DENSITY] / air[VISCOSITY] * q, 7e4), 2.1e5)
    drag = air[DRAG] + air[DRAG_SPIN] * turn + air[DRAG_WAVE] * math.sin(math.pi * (held - 9e4) / 2e5)
    lift = air[LIFT] * turn**0.4
    half = 0.5 * air[DENSITY] * math.pi * radius * radius / air[BALL_MASS]
    back = half * drag * q
    up = half * lift * q * q / across if across > 0.0 else 0.0
    out[3] = -back * qx + up * lx
    out[4] = -back * qy + up * ly
    out[5] = -back * qz + up * lz - air[GRAVITY]
    out[6] = -air[DECAY] * q / radius * y[6]


@piece
def _absolute(tolerance, i):
    """Absolute tolerance of an unknown: metres, metres a second, share."""
    return tolerance * (100.0 if i < 3 else 10.0 if i < 6 else 1.0)


@piece
def _first_step(y, spin, air, f0, y1, f1):
    """Hairer, Nørsett & Wanner, §II.4, for an error of order 7."""
    tolerance = air[TOLERANCE]
    d0 = 0.0
    d1 = 0.0
    for i in range(N):
        scale = _absolute(tolerance, i) + abs(y[i]) * tolerance
        d0 += (y[i] / scale) ** 2
        d1 += (f0[i] / scale) ** 2
    d0 = math.sqrt(d0 / N)
    d1 = math.sqrt(d1 / N)
    h0 = 1e-6 if d0 < 1e-5 or d1 < 1e-5 else 0.01 * d0 / d1
    h0 = min(h0, LONGEST)
    for i in range(N):
        y1[i] = y[i] + h0 * f0[i]
    _rates(y1, spin, air, f1)
    d2 = 0.0
    for i in range(N):
        scale = _absolute(tolerance, i) + abs(y[i]) * tolerance
        d2 += ((f1[i] - f0[i]) / scale) ** 2
    d2 = math.sqrt(d2 / N) / h0
    h1 = max(1e-6, h0 * 1e-3) if d1 <= 1e-15 and d2 <= 1e-15 else (0.01 / max(d1, d2)) ** (1.0 / 8.0)
    return min(100.0 * h0, h1, LONGEST)


@piece
def _stage(y, spin, air, h, a, s, k, trial):
    """Stage s of a step: k[s] = f(y + h Σ a[s] k)."""
    for i in range(N):
        total = 0.0
        for j in range(s):
            total += a[s, j] * k[j, i]
        trial[i] = y[i] + h * total
    _rates(trial, spin, air, k[s])


@piece
def _error(y, after, h, tolerance, e3, e5, k):
    """Norm of the error of a step over the tolerance."""
    five = 0.0
    three = 0.0
    for i in range(N):
        scale = _absolute(tolerance, i) + max(abs(y[i]), abs(after[i])) * tolerance
        a = 0.0
        b = 0.0
        for j in range(STAGES + 1):
            a += k[j, i] * e5[j]
            b += k[j, i] * e3[j]
        five += (a / scale) ** 2
        three += (b / scale) ** 2
    if five == 0.0 and three == 0.0:
        return 0.0
    return abs(h) * five / math.sqrt((five + 0.01 * three) * N)


@piece
def _dense(y, after, spin, air, h, a, d, k, trial, powers):
    """The step's dense output into powers (POWERS, N)."""
    for s in range(STAGES + 1, ALL_STAGES):
        _stage(y, spin, air, h, a, s, k, trial)
    for i in range(N):
        change = after[i] - y[i]
        powers[0, i] = change
        powers[1, i] = h * k[0, i] - change
        powers[2, i] = 2.0 * change - h * (k[STAGES, i] + k[0, i])
        for m in range(4):
            total = 0.0
            for j in range(ALL_STAGES):
                total += d[m, j] * k[j, i]
            powers[3 + m, i] = h * total


@piece
def _within(y, powers, x, i):
    """Unknown i at a share x of the step."""
    value = 0.0
    for m in range(POWERS - 1, -1, -1):
        value = (value + powers[m, i]) * (x if m % 2 == 0 else 1.0 - x)
    return y[i] + value


@piece
def _crossing(y, powers, i, first, last):
    """Share of the step at which an unknown falls through zero: regula falsi that halves a kept end (Illinois)."""
    low = 0.0
    high = 1.0
    if first == 0.0:
        return low
    if last == 0.0:
        return high
    for _ in range(200):
        x = high - last * (high - low) / (last - first)
        if not min(low, high) < x < max(low, high):
            x = 0.5 * (low + high)
        value = _within(y, powers, x, i)
        moved = abs(x - high)
        if value * last < 0.0:
            low = high
            first = last
        else:
            first *= 0.5
        high = x
        last = value
        if value == 0.0 or moved <= 2e-16 * x or abs(high - low) <= 1e-15:
            return x
    return high


@piece
def fly(velocity, spin, height, air, a, b, e3, e5, d, y, after, k, trial, powers, landing):
    """Carry, side, apex, descent and time of `flight.Landing` into landing (5,); returns a code.

    a (16, 16), b (12,), e3, e5 (13,), d (4, 16): coefficients of the pair. Room: y, after, trial (7,), k (16, 7),
    powers (7, 7).
    """
    if height <= 0.0 and velocity[2] <= 0.0:
        return SHOT_INTO_GROUND
    for i in range(3):
        y[i] = 0.0
        y[3 + i] = velocity[i]
    y[2] = height
    y[6] = 1.0
    tolerance = air[TOLERANCE]
    _rates(y, spin, air, k[0])
    h = _first_step(y, spin, air, k[0], trial, after)
    t = 0.0
    apex = height
    for _ in range(10000):
        least = 10.0 * 2.3e-16 * max(t, 1e-300)
        h = max(h, least)
        rejected = False
        accepted = False
        step = h
        for _ in range(100):
            if h < least or not h > 0.0:
                return SHOT_NO_LANDING
            step = min(h, LONGEST - t)
            for s in range(1, STAGES):
                _stage(y, spin, air, step, a, s, k, trial)
            for i in range(N):
                total = 0.0
                for j in range(STAGES):
                    total += b[j] * k[j, i]
                after[i] = y[i] + step * total
            _rates(after, spin, air, k[STAGES])
            error = _error(y, after, step, tolerance, e3, e5, k)
            if error < 1.0:
                factor = MOST_FACTOR if error == 0.0 else min(MOST_FACTOR, SAFETY * error**EXPONENT)
                if rejected:
                    factor = min(1.0, factor)
                h = step * factor
                accepted = True
                break
            if not error < math.inf:
                return SHOT_NO_LANDING
            h = step * max(LEAST_FACTOR, SAFETY * error**EXPONENT)
            rejected = True
        if not accepted:
            return SHOT_NO_LANDING
        top = y[5] >= 0.0 and after[5] <= 0.0
        down = y[2] >= 0.0 and after[2] <= 0.0
        if top or down:
            _dense(y, after, spin, air, step, a, d, k, trial, powers)
        x = _crossing(y, powers, 2, y[2], after[2]) if down else 1.0
        if top:
            at = _crossing(y, powers, 5, y[5], after[5])
            if at <= x:
                apex = max(apex, _within(y, powers, at, 2))
        if down:
            vx = _within(y, powers, x, 3)
            vy = _within(y, powers, x, 4)
            landing[0] = _within(y, powers, x, 0)
            landing[1] = -_within(y, powers, x, 1)
            landing[2] = apex - height
            landing[3] = math.atan2(-_within(y, powers, x, 5), math.hypot(vx, vy))
            landing[4] = t + x * step
            return SHOT_OK
        t += step
        if t >= LONGEST:
            return SHOT_NO_LANDING
        for i in range(N):
            y[i] = after[i]
            k[0, i] = k[STAGES, i]
    return SHOT_NO_LANDING
