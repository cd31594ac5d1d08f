"""How columns of a study are named and their values written, in tables and pictures alike."""

from __future__ import annotations

import math
import re
import textwrap

from swingbeam.study.sweep.results import Variable

_UNITS = {
    "1": "",
    "degree": "°",
    "degree s-1": "°/s",
    "percent": "%",
    "m s-1": "m/s",
    "mm s-1": "mm/s",
    "min-1": "cpm",
    "N m": "N·m",
    "N m2": "N·m²",
    "kg m2": "kg·m²",
    "kg m-1": "kg/m",
    "g m-1": "g/m",
    "g cm2": "g·cm²",
    "m s-2": "m/s²",
    "N m s rad-1": "N·m·s/rad",
    "N m rad-1": "N·m/rad",
}
"""CF notation → as people write it; units not named here are written as they stand."""
_STAYS = "\u00a0"


def unit_words(unit: str) -> str:
    """A CF unit as people write it; empty for a plain number."""
    return _UNITS.get(unit, unit)


def axis_label(variable: Variable, width: int = 0) -> str:
    """What a column is, with its unit: for an axis; broken into lines of `width` characters where that is given."""
    unit = unit_words(variable.unit)
    words = variable.long_name or variable.key
    # A sign or a unit alone on a line would be read with the wrong word.
    text = f"{words},{_STAYS}{unit}" if unit else words
    text = re.sub(" (?=[+−])", _STAYS, text)
    return "\n".join(textwrap.wrap(text, width, break_long_words=False)) if width else text


def reach(variable: Variable, low: float, high: float) -> str:
    """From where to where a column goes, with its unit; of a named thing, how many names it has."""
    if variable.choices:
        return f"{len(variable.choices)} named"
    unit = unit_words(variable.unit)
    ends = f"{number(low, like=max(abs(low), abs(high)))} … {number(high, like=max(abs(low), abs(high)))}"
    return f"{ends} {unit}" if unit else ends


def number(value: float, *, like: float = math.nan, digits: int = 3) -> str:
    """A value of any size in few digits, a true minus; a dash where there is none.

    `like`: a size by which the decimals are chosen, so that values that stand together have as many.
    """
    if not math.isfinite(value):
        return "–"
    size = abs(like) if math.isfinite(like) and like else abs(value)
    decimals = max(0, digits - 1 - math.floor(math.log10(size))) if size > 0.0 else 0
    text = f"{value:.{decimals}f}" if decimals <= 6 else f"{value:.{digits - 1}e}"
    if not text.strip("-0."):
        text = text.lstrip("-")
    return text.replace("-", "−")


def share(value: float, *, sign: bool = False) -> str:
    """An index, a share or a correlation: two decimals, no minus before zero."""
    if not math.isfinite(value):
        return "–"
    text = f"{value:{'+' if sign else ''}.2f}"
    return text.replace("-", "−") if text.strip("+-0.") else text.lstrip("+-")


def band(low: float | None, high: float | None, *, sign: bool = False) -> str:
    """The ends of an interval; a dash where there is none."""
    if low is None or high is None:
        return "–"
    return f"{share(low, sign=sign)} … {share(high, sign=sign)}"
