"""The file of a matched swing: its parameters, where they come from, and its spread."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from swingbeam import __version__
from swingbeam.files.club_file import ClubParts
from swingbeam.files.customer_file import CustomerFile
from swingbeam.files.write_swing import swing_text
from swingbeam.swing.archetype import Swing
from swingbeam.swing.hands import MEDIUM
from swingbeam.swing.parameters import PARAMETERS, value_of
from swingbeam.swing.plan import SwingPlan
from swingbeam.units import show

from .match_figures import Figure
from .match_result import MatchResult

Array = NDArray[np.float64]

_CLUB_UNITS = {
    "finished_length": "in",
    "butt_trim": "in",
    "tip_trim": "in",
    "insertion": "mm",
    "grip_mass": "g",
    "grip_length": "in",
    "hold_point": "in",
}


def matched_text(
    result: MatchResult,
    customer: CustomerFile,
    archetype: Swing,
    parts: ClubParts,
    plan: SwingPlan,
    correlations: Array,
) -> str:
    """The text of the swing's file.

    Parameters
    ----------
    result : what was found
    plan : the matched swing
    correlations : (n, n) in the order of `PARAMETERS`
    """
    tee = archetype.tee_height if customer.tee_height is None else customer.tee_height
    head = {
        "name": customer.name,
        "note": f"Matched to {customer.name}'s figures from the archetype {archetype.name}. {customer.note}".strip(),
        "handed": customer.handed,
        "tee_height": show(tee, "mm"),
    }
    tables: dict[str, dict[str, Any]] = {}
    for p in PARAMETERS:
        table, key = p.key.split(".")
        tables.setdefault(table, {})[key] = show(value_of(plan, p.key), p.unit)
    for key in ("strike_toe", "strike_up"):
        if getattr(plan.target, key):
            tables["delivery"][key] = show(getattr(plan.target, key), "mm")
    if plan.start is not None:
        tables["aim"] = {key: show(getattr(plan.start, key), "deg") for key in ("yaw", "pitch", "lean", "roll")}
        tables["aim"]["downswing"] = show(plan.start.downswing, "s")
    firmness = archetype.grip_firmness if customer.hands is None else customer.hands.grip_firmness
    if firmness != MEDIUM:
        tables["hands"] = {"grip_firmness": show(firmness, "%")}
    tables["reference_club"] = _club(parts)
    tables["matched"] = _matched(result)
    spread = [
        {
            "key": p.key,
            "deviation": show(row.deviation, p.unit),
            # Six digits: what the figures do pin down shows in small differences of these numbers.
            "correlations": [round(float(c), 6) + 0.0 for c in correlations[i, :i]],
        }
        for i, (p, row) in enumerate(zip(PARAMETERS, result.parameters, strict=True))
    ]
    shots = {
        row.figure.key: quantity(row.figure, row.measured.spread)
        for row in result.figures
        if row.measured is not None and row.measured.shots > 1
    }
    return swing_text(head, tables, spread, shots)


def quantity(figure: Figure, value: float, decimals: int | None = None) -> Any:
    """A figure as a file states it: text with a unit, or a number where it has none."""
    if figure.unit:
        return show(value, figure.unit, decimals)
    return float(f"{value:.6g}" if decimals is None else f"{value:.{decimals}f}")


def _club(parts: ClubParts) -> dict[str, Any]:
    stated = {key: value for key, value in parts if value is not None}
    return {key: show(value, _CLUB_UNITS[key]) if key in _CLUB_UNITS else value for key, value in stated.items()}


def _matched(result: MatchResult) -> dict[str, Any]:
    figures = [
        {
            "figure": row.figure.key,
            "measured": str(quantity(row.figure, row.measured.value)),
            "error": str(quantity(row.figure, row.measured.error)),
            "delivered": str(quantity(row.figure, row.delivered)),
        }
        for row in result.figures
        if row.measured is not None
    ]
    pinned, partly, left = (list(result.of_kind(kind)) for kind in ("pinned down", "partly", "as the archetype"))
    return {
        "customer": result.customer,
        "archetype": result.archetype,
        "version": __version__,
        "misfit": round(result.misfit, 4),
        "pinned_down": pinned,
        "partly": partly,
        "not_pinned_down": left,
        "figures": figures,
    }
