"""The `curvature` solver for several swings side by side in the SIMD lanes of one core.

The same equations, functions, intervals and steps as the scalar solver (`curvature*.py`, which is the readable
statement, the fallback and what the tests hold this one against). All runs of a march share the golfer's motion, the
axes of his hands and his couple; they differ in club and hands. See `march.march_lanes`.

A piece of the solver is a Python function of numbers side by side (`lane_numbers`), which becomes straight-line LLVM
code on vectors when the kernel is compiled (`pieces`); nothing of it is looked up or compiled before lanes are used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .support import lane_width, unavailable

if TYPE_CHECKING:
    from .march import TOLERANCE, LaneRuns, Stages, march_lanes, stages_of

__all__ = ["TOLERANCE", "LaneRuns", "Stages", "lane_width", "march_lanes", "stages_of", "unavailable"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        from importlib import import_module

        return getattr(import_module(".march", __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
