"""Which kind of file a table comes from, by keys that one kind has and the others have not."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

TELLING_KEYS = {
    "customer": ("archetype", "figures", "shots_file", "stature", "wrist_to_floor"),
    "recording": ("data", "markers", "ball_struck", "quaternion"),
    "study": ("vary", "plan", "hold"),
    "scenario": ("question", "clubs", "shafts"),
    "readings": ("reading",),
    "bench": ("frequency", "deflection", "torque", "kick_point", "bend_point", "three_point"),
    "head": ("loft", "lie", "face", "cg", "hosel_height"),
    "layup": ("plies", "mandrel", "materials", "base", "swap"),
    "shaft": ("raw_length", "letter", "butt_diameter", "tip_diameter", "profile", "tube"),
    "swing": ("tempo", "arms", "wrists", "forearms", "delivery", "driven_by"),
}
"""Kind of file → keys of its own. A study's file is one of the scenarios, and shares their keys."""
IN_WORDS = {"layup": "lay-up"}
"""Kind of file → how people call it, where that is not the word itself."""


def telling_kind(table: Mapping[str, Any]) -> str | None:
    """The kind of file whose keys a table has most of; None: it has none of any."""
    counts = {kind: sum(key in table for key in keys) for kind, keys in TELLING_KEYS.items()}
    best = max(counts, key=lambda kind: counts[kind])
    return best if counts[best] else None


def mistaken_kind(table: Mapping[str, Any], allowed: Collection[str]) -> str | None:
    """The kind a table is of, where it cannot be one with the keys that are allowed.

    Parameters
    ----------
    allowed : keys of the file that was wanted
    """
    found = telling_kind(table)
    if found is None:
        return None
    foreign = [key for key in TELLING_KEYS[found] if key in table and key not in allowed]
    own = [key for keys in TELLING_KEYS.values() for key in keys if key in table and key in allowed]
    return found if len(foreign) > 1 and len(foreign) > len(own) else None


def in_words(kind: str) -> str:
    """A kind of file as people call it: "lay-up", "customer's"."""
    return IN_WORDS.get(kind, kind)
