"""What was typed, as a message shows it, and the known word it comes nearest to."""

from __future__ import annotations

import difflib
import json


def quote(value: object, longest: int = 60) -> str:
    """A value as a user would recognise it, on one line and not too long."""
    try:
        text = json.dumps(value, ensure_ascii=False) if isinstance(value, str) else str(value)
    except ValueError:  # an integer too long for Python to print
        return "a number with thousands of digits"
    text = "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in text)
    return text if len(text) <= longest else f"{text[: longest - 1]}…"


def nearest(word: str, known: list[str] | tuple[str, ...]) -> str | None:
    """The known word most like `word`, or None."""
    found = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    if found:
        return found[0]
    lower = {k.lower(): k for k in known}
    found = difflib.get_close_matches(word.lower(), list(lower), n=1, cutoff=0.6)
    return lower[found[0]] if found else None


def describe(value: object) -> str:
    """A value of any type, in words a user would recognise."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, dict):
        return "a table"
    return quote(value)
