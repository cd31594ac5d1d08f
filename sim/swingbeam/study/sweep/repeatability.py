"""A golfer's own spread from swing to swing, as inputs that are drawn."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from swingbeam.beam.errors import InputError
from swingbeam.files.key_path import value_at
from swingbeam.study.shots import repeatability_of
from swingbeam.swing.plan import SwingPlan

from .address import Address, address_of
from .parts import SwingPart
from .variation import Variation

_DELIVERY = {
    "delivery.face_angle": ("face_angle", "deg"),
    "delivery.dynamic_loft": ("dynamic_loft", "deg"),
    "delivery.path": ("path", "deg"),
    "delivery.attack": ("attack", "deg"),
    "delivery.strike_toe": ("strike_toe", "mm"),
    "delivery.strike_up": ("strike_up", "mm"),
}
"""Key of a swing's file → the spread's figure, and the unit it is shown in."""


def repeatability(part: SwingPart, varied: Sequence[str]) -> tuple[tuple[Address, ...], tuple[Variation, ...], str]:
    """What a golfer's swings differ in: keys, normal about what his file states; and the spread's source in words.

    His own spread from swing to swing where the swing's file states it, else one common in practice; every figure
    independent of the others. The head speed is drawn where the file states one, the backswing where its spread does.

    Parameters
    ----------
    varied : keys that vary beside

    Raises
    ------
    InputError
        A swing that states no delivery to differ from, or one of several swings.
    """
    if not isinstance(part.base.plan, SwingPlan):
        raise InputError(
            f'plan.kind: found "repeatability" with the swing "{part.name}", which is not along a line; allowed: '
            "another kind, or another swing"
        )
    if "swing" in varied:
        raise InputError('vary."swing": found with a plan of kind "repeatability"; allowed: one golfer at a time')
    spread, words = repeatability_of(part.base)
    record = part.record({})
    wanted = {key: (getattr(spread, name), unit) for key, (name, unit) in _DELIVERY.items()}
    speed = value_at(record, "delivery.head_speed")
    if speed is not None:
        wanted["delivery.head_speed"] = (spread.speed * speed, "m/s")
    shots = {} if part.base.spread is None else dict(part.base.spread.shots)
    if shots.get("backswing", 0.0) > 0.0:
        wanted["tempo.backswing"] = (shots["backswing"], "s")
    addresses, variations = [], []
    for path, (deviation, unit) in wanted.items():
        key = f"swing.{path}"
        if key in varied:
            raise InputError(
                f'vary."{key}": found with a plan of kind "repeatability", which draws it; allowed: without it'
            )
        addresses.append(address_of(key, {"swing": [part], "shaft": [], "head": []}))
        mean = value_at(record, path) or 0.0
        variations.append(Variation(unit, None, -np.inf, np.inf, mean, float(deviation)))
    return tuple(addresses), tuple(variations), f"from swing to swing: {words}"
