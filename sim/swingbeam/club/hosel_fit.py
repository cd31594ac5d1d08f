"""Does a cut tip still go into the hosel, and is what goes in still parallel?"""

from __future__ import annotations

import numpy as np

from swingbeam.beam.errors import InputError
from swingbeam.club.head import Head
from swingbeam.shaft.shaft import Shaft, outer_diameter
from swingbeam.units import show

GLUE_GAP = 0.35e-3
"""m by which a bore may be wider than the tip before it needs packing; common practice, no source."""
FORCE = 0.02e-3
"""m by which a tip may be measured thicker than the bore and still go in; common practice, no source."""


def refuse_thick_tip(shaft: Shaft, head: Head, tip_trim: float, insertion: float) -> None:
    """A cut tip must go into the bore over the whole inserted length.

    Parameters
    ----------
    shaft : raw, uncut
    tip_trim, insertion : m

    Raises
    ------
    InputError
        It is thicker than the bore. A head that states no bore refuses none; of an uncut tip only the end counts, as
        a hosel for taper tips is tapered too.
    """
    if head.bore is None:
        return
    end = shaft.raw_length - tip_trim
    places = end if tip_trim == 0.0 else np.array([end - insertion, end])
    thickest = float(np.max(outer_diameter(shaft, places)))
    if thickest > head.bore + FORCE:
        raise InputError(
            f"tip trim: found a tip of {show(thickest, 'mm', 2)} where it goes into the hosel; allowed: up to the bore "
            f'of "{head.name}", {show(head.bore, "mm", 2)}'
        )


def fit_warnings(shaft: Shaft, head: Head | None, tip_trim: float) -> tuple[str, ...]:
    """What a fitter should know about a tip trim that is not refused: past the parallel section, loose in the bore."""
    found = []
    end = shaft.raw_length - tip_trim
    tip = float(outer_diameter(shaft, end))
    if tip_trim > 0.0 and shaft.parallel_tip == 0.0:
        found.append(
            f"a taper tip is cut: the tip is {show(tip, 'mm', 2)} thick instead of {show(shaft.tip_diameter, 'mm', 2)}"
            ", and a hosel for the uncut one does not take it"
        )
    elif tip_trim > shaft.parallel_tip + 1e-6:
        found.append(
            f"past the parallel section: {show(tip_trim, 'in', 2)} is cut where {show(shaft.parallel_tip, 'in', 2)} "
            f"are parallel; the tip is {show(tip, 'mm', 2)} thick instead of {show(shaft.tip_diameter, 'mm', 2)}"
        )
    if head is not None and head.bore is not None and tip < head.bore - GLUE_GAP:
        found.append(
            f"loose: a tip of {show(tip, 'mm', 2)} in a bore of {show(head.bore, 'mm', 2)} needs packing to be straight"
        )
    return tuple(found)
