"""Unload timing and the head's centre of gravity drive trajectory and face more than any single bend point."""

from __future__ import annotations

from collections.abc import Sequence

from claims.parts import (
    FACE,
    FREQUENCY,
    HALF,
    HYPOTHESIS,
    KICK_POINT,
    LOFT,
    REFERENCE,
    Cases,
    Claim,
    Readings,
    change,
    dependences,
    static_table,
    who,
)
from claims.rules import (
    CLEAR_TAU,
    LEAST_DEG,
    LEAST_TAU,
    UNKNOWN,
    counts,
    goes_with,
    greater,
    interval,
    number,
    signs,
    span,
    table,
    verdict,
)
from swingbeam.club.build import Club
from swingbeam.delivery.ranking import agreement

_ANGLES = ((LOFT, "dynamic loft"), (FACE, "face angle"))
_PREDICTORS = (("rank", "timing"), (KICK_POINT, "kick point"), (FREQUENCY, "frequency"))
Part = tuple[list[str], str, list[tuple[str, str, str]]]
"""Paragraphs, what came out, lines of the summary."""


def bend_point(
    cases: Cases, head_cg: Sequence[Club], fitting: Sequence[Club], readings: Readings, library: Sequence[float]
) -> Claim:
    """The claim's part of the page.

    Parameters
    ----------
    cases : figures of the clubs of both scenarios and of the reference club
    head_cg : clubs of scenario `head_cg`; the first one's head and shaft are common to the two comparisons
    fitting : clubs of scenario `first_fitting`
    readings : bench readings of a club's shaft
    library : kick points of the library's driver shafts, % of the raw length from the tip
    """
    parts = (
        _cg_against_kick_point(cases, head_cg, readings, library),
        _timing_against_kick_point(cases, fitting, readings),
        _from_golfer_to_golfer(cases, head_cg),
    )
    body = [
        "> Where the shaft unloads relative to impact, and how far rearward the head's centre of gravity lies, drive "
        f"trajectory and face angle more than any single bend point. ({HYPOTHESIS})",
        f"**How tested.** With {who(cases, 'driver')}. Trajectory is not judged here: dynamic loft stands for it, with "
        "face angle, both at the face centre.",
        *(paragraph for part in parts for paragraph in part[0]),
        f"**What came out.** {' '.join(part[1] for part in parts)}",
        "Not seen: what a rearward centre of gravity does to launch and spin during the blow, the moment of inertia "
        "that comes with it, and a golfer who has learnt a head or a shaft. Two orders that agree are not one "
        "driving the other: stiffness, weight and kick point of a library's shafts go together, and from golfer to "
        "golfer both the timing and the bend at impact follow from the couple of the hands.",
    ]
    summary = tuple(row for part in parts for row in part[2])
    return Claim("3. Unload timing and head CG against bend point", "\n\n".join(body), summary)


def _trio(clubs: Sequence[Club]) -> list[Club]:
    """The clubs with the first one's head, which differ in where the shaft bends, low kick point to high."""
    return [club for club in clubs if club.head.name == clubs[0].head.name]


def _cg_against_kick_point(cases: Cases, clubs: Sequence[Club], readings: Readings, library: Sequence[float]) -> Part:
    trio = sorted(_trio(clubs), key=lambda club: readings(club)[KICK_POINT] or 0.0)
    heads = sorted((c for c in clubs if c.shaft.name == clubs[0].shaft.name), key=lambda c: -c.head.cg[1])
    kick = [readings(club)[KICK_POINT] or 0.0 for club in trio]
    back = [-1e3 * float(club.head.cg[1]) for club in heads]
    all_of_it = min(kick) <= min(library) and max(kick) >= max(library)
    groups = (("kick point", trio), ("CG", heads))

    def figures(key: str, group: Sequence[Club]) -> list[list[float | None]]:
        return [[found["head_cg", club.label][key] for club in group] for found in cases.values()]

    columns: list[tuple[str, list[str]]] = []
    text, summary = [], []
    for key, name in _ANGLES:
        by_kick, by_cg = ([span(values) for values in figures(key, group)] for _, group in groups)
        pairs = list(zip(by_cg, by_kick, strict=True))
        words = [greater(cg, kick_point, LEAST_DEG, ("CG", "kick point")) for cg, kick_point in pairs]
        worth = [None if k is None or not cg else k / cg * (max(back) - min(back)) for cg, k in pairs]
        columns += [
            (f"{name}: kick point °", [number(v, 2) for v in by_kick]),
            ("CG °", [number(v, 2) for v in by_cg]),
            ("= mm of CG", [number(v, 0) for v in worth]),
            ("moved more by", words),
        ]
        holds = [None if word == UNKNOWN else word == "CG" for word in words]
        way = {group: interval((change(v[0], v[-1]) for v in figures(key, g)), 2, "°") for group, g in groups}
        size = f"the whole span of kick point is worth {interval(worth, 0, ' mm')} of CG"
        summary.append((f"3. Head CG moves {name} more than bend point does", verdict(holds), size))
        text.append(
            f"That {max(back) - min(back):.0f} mm of centre of gravity move {name} more than the span of kick point "
            f"{verdict(holds)}. {dependences(cases, holds)} From the most forward to the most rearward it changes "
            f"by {way['CG']}, from the lowest to the highest kick point by {way['kick point']}; {size}."
        )
    for group, members in groups:
        spans = [number(span(values), 2) for values in figures(HALF, members)]
        columns.append((f"half-unload: {group} ms" if group == "kick point" else f"{group} ms", spans))
    rows = [[*case, *(cells[i] for _, cells in columns)] for i, case in enumerate(cases)]
    paragraphs = [
        f"*Head CG.* Scenario `head_cg`: {len(trio)} shafts of one weight, frequency and torque with kick points "
        f"{interval(kick, 1, ' %')} of the raw length from the tip, in one head; and one shaft in {len(heads)} heads "
        f"with the centre of gravity {interval(back, 0, ' mm')} behind the shaft axis, otherwise equal. The kick "
        f"points of the library's {len(library)} driver shafts are {interval(library, 1, ' %')}: the shafts compared "
        f"here {'span them all' if all_of_it else 'do not span them all'}.",
        static_table(trio, readings),
        'Spans, largest minus smallest; "= mm of CG" is how far the centre of gravity would have to move, in '
        "proportion, to do what the whole span of kick point does.",
        table(["golfer", "hands", *(head for head, _ in columns)], rows, left=2),
    ]
    return paragraphs, " ".join(text), summary


def _timing_against_kick_point(cases: Cases, clubs: Sequence[Club], readings: Readings) -> Part:
    static = {club.label: readings(club) for club in clubs}
    runs = [[found["first_fitting", club.label] for club in clubs] for found in cases.values()]
    sure = [max((r["resolution_ms"] for r in case if r["resolution_ms"] is not None), default=None) for case in runs]
    columns = [
        ("half-unload: span ms", [number(span([r[HALF] for r in case]), 2) for case in runs]),
        ("largest ± ms", [number(value, 2) for value in sure]),
    ]
    text, summary = [], []
    for key, name in _ANGLES:
        taus: dict[str, list[float | None]] = {}
        for attribute, predictor in _PREDICTORS:
            taus[predictor] = []
            for case in runs:
                values = [(static[c.label] | r)[attribute] for c, r in zip(clubs, case, strict=True)]
                taus[predictor].append(agreement("", values, "", [r[key] for r in case], "", "").tau)
            head = f"{name} with: {predictor}" if predictor == "timing" else predictor
            columns.append((head, [number(tau, 2, sign=True) for tau in taus[predictor]]))
        size = {p: [None if tau is None else abs(tau) for tau in of] for p, of in taus.items()}
        pairs = zip(size["timing"], size["kick point"], strict=True)
        words = [greater(timing, kick, LEAST_TAU, ("timing", "kick point")) for timing, kick in pairs]
        columns.append(("closer", words))
        holds = [None if word == UNKNOWN else word == "timing" for word in words]
        ranges = ", ".join(f"{p} {interval(taus[p], 2)}" for _, p in _PREDICTORS)
        title = f"3. Over shafts, {name} goes with timing more than with bend point"
        summary.append((title, verdict(holds), f"τ-b {ranges}"))
        text.append(
            f"That over the shafts {name} goes with unload timing more than with kick point {verdict(holds)} "
            f"({counts(words)}). {dependences(cases, holds)} The sign of τ-b: timing {signs(taus['timing'])}; kick "
            f"point {signs(taus['kick point'])}; frequency {signs(taus['frequency'])}. What goes best with {name}: "
            f"{counts(_best(size))}."
        )
    rows = [[*case, *(cells[i] for _, cells in columns)] for i, case in enumerate(cases)]
    paragraphs = [
        f"*Timing, from shaft to shaft.* Scenario `first_fitting`, {len(clubs)} shafts: Kendall's τ-b of the timing "
        "order (rank by half-unload, 1 unloads first, clubs within the resolution tied), of kick point and, beside "
        f"them, of frequency, with dynamic loft and with face angle. Sizes of τ-b less than {LEAST_TAU:g} apart are "
        "alike.",
        table(["golfer", "hands", *(head for head, _ in columns)], rows, left=2),
    ]
    return paragraphs, " ".join(text), summary


def _best(sizes: dict[str, list[float | None]]) -> list[str]:
    """In each case what has the largest τ-b."""
    cases = (dict(zip(sizes, values, strict=True)) for values in zip(*sizes.values(), strict=True))
    known = ({p: v for p, v in case.items() if v is not None} for case in cases)
    return [max(case, key=lambda p: case[p]) if case else UNKNOWN for case in known]


def _from_golfer_to_golfer(cases: Cases, head_cg: Sequence[Club]) -> Part:
    of = {golfer: found[REFERENCE] for (golfer, _), found in cases.items()}
    half = [found[HALF] for found in of.values()]
    shares = (("loft_from_bend_deg", "loft", LOFT), ("face_from_bend_deg", "face angle", FACE))
    columns = (
        (HALF, "half-unload ms", 1),
        ("in_plane_mm", "in-plane bend at impact mm", 0),
        (shares[0][0], "loft from bend °", 2),
        (shares[1][0], "face from bend and twist °", 2),
    )
    text, summary = [], []
    for key, name, delivered in shares:
        values = [found[key] for found in of.values()]
        tau = agreement("", half, "", values, "", "").tau
        kick = [span([found["head_cg", club.label][delivered] for club in _trio(head_cg)]) for found in cases.values()]
        most = max((k for k in kick if k is not None), default=None)
        more = greater(span(values), most, LEAST_DEG, ("from golfer to golfer", "kick point"))
        outcome = verdict([goes_with(tau)])
        size = (
            f"τ-b {number(tau, 2, sign=True)}; {name} from the shaft spans {number(span(values), 2)}°, kick point "
            f"moves at most {number(most, 2)}°"
        )
        summary.append((f"3. Over golfers, the shaft's share of {name} goes with timing", outcome, size))
        text.append(
            f"That from golfer to golfer the shaft's share of {name} goes with half-unload (τ-b of {CLEAR_TAU:g} or "
            f"more in size) {outcome}: {size} for one golfer (the greater of the two: {more})."
        )
    text.append(f"From golfer to golfer half-unload spans {number(span(half), 1)} ms.")
    paragraphs = [
        "*Timing, from golfer to golfer.* Each with the reference club, the same under all hands. What is delivered "
        "in all is stated by the swing and met by aiming it, so only the share that the shaft's bend adds can be "
        "compared:",
        table(
            ["golfer", *(label for _, label, _ in columns)],
            [[golfer, *(number(f[key], d) for key, _, d in columns)] for golfer, f in of.items()],
        ),
    ]
    return paragraphs, " ".join(text), summary
