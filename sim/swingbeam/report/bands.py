"""The bands of the changes, for a golfer whose swing is known within a spread: in words, as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from swingbeam.study.bands import BANDED
from swingbeam.study.quantities import Quantity, shown
from swingbeam.study.result import Band, Bands

SHOWN = (
    "half_ms", "face_angle_deg", "dynamic_loft_deg", "head_speed_mps", "attack_deg", "path_deg", "lead_mm",
    "droop_mm", "closure_dps", "ball_speed_mps", "launch_angle_deg", "back_spin_rpm", "carry_m", "side_m",
)  # fmt: skip
"""In tables; JSON and HDF5 hold all."""


def shown_quantities() -> list[Quantity]:
    """Figures whose bands tables show."""
    by_key = {q.key: q for _, q in BANDED}
    return [by_key[key] for key in SHOWN]


def band_cell(quantity: Quantity, band: Band | None) -> str:
    """A band as a table shows it: median, then its ends."""
    if band is None:
        return "–"
    low, median, high = (shown(quantity, quantity.scale * v, sign=True) for v in (band.low, band.median, band.high))
    return f"{median} ({low} … {high})"


def band_cells(quantity: Quantity, bands: Bands, clubs: Sequence[str]) -> list[str]:
    """A band a club."""
    return [band_cell(quantity, bands.clubs.get(club, {}).get(quantity.key)) for club in clubs]


def band_words(bands: Bands) -> str:
    """How the bands were made."""
    left = f"; {bands.left_out} more could not be made" if bands.left_out else ""
    return (
        f"Median and 90 % band over {bands.draws} swings drawn from the spread of the golfer's swing{left}. The "
        "band is what is not known of the swing; it holds for the mean of many shots, not for each."
    )


def bands_object(bands: Bands) -> dict[str, Any]:
    """The bands as plain dicts: club → figure → low, median, high, units as in the keys."""
    by_key = {q.key: q for _, q in BANDED}
    clubs = {
        club: {
            key: {side: by_key[key].scale * getattr(band, side) for side in ("low", "median", "high")}
            | {"draws": band.draws}
            for key, band in figures.items()
        }
        for club, figures in bands.clubs.items()
    }
    return {"draws": bands.draws, "left_out": bands.left_out, "clubs": clubs}
