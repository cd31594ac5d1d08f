"""Bend point: where a shaft pressed between its two ends bows out farthest. It is not the kick point."""

from __future__ import annotations

from dataclasses import dataclass

from swingbeam.beam.column import bowed, first_buckling
from swingbeam.beam.errors import InputError
from swingbeam.bench.bench_test import BenchTest, Reading
from swingbeam.bench.specimen import Subject, specimen
from swingbeam.units import Angle, NonNegativeLength, show


@dataclass(frozen=True)
class BendPointSetup:
    """How the bend point is read; the defaults are common practice, no source.

    Attributes
    ----------
    butt_pivot, tip_pivot : float, m from the butt and tip ends to the pivots that press
    shortening : float, m by which the pivots come together; 0: the first bow, at which the place is read
    plane : rad about the shaft in which it is kept; None: it bows in its softer plane
    """

    butt_pivot: NonNegativeLength = 0.0
    tip_pivot: NonNegativeLength = 0.0
    shortening: NonNegativeLength = 0.0
    plane: Angle | None = None

    def __str__(self) -> str:
        ends = "both ends compressed"
        if self.butt_pivot or self.tip_pivot:
            ends += f" between pivots {show(self.butt_pivot, 'in')} from the butt and {show(self.tip_pivot, 'in')} from"
            ends += " the tip"
        if self.shortening == 0.0:
            return f"{ends}, first bow"
        return f"{ends}, {show(self.shortening, 'in')} together"


@dataclass(frozen=True)
class BendPoint:
    """A bend-point reading.

    Attributes
    ----------
    from_tip : float, m, along the shaft
    share_of_raw, share_of_free : float
        `from_tip` over the raw length; the distance to the tip-side pivot over the length between the pivots.
    bow : float, m, largest distance from the line between the pivots; nan for the first bow, which is any small one
    force : float, N between the pivots
    """

    from_tip: float
    share_of_raw: float
    share_of_free: float
    bow: float
    force: float


def read_bend_point(subject: Subject, setup: BendPointSetup | None = None) -> BendPoint:
    """Bend point of a shaft compressed between two pivots (of a built club: up to the hosel mouth).

    First bow: the buckling shape of a column of varying stiffness (`beam.column.first_buckling`). With a stated
    shortening: the elastica of that column (`beam.column.bowed`).

    Raises
    ------
    InputError
        Pivots that leave no length between them, or a shortening that no column bears.
    """
    use = BendPointSetup() if setup is None else setup
    on_bench = specimen(subject)
    end = on_bench.end - use.tip_pivot
    if min(use.butt_pivot, use.tip_pivot, use.shortening) < 0.0 or end - use.butt_pivot < 1e-3:
        raise InputError(f"bend point: {use} is not possible with {show(on_bench.end, 'in', 2)} of shaft")
    profile = on_bench.piece(use.butt_pivot, end)
    if use.shortening > 0.5 * profile.length:
        raise InputError(
            f"bend point: found a shortening of {show(use.shortening, 'in')}; allowed: up to half of the "
            f"{show(profile.length, 'in', 2)} between the pivots"
        )
    if use.shortening == 0.0:
        found = first_buckling(profile, use.plane)
    else:
        found = bowed(profile, use.shortening, use.plane)
    left = profile.length - found.place
    # A tip inside a hosel belongs to the raw length, not to what bows.
    from_tip = left + use.tip_pivot + on_bench.inserted
    return BendPoint(
        from_tip=from_tip,
        share_of_raw=from_tip / on_bench.raw_length,
        share_of_free=left / profile.length,
        bow=found.size,
        force=found.force,
    )


TEST = BenchTest(
    "bend_point",
    BendPointSetup,
    read_bend_point,
    (
        Reading(
            "bend_point_pct_from_tip",
            "share_of_raw",
            "%",
            "bend point\n% from tip",
            "bend point (both ends compressed) from the tip over the raw length",
            1,
            usual_error=0.5,
        ),
        Reading(
            "bend_point_pct_of_free_from_tip",
            "share_of_free",
            "%",
            "bend point\n% of free",
            "bend point (both ends compressed) from the tip-side pivot over the length between the pivots",
            1,
            usual_error=0.5,
        ),
        Reading(
            "bend_point_bow_mm",
            "bow",
            "mm",
            "bow\nmm",
            "largest distance from the line between the compressed ends",
            1,
            usual_error=1.0,
        ),
        Reading(
            "bend_point_force_n",
            "force",
            "N",
            "bow force\nN",
            "force between the ends",
            0,
            usual_error=5.0,
            detail=True,
        ),
    ),
)
