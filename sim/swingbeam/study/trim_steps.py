"""Trims as people write them: "1 in", or a sweep, "0 in:2 in:0.5 in"."""

from __future__ import annotations

import math
from collections.abc import Sequence

from swingbeam.beam.errors import InputError
from swingbeam.units import parse_quantity, quote

MOST_STEPS = 100
_SWEEP = 'a length such as "0.5 in", or a sweep, first:last:step, such as "0 in:2 in:0.5 in"'


def read_trims(texts: Sequence[str], option: str) -> tuple[float, ...]:
    """Trims (m) in rising order, each once; (0,) for none.

    Parameters
    ----------
    texts : lengths with their units, or sweeps; a sweep's last value is kept when a step falls on it
    option : how a message names where they were given

    Raises
    ------
    InputError
        No number, no unit, a negative length, a sweep that does not rise or has too many steps.
    """
    found: list[float] = []
    for text in texts:
        try:
            found += _one(text)
        except InputError as error:
            raise InputError(f"{option}: {error}") from None
    rounded = sorted({round(value, 9) for value in found}) or [0.0]
    if len(rounded) > MOST_STEPS:
        raise InputError(f"{option}: found {len(rounded)} trims; allowed: up to {MOST_STEPS}")
    return tuple(rounded)


def _one(text: str) -> list[float]:
    parts = text.split(":")
    if len(parts) not in (1, 3):
        raise InputError(f"found {quote(text)}; allowed: {_SWEEP}")
    values = [parse_quantity(part, "length") for part in parts]
    for value in values:
        if value < 0.0:
            raise InputError(f"found {quote(text)}, a negative length; allowed: from 0 in: a cut only takes away")
    if len(values) == 1:
        return values
    first, last, step = values
    if last < first or step <= 0.0:
        raise InputError(f"found {quote(text)}, which does not rise; allowed: {_SWEEP}")
    # A step may miss the last value by round-off.
    count = math.floor((last - first) / step + 1e-9) + 1
    if count > MOST_STEPS:
        raise InputError(f"found {quote(text)}, {count} trims; allowed: up to {MOST_STEPS}")
    return [first + i * step for i in range(count)]
