"""What an inversion looks for: log EI, log GJ/EI and log mass along the shaft, and what is known of them beforehand."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.shaft.shaft import Shaft
from swingbeam.units import show

Array = NDArray[np.float64]

SPACING = 0.045
"""m between stations of the profile looked for, at most: finer than any test of the bench can tell apart."""
SAME_STEP = 1e-3
"""m; declared steps closer than this to each other or to an end cannot be told apart."""
ROUNDOFF = 1e-10
"""Added to the prior variances, so that what is certain beforehand stays within arithmetic."""


@dataclass(frozen=True)
class KnownFacts:
    """What is known of a shaft before a reading is looked at; SI.

    Attributes
    ----------
    name, maker, letter, material, note : str, labels
    kind : "driver" or "iron"
    raw_length, butt_diameter, tip_diameter, parallel_tip : float, m
    steps : m from the butt, rising: where EI, GJ and mass may jump
    constant : values hold from step to step (a stepped metal tube); else they taper between steps
    poisson : Poisson's ratio of an isotropic tube, so that GJ = EI/(1 + ν); None: GJ is looked for
    bend_damping, twist_damping : carried into the shaft, not looked for
    """

    name: str
    kind: str
    raw_length: float
    butt_diameter: float
    tip_diameter: float
    parallel_tip: float
    maker: str = ""
    letter: str = ""
    material: str = ""
    note: str = ""
    steps: tuple[float, ...] = ()
    constant: bool = False
    poisson: float | None = None
    bend_damping: float = 0.01
    twist_damping: float = 0.01


@dataclass(frozen=True)
class Habit:
    """What is expected of the log of a property before any reading: a straight line, a bow, a jump at each step.

    Attributes
    ----------
    level : the log at mid-shaft on the line
    level_sd : its standard deviation
    fall : log at the butt less log at the tip on the line
    fall_sd : its standard deviation
    bow : standard deviation of the mean curvature of the log over the shaft (1/length²): the scale of an
        integrated Wiener process
    jump : standard deviation of the jump of the log at a declared step
    """

    level: float
    level_sd: float
    fall: float
    fall_sd: float
    bow: float
    jump: float


EI_HABIT = Habit(level=math.log(42.0), level_sd=0.5, fall=math.log(3.0), fall_sd=0.5, bow=1.3, jump=0.15)
"""EI (N·m²). Level 16 to 112 and a fall from butt to tip by 1.1 to 8 (95 %): wide of what shafts have, from memory.
Bow, two parts: a tube of one wall whose diameter falls straight from 15.2 to 8.5 mm has EI ~ d³, and the curvature of
its log is 3 (d₁ − d₂)²/(d₁ d₂) = 1.0; plies laid over the tip third only that add 15 % there, tapering, put the log
0.10 off the chord at the end of that third, where a bow of 0.8 has that standard deviation (√(x²(1 − x)²/3), x = 2/3);
√(1.0² + 0.8²) = 1.3. Jump: a step of 0.5 mm in a 12 mm tube of one wall is 3·0.5/12 = 13 % of EI."""
RATIO_HABIT = Habit(level=math.log(0.45), level_sd=0.45, fall=0.0, fall_sd=0.3, bow=0.8, jump=0.1)
"""GJ/EI. 0.18 to 1.1 (95 %): lengthwise carbon plies alone give about 0.1, metals 1/(1 + ν) = 0.77, plies mostly on the
bias more than 1 (2 G12/E1, and E, G of a ±45° laminate: Tsai & Hahn's carbon/epoxy, from memory). The diameter is
common to both stiffnesses: what is left of EI's bow is the plies', 0.8; fall and jump, likewise, half of EI's or so."""
MASS_HABIT = Habit(level=math.log(0.070), level_sd=0.35, fall=0.0, fall_sd=0.3, bow=0.8, jump=0.08)
"""Mass per length (kg/m). 35 to 140 g/m (95 %), from memory. The plies' bow of 0.8; that of the diameter is a third of
EI's and adds next to nothing. Jump: diameter and wall each may change by half a millimetre in twelve, or 4 %."""
LIKE_FALL, LIKE_BOW = 0.25, 0.4
"""Fall and bow of the logs' departure from a named shaft's: about half of those above, from memory: shafts of
one family differ in level first."""


@dataclass(frozen=True, eq=False)
class Unknowns:
    """The unknowns of an inversion, their prior, and the shaft they stand for.

    The vector of unknowns is (log EI, log GJ/EI, log mass) at `count` places each; without the middle part when
    Poisson's ratio is given.

    Attributes
    ----------
    facts : what is known
    s : (n,) m from the butt: stations, two at a step
    spread : (n, count) unknowns of one property → its log at the stations
    mean : (p,) prior mean of all unknowns
    line, bow : (p, p) prior covariance of line and jumps, and of the bow at its usual scale
    """

    facts: KnownFacts
    s: Array
    spread: Array
    mean: Array
    line: Array
    bow: Array

    @property
    def count(self) -> int:
        return self.spread.shape[1]

    @property
    def has_ratio(self) -> bool:
        return self.facts.poisson is None

    def covariance(self, roughness: float) -> Array:
        """(p, p) prior covariance with the bow's scale multiplied by `roughness`."""
        return np.asarray(self.line + roughness**2 * self.bow + ROUNDOFF * np.eye(self.mean.size))

    def logs_matrix(self) -> Array:
        """(3 n, p): unknowns → logs of EI, GJ and mass at the stations, but for `logs_constant`."""
        zero = np.zeros_like(self.spread)
        if self.has_ratio:
            rows = [[self.spread, zero, zero], [self.spread, self.spread, zero], [zero, zero, self.spread]]
        else:
            rows = [[self.spread, zero], [self.spread, zero], [zero, self.spread]]
        return np.block(rows)

    def logs(self, unknowns: Array) -> Array:
        """(3, n) logs of EI, GJ and mass at the stations."""
        logs = (self.logs_matrix() @ unknowns).reshape(3, -1)
        if self.facts.poisson is not None:
            logs[1] -= math.log1p(self.facts.poisson)
        return logs

    def shaft(self, unknowns: Array) -> Shaft:
        """The shaft that a vector of unknowns stands for."""
        ei, gj, mass = np.exp(self.logs(unknowns))
        return shaft_of(self.facts, self.s, ei, gj, mass)


def shaft_of(facts: KnownFacts, s: Array, ei: Array, gj: Array, mass: Array) -> Shaft:
    """A shaft with the known facts and these values at stations `s` (m from the butt)."""
    knots = [0.0, facts.raw_length - facts.parallel_tip, facts.raw_length]
    return Shaft(
        name=facts.name,
        maker=facts.maker,
        letter=facts.letter,
        material=facts.material,
        kind=facts.kind,
        raw_length=facts.raw_length,
        butt_diameter=facts.butt_diameter,
        tip_diameter=facts.tip_diameter,
        parallel_tip=facts.parallel_tip,
        mass=float(np.sum(0.5 * (mass[1:] + mass[:-1]) * np.diff(s))),
        s=s,
        ei=ei,
        gj=gj,
        mass_per_length=mass,
        diameter=np.interp(s, knots, [facts.butt_diameter, facts.tip_diameter, facts.tip_diameter]),
        bend_damping=facts.bend_damping,
        twist_damping=facts.twist_damping,
        note=facts.note,
    )


def unknowns_of(facts: KnownFacts, *, like: Shaft | None = None, spacing: float = SPACING) -> Unknowns:
    """The unknowns for a shaft of which `facts` are known; `like` lends the shape it is expected to have.

    Raises
    ------
    InputError
        Steps that do not lie on the shaft or not apart; "constant" without a step.
    """
    edges = _edges(facts)
    s, piece = _stations(edges, facts.constant, spacing)
    if facts.constant:
        places = 0.5 * (edges[:-1] + edges[1:])
        order = np.arange(places.size)
        spread = (piece[:, None] == order).astype(float)
    else:
        places, order, spread = s, piece, np.eye(s.size)
    x = places / facts.raw_length
    habits = [EI_HABIT, RATIO_HABIT, MASS_HABIT] if facts.poisson is None else [EI_HABIT, MASS_HABIT]
    means = [h.level + h.fall * (0.5 - x) for h in habits]
    if like is not None:
        means = _means_like(like, x, facts)
        habits = [
            Habit(h.level, h.level_sd, h.fall, min(h.fall_sd, LIKE_FALL), min(h.bow, LIKE_BOW), h.jump) for h in habits
        ]
    jumps = _jumps(x, order, edges[1:-1] / facts.raw_length)
    lines = [_line(h, x) + h.jump**2 * jumps for h in habits]
    bows = [h.bow**2 * bow_covariance(x) for h in habits]
    return Unknowns(facts, s, spread, np.concatenate(means), _blocks(lines), _blocks(bows))


def _edges(facts: KnownFacts) -> Array:
    steps = np.array(facts.steps, dtype=float)
    edges = np.concatenate([[0.0], steps, [facts.raw_length]])
    if np.any(np.diff(edges) < SAME_STEP):
        raise InputError(
            f"steps: found {', '.join(show(step, 'in') for step in facts.steps)} from the butt; allowed: distances "
            f"apart from each other and inside the raw length, {show(facts.raw_length, 'in', 2)}"
        )
    if facts.constant and not facts.steps:
        raise InputError('between_steps: found "constant" without steps; allowed: steps = [ ... ], or "taper"')
    return edges


def _stations(edges: Array, constant: bool, spacing: float) -> tuple[Array, NDArray[np.int_]]:
    places, piece = [], []
    for number, (a, b) in enumerate(pairwise(edges)):
        count = 1 if constant else max(1, math.ceil((b - a) / spacing))
        places.append(np.linspace(a, b, count + 1))
        piece.append(np.full(count + 1, number))
    return np.concatenate(places), np.concatenate(piece)


def _means_like(like: Shaft, x: Array, facts: KnownFacts) -> list[Array]:
    """Logs of another shaft's profile at the same shares of the raw length."""
    at = x * like.raw_length
    ei, gj, mass = (np.log(np.interp(at, like.s, v)) for v in (like.ei, like.gj, like.mass_per_length))
    return [ei, gj - ei, mass] if facts.poisson is None else [ei, mass]


def _line(habit: Habit, x: Array) -> Array:
    along = 0.5 - x
    return habit.level_sd**2 + habit.fall_sd**2 * np.outer(along, along)


def _jumps(x: Array, order: NDArray[np.int_], steps: Array) -> Array:
    """Covariance of unit jumps at the steps, less the straight line between the ends they make."""
    if steps.size == 0:
        return np.zeros((x.size, x.size))
    past = (order[:, None] > np.arange(steps.size)).astype(float) - x[:, None]
    return np.asarray(past @ past.T)


def bow_covariance(x: Array) -> Array:
    """Covariance of an integrated Wiener process of unit scale on 0 … 1, less the chord between its ends.

    That process is the prior to which the penalty on second differences belongs (Wahba 1978, J. R. Statist. Soc. B
    40:364): E f(x) f(y) = x² (3 y − x)/6 for x ≤ y. At mid-shaft the variance off the chord is 1/48.
    """
    a, b = np.minimum.outer(x, x), np.maximum.outer(x, x)
    process = a**2 * (3.0 * b - a) / 6.0
    to_end = x**2 * (3.0 - x) / 6.0
    return np.asarray(process - np.outer(x, to_end) - np.outer(to_end, x) + np.outer(x, x) / 3.0)


def _blocks(parts: list[Array]) -> Array:
    size = sum(part.shape[0] for part in parts)
    out = np.zeros((size, size))
    at = 0
    for part in parts:
        out[at : at + part.shape[0], at : at + part.shape[0]] = part
        at += part.shape[0]
    return out
