"""Two lengthwise plies out, two bias plies in, fibre of higher modulus: everything stays but the flight."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from claims.parts import FREQUENCY, HALF, HYPOTHESIS, Cases, Claim, Readings, change, dependences, static_table, who
from claims.rules import LEAST_MS, differs, interval, number, table, verdict
from claims.twins import _WORDS, DELIVERED, EQUAL
from swingbeam.club.build import Club
from swingbeam.shaft.layup_swap import Swap

SCENARIO = "bias_swap"
LEAST_MICROMETRES = 1.0
"""Outer diameters closer than this are equal."""


def bias_swap(cases: Cases, clubs: Sequence[Club], readings: Readings, swap: Swap) -> Claim:
    """The claim's part of the page.

    Parameters
    ----------
    cases : figures of the clubs (scenario `bias_swap`)
    clubs : before and after the swap
    readings : bench readings of a club's shaft
    swap : the lay-ups, and the modulus that was solved for
    """
    before, after = clubs
    static = readings(before), readings(after)
    pairs = [(found[SCENARIO, before.label], found[SCENARIO, after.label]) for found in cases.values()]
    apart = {key: [change(a[key], b[key]) for a, b in pairs] for key, *_ in DELIVERED}
    holds = [differs([(apart[key][i], least) for key, _, _, least in DELIVERED]) for i in range(len(pairs))]
    half = [change(a[HALF], b[HALF]) for a, b in pairs]
    sure = [max([LEAST_MS, *(f["resolution_ms"] or 0.0 for f in pair)]) for pair in pairs]
    later = [differs([(moved, least)]) for moved, least in zip(half, sure, strict=True)]
    rows = []
    for i, ((golfer, hands), (a, b)) in enumerate(zip(cases, pairs, strict=True)):
        twist = [f"{number(a[key], 2)} → {number(b[key], 2)}" for key in ("twist_peak_deg", "twist_deg")]
        shown = [number(apart[key][i], decimals, sign=True) for key, _, decimals, _ in DELIVERED]
        rows.append([golfer, hands, *twist, *shown, number(half[i], 2, sign=True), _WORDS[holds[i]]])
    head = ["golfer", "hands", "largest twist °", "twist at impact °"]
    head += [*(label for _, label, _, _ in DELIVERED), "half-unload ms", "delivered"]
    stays, words = _what_stays(before, after, static)
    torque = change(static[0]["torque_deg"], static[1]["torque_deg"])
    turned = f"{number(static[0]['torque_deg'], 2)} → {number(static[1]['torque_deg'], 2)}°"
    sizes = [f"{label} {interval(apart[key], decimals)}" for key, label, decimals, _ in DELIVERED]
    body = [
        "> Take two lengthwise plies out and put two bias plies in, and raise the fibre's modulus until the flex is "
        f"back: weight, flex and geometry stay, and the shaft flies differently. ({HYPOTHESIS})",
        f"**How tested.** Scenario `{SCENARIO}`: one lay-up and the same with two lengthwise plies swapped for two at "
        f"±45°; the modulus along the fibres of {swap.material} plies is solved for so that the bench frequency is back"
        f": {number(swap.e1_before / 1e9, 1)} → {number(swap.e1_after / 1e9, 1)} GPa. EI, GJ and mass follow from "
        f"classical laminated-plate theory. {who(cases, 'driver')[0].upper()}{who(cases, 'driver')[1:]}.",
        static_table([before, after], readings),
        f"{words} Torque: {turned}. Twist, the largest of the downswing and at impact, and the change of delivery:",
        table(head, rows, left=2),
        f"**What came out.** That weight, flex and geometry stay {verdict([stays])}. That the torque changes "
        f"{verdict([differs([(torque, 0.1)])])}. That the two are delivered differently {verdict(holds)}. "
        f"{dependences(cases, holds)} Changes over all cases: {'; '.join(sizes)}. That they unload at different times "
        f"{verdict(later)}.",
        "Not seen: the twist of the shaft during the blow, when an off-centre strike turns the head; what a golfer "
        "does who feels the torque; damping of the other fibre and plies, which is taken to stay; strength. A fibre of "
        "higher modulus that weighs more than the other would change the weight.",
    ]
    angles = ", ".join(
        f"{name} {interval(apart[key], 2, '°')}"
        for key, name in (("face_angle_at_strike_deg", "face"), ("dynamic_loft_at_strike_deg", "loft"))
    )
    kept = f"frequency {number(change(static[0][FREQUENCY], static[1][FREQUENCY]), 1, sign=True)} cpm, torque {turned}"
    summary = (
        ("6. A swap of plies leaves weight, flex and geometry alone", verdict([stays]), kept),
        ("6. It changes what is delivered", verdict(holds), "at strike: " + angles),
        ("6. It changes when the shaft unloads", verdict(later), interval(half, 2, " ms")),
    )
    return Claim("6. Plies swapped for bias, the modulus raised", "\n\n".join(body), summary)


def _what_stays(before: Club, after: Club, static: tuple[dict, dict]) -> tuple[bool | None, str]:
    """Whether weight, flex and geometry are equal within the last digit shown, and a sentence with the sizes."""
    a, b = before.shaft, after.shaft
    ei, diameter = (np.interp(a.s, b.s, getattr(b, name)) for name in ("ei", "diameter"))
    thicker = 1e6 * float(np.abs(diameter - a.diameter).max())
    moved = [(change(static[0][key], static[1][key]), least) for key, least in EQUAL]
    unequal = differs([*moved, (thicker, LEAST_MICROMETRES)])
    ratio = ei / a.ei
    words = (
        f"Weight, frequency and kick point on the bench and the outer diameter are "
        f"{'equal' if unequal is False else '**not all equal**'} (to 0.1 g, 0.1 cpm, 0.1 % and 1 µm); EI station by "
        f"station is {number(float(ratio.min()), 3)} to {number(float(ratio.max()), 3)} of what it was."
    )
    return (None if unequal is None else not unequal), words
