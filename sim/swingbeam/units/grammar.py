"""The strict grammar of numbers and quantities, and back."""

from __future__ import annotations

import math
import re
import unicodedata

from swingbeam.beam.errors import InputError

from .kinds import KIND_OF_UNIT, KINDS, LIKELY, Kind
from .text import describe, nearest, quote

_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?")
_DASHES = "‐‑‒–—―−⁻﹣－"
_UNIT_LETTERS = str.maketrans({"·": "*", "⋅": "*", "²": "^2", "³": "^3"})
_COMPOUND = re.compile(r"^\S+\s+[-+.0-9]")


def _odd_character(text: str) -> str | None:
    """A sentence about a character that no number may hold, or None."""
    for c in text:
        if c in _DASHES:
            return f'the sign is "{c}" (U+{ord(c):04X}), not the hyphen of the keyboard: type "-"'
        if c not in "·⋅²³°º" and not (c.isascii() and (c.isprintable() or c == "\t")):
            return f"it holds the character {unicodedata.name(c, f'U+{ord(c):04X}')}: type plain characters"
    return None


def _leading_number(text: str, allowed: str) -> tuple[float, str]:
    """Split off the number; the rest (unit) is returned as written."""
    body = text.strip(" \t")
    odd = _odd_character(body)
    if odd:
        raise InputError(f"found {quote(text)}; {odd}; allowed: {allowed}")
    match = _NUMBER.match(body)
    if match is None:
        hint = ""
        if re.match(r"[+-]?\.[0-9]", body):
            hint = f'; write a digit before the point: "{body.replace(".", "0.", 1)}"'
        elif re.match(r"[+-]\s+[0-9]", body):
            hint = "; no space after the sign"
        raise InputError(f"found {quote(text)}, which does not start with a number{hint}; allowed: {allowed}")
    rest = body[match.end() :]
    if rest.startswith(","):
        fixed = f"{match.group()}.{rest[1:]}"
        raise InputError(
            f"found {quote(text)}; a decimal comma is not read: write a point, "
            f"{quote(fixed)}, and no thousands separators; allowed: {allowed}"
        )
    if rest[:1] in (".", "_") or re.match(r"[eE][+-]?[0-9]", rest):
        raise InputError(
            f"found {quote(text)}; a number is digits, a decimal point with digits after it, "
            f"an exponent, such as 1.5 or -2e-3; allowed: {allowed}"
        )
    value = float(match.group())
    if not math.isfinite(value):
        raise InputError(f"found {quote(text)}, a number too large to be finite; allowed: {allowed}")
    return value, rest.strip(" \t")


def parse_number(text: str) -> float:
    """Read a bare number by the strict grammar.

    Raises
    ------
    InputError
        Anything else than one finite number.
    """
    value, rest = _leading_number(text, "a number such as 1.5")
    if rest:
        raise InputError(f"found {quote(text)}; allowed: a number without a unit, such as 1.5")
    return value


def parse_quantity(text: object, kind: str) -> float:
    """Read a quantity into SI.

    Parameters
    ----------
    text : str such as "45.5 in"
    kind : a key of `KINDS`

    Raises
    ------
    InputError
        Not text, no number, no unit, an unknown unit (the nearest is suggested), a unit of another kind, a
        number that is not finite or out of all proportion. The message says what was found and what is
        allowed.
    """
    rule = KINDS[kind]
    allowed = rule.allowed()
    if not isinstance(text, str):
        if isinstance(text, bool) or not isinstance(text, int | float):
            raise InputError(f"found {describe(text)}; allowed: {allowed}")
        raise InputError(
            f"found {quote(text)}, a bare number; a unit is needed; allowed: {allowed} (in quotation marks)"
        )
    number, written = _leading_number(text, allowed)
    unit = written.translate(_UNIT_LETTERS)
    if not unit:
        raise InputError(f"found {quote(text)}, a number without a unit; allowed: {allowed}")
    if unit not in rule.units:
        raise InputError(_wrong_unit(text, written, unit, rule))
    value = rule.to_si(number, unit)
    # A scale with a zero of its own has no negative values in SI.
    size = value if rule.zero else abs(value)
    if (value != 0.0 or rule.zero) and not rule.smallest <= size <= rule.largest:
        base = next((name for name, factor in rule.units.items() if factor == 1.0), next(iter(rule.units)))
        span = f"{rule.from_si(rule.smallest, base):g} and {rule.from_si(rule.largest, base):g} {base}"
        raise InputError(f"found {quote(text)}, out of all proportion for {rule.title}; allowed: between {span}")
    return value


def _wrong_unit(text: str, written: str, unit: str, rule: Kind) -> str:
    allowed = rule.allowed()
    if _COMPOUND.match(written):
        return f"found {quote(text)}; one number and one unit are needed, sums are not read; allowed: {allowed}"
    other = KIND_OF_UNIT.get(unit)
    if other is not None:
        return f"found {quote(text)}, {other.title}; allowed: {allowed}"
    guess = LIKELY.get(unit) or LIKELY.get(unit.lower())
    if guess not in rule.units:
        guess = nearest(unit, list(rule.units))
    hint = f'; did you mean "{guess}"?' if guess else ""
    return f"found {quote(text)}, unit {quote(written, 20)} is not known; allowed: {allowed}{hint}"


def written_unit(text: object, kind: str) -> str | None:
    """The unit of a quantity as a person wrote it, where it is one of the kind's."""
    match = _NUMBER.match(text.strip(" \t")) if isinstance(text, str) else None
    if match is None or not isinstance(text, str):
        return None
    unit = text.strip(" \t")[match.end() :].strip(" \t").translate(_UNIT_LETTERS)
    return unit if unit in KINDS[kind].units else None


def to_unit(value: float, unit: str) -> float:
    """An SI value in a unit of the lists.

    Raises
    ------
    InputError
        The unit is in none of the lists.
    """
    plain = unit.translate(_UNIT_LETTERS)
    if plain not in KIND_OF_UNIT:
        raise InputError(f"unit {quote(unit)} is not known")
    return KIND_OF_UNIT[plain].from_si(value, plain)


def show(value: float, unit: str, decimals: int | None = None) -> str:
    """An SI value in people's units: ``show(1.1557, "in", 2)`` is ``"45.50 in"``.

    Without `decimals`, up to six significant digits. The text reads back through `parse_quantity`.
    """
    number = to_unit(value, unit)
    written = f"{number:.6g}" if decimals is None else f"{number:.{decimals}f}"
    if float(written) == 0.0:
        written = written.lstrip("-")
    return f"{written} {unit}"
