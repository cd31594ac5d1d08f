"""What all clubs of one golfer share while they are swung side by side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from swingbeam.delivery.batch_layout import SwingTable
from swingbeam.swing.reference import Reference

if TYPE_CHECKING:
    from swingbeam.beam.lanes import Stages


@dataclass(frozen=True, eq=False)
class Track:
    """A golfer at the solver's instants; made once (`many.track_of`), then kept with him.

    Attributes
    ----------
    reference : whose motion and couple it is
    stages : the golfer at the solver's instants
    inertia : (3, 3) kg·m² of hands and grip
    table : what figures are read against
    """

    reference: Reference
    stages: Stages
    inertia: NDArray[np.float64]
    table: SwingTable
