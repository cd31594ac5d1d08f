"""Words for a terminal that knows ASCII only."""

from __future__ import annotations

import codecs
import unicodedata
from typing import Any

ASCII = {
    "−": "-", "–": "-", "—": "-", "·": "*", "⋅": "*", "×": "x", "±": "+/-", "°": " deg", "→": "->", "≥": ">=",
    "≤": "<=",
    "²": "^2", "³": "^3", "½": "1/2", "…": "...", "σ": "sigma", "τ": "tau", "δ": "delta", "ψ": "psi", "ω": "omega",
    "ζ": "zeta", "λ": "lambda", "ρ": "rho", "π": "pi", "φ": "phi", "θ": "theta", "κ": "kappa", "β": "beta",
    "γ": "gamma",
    "ν": "nu", "μ": "mu", "µ": "u", "’": "'", "‘": "'", "“": '"', "”": '"', "│": "|", "─": "-", "█": "#", "√": "sqrt",
}  # fmt: skip
"""What is written for a character that cannot be shown; others lose their accents or become "?"."""
HANDLER = "swingbeam-ascii"
"""Name of the error handler for streams."""


def in_ascii(text: str) -> str:
    """A text with ASCII characters only."""
    return "".join(c if c.isascii() else _plain(c) for c in text)


def _plain(character: str) -> str:
    found = ASCII.get(character)
    if found is None:
        found = "".join(c for c in unicodedata.normalize("NFKD", character) if c.isascii())
    return found or "?"


def speaks_unicode(stream: Any) -> bool:
    """Whether a stream takes every character that is printed here."""
    encoding = getattr(stream, "encoding", None) or "utf-8"
    try:
        "".join(ASCII).encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def register() -> None:
    """Make the error handler known, so that a stream may be set to it instead of failing."""

    def replaced(error: UnicodeError) -> tuple[str, int]:
        if not isinstance(error, UnicodeEncodeError):
            raise error
        return in_ascii(error.object[error.start : error.end]), error.end

    codecs.register_error(HANDLER, replaced)
