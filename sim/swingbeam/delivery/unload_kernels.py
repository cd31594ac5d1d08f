"""Unload timing, compiled: `unload.read_unload` on evenly spaced samples that end at impact."""

from __future__ import annotations

import math

from swingbeam.beam.compiled import piece

from .batch_layout import (
    BEND_AT_IMPACT,
    CROSSINGS,
    HALF,
    HALF_CODE,
    IN_LAG,
    IN_LAG_AGAIN,
    IN_LEAD,
    IS_STRAIGHT,
    KICK_AT_IMPACT,
    KICK_PEAK,
    KICK_PEAK_AT,
    LAG_CODE,
    LAG_PEAK,
    LAG_PEAK_AT,
    LEFT_CODE,
    LEFT_IN_SHAFT,
    STRAIGHT,
    STRAIGHT_CODE,
)
from .row_kernels import bend_along, motion_turn, open_place, place_at, row_before
from .spline_kernels import (
    cubic,
    cubic_powers,
    cubic_root,
    cubic_slopes,
    horner,
    pose_at,
    spline_powers,
    turning_points,
    turns_nowhere,
)


@piece
def _turn_series(t):
    """sin φ/φ and (1 − cos φ)/φ² of t = φ²: the part of `rotations.series` that a direction needs."""
    if t < 0.02:
        a = 1.0 + t * (-1 / 6 + t * (1 / 120 + t * (-1 / 5040 + t * (1 / 362880 - t / 39916800))))
        b = 0.5 + t * (-1 / 24 + t * (1 / 720 + t * (-1 / 40320 + t * (1 / 3628800 - t / 479001600))))
    else:
        angle = math.sqrt(t)
        a = math.sin(angle) / angle
        half = math.sin(0.5 * angle) / angle
        b = 2.0 * half * half
    return a, b


@piece
def deflection_along(here, pose, turn, direction):
    """In-plane bend, m: the deflection from the yielded grip's tangent along e.

    With the tip at w from the root and the tangent τ: e·w − (e·τ)(τ·w), the same as e·(w − τ(τ·w)).
    """
    w0 = here[0] - pose[0]
    w1 = here[1] - pose[1]
    w2 = here[2] - pose[2]
    p = here[3]
    q = here[4]
    r = here[5]
    a, b = _turn_series(p * p + q * q + r * r)
    s0 = 1.0 - b * (q * q + r * r)
    s1 = b * p * q + a * r
    s2 = b * p * r - a * q
    t0 = turn[0, 0] * s0 + turn[0, 1] * s1 + turn[0, 2] * s2
    t1 = turn[1, 0] * s0 + turn[1, 1] * s1 + turn[1, 2] * s2
    t2 = turn[2, 0] * s0 + turn[2, 1] * s1 + turn[2, 2] * s2
    along = t0 * w0 + t1 * w1 + t2 * w2
    across = direction[0] * (w0 - t0 * along) + direction[1] * (w1 - t1 * along)
    return across + direction[2] * (w2 - t2 * along)


@piece
def sample(t, run, rows, first, sound, swing, impact, count, h, room):
    """In-plane bend and strain energy at `count` instants h (s) apart that end at impact, into the room.

    The energy is that of the spline whose coefficients are in room.spline, through `sound` rows from `first` on.
    """
    row = -1
    step = 1.0
    at = row_before(t, rows, swing.top, first)
    piece_at = 0
    power = room.power
    for i in range(count):
        instant = impact - h * (count - 1 - i)
        at = row_before(t, rows, instant, at)
        if at != row:
            row = at
            step = t[row + 1] - t[row]
            open_place(step, run[row], run[row + 1], room.place)
            spline_powers(sound, room.basis, room.spline, row - first, power)
        since = instant - t[row]
        piece_at = pose_at(swing.breaks, swing.motion, instant, piece_at, room.pose)
        motion_turn(room.pose, room.turns[0])
        bend_along(swing.normal, room.turns[0], room.vectors[0])
        place_at(room.place, since / step, room.here)
        room.bend[i] = deflection_along(room.here, room.pose, room.turns[0], room.vectors[0])
        room.energy[i] = horner(power, since)


@piece
def _extreme(count, h, value, slope, start, sign):
    """Extreme of a cubic spline from the time `start` on to its end, both included: value and time from its start.

    sign 1: the largest, −1: the smallest.
    """
    first = min(int(start / h), count - 2)
    while first > 0 and start < first * h:
        first -= 1
    best = -math.inf
    best_at = start
    for i in range(first, count - 1):
        s0 = slope[i]
        s1 = slope[i + 1]
        if first < i < count - 2 and turns_nowhere(h, value[i], value[i + 1], s0, s1):
            continue
        c0, c1, c2, c3 = cubic_powers(h, value[i], value[i + 1], s0, s1)
        low = start - i * h if i == first else 0.0
        if i == first:
            best = sign * cubic(c0, c1, c2, c3, low)
        many, a, b = turning_points(c1, c2, c3, h)
        if many > 0 and a > low:
            found = sign * cubic(c0, c1, c2, c3, a)
            if found > best:
                best = found
                best_at = i * h + a
        if many > 1 and b > low:
            found = sign * cubic(c0, c1, c2, c3, b)
            if found > best:
                best = found
                best_at = i * h + b
        # A turning point that lies on a knot to round-off is inside neither of its pieces.
        if s0 * s1 <= 0.0 or i == count - 2:
            found = sign * value[i + 1]
            if found > best:
                best = found
                best_at = (i + 1) * h
    return sign * best, best_at


@piece
def _largest_rate(count, h, value, slope):
    """Largest slope of a cubic spline and when: at an end, or where its second derivative vanishes."""
    best = slope[0]
    best_at = 0.0
    for i in range(count - 1):
        # The slope, a quadratic, peaks inside only where its Bernstein ordinates rise, then fall.
        middle = 3.0 * (value[i + 1] - value[i]) / h - slope[i] - slope[i + 1]
        if (middle < slope[i]) == (slope[i + 1] < middle) and slope[i + 1] <= best:
            continue
        _, c1, c2, c3 = cubic_powers(h, value[i], value[i + 1], slope[i], slope[i + 1])
        end = c2 + 3.0 * c3 * h
        if c2 > 0.0 and end < 0.0:
            u = -c2 / (3.0 * c3)
            found = c1 + u * (2.0 * c2 + 3.0 * u * c3)
            if found > best:
                best = found
                best_at = i * h + u
        elif c2 >= 0.0 and slope[i + 1] > best and (i == count - 2 or slope[i + 2] <= slope[i + 1]):
            best = slope[i + 1]
            best_at = (i + 1) * h
    if slope[count - 1] > best:
        best = slope[count - 1]
        best_at = (count - 1) * h
    return best, best_at


@piece
def _last_crossing(count, h, value, slope, level, start, first):
    """Time from the spline's start of the last crossing of a level after `start`, in the pieces from `first` on.

    nan: there is none.
    """
    for i in range(count - 2, first - 1, -1):
        c0, c1, c2, c3 = cubic_powers(h, value[i], value[i + 1], slope[i], slope[i + 1])
        c0 -= level
        low = max(start - i * h, 0.0)
        if low > h:
            return math.nan
        many, a, b = turning_points(c1, c2, c3, h)
        if many == 0 or a <= low:
            if many == 2 and b > low:
                a = b
                many = 1
            else:
                many = 0
        elif many == 2 and b <= a:
            many = 1
        # Monotone stretches from the last to the first.
        high = h
        at_high = value[i + 1] - level
        for k in range(many, -1, -1):
            near = low if k == 0 else a if k == 1 else b
            at_near = cubic(c0, c1, c2, c3, near)
            if (at_near < 0.0 and at_high >= 0.0) or (at_near > 0.0 and at_high <= 0.0) or at_near == 0.0:
                return i * h + cubic_root(c0, c1, c2, c3, near, high)
            high = near
            at_high = at_near
    return math.nan


@piece
def _rises(count, h, value, slope):
    """How often a cubic spline rises through zero, and when last (time from its start; nan: never)."""
    crossings = 0
    last = math.nan
    if value[0] == 0.0 and slope[0] > 0.0:
        crossings = 1
        last = 0.0
    for i in range(count - 1):
        before = value[i]
        after = value[i + 1]
        s0 = slope[i]
        s1 = slope[i + 1]
        # Rising between values of one sign needs a turn inside, and the slopes bound how far one can reach.
        reach = h * max(abs(s0), abs(s1))
        if min(abs(before), abs(after)) > reach and before * after > 0.0:
            continue
        c0, c1, c2, c3 = cubic_powers(h, before, after, s0, s1)
        many, a, b = turning_points(c1, c2, c3, h)
        low = 0.0
        at_low = before
        for k in range(many + 1):
            high = h if k == many else a if k == 0 else b
            at_high = after if k == many else cubic(c0, c1, c2, c3, high)
            if at_low < 0.0 and at_high >= 0.0:
                crossings += 1
                last = i * h + cubic_root(c0, c1, c2, c3, low, high)
            low = high
            at_low = at_high
    return crossings, last


@piece
def read_samples(count, h, downswing, late_part, room, figures, codes):
    """The figures of `unload.Unload` from room.bend and room.energy, `count` samples h (s) apart."""
    end = h * (count - 1)
    bend = room.bend
    slope = room.bend_slope
    cubic_slopes(count, h, bend, room.gain, slope)
    at_impact = bend[count - 1]
    figures[BEND_AT_IMPACT] = at_impact

    late = max(end - late_part * downswing, 0.0)
    deepest, deepest_at = _extreme(count, h, bend, slope, late, -1.0)
    figures[HALF] = math.nan
    codes[HALF_CODE] = 1
    if deepest_at < end and deepest < at_impact:
        first = max(int(deepest_at / h) - 1, 0)
        at = _last_crossing(count, h, bend, slope, 0.5 * (deepest + at_impact), deepest_at, first)
        figures[HALF] = at - end
        codes[HALF_CODE] = 0

    crossings, straight = _rises(count, h, bend, slope)
    figures[CROSSINGS] = crossings
    figures[STRAIGHT] = straight - end
    codes[STRAIGHT_CODE] = IS_STRAIGHT
    if at_impact < 0.0:
        codes[STRAIGHT_CODE] = IN_LAG if crossings == 0 else IN_LAG_AGAIN
    elif crossings == 0:
        codes[STRAIGHT_CODE] = IN_LEAD

    lag, lag_at = _extreme(count, h, bend, slope, 0.0, -1.0)
    codes[LAG_CODE] = 1 if lag > 0.0 else 0
    figures[LAG_PEAK] = math.nan if lag > 0.0 else lag
    figures[LAG_PEAK_AT] = math.nan if lag > 0.0 else lag_at - end

    kick, kick_at = _largest_rate(count, h, bend, slope)
    figures[KICK_PEAK] = kick
    figures[KICK_PEAK_AT] = kick_at - end
    figures[KICK_AT_IMPACT] = slope[count - 1]

    cubic_slopes(count, h, room.energy, room.gain, room.energy_slope)
    most, _ = _extreme(count, h, room.energy, room.energy_slope, 0.0, 1.0)
    figures[LEFT_IN_SHAFT] = room.energy[count - 1] / most if most > 0.0 else math.nan
    codes[LEFT_CODE] = 0 if most > 0.0 else 1
