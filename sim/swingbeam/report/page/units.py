"""Figures in two sets of units at once: the page shows one of them, and its switch the other."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup, escape

from swingbeam.study.quantities import Quantity, shown
from swingbeam.units import to_unit

UNITS = ("metric", "trade")
"""metric: mm, m, m/s; trade: inches, yards, miles an hour. Grams, degrees, cpm and milliseconds are both's."""


@dataclass(frozen=True)
class Unit:
    """How one set of units shows a quantity.

    Attributes
    ----------
    text : the unit as people write it
    factor : shown value = factor · value in the quantity's own unit
    decimals : None: the quantity's own
    """

    text: str
    factor: float = 1.0
    decimals: int | None = None


_WRITTEN = {
    "degree": "°", "degree s-1": "°/s", "m s-1": "m/s", "1": "", "percent": "%", "min-1": "cpm", "N m2": "N·m²",
    "g m-1": "g/m",
}  # fmt: skip
_TRADE = {
    "mm": Unit("in", 1e-3 * to_unit(1.0, "in"), 2),
    "m s-1": Unit("mph", to_unit(1.0, "mph"), 1),
    "m": Unit("yd", to_unit(1.0, "yd"), 1),
    "N m2": Unit("lbf·in²", to_unit(1.0, "lbf*in^2"), 0),
    "g m-1": Unit("g/in", 1.0 / to_unit(1.0, "in"), 2),
}
_APEX = Unit("ft", to_unit(1.0, "ft"), 0)


def unit_of(unit: str, system: str, key: str = "") -> Unit:
    """How a set of units shows what is stated in a unit of CF notation."""
    if system == "trade":
        if key == "apex_m":
            return _APEX
        if unit in _TRADE:
            return _TRADE[unit]
    return Unit(_WRITTEN.get(unit, unit))


def both(metric: str, trade: str) -> Markup:
    """One text where both are alike, else both, of which the page shows one."""
    if metric == trade:
        return escape(metric)
    return Markup('<span class="um">{}</span><span class="ut">{}</span>').format(metric, trade)


def figure(
    q: Quantity, value: float | None, *, sign: bool = False, unit: bool = False, decimals: int | None = None
) -> Markup:
    """A figure in both sets of units.

    Parameters
    ----------
    value : in the quantity's shown unit, None where there is none
    sign : whether a plus is written
    unit : whether the unit is written
    decimals : of the metric value, instead of the quantity's own
    """
    texts = [plain(q, value, system, sign=sign, unit=unit, decimals=decimals) for system in UNITS]
    return both(*texts)


def plain(
    q: Quantity,
    value: float | None,
    system: str,
    *,
    sign: bool = False,
    unit: bool = False,
    decimals: int | None = None,
) -> str:
    """A figure in one set of units."""
    how = unit_of(q.unit, system, q.key)
    places = q.decimals if decimals is None else decimals
    if how.decimals is not None:
        places = how.decimals
    like = Quantity(q.key, q.attribute, q.scale, q.unit, q.long_name, q.label, places)
    text = shown(like, None if value is None else how.factor * value, sign=sign)
    if unit and value is not None and how.text:
        return f"{text}{'' if how.text in ('°', '%') else ' '}{how.text}"
    return text


def unit_words(q: Quantity) -> Markup:
    """The unit of a column's head in both sets of units."""
    return both(*(unit_of(q.unit, system, q.key).text for system in UNITS))
