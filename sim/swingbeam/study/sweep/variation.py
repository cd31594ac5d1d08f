"""How one thing varies: levels, a range, a normal distribution, or names; read from a study's [vary]."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from swingbeam.beam.errors import InputError
from swingbeam.files.key_path import PLAIN, likely_unit
from swingbeam.units import KINDS, PlainNumber, nearest, parse_quantity, quote

Array = NDArray[np.float64]

MOST_LEVELS = 1_000_000
_UNIT_LETTERS = str.maketrans({"·": "*", "⋅": "*", "²": "^2", "³": "^3"})
_WAYS = (
    ("from", "to", "count"),
    ("from", "to"),
    ("between",),
    ("mean", "deviation"),
    ("mean", "deviation", "least", "most"),
    ("mean", "deviation", "least"),
    ("mean", "deviation", "most"),
)
_HOW = (
    "{ from = …, to = …, count = 5 }, { between = [a, b] }, { mean = …, deviation = … } or a list of values, "
    "each value with its unit"
)


@dataclass(frozen=True, eq=False)
class Variation:
    """How one thing varies; SI.

    Attributes
    ----------
    unit : people write it in; empty for a plain number or a name
    levels : (n,) the values of a list or of from, to and count; places of names; None where there are none
    low, high : ends, −inf and inf of a normal distribution that is not cut off
    mean, deviation : of a normal distribution, else None
    names : of named things; the values are places in them
    """

    unit: str = ""
    levels: Array | None = None
    low: float = -np.inf
    high: float = np.inf
    mean: float | None = None
    deviation: float | None = None
    names: tuple[str, ...] = ()

    def at(self, share: Array) -> Array:
        """Values below which a share (0 … 1) of the draws lies: levels and names equally likely, a range evenly, a
        normal distribution by its own law, renormalised where it is cut off."""
        if self.levels is not None and not self.is_range:
            place = np.minimum((share * self.levels.size).astype(np.int64), self.levels.size - 1)
            return np.asarray(self.levels[place])
        if self.mean is None or self.deviation is None:
            return np.asarray(self.low + share * (self.high - self.low))
        below, above = ndtr((self.low - self.mean) / self.deviation), ndtr((self.high - self.mean) / self.deviation)
        # Open at both ends: a share of exactly 0 or 1 lies infinitely far out.
        inside = np.clip(below + share * (above - below), 2.0**-53, 1.0 - 2.0**-53)
        return np.clip(self.mean + self.deviation * ndtri(inside), self.low, self.high)

    @property
    def is_range(self) -> bool:
        """Whether its levels are evenly laid over a range, so that a drawn plan takes anything between."""
        return self.levels is not None and bool(np.isfinite(self.low))

    def ends(self) -> tuple[float, ...]:
        """Values that must be possible: every name, both ends, the mean."""
        if self.names:
            return tuple(range(len(self.names)))
        if self.mean is not None:
            return (self.mean,)
        if self.levels is not None and not self.is_range:
            return (float(self.levels.min()), float(self.levels.max()))
        return (self.low, self.high)


def read_names(key: str, written: Any, known: tuple[str, ...] = ()) -> Variation:
    """A choice among named things.

    Raises
    ------
    InputError
        No list of names, or a name twice; with `known` a name that is none of them.
    """
    if not isinstance(written, list | tuple) or not written or not all(isinstance(v, str) for v in written):
        raise InputError(f"found {quote(written)}; allowed: a list of names, such as {_example_names(known)}")
    twice = next((name for name in written if list(written).count(name) > 1), None)
    if twice is not None:
        raise InputError(f"found {quote(twice)} twice; allowed: each once")
    for name in written:
        if known and name not in known:
            guess = nearest(name, known)
            hint = f"; did you mean {quote(guess)}?" if guess else ""
            raise InputError(f"found {quote(name)}; allowed: {', '.join(known)}{hint}")
    if len(written) > np.iinfo(np.int16).max:
        raise InputError(f"found {len(written)} names; allowed: up to {np.iinfo(np.int16).max}")
    return Variation(levels=np.arange(len(written), dtype=float), names=tuple(written))


def _example_names(known: tuple[str, ...]) -> str:
    return f"[{', '.join(quote(name) for name in (known or ('one', 'another'))[:2])}]"


def read_variation(kind: str, written: Any) -> Variation:
    """How a number of a kind of `units.KINDS` (or `PLAIN`) varies.

    Raises
    ------
    InputError
        Not one of the ways, a value without its unit, a range that ends where it begins.
    """
    if isinstance(written, list | tuple):
        return _of_list(kind, written)
    if not isinstance(written, Mapping):
        raise InputError(f"found {quote(written)}, one value, which does not vary; allowed: {_HOW}")
    keys = tuple(sorted(written))
    if keys not in [tuple(sorted(way)) for way in _WAYS]:
        known = ["from", "to", "count", "between", "mean", "deviation", "least", "most"]
        odd = next((key for key in written if key not in known), None)
        guess = nearest(odd, known) if odd is not None else None
        hint = f'; did you mean "{guess}"?' if guess else ""
        raise InputError(f"found the keys {', '.join(written) or 'of an empty table'}; allowed: {_HOW}{hint}")
    if "mean" in written:
        return _normal(kind, written)
    if "between" in written:
        pair = written["between"]
        if not isinstance(pair, list | tuple) or len(pair) != 2:
            raise InputError(f"between: found {quote(pair)}; allowed: a list of two values")
        first, last = (_number(kind, v, "between") for v in pair)
        return _range(kind, first, last, _unit(kind, pair[0]), None, "between")
    first, last = (_number(kind, written[key], key) for key in ("from", "to"))
    return _range(kind, first, last, _unit(kind, written["from"]), written.get("count"), "to")


def _range(kind: str, first: float, last: float, unit: str, count: Any, where: str) -> Variation:
    if first == last:
        raise InputError(f"{where}: found a range that ends where it begins; allowed: two different values")
    levels = None
    if count is not None:
        if isinstance(count, bool) or not isinstance(count, int) or not 2 <= count <= MOST_LEVELS:
            raise InputError(f"count: found {quote(count)}; allowed: a whole number from 2 to {MOST_LEVELS:,}")
        levels = np.linspace(first, last, count)
    return Variation(unit, levels, min(first, last), max(first, last))


def _of_list(kind: str, written: list[Any] | tuple[Any, ...]) -> Variation:
    if not written:
        raise InputError(f"found an empty list; allowed: {_HOW}")
    values = np.array([_number(kind, value, f"#{i}") for i, value in enumerate(written, 1)])
    if len(set(values.tolist())) < values.size:
        raise InputError("found a value twice; allowed: each once")
    return Variation(_unit(kind, written[0]), values)


def _normal(kind: str, written: Mapping[str, Any]) -> Variation:
    mean, deviation = (_number(kind, written[key], key) for key in ("mean", "deviation"))
    low = _number(kind, written["least"], "least") if "least" in written else -np.inf
    high = _number(kind, written["most"], "most") if "most" in written else np.inf
    if not deviation > 0.0:
        raise InputError(f"deviation: found {quote(written['deviation'])}; allowed: above 0")
    if not low < mean < high:
        raise InputError("least, most: found a mean that does not lie between; allowed: least below it, most above")
    return Variation(_unit(kind, written["mean"]), None, low, high, mean, deviation)


def _number(kind: str, written: Any, where: str) -> float:
    try:
        return PlainNumber().read(written) if kind == PLAIN else parse_quantity(written, kind)
    except InputError as error:
        raise InputError(f"{where}: {error}") from None


def _unit(kind: str, written: Any) -> str:
    """The unit a value was written in, as the lists of units spell it."""
    if kind == PLAIN or not isinstance(written, str):
        return likely_unit(kind)
    rest = written.strip().lstrip("+-0123456789.").strip()
    if rest[:1] in ("e", "E") and rest[1:2].isdigit() | (rest[1:2] in ("+", "-")):
        rest = rest[1:].lstrip("+-0123456789").strip()
    unit = rest.translate(_UNIT_LETTERS)
    return unit if unit in KINDS[kind].units else likely_unit(kind)
