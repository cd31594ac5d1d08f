"""A ranking as JSON: fixed keys; every value a number, a text or null, and every null with its reason."""

from __future__ import annotations

import json
from typing import Any

from swingbeam.delivery.kinetics import Demand
from swingbeam.study.quantities import (
    CAUSES,
    CHANGES_UNDER,
    IMPACT,
    LANDING,
    RESOLUTION,
    SHOT,
    STATIC,
    UNLOAD,
    Quantity,
)
from swingbeam.study.result import HANDS, ClubRun, RankResult, SingleResult

from .repeat import repeated_object

_DEGREE = next(q.scale for q in IMPACT if q.key == "face_angle_deg")


def rank_object(result: RankResult) -> dict[str, Any]:
    """The ranking as plain dicts and lists, signs and units as in the keys."""
    shown: dict[str, Any] = {
        "scenario": result.scenario,
        "golfer": result.golfer,
        "reference": result.reference,
        "hands": result.hands,
        "ball": result.ball,
        "solver": result.solver,
        "air": result.air,
        "repeatability": result.repeatability,
        "notes": list(result.notes),
        "runs": [run_object(run) for run in result.runs],
    }
    if result.repeated is not None:
        shown["repeat"] = repeated_object(result.repeated)
    return shown


def rank_json(result: RankResult) -> str:
    """The ranking as JSON text; no NaN or infinity can be in it."""
    return json.dumps(rank_object(result), ensure_ascii=False, allow_nan=False, indent=2)


def single_json(result: SingleResult) -> str:
    """One club as JSON text: the keys of a ranking's club, with those of the ranking around it."""
    shown = {
        "golfer": result.golfer,
        "reference": result.reference,
        "hands": result.hands,
        "ball": result.ball,
        "solver": result.solver,
        "air": result.air,
        "notes": list(result.notes),
        "run": run_object(result.run, alone=True),
        "hands_give": {} if result.motion is None else _demands(result.motion.demands),
    }
    return json.dumps(shown, ensure_ascii=False, allow_nan=False, indent=2)


def _demands(demands: tuple[Demand, ...]) -> dict[str, dict[str, Any]]:
    """The largest the hands give of every kind, each against what a golfer can give, and where that is from."""
    return {
        d.key: {
            "largest": d.size / d.range.per,
            "unit": d.range.unit,
            "at_ms": 1e3 * d.at,
            "within_human_range": d.is_human,
            "human_range": d.range.largest / d.range.per,
            "source": d.range.source,
        }
        for d in demands
    }


def run_object(run: ClubRun, *, alone: bool = False) -> dict[str, Any]:
    """One club of a ranking, or one swung alone, which has no rank and no resolution."""
    shown: dict[str, Any] = {
        "shaft": run.shaft,
        "rank": run.rank,
        "status": run.status,
        "unload": {**_figures(UNLOAD, run.unload), RESOLUTION.key: RESOLUTION.of(run)},
        "impact": _figures(IMPACT, run.impact),
        "change": _figures(IMPACT, run.change),
        "flight": _flight(run),
        "from": {"face_angle_deg": _causes(run.face), "dynamic_loft_deg": _causes(run.loft)},
        "order_under": {mode: run.order_under.get(mode) for mode in HANDS},
        "static": {
            "letter": None if run.static is None else run.static.letter,
            **_figures(STATIC, run.static),
            "setup": None if run.static is None else run.static.setup,
        },
    }
    shown["reasons"] = _reasons(run, shown, alone)
    return shown


def _figures(quantities: tuple[Quantity, ...], record: Any) -> dict[str, float | int | None]:
    values = {q.key: q.of(record) for q in quantities}
    return {key: int(v) if key == "crossings" and v is not None else v for key, v in values.items()}


def _flight(run: ClubRun) -> dict[str, Any]:
    """Launch and flight, their errors, the change against the reference club, and what of it is not resolved."""
    record = run.flight
    under = tuple(q for q in SHOT if q.attribute in CHANGES_UNDER)
    return {
        "shot": _figures(SHOT, None if record is None else record.shot),
        "error": _figures(SHOT, None if record is None else record.error),
        "change": _figures(SHOT, None if record is None else record.change),
        "change_error": _figures(SHOT, None if record is None else record.change_error),
        "not_resolved": {
            q.key: record.resolution(q.attribute)
            for q in SHOT
            if record is not None and not record.is_resolved(q.attribute)
        },
        "change_under": {
            mode: _figures(under, None if record is None else record.change_under.get(mode)) for mode in HANDS
        },
        "landing": _figures(LANDING, None if record is None else record.spread),
    }


def _causes(causes: Any) -> dict[str, float | None]:
    return {name: None if causes is None else _DEGREE * getattr(causes, name) for name in CAUSES}


def _reasons(run: ClubRun, shown: dict[str, Any], alone: bool) -> dict[str, str]:
    """The reasons on record, and one for every null that has none of its own."""
    reasons = dict(run.reasons)
    general = reasons.get("status", "not known")

    def visit(value: Any, key: str) -> None:
        if isinstance(value, dict):
            for name, inner in value.items():
                visit(inner, name)
        elif value is None:
            reasons.setdefault(key, general if run.status != "ok" else _default_reason(key, alone))

    visit(shown, "")
    return reasons


def _default_reason(key: str, alone: bool) -> str:
    if alone and key in ("rank", RESOLUTION.key, *HANDS):
        return "one club swung alone is not ranked"
    if key == "letter":
        return "the shaft file gives no letter"
    if key == "rank" or key in HANDS:
        return "no half-unload to rank by"
    return "not known"
