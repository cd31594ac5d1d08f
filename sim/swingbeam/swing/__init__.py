"""How a golfer drives a club: line → reference run → hands → ball.

A *line* is what a rigid club would follow (`line`). The golfer's *reference club* swings along it once and
leaves the reference pose and the reference couple (`reference`). *Hands* say how much a golfer lets another
club move him (`hands`). The *ball* lies where he has learnt to strike it (`ball`), and `aim` adjusts the line
until the reference club delivers what the archetype states (`archetype`).
"""

from __future__ import annotations

from typing import Any

_WHERE = {
    "EFFORT": "hands",
    "HOLD": "hands",
    "VICE": "hands",
    "Hands": "hands",
    "hands_named": "hands",
    "Line": "line",
    "draw_line": "line",
    "Swing": "archetype",
    "library_swings": "archetype",
    "load_swing": "archetype",
    "prepare": "archetype",
    "Reference": "reference",
    "run_club": "reference",
    "make_reference": "aim",
    "ball_centre": "ball",
    "SwingPlan": "plan",
}

__all__ = sorted(_WHERE)


def __getattr__(name: str) -> Any:
    # Lazily, so that naming a swing costs nothing of numba.
    if name in _WHERE:
        from importlib import import_module

        return getattr(import_module(f".{_WHERE[name]}", __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
