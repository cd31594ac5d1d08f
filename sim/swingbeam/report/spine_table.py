"""Face and loft against how the spine is set, as tables and JSON."""

from __future__ import annotations

import json

import numpy as np
from numpy.typing import NDArray
from rich.console import Console

from swingbeam.study.spine import SpineSwings

from .caution import CAUTION
from .columns import Column
from .columns import section as print_columns

Array = NDArray[np.float64]


def print_spines(found: SpineSwings, console: Console) -> None:
    """Print, for each shaft, what every setting of its spine changes against the same shaft without one."""
    console.print(f"Spine set in the head, swung by {found.golfer}", style="bold")
    for row in found.rows:
        angle = Column("stiff side\n°", [f"{a:.1f}" for a in np.degrees(row.angle)])
        face = Column("face\n° (open +)", [_shown(v) for v in np.degrees(row.face)])
        loft = Column("loft\n°", [_shown(v) for v in np.degrees(row.loft)])
        print_columns(console, f"{row.shaft}, spine {100.0 * row.difference:.1f} % of EI", [angle], [face, loft])
        console.print(
            f"without a spine: face {np.degrees(row.face_without):+.2f}°, loft {np.degrees(row.loft_without):.2f}°; "
            f"largest less smallest: face {_spread(row.face):.3f}°, loft {_spread(row.loft):.3f}°".replace("-", "−")
        )
    console.print()
    console.print(
        "Stiff side: angle of the stiff plane about the shaft, from the target side toward the toe. Face and loft: "
        "change against the same shaft without a spine, before the golfer adapts.",
        style="dim",
    )
    console.print(CAUTION, style="dim")


def _spread(values: Array) -> float:
    """Largest less smallest, degrees."""
    return float(np.degrees(np.nanmax(values) - np.nanmin(values)))


def _shown(value: float) -> str:
    return "–" if not np.isfinite(value) else f"{value:+.3f}".replace("-", "−")


def spine_json(found: SpineSwings) -> str:
    """The same as JSON text; no NaN or infinity can be in it."""

    def degrees(values: Array) -> list[float | None]:
        return [float(v) if np.isfinite(v) else None for v in np.degrees(values)]

    shown = {
        "golfer": found.golfer,
        "shafts": [
            {
                "shaft": row.shaft,
                "spine_pct": 100.0 * row.difference,
                "stiff_side_deg": degrees(row.angle),
                "face_angle_change_deg": degrees(row.face),
                "dynamic_loft_change_deg": degrees(row.loft),
                "face_angle_without_deg": float(np.degrees(row.face_without)),
                "dynamic_loft_without_deg": float(np.degrees(row.loft_without)),
            }
            for row in found.rows
        ],
    }
    return json.dumps(shown, ensure_ascii=False, allow_nan=False, indent=2)
