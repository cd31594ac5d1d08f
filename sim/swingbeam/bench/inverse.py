"""Tests run backwards: readings of any mix of tests → the profile that explains them, and how sure it is.

The unknowns are log EI, log GJ/EI and log mass at stations 45 mm apart or closer, so that every property is positive.
Sought is the minimum of

    Σ ((reading − test(shaft))/error)² + (θ − θ₀)ᵀ K⁻¹ (θ − θ₀),

where test(shaft) is the bench's own test and K a prior covariance: a straight line of the log with wide limits, a bow
off it (an integrated Wiener process, to which the penalty on second differences belongs: Wahba 1978, J. R. Statist.
Soc. B 40:364) and jumps at declared steps. Seen as statistics it is the largest posterior density of a Gaussian
process, and the inverse of its Hessian the posterior covariance (Tarantola, Inverse Problem Theory, SIAM 2005, ch. 3).

The weight of the bow is chosen by the discrepancy principle (Morozov 1966; Hansen, Rank-Deficient and Discrete
Ill-Posed Problems, SIAM 1998, ch. 7): the smoothest profile whose weighted squared residuals are no more than their
number, as the stated errors would leave them. It never gets smoother than common practice (`Habit`) though: a profile
smoother than shafts are would be surer of itself than anyone can be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve

from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.bench.measured import Measured, Wanted, predict
from swingbeam.bench.sensitivity import Linear, depends_on, linearise
from swingbeam.bench.unknowns import KnownFacts, Unknowns, unknowns_of
from swingbeam.shaft.shaft import Shaft

Array = NDArray[np.float64]

ROUGHEST = 4.0
"""Times the usual bow that the discrepancy principle may go: beyond it no lay-up is known, from memory."""
ROUGHNESSES = (1.0, 1.4, 2.0, 2.8, ROUGHEST)
CONTRADICTORY = 4.0
"""Standardised residual beyond which a reading contradicts the others: one in 16,000 by chance."""
BAND = 1.959964
"""Standard deviations of a 95 % band (normal distribution)."""
SMALL_STEP, STUCK = 0.02, 0.5
"""Length of a step, in posterior standard deviations, at which the search has arrived; beyond which an answer that no
step improves is none."""
NEAR = 0.05
"""Change of every log over which derivatives need not be taken anew: relative derivatives are a shape along the shaft
that moves by a part of that, and a gradient that is off by a few hundredths moves the answer by as little."""
MOST_TURNS = 10


@dataclass(frozen=True)
class Residual:
    """What became of one reading.

    Attributes
    ----------
    measured : the reading
    fitted : SI, what the profile found would read
    standardised : (reading − fitted) over the standard deviation that difference has: a reading's part in the fit is
        taken out (Baarda 1968, A Testing Procedure for Use in Geodetic Networks: w-test)
    by_others, by_others_sd : SI: the reading the other readings foretell, and its standard deviation
    """

    measured: Measured
    fitted: float
    standardised: float
    by_others: float
    by_others_sd: float


@dataclass(frozen=True)
class Foretold:
    """A reading that was not taken; SI. The error of taking it is not counted.

    Attributes
    ----------
    wanted : which
    value, sd : what it would be, and its standard deviation after the readings
    prior_sd : the standard deviation it would have without any reading
    """

    wanted: Wanted
    value: float
    sd: float
    prior_sd: float


@dataclass(frozen=True, eq=False)
class FoundProfile:
    """A profile found from readings.

    Attributes
    ----------
    shaft : the most probable one
    unknowns, at : the unknowns and their values
    covariance : (p, p) posterior covariance of the unknowns
    prior : (p, p) prior covariance with the chosen roughness
    linear : readings and derivatives at the profile found
    residuals : one a reading
    chi_squared : Σ ((reading − fitted)/error)²
    roughness : times the usual bow that the discrepancy principle chose
    explained : False when even the roughest profile leaves more than the stated errors
    like : name of the shaft whose shape was expected, or ""
    """

    shaft: Shaft
    unknowns: Unknowns
    at: Array
    covariance: Array
    prior: Array
    linear: Linear
    residuals: tuple[Residual, ...]
    chi_squared: float
    roughness: float
    explained: bool
    like: str = ""

    @property
    def log_sd(self) -> Array:
        """(3, n) posterior standard deviation of the logs of EI, GJ and mass at the stations."""
        return _log_sd(self.unknowns, self.covariance)

    @property
    def prior_log_sd(self) -> Array:
        """(3, n) the same before the readings."""
        return _log_sd(self.unknowns, self.prior)

    def bands(self) -> Array:
        """(3, n, 2) ends of the 95 % band of EI, GJ (N·m²) and mass per length (kg/m) at the stations."""
        logs, half = self.unknowns.logs(self.at), BAND * self.log_sd
        return np.exp(np.stack([logs - half, logs + half], axis=2))

    def foretell(self, wanted: Sequence[Wanted]) -> tuple[Foretold, ...]:
        """What other tests, or other set-ups, would read of this shaft, and how sure that is."""
        seen = depends_on(self.unknowns, self.at, wanted)
        linear = linearise(self.unknowns, self.at, wanted, seen)
        sds = [_reading_sd(linear.unknowns, c) for c in (self.covariance, self.prior)]
        return tuple(
            Foretold(one, float(value), float(sd), float(prior))
            for one, value, sd, prior in zip(wanted, linear.value, *sds, strict=True)
        )


def find_profile(
    facts: KnownFacts,
    readings: Sequence[Measured],
    *,
    like: Shaft | None = None,
    check: bool = True,
    start: FoundProfile | None = None,
) -> FoundProfile:
    """The profile that explains readings, with its uncertainty.

    Parameters
    ----------
    facts : what is known of the shaft
    readings : any mix of tests, with the standard deviation of each
    like : a shaft whose shape this one is expected to share
    check : refuse contradictory readings
    start : a profile found before from readings of the same tests in the same order and the same facts: the search
        begins there and takes its derivatives over where they still hold

    Raises
    ------
    InputError
        No reading depends on EI; a set-up that the shaft does not allow; a reading that contradicts the others.
    SimulationError
        The search does not arrive.
    """
    if not readings:
        raise InputError("found no readings; allowed: one or more")
    unknowns = unknowns_of(facts, like=like)
    wanted = [m.wanted for m in readings]
    seen = depends_on(unknowns, unknowns.mean, wanted)
    for one, changes in zip(wanted, seen, strict=True):
        if not np.any(changes):
            raise InputError(f"{one.label}: {one.reading.attribute} does not change with EI, GJ or mass; leave it out")
    if not np.any(seen[:, 0]):
        raise InputError(
            "found no reading that depends on EI; allowed: one at least of frequency, deflection or another test in "
            "bending"
        )
    value = np.array([m.value for m in readings])
    error = np.array([m.error for m in readings])
    begin = (unknowns.mean, None) if start is None else _beginning(start, facts, wanted)
    at, linear = _search(unknowns, wanted, seen, (value, error), begin, 1.0)
    roughness, explained = _roughness(unknowns, linear, value, error, at)
    if check and not explained:
        # No profile explains them: the usual bow already says which reading is the odd one.
        refuse_contradictions(_found(unknowns, readings, linear, at, 1.0, False, ""))
    if roughness != 1.0:
        at, linear = _search(unknowns, wanted, seen, (value, error), (at, None), roughness)
    found = _found(unknowns, readings, linear, at, roughness, explained, "" if like is None else like.name)
    if check:
        refuse_contradictions(found)
    return found


def refuse_contradictions(found: FoundProfile) -> None:
    """InputError that names the worst reading, when one contradicts the others."""
    worst = max(found.residuals, key=lambda r: abs(r.standardised))
    if abs(worst.standardised) <= CONTRADICTORY:
        return
    wanted = worst.measured.wanted
    words = "contradicts the others" if len(found.residuals) > 1 else "contradicts what shafts are"
    raise InputError(
        f"{wanted.label or wanted.test.name}: {words}: found {wanted.shown(worst.measured.value)} where "
        f"{wanted.shown(worst.by_others)} ± {wanted.shown(worst.by_others_sd)} is foretold\n"
        f"({wanted.describe()}): a standardised residual of {abs(worst.standardised):.1f}; allowed: up to "
        f"{CONTRADICTORY:g}. Check the reading and its set-up, or state a larger error"
    )


def _beginning(start: FoundProfile, facts: KnownFacts, wanted: Sequence[Wanted]) -> tuple[Array, Linear]:
    before = [r.measured.wanted for r in start.residuals]
    if start.unknowns.facts != facts or before != list(wanted):
        raise InputError("start: found a profile of other facts or other readings; allowed: of the same")
    return start.at, start.linear


def _search(
    unknowns: Unknowns,
    wanted: Sequence[Wanted],
    seen: NDArray[np.bool_],
    read: tuple[Array, Array],
    begin: tuple[Array, Linear | None],
    roughness: float,
) -> tuple[Array, Linear]:
    """Gauss–Newton with halved steps; derivatives are taken anew until the answer stays near where they were taken.

    `read`: values and their errors; `begin`: unknowns to begin with, and derivatives there if they are known.
    """
    value, error = read
    start, known = begin
    root: Array = np.asarray(np.linalg.cholesky(unknowns.covariance(roughness)), dtype=float)
    z: Array = np.asarray(np.linalg.solve(root, start - unknowns.mean), dtype=float)
    failures = 0
    for _ in range(MOST_TURNS):
        begun = unknowns.logs(unknowns.mean + root @ z)
        linear = linearise(unknowns, unknowns.mean + root @ z, wanted, seen) if known is None else known
        known, length = None, 0.0
        rows = linear.unknowns @ root
        h = linear.value
        for _ in range(MOST_TURNS):
            # Readings go with powers of the properties: their relative derivatives hardly change.
            change = np.divide(h, linear.value, out=np.ones_like(h), where=linear.value != 0.0)
            step, length = _step(rows * (change / error)[:, None], (value - h) / error, z)
            if length < SMALL_STEP:
                failures = 0
                break
            shortened = _shorten(unknowns, root, wanted, read, z, step, h)
            if shortened is None:
                failures += 1
                break
            z, h = shortened
        else:
            failures = 0
        at = unknowns.mean + root @ z
        if np.max(np.abs(unknowns.logs(at) - begun)) < NEAR:
            if length > STUCK:  # with fresh derivatives no step helps
                break
            return at, replace(linear, value=h)
        if failures > 1:  # no shaft reads like this: a deflection longer than the shaft, say
            break
    raise SimulationError(
        "no profile was found that explains the readings: is one of them, or its set-up, wrong by a unit or a factor?"
    )


def _step(slope: Array, residual: Array, z: Array) -> tuple[Array, float]:
    hessian = slope.T @ slope + np.eye(z.size)
    gradient = slope.T @ residual - z
    step = cho_solve(cho_factor(hessian), gradient)
    return step, float(np.sqrt(max(step @ gradient, 0.0)))


def _shorten(
    unknowns: Unknowns,
    root: Array,
    wanted: Sequence[Wanted],
    read: tuple[Array, Array],
    z: Array,
    step: Array,
    h: Array,
) -> tuple[Array, Array] | None:
    """The step, halved until it lowers what is minimised, and the readings there; None when it never does."""
    value, error = read

    def cost(residual: Array, at: Array) -> float:
        return float(residual @ residual + at @ at)

    before = cost((value - h) / error, z)
    share = 1.0
    for _ in range(12):
        trial = z + share * step
        try:
            moved = predict(unknowns.shaft(unknowns.mean + root @ trial), wanted)
        except SimulationError:  # a shaft so soft or so stiff that a test has no answer
            share *= 0.5
            continue
        if cost((value - moved) / error, trial) < before * (1.0 + 1e-9):
            return trial, moved
        share *= 0.5
    return None


def _roughness(unknowns: Unknowns, linear: Linear, value: Array, error: Array, at: Array) -> tuple[float, bool]:
    """The smallest roughness whose fit leaves no more than the stated errors (discrepancy principle)."""
    data = (value - linear.value + linear.unknowns @ (at - unknowns.mean)) / error
    slope = linear.unknowns / error[:, None]
    for roughness in ROUGHNESSES:
        spread = slope @ unknowns.covariance(roughness) @ slope.T + np.eye(data.size)
        left = np.linalg.solve(spread, data)
        if left @ left <= data.size:
            return roughness, True
    return ROUGHEST, False


def _found(
    unknowns: Unknowns,
    readings: Sequence[Measured],
    linear: Linear,
    at: Array,
    roughness: float,
    explained: bool,
    like: str,
) -> FoundProfile:
    value = np.array([m.value for m in readings])
    error = np.array([m.error for m in readings])
    prior = unknowns.covariance(roughness)
    slope = linear.unknowns / error[:, None]
    spread = slope @ prior @ slope.T + np.eye(value.size)
    gain = np.linalg.solve(spread, slope @ prior)
    covariance = prior - (slope @ prior).T @ gain
    data = (value - linear.value + linear.unknowns @ (at - unknowns.mean)) / error
    inverse = np.linalg.inv(spread)
    alone = np.diag(inverse)
    left = inverse @ data
    residuals = []
    for i, measured in enumerate(readings):
        fitted = float(linear.value[i])
        others = float(value[i] - error[i] * left[i] / alone[i])
        others_sd = float(error[i] * np.sqrt(max(1.0 / alone[i] - 1.0, 0.0)))
        if fitted > 0.0:
            # Readings go with powers of the properties: what is far away is a factor away, not a difference.
            factor = float(np.exp(np.clip((others - fitted) / fitted, -50.0, 50.0)))
            others, others_sd = fitted * factor, others_sd * factor
        residuals.append(Residual(measured, fitted, float(left[i] / np.sqrt(alone[i])), others, others_sd))
    chi = float(np.sum(((value - linear.value) / error) ** 2))
    return FoundProfile(
        unknowns.shaft(at), unknowns, at, covariance, prior, linear, tuple(residuals), chi, roughness, explained, like
    )


def _reading_sd(rows: Array, covariance: Array) -> Array:
    return np.asarray(np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", rows, covariance, rows), 0.0)))


def _log_sd(unknowns: Unknowns, covariance: Array) -> Array:
    return _reading_sd(unknowns.logs_matrix(), covariance).reshape(3, -1)
