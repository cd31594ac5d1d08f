"""A recording for people: what it delivers, how sure that is, what was found in it and mended."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any

from rich.console import Console

from swingbeam.study.quantities import Quantity, shown
from swingbeam.study.record import RecordResult, cutoff_words
from swingbeam.study.record_figures import FIGURES

from .caution import CAUTION

if TYPE_CHECKING:
    from swingbeam.study.record_fit import FittedArchetype

_UNITS = {"degree": "°", "degree s-1": "°/s", "m s-1": "m/s"}
AS_RECORDED = (
    "The club held delivers what was recorded: nothing was aimed. ± holds 95 % of recordings like this one: noise of "
    "the frames, what smoothing takes away and a start in motion, not how the club was calibrated."
)
_DEGREE = math.pi / 180.0


def print_recording(result: RecordResult, console: Console, fitted: FittedArchetype | None = None) -> None:
    """Print figures with their bounds, how they move with the cut-off, and what was found."""
    record = result.recording.record
    poses = result.recording.poses
    console.print(f"{record.name}, recorded; club held: {result.club.label}", style="bold")
    console.print(
        f"{poses.t.size} usable frames, {1.0 / poses.spacing:.4g} a second; impact at {result.impact:.4f} s of the "
        f"data; downswing {-result.top:.3f} s; swing plane {result.plane / _DEGREE:.1f}° above the ground"
    )
    console.print(f"cut-off: {cutoff_words(result.cutoff)}{_chosen(result)}")
    console.print(_noise_words(result))
    console.print()
    heads = ("value", "±", "halved", "doubled")
    console.print(f"{'At impact, and unloading':<46}" + "".join(f"{h:>11}" for h in heads), style="bold")
    for key, quantity in FIGURES.items():
        console.print(_line(quantity, key, result))
    capped = result.doubled_cutoff.position < 1.99 * result.cutoff.position
    limit = f" (or {result.doubled_cutoff.position:.3g} Hz, the most at this frame rate)" if capped else ""
    console.print(f"halved, doubled: how a figure moves when both cut-offs are halved or doubled{limit}", style="dim")
    console.print()
    for note in result.notes:
        console.print(f"Note: {note}")
    if fitted is not None:
        console.print()
        for line in fitted.words:
            console.print(line)
    console.print()
    if record.delivery is None:
        console.print(AS_RECORDED, style="dim")
    console.print(CAUTION, style="dim")


def _chosen(result: RecordResult) -> str:
    if result.choice is None:
        return " (as stated)"
    least = result.choice.least_error
    return (
        f" (chosen: the lowest within a standard error of the least leave-one-out error, which is at "
        f"{least.position:.1f} and {least.rotation:.1f} Hz)"
    )


def _noise_words(result: RecordResult) -> str:
    noise = result.noise
    words = f"noise of a frame: {1e3 * noise.position:.2g} mm, {noise.rotation / _DEGREE:.2g}°"
    if result.recording.misfit is not None:
        words += f"; markers miss their template by {1e3 * result.recording.misfit:.2g} mm (root mean square)"
    return words


def _line(q: Quantity, key: str, result: RecordResult) -> str:
    value = result.figures[key]
    cells = [shown(q, None if value is None else q.scale * value)]
    bound = result.bounds[key]
    cells.append("—" if bound is None else f"{q.scale * bound:.{max(q.decimals, 1)}f}")
    for other in (result.halved[key], result.doubled[key]):
        moved = None if other is None or value is None else q.scale * (other - value)
        cells.append(shown(q, moved, sign=True))
    return f"  {q.long_name:<44}" + "".join(f"{c:>11}" for c in cells) + f" {_UNITS.get(q.unit, q.unit)}"


def bound_words(result: RecordResult) -> tuple[str, ...]:
    """Figures with their bounds, a line each, for the swing's file."""
    lines = []
    for key, q in FIGURES.items():
        value, bound = result.figures[key], result.bounds[key]
        if value is None:
            continue
        size = "" if bound is None else f" ± {q.scale * bound:.{q.decimals}f}"
        lines.append(f"{q.long_name}: {q.scale * value:.{q.decimals}f}{size} {_UNITS.get(q.unit, q.unit)}")
    return tuple(lines)


def recording_json(result: RecordResult, fitted: FittedArchetype | None = None) -> str:
    """The same as one JSON object; keys carry their units."""
    record = result.recording.record

    def scaled(values: Any) -> dict[str, float | None]:
        return {q.key: None if values[key] is None else q.scale * values[key] for key, q in FIGURES.items()}

    content: dict[str, Any] = {
        "recording": record.name,
        "data": result.recording.data,
        "sha256": result.recording.digest,
        "club": result.club.label,
        "frames": int(result.recording.poses.t.size),
        "frame_rate_hz": 1.0 / result.recording.poses.spacing,
        "impact_s": result.impact,
        "downswing_s": -result.top,
        "plane_deg": result.plane / _DEGREE,
        "cutoff_position_hz": result.cutoff.position,
        "cutoff_rotation_hz": result.cutoff.rotation,
        "cutoff_chosen": result.choice is not None,
        "noise_position_mm": 1e3 * result.noise.position,
        "noise_rotation_deg": result.noise.rotation / _DEGREE,
        "marker_misfit_mm": None if result.recording.misfit is None else 1e3 * result.recording.misfit,
        "aimed": record.delivery is not None,
        "figures": scaled(result.figures),
        "bounds_95": scaled(result.bounds),
        "cutoff_halved": scaled(result.halved),
        "cutoff_doubled": scaled(result.doubled),
        "notes": list(result.notes),
    }
    if fitted is not None:
        content["fitted"] = {"archetype": fitted.start, "lines": list(fitted.words)}
    return json.dumps(content, indent=2, ensure_ascii=False)
