"""Whether the lanes can be built here, and how many there are."""

from __future__ import annotations

import functools

LANES = {"avx512f": 8, "avx2": 4, "neon": 4}
"""Lanes that suit a processor with these instructions."""


@functools.cache
def lane_width() -> int:
    """Lanes that suit this processor: what its registers hold, or two registers of them where those are short."""
    features = _features()
    return next((lanes for name, lanes in LANES.items() if features.get(name, False)), 1)


@functools.cache
def unavailable() -> str | None:
    """Why the lanes cannot be used here, in words; None: they can. Callers then use `beam.simulate`, run by run.

    Compiles a small piece the first time it is asked.
    """
    import numba

    if numba.config.DISABLE_JIT:  # type: ignore[attr-defined]
        return "compilation is switched off (NUMBA_DISABLE_JIT)"
    features = _features()
    if not (features.get("fma", False) or features.get("neon", False)):
        return "this processor has no fused multiply-add"
    try:
        from .probe import probe

        found = probe(lane_width())
    except Exception as error:  # whatever another numba or LLVM may raise: the scalar solver does it as well
        return f"this numba does not build them ({type(error).__name__}: {error})"
    return None if found else "this numba builds them wrongly"


def _features() -> dict[str, bool]:
    import llvmlite.binding as binding  # type: ignore[import-untyped]

    return dict(binding.get_host_cpu_features())
