"""The blow, compiled: `blow.strike_ball` on rows of numbers."""

from __future__ import annotations

import math

from swingbeam.beam.compiled import piece

from .batch_layout import (
    APPROACH_AT,
    BALL_INERTIA,
    BALL_MASS,
    FALL,
    FRICTION,
    HEAD_ARM,
    HEAD_INERTIA,
    HEAD_MASS,
    HEAD_NORMAL,
    HEAD_OMEGA,
    HEAD_VELOCITY,
    RADIUS,
    RESTITUTION,
    SHOT_FACE_LEAVES,
    SHOT_NO_END,
    SHOT_OK,
    TANGENTIAL,
)

STEPS = 100
"""`blow.STEPS`; a test holds the two together."""
MOST_STEPS = 40 * STEPS


@piece
def invert_3(m, out):
    """out = m⁻¹, 3 × 3, by cofactors: an inertia is far from singular."""
    c00 = m[1, 1] * m[2, 2] - m[1, 2] * m[2, 1]
    c01 = m[1, 2] * m[2, 0] - m[1, 0] * m[2, 2]
    c02 = m[1, 0] * m[2, 1] - m[1, 1] * m[2, 0]
    one_over = 1.0 / (m[0, 0] * c00 + m[0, 1] * c01 + m[0, 2] * c02)
    out[0, 0] = one_over * c00
    out[1, 0] = one_over * c01
    out[2, 0] = one_over * c02
    out[0, 1] = one_over * (m[0, 2] * m[2, 1] - m[0, 1] * m[2, 2])
    out[1, 1] = one_over * (m[0, 0] * m[2, 2] - m[0, 2] * m[2, 0])
    out[2, 1] = one_over * (m[0, 1] * m[2, 0] - m[0, 0] * m[2, 1])
    out[0, 2] = one_over * (m[0, 1] * m[1, 2] - m[0, 2] * m[1, 1])
    out[1, 2] = one_over * (m[0, 2] * m[1, 0] - m[0, 0] * m[1, 2])
    out[2, 2] = one_over * (m[0, 0] * m[1, 1] - m[0, 1] * m[1, 0])


@piece
def _compliance(meeting, ball, turns):
    """`blow.contact_compliance` into turns[0], world axes; turns[1:4] are room."""
    n = meeting[HEAD_NORMAL : HEAD_NORMAL + 3]
    a = meeting[HEAD_ARM : HEAD_ARM + 3]
    lever = turns[1]
    for i in range(3):
        lever[i, i] = 0.0
        for j in range(3):
            turns[2, i, j] = meeting[HEAD_INERTIA + 3 * i + j]
    lever[0, 1] = -a[2]
    lever[0, 2] = a[1]
    lever[1, 0] = a[2]
    lever[1, 2] = -a[0]
    lever[2, 0] = -a[1]
    lever[2, 1] = a[0]
    invert_3(turns[2], turns[3])
    for i in range(3):
        for j in range(3):
            total = 0.0
            for k in range(3):
                total += turns[3, i, k] * lever[k, j]
            turns[2, i, j] = total
    light = 1.0 / ball[BALL_MASS] + 1.0 / meeting[HEAD_MASS]
    roll = ball[RADIUS] * ball[RADIUS] / ball[BALL_INERTIA]
    for i in range(3):
        for j in range(3):
            total = -roll * n[i] * n[j]
            if i == j:
                total += light + roll
            for k in range(3):
                total -= lever[i, k] * turns[2, k, j]
            turns[0, i, j] = total


@piece
def _friction(u, w, part, coefficient):
    """`blow._friction`: tangential impulse (two) while the normal one grows by `part`, and whether it sticks."""
    a = w[0, 0]
    b = w[0, 1]
    c = w[1, 1]
    x = u[0] + w[0, 2] * part
    y = u[1] + w[1, 2] * part
    most = coefficient * part
    det = a * c - b * b
    stop_x = -(c * x - b * y) / det
    stop_y = -(a * y - b * x) / det
    if math.hypot(stop_x, stop_y) <= most:
        return stop_x, stop_y, True
    lam = most / math.hypot(x, y)
    after_x = 0.0
    after_y = 0.0
    speed = 1.0
    for _ in range(60):
        under = (1.0 + lam * a) * (1.0 + lam * c) - lam * lam * b * b
        after_x = ((1.0 + lam * c) * x - lam * b * y) / under
        after_y = ((1.0 + lam * a) * y - lam * b * x) / under
        speed = math.sqrt(after_x * after_x + after_y * after_y)
        turn_x = a * after_x + b * after_y
        turn_y = b * after_x + c * after_y
        fall_x = ((1.0 + lam * c) * turn_x - lam * b * turn_y) / under
        fall_y = ((1.0 + lam * a) * turn_y - lam * b * turn_x) / under
        change = (most - lam * speed) / (speed - lam * (after_x * fall_x + after_y * fall_y) / speed)
        lam += change
        if abs(change) <= 1e-13 * lam:
            break
    return -most * after_x / speed, -most * after_y / speed, False


@piece
def _add(u, p, w, x, y, normal):
    """`blow._Progress.add`; returns what the normal force has taken and what friction has, J."""
    before0 = u[0]
    before1 = u[1]
    before2 = u[2]
    for i in range(3):
        u[i] += w[i, 0] * x + w[i, 1] * y + w[i, 2] * normal
    p[0] += x
    p[1] += y
    p[2] += normal
    return -0.5 * (before2 + u[2]) * normal, -0.5 * ((before0 + u[0]) * x + (before1 + u[1]) * y)


@piece
def _grow_until(u, p, w, part, coefficient, closing, work):
    """`blow._grow_until`: 1 the contact sticks, 0 it slides, −1 the two do not part; J taken and J scraped."""
    taken = 0.0
    scraped = 0.0
    left = work
    still = 1e-12 * (math.sqrt(u[0] * u[0] + u[1] * u[1] + u[2] * u[2]) + 1e-300)
    for _ in range(MOST_STEPS):
        x, y, stuck = _friction(u, w, part, coefficient)
        slope = w[2, 2] + (w[2, 0] * x + w[2, 1] * y) / part
        if slope <= 0.0:
            break
        if closing:
            rest = -u[2] / slope
        else:
            rest = 2.0 * left / (u[2] + math.sqrt(u[2] * u[2] + 2.0 * slope * left) + 1e-300)
        if stuck and math.hypot(u[0], u[1]) <= still:
            more, rubbed = _add(u, p, w, x * (rest / part), y * (rest / part), rest)
            return 1, taken + more, scraped + rubbed
        if rest <= part:
            if rest > 0.0:
                x, y, stuck = _friction(u, w, rest, coefficient)
            else:
                x = 0.0
                y = 0.0
            more, rubbed = _add(u, p, w, x, y, rest)
            return 1 if stuck else 0, taken + more, scraped + rubbed
        more, rubbed = _add(u, p, w, x, y, part)
        taken += more
        scraped += rubbed
        left += more
    return -1, taken, scraped


@piece
def _give_back(u, p, w, before0, before1, law, scraped):
    """`blow._give_back`: tangential restitution."""
    speed = math.hypot(before0, before1)
    if law[TANGENTIAL] <= 0.0 or speed == 0.0 or scraped <= 0.0:
        return
    back0 = -before0 / speed
    back1 = -before1 / speed
    det = w[0, 0] * w[1, 1] - w[0, 1] * w[1, 0]
    push0 = (w[1, 1] * back0 - w[0, 1] * back1) / det
    push1 = (w[0, 0] * back1 - w[1, 0] * back0) / det
    size = law[TANGENTIAL] * math.sqrt(2.0 * scraped / (back0 * push0 + back1 * push1))
    limit = law[FRICTION] * p[2]
    across = p[0] * push0 + p[1] * push1
    square = push0 * push0 + push1 * push1
    room = limit * limit - (p[0] * p[0] + p[1] * p[1])
    allowed = (-across + math.sqrt(max(across * across + square * room, 0.0))) / square
    size = min(size, max(allowed, 0.0))
    _add(u, p, w, size * push0, size * push1, 0.0)


@piece
def strike_ball(meeting, law, ball, turns, vectors):
    """The ball's velocity into vectors[0] and its spin into vectors[1] after the blow; returns a code."""
    n = meeting[HEAD_NORMAL : HEAD_NORMAL + 3]
    v = meeting[HEAD_VELOCITY : HEAD_VELOCITY + 3]
    o = meeting[HEAD_OMEGA : HEAD_OMEGA + 3]
    a = meeting[HEAD_ARM : HEAD_ARM + 3]
    before = vectors[2]
    before[0] = -(v[0] + o[1] * a[2] - o[2] * a[1])
    before[1] = -(v[1] + o[2] * a[0] - o[0] * a[2])
    before[2] = -(v[2] + o[0] * a[1] - o[1] * a[0])
    along = before[0] * n[0] + before[1] * n[1] + before[2] * n[2]
    approach = -along
    if not approach > 0.0:
        return SHOT_FACE_LEAVES
    # Contact axes: two tangents, the first along the sliding, and the normal.
    axes = turns[4]
    size = 0.0
    for i in range(3):
        axes[i, 0] = before[i] - along * n[i]
        size += axes[i, 0] * axes[i, 0]
    size = math.sqrt(size)
    if size < 1e-12:
        least = 0
        for i in range(3):
            if abs(n[i]) < abs(n[least]):
                least = i
        j = (least + 1) % 3
        k = (least + 2) % 3
        # n × e, e the world axis that lies most across it
        axes[least, 0] = 0.0
        axes[j, 0] = n[k]
        axes[k, 0] = -n[j]
        size = math.hypot(n[j], n[k])
    for i in range(3):
        axes[i, 0] /= size
        axes[i, 2] = n[i]
    axes[0, 1] = n[1] * axes[2, 0] - n[2] * axes[1, 0]
    axes[1, 1] = n[2] * axes[0, 0] - n[0] * axes[2, 0]
    axes[2, 1] = n[0] * axes[1, 0] - n[1] * axes[0, 0]
    _compliance(meeting, ball, turns)
    w = turns[5]
    for i in range(3):
        for j in range(3):
            total = 0.0
            for k in range(3):
                total += turns[0, i, k] * axes[k, j]
            turns[1, i, j] = total
    for i in range(3):
        for j in range(3):
            w[i, j] = axes[0, i] * turns[1, 0, j] + axes[1, i] * turns[1, 1, j] + axes[2, i] * turns[1, 2, j]
    u = vectors[3]
    p = vectors[4]
    for i in range(3):
        u[i] = axes[0, i] * before[0] + axes[1, i] * before[1] + axes[2, i] * before[2]
        p[i] = 0.0
    before0 = u[0]
    before1 = u[1]
    e = min(max(law[RESTITUTION] - law[FALL] * (approach - law[APPROACH_AT]), 0.0), 1.0)
    part = -u[2] / w[2, 2] / STEPS
    stuck, taken, scraped = _grow_until(u, p, w, part, law[FRICTION], True, 0.0)
    if stuck < 0:
        return SHOT_NO_END
    u[2] = 0.0
    stuck, _, rubbed = _grow_until(u, p, w, part, law[FRICTION], False, e * e * taken)
    if stuck < 0:
        return SHOT_NO_END
    if stuck == 1:
        _give_back(u, p, w, before0, before1, law, scraped + rubbed)
    push = vectors[5]
    for i in range(3):
        push[i] = axes[i, 0] * p[0] + axes[i, 1] * p[1] + axes[i, 2] * p[2]
        vectors[0, i] = push[i] / ball[BALL_MASS]
    # spin = −lever × push / inertia, the lever from the contact to the ball's centre along the normal
    k = -ball[RADIUS] / ball[BALL_INERTIA]
    vectors[1, 0] = k * (n[1] * push[2] - n[2] * push[1])
    vectors[1, 1] = k * (n[2] * push[0] - n[0] * push[2])
    vectors[1, 2] = k * (n[0] * push[1] - n[1] * push[0])
    return SHOT_OK
