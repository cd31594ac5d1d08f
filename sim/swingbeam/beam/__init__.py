"""Geometrically exact beams on a driven root: pure mechanics, SI units, float64.

Two solvers share one model and one output: `elements` (geometrically exact two-node elements, generalised-α) and
`curvature` (strain-based minimal coordinates, Gauss). This package knows nothing of what the beam is used for and
imports nothing else of the project.

Frames: the *world* is inertial; the *root frame* has its origin at the root and x along the undeformed axis
toward the tip. Rotations are matrices body → world; rotation vectors are in rad.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .errors import InputError, SimulationError

if TYPE_CHECKING:
    from .chain import ChainHistory, Drive, DrivenChain, Joint, Stops, holding_torques
    from .history import History
    from .march import simulate
    from .model import Profile, TipBody
    from .modes import natural_frequencies
    from .motion import Motion
    from .rigid import RigidBody, rigid_body, rigid_couple
    from .root import ElasticRoot
    from .statics import Shape, static_shape

_WHERE = {
    "ChainHistory": "chain",
    "Drive": "chain",
    "DrivenChain": "chain",
    "Joint": "chain",
    "Stops": "chain",
    "History": "history",
    "Profile": "model",
    "TipBody": "model",
    "holding_torques": "chain",
    "natural_frequencies": "modes",
    "Motion": "motion",
    "RigidBody": "rigid",
    "rigid_body": "rigid",
    "rigid_couple": "rigid",
    "ElasticRoot": "root",
    "simulate": "march",
    "Shape": "statics",
    "static_shape": "statics",
}

__all__ = [
    "ChainHistory",
    "Drive",
    "DrivenChain",
    "ElasticRoot",
    "History",
    "InputError",
    "Joint",
    "Motion",
    "Profile",
    "RigidBody",
    "Shape",
    "SimulationError",
    "Stops",
    "TipBody",
    "holding_torques",
    "natural_frequencies",
    "rigid_body",
    "rigid_couple",
    "simulate",
    "static_shape",
]


def __getattr__(name: str) -> Any:
    # The exceptions are needed everywhere, numba only where something is simulated: load it then.
    if name in _WHERE:
        from importlib import import_module

        return getattr(import_module(f".{_WHERE[name]}", __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
