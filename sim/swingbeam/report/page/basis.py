"""What the page rests on, in words: what was assumed, what holds under all hands, the solver's check, the cautions."""

from __future__ import annotations

from markupsafe import Markup

from swingbeam.study.compare_hands import FIGURES, FLOORS
from swingbeam.study.conclusions import Conclusion, conclusions_of
from swingbeam.study.quantities import IMPACT, UNLOAD
from swingbeam.study.result import RankResult

from .units import both, figure, unit_of

_KEYS = {q.key: q for q in (*UNLOAD, *IMPACT)}
_NAMES = {
    "half_ms": "half-unload", "lag_peak_mm": "lag", "lead_mm": "lead", "droop_mm": "droop",
    "dynamic_loft_deg": "dynamic loft", "face_angle_deg": "face angle", "head_speed_mps": "head speed",
}  # fmt: skip
_HANDS = {
    "vice": "grip held in a vice on the golfer’s own path",
    "hold": "a golfer’s hold, which yields a little to the club",
    "effort": "the same effort for every club, whatever it does",
}
_BALLS = {
    "re-aimed": "the ball lies where the reference club’s face comes",
    "raw": "the ball lies where a rigid club’s face would come",
    "learnt": "the ball lies where each club’s own face comes",
}
_CHECKED = ("half_ms", "lag_peak_mm", "dynamic_loft_deg", "face_angle_deg", "droop_mm", "head_speed_mps")
"""Of the solver's check the page names these; the file holds all."""


def assumed(result: RankResult) -> list[Markup]:
    """What the ranking was made with."""
    words = [
        Markup("Hands: “{}”, {}. Ball: {}. Solver: {}.").format(
            result.hands, _HANDS.get(result.hands, ""), _BALLS.get(result.ball, result.ball), result.solver
        ),
        Markup("A {}-handed golfer. Changes are against the reference club, {}, {}.").format(
            "left" if result.left_handed else "right", result.reference, "before the golfer adapts"
        ),
        Markup("Air: {}. Swing to swing: {}.").format(result.air, result.repeatability),
    ]
    words += [Markup.escape(note) for note in result.notes]
    told = result.repeated
    if told is not None:
        mean = "; what is not known of the mean swing is drawn too" if told.mean_is_drawn else ""
        how = "drawn from that spread" if told.deviations == result.repeatability else told.deviations
        words.append(Markup("Repeated on {} swings: {}{}.").format(told.swings, how, mean))
    words.append(
        Markup(
            "In the replay both ends of a shaft are the run’s own; between them, for looking at, it has the shape that "
            "a force and a couple at the tip give a shaft of its EI."
        )
    )
    return words


def hands_words(result: RankResult) -> list[tuple[str, Markup, bool]]:
    """For each figure: its name, what holds of the shafts' order under all kinds of hands, and whether none turns."""
    found = []
    for conclusion in conclusions_of(result):
        found.append((_NAMES[conclusion.key], _holds(conclusion), conclusion.holds))
    return found


def _holds(c: Conclusion) -> Markup:
    q = next(q for q in FIGURES if q.key == c.key)
    if not c.pairs:
        return Markup("no two shafts differ by {}").format(figure(q, FLOORS[c.key], unit=True, decimals=2))
    text = Markup("{} of {} pairs").format(c.agreed, c.pairs)
    if c.holds:
        return text + Markup(", none reversed")
    return text + Markup("; {} reversed").format(len(c.swapped))


def check_words(result: RankResult) -> list[Markup]:
    """What the other solver made of the ranking, or that it was not asked."""
    found = result.verification
    if found is None:
        return [Markup("This ranking was not repeated with the other solver (<code>rank --verify</code> does).")]
    by_key = {d.key: d for d in found.differences}
    parts = []
    for key in _CHECKED:
        if key in by_key:
            q, size = _KEYS[key], _KEYS[key].scale * by_key[key].size
            texts = (f"{size * unit_of(q.unit, s).factor:.2g} {unit_of(q.unit, s).text}" for s in ("metric", "trade"))
            parts.append(Markup("{} {}").format(_NAMES[key], both(*(text.replace(" °", "°") for text in texts))))
    head = Markup("Repeated with the solver “{}”. ").format(found.solver)
    if parts:
        head += Markup("Largest differences: {}.").format(Markup(", ").join(parts))
    words = [head]
    if found.ranks_changed:
        words.append(Markup("Ranks that differ: {}.").format(", ".join(found.ranks_changed)))
    elif found.differences:
        words.append(Markup("Every rank is the same."))
    words += [Markup("{} did not reach the ball: {}.").format(shaft, reason) for shaft, reason in found.failures]
    return words
