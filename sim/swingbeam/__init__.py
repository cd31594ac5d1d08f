"""swingbeam: how a golf shaft loads and unloads in a swing, and what it does to the delivery of the head.

What a notebook needs, each loaded when it is first used:

- `load_shaft`, `load_head`, `build_club`: a club of parts, by name or path;
- `read_shafts`: every bench test of shafts; `profile_readings`: the shaft that explains readings;
- `match_customer`, `record_swing`: a golfer's swing from launch figures or from a recording;
- `swing_club`, `rank_scenario`: one club swung, or a scenario's clubs ranked;
- `to_xarray`: a result as an `xarray.Dataset`.

`InputError` says what is wrong with what was given, `SimulationError` that a run failed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .beam.errors import InputError, SimulationError
    from .club.build import build_club
    from .club.head import load_head
    from .shaft.load import load_shaft
    from .study.bench import read_shafts
    from .study.datasets import to_xarray
    from .study.match import match_customer
    from .study.profile import profile_readings
    from .study.rank import rank_scenario
    from .study.record import record_swing
    from .study.single import swing_club

__version__ = "0.1.0"

_WHERE = {
    "InputError": "beam.errors",
    "SimulationError": "beam.errors",
    "build_club": "club.build",
    "load_head": "club.head",
    "load_shaft": "shaft.load",
    "match_customer": "study.match",
    "profile_readings": "study.profile",
    "rank_scenario": "study.rank",
    "read_shafts": "study.bench",
    "record_swing": "study.record",
    "swing_club": "study.single",
    "to_xarray": "study.datasets",
}

__all__ = [
    "InputError",
    "SimulationError",
    "build_club",
    "load_head",
    "load_shaft",
    "match_customer",
    "profile_readings",
    "rank_scenario",
    "read_shafts",
    "record_swing",
    "swing_club",
    "to_xarray",
]


def __getattr__(name: str) -> Any:
    # Loaded where it is used: the command line's help must not wait for the solvers.
    if name in _WHERE:
        from importlib import import_module

        return getattr(import_module(f".{_WHERE[name]}", __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
