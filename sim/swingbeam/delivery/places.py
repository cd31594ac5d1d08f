"""How sure an order is when a swing is repeated: probability of every place, of every pair, and what stays together.

A key is when a club unloads, s, in one of many swings: +inf where it does not unload before impact at all, so that
it comes last, NaN where it did not strike the ball. All clubs are swung by the same swing, so keys of one swing are
compared with each other only. Two keys that differ by no more than the larger of the clubs' margins are a tie.
Places of many repetitions are the rankogram of Salanti, Ades & Ioannidis 2011, J. Clin. Epidemiol. 64:163; why an
order without them misleads: Goldstein & Spiegelhalter 1996, J. R. Stat. Soc. A 159:385 (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .ranking import rank_by

Array = NDArray[np.float64]

LEAST_HOLD = 0.90
"""Share of the swings in which an order must hold for two clubs to be told apart; common practice, no source."""
NORMAL_95 = 1.959963984540054
"""Quantile of the normal distribution for an interval that holds 95 %."""


def place_probability(keys: Array, margins: Sequence[float]) -> Array:
    """(clubs, clubs) probability of each place (second axis, first place first) of each club (first axis).

    Parameters
    ----------
    keys : (swings, clubs) s
    margins : one per club, s

    Notes
    -----
    In each swing the clubs are ranked as `rank_by` ranks them; clubs that share a rank share its places evenly, and
    so do those that do not unload, after all others. A swing in which a club did not strike the ball is not counted
    for that club. NaN for a club that never did.
    """
    clubs = keys.shape[1]
    total = np.zeros((clubs, clubs))
    counted = np.zeros(clubs)
    for row in keys:
        there = np.flatnonzero(~np.isnan(row))
        ranks = rank_by([float(k) if np.isfinite(k) else None for k in row], list(margins))
        last = 1 + int(np.isfinite(row).sum())
        own = np.array([last if ranks[i] is None else ranks[i] for i in there])
        for i, rank in zip(there, own, strict=True):
            sharing = int(np.sum(own == rank))
            total[i, rank - 1 : rank - 1 + sharing] += 1.0 / sharing
        counted[there] += 1.0
    return _shares(total, np.broadcast_to(counted[:, None], total.shape))


def before_probability(keys: Array, margins: Sequence[float], *, ties: float = 0.5) -> Array:
    """(clubs, clubs) probability that the club of the first axis has the smaller key of the two.

    Parameters
    ----------
    keys : (swings, clubs)
    margins : one per club, in the unit of the keys
    ties : what a tie counts; with ½ the two of a pair sum to one

    Returns
    -------
    Over the swings in which both struck the ball; NaN where there is none, and on the diagonal.
    """
    least = np.maximum.outer(np.asarray(margins, dtype=float), np.asarray(margins, dtype=float))
    first, second = keys[:, :, None], keys[:, None, :]
    both = ~(np.isnan(first) | np.isnan(second))
    with np.errstate(invalid="ignore"):  # inf − inf: neither unloads, a tie
        ahead = np.where(both, second - first, 0.0)
    ahead = np.where(np.isnan(ahead), 0.0, ahead)
    wins = both & (ahead > least)
    tied = both & (np.abs(ahead) <= least)
    found = _shares(wins.sum(axis=0) + ties * tied.sum(axis=0), both.sum(axis=0))
    np.fill_diagonal(found, np.nan)
    return found


def groups(keys: Array, margins: Sequence[float], least: float = LEAST_HOLD) -> list[int | None]:
    """Number of the group of each club, 1 unloads first; clubs of one group cannot be told apart.

    The clubs are gone through by the median of their key against the mean of the swing's. A club joins the group of
    its leader, the group's first, unless the leader is ahead of it by more than the margin in at least `least` of
    the swings. As with ranks by resolution a leader and not a neighbour decides, so that a chain of small steps
    does not tie the first to the last. None for a club that never struck the ball.
    """
    order = _by_median(keys)
    ahead = before_probability(keys, margins, ties=0.0)
    found: list[int | None] = [None] * keys.shape[1]
    leader, number = -1, 0
    for i in order:
        if leader < 0 or ahead[leader, i] >= least:
            leader, number = i, number + 1
        found[i] = number
    return found


def _by_median(keys: Array) -> list[int]:
    """Clubs in the order of their median key, swing by swing against the median club of that swing; ties by place."""
    strikes = ~np.isnan(keys)
    medians = []
    for i in np.flatnonzero(strikes.any(axis=0)):
        # Against what all clubs have in common: swings differ by more than clubs do.
        rows = keys[strikes[:, i]]
        common = np.array([np.median(row[np.isfinite(row)]) if np.isfinite(row).any() else 0.0 for row in rows])
        medians.append((float(_median(rows[:, i] - common)), int(i)))
    return [i for _, i in sorted(medians)]


def _median(values: Array) -> float:
    """The median of values of which some are +inf: between a finite one and +inf it is +inf."""
    ordered = np.sort(values)
    low, high = ordered[(ordered.size - 1) // 2], ordered[ordered.size // 2]
    return float(high) if math.isinf(high) else float(0.5 * (low + high))


def _shares(part: Array, whole: Array) -> Array:
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(whole > 0, part / whole, np.nan)


def sampling_interval(probability: float, swings: int, quantile: float = NORMAL_95) -> tuple[float, float]:
    """Between which a probability lies that was counted in so many swings: the 95 % interval of a binomial share.

    Notes
    -----
    Wilson 1927, J. Am. Stat. Assoc. 22:209: the p with (p̂ − p)² = z² p (1 − p)/n. It is never empty, also where
    something was counted in none or in all of the swings.
    """
    z2 = quantile * quantile / swings
    middle = (probability + 0.5 * z2) / (1.0 + z2)
    half = math.sqrt(probability * (1.0 - probability) * z2 + 0.25 * z2 * z2) / (1.0 + z2)
    return max(0.0, middle - half), min(1.0, middle + half)
