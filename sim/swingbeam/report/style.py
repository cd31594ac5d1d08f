"""What all pictures share: their look, colours that stay apart, labels that do not overlap, how they are written."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np

from swingbeam import __version__
from swingbeam.beam.errors import InputError
from swingbeam.files.safe_write import new_file

if TYPE_CHECKING:
    from matplotlib.figure import Figure

PICTURES = (".png", ".svg")
"""Endings of the pictures that can be written."""
INK = "#222222"
LINES = ("-", "--", ":", "-.")
STYLE: Any = {
    "font.size": 9,
    "axes.titlesize": 10,
    "axes.titleweight": "bold",
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "axes.grid": True,
    "grid.color": "#e4e4e4",
    "grid.linewidth": 0.6,
    "savefig.facecolor": "white",
    "svg.hashsalt": "swingbeam",
}


def colours_of(count: int) -> list[Any]:
    """Colours from dark to light that stay apart in grey and for colour-blind readers (cividis: Nuñez, Anderton &
    Renslow 2018, PLoS ONE 13:e0199239)."""
    # The light end of the map vanishes on white paper.
    return list(matplotlib.colormaps["cividis"](np.linspace(0.0, 0.78, max(count, 1))))


def picture_kind(path: str | os.PathLike[str]) -> str:
    """The ending of a picture's name, one of `PICTURES`.

    Raises
    ------
    InputError
        Another ending.
    """
    kind = Path(path).suffix.lower()
    if kind not in PICTURES:
        raise InputError(f'picture: found "{Path(path).name}"; allowed: a name that ends in {" or ".join(PICTURES)}')
    return kind


def write_picture(figure: Figure, path: str | os.PathLike[str]) -> Path:
    """Write a figure to a new PNG or SVG file, by the ending of its name; the same figure gives the same bytes.

    Raises
    ------
    InputError
        Another ending, a file that exists already or cannot be written; then nothing is written.
    """
    kind = picture_kind(path)
    made = f"swingbeam {__version__}"
    about: dict[str, str | None] = {"Software": made} if kind == ".png" else {"Creator": made, "Date": None}
    with new_file(path) as temporary, matplotlib.rc_context(STYLE):
        figure.savefig(temporary, format=kind[1:], dpi=150, metadata=about)
    return Path(path)


def spread_labels(values: np.ndarray, gap: float, low: float, high: float) -> np.ndarray:
    """Label heights near their values, at least `gap` apart, kept within low … high while they fit."""
    order = np.argsort(values, kind="stable")
    places = values[order].astype(float)
    for _ in range(200):
        moved = False
        for k in range(places.size - 1):
            overlap = gap - (places[k + 1] - places[k])
            if overlap > 1e-9 * gap:
                places[k] -= 0.5 * overlap
                places[k + 1] += 0.5 * overlap
                moved = True
        if not moved:
            break
    if places.size * gap <= high - low:
        places += max(low - places[0], 0.0) - max(places[-1] - high, 0.0)
    out = np.empty_like(places)
    out[order] = places
    return out
