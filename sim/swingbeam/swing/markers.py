"""From markers to the pose of the grip: a rigid template laid over the markers of each frame by least squares.

The rotation by the singular value decomposition of the cross-dispersion matrix (Kabsch 1976, Acta Cryst.
A32:922; Söderkvist & Wedin 1993, J. Biomechanics 26:1473), the translation by the centres.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..beam.errors import InputError

Array = NDArray[np.float64]

LEAST_SPREAD = 5e-3
"""m; second singular value per marker below which markers count as lying in one line."""
SCALE_ALLOWED = 0.03
"""How far the measured distances may differ from the template's, as a share."""
MISFIT_ALLOWED = 5e-3
"""m, root mean square, between template and markers over the recording."""
SWAP_FACTOR, SWAP_LEAST = 5.0, 3e-3
"""A frame that fits so many times worse than the usual one, and worse than this (m), is left out."""


@dataclass(frozen=True, eq=False)
class MarkerFit:
    """The grip's pose at n frames; NaN where too few markers were seen."""

    position: Array
    """(n, 3) m, of the template's origin"""
    rotation: Array
    """(n, 3, 3) template → data"""
    misfit: Array
    """(n,) m, root mean square over the frame's markers"""
    notes: tuple[str, ...]


def fit_template(template: Array, markers: Array, names: tuple[str, ...]) -> MarkerFit:
    """Poses of a template (k, 3) m in markers (n, k, 3) m, NaN where a marker was not seen.

    Raises
    ------
    InputError
        A template in one line, markers of another scale, mirrored, or that do not fit.
    """
    _check_template(template, names)
    n = markers.shape[0]
    seen = np.all(np.isfinite(markers), axis=2)
    position, rotation = np.full((n, 3), np.nan), np.full((n, 3, 3), np.nan)
    misfit, scale, mirrored = np.full(n, np.nan), np.full(n, np.nan), np.zeros(n, dtype=bool)
    by_marker = np.full((n, len(names)), np.nan)
    for pattern in np.unique(seen, axis=0):
        frames = np.flatnonzero(np.all(seen == pattern, axis=1))
        use = np.flatnonzero(pattern)
        if use.size < 3 or _spread(template[use])[1] < LEAST_SPREAD:
            continue
        p, r, s, m = _fit(template[use], markers[np.ix_(frames, use)])
        position[frames], rotation[frames], scale[frames], mirrored[frames] = p, r, s, m
        left = markers[np.ix_(frames, use)] - p[:, None] - np.einsum("nij,kj->nki", r, template[use])
        distance = np.linalg.norm(left, axis=2)
        by_marker[np.ix_(frames, use)] = distance
        misfit[frames] = np.sqrt(np.mean(distance**2, axis=1))
    known = np.isfinite(misfit)
    if not np.any(known):
        raise InputError("markers: no frame shows three of them that are not in one line")
    _check_scale(float(np.nanmedian(scale)))
    if _spread(template)[2] >= LEAST_SPREAD and np.mean(mirrored[known]) > 0.5:
        raise InputError(
            "markers: they form the mirror image of the template; check axes.handedness, and that template positions "
            "are x down the shaft, y to the face side, z = x × y"
        )
    notes = _leave_out(position, rotation, misfit, seen)
    usual = float(np.sqrt(np.nanmean(misfit**2)))
    if usual > MISFIT_ALLOWED:
        worst = int(np.nanargmax(np.nanmean(np.where(np.isfinite(by_marker), by_marker, 0.0), axis=0)))
        raise InputError(
            f"markers: they miss the template by {1e3 * usual:.1f} mm (root mean square), {names[worst]} most; "
            f"allowed: up to {1e3 * MISFIT_ALLOWED:.0f} mm: check positions, names and their order"
        )
    return MarkerFit(position, rotation, misfit, tuple(notes))


def _leave_out(position: Array, rotation: Array, misfit: Array, seen: NDArray[np.bool_]) -> list[str]:
    """Drop frames whose markers do not fit, in place; say so."""
    notes = []
    partly = int(np.sum(np.isfinite(misfit) & ~np.all(seen, axis=1)))
    if partly:
        notes.append(f"{partly} frames lack markers but show enough of them")
    usual = float(np.nanmedian(misfit))
    bad = np.flatnonzero(misfit > max(SWAP_FACTOR * usual, SWAP_LEAST))
    if bad.size and bad.size < 0.2 * misfit.size:
        position[bad], rotation[bad], misfit[bad] = np.nan, np.nan, np.nan
        shown = ", ".join(str(i + 1) for i in bad[:5]) + (", …" if bad.size > 5 else "")
        notes.append(f"left out {bad.size} frames whose markers do not fit the template (frame {shown})")
    return notes


def _spread(points: Array) -> Array:
    """(3,) m: singular values of centred points, per marker."""
    return np.asarray(np.linalg.svd(points - points.mean(axis=0), compute_uv=False) / np.sqrt(len(points)))


def _check_template(template: Array, names: tuple[str, ...]) -> None:
    if len(names) < 3 or _spread(template)[1] < LEAST_SPREAD:
        raise InputError(
            f"markers: the template's {len(names)} positions lie in one line or nearly so; allowed: three or more "
            f"that stand at least some {1e3 * LEAST_SPREAD:.0f} mm off a line"
        )


def _fit(template: Array, markers: Array) -> tuple[Array, Array, Array, NDArray[np.bool_]]:
    """Positions (f, 3), rotations (f, 3, 3), scales (f,) and whether a mirror image would fit better (f,)."""
    centre = template.mean(axis=0)
    middle = markers.mean(axis=1)
    own, theirs = template - centre, markers - middle[:, None]
    dispersion = np.einsum("nki,kj->nij", theirs, own)
    u, _, vt = np.linalg.svd(dispersion)
    sign = np.where(np.linalg.det(u @ vt) < 0.0, -1.0, 1.0)
    flip = np.tile(np.eye(3), (len(markers), 1, 1))
    flip[:, 2, 2] = sign
    rotation = u @ flip @ vt
    scale = np.sqrt(np.sum(theirs**2, axis=(1, 2)) / np.sum(own**2))
    return middle - rotation @ centre, rotation, scale, sign < 0.0


def _check_scale(scale: float) -> None:
    if abs(scale - 1.0) <= SCALE_ALLOWED:
        return
    raise InputError(
        f"markers: they stand {scale:.4g} times as far apart as the template's; allowed: within "
        f"{100 * SCALE_ALLOWED:.0f} % (millimetres read as metres give 1000: check the unit of the data and of the "
        "positions)"
    )
