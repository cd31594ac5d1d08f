"""Changes of a shaft or a head that no single number of a file states: scales and tilts, one entry each.

A new one is an entry of `SHAFT` or `HEAD`: its key, what it is in words, and a function of the thing and the value.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

import numpy as np

from swingbeam.beam.errors import InputError
from swingbeam.club.head import Head
from swingbeam.shaft.shaft import Shaft, scale

T = TypeVar("T")


@dataclass(frozen=True)
class Scale(Generic[T]):
    """A change by a plain number.

    Attributes
    ----------
    key : as [vary] writes it
    words : what the number is
    apply : the thing and the number to the changed thing
    least, most : the number's bounds
    none : the number that changes nothing
    """

    key: str
    words: str
    apply: Callable[[T, float], T]
    least: float = 0.05
    most: float = 20.0
    none: float = 1.0

    def __call__(self, thing: T, number: float) -> T:
        """The changed thing, itself where nothing changes; InputError out of bounds."""
        if not self.least <= number <= self.most:
            raise InputError(f'"{self.key}": found {number:g}; allowed: {self.least:g} to {self.most:g}')
        return thing if number == self.none else self.apply(thing, number)


def tilt_ei(shaft: Shaft, tilt: float) -> Shaft:
    """EI(s) · exp(tilt · (s/L − ½)): the logarithm of EI turned about the middle of the raw length L.

    The tip's EI is multiplied by exp(tilt/2), the butt's divided by it, the middle's stays: a positive tilt softens the
    butt and stiffens the tip, which moves the kick point toward the butt, and a negative one moves it toward the tip.
    Mass, GJ and diameters stay. The bench frequency moves too: a stiffer butt raises it most.
    """
    return replace(shaft, ei=shaft.ei * np.exp(tilt * (shaft.s / shaft.raw_length - 0.5)))


def scale_head_mass(head: Head, factor: float) -> Head:
    """Mass and inertia multiplied, the centre of gravity stays: the same head of denser stuff."""
    return replace(head, mass=head.mass * factor, inertia=head.inertia * factor)


def scale_damping(shaft: Shaft, factor: float) -> Shaft:
    """Both damping ratios multiplied."""
    return replace(shaft, bend_damping=shaft.bend_damping * factor, twist_damping=shaft.twist_damping * factor)


SHAFT: tuple[Scale[Shaft], ...] = (
    Scale("shaft.ei scale", "bending stiffness over its own, everywhere alike", lambda a, x: scale(a, ei=x)),
    Scale("shaft.ei tilt", "log of EI turned about the middle: tip stiffer, butt softer +", tilt_ei, -3.0, 3.0, 0.0),
    Scale("shaft.gj scale", "torsional stiffness over its own, everywhere alike", lambda a, x: scale(a, gj=x)),
    Scale("shaft.damping scale", "damping ratios over their own", scale_damping),
)
HEAD: tuple[Scale[Head], ...] = (
    Scale("head.mass scale", "mass and inertia of the head over their own", scale_head_mass),
)

TEMPO_SCALE, SHAFT_MASS_SCALE = "swing.tempo scale", "shaft.mass scale"
"""Scales that mean nothing unless it is said what is held."""
SHAFT_BY_KEY = {one.key: one for one in SHAFT}
HEAD_BY_KEY = {one.key: one for one in HEAD}
