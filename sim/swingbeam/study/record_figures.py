"""What a recorded swing delivers with its reference club, in the figures that are printed with their bounds."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.club.build import Club
from swingbeam.delivery.presentation import present
from swingbeam.delivery.unload import bend_direction, unload
from swingbeam.swing.ball import ball_at_face_centre
from swingbeam.swing.recorded_swing import RecordedPlan, find_top, head_plane, vice_run

from .quantities import IMPACT, UNLOAD, Quantity

_SHOWN = ("face_angle", "dynamic_loft", "attack", "path", "head_speed", "closure", "lead", "droop", "half", "lag_peak")
FIGURES: dict[str, Quantity] = {name: next(q for q in (*IMPACT, *UNLOAD) if q.attribute == name) for name in _SHOWN}
"""By attribute; face angle and half-unload among them."""


def read_figures(plan: RecordedPlan, club: Club) -> Mapping[str, float | None]:
    """Figures, SI, of the reference club held in a vice on the recorded poses, read at the planned impact; None for
    those that do not exist."""
    try:
        motion = plan.motion()
        run = vice_run(motion, club)
        normal = head_plane(run)
        top = find_top(motion, normal)
        row = run.at([0.0])
        direction = bend_direction(normal, row.motion_rotation)[0]
        impact = present(run, club.face, ball_at_face_centre(run, club.face), 0.0, 0.0, direction)
        unloaded = unload(run, normal, 0.0, top, -top)
    except (InputError, SimulationError):
        return dict.fromkeys(FIGURES)
    found: dict[str, float | None] = {}
    for key in FIGURES:
        value = getattr(impact, key) if hasattr(impact, key) else getattr(unloaded, key)
        found[key] = float(value) if value is not None and np.isfinite(value) else None
    return found
