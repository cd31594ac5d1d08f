"""A group of clubs swung side by side, their figures put into rows without a record for every case.

The same figures as `figures.swing_one` and `rows_of` give, from the compiled readings; a test holds the two together.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from swingbeam.club.build import Club
from swingbeam.delivery import batch, shot_batch
from swingbeam.delivery import batch_layout as at
from swingbeam.delivery.shot import Shot
from swingbeam.study.golfer import Golfer
from swingbeam.study.many import COLUMNS, ManySwings, fits_the_lanes, swing_many
from swingbeam.study.quantities import SHOT, Quantity

from .figures import KEPT_CURVES, OK, Figure, Swung, Way, reason_of, rows_of, swing_one
from .problem import Array, Rows

_CURVE_ROWS = {
    "in_plane": at.IN_PLANE,
    "lead": at.LEAD,
    "droop": at.DROOP,
    "twist": at.TWIST,
    "hand_force": at.HAND_FORCE,
    "hand_couple": at.HAND_COUPLE,
}


def goes_side_by_side(way: Way) -> bool:
    """Whether clubs can be swung this way side by side on this machine."""
    return way.parts <= COLUMNS.keys() and fits_the_lanes(way.solver, way.ball)


def rows_side_by_side(golfer: Golfer, clubs: Sequence[Club], way: Way, base: Swung | None) -> Rows:
    """Rows of k clubs swung by one golfer; arguments as of `figures.swing_group`.

    Raises
    ------
    SimulationError
        The golfer's reference couple cannot be made.
    """
    many = _swung(golfer, clubs, way)
    status = np.where(many.ended, many.readings.codes[:, at.STATUS], 0).astype(np.int8)
    values = _values(many, way.figures, base)
    reasons = [""] * len(clubs)
    curves = {q.key: q.scale * many.readings.curves[:, _CURVE_ROWS[q.attribute]] for q in _kept(way)}
    against = Swung(status=1) if base is None else base
    lacking = many.ended & ((status != OK) | ~np.isfinite(values).all(axis=1))
    for case in np.flatnonzero(lacking).tolist():
        one = Swung(int(status[case]), **_why(many, case))
        reasons[case] = reason_of(one, values[case], way.figures, against)
    for case in np.flatnonzero(~many.ended).tolist():
        rows = rows_of([swing_one(golfer, clubs[case], way)], way.figures, way.times, base)
        values[case], status[case], reasons[case] = rows.values[0], rows.status[0], rows.reasons[0]
        for name, curve in rows.curves.items():
            curves[name][case] = curve[0]
    return Rows(values, status, reasons, curves)


def base_side_by_side(golfer: Golfer, way: Way) -> Swung:
    """The golfer's reference club swung the same way, as records."""
    many = _swung(golfer, [golfer.club], way)
    if not many.ended[0]:
        return swing_one(golfer, golfer.club, way)
    status = int(many.readings.codes[0, at.STATUS])
    if status != OK:
        return Swung(status, **_why(many, 0))
    face, loft = batch.causes_of(many.readings, 0)
    shot = Shot(*map(float, many.shots[0])) if "shot" in way.parts and many.shot_codes[0] == 0 else None
    unloaded, impact = batch.unload_of(many.readings, 0), batch.impact_of(many.readings, 0)
    return Swung(status, unload=unloaded, impact=impact, face=face, loft=loft, shot=shot, **_why(many, 0))


def _swung(golfer: Golfer, clubs: Sequence[Club], way: Way) -> ManySwings:
    where = way.where if "shot" in way.parts else None
    return swing_many(golfer, clubs, way.hands, way.ball, times=way.times, where=where)


def _kept(way: Way) -> tuple[Quantity, ...]:
    return KEPT_CURVES if way.times.size else ()


def _values(many: ManySwings, figures: Sequence[Figure], base: Swung | None) -> Array:
    """(k, figures) shown values; NaN where there is none."""
    columns = [COLUMNS[figure.part][figure.quantity.attribute] for figure in figures]
    none = Swung(status=1)
    offset = [(none if base is None else base).value(figure) if figure.change else 0.0 for figure in figures]
    scale = [figure.quantity.scale for figure in figures]
    return np.asarray((many.table[:, columns] - np.array(offset)) * np.array(scale))


def _why(many: ManySwings, case: int) -> dict[str, Any]:
    """Reason of a status, and reasons of figures that are not there, as of a `Swung`."""
    reasons = dict(batch.reasons_of(many.readings, case))
    if many.shot_codes[case]:
        words = shot_batch.WORDS[many.shot_codes[case]]
        reasons |= dict.fromkeys((q.key for q in SHOT), words)
    return {"reason": reasons.pop("status", ""), "reasons": reasons}
