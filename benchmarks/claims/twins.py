"""Two shafts of equal weight, flex and geometry and another torque fly differently."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from claims.parts import (
    FREQUENCY,
    HALF,
    HYPOTHESIS,
    KICK_POINT,
    Cases,
    Claim,
    Readings,
    change,
    dependences,
    static_table,
    who,
)
from claims.rules import (
    LEAST_DEG,
    LEAST_MM,
    LEAST_MPS,
    LEAST_MS,
    UNKNOWN,
    differs,
    interval,
    number,
    table,
    verdict,
)
from swingbeam.club.build import Club

DELIVERED = (
    ("face_angle_at_strike_deg", "face at strike °", 2, LEAST_DEG),
    ("dynamic_loft_at_strike_deg", "loft at strike °", 2, LEAST_DEG),
    ("attack_deg", "attack °", 2, LEAST_DEG),
    ("path_deg", "path °", 2, LEAST_DEG),
    ("head_speed_mps", "speed m/s", 2, LEAST_MPS),
    ("strike_toe_mm", "strike toe mm", 1, LEAST_MM),
    ("strike_up_mm", "strike up mm", 1, LEAST_MM),
)
"""What sends the ball off: key, label, decimals, the least size that counts."""
EQUAL = (("mass_g", 0.1), (FREQUENCY, 0.1), (KICK_POINT, 0.1))
"""Bench readings that must be equal, and within what: the last digit that is shown."""
_WORDS = {True: "differ", False: "no difference", None: UNKNOWN}


def twins(cases: Cases, clubs: Sequence[Club], readings: Readings) -> Claim:
    """The claim's part of the page.

    Parameters
    ----------
    cases : figures of the clubs (scenario `twins`)
    clubs : the two clubs
    readings : bench readings of a club's shaft
    """
    tight, loose = sorted(clubs, key=lambda club: readings(club)["torque_deg"] or 0.0)
    static = readings(tight), readings(loose)
    pairs = [(found["twins", tight.label], found["twins", loose.label]) for found in cases.values()]

    def changes(key: str) -> list[float | None]:
        return [change(a[key], b[key]) for a, b in pairs]

    apart = {key: changes(key) for key, *_ in DELIVERED}
    holds = [differs([(apart[key][i], least) for key, _, _, least in DELIVERED]) for i in range(len(pairs))]
    sure = [max([LEAST_MS, *(f["resolution_ms"] or 0.0 for f in pair)]) for pair in pairs]
    later = [differs([(moved, least)]) for moved, least in zip(changes(HALF), sure, strict=True)]
    sizes = [f"{label} {interval(apart[key], decimals)}" for key, label, decimals, _ in DELIVERED]
    rows = []
    for i, ((golfer, hands), (a, b)) in enumerate(zip(cases, pairs, strict=True)):
        twist = [f"{number(a[key], 2)} → {number(b[key], 2)}" for key in ("twist_peak_deg", "twist_deg")]
        shown = [number(apart[key][i], decimals, sign=True) for key, _, decimals, _ in DELIVERED]
        rows.append([golfer, hands, *twist, *shown, number(changes(HALF)[i], 2, sign=True), _WORDS[holds[i]]])
    peaks = interval(changes("twist_peak_deg"), 2, "°")
    head = ["golfer", "hands", "largest twist °", "twist at impact °"]
    head += [*(label for _, label, _, _ in DELIVERED), "half-unload ms", "delivered"]
    unequal = differs([(change(static[0][key], static[1][key]), least) for key, least in EQUAL])
    equal = unequal is False and bool(np.array_equal(tight.profile.ei, loose.profile.ei))
    body = [
        "> Two plies turned from lengthwise to bias, with higher-modulus fibre to keep the flex, leave weight, flex "
        f"and geometry alone and change the flight. ({HYPOTHESIS})",
        f"**How tested.** Scenario `twins`: two driver shafts that are stated equal in EI and mass, not in GJ; "
        f"{who(cases, 'driver')}. That turned plies and higher-modulus fibre can make such a pair is taken from the "
        "claim here; claim 6 computes lay-ups. What is tested is what such a pair does.",
        static_table([tight, loose], readings),
        f"Weight, frequency and kick point on the bench and EI along the built shafts are "
        f"{'equal' if equal else '**not all equal**'}; torque differs by "
        f"{number(change(static[0]['torque_deg'], static[1]['torque_deg']), 2)}°. Twist, the largest of the "
        f"downswing and at impact, {tight.label} → {loose.label}, and the change of delivery:",
        table(head, rows, left=2),
        f"**What came out.** That the twins are delivered differently {verdict(holds)}. {dependences(cases, holds)} "
        f"Changes over all cases: {'; '.join(sizes)}; the largest twist of the "
        f"downswing {peaks}. That they unload at different times {verdict(later)}.",
        "Not seen: the twist of the shaft during the blow, when an off-centre strike turns the head; what a golfer "
        "does who feels the torque; and a change of damping or of local wall that turned plies may bring.",
    ]
    angles = (f"{name} {interval(apart[key], 2, '°')}" for key, name in _ANGLES)
    summary = (
        ("2. The twins are delivered differently", verdict(holds), "at strike: " + ", ".join(angles)),
        ("2. The twins unload at different times", verdict(later), interval(changes(HALF), 2, " ms")),
    )
    return Claim("2. Equal weight, flex and geometry, another torque", "\n\n".join(body), summary)


_ANGLES = (("face_angle_at_strike_deg", "face"), ("dynamic_loft_at_strike_deg", "loft"))
